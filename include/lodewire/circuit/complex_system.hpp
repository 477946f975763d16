// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstddef>

#include <lodewire/circuit/scale.hpp>
#include <lodewire/circuit/split_complex.hpp>

namespace lodewire {

/// The number system 'one complex number at one s' over any ring C: double, float, dual<N>, 50 digits. Evaluating
/// in it gives the response at one complex frequency, anywhere in the plane but s = 0 (limits come from the
/// polynomial). Cost: some ten operations of C an instruction.
template <class C>
class complex_system {
public:
  using coefficient = C;
  using number = split_complex<C>;

  /// The system at s, in 1/s.
  constexpr explicit complex_system(const split_complex<C>& s)
      : s_{s.re * C(1 / scale::per_second), s.im * C(1 / scale::per_second)} {}

  template <class Value>
  [[nodiscard]] static constexpr C as_coefficient(const Value& v, double times) {
    return static_cast<C>(v) * static_cast<C>(times);
  }
  static constexpr void set(number& x, const C& c) { x = number(c); }
  static constexpr void scale(number& x, const C& c) { x = c * x; }
  [[gnu::noinline]] constexpr void scale_s(number& x, const C& c) const { x = c * (s_ * x); }
  static constexpr void add(number& y, const number& x) { y = y + x; }
  [[gnu::noinline]] static constexpr void add(number& y, const C& c, const number& x) { y = y + c * x; }
  [[gnu::noinline]] constexpr void add_s(number& y, const C& c, const number& x) const {
    y = y + c * (s_ * x);
  }
  [[gnu::noinline]] static constexpr void multiply(number& y, const number& x) { y = y * x; }
  /// y = y·b + x·d
  [[gnu::noinline]] static constexpr void multiply_sum(number& y, const number& b, const number& x,
                                                       const number& d) {
    y = y * b + x * d;
  }
  [[nodiscard, gnu::noinline]] static constexpr number product(const number& x, const number& y) {
    return x * y;
  }
  [[nodiscard]] static constexpr bool is_zero(const number& x) { return x.re == C(0) && x.im == C(0); }

  /// x = K·s^α·x, principal branch. K in impedance units times seconds^-α.
  void power(number& x, const C& k, const C& alpha) const {
    using std::atan2, std::cos, std::exp, std::log, std::sin;
    const C radius = log(s_.re * s_.re + s_.im * s_.im) * C(0.5) + log(C(scale::per_second));
    const C angle = alpha * atan2(s_.im, s_.re);
    const C size = k * exp(alpha * radius);
    x = number(size * cos(angle), size * sin(angle)) * x;
  }

  /// Keeps a triple near one by a power of two, so that long circuits cannot overflow even in single precision.
  [[gnu::noinline]] static constexpr void common_factor(number& n, number& d, number* emf,
                                                        std::size_t count) {
    const auto size = [](const number& x) {
      return (x.re < C(0) ? -x.re : x.re) + (x.im < C(0) ? -x.im : x.im);
    };
    const C total = size(n) + size(d);
    const C large = C(0x1p24), least = C(0x1p-24);
    if (total < large && total > least) return;
    if (total == C(0) || !(total < C(0x1p60) * C(0x1p60))) return;
    C factor = C(1);
    C scaled = total;
    for (; !(scaled < large); factor = factor * least) scaled = scaled * least;
    for (; !(scaled > least); factor = factor * large) scaled = scaled * large;
    n = factor * n;
    d = factor * d;
    for (std::size_t k = 0; k < count; ++k) emf[k] = factor * emf[k];
  }

private:
  split_complex<C> s_;
};

} // namespace lodewire
