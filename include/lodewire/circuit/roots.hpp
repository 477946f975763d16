// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>
#include <utility>
#include <vector>

#include <lodewire/circuit/polynomial.hpp>
#include <lodewire/circuit/split_complex.hpp>

namespace lodewire {

/// A root of a polynomial and how far it may be off (a bound from the rounding of the evaluation, first order).
struct polynomial_root {
  split_complex<double> value;
  double uncertainty = 0;
};

namespace detail {

using point = split_complex<double>;

[[nodiscard]] inline double magnitude(const point& z) noexcept { return std::hypot(z.re, z.im); }

/// p'/p at z, |p|, |p'| and the rounding of |p|, by Horner inside the unit circle and on the reversed polynomial outside it,
/// so that no power overflows (the last three are then over |z|^n).
struct newton_step {
  point ratio;
  double size = 0, steepness = 0, rounding = 0;

  newton_step(std::span<const double> c, const point& z) noexcept {
    const std::size_t n = c.size() - 1;
    const bool inside = squared_magnitude(z) <= 1;
    const point x = inside ? z : point(1) / z;
    const double r = magnitude(x);
    point p(0), slope(0);
    double bound = 0;
    for (std::size_t k = 0; k <= n; ++k) {
      const double a = c[inside ? n - k : k];
      slope = slope * x + p;
      p = p * x + point(a);
      bound = bound * r + std::abs(a);
    }
    size = magnitude(p);
    rounding = bound * static_cast<double>(4 * n + 4) * 0x1p-53;
    const point local_slope = inside ? slope : x * (point(static_cast<double>(n)) * p - x * slope);
    steepness = magnitude(local_slope);
    if (!(size > 0)) return;
    ratio = local_slope / p;
  }
};

/// Starting points on circles whose radii the upper hull of (k, log|c_k|) gives (Newton polygon; Bini 1996): each
/// circle gets as many points as its edge is long.
inline void start_on_newton_polygon(std::span<const double> c, std::span<polynomial_root> at) {
  const std::size_t n = c.size() - 1;
  std::vector<std::size_t> hull;
  const auto height = [&](std::size_t k) { return std::log(std::abs(c[k])); };
  for (std::size_t k = 0; k <= n; ++k) {
    if (c[k] == 0) continue;
    while (hull.size() >= 2) {
      const std::size_t i = hull[hull.size() - 2], j = hull.back();
      const double chord =
          height(i) + (height(k) - height(i)) * static_cast<double>(j - i) / static_cast<double>(k - i);
      if (height(j) > chord) break;
      hull.pop_back();
    }
    hull.push_back(k);
  }
  std::size_t next = 0;
  for (std::size_t e = 0; e + 1 < hull.size(); ++e) {
    const std::size_t count = hull[e + 1] - hull[e];
    const double radius = std::exp((height(hull[e]) - height(hull[e + 1])) / static_cast<double>(count));
    for (std::size_t i = 0; i < count; ++i) {
      // The odd turn keeps the points off the real axis and off each other's mirror images.
      const double angle = 2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(count) + 0.7 +
                           2 * std::numbers::pi * static_cast<double>(e) / static_cast<double>(n);
      at[next++].value = point(radius * std::cos(angle), radius * std::sin(angle));
    }
  }
}

/// A real polynomial has roots that are real or come in pairs: makes them exactly so.
inline void pair_conjugates(std::span<polynomial_root> at) {
  std::vector<bool> done(at.size());
  for (std::size_t i = 0; i < at.size(); ++i) {
    if (done[i]) continue;
    done[i] = true;
    point& z = at[i].value;
    std::size_t mate = i;
    double nearest = std::abs(z.im); // as far as the real axis: then it is real
    for (std::size_t k = i + 1; k < at.size(); ++k) {
      const double away = magnitude(at[k].value - point(z.re, -z.im));
      if (!done[k] && away < nearest) {
        nearest = away;
        mate = k;
      }
    }
    if (mate == i) {
      z.im = 0;
      continue;
    }
    done[mate] = true;
    point& w = at[mate].value;
    z = point((z.re + w.re) / 2, (z.im - w.im) / 2);
    w = point(z.re, -z.im);
    at[i].uncertainty = at[mate].uncertainty = (std::max)(at[i].uncertainty, at[mate].uncertainty);
  }
}

} // namespace detail

/// All roots of Σ c[k]·x^k by simultaneous iteration (Aberth 1973), each with a bound. Complex ones come as exact
/// conjugate pairs, sorted by magnitude. Leading zero coefficients are dropped; trailing ones are roots at zero. A
/// multiple root comes as a cluster whose bounds say how ill-determined it is. Empty for a constant.
/// Cost: about degree² times some ten iterations; microseconds up to degree 12.
[[nodiscard]] inline std::vector<polynomial_root> roots(std::span<const double> c) {
  while (!c.empty() && c.back() == 0) c = c.first(c.size() - 1);
  if (c.size() < 2) return {};
  std::size_t at_zero = 0;
  while (c[at_zero] == 0) ++at_zero;
  std::vector<polynomial_root> found(c.size() - 1);
  // A common power of two moves no root, and near one no square of a coefficient vanishes or overflows.
  std::vector<double> scaled(c.begin() + static_cast<std::ptrdiff_t>(at_zero), c.end());
  double largest = 0;
  for (const double a : scaled) largest = (std::max)(largest, std::abs(a));
  for (double& a : scaled) a = std::ldexp(a, -std::ilogb(largest));
  c = scaled;
  const std::size_t n = c.size() - 1;
  const std::span<polynomial_root> at = std::span(found).subspan(at_zero);
  if (n > 0) detail::start_on_newton_polygon(c, at);

  std::vector<bool> settled(n);
  std::size_t open = n;
  for (int round = 0; round < 500 && open > 0; ++round) {
    for (std::size_t i = 0; i < n; ++i) {
      if (settled[i]) continue;
      detail::point& z = at[i].value;
      const detail::newton_step step(c, z);
      if (step.size <= step.rounding) {
        settled[i] = true;
        --open;
        continue;
      }
      detail::point repelled = step.ratio; // p'/p less what the other roots contribute
      for (std::size_t k = 0; k < n; ++k) {
        const detail::point apart = z - at[k].value;
        if (k != i && squared_magnitude(apart) > 0) repelled = repelled - detail::point(1) / apart;
      }
      if (!(squared_magnitude(repelled) > 0)) continue;
      const detail::point move = detail::point(1) / repelled;
      z = z - move;
      if (detail::magnitude(move) <= 0x1p-52 * detail::magnitude(z)) {
        settled[i] = true;
        --open;
      }
    }
  }
  for (polynomial_root& r : at) {
    const detail::newton_step step(c, r.value);
    // n·|p/p'| bounds the distance to a root; at a root p is as large as its rounding.
    const double slope = step.steepness;
    const double size = detail::magnitude(r.value);
    r.uncertainty = 0x1p-52 * size;
    if (slope > 0) r.uncertainty += static_cast<double>(n) * (step.size + step.rounding) / slope;
    if (!(slope > 0) || !(r.uncertainty < size)) r.uncertainty = step.size > 0 ? size : 0x1p-26 * size;
  }
  detail::pair_conjugates(at);
  for (std::size_t i = 1; i < found.size(); ++i)
    for (std::size_t k = i; k > 0; --k) {
      if (!(squared_magnitude(found[k].value) < squared_magnitude(found[k - 1].value))) break;
      std::swap(found[k], found[k - 1]);
    }
  return found;
}

} // namespace lodewire
