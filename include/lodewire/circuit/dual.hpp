// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cmath>
#include <cstddef>

namespace lodewire {

/// A dual number x + Σ g[i]·ε_i, ε_i·ε_k = 0: carries the exact derivative with respect to N values through any
/// arithmetic. As the ring of a number system it gives the sensitivity of a response, or of every coefficient of a
/// transfer function, to N parts at once. Cost: about 2N+1 operations for one of doubles.
template <std::size_t N>
struct dual {
  double value = 0;
  std::array<double, N> gradient{};

  constexpr dual() = default;
  constexpr explicit(false) dual(double x) : value(x) {}
  /// The variable number `index`: derivative 1 with respect to itself.
  [[nodiscard]] static constexpr dual variable(double x, std::size_t index) {
    dual d(x);
    d.gradient.at(index) = 1;
    return d;
  }

  [[nodiscard]] friend constexpr dual operator+(const dual& a, const dual& b) {
    return combine(a.value + b.value, 1, a, 1, b);
  }
  [[nodiscard]] friend constexpr dual operator-(const dual& a, const dual& b) {
    return combine(a.value - b.value, 1, a, -1, b);
  }
  [[nodiscard]] friend constexpr dual operator-(const dual& a) { return combine(-a.value, -1, a, 0, a); }
  [[nodiscard]] friend constexpr dual operator*(const dual& a, const dual& b) {
    return combine(a.value * b.value, b.value, a, a.value, b);
  }
  [[nodiscard]] friend constexpr dual operator/(const dual& a, const dual& b) {
    const double q = a.value / b.value;
    return combine(q, 1 / b.value, a, -q / b.value, b);
  }
  /// Equal when value and derivatives are: a zero that varies is no zero. Order is that of the values.
  [[nodiscard]] friend constexpr bool operator==(const dual& a, const dual& b) {
    return a.value == b.value && a.gradient == b.gradient;
  }
  [[nodiscard]] friend constexpr bool operator<(const dual& a, const dual& b) { return a.value < b.value; }
  [[nodiscard]] friend constexpr bool operator>(const dual& a, const dual& b) { return a.value > b.value; }

  [[nodiscard]] friend dual exp(const dual& a) { return chain(std::exp(a.value), std::exp(a.value), a); }
  [[nodiscard]] friend dual log(const dual& a) { return chain(std::log(a.value), 1 / a.value, a); }
  [[nodiscard]] friend dual sin(const dual& a) { return chain(std::sin(a.value), std::cos(a.value), a); }
  [[nodiscard]] friend dual cos(const dual& a) { return chain(std::cos(a.value), -std::sin(a.value), a); }
  [[nodiscard]] friend dual sqrt(const dual& a) {
    const double root = std::sqrt(a.value);
    return chain(root, 0.5 / root, a);
  }
  [[nodiscard]] friend dual atan2(const dual& y, const dual& x) {
    const double r2 = x.value * x.value + y.value * y.value;
    return combine(std::atan2(y.value, x.value), x.value / r2, y, -y.value / r2, x);
  }

private:
  static constexpr dual combine(double value, double wa, const dual& a, double wb, const dual& b) {
    dual r(value);
    for (std::size_t i = 0; i < N; ++i) r.gradient[i] = wa * a.gradient[i] + wb * b.gradient[i];
    return r;
  }
  static constexpr dual chain(double value, double slope, const dual& a) {
    return combine(value, slope, a, 0, a);
  }
};

/// True where a derivative is not zero.
template <std::size_t N>
[[nodiscard]] constexpr bool varies(const dual<N>& x) noexcept {
  for (const double g : x.gradient)
    if (g != 0) return true;
  return false;
}

/// The ordinary number that a dual one stands for.
template <std::size_t N>
[[nodiscard]] constexpr double leading(const dual<N>& x) noexcept {
  return x.value;
}

} // namespace lodewire
