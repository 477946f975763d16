// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <span>

/// Interpolation that passes through every point and turns nowhere between them: piecewise cubic, with a
/// continuous slope (F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238; slopes by F. N. Fritsch
/// and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300).
namespace lodewire {

/// One point of the curve and the slope there.
struct cubic_knot {
  double x = 0, y = 0, slope = 0;
  [[nodiscard]] bool operator==(const cubic_knot&) const = default;
};

/// Sets the slopes. x must increase strictly, y must not fall, two points or more. Cost: linear.
constexpr void set_monotone_slopes(std::span<cubic_knot> points) noexcept {
  const std::size_t last = points.size() - 1;
  const auto width = [&](std::size_t i) { return points[i + 1].x - points[i].x; };
  const auto rise = [&](std::size_t i) { return (points[i + 1].y - points[i].y) / width(i); };
  // A parabola through three points, held back where it would turn.
  const auto at_end = [&](std::size_t end, std::size_t next) {
    const double slope =
        ((2 * width(end) + width(next)) * rise(end) - width(end) * rise(next)) / (width(end) + width(next));
    return slope > 0 ? slope : 0;
  };
  if (last == 1) {
    points[0].slope = points[1].slope = rise(0);
    return;
  }
  points[0].slope = at_end(0, 1);
  points[last].slope = at_end(last - 1, last - 2);
  for (std::size_t i = 1; i < last; ++i) {
    const double before = rise(i - 1), after = rise(i);
    const double w_before = width(i - 1) + 2 * width(i), w_after = 2 * width(i - 1) + width(i);
    // The weighted harmonic mean: never more than three times the smaller one, which is what keeps it monotone.
    points[i].slope =
        before > 0 && after > 0 ? (w_before + w_after) / (w_before / before + w_after / after) : 0;
  }
}

/// The curve at x; the first or last y outside. Exact at the points. Cost: a binary search and a cubic.
[[nodiscard]] constexpr double interpolate(std::span<const cubic_knot> points, double x) noexcept {
  if (x <= points.front().x) return points.front().y;
  if (x >= points.back().x) return points.back().y;
  const auto right = std::upper_bound(points.begin(), points.end(), x,
                                      [](double v, const cubic_knot& k) { return v < k.x; });
  const cubic_knot& b = *right;
  const cubic_knot& a = *(right - 1);
  const double h = b.x - a.x, t = (x - a.x) / h, dy = b.y - a.y;
  const double square = 3 * dy - h * (2 * a.slope + b.slope), cube = h * (a.slope + b.slope) - 2 * dy;
  return std::clamp(a.y + t * (h * a.slope + t * (square + t * cube)), a.y, b.y);
}

} // namespace lodewire
