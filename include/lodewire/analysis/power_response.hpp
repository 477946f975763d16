// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstddef>
#include <cstring>
#include <numbers>

#include <lodewire/circuit/lanes.hpp>
#include <lodewire/circuit/scale.hpp>
#include <lodewire/circuit/transfer_function.hpp>

/// |H|² along the jω axis as a ratio of two real polynomials in ω², on which extrema and levels are found without
/// complex arithmetic.
namespace lodewire::detail {

class power_response {
public:
  explicit power_response(const transfer_function& h) noexcept : a_(h.numerator()), b_(h.denominator()) {}

  /// ω² in the units of this class for a frequency in Hz, and back.
  [[nodiscard]] static double square_of(double hz) noexcept {
    const double w = 2 * std::numbers::pi * hz / scale::per_second;
    return w * w;
  }
  [[nodiscard]] static double hertz_of(double square) noexcept {
    return std::sqrt(square) * scale::per_second / (2 * std::numbers::pi);
  }

  /// |H|² at x = ω².
  [[nodiscard, gnu::noinline]] double power(double x) const noexcept { return a_.value(x) / b_.value(x); }
  /// Of the sign of |H|² - level.
  [[nodiscard, gnu::noinline]] double over(double level, double x) const noexcept {
    return a_.value(x) - level * b_.value(x);
  }
  /// Of the sign of d|H|²/dx.
  [[nodiscard, gnu::noinline]] double slope(double x) const noexcept {
    double a = 0, da = 0, b = 0, db = 0;
    a_.value_and_slope(x, a, da);
    b_.value_and_slope(x, b, db);
    return da * b - a * db;
  }
  /// x[i] = first·step^i and the slope there, i < count, several vectors at once: both have room for `count` rounded up
  /// to a multiple of 2·Width.
  template <int Width>
  [[gnu::noinline]] void slopes(double first, double step, std::size_t count, double* x,
                                double* slope) const noexcept {
    using lane = typename lane_type<Width>::type;
    constexpr std::size_t lanes = vectors * static_cast<std::size_t>(Width);
    double stride = 1;
    for (std::size_t i = 0; i < lanes; ++i) {
      x[i] = first * stride;
      stride *= step;
    }
    lane at[vectors];
    std::memcpy(at, x, sizeof at);
    for (std::size_t i = 0; i < count; i += lanes) {
      lane a[vectors]{}, da[vectors]{}, b[vectors]{}, db[vectors]{};
      a_.values_and_slopes(at, a, da);
      b_.values_and_slopes(at, b, db);
      std::memcpy(x + i, at, sizeof at);
      for (std::size_t k = 0; k < vectors; ++k) {
        const lane rising = da[k] * b[k] - a[k] * db[k];
        std::memcpy(slope + i + k * Width, &rising, sizeof rising);
        at[k] *= stride;
      }
    }
  }

private:
  static constexpr std::size_t vectors = 2; ///< side by side, so that one hides the latency of the other

  /// Σ c_k·x^k = |P(jω)|², x = ω².
  struct square {
    double c[polynomial_capacity];
    std::size_t size = 0;

    [[gnu::noinline]] explicit square(std::span<const double> p) noexcept : size(p.size()) {
      for (std::size_t k = 0; k < size; ++k) c[k] = 0;
      // |P|² has p_i·p_k·j^i·(-j)^k at ω^(i+k); only even i + k survive.
      for (std::size_t i = 0; i < p.size(); ++i)
        for (std::size_t k = i % 2; k < p.size(); k += 2) {
          const double term = p[i] * p[k];
          c[(i + k) / 2] += (i > k ? i - k : k - i) % 4 == 0 ? term : -term;
        }
    }
    [[nodiscard]] double value(double x) const noexcept {
      double y = 0;
      for (std::size_t k = size; k-- > 0;) y = y * x + c[k];
      return y;
    }
    void value_and_slope(double x, double& y, double& dy) const noexcept {
      for (std::size_t k = size; k-- > 0;) {
        dy = dy * x + y;
        y = y * x + c[k];
      }
    }
    template <class Lane>
    void values_and_slopes(const Lane (&x)[vectors], Lane (&y)[vectors], Lane (&dy)[vectors]) const noexcept {
      for (std::size_t k = size; k-- > 0;)
        for (std::size_t i = 0; i < vectors; ++i) {
          dy[i] = dy[i] * x[i] + y[i];
          y[i] = y[i] * x[i] + c[k];
        }
    }
  };
  square a_, b_;
};

/// A zero of f between a and b, where its values fa and fb differ in sign (Illinois variant of the secant: bracketing,
/// superlinear).
template <class F>
[[nodiscard]] double bracketed_root(const F& f, double a, double b, double fa, double fb) noexcept {
  for (int i = 0; i < 100 && std::abs(b - a) > 4e-15 * std::abs(b) && fb != 0; ++i) {
    double c = b - fb * (b - a) / (fb - fa);
    const bool rising = a < b;
    if (!(c > (rising ? a : b) && c < (rising ? b : a))) c = (a + b) / 2;
    const double fc = f(c);
    if ((fc > 0) != (fb > 0)) {
      a = b;
      fa = fb;
    } else {
      fa /= 2;
    }
    b = c;
    fb = fc;
  }
  return b;
}
template <class F>
[[nodiscard]] double bracketed_root(const F& f, double a, double b) noexcept {
  return bracketed_root(f, a, b, f(a), f(b));
}

} // namespace lodewire::detail
