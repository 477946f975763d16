// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <span>
#include <vector>

#include <lodewire/circuit/roots.hpp>

/// The part of a magnitude-matched design that bends a response towards half the sampling rate: a polynomial in z⁻¹
/// of minimum phase whose squared magnitude follows a smooth target.
namespace lodewire::detail {

/// Points at which the target is given: θ = π·(k + 1)/`correction_points`, up to θ = π.
inline constexpr std::size_t correction_points = 96;
using correction_target = std::array<double, correction_points>;

[[nodiscard]] inline double correction_angle(std::size_t k) noexcept {
  return std::numbers::pi * static_cast<double>(k + 1) / correction_points;
}

/// Solves a few equations in place, rows scaled, by elimination; a vanishing pivot gives 0 there.
template <std::size_t Capacity>
void solve_few(std::array<std::array<double, Capacity + 1>, Capacity>& a, std::size_t n) noexcept {
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t best = k;
    for (std::size_t r = k; r < n; ++r)
      if (std::abs(a[r][k]) > std::abs(a[best][k])) best = r;
    std::swap(a[k], a[best]);
    const double inverse = a[k][k] != 0 ? 1 / a[k][k] : 0;
    for (std::size_t c = k; c <= n; ++c) a[k][c] *= inverse;
    for (std::size_t r = 0; r < n; ++r) {
      if (r == k) continue;
      const double f = a[r][k];
      for (std::size_t c = k; c <= n; ++c) a[r][c] -= f * a[k][c];
    }
  }
}

/// 1 + q1·x + ... + qm·x^m, x = sin²(θ/2), that follows `target` (1 at θ = 0, positive): least squares of the relative
/// error over the points, those above `trusted` (as a share of half the rate) counting a hundredth.
[[nodiscard]] inline std::vector<double> fit_correction(const correction_target& target, std::size_t degree,
                                                        double trusted) {
  constexpr std::size_t most = 4;
  // In Chebyshev polynomials of 1 - 2x less their value at x = 0, which are well apart; powers of x at the end.
  std::array<std::array<double, most + 1>, most> normal{};
  for (std::size_t i = 0; i < correction_points; ++i) {
    const double theta = correction_angle(i);
    const double weight = theta <= trusted * std::numbers::pi ? 1 : 0.01;
    std::array<double, most> basis{};
    for (std::size_t k = 0; k < degree; ++k)
      basis[k] = (std::cos(static_cast<double>(k + 1) * theta) - 1) / target[i];
    const double wanted = 1 - 1 / target[i];
    for (std::size_t r = 0; r < degree; ++r) {
      for (std::size_t c = 0; c < degree; ++c) normal[r][c] += weight * basis[r] * basis[c];
      normal[r][degree] += weight * basis[r] * wanted;
    }
  }
  solve_few<most>(normal, degree);
  // cos kθ = T_k(1 - 2x): T1 = 1 - 2x, T2 = 1 - 8x + 8x², T3 = 1 - 18x + 48x² - 32x³,
  // T4 = 1 - 32x + 160x² - 256x³ + 128x⁴
  constexpr double powers[most][most + 1] = {
      {0, -2, 0, 0, 0}, {0, -8, 8, 0, 0}, {0, -18, 48, -32, 0}, {0, -32, 160, -256, 128}};
  std::vector<double> q(degree + 1);
  q[0] = 1;
  for (std::size_t k = 0; k < degree; ++k)
    for (std::size_t p = 1; p <= degree; ++p) q[p] += normal[k][degree] * powers[k][p];
  return q;
}

/// The zeros in z of the minimum-phase factor of q(x), or nothing where q is not positive on 0 to 1 with something to
/// spare (a tenth of the target at least).
[[nodiscard]] inline std::vector<std::complex<double>>
minimum_phase_zeros(const std::vector<double>& q, const correction_target& target, bool& found) {
  found = true;
  for (std::size_t i = 0; i < correction_points; ++i) {
    const double half = std::sin(correction_angle(i) / 2), x = half * half;
    double y = 0;
    for (std::size_t k = q.size(); k-- > 0;) y = y * x + q[k];
    found = found && y > 0.1 * target[i];
  }
  std::vector<std::complex<double>> zeros;
  if (!found) return zeros;
  for (const polynomial_root& r : roots(q)) {
    // z + 1/z = 2 - 4x; of the two the one inside the unit circle.
    const auto half = 1. - 2. * to_standard(r.value);
    auto root = std::sqrt(half * half - 1.);
    if (std::norm(half + root) < std::norm(half - root)) root = -root;
    auto z = 1. / (half + root);
    if (r.value.im == 0) z = {z.real(), 0};
    zeros.push_back(z);
    found = found && std::norm(z) < 1;
  }
  return zeros;
}

} // namespace lodewire::detail
