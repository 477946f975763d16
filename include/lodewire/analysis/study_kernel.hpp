// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstring>

#include <lodewire/circuit/sampled_system.hpp>

/// What a study computes of each block of builds, from N and D of the transfer function with sampled coefficients:
/// |H|² at x = ω², and the sign of its slope. Width is in every name; lanes stay inside.
namespace lodewire::detail {

/// y = y·x + c[K], then K-2, K-4 ...: the rest of a Horner scheme in every second coefficient.
template <std::size_t K, class Lane>
void horner_by_two(Lane& y, const Lane* c, const Lane& x) noexcept {
  y = y * x + c[K];
  if constexpr (K >= 2) horner_by_two<K - 2>(y, c, x);
}

/// out = even(-x)² + x·odd(-x)² = |P(jω)|² of coefficients c[0..Degree].
template <std::size_t Degree, class Lane>
void square_at(Lane& out, const Lane* c, const Lane& x) noexcept {
  const Lane minus = -x;
  constexpr std::size_t top = Degree - Degree % 2;
  Lane even = c[top];
  if constexpr (top >= 2) horner_by_two<top - 2>(even, c, minus);
  out = even * even;
  if constexpr (Degree >= 1) {
    constexpr std::size_t odd_top = Degree - (Degree + 1) % 2;
    Lane odd = c[odd_top];
    if constexpr (odd_top >= 3) horner_by_two<odd_top - 2>(odd, c, minus);
    out += x * (odd * odd);
  }
}

/// power[i·build_block + b] = |N/D|² of build b at x[i] = ω_i². n and d hold Degree + 1 coefficients each.
template <int Width, std::size_t Degree>
void power_kernel(const sampled_value<Width>* n, const sampled_value<Width>* d, const double* x,
                  std::size_t count, double* power) noexcept {
  using value = sampled_value<Width>;
  using lane = typename value::lane;
  for (std::size_t g = 0; g < value::groups; ++g) {
    lane cn[Degree + 1], cd[Degree + 1];
    for (std::size_t k = 0; k <= Degree; ++k) {
      value::load(cn[k], n[k].v, g);
      value::load(cd[k], d[k].v, g);
    }
    for (std::size_t i = 0; i < count; ++i) {
      const lane at = lane{} + x[i];
      lane a, b;
      square_at<Degree>(a, cn, at);
      square_at<Degree>(b, cd, at);
      a /= b;
      value::store(power + i * build_block, g, a);
    }
  }
}

/// The same at any degree, known at run time, and where x differs from build to build: x[i·step + b], step 0 or
/// build_block; `shared` where it does not.
template <int Width>
void power_kernel_any(const sampled_value<Width>* n, const sampled_value<Width>* d, std::size_t degree,
                      const double* x, bool shared, std::size_t count, double* power) noexcept {
  using value = sampled_value<Width>;
  using lane = typename value::lane;
  for (std::size_t g = 0; g < value::groups; ++g)
    for (std::size_t i = 0; i < count; ++i) {
      lane at;
      if (shared) {
        at = lane{} + x[i];
      } else {
        value::load(at, x + i * build_block, g);
      }
      lane part[4] = {}, c; // even and odd of N, even and odd of D
      for (std::size_t k = degree + 1; k-- > 0;) {
        value::load(c, n[k].v, g);
        part[k % 2] = c - part[k % 2] * at;
        value::load(c, d[k].v, g);
        part[2 + k % 2] = c - part[2 + k % 2] * at;
      }
      c = (part[0] * part[0] + at * (part[1] * part[1])) / (part[2] * part[2] + at * (part[3] * part[3]));
      value::store(power + i * build_block, g, c);
    }
}

/// Picks the kernel; coefficients up to `degree` must be there in both (zeros where a polynomial ends).
template <int Width>
void sampled_power(const sampled_value<Width>* n, const sampled_value<Width>* d, std::size_t degree,
                   const double* x, std::size_t count, double* power) noexcept {
  switch (degree) {
  case 0: return power_kernel<Width, 0>(n, d, x, count, power);
  case 1: return power_kernel<Width, 1>(n, d, x, count, power);
  case 2: return power_kernel<Width, 2>(n, d, x, count, power);
  case 3: return power_kernel<Width, 3>(n, d, x, count, power);
  case 4: return power_kernel<Width, 4>(n, d, x, count, power);
  case 5: return power_kernel<Width, 5>(n, d, x, count, power);
  case 6: return power_kernel<Width, 6>(n, d, x, count, power);
  default: return power_kernel_any<Width>(n, d, degree, x, true, count, power);
  }
}

/// y[k] += factor·a·b
template <int Width>
void add_scaled_product(sampled_value<Width>& y, double factor, const sampled_value<Width>& a,
                        const sampled_value<Width>& b) noexcept {
  using value = sampled_value<Width>;
  for (std::size_t g = 0; g < value::groups; ++g) {
    typename value::lane p, q, r;
    value::load(p, a.v, g);
    value::load(q, b.v, g);
    value::load(r, y.v, g);
    r += factor * (p * q);
    value::store(y.v, g, r);
  }
}

/// square[k], k ≤ degree: coefficients in x = ω² of |P(jω)|².
template <int Width>
void sampled_square(const sampled_value<Width>* p, std::size_t degree,
                    sampled_value<Width>* square) noexcept {
  for (std::size_t k = 0; k <= degree; ++k) square[k] = sampled_value<Width>(0);
  // p_i·p_k·j^i·(-j)^k at ω^(i+k); only even i + k survive.
  for (std::size_t i = 0; i <= degree; ++i)
    for (std::size_t k = i; k <= degree; k += 2)
      add_scaled_product(square[(i + k) / 2], (i == k ? 1.0 : 2.0) * ((k - i) % 4 == 0 ? 1 : -1), p[i], p[k]);
}

/// slope[0..2·degree-1]: coefficients of a'·b - a·b', of the sign of d(a/b)/dx.
template <int Width>
void sampled_slope(const sampled_value<Width>* a, const sampled_value<Width>* b, std::size_t degree,
                   sampled_value<Width>* slope) noexcept {
  for (std::size_t k = 0; k < 2 * degree; ++k) slope[k] = sampled_value<Width>(0);
  for (std::size_t i = 0; i <= degree; ++i)
    for (std::size_t k = 0; k <= degree; ++k)
      if (i != k)
        add_scaled_product(slope[i + k - 1], static_cast<double>(i) - static_cast<double>(k), a[i], b[k]);
}

/// The sign bits of a polynomial with `size` coefficients at `count` ≤ 64 points: bit 63 of signs[b] is that of x[0].
template <int Width>
void sign_kernel(const sampled_value<Width>* c, std::size_t size, const double* x, std::size_t count,
                 std::uint64_t* signs) noexcept {
  using value = sampled_value<Width>;
  using lane = typename value::lane;
  using bits = typename lane_bits<Width>::type;
  for (std::size_t g = 0; g < value::groups; ++g) {
    lane coefficient[2 * polynomial_capacity];
    for (std::size_t k = 0; k < size; ++k) value::load(coefficient[k], c[k].v, g);
    bits packed{};
    for (std::size_t i = 0; i < count; ++i) {
      const lane at = lane{} + x[i];
      lane y = coefficient[size - 1];
      for (std::size_t k = size - 1; k-- > 0;) y = y * at + coefficient[k];
      bits sign;
      std::memcpy(&sign, &y, sizeof sign);
      packed = packed + packed + (sign >> 63U);
    }
    packed <<= 64 - count;
    std::memcpy(signs + g * value::width, &packed, sizeof packed);
  }
}

/// Zeros of the same polynomial, one between low[b] and high[b]: a secant, then Newton. x[b] is where it got, step[b] how
/// far it last went: no zero where that is not next to nothing.
template <int Width>
void zero_kernel(const sampled_value<Width>* c, std::size_t size, const double* low, const double* high,
                 double* x, double* step) noexcept {
  using value = sampled_value<Width>;
  using lane = typename value::lane;
  for (std::size_t g = 0; g < value::groups; ++g) {
    lane a, b, k;
    value::load(a, low, g);
    value::load(b, high, g);
    lane at_a{}, at_b{};
    for (std::size_t i = size; i-- > 0;) {
      value::load(k, c[i].v, g);
      at_a = at_a * a + k;
      at_b = at_b * b + k;
    }
    lane at = b - at_b * (b - a) / (at_b - at_a), moved{};
    for (int i = 0; i < 4; ++i) {
      lane y{}, dy{};
      for (std::size_t j = size; j-- > 0;) {
        value::load(k, c[j].v, g);
        dy = dy * at + y;
        y = y * at + k;
      }
      moved = y / dy;
      at -= moved;
    }
    value::store(x, g, at);
    value::store(step, g, moved);
  }
}

} // namespace lodewire::detail
