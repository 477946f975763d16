// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <vector>

#include <lodewire/analysis/resonance.hpp>
#include <lodewire/parts/rotation.hpp>

namespace lodewire {

/// What a knob does over its whole travel, at equal steps of rotation.
struct knob_sweep {
  std::vector<double> rotation;  ///< 0 to 1
  std::vector<double> low_db;    ///< level at the low frequency, dB re 1 V
  std::vector<double> treble_db; ///< level at the treble frequency, dB re 1 V
  std::vector<resonance> found;  ///< none if not asked for

  /// Level at the low frequency relative to its highest, dB.
  [[nodiscard]] double fall_db(std::size_t step) const {
    return low_db[step] - *std::max_element(low_db.begin(), low_db.end());
  }
  /// Treble relative to the low frequency, dB.
  [[nodiscard]] double tilt_db(std::size_t step) const { return treble_db[step] - low_db[step]; }
};

/// Where the levels of a knob's sweep are taken.
struct knob_sweep_at {
  frequency low = frequency::from_value(100);
  frequency treble = frequency::from_value(5000);
  std::size_t steps = 41;
  bool resonances = true; ///< fill in `knob_sweep::found`: of a position by nodes most of the cost
};

/// Turns one control of a `live_instrument` from stop to stop and puts it back. Throws `invalid_value` for fewer than 2 steps or a response
/// that is not defined.
template <class Live>
[[nodiscard]] knob_sweep sweep_knob(Live& live, std::size_t position, std::size_t control,
                                    const knob_sweep_at& at = {}) {
  require_positive("knob_sweep.low", at.low);
  require_positive("knob_sweep.treble", at.treble);
  if (at.steps < 2) throw invalid_value("knob_sweep.steps", std::to_string(at.steps), "2 or more");
  const rotation was = live.knobs()[control];
  knob_sweep sweep;
  for (std::size_t k = 0; k < at.steps; ++k) {
    const double turned = static_cast<double>(k) / static_cast<double>(at.steps - 1);
    live.turn(control, rotation(turned));
    sweep.rotation.push_back(turned);
    if (at.resonances) sweep.found.push_back(live.peak(position));
    sweep.low_db.push_back(voltage_level(std::abs(live.response(position, at.low))).value());
    sweep.treble_db.push_back(voltage_level(std::abs(live.response(position, at.treble))).value());
  }
  live.turn(control, was);
  return sweep;
}

/// The rotation at which a curve over rotation first crosses a value, linear between its steps; nothing where it does
/// not. Both spans are of one length.
[[nodiscard]] inline std::optional<double> first_crossing(std::span<const double> rotation,
                                                          std::span<const double> curve, double value) {
  for (std::size_t k = 1; k < curve.size(); ++k) {
    const double a = curve[k - 1] - value, b = curve[k] - value;
    if ((a < 0) == (b < 0) || !is_finite(a) || !is_finite(b)) continue;
    return rotation[k - 1] + (rotation[k] - rotation[k - 1]) * (a / (a - b));
  }
  return std::nullopt;
}

/// The shortest part of the travel, 0 to 1, in which a curve covers `share` of its whole way up and down. 0 for a flat
/// curve. A linear law gives `share` itself; a small number says that the knob works like a switch.
[[nodiscard]] inline double travel_of_effect(std::span<const double> rotation, std::span<const double> curve,
                                             double share = 0.8) {
  require_within("travel_of_effect.share", share, 0.0, 1.0);
  std::vector<double> way(curve.size());
  for (std::size_t k = 1; k < curve.size(); ++k) way[k] = way[k - 1] + std::abs(curve[k] - curve[k - 1]);
  if (way.empty() || !(way.back() > 0)) return 0;
  const double wanted = share * way.back();
  double shortest = rotation.back() - rotation.front();
  for (std::size_t from = 0; from < way.size(); ++from)
    for (std::size_t to = from + 1; to < way.size(); ++to) {
      if (way[to] - way[from] < wanted) continue;
      // Back from the end of the last step to where the share is just covered.
      const double step = way[to] - way[to - 1], over = way[to] - way[from] - wanted;
      const double part = step > 0 ? over / step * (rotation[to] - rotation[to - 1]) : 0;
      shortest = (std::min)(shortest, rotation[to] - part - rotation[from]);
      break;
    }
  return shortest;
}

} // namespace lodewire
