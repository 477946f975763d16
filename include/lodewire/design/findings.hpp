// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <vector>

#include <lodewire/design/find_control_faults.hpp>
#include <lodewire/design/find_dead_companions.hpp>
#include <lodewire/design/find_hum_and_supply.hpp>
#include <lodewire/design/find_mutes.hpp>
#include <lodewire/design/find_resonance_losses.hpp>
#include <lodewire/design/find_slips.hpp>
#include <lodewire/instrument/sound.hpp>

namespace lodewire {

/// What a good technician would say of an instrument, knobs where they stand, plugged into one destination: each
/// finding with its number and its cure in numbers, position by position, then of the whole. Levels are compared with
/// the first position. Throws `invalid_value` as `require_sound` does, and for limits that are not finite. Cost: tens
/// of milliseconds a position: cures are found by trying.
[[nodiscard]] inline std::vector<finding> findings(const instrument& of, const destination& into,
                                                   const finding_limits& limits = {}) {
  require_sound(of);
  for (const double db : {limits.resonance_loss_db, limits.level_jump_db, limits.treble_loss_db,
                          limits.peak_db, limits.cancelling_db, limits.headroom_db, limits.mute_db})
    require_finite("finding_limits, in dB", db);
  require_within("finding_limits.travel", limits.travel, 0.0, 1.0);
  std::vector<finding> found;
  for (std::size_t p = 0; p < of.positions.size(); ++p) {
    detail::find_companions(of, p, into, limits, found);
    detail::find_low_loads(of, p, into, limits, found);
    detail::find_level_jump(of, p, 0, into, limits, found);
    detail::find_high_peak(of, p, into, limits, found);
    detail::find_hum(of, p, into, limits, found);
    detail::find_input_load(of, p, into, limits, found);
    detail::find_cable(of, p, into, limits, found);
    detail::find_dead_companions(of, p, into, limits, found);
    detail::find_mutes(of, p, into, limits, found);
    for (std::size_t c = 0; c < of.controls.size(); ++c) {
      detail::find_lost_treble(of, p, c, into, limits, found);
      detail::find_crowded(of, p, c, into, limits, found);
      detail::find_tone_capacitor(of, p, c, into, limits, found);
    }
  }
  detail::find_supply(of, limits, found);
  detail::find_hot_covers(of, found);
  detail::find_slips(of, into, found);
  return found;
}

} // namespace lodewire
