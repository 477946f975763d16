// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/analysis/level.hpp>
#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/instrument/compose_position.hpp>
#include <lodewire/instrument/roles.hpp>

namespace lodewire {

/// What a finding is about.
enum class finding_kind : std::uint8_t {
  low_impedance_companion, ///< a low source impedance across a passive coil in the same position
  load_too_low,            ///< the controls are a load that takes a passive coil's resonance
  level_jump,              ///< a position much louder or softer than the reference
  treble_lost,             ///< at part volume
  crowded_travel,          ///< a knob works in a small part of its travel
  tone_capacitor,          ///< its corner does not suit the source
  peak_too_high,           ///< next to no load
  hum_not_cancelled,
  input_loads,      ///< what it is plugged into
  cable_too_long,   ///< for the resonance
  supply_too_short, ///< hours
  headroom_too_small,
  stays_on,          ///< with nothing plugged in
  dead_companion,    ///< an active pickup without supply, still joined to a passive one
  hot_cover,         ///< a cover or braid on the hot end of its coil
  implausible_value, ///< far from what such parts have: a slipped prefix
  mutes_others,      ///< one pickup's volume control, shut, shuts the others of its position as well
};

/// Something that a technician would say: what, where, how much, and a cure in numbers.
struct finding {
  finding_kind kind{};
  std::string position{}; ///< empty: of the instrument as a whole
  std::string about{};    ///< the pickup or the control
  double figure = 0;      ///< the number that the limit is held against
  std::string unit{};
  std::string text{}; ///< a sentence, with the number
  std::string cure{}; ///< a sentence, with numbers
};

/// From where on something is said. All of them common practice, no source.
struct finding_limits {
  double resonance_loss_db = 3;  ///< that a companion, a load or an input may take at a resonance
  double level_jump_db = 3;      ///< between a position and the reference
  double companion_fall_db = 12; ///< of level, beyond which a resistor is no cure
  double treble_loss_db = 3;     ///< at 5 kHz with the volume 6 dB down
  double travel = 0.3;           ///< of the rotation, that 80 % of a knob's effect must have at least
  frequency tone_lowest = frequency::from_value(200); ///< the -3 dB edge with the tone control shut
  frequency tone_highest = frequency::from_value(1500);
  double peak_db = 12; ///< of a resonance over the low frequencies
  /// That hum-cancelling has to bring, where it could be there. Coils against each other whose shares are as r to 1
  /// cancel to (r - 1)/(r + 1): 19.5 dB for coils of 6.3 kΩ and 7.8 kΩ in parallel, 14 dB at 1.5 to 1; at 2 to 1, and
  /// for three equal coils, 20·log 3 = 9.5 dB, which no exchange of leads betters. Coils that add up have 0 dB, four
  /// with one of them the wrong way round 6 dB. Computed from the formula.
  double cancelling_db = 9;
  frequency resonance_lowest = frequency::from_value(2000);
  duration supply_life = duration::from_value(100 * 3600.);
  double headroom_db = 3; ///< with an empty battery
  double mute_db = 20;    ///< that a pickup may fall when another one's volume control is shut
};

namespace detail {

/// Everything passive that a magnet moves a current in.
[[nodiscard]] inline bool is_passive_magnetic(const pickup& p) noexcept {
  return std::holds_alternative<magnetic_coil>(p) || std::holds_alternative<coil_pair>(p);
}

/// Weights that leave only the EMFs of one pickup, of a `source` or a `composed_position`.
template <class Composed>
[[nodiscard]] std::vector<double> only_pickup(const Composed& s, const std::string& pickup) {
  std::vector<double> weights;
  for (const std::string& emf : s.emf_names())
    weights.push_back(emf == pickup || emf.compare(0, pickup.size() + 1, pickup + ".") == 0 ? 1. : 0.);
  return weights;
}
template <class Composed>
[[nodiscard]] bool has_pickup(const Composed& s, const std::string& pickup) {
  for (const double w : only_pickup(s, pickup))
    if (w != 0) return true;
  return false;
}

/// Response to one pickup alone, the others at rest.
[[nodiscard]] inline response_curve response_of_pickup(const composed_position& s,
                                                       const std::string& pickup) {
  return response_curve(s, only_pickup(s, pickup));
}
/// Resonance of the response to one pickup alone, the others at rest.
[[nodiscard]] inline resonance resonance_of_pickup(const composed_position& s, const std::string& pickup) {
  return find_resonance(response_of_pickup(s, pickup));
}
/// Its height in dB; 0 without a peak above the low-frequency level.
[[nodiscard]] inline double height_db(const resonance& r) noexcept {
  return r.has_peak && r.height.value() > 0 ? r.height.value() : 0;
}

/// What a load takes of the treble, in dB: the level over that at 100 Hz, at the frequency where the resonance is
/// without the load, or its -3 dB edge where there is none. A peak's height alone would not tell how far the load goes
/// on to pull the response down once the peak is gone.
[[nodiscard]] inline double loss_at_resonance(const response_curve& without, const response_curve& with) {
  const resonance r = find_resonance(without);
  if (!r.has_peak && !r.edge) return 0;
  const frequency there = r.has_peak ? r.peak : *r.edge;
  const auto tilt = [&](const response_curve& h) {
    return voltage_level(std::abs(h(there)) / std::abs(h(low_level_frequency))).value();
  };
  return tilt(without) - tilt(with);
}
[[nodiscard]] inline double loss_at_resonance(const composed_position& without, const composed_position& with,
                                              const std::string& pickup) {
  return loss_at_resonance(response_of_pickup(without, pickup), response_of_pickup(with, pickup));
}

/// Level of the response to one pickup alone, at 100 Hz.
[[nodiscard]] inline decibel level_of_pickup(const composed_position& s, const std::string& pickup) {
  return voltage_level(std::abs(response_of_pickup(s, pickup)(low_level_frequency)));
}

/// True where some wiring of the instrument already swaps this pickup's leads.
[[nodiscard]] inline bool wired_swapped(const wiring& w, const std::string& name) {
  if (w.is == wiring::kind::pickup && w.name == name && w.leads_swapped) return true;
  for (const wiring_branch& b : w.branches)
    if (b.is == wiring_branch::kind::pickup && b.name == name && b.leads_swapped) return true;
  return std::any_of(w.of.begin(), w.of.end(), [&](const wiring& part) { return wired_swapped(part, name); });
}
[[nodiscard]] inline bool wired_swapped(const instrument& of, const std::string& name) {
  const auto any = [&](const std::vector<position>& list) {
    return std::any_of(list.begin(), list.end(),
                       [&](const position& p) { return wired_swapped(p.wired, name); });
  };
  return any(of.circuits) || any(of.positions);
}

/// A position of an instrument, plugged in.
[[nodiscard]] inline composed_position plugged(const instrument& of, std::size_t position,
                                               const destination& into, const compose_options& options = {}) {
  return plug_in(of, position, into, options);
}

[[nodiscard]] inline std::string decibels(double db) { return fixed_number(db, 1) + " dB"; }
[[nodiscard]] inline std::string in_quotes(const std::string& name) { return "'" + name + "'"; }
[[nodiscard]] inline std::string described(const resonance& r) {
  if (r.has_peak) return engineering(r.peak, 3) + ", " + decibels(r.height.value());
  return r.edge ? "no resonance, 3 dB down at " + engineering(*r.edge, 3) : "no resonance";
}

} // namespace detail

} // namespace lodewire
