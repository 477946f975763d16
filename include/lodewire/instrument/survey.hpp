// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/dc_resistance.hpp>
#include <lodewire/analysis/level.hpp>
#include <lodewire/instrument/hum.hpp>
#include <lodewire/instrument/instrument_noise.hpp>
#include <lodewire/instrument/knob_sweep.hpp>
#include <lodewire/instrument/live_instrument.hpp>
#include <lodewire/instrument/roles.hpp>
#include <lodewire/instrument/sound.hpp>

namespace lodewire {

/// Where a survey takes its figures.
struct survey_settings {
  std::string reference{};                  ///< position that levels are compared with; first one if empty
  frequency level_at = low_level_frequency; ///< levels, 100 Hz
  frequency treble_at = frequency::from_value(5000);   ///< what a tone control is judged by
  frequency impedance_at = frequency::from_value(1e3); ///< source impedance and loads
  frequency mains = frequency::from_value(50);
  voltage mains_voltage = voltage::from_value(230);
  capacitance stray = capacitance::from_value(1e-12); ///< from the mains into the hot lead
  lodewire::temperature temperature = lodewire::temperature::from_value(300);
};

/// The load that one pickup sees in a position, everything counted.
struct pickup_load {
  std::string pickup;
  impedance load;
};

/// What one control does in a position.
struct control_survey {
  std::string control{};
  control_role works_as = control_role::none;
  /// Level at knob 0, 1, ... 10 relative to the highest, dB.
  std::vector<double> level_db{};
  /// Rotations (0 to 1) at which the level is 6, 12, 20 dB below the highest.
  std::optional<double> at_6_db{}, at_12_db{}, at_20_db{};
  double level_range_db = 0;  ///< whole change of the low-frequency level
  double treble_range_db = 0; ///< whole change of treble against low frequencies
  double travel_of_level =
      0; ///< shortest part of the travel with 80 % of the level's change in dB, down to -40 dB
  double travel_of_tone = 0; ///< the same of treble against low frequencies
  knob_sweep sweep{};        ///< 41 steps, for plots
};

/// Everything about one position at the knobs given.
struct position_survey {
  std::string name;
  decibel level{}; ///< coherent sum, dB re 1 V at the input that it is plugged into
  decibel against_reference{};
  resonance peak;             ///< frequency, height, Q, -3 dB edge
  impedance source_impedance; ///< at the jack, what drives the cable
  std::vector<pickup_load> loads;
  resistance meter_reading{}; ///< an ohmmeter at the jack, nothing else plugged in
  decibel hum_to_signal{};    ///< magnetic: for a field of 1 V in a coil of turns-area 1, against the signal
  decibel hum_cancelling{};   ///< what cancelling does to it: 0 dB for none
  voltage electric_hum{};     ///< from the stray current into the jack's hot contact, at the input
  voltage noise{};            ///< rms, 20 Hz to 20 kHz, at the input
  voltage noise_a_weighted{};
  std::vector<control_survey> controls; ///< those that are wired into the position
};

/// The table of all positions.
struct survey_result {
  std::string instrument, destination;
  std::vector<position_survey> positions;
};

namespace detail {

[[nodiscard]] inline control_survey survey_control(live_instrument& live, const instrument& of,
                                                   std::size_t position, std::size_t control,
                                                   const survey_settings& at) {
  control_survey c{.control = of.controls[control].name,
                   .works_as = role_of(of, of.controls[control]),
                   .at_6_db = {},
                   .at_12_db = {},
                   .at_20_db = {},
                   .sweep = sweep_knob(live, position, control, {at.level_at, at.treble_at, 41})};
  std::vector<double> fall, tilt, audible;
  for (std::size_t k = 0; k < c.sweep.rotation.size(); ++k) {
    fall.push_back(c.sweep.fall_db(k));
    tilt.push_back(c.sweep.tilt_db(k));
    // Below -40 dB a control is as good as shut: a track's last ohms must not count as its travel.
    audible.push_back((std::max)(fall.back(), -40.0));
    if (k % 4 == 0) c.level_db.push_back(fall.back());
  }
  const auto range = [](const std::vector<double>& of_list) {
    const auto [low, high] = std::minmax_element(of_list.begin(), of_list.end());
    return *high - *low;
  };
  c.level_range_db = range(fall);
  c.treble_range_db = range(tilt);
  c.at_6_db = first_crossing(c.sweep.rotation, fall, -6);
  c.at_12_db = first_crossing(c.sweep.rotation, fall, -12);
  c.at_20_db = first_crossing(c.sweep.rotation, fall, -20);
  c.travel_of_level = travel_of_effect(c.sweep.rotation, audible);
  c.travel_of_tone = travel_of_effect(c.sweep.rotation, tilt);
  return c;
}

} // namespace detail

/// Answers for every position at once: level, resonance, loads, hum on both roads, noise, what a meter reads, what each
/// control does. `knobs`: one rotation a control; empty: where they stand. Throws `invalid_value` with the path of what
/// is wrong in the instrument. Cost: some milliseconds a position, most of it noise and knobs; some tens of milliseconds
/// a control where a wiring goes by its nodes.
[[nodiscard]] inline survey_result survey(instrument of, std::span<const rotation> knobs,
                                          const destination& into, const survey_settings& at = {}) {
  if (!knobs.empty()) {
    if (knobs.size() != of.controls.size())
      throw invalid_value("knobs", std::to_string(knobs.size()) + " long",
                          "one for each control: " + std::to_string(of.controls.size()));
    for (std::size_t c = 0; c < knobs.size(); ++c) of.controls[c].at = knobs[c];
  }
  require_sound(of);
  const std::size_t reference = at.reference.empty() ? 0 : find_position(of, at.reference);
  live_instrument live(of, into);
  const std::vector<rotation> turned = knobs_of(of);
  const std::vector<emf_role> roles = emf_roles(of);
  const stage behind = stage(into.lead) | stage(into.into);

  survey_result result{of.name, into.name, {}};
  for (std::size_t p = 0; p < of.positions.size(); ++p) {
    const composed_position bare = compose_position(of, p), whole = plug_in(of, p, into);
    position_survey s;
    s.name = of.positions[p].name;
    s.level = level(whole, at.level_at);
    s.peak = live.peak(p);
    s.source_impedance = output_impedance(bare, at.impedance_at);
    for (const std::string& name : whole.pickups())
      s.loads.push_back({name, load_seen(whole, name, at.impedance_at)});
    s.meter_reading = dc_resistance(bare);
    const magnetic_hum hum = find_magnetic_hum(whole, roles, at.level_at);
    s.hum_to_signal = voltage_level(hum.output) - s.level;
    s.hum_cancelling =
        hum.without_cancelling > 0 ? voltage_level(hum.output / hum.without_cancelling) : decibel{};
    s.electric_hum = electric_hum(of, p, turned, behind, "jack",
                                  stray_current(at.stray, at.mains_voltage, at.mains), at.mains);
    const noise_figures noise = instrument_noise(of, p, into, at.temperature);
    s.noise = noise.flat;
    s.noise_a_weighted = noise.a_weighted;
    for (std::size_t c = 0; c < of.controls.size(); ++c)
      if (live.works_in(c, p)) s.controls.push_back(detail::survey_control(live, of, p, c, at));
    result.positions.push_back(std::move(s));
  }
  for (position_survey& s : result.positions)
    s.against_reference = s.level - result.positions[reference].level;
  return result;
}

} // namespace lodewire
