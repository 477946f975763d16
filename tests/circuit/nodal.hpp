// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <utility>
#include <vector>

/// A network written out by hand: node voltages and branch currents by Gaussian elimination. Slow and plain, so that
/// it shares nothing with what it checks. Node 0 is ground.
class nodal {
public:
  using complex = std::complex<double>;

  explicit nodal(std::size_t nodes = 0) : nodes_{nodes} {}

  /// One more node.
  std::size_t node() { return ++nodes_; }

  void admittance(std::size_t a, std::size_t b, complex y) { parts_.push_back({a, b, y}); }
  void impedance(std::size_t a, std::size_t b, complex z) { admittance(a, b, 1.0 / z); }
  /// A current into a node.
  void inject(std::size_t node, complex i) { currents_.push_back({node, i}); }
  /// v(plus) - v(minus) = e - z·i, i flowing out of plus; z may be 0. Gives the number of the branch.
  std::size_t branch(std::size_t plus, std::size_t minus, complex z, complex e) {
    branches_.push_back({plus, minus, e});
    terms_.push_back({branches_.size() - 1, branches_.size() - 1, z});
    return branches_.size() - 1;
  }
  /// A mutual impedance between two branches, or from one branch's current to another's voltage.
  void mutual(std::size_t a, std::size_t b, complex z) {
    terms_.push_back({a, b, z});
    terms_.push_back({b, a, z});
  }
  /// An amplifier: v(plus) - v(minus) = gain·(v(hot) - v(minus)) - z·i.
  void amplifier(std::size_t plus, std::size_t minus, std::size_t hot, double gain, complex z) {
    controlled(branch(plus, minus, z, 0), hot, minus, gain);
  }
  /// gain·(v(hot) - v(cold)) on top of a branch's own EMF.
  void controlled(std::size_t branch, std::size_t hot, std::size_t cold, complex gain) {
    gains_.push_back({branch, hot, gain});
    gains_.push_back({branch, cold, -gain});
  }
  /// v1 = a·v2 + b·i2 and i1 = c·v2 + d·i2, i1 into the first port and i2 out of the second. Gives the number of the
  /// first port's branch; the next is the second's.
  std::size_t two_port(std::size_t hot1, std::size_t cold1, std::size_t hot2, std::size_t cold2,
                       const complex (&m)[4]) {
    const std::size_t port1 = branch(hot1, cold1, 0, 0), port2 = branch(hot2, cold2, 0, 0);
    controlled(port1, hot2, cold2, m[0]);
    terms_.push_back({port1, port2, -m[1]});
    // Here the voltage of the branch itself goes, and the two currents take its place.
    controlled(port2, hot2, cold2, 1.0 + m[2]);
    terms_.push_back({port2, port1, -1});
    terms_.push_back({port2, port2, -m[3]});
    return port1;
  }

  /// The voltages of all nodes.
  [[nodiscard]] std::vector<complex> solve() const {
    std::vector<complex> v = unknowns();
    v.resize(nodes_);
    v.insert(v.begin(), 0);
    return v;
  }
  /// Of all nodes but ground, then the currents of all branches.
  [[nodiscard]] std::vector<complex> unknowns() const {
    // In long double: a network of amplifiers and unlike units costs elimination some digits.
    using wide = std::complex<long double>;
    const auto widened = [](complex z) {
      return wide(static_cast<long double>(z.real()), static_cast<long double>(z.imag()));
    };
    const std::size_t n = nodes_ + branches_.size(); // row and column of node k: k - 1
    std::vector<std::vector<wide>> a(n, std::vector<wide>(n + 1));
    const auto add = [&](std::size_t row, std::size_t column, complex x) {
      if (row > 0 && column > 0) a[row - 1][column - 1] += widened(x);
    };
    for (const part& p : parts_) {
      add(p.a, p.a, p.y);
      add(p.b, p.b, p.y);
      add(p.a, p.b, -p.y);
      add(p.b, p.a, -p.y);
    }
    for (const auto& [node, i] : currents_)
      if (node > 0) a[node - 1][n] += widened(i);
    for (std::size_t k = 0; k < branches_.size(); ++k) {
      const std::size_t row = nodes_ + k + 1;
      add(branches_[k].a, row, -1);
      add(branches_[k].b, row, 1);
      add(row, branches_[k].a, 1);
      add(row, branches_[k].b, -1);
      a[row - 1][n] += widened(branches_[k].y);
    }
    for (const part& t : terms_) add(nodes_ + t.a + 1, nodes_ + t.b + 1, t.y);
    for (const auto& [row, node, gain] : gains_) add(nodes_ + row + 1, node, -gain);

    for (std::size_t c = 0; c < n; ++c) {
      // Rows differ in unit, so a pivot is judged by what its row holds besides.
      std::size_t best = c;
      long double largest = -1;
      for (std::size_t r = c; r < n; ++r) {
        long double row = 0;
        for (std::size_t k = c; k < n; ++k) row = std::max(row, std::abs(a[r][k]));
        const long double share = row > 0 ? std::abs(a[r][c]) / row : 0;
        if (share > largest) {
          largest = share;
          best = r;
        }
      }
      std::swap(a[c], a[best]);
      for (std::size_t r = c + 1; r < n; ++r) {
        const wide factor = a[r][c] / a[c][c];
        for (std::size_t k = c; k <= n; ++k) a[r][k] -= factor * a[c][k];
      }
    }
    std::vector<wide> x(n);
    for (std::size_t c = n; c-- > 0;) {
      wide sum = a[c][n];
      for (std::size_t k = c + 1; k < n; ++k) sum -= a[c][k] * x[k];
      x[c] = sum / a[c][c];
    }
    std::vector<complex> all(n);
    for (std::size_t k = 0; k < n; ++k)
      all[k] = complex(static_cast<double>(x[k].real()), static_cast<double>(x[k].imag()));
    return all;
  }

private:
  struct part {
    std::size_t a, b;
    complex y;
  };
  struct amplification {
    std::size_t row, node;
    complex value;
  };
  std::size_t nodes_;
  std::vector<part> parts_, branches_, terms_;
  std::vector<std::pair<std::size_t, complex>> currents_;
  std::vector<amplification> gains_;
};
