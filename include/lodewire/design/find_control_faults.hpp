// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include <lodewire/design/finding.hpp>
#include <lodewire/design/works_on_all.hpp>
#include <lodewire/instrument/knob_sweep.hpp>
#include <lodewire/instrument/live_instrument.hpp>
#include <lodewire/quantity/preferred.hpp>

/// Findings on what the knobs do.
namespace lodewire::detail {

/// Treble against low frequencies with one control where its level is 6 dB down, relative to the same at full; and
/// where that is.
struct part_volume {
  double rotation = 1, treble_loss_db = 0;
};
[[nodiscard]] inline std::optional<part_volume> at_part_volume(live_instrument& live, std::size_t p,
                                                               std::size_t c) {
  const knob_sweep sweep = sweep_knob(live, p, c, {.treble = treble_frequency, .resonances = false});
  std::vector<double> fall, tilt;
  for (std::size_t k = 0; k < sweep.rotation.size(); ++k) {
    fall.push_back(sweep.fall_db(k));
    tilt.push_back(sweep.tilt_db(k));
  }
  const auto at = first_crossing(sweep.rotation, fall, -6);
  if (!at) return std::nullopt;
  const double steps = *at * static_cast<double>(sweep.rotation.size() - 1);
  const auto below = static_cast<std::size_t>(steps);
  const double part = steps - static_cast<double>(below);
  const double there = tilt[below] + part * (tilt[below + 1 < tilt.size() ? below + 1 : below] - tilt[below]);
  return part_volume{*at, tilt.back() - there};
}

/// A capacitor from wiper to the clockwise lug wherever a control is a volume control.
inline void bridge_upper_legs(instrument& of, const control& knob, capacitance bleed) {
  for_each_step(of, [&](wiring_step& step) {
    if (is_volume_of(step, knob)) step.bleed = network(bleed);
  });
  for (std::vector<position>* list : {&of.circuits, &of.positions})
    for (position& p : *list) {
      std::vector<wiring_branch> added;
      for (const wiring_branch& b : p.wired.branches)
        if (is_branch_of(b, knob) && nodes_at_lugs(b) == 3)
          added.push_back(part_between(bleed, b.between[1], b.between[2]));
      p.wired.branches.insert(p.wired.branches.end(), added.begin(), added.end());
    }
}

/// Treble lost at part volume, and the bleed capacitor that mends it.
inline void find_lost_treble(const instrument& of, std::size_t p, std::size_t c, const destination& into,
                             const finding_limits& limits, std::vector<finding>& to) {
  const control& knob = of.controls[c];
  live_instrument live(of, into);
  if (!works_on_all(of, p, knob) || !is_volume(of, knob)) return;
  const auto now = at_part_volume(live, p, c);
  if (!now || !(now->treble_loss_db > limits.treble_loss_db)) return;
  std::string cure = "A bleed network from wiper to the clockwise lug.";
  double least = now->treble_loss_db;
  for (const capacitance& bleed :
       all_in_range(e_series::e6, capacitance::from_value(100e-12), capacitance::from_value(4.7e-9))) {
    instrument with = of;
    bridge_upper_legs(with, knob, bleed);
    live_instrument tried(with, into);
    const auto then = at_part_volume(tried, p, c);
    if (!then || std::abs(then->treble_loss_db) >= std::abs(least)) continue;
    least = then->treble_loss_db;
    cure = engineering(bleed, 3) + " from wiper to the clockwise lug " +
           (std::abs(least) < 0.5 ? std::string("makes up for them.")
            : least > 0           ? "leaves a loss of " + decibels(least) + "."
                                  : "makes it " + decibels(-least) + " more treble than at full.");
  }
  to.push_back({finding_kind::treble_lost, of.positions[p].name, knob.name, now->treble_loss_db, "dB",
                "With " + in_quotes(knob.name) + " at " + fixed_number(10 * now->rotation, 1) +
                    " the level is 6 dB down and " + decibels(now->treble_loss_db) +
                    " of treble at 5 kHz are gone.",
                cure});
}

/// The part of the travel in which a control does its work: levels for a volume control, treble for any other.
[[nodiscard]] inline double working_travel(live_instrument& live, std::size_t p, std::size_t c, bool volume) {
  const knob_sweep sweep = sweep_knob(live, p, c, {.treble = treble_frequency, .resonances = false});
  std::vector<double> curve;
  for (std::size_t k = 0; k < sweep.rotation.size(); ++k)
    curve.push_back(volume ? (std::max)(sweep.fall_db(k), -40.0) : sweep.tilt_db(k));
  const auto [low, high] = std::minmax_element(curve.begin(), curve.end());
  if (*high - *low < 1) return 1; // what does nothing is not crowded
  return travel_of_effect(sweep.rotation, curve);
}

/// A knob that works like a switch, and the taper that spreads it.
inline void find_crowded(const instrument& of, std::size_t p, std::size_t c, const destination& into,
                         const finding_limits& limits, std::vector<finding>& to) {
  const control& knob = of.controls[c];
  live_instrument live(of, into);
  if (!works_on_all(of, p, knob)) return;
  const bool volume = is_volume(of, knob);
  const double now = working_travel(live, p, c, volume);
  if (!(now < limits.travel)) return;
  struct candidate {
    taper law;
    const char* name;
  };
  const std::array<candidate, 5> laws{{{linear_taper, "a linear track"},
                                       {taper::audio(0.1), "an audio taper of 10 %"},
                                       {taper::audio(0.15), "an audio taper of 15 %"},
                                       {taper::audio(0.3), "an audio taper of 30 %"},
                                       {taper::reverse_audio(0.15), "a reverse audio taper of 15 %"}}};
  double best = now;
  std::string cure;
  const auto try_with = [&](instrument with, const std::string& what) {
    // Not at the price of another position's treble or level.
    for (std::size_t q = 0; q < of.positions.size(); ++q) {
      const composed_position before = plugged(of, q, into), after = plugged(with, q, into);
      if (loss_at_resonance(response_curve(before), response_curve(after)) > limits.resonance_loss_db / 2 ||
          (level(before) - level(after)).value() > limits.level_jump_db / 2)
        return;
    }
    live_instrument tried(with, into);
    const double then = working_travel(tried, p, c, volume);
    if (!(then > best)) return;
    best = then;
    cure = what + " spreads it over " + fixed_number(100 * then, 0) + " % of the travel.";
  };
  for (const candidate& l : laws) {
    instrument with = of;
    for (potentiometer& section : with.controls[c].sections) section.law = l.law;
    try_with(with, l.name);
    for (const resistance& total :
         {resistance::from_value(25e3), resistance::from_value(100e3), resistance::from_value(250e3)}) {
      if (volume || !(total < knob.sections[0].total)) continue;
      for (potentiometer& section : with.controls[c].sections) section.total = total;
      try_with(with, std::string(l.name) + ", " + engineering(total, 3) + ",");
    }
  }
  if (!cure.empty()) cure[0] = static_cast<char>(cure[0] == 'a' ? 'A' : cure[0]);
  to.push_back({finding_kind::crowded_travel, of.positions[p].name, knob.name, 100 * now, "%",
                "Four fifths of what " + in_quotes(knob.name) + " does happen in " +
                    fixed_number(100 * now, 0) + " % of its travel.",
                cure.empty() ? "No other common taper or track spreads it without a loss elsewhere; a fixed "
                               "part and a switch would do as well."
                             : cure});
}

/// A tone capacitor whose corner does not suit the source.
inline void find_tone_capacitor(const instrument& of, std::size_t p, std::size_t c, const destination& into,
                                const finding_limits& limits, std::vector<finding>& to) {
  const control& knob = of.controls[c];
  // The capacitor is the one in series with the rheostat.
  const auto set = [&](instrument& with, const capacitance* to_value) {
    std::optional<capacitance> was;
    for_each_network_of(with, [&](network& n) {
      if (n.is != network::kind::series) return;
      bool here = false;
      for (const network& part : n.of) here = here || is_rheostat_of(part, knob);
      for (network& part : n.of)
        if (here && part.is == network::kind::capacitor) {
          was = part.capacitor.capacitance;
          if (to_value) part.capacitor.capacitance = *to_value;
        }
    });
    return was;
  };
  instrument shut = of;
  const auto now = set(shut, nullptr);
  if (!now) return;
  shut.controls[c].at = rotation(0);
  if (!live_instrument(shut, into).works_in(c, p)) return;
  const auto edge_of = [&](const instrument& with) {
    const resonance r = find_resonance(plugged(with, p, into));
    return r.edge ? r.edge->value() : 0.;
  };
  const double edge = edge_of(shut);
  const bool low = edge > 0 && edge<limits.tone_lowest.value(), high = edge> limits.tone_highest.value();
  if (!low && !high) return;
  const double wanted = std::sqrt(limits.tone_lowest.value() * limits.tone_highest.value());
  double best = edge;
  std::string cure;
  for (const capacitance& value :
       all_in_range(e_series::e6, capacitance::from_value(1e-9), capacitance::from_value(470e-9))) {
    instrument with = shut;
    (void)set(with, &value);
    const double then = edge_of(with);
    if (!(then > 0) || std::abs(std::log(then / wanted)) >= std::abs(std::log(best / wanted))) continue;
    best = then;
    cure = engineering(value, 3) + " puts the edge at " + engineering(frequency::from_value(then), 3) + ".";
  }
  to.push_back({finding_kind::tone_capacitor, of.positions[p].name, knob.name, edge, "Hz",
                "With " + in_quotes(knob.name) + " shut, " + engineering(*now, 3) + " leave an edge at " +
                    engineering(frequency::from_value(edge), 3) +
                    (low ? ": hardly anything is left." : ": it hardly takes hold."),
                cure});
}

} // namespace lodewire::detail
