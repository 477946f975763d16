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

/// re[i] + j·im[i] = num(jω)/den(jω) for `count` frequencies in Hz, `count` a multiple of Width. num and den hold
/// Degree + 1 coefficients in units of `scale::per_second`.
template <int Width, std::size_t Degree>
void ratio_kernel(const double* num, const double* den, const double* hz, double* re, double* im,
                  std::size_t count) noexcept {
  using lane = typename lane_type<Width>::type;
  constexpr double unit = 2 * std::numbers::pi / scale::per_second;
  for (std::size_t i = 0; i < count; i += Width) {
    lane w;
    std::memcpy(&w, hz + i, sizeof w);
    w *= unit;
    const lane x = -w * w;
    const axis_value<Width, Degree> n(num, w, x);
    const axis_value<Width, Degree> d(den, w, x);
    const lane inverse = 1 / (d.re * d.re + d.im * d.im);
    const lane real = (n.re * d.re + n.im * d.im) * inverse;
    const lane imaginary = (n.im * d.re - n.re * d.im) * inverse;
    std::memcpy(re + i, &real, sizeof real);
    std::memcpy(im + i, &imaginary, sizeof imaginary);
  }
}

/// The same for any degree, known at run time.
template <int Width>
void ratio_kernel_any(const double* num, const double* den, std::size_t degree, const double* hz, double* re,
                      double* im, std::size_t count) noexcept {
  using lane = typename lane_type<Width>::type;
  constexpr double unit = 2 * std::numbers::pi / scale::per_second;
  for (std::size_t i = 0; i < count; i += Width) {
    lane w;
    std::memcpy(&w, hz + i, sizeof w);
    w *= unit;
    const lane x = -w * w;
    lane part[4] = {}; // even and odd of num, even and odd of den
    for (std::size_t k = degree + 1; k-- > 0;) {
      part[k % 2] = part[k % 2] * x + num[k];
      part[2 + k % 2] = part[2 + k % 2] * x + den[k];
    }
    const lane nim = part[1] * w, dim = part[3] * w;
    const lane inverse = 1 / (part[2] * part[2] + dim * dim);
    const lane real = (part[0] * part[2] + nim * dim) * inverse;
    const lane imaginary = (nim * part[2] - part[0] * dim) * inverse;
    std::memcpy(re + i, &real, sizeof real);
    std::memcpy(im + i, &imaginary, sizeof imaginary);
  }
}

/// Picks the kernel; coefficients up to `degree` must be there in both (zeros where a polynomial ends).
template <int Width>
void evaluate_ratio(const double* num, const double* den, std::size_t degree, const double* hz, double* re,
                    double* im, std::size_t count) noexcept {
  switch (degree) {
  case 0: return ratio_kernel<Width, 0>(num, den, hz, re, im, count);
  case 1: return ratio_kernel<Width, 1>(num, den, hz, re, im, count);
  case 2: return ratio_kernel<Width, 2>(num, den, hz, re, im, count);
  case 3: return ratio_kernel<Width, 3>(num, den, hz, re, im, count);
  case 4: return ratio_kernel<Width, 4>(num, den, hz, re, im, count);
  case 5: return ratio_kernel<Width, 5>(num, den, hz, re, im, count);
  case 6: return ratio_kernel<Width, 6>(num, den, hz, re, im, count);
  case 7: return ratio_kernel<Width, 7>(num, den, hz, re, im, count);
  case 8: return ratio_kernel<Width, 8>(num, den, hz, re, im, count);
  default: return ratio_kernel_any<Width>(num, den, degree, hz, re, im, count);
  }
}

} // namespace lodewire::detail
