// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <lodewire/design/finding.hpp>
#include <lodewire/quantity/preferred.hpp>

/// An active pickup that has no supply and is still joined to a passive one, and what keeps them apart.
namespace lodewire::detail {

/// A pickup's lead with a fault at the pickup, in a position without supply: level and treble that another one loses
/// against `than`.
struct dead_loss {
  double level_db = 0, treble_db = 0;
};
[[nodiscard]] inline dead_loss lost_by(const std::string& passive, const composed_position& than,
                                       const composed_position& with) {
  return {(level_of_pickup(than, passive) - level_of_pickup(with, passive)).value(),
          loss_at_resonance(than, with, passive)};
}
[[nodiscard]] inline composed_position with_lead(const instrument& of, std::size_t p, const destination& into,
                                                 const std::string& active, fault::kind is, resistance r,
                                                 bool powered) {
  return plugged(of, p, into, {.faults = {{active, is, r}}, .powered = powered});
}

/// What a resistor in an active pickup's lead takes of it in all positions that sound it, the supply on: level, and at
/// 5 kHz treble against it.
struct lead_price {
  double level_db = 0, treble_db = 0;
  std::string position{}; ///< where it takes the most level
};
[[nodiscard]] inline lead_price price_in_lead(const instrument& of, const destination& into,
                                              const std::string& active, resistance r) {
  lead_price price;
  for (std::size_t q = 0; q < of.positions.size(); ++q) {
    const composed_position before = plugged(of, q, into);
    if (!has_pickup(before, active)) continue;
    const response_curve was = response_of_pickup(before, active);
    const response_curve is =
        response_of_pickup(with_lead(of, q, into, active, fault::kind::joint, r, true), active);
    const auto fall = [&](frequency f) { return voltage_level(std::abs(was(f)) / std::abs(is(f))).value(); };
    const double level = fall(low_level_frequency), treble = fall(frequency::from_value(5000)) - level;
    if (price.position.empty() || level > price.level_db) price.position = of.positions[q].name;
    price.level_db = (std::max)(price.level_db, level);
    price.treble_db = (std::max)(price.treble_db, treble);
  }
  return price;
}

/// The smallest resistor in the dead pickup's lead that leaves the passive one within the limits; whether that is a cure
/// is for its price to say.
[[nodiscard]] inline std::string resistor_in_lead(const instrument& of, std::size_t p,
                                                  const destination& into, const finding_limits& limits,
                                                  const std::string& active, const std::string& passive,
                                                  const composed_position& apart) {
  for (const resistance& r :
       all_in_range(e_series::e6, resistance::from_value(1e3), resistance::from_value(1e6))) {
    const dead_loss left =
        lost_by(passive, apart, with_lead(of, p, into, active, fault::kind::joint, r, false));
    if (left.level_db > limits.level_jump_db || left.treble_db > limits.resonance_loss_db) continue;
    const lead_price price = price_in_lead(of, into, active, r);
    const bool holds =
        price.level_db < limits.companion_fall_db && price.treble_db < limits.resonance_loss_db;
    const std::string numbers =
        decibels(left.level_db) + " of level and " + decibels(left.treble_db) +
        " of treble lost, but with the supply on " + in_quotes(active) + " falls by " +
        decibels(price.level_db) + " in position " + in_quotes(price.position) +
        (price.treble_db > 0.5 ? " and loses up to " + decibels(price.treble_db) + " of treble"
                               : std::string()) +
        ".";
    return holds ? "Put " + engineering(r, 3) + " into the lead of " + in_quotes(active) + ": it leaves " +
                       numbers
                 : "No resistor in its lead does: " + engineering(r, 3) + " would leave " + numbers;
  }
  return "No resistor in its lead up to 1 MΩ does.";
}

/// A contact that takes the dead pickup's lead off or, in series with others, shorts it: the one that helps here and
/// costs no passive pickup anything in any position.
[[nodiscard]] inline std::string contact_at_lead(const instrument& of, std::size_t p, const destination& into,
                                                 const std::string& active, const std::string& passive) {
  struct candidate {
    fault::kind is;
    double ohms;
    const char* does;
  };
  for (const candidate& c : {candidate{fault::kind::joint, open_value, "takes its lead off"},
                             candidate{fault::kind::leak, 0, "shorts it"}}) {
    bool costs = false;
    double level_back = 0, treble_back = 0;
    for (std::size_t q = 0; q < of.positions.size(); ++q) {
      const composed_position dead = plugged(of, q, into, {.powered = false});
      if (!has_pickup(dead, active)) continue;
      const composed_position then =
          with_lead(of, q, into, active, c.is, resistance::from_value(c.ohms), false);
      for (const pickup& other : of.pickups) {
        if (!is_passive_magnetic(other) || !has_pickup(dead, name_of(other))) continue;
        const dead_loss back = lost_by(name_of(other), then, dead);
        costs = costs || !(back.level_db > -0.5) || !(back.treble_db > -0.5);
        if (q == p && name_of(other) == passive) {
          level_back = back.level_db;
          treble_back = back.treble_db;
        }
      }
    }
    if (costs || !(level_back + treble_back > 1)) continue;
    return std::string("A contact that ") + c.does + " without the supply gives back " +
           decibels(level_back) + " of level and " + decibels(treble_back) +
           " of treble, and changes nothing with it: a switch by hand, or a relay or analogue switch that "
           "the supply holds.";
  }
  return "No contact at its lead does without a loss elsewhere.";
}

inline void find_dead_companions(const instrument& of, std::size_t p, const destination& into,
                                 const finding_limits& limits, std::vector<finding>& to) {
  if (!of.supply) return;
  const composed_position dead = plugged(of, p, into, {.powered = false});
  for (const pickup& a : of.pickups) {
    const auto* active = std::get_if<active_pickup>(&a);
    if (!active || !has_pickup(dead, active->name)) continue;
    for (const pickup& b : of.pickups) {
      const std::string& passive = name_of(b);
      if (!is_passive_magnetic(b) || !has_pickup(dead, passive)) continue;
      const composed_position apart =
          with_lead(of, p, into, active->name, fault::kind::joint, resistance::from_value(open_value), false);
      const dead_loss loss = lost_by(passive, apart, dead);
      if (!(loss.level_db > limits.level_jump_db) && !(loss.treble_db > limits.resonance_loss_db)) continue;
      to.push_back({finding_kind::dead_companion, of.positions[p].name, active->name, loss.level_db, "dB",
                    "With a plug that does not switch the supply on, or a flat battery, " +
                        in_quotes(active->name) + " is dead but still across " + in_quotes(passive) + ": " +
                        decibels(loss.level_db) + " of its level and another " + decibels(loss.treble_db) +
                        " of its treble are gone.",
                    resistor_in_lead(of, p, into, limits, active->name, passive, apart) + " " +
                        contact_at_lead(of, p, into, active->name, passive) +
                        " Against a plug alone: " + jack_note(of.supply->jack)});
    }
  }
}

} // namespace lodewire::detail
