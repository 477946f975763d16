// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <span>
#include <vector>

#include <lodewire/circuit/netlist_elimination.hpp>
#include <lodewire/circuit/netlist_plan.hpp>

namespace lodewire::detail {

/// A pair of real matrices, G + s·C (eq. 29), s in units of `scale::per_second`. det(G + s·C) has the network's poles
/// as its roots, or its zeros once it is bordered by a source and an output.
class netlist_pencil {
public:
  using number = split_complex<double>;

  explicit netlist_pencil(std::size_t n = 0) : n_{n}, g_(n * n), c_(n * n) {}

  /// Of a reduction whose polynomials are linear. s² in a two-port is s times an unknown of its own, s·x.
  explicit netlist_pencil(const netlist_plan<double>& plan) {
    std::vector<std::size_t> times_s(plan.unknowns, nowhere);
    n_ = plan.unknowns;
    plan.stamp_two_ports([&](std::size_t, std::size_t column, double, double, double a2) {
      if (a2 != 0 && column != nowhere && times_s[column] == nowhere) times_s[column] = n_++;
    });
    g_.resize(n_ * n_);
    c_.resize(n_ * n_);
    for (const std::size_t power : {0U, 1U})
      plan.stamp(values{plan, power},
                 [&](std::size_t row, std::size_t column, double x) { add(power, row, column, x); });
    plan.stamp_two_ports([&](std::size_t row, std::size_t column, double a0, double a1, double a2) {
      add(0, row, column, a0);
      add(1, row, column, a1);
      if (a2 != 0 && column != nowhere) add(1, row, times_s[column], a2);
    });
    for (std::size_t k = 0; k < plan.unknowns; ++k) {
      if (times_s[k] == nowhere) continue;
      add(0, times_s[k], times_s[k], 1);
      add(1, times_s[k], k, -1);
    }
  }

  [[nodiscard]] std::size_t size() const noexcept { return n_; }
  [[nodiscard]] double g(std::size_t row, std::size_t column) const noexcept { return g_[row * n_ + column]; }
  [[nodiscard]] double c(std::size_t row, std::size_t column) const noexcept { return c_[row * n_ + column]; }
  void add(std::size_t power, std::size_t row, std::size_t column, double x) noexcept {
    if (row == nowhere || column == nowhere) return;
    (power == 0 ? g_ : c_)[row * n_ + column] += x;
  }

  /// With one more column, a source's right-hand side (its negative), and one more row, x[hot] - x[cold]: the
  /// determinant is then that of the response's numerator.
  [[nodiscard]] netlist_pencil bordered(const netlist_plan<double>& plan, std::size_t source, std::size_t hot,
                                        std::size_t cold) const {
    netlist_pencil wide(n_ + 1);
    for (std::size_t r = 0; r < n_; ++r)
      for (std::size_t k = 0; k < n_; ++k) {
        wide.add(0, r, k, g(r, k));
        wide.add(1, r, k, c(r, k));
      }
    for (const std::size_t power : {0U, 1U})
      plan.excite(source, values{plan, power},
                  [&](std::size_t row, double x) { wide.add(power, row, n_, -x); });
    wide.add(0, n_, hot, 1);
    wide.add(0, n_, cold, -1);
    return wide;
  }

  /// The same with a current of 1 into `hot` and out of `cold` instead of a source.
  [[nodiscard]] netlist_pencil bordered(std::size_t hot, std::size_t cold) const {
    netlist_plan<double> probe;
    probe.injections.push_back({0, hot, cold});
    return bordered(probe, 0, hot, cold);
  }

  /// Scales each row so that its largest entry lies in [1, 2), by a power of two.
  void scale_rows() noexcept {
    for (std::size_t r = 0; r < n_; ++r) {
      double largest = 0;
      for (std::size_t k = 0; k < n_; ++k)
        largest = (std::max)({largest, std::abs(g(r, k)), std::abs(c(r, k))});
      if (!(largest > 0)) continue;
      const double factor = scale::to_one(largest);
      for (std::size_t k = 0; k < n_; ++k) {
        g_[r * n_ + k] *= factor;
        c_[r * n_ + k] *= factor;
      }
    }
  }

  /// Puts G + s·C into `to`, of the same size.
  void at(const number& s, netlist_elimination<double>& to) const noexcept {
    to.clear();
    for (std::size_t r = 0; r < n_; ++r)
      for (std::size_t k = 0; k < n_; ++k)
        if (g(r, k) != 0 || c(r, k) != 0) to.add(r, k, {g(r, k) + s.re * c(r, k), s.im * c(r, k)});
  }

  /// d/ds log det(G + s·C) = trace((G + s·C)⁻¹·C). False where the matrix is singular.
  bool log_derivative(const number& s, netlist_elimination<double>& room, std::vector<number>& column,
                      number& result) const noexcept {
    at(s, room);
    if (room.factor() != nowhere) return false;
    result = number{};
    for (std::size_t k = 0; k < n_; ++k) {
      bool any = false;
      for (std::size_t r = 0; r < n_; ++r) {
        column[r] = number(c(r, k));
        any = any || c(r, k) != 0;
      }
      if (!any) continue;
      room.solve(column);
      result = result + column[k];
    }
    return true;
  }

private:
  /// What `netlist_plan` asks for: the coefficients of one power of s.
  struct values {
    const netlist_plan<double>& plan;
    std::size_t power;
    [[nodiscard]] double e(const netlist_plan<double>::poly& p) const noexcept {
      return power < p.size ? plan.coefficients[p.first + power] : 0;
    }
    [[nodiscard]] double one() const noexcept { return power == 0 ? 1 : 0; }
    [[nodiscard]] double d(std::size_t k) const noexcept { return e(plan.branches[k].d); }
    [[nodiscard]] double n(std::size_t k) const noexcept { return e(plan.branches[k].n); }
    [[nodiscard]] double e_over_n(const netlist_plan<double>::poly& p, std::size_t k) const noexcept {
      return e(p) / plan.coefficients[plan.branches[k].n.first];
    }
    [[nodiscard]] double y(std::size_t k) const noexcept { return e_over_n(plan.branches[k].d, k); }
    [[nodiscard]] double sm(double m, std::size_t k) const noexcept {
      return power == 1 ? m * plan.coefficients[plan.branches[k].d.first] : 0;
    }
  };

  std::size_t n_ = 0;
  std::vector<double> g_, c_;
};

} // namespace lodewire::detail
