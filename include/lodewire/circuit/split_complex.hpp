// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <complex>

namespace lodewire {

/// A complex number with real and imaginary parts of any ring C (double, float, a dual number, 50 digits).
/// Products are the plain four-multiplication form: no repair of infinities, so it is fast under any flags.
template <class C>
struct split_complex {
  C re{};
  C im{};

  constexpr split_complex() = default;
  constexpr split_complex(C real, C imaginary = C{}) : re(real), im(imaginary) {}

  [[nodiscard]] friend constexpr split_complex operator+(const split_complex& a, const split_complex& b) {
    return {a.re + b.re, a.im + b.im};
  }
  [[nodiscard]] friend constexpr split_complex operator-(const split_complex& a, const split_complex& b) {
    return {a.re - b.re, a.im - b.im};
  }
  [[nodiscard]] friend constexpr split_complex operator-(const split_complex& a) { return {-a.re, -a.im}; }
  [[nodiscard]] friend constexpr split_complex operator*(const split_complex& a, const split_complex& b) {
    return {a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re};
  }
  [[nodiscard]] friend constexpr split_complex operator*(const C& a, const split_complex& b) {
    return {a * b.re, a * b.im};
  }
  /// a/b as a·conj(b)/|b|²: b must not be zero, and |b|² must neither overflow nor vanish.
  [[nodiscard]] friend constexpr split_complex operator/(const split_complex& a, const split_complex& b) {
    const C n = C(1) / (b.re * b.re + b.im * b.im);
    return {(a.re * b.re + a.im * b.im) * n, (a.im * b.re - a.re * b.im) * n};
  }
  [[nodiscard]] friend constexpr bool operator==(const split_complex&, const split_complex&) = default;
};

/// re² + im².
template <class C>
[[nodiscard]] constexpr C squared_magnitude(const split_complex<C>& z) {
  return z.re * z.re + z.im * z.im;
}

/// As the standard's complex number (C a standard floating-point type).
template <class C>
[[nodiscard]] constexpr std::complex<C> to_standard(const split_complex<C>& z) {
  return {z.re, z.im};
}

} // namespace lodewire
