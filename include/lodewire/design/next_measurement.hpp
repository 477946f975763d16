// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <optional>
#include <vector>

#include <lodewire/design/meter_shows.hpp>
#include <lodewire/design/meter_spread.hpp>

namespace lodewire {

/// A measurement that tells two faults apart.
struct telling_measurement {
  meter_reading setting{}; ///< position and knobs; `shown` is not set
  resistance first{}, second{};
};

/// Of all positions, with all knobs full or one of them at 0 or half, the one whose readings differ most. None where
/// no such reading differs by more than four times the meter's tolerance: then only the sound tells, or a meter inside.
/// Throws `invalid_value` as `rank_faults` and `meter_shows`.
[[nodiscard]] inline std::optional<telling_measurement>
next_measurement(const instrument& of, const suspect& a, const suspect& b, const meter_limits& limits = {}) {
  detail::require_suspect(of, a);
  detail::require_suspect(of, b);
  detail::require_limits(limits);
  std::optional<telling_measurement> best;
  double most = 4 * limits.meter;
  for (std::size_t p = 0; p < of.positions.size(); ++p)
    for (std::size_t turned = 0; turned < 2 * of.controls.size() + 1; ++turned) {
      std::vector<rotation> knobs(of.controls.size(), rotation(1));
      if (turned > 0) knobs[(turned - 1) / 2] = rotation(turned % 2 == 0 ? 0.5 : 0.0);
      const double first = detail::shown_by_meter(of, a, p, knobs);
      const double second = detail::shown_by_meter(of, b, p, knobs);
      const double apart = std::abs(detail::log_reading(first, limits) - detail::log_reading(second, limits));
      if (!(apart > most * (1 + 1e-9))) continue;
      most = apart;
      best = telling_measurement{
          {of.positions[p].name, {}, knobs}, resistance::from_value(first), resistance::from_value(second)};
    }
  return best;
}

} // namespace lodewire
