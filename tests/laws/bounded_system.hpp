// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstddef>

#include <lodewire/circuit/dual.hpp>
#include <lodewire/circuit/scale.hpp>
#include <lodewire/circuit/split_complex.hpp>

namespace laws {

/// A complex number with a running bound of its rounding error (J. H. Wilkinson, Rounding Errors in Algebraic
/// Processes, 1963), and the same for its derivative along one direction, in which s or values move. `size`
/// is the sum of the magnitudes of all terms that make it up, `error` the bound in units of `rounding`.
struct bounded {
  lodewire::split_complex<double> z{}, slope{};
  double size = 0, error = 0, slope_size = 0, slope_error = 0;
};

/// The number system that computes, beside each number, what rounding can do to it: no law needs a tolerance
/// of its own. An operation is charged with four roundings of the sizes that go into it: a complex product of
/// split parts has two products and a sum in each part, and the parts of s and of the values may be rounded
/// themselves.
class bounded_system {
public:
  using coefficient = lodewire::dual<1>;
  using number = bounded;
  using split = lodewire::split_complex<double>;
  static constexpr double each = 4;

  /// Where s moves, it is in proportion to itself: the derivative is s·d/ds.
  bounded_system(const split& s, bool s_moves)
      : s_{1 / lodewire::scale::per_second * s}, size_s_{std::hypot(s_.re, s_.im)}, moves_{s_moves ? 1.
                                                                                                   : 0.} {}

  template <class Value>
  [[nodiscard]] static coefficient as_coefficient(const Value& v, double times) {
    return static_cast<coefficient>(v) * coefficient(times);
  }
  static void set(number& x, const coefficient& c) { x = number_of(c); }
  static void scale(number& x, const coefficient& c) { multiply(x, number_of(c)); }
  void scale_s(number& x, const coefficient& c) const {
    scale(x, c);
    multiply(x, {s_, moves_ * s_, size_s_, each * size_s_, moves_ * size_s_, moves_ * each * size_s_});
  }
  static void add(number& y, const number& x) {
    y = {y.z + x.z,
         y.slope + x.slope,
         y.size + x.size,
         y.error + x.error + (y.size + x.size),
         y.slope_size + x.slope_size,
         y.slope_error + x.slope_error + (y.slope_size + x.slope_size)};
  }
  static void add(number& y, const coefficient& c, number x) {
    scale(x, c);
    add(y, x);
  }
  void add_s(number& y, const coefficient& c, number x) const {
    scale_s(x, c);
    add(y, x);
  }
  static void multiply(number& y, const number& x) { y = product(y, x); }
  static void multiply_sum(number& y, const number& b, const number& x, const number& d) {
    multiply(y, b);
    add(y, product(x, d));
  }
  [[nodiscard]] static number product(const number& x, const number& y) {
    const double size = x.size * y.size;
    const double slope_size = x.slope_size * y.size + x.size * y.slope_size;
    return {x.z * y.z,
            x.slope * y.z + x.z * y.slope,
            size,
            x.error * y.size + x.size * y.error + each * size,
            slope_size,
            x.slope_error * y.size + x.slope_size * y.error + x.error * y.slope_size +
                x.size * y.slope_error + (each + 1) * slope_size};
  }
  [[nodiscard]] static bool is_zero(const number& x) { return x.z.re == 0 && x.z.im == 0; }

  /// The power itself comes from an exponential and a logarithm whose argument, some 20, carries its rounding
  /// along. The exponent does not move.
  void power(number& x, const coefficient& k, const coefficient& exponent) const {
    const double alpha = exponent.value, radius = std::log(size_s_) + std::log(lodewire::scale::per_second);
    const double angle = alpha * std::atan2(s_.im, s_.re), size = std::exp(alpha * radius);
    const split p(size * std::cos(angle), size * std::sin(angle));
    scale(x, k);
    multiply(x, {p, moves_ * alpha * p, size, 100 * size, moves_ * size, 100 * moves_ * size});
  }

  /// Powers of two only, so that nothing overflows.
  static void common_factor(number& n, number& d, number* emf, std::size_t count) {
    const double total = n.size + d.size;
    if (!(total > 0) || (total < 0x1p200 && total > 0x1p-200)) return;
    const double by = total > 1 ? 0x1p-200 : 0x1p200;
    shift(n, by);
    shift(d, by);
    for (std::size_t k = 0; k < count; ++k) shift(emf[k], by);
  }

private:
  [[nodiscard]] static number number_of(const coefficient& c) {
    const double size = std::abs(c.value), slope = std::abs(c.gradient[0]);
    return {split(c.value), split(c.gradient[0]), size, each * size, slope, each * slope};
  }
  static void shift(number& x, double by) {
    x = {by * x.z, by * x.slope, by * x.size, by * x.error, by * x.slope_size, by * x.slope_error};
  }
  split s_;
  double size_s_ = 0, moves_ = 1;
};

} // namespace laws
