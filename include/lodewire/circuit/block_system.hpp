// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <cstring>
#include <numbers>
#include <span>

#include <lodewire/circuit/coil_pair_rule.hpp>
#include <lodewire/circuit/lanes.hpp>
#include <lodewire/circuit/scale.hpp>

namespace lodewire {

/// How many frequencies a block holds at most.
inline constexpr std::size_t block_size = 64;

/// The number system 'a block of frequencies on the jω axis', real and imaginary parts apart. The program is read
/// once for the whole block, so its reading costs little. Width: doubles in a vector register.
template <int Width>
class block_system {
public:
  using lane = typename detail::lane_type<Width>::type;
  using coefficient = double;
  static constexpr std::size_t most_groups = block_size / static_cast<std::size_t>(Width);

  struct number {
    lane re[most_groups];
    lane im[most_groups];
  };

  /// 1 to `block_size` frequencies in Hz; the last group is filled up with the last of them.
  explicit block_system(std::span<const double> hz) noexcept
      : groups_{(hz.size() + Width - 1) / static_cast<std::size_t>(Width)} {
    const std::size_t whole = hz.size() / Width;
    for (std::size_t g = 0; g < whole; ++g) std::memcpy(&omega_[g], hz.data() + g * Width, sizeof(lane));
    for (std::size_t i = whole * Width; i < groups_ * Width; ++i)
      put(omega_, i, hz[(std::min)(i, hz.size() - 1)]);
    for (std::size_t g = 0; g < groups_; ++g) omega_[g] *= 2 * std::numbers::pi / scale::per_second;
  }

  [[nodiscard]] std::size_t groups() const noexcept { return groups_; }

  [[nodiscard]] static double as_coefficient(double v, double times) noexcept { return v * times; }
  [[gnu::noinline]] void set(number& x, double c) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      x.re[g] = lane{} + c;
      x.im[g] = lane{};
    }
  }
  [[gnu::noinline]] void scale(number& x, double c) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      x.re[g] *= c;
      x.im[g] *= c;
    }
  }
  [[gnu::noinline]] void scale_s(number& x, double c) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      const lane w = omega_[g] * c;
      const lane re = x.re[g];
      x.re[g] = -w * x.im[g];
      x.im[g] = w * re;
    }
  }
  [[gnu::noinline]] void add(number& y, const number& x) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      y.re[g] += x.re[g];
      y.im[g] += x.im[g];
    }
  }
  [[gnu::noinline]] void add(number& y, double c, const number& x) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      y.re[g] += c * x.re[g];
      y.im[g] += c * x.im[g];
    }
  }
  [[gnu::noinline]] void add_s(number& y, double c, const number& x) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      const lane w = omega_[g] * c;
      y.re[g] -= w * x.im[g];
      y.im[g] += w * x.re[g];
    }
  }
  /// y += (c0 + c1·s)·x
  [[gnu::noinline]] void add_linear(number& y, double c0, double c1, const number& x) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      const lane w = omega_[g] * c1;
      y.re[g] += c0 * x.re[g] - w * x.im[g];
      y.im[g] += c0 * x.im[g] + w * x.re[g];
    }
  }
  /// [R + sL : 1] with G + sC across it (eq. 6, 7)
  [[gnu::noinline]] void start(homogeneous_pair<number>& to, double r, double l, double g,
                               double c) const noexcept {
    const double real = 1 + g * r, linear = g * l + c * r, square = l * c;
    for (std::size_t i = 0; i < groups_; ++i) {
      const lane w = omega_[i];
      to.n.re[i] = lane{} + r;
      to.n.im[i] = w * l;
      to.d.re[i] = real - w * w * square;
      to.d.im[i] = w * linear;
    }
  }
  /// y = (1 + c·s)·y
  [[gnu::noinline]] void scale_linear(number& y, double c) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      const lane w = omega_[g] * c;
      const lane re = y.re[g];
      y.re[g] = re - w * y.im[g];
      y.im[g] = y.im[g] + w * re;
    }
  }
  /// y = (1 + c·s)·y + (c0 + c1·s)·x, then x = (1 + c·s)·x
  [[gnu::noinline]] void scale_and_add(number& x, number& y, double c, double c0, double c1) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      const lane w = omega_[g] * c, w1 = omega_[g] * c1;
      const lane xr = x.re[g], xi = x.im[g], yr = y.re[g], yi = y.im[g];
      y.re[g] = yr - w * yi + (c0 * xr - w1 * xi);
      y.im[g] = yi + w * yr + (c0 * xi + w1 * xr);
      x.re[g] = xr - w * xi;
      x.im[g] = xi + w * xr;
    }
  }
  [[gnu::noinline]] void multiply(number& y, const number& x) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      const lane re = y.re[g];
      y.re[g] = re * x.re[g] - y.im[g] * x.im[g];
      y.im[g] = re * x.im[g] + y.im[g] * x.re[g];
    }
  }
  [[gnu::noinline]] void multiply_sum(number& y, const number& b, const number& x,
                                      const number& d) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      const lane re = y.re[g];
      y.re[g] = re * b.re[g] - y.im[g] * b.im[g] + (x.re[g] * d.re[g] - x.im[g] * d.im[g]);
      y.im[g] = re * b.im[g] + y.im[g] * b.re[g] + (x.re[g] * d.im[g] + x.im[g] * d.re[g]);
    }
  }
  [[nodiscard, gnu::noinline]] number product(const number& x, const number& y) const noexcept {
    number z = x;
    multiply(z, y);
    return z;
  }
  /// Shorts and opens are so at every frequency, so the first one tells, and the rest confirm.
  [[nodiscard, gnu::noinline]] bool is_zero(const number& x) const noexcept {
    if (first(x.re[0]) != 0 || first(x.im[0]) != 0) return false;
    for (std::size_t i = 0; i < groups_ * Width; ++i)
      if (get(x.re, i) != 0 || get(x.im, i) != 0) return false;
    return true;
  }
  [[gnu::noinline]] void power(number& x, double k, double alpha) const noexcept {
    const double turn = alpha * std::numbers::pi / 2;
    for (std::size_t i = 0; i < groups_ * Width; ++i) {
      const double size = k * std::pow(get(omega_, i) * scale::per_second, alpha);
      const double re = get(x.re, i), im = get(x.im, i);
      put(x.re, i, size * (std::cos(turn) * re - std::sin(turn) * im));
      put(x.im, i, size * (std::cos(turn) * im + std::sin(turn) * re));
    }
  }
  [[gnu::noinline]] void common_factor(number& n, number& d, number* emf, std::size_t count) const noexcept {
    const double size = std::abs(first(n.re[0])) + std::abs(first(n.im[0])) + std::abs(first(d.re[0])) +
                        std::abs(first(d.im[0]));
    if ((size < 0x1p80 && size > 0x1p-80) || !(size > 0)) return;
    const double factor = size > 1 ? 0x1p-80 : 0x1p80;
    scale(n, factor);
    scale(d, factor);
    for (std::size_t k = 0; k < count; ++k) scale(emf[k], factor);
  }

  /// out[i] = x/y, as many as `out` has; y is not zero.
  [[gnu::noinline]] void quotient(const number& x, const number& y,
                                  std::span<std::complex<double>> out) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      const lane over = 1 / (y.re[g] * y.re[g] + y.im[g] * y.im[g]);
      const lane re = (x.re[g] * y.re[g] + x.im[g] * y.im[g]) * over;
      const lane im = (x.im[g] * y.re[g] - x.re[g] * y.im[g]) * over;
      double pairs[2 * static_cast<std::size_t>(Width)];
      detail::interleave<Width>(re, im, pairs);
      const std::size_t from = g * Width;
      std::memcpy(static_cast<void*>(out.data() + from), pairs,
                  sizeof(double) * 2 * (std::min)(static_cast<std::size_t>(Width), out.size() - from));
    }
  }
  /// x = x/y
  [[gnu::noinline]] void divide(number& x, const number& y) const noexcept {
    for (std::size_t g = 0; g < groups_; ++g) {
      const lane over = 1 / (y.re[g] * y.re[g] + y.im[g] * y.im[g]);
      const lane re = (x.re[g] * y.re[g] + x.im[g] * y.im[g]) * over;
      x.im[g] = (x.im[g] * y.re[g] - x.re[g] * y.im[g]) * over;
      x.re[g] = re;
    }
  }

private:
  /// Element i of a block's part.
  [[nodiscard]] static double get(const lane* part, std::size_t i) noexcept {
    double v;
    std::memcpy(&v, reinterpret_cast<const unsigned char*>(part) + i * sizeof v, sizeof v);
    return v;
  }
  static void put(lane* part, std::size_t i, double v) noexcept {
    std::memcpy(reinterpret_cast<unsigned char*>(part) + i * sizeof v, &v, sizeof v);
  }
  [[nodiscard]] static double first(const lane& v) noexcept { return get(&v, 0); }

  std::size_t groups_;
  lane omega_[most_groups];
};

} // namespace lodewire
