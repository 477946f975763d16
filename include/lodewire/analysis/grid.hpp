// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/units.hpp>

namespace lodewire {

/// `points` frequencies in Hz from `from` to `to`, both included, in equal ratios. Throws `invalid_value` for
/// frequencies that are not positive and rising, or fewer than two points.
[[nodiscard]] inline std::vector<double> log_grid(frequency from, frequency to, std::size_t points);

/// The same in equal steps.
[[nodiscard]] inline std::vector<double> linear_grid(frequency from, frequency to, std::size_t points);

namespace detail {

inline void require_grid_ends(frequency from, frequency to, std::size_t points) {
  require_positive("grid.from", from);
  require_positive("grid.to", to);
  if (!(to > from))
    throw invalid_value("grid.to", engineering(to), "more than grid.from, " + engineering(from));
  if (points < 2) throw invalid_value("grid.points", std::to_string(points), "2 or more");
}

/// Refuses a grid that is empty, not finite, not positive or not rising; names the entry at fault.
inline void require_grid(std::span<const double> hz) {
  if (hz.empty()) throw invalid_value("grid", "empty", "one frequency or more");
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const double last = i == 0 ? 0 : hz[i - 1];
    if (is_finite(hz[i]) && hz[i] > last) continue;
    // Digits enough to tell neighbours apart.
    const auto shown = [](double x) { return engineering(x, "Hz", 9); };
    const bool low = !(hz[i] > 0);
    throw invalid_value("grid[" + std::to_string(i) + "]", shown(hz[i]),
                        !is_finite(hz[i]) ? "a finite frequency"
                        : low             ? "more than 0 Hz"
                                          : "more than the entry before, " + shown(last));
  }
}

} // namespace detail

inline std::vector<double> log_grid(frequency from, frequency to, std::size_t points) {
  detail::require_grid_ends(from, to, points);
  std::vector<double> hz(points);
  const double step = std::log(to.value() / from.value()) / static_cast<double>(points - 1);
  for (std::size_t i = 0; i < points; ++i) hz[i] = from.value() * std::exp(step * static_cast<double>(i));
  hz.back() = to.value();
  return hz;
}

inline std::vector<double> linear_grid(frequency from, frequency to, std::size_t points) {
  detail::require_grid_ends(from, to, points);
  std::vector<double> hz(points);
  const double step = (to.value() - from.value()) / static_cast<double>(points - 1);
  for (std::size_t i = 0; i < points; ++i) hz[i] = from.value() + step * static_cast<double>(i);
  hz.back() = to.value();
  return hz;
}

} // namespace lodewire
