// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstddef>
#include <cstring>
#include <numbers>

#include <lodewire/circuit/lanes.hpp>
#include <lodewire/circuit/scale.hpp>

namespace lodewire {

/// How many frequencies a block holds.
inline constexpr std::size_t block_size = 32;

/// The number system 'a block of frequencies on the jω axis', real and imaginary parts apart. The program is read
/// once for the whole block, so its reading costs little. Width: doubles in a vector register.
template <int Width>
class block_system {
public:
  using lane = typename detail::lane_type<Width>::type;
  using coefficient = double;
  static constexpr std::size_t groups = block_size / static_cast<std::size_t>(Width);

  struct number {
    lane re[groups];
    lane im[groups];
  };

  /// `block_size` frequencies in Hz.
  explicit block_system(const double* hz) noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      std::memcpy(&omega_[g], hz + g * Width, sizeof(lane));
      omega_[g] *= 2 * std::numbers::pi / scale::per_second;
    }
  }

  [[nodiscard]] static double as_coefficient(double v, double times) noexcept { return v * times; }
  [[gnu::noinline]] static void set(number& x, double c) noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      x.re[g] = lane{} + c;
      x.im[g] = lane{};
    }
  }
  [[gnu::noinline]] static void scale(number& x, double c) noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      x.re[g] *= c;
      x.im[g] *= c;
    }
  }
  [[gnu::noinline]] void scale_s(number& x, double c) const noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      const lane w = omega_[g] * c;
      const lane re = x.re[g];
      x.re[g] = -w * x.im[g];
      x.im[g] = w * re;
    }
  }
  [[gnu::noinline]] static void add(number& y, const number& x) noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      y.re[g] += x.re[g];
      y.im[g] += x.im[g];
    }
  }
  [[gnu::noinline]] static void add(number& y, double c, const number& x) noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      y.re[g] += c * x.re[g];
      y.im[g] += c * x.im[g];
    }
  }
  [[gnu::noinline]] void add_s(number& y, double c, const number& x) const noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      const lane w = omega_[g] * c;
      y.re[g] -= w * x.im[g];
      y.im[g] += w * x.re[g];
    }
  }
  /// y += (c0 + c1·s)·x
  [[gnu::noinline]] void add_linear(number& y, double c0, double c1, const number& x) const noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      const lane w = omega_[g] * c1;
      y.re[g] += c0 * x.re[g] - w * x.im[g];
      y.im[g] += c0 * x.im[g] + w * x.re[g];
    }
  }
  /// y = (c0 + c1·s)·y
  [[gnu::noinline]] void scale_linear(number& y, double c0, double c1) const noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      const lane w = omega_[g] * c1;
      const lane re = y.re[g];
      y.re[g] = c0 * re - w * y.im[g];
      y.im[g] = c0 * y.im[g] + w * re;
    }
  }
  [[gnu::noinline]] static void multiply(number& y, const number& x) noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      const lane re = y.re[g];
      y.re[g] = re * x.re[g] - y.im[g] * x.im[g];
      y.im[g] = re * x.im[g] + y.im[g] * x.re[g];
    }
  }
  [[gnu::noinline]] static void multiply_sum(number& y, const number& b, const number& x,
                                             const number& d) noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      const lane re = y.re[g];
      y.re[g] = re * b.re[g] - y.im[g] * b.im[g] + (x.re[g] * d.re[g] - x.im[g] * d.im[g]);
      y.im[g] = re * b.im[g] + y.im[g] * b.re[g] + (x.re[g] * d.im[g] + x.im[g] * d.re[g]);
    }
  }
  [[nodiscard, gnu::noinline]] static number product(const number& x, const number& y) noexcept {
    number z = x;
    multiply(z, y);
    return z;
  }
  /// Shorts and opens are so at every frequency, so the first one tells, and the rest confirm.
  [[nodiscard, gnu::noinline]] static bool is_zero(const number& x) noexcept {
    if (first(x.re[0]) != 0 || first(x.im[0]) != 0) return false;
    for (std::size_t i = 0; i < block_size; ++i)
      if (get(x.re, i) != 0 || get(x.im, i) != 0) return false;
    return true;
  }
  [[gnu::noinline]] void power(number& x, double k, double alpha) const noexcept {
    const double turn = alpha * std::numbers::pi / 2;
    for (std::size_t i = 0; i < block_size; ++i) {
      const double size = k * std::pow(get(omega_, i) * scale::per_second, alpha);
      const double re = get(x.re, i), im = get(x.im, i);
      put(x.re, i, size * (std::cos(turn) * re - std::sin(turn) * im));
      put(x.im, i, size * (std::cos(turn) * im + std::sin(turn) * re));
    }
  }
  [[gnu::noinline]] static void common_factor(number& n, number& d, number* emf, std::size_t count) noexcept {
    const double size = std::abs(first(n.re[0])) + std::abs(first(n.im[0])) + std::abs(first(d.re[0])) +
                        std::abs(first(d.im[0]));
    if ((size < 0x1p80 && size > 0x1p-80) || !(size > 0)) return;
    const double factor = size > 1 ? 0x1p-80 : 0x1p80;
    scale(n, factor);
    scale(d, factor);
    for (std::size_t k = 0; k < count; ++k) scale(emf[k], factor);
  }

  /// Element i of a block's part.
  [[nodiscard]] static double get(const lane* part, std::size_t i) noexcept {
    double v;
    std::memcpy(&v, reinterpret_cast<const unsigned char*>(part) + i * sizeof v, sizeof v);
    return v;
  }

private:
  static void put(lane* part, std::size_t i, double v) noexcept {
    std::memcpy(reinterpret_cast<unsigned char*>(part) + i * sizeof v, &v, sizeof v);
  }
  [[nodiscard]] static double first(const lane& v) noexcept { return get(&v, 0); }

  lane omega_[groups];
};

} // namespace lodewire
