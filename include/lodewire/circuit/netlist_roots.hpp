// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <span>
#include <vector>

#include <lodewire/circuit/netlist_pencil.hpp>
#include <lodewire/circuit/roots.hpp>

namespace lodewire::detail {

/// The finite roots of det(G + s·C), in units of `scale::per_second`: how many there are is counted round circles
/// (argument principle), where they are comes from whoever computes eigenvalues, or from simultaneous iteration.
class netlist_roots {
public:
  /// Roots beyond this radius count as infinite, those within the other as zero: 1.8e13/s and 1e-6/s.
  static constexpr double infinite = 0x1p30, zero = 0x1p-34;

  explicit netlist_roots(const netlist_pencil& p) : p_{p}, room_(p.size()), column_(p.size()) {
    zeros_ = clean_count(zero, 2);
    total_ = (std::max)(clean_count(infinite, 0.5), zeros_);
  }

  /// The finite ones, those at zero among them.
  [[nodiscard]] std::size_t total() const noexcept { return total_; }

  /// From starting values near them, any number of which may be far off or infinite: polished, as conjugate pairs,
  /// sorted by magnitude. Empty if the values that are finite are not as many as the roots.
  [[nodiscard]] std::vector<polynomial_root> polished(std::span<const std::complex<double>> starts) {
    std::vector<polynomial_root> at;
    std::size_t near_zero = zeros_; // of those at zero, how many starting values are not
    for (const std::complex<double>& z : starts) {
      const double size = std::hypot(z.real(), z.imag());
      if (size > zero && size < infinite) at.push_back({{z.real(), z.imag()}, 0});
      if (!(size > zero) && near_zero > 0) --near_zero;
    }
    // An infinite eigenvalue of defect m comes out at some ε^(-1/m): those that are too many lie farthest out.
    std::stable_sort(at.begin(), at.end(), [](const polynomial_root& a, const polynomial_root& b) {
      return squared_magnitude(a.value) < squared_magnitude(b.value);
    });
    const std::size_t wanted = total_ - zeros_;
    if (at.size() >= wanted + near_zero)
      at.erase(at.begin(), at.begin() + static_cast<std::ptrdiff_t>(near_zero));
    if (at.size() > wanted) at.resize(wanted);
    if (at.size() + zeros_ != total_) return {};
    iterate(at, true, 20);
    return finished(at);
  }

  /// Without any: from circles that hold as many points as there are roots about them (Aberth 1973).
  [[nodiscard]] std::vector<polynomial_root> iterated() {
    std::vector<polynomial_root> at;
    std::size_t inside = zeros_;
    for (double radius = 2 * zero; radius <= infinite && inside < total_; radius *= 2) {
      const std::size_t now = radius < infinite ? std::clamp(count(radius), inside, total_) : total_;
      for (std::size_t k = inside; k < now; ++k) {
        const double angle =
            2 * std::numbers::pi * static_cast<double>(k - inside) / static_cast<double>(now - inside) + 0.7 +
            static_cast<double>(k);
        at.push_back({{0.7 * radius * std::cos(angle), 0.7 * radius * std::sin(angle)}, 0});
      }
      inside = now;
    }
    iterate(at, false, 300);
    return finished(at);
  }

private:
  /// Of circles that grow or shrink by `factor`, the first that counts is the one that gives a whole number, and the next
  /// the same: where several roots lie together at zero or at infinity, rounding grows towards them.
  [[nodiscard]] std::size_t clean_count(double first, double factor) noexcept {
    constexpr double clean = 0.02;
    double here = mean(first), cleanest = 1, best = here;
    for (double radius = first * factor; (radius > 1) == (first > 1) && cleanest > clean; radius *= factor) {
      const double next = mean(radius), whole = std::round(here);
      const double off = (std::max)(std::abs(here - whole), std::abs(next - whole));
      if (off < cleanest) {
        cleanest = off;
        best = whole;
      }
      here = next;
    }
    return counted(best);
  }
  [[nodiscard]] std::size_t count(double radius) noexcept { return counted(mean(radius)); }
  [[nodiscard]] static std::size_t counted(double mean) noexcept {
    return mean > 0 ? static_cast<std::size_t>(std::round(mean)) : 0;
  }

  /// Roots within a radius: the mean of s·(log det)' over the circle. Half of it will do.
  [[nodiscard]] double mean(double radius) noexcept {
    constexpr int points = 8;
    double sum = 0;
    for (int k = 0; k < points; ++k) {
      const double angle = std::numbers::pi * (k + 0.5) / points;
      const point s(radius * std::cos(angle), radius * std::sin(angle));
      point slope;
      if (p_.log_derivative(s, room_, column_, slope)) sum += (s * slope).re;
    }
    return sum / points;
  }

  /// Newton steps of det, each root repelled by the others.
  void iterate(std::vector<polynomial_root>& at, bool close, int rounds) {
    std::vector<char> settled(at.size());
    for (polynomial_root& r : at) r.uncertainty = magnitude(r.value);
    for (std::size_t i = 0; close && i < at.size(); ++i)
      for (std::size_t k = 0; k < at.size(); ++k) {
        // Of roots that lie on top of each other the starting values know the sum better than a step does.
        const double away = magnitude(at[i].value - at[k].value);
        if (k == i || !(away < 1e-5 * magnitude(at[i].value))) continue;
        settled[i] = 1;
        at[i].uncertainty = (std::min)(at[i].uncertainty, away + 0x1p-50 * magnitude(at[i].value));
      }
    for (int round = 0; round < rounds; ++round) {
      bool any = false;
      for (std::size_t i = 0; i < at.size(); ++i) {
        if (settled[i]) continue;
        any = true;
        point& z = at[i].value;
        point repelled;
        if (!p_.log_derivative(z, room_, column_, repelled)) { // it is a root, to the last digit
          settled[i] = 1;
          at[i].uncertainty = 0;
          continue;
        }
        repelled = repelled - point(static_cast<double>(zeros_)) / z;
        for (std::size_t k = 0; k < at.size(); ++k) {
          const point apart = z - at[k].value;
          if (k != i && squared_magnitude(apart) > 0) repelled = repelled - point(1) / apart;
        }
        if (!(squared_magnitude(repelled) > 0)) continue;
        const point move = point(1) / repelled;
        const double length = magnitude(move), size = magnitude(z);
        // Once small, a step that no longer shrinks is rounding.
        if (at[i].uncertainty < 1e-9 * size && length > 0.8 * at[i].uncertainty) {
          settled[i] = 1;
          continue;
        }
        z = z - move;
        at[i].uncertainty = length;
        if (length <= 0x1p-51 * size) settled[i] = 1;
      }
      if (!any) break;
    }
  }

  [[nodiscard]] std::vector<polynomial_root> finished(std::vector<polynomial_root> at) const {
    for (polynomial_root& r : at) r.uncertainty += 0x1p-48 * magnitude(r.value);
    pair_conjugates(at);
    for (polynomial_root& r :
         at) // a pair nearer to the axis than it is known is two real ones: off by that squared
      if (std::abs(r.value.im) <= r.uncertainty) r.value.im = 0;
    at.insert(at.end(), zeros_, {{0, 0}, 0});
    std::stable_sort(at.begin(), at.end(), [](const polynomial_root& a, const polynomial_root& b) {
      return squared_magnitude(a.value) < squared_magnitude(b.value);
    });
    return at;
  }

  const netlist_pencil& p_;
  netlist_elimination<double> room_;
  std::vector<point> column_;
  std::size_t zeros_ = 0, total_ = 0;
};

} // namespace lodewire::detail
