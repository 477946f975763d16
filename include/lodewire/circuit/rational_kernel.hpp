// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <cstring>
#include <numbers>

#include <lodewire/circuit/lanes.hpp>
#include <lodewire/circuit/scale.hpp>

/// Evaluates a ratio of two real polynomials along the jω axis. With x = -ω² each polynomial is an even part plus jω
/// times an odd part, so a point costs about one multiply-add a coefficient and one real division.
namespace lodewire::detail {

/// Coefficients c[0..Degree] at jω: re = even(x), im = ω·odd(x).
template <int Width, std::size_t Degree>
struct axis_value {
  using lane = typename lane_type<Width>::type;
  lane re, im;
  axis_value(const double* c, const lane& w, const lane& x) noexcept {
    re = lane{} + c[Degree - Degree % 2];
    for (std::size_t k = Degree - Degree % 2; k >= 2; k -= 2) re = re * x + c[k - 2];
    if constexpr (Degree == 0) {
      im = lane{};
    } else {
      constexpr std::size_t odd = Degree - (Degree + 1) % 2;
      im = lane{} + c[odd];
      for (std::size_t k = odd; k >= 3; k -= 2) im = im * x + c[k - 2];
      im *= w;
    }
  }
};

/// From the parts of both: re[i] + j·im[i] = num/den.
template <int Width>
void ratio_kernel_store(const typename lane_type<Width>::type (&part)[4], double* re, double* im) noexcept {
  const auto& [nr, ni, dr, di] = part;
  const auto inverse = 1 / (dr * dr + di * di);
  const auto real = (nr * dr + ni * di) * inverse;
  const auto imaginary = (ni * dr - nr * di) * inverse;
  std::memcpy(re, &real, sizeof real);
  std::memcpy(im, &imaginary, sizeof imaginary);
}

/// re[i] + j·im[i] = num(jω)/den(jω) for `count` frequencies in Hz, `count` a multiple of Width. num and den hold
/// N + 1 and D + 1 coefficients in units of `scale::per_second`.
template <int Width, std::size_t N, std::size_t D>
void ratio_kernel(const double* num, const double* den, const double* hz, double* re, double* im,
                  std::size_t count) noexcept {
  using lane = typename lane_type<Width>::type;
  constexpr double unit = 2 * std::numbers::pi / scale::per_second;
  // Copies that no result can overwrite; the unit of ω and the signs of the powers of j are in them.
  double n[N + 1], d[D + 1], power = 1;
  for (std::size_t k = 0; k <= D; ++k) {
    d[k] = den[k] * power;
    if (k <= N) n[k] = num[k] * power;
    power *= k % 2 == 0 ? unit : -unit; // 1, 1, -1, -1, 1 ...
  }
  for (std::size_t i = 0; i < count; i += Width) {
    lane w;
    std::memcpy(&w, hz + i, sizeof w);
    const lane x = w * w;
    const axis_value<Width, N> up(n, w, x);
    const axis_value<Width, D> down(d, w, x);
    ratio_kernel_store<Width>({up.re, up.im, down.re, down.im}, re + i, im + i);
  }
}

/// Σ c[k]·(jω)^k, k ≤ degree, for two lanes' worth of frequencies at once: a sum waits for its last product, and four
/// sums fill that time.
template <int Width>
[[gnu::always_inline]] inline void
ratio_kernel_two(const double* c, std::size_t degree, const typename lane_type<Width>::type& w0,
                 const typename lane_type<Width>::type& w1, typename lane_type<Width>::type* part0,
                 typename lane_type<Width>::type* part1) noexcept {
  using lane = typename lane_type<Width>::type;
  const lane x0 = -w0 * w0, x1 = -w1 * w1;
  std::size_t k = degree / 2 * 2;
  lane even0 = lane{} + c[k], odd0 = lane{} + (degree > k ? c[k + 1] : 0), even1 = even0, odd1 = odd0;
  while (k > 0) {
    k -= 2;
    even0 = even0 * x0 + c[k];
    even1 = even1 * x1 + c[k];
    odd0 = odd0 * x0 + c[k + 1];
    odd1 = odd1 * x1 + c[k + 1];
  }
  part0[0] = even0;
  part0[1] = odd0 * w0;
  part1[0] = even1;
  part1[1] = odd1 * w1;
}

/// The same for any degrees, known at run time.
template <int Width>
void ratio_kernel_any(const double* num, std::size_t num_degree, const double* den, std::size_t den_degree,
                      const double* hz, double* re, double* im, std::size_t count) noexcept {
  using lane = typename lane_type<Width>::type;
  constexpr double unit = 2 * std::numbers::pi / scale::per_second;
  for (std::size_t i = 0; i < count; i += 2 * Width) {
    const std::size_t j = i + Width < count ? i + Width : i; // the last alone: twice
    lane w0, w1, part0[4], part1[4];
    std::memcpy(&w0, hz + i, sizeof w0);
    std::memcpy(&w1, hz + j, sizeof w1);
    w0 *= unit;
    w1 *= unit;
    ratio_kernel_two<Width>(num, num_degree, w0, w1, part0, part1);
    ratio_kernel_two<Width>(den, den_degree, w0, w1, part0 + 2, part1 + 2);
    ratio_kernel_store<Width>(part0, re + i, im + i);
    ratio_kernel_store<Width>(part1, re + j, im + j);
  }
}

/// Picks the kernel. num must have as many coefficients as den (zeros where it ends): up to degree 8 there is one kernel
/// for a numerator of at most half the degree, which most circuits of shunt capacitors have, and one for the others.
template <int Width>
void evaluate_ratio(const double* num, std::size_t num_degree, const double* den, std::size_t den_degree,
                    const double* hz, double* re, double* im, std::size_t count) noexcept {
  const auto fixed = [&]<std::size_t D>() {
    if (num_degree <= D / 2) return ratio_kernel<Width, D / 2, D>(num, den, hz, re, im, count);
    return ratio_kernel<Width, D, D>(num, den, hz, re, im, count);
  };
  switch (num_degree > den_degree ? std::size_t{9} : den_degree) {
  case 0: return fixed.template operator()<0>();
  case 1: return fixed.template operator()<1>();
  case 2: return fixed.template operator()<2>();
  case 3: return fixed.template operator()<3>();
  case 4: return fixed.template operator()<4>();
  case 5: return fixed.template operator()<5>();
  case 6: return fixed.template operator()<6>();
  case 7: return fixed.template operator()<7>();
  case 8: return fixed.template operator()<8>();
  default: return ratio_kernel_any<Width>(num, num_degree, den, den_degree, hz, re, im, count);
  }
}

} // namespace lodewire::detail
