// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <vector>

#include <lodewire/design/finding.hpp>
#include <lodewire/quantity/preferred.hpp>

/// Findings on what a pickup is loaded with: companions, controls, input, cable, nothing.
namespace lodewire::detail {

/// With an active pickup in the same position, a passive one works into its output resistance.
inline void find_companions(const instrument& of, std::size_t p, const destination& into,
                            const finding_limits& limits, std::vector<finding>& to) {
  const composed_position whole = plugged(of, p, into);
  for (const pickup& a : of.pickups) {
    const auto* active = std::get_if<active_pickup>(&a);
    if (!active || !has_pickup(whole, active->name)) continue;
    const auto behind = [&](resistance r) {
      return plugged(of, p, into, {.faults = {{active->name, fault::kind::joint, r}}});
    };
    for (const pickup& b : of.pickups) {
      const std::string& passive = name_of(b);
      if (!is_passive_magnetic(b) || !has_pickup(whole, passive)) continue;
      const composed_position apart = behind(resistance::from_value(open_value));
      const double loss = loss_at_resonance(apart, whole, passive);
      if (!(loss > limits.resonance_loss_db)) continue;
      // The smallest resistor in the active pickup's lead that leaves the resonance within the limit.
      std::string cure = "Let the selector use them one at a time, or give " + in_quotes(passive) +
                         " a buffer of its own before they meet.";
      for (const resistance& r :
           all_in_range(e_series::e6, resistance::from_value(1e3), resistance::from_value(1e6))) {
        const composed_position parted = behind(r);
        if (loss_at_resonance(apart, parted, passive) > limits.resonance_loss_db) continue;
        const double fall =
            (level_of_pickup(whole, active->name) - level_of_pickup(parted, active->name)).value();
        if (fall < limits.companion_fall_db)
          cure += " Or put " + engineering(r, 3) + " into the lead of " + in_quotes(active->name) +
                  ": it falls by " + decibels(fall) + ".";
        break;
      }
      to.push_back({finding_kind::low_impedance_companion, of.positions[p].name, passive, loss, "dB",
                    "Joined with the low source impedance of " + in_quotes(active->name) + ", " +
                        in_quotes(passive) + " loses " + decibels(loss) +
                        " of treble where its resonance is (with the lead of " + in_quotes(active->name) +
                        " off: " + described(resonance_of_pickup(apart, passive)) +
                        "; joined: " + described(resonance_of_pickup(whole, passive)) + ").",
                    cure});
    }
  }
}

/// The same instrument with every track of less than `least` made that large.
[[nodiscard]] inline instrument with_tracks_of(instrument of, resistance least) {
  for (control& c : of.controls)
    for (potentiometer& section : c.sections) section.total = (std::max)(section.total, least);
  return of;
}

/// Pots of an active pickup's kind under a coil.
inline void find_low_loads(const instrument& of, std::size_t p, const destination& into,
                           const finding_limits& limits, std::vector<finding>& to) {
  const composed_position whole = plugged(of, p, into);
  const resistance usual = resistance::from_value(250e3);
  const composed_position better = plugged(with_tracks_of(of, usual), p, into);
  for (const pickup& b : of.pickups) {
    const std::string& name = name_of(b);
    if (!is_passive_magnetic(b) || !has_pickup(whole, name)) continue;
    const double loss = loss_at_resonance(better, whole, name);
    if (!(loss > limits.resonance_loss_db)) continue;
    const double load = std::abs(load_seen(whole, name, frequency::from_value(1e3)).value());
    to.push_back({finding_kind::load_too_low, of.positions[p].name, name, loss, "dB",
                  in_quotes(name) + " sees a load of " + engineering(resistance::from_value(load), 3) +
                      " at 1 kHz (" + described(resonance_of_pickup(whole, name)) + "); that costs " +
                      decibels(loss) + " of treble where its resonance could be.",
                  "Tracks of 250 kΩ or more: " + described(resonance_of_pickup(better, name)) + "."});
  }
}

/// A low-impedance input.
inline void find_input_load(const instrument& of, std::size_t p, const destination& into,
                            const finding_limits& limits, std::vector<finding>& to) {
  destination high = into;
  high.into.resistance = (std::max)(into.into.resistance, resistance::from_value(1e6));
  const response_curve now(plugged(of, p, into)), then(plugged(of, p, high));
  const double loss = loss_at_resonance(then, now);
  const double quieter = (level(plugged(of, p, high)) - level(plugged(of, p, into))).value();
  if (!(loss > limits.resonance_loss_db) && !(quieter > limits.level_jump_db)) return;
  to.push_back({finding_kind::input_loads, of.positions[p].name, into.name, loss, "dB",
                in_quotes(into.name) + " with its " + engineering(into.into.resistance, 3) + " takes " +
                    decibels(quieter) + " of level" +
                    (loss < 0.5 ? std::string(".")
                                : " and another " + decibels(loss) +
                                      " of treble (into 1 MΩ: " + described(find_resonance(then)) +
                                      "; here: " + described(find_resonance(now)) + ")."),
                "A buffer with an input of 1 MΩ between instrument and cable, or another input."});
}

/// A cable that pulls the resonance, or the -3 dB edge where there is none, down further than wanted.
inline void find_cable(const instrument& of, std::size_t p, const destination& into,
                       const finding_limits& limits, std::vector<finding>& to) {
  const auto with_length = [&](double metres) {
    destination d = into;
    d.lead.length = length::from_value(metres);
    return find_resonance(plugged(of, p, d));
  };
  // A maximum far below the -3 dB edge is a shelf, not a resonance.
  const auto upper_end = [](const resonance& r) {
    if (!r.edge) return r.has_peak ? r.peak : frequency{};
    return r.has_peak && r.peak * 2.2 > *r.edge ? r.peak : *r.edge;
  };
  const resonance now = with_length(into.lead.length.value());
  if (upper_end(now) >= limits.resonance_lowest) return;
  if (upper_end(with_length(0)) < limits.resonance_lowest) return; // the pickup's own doing
  double low = 0, high = into.lead.length.value();
  for (int i = 0; i < 40; ++i) {
    const double middle = (low + high) / 2;
    (upper_end(with_length(middle)) >= limits.resonance_lowest ? low : high) = middle;
  }
  to.push_back(
      {finding_kind::cable_too_long, of.positions[p].name, into.name, upper_end(now).value(), "Hz",
       "With " + engineering(into.lead.length, 3) + " of cable at " + engineering(into.lead.capacitance, 3) +
           (now.has_peak ? " the resonance lies at " : " there is no resonance, and the edge lies at ") +
           engineering(upper_end(now), 3) + ".",
       "At most " + fixed_number(low, 1) + " m of that cable keeps it at " +
           engineering(limits.resonance_lowest, 3) + " or above; or a buffer in the instrument."});
}

/// A coil with next to no load.
inline void find_high_peak(const instrument& of, std::size_t p, const destination& into,
                           const finding_limits& limits, std::vector<finding>& to) {
  const composed_position whole = plugged(of, p, into);
  const resonance now = find_resonance(whole);
  if (!(height_db(now) > limits.peak_db)) return;
  const auto loaded = [&](resistance r) {
    instrument with = of;
    with.positions[p].wired.then.push_back(shunt_step(network(r)));
    return find_resonance(plugged(with, p, into));
  };
  std::string cure = "A resistor from hot to ground in this position.";
  const auto values =
      all_in_range(e_series::e12, resistance::from_value(22e3), resistance::from_value(2.2e6));
  for (std::size_t i = values.size(); i-- > 0;) {
    const resonance then = loaded(values[i]);
    if (height_db(then) > limits.peak_db - 4) continue;
    cure = engineering(values[i], 3) + " from hot to ground in this position: " + described(then) + ".";
    break;
  }
  to.push_back({finding_kind::peak_too_high,
                of.positions[p].name,
                {},
                height_db(now),
                "dB",
                "The resonance stands " + decibels(height_db(now)) + " high at " + engineering(now.peak, 3) +
                    ": next to nothing loads it.",
                cure});
}

} // namespace lodewire::detail
