// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>

namespace laws {

using complex = std::complex<double>;

/// Half a unit in the last place of 1: what one rounding may cost.
inline constexpr double rounding = 0x1p-53;

/// A computed number and how far it may be off. The bound is of first order: that of the evaluation, carried
/// through whatever the law does with the number.
struct measured {
  complex value;
  double off = 0;
  double beside = 0; ///< for a derivative: how large the number itself is

  [[nodiscard]] friend measured operator+(const measured& a, const measured& b) {
    return rounded(a.value + b.value, a.off + b.off);
  }
  [[nodiscard]] friend measured operator-(const measured& a, const measured& b) {
    return rounded(a.value - b.value, a.off + b.off);
  }
  [[nodiscard]] friend measured operator*(const measured& a, const measured& b) {
    return rounded(a.value * b.value, a.off * std::abs(b.value) + b.off * (std::abs(a.value) + a.off));
  }
  [[nodiscard]] friend measured operator/(const measured& a, const measured& b) {
    const double size = std::abs(b.value);
    if (!(size > 2 * b.off)) return {0, 1e300}; // nothing is known of it
    const complex q = a.value / b.value;
    return rounded(q, (a.off + b.off * std::abs(q)) / (size - b.off));
  }

private:
  /// A complex product or quotient rounds four times, and the sizes of its parts may be √2 of it.
  [[nodiscard]] static measured rounded(complex value, double off) {
    return {value, std::min(off + 6 * rounding * std::abs(value), 1e300)};
  }
};

/// A number that is exact.
[[nodiscard]] inline measured exactly(complex value) { return {value, 0}; }

/// The real part, and the square of the magnitude.
[[nodiscard]] inline measured real_part(const measured& a) {
  return {a.value.real(), a.off, std::abs(a.value)};
}
[[nodiscard]] inline measured power_of(const measured& a) {
  return {std::norm(a.value), (2 * std::abs(a.value) + a.off) * a.off + 4 * rounding * std::norm(a.value)};
}

} // namespace laws
