// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <compare>
#include <limits>

namespace oracle {

/// A double that carries along a bound of its own rounding error, in units of half an ε: each operation adds what it
/// rounds to what its operands bring (J. H. Wilkinson's running error analysis). Any computation that is a template over
/// its numbers tells so how far off it may be, whatever drives it.
struct tracked {
  double value = 0;
  double error = 0; ///< |value - exact| ≤ error·ε/2, to first order

  constexpr tracked() = default;
  /// A given value: itself rounded once.
  constexpr explicit(false) tracked(double v) : value{v}, error{size(v)} {}
  constexpr tracked(double v, double from_operands) : value{v}, error{from_operands + size(v)} {}
  [[nodiscard]] constexpr explicit operator double() const { return value; }

  [[nodiscard]] static constexpr double size(double v) { return v < 0 ? -v : v; }
  [[nodiscard]] constexpr tracked operator-() const {
    tracked x = *this;
    x.value = -value;
    return x;
  }
  [[nodiscard]] friend constexpr tracked operator+(const tracked& a, const tracked& b) {
    return {a.value + b.value, a.error + b.error};
  }
  [[nodiscard]] friend constexpr tracked operator-(const tracked& a, const tracked& b) {
    return {a.value - b.value, a.error + b.error};
  }
  [[nodiscard]] friend constexpr tracked operator*(const tracked& a, const tracked& b) {
    return {a.value * b.value, size(a.value) * b.error + size(b.value) * a.error};
  }
  [[nodiscard]] friend constexpr tracked operator/(const tracked& a, const tracked& b) {
    const double q = a.value / b.value;
    return {q, (a.error + size(q) * b.error) / size(b.value)};
  }
  // What a power law needs.
  [[nodiscard]] friend tracked log(const tracked& x) { return {std::log(x.value), x.error / size(x.value)}; }
  [[nodiscard]] friend tracked exp(const tracked& x) {
    const double y = std::exp(x.value);
    return {y, y * x.error};
  }
  [[nodiscard]] friend tracked sin(const tracked& x) { return {std::sin(x.value), x.error}; }
  [[nodiscard]] friend tracked cos(const tracked& x) { return {std::cos(x.value), x.error}; }
  [[nodiscard]] friend tracked atan2(const tracked& y, const tracked& x) {
    return {std::atan2(y.value, x.value),
            (size(x.value) * y.error + size(y.value) * x.error) / (x.value * x.value + y.value * y.value)};
  }
  constexpr tracked& operator+=(const tracked& b) { return *this = *this + b; }
  constexpr tracked& operator*=(const tracked& b) { return *this = *this * b; }
  [[nodiscard]] friend constexpr bool operator==(const tracked& a, const tracked& b) {
    return a.value == b.value;
  }
  [[nodiscard]] friend constexpr auto operator<=>(const tracked& a, const tracked& b) {
    return a.value <=> b.value;
  }
};

} // namespace oracle

/// As for double.
template <>
class std::numeric_limits<oracle::tracked> : public std::numeric_limits<double> {};
