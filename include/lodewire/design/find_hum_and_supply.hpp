// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <vector>

#include <lodewire/design/finding.hpp>
#include <lodewire/instrument/hum.hpp>

/// Findings on hum, on level, and on what hangs on the battery.
namespace lodewire::detail {

/// A position with several coils whose hum adds up although it could cancel.
inline void find_hum(const instrument& of, std::size_t p, const destination& into,
                     const finding_limits& limits, std::vector<finding>& to) {
  const frequency at = frequency::from_value(100);
  const auto cancelling = [&](const instrument& with) {
    const magnetic_hum hum = find_magnetic_hum(plugged(with, p, into), emf_roles(with), at);
    return hum.without_cancelling > 0 ? voltage_level(hum.without_cancelling / hum.output).value() : 0;
  };
  const composed_position whole = plugged(of, p, into);
  std::size_t coils = 0;
  for (const double w : hum_weights(whole.emf_names(), emf_roles(of))) coils += w != 0 ? 1U : 0U;
  if (coils < 2) return;
  const double now = cancelling(of);
  if (!(now < limits.cancelling_db)) return;
  std::string cure;
  double best = now;
  for (std::size_t k = 0; k < of.pickups.size(); ++k) {
    const auto* coil = std::get_if<magnetic_coil>(&of.pickups[k]);
    if (!coil || !has_pickup(whole, coil->name)) continue;
    instrument with = of;
    auto& turned = std::get<magnetic_coil>(with.pickups[k]);
    turned = reversed(turned);
    turned.magnet = turned.magnet == magnet_sense::north_up ? magnet_sense::south_up : magnet_sense::north_up;
    const double then = cancelling(with);
    if (!(then > best + 3)) continue;
    best = then;
    cure = "Swap the leads of " + in_quotes(coil->name) +
           " and turn its magnet: the string stays in phase and " + decibels(then) +
           " of magnetic hum cancel.";
    if (turned.cover_is_hot())
      cure += " Its cover or braid would then be hot: part it from the winding and ground it first.";
  }
  if (cure.empty()) return; // nothing that a bench could do about it
  to.push_back({finding_kind::hum_not_cancelled,
                of.positions[p].name,
                {},
                now,
                "dB",
                "The coils of this position cancel only " + decibels(now) + " of magnetic hum.",
                cure});
}

/// A position that jumps out.
inline void find_level_jump(const instrument& of, std::size_t p, std::size_t reference,
                            const destination& into, const finding_limits& limits, std::vector<finding>& to) {
  // Where the volume knobs stand is the player's business: both with those at full, blends as they are.
  instrument full = of;
  for (control& c : full.controls)
    if (c.sections.size() == 1 && is_volume(of, c)) c.at = rotation(1);
  const double jump = (level(plugged(full, p, into)) - level(plugged(full, reference, into))).value();
  if (!(std::abs(jump) > limits.level_jump_db)) return;
  const std::string ratio = fixed_number(std::pow(10, std::abs(jump) / 20), 2);
  // Where both sound the same pickup, to raise or lower it moves both.
  const composed_position here = plugged(of, p, into), there = plugged(of, reference, into);
  std::string shared;
  for (const pickup& one : of.pickups)
    if (shared.empty() && has_pickup(here, name_of(one)) && has_pickup(there, name_of(one)))
      shared = name_of(one);
  to.push_back({finding_kind::level_jump,
                of.positions[p].name,
                {},
                jump,
                "dB",
                "This position is " + decibels(std::abs(jump)) + (jump > 0 ? " louder" : " softer") +
                    " than " + in_quotes(of.positions[reference].name) + ".",
                !shared.empty() ? "Both sound " + detail::in_quotes(shared) +
                                      ": match the positions with one pickup each first, then compare again."
                : jump > 0
                    ? "Lower its pickups, or turn an active one's gain down, by a factor of " + ratio + "."
                    : "Raise its pickups, or lower the others, by a factor of " + ratio + "."});
}

/// What every amplifier and active pickup of an instrument draws together.
[[nodiscard]] inline current supply_current_of(const instrument& of) {
  current sum{};
  for (const pickup& p : of.pickups)
    if (const auto* active = std::get_if<active_pickup>(&p)) sum += active->supply_current;
  for_each_step(of, [&](const wiring_step& step) {
    if (step.is == wiring_step::kind::amplifier) sum += step.amplifier.supply_current;
  });
  return sum;
}

/// Battery and jack.
inline void find_supply(const instrument& of, const finding_limits& limits, std::vector<finding>& to) {
  if (!of.supply) return;
  const onboard_supply& supply = *of.supply;
  const current drawn = supply_current_of(of);
  if (stays_on_unplugged(supply.jack) && drawn.value() > 0)
    to.push_back({finding_kind::stays_on,
                  {},
                  {},
                  drawn.value(),
                  "A",
                  unplugged_note(supply, drawn),
                  jack_note(jack_wiring::ring_contact)});
  if (const auto life = supply_life(supply, drawn); life && life->lowest < limits.supply_life)
    to.push_back({finding_kind::supply_too_short,
                  {},
                  {},
                  in_hours(life->lowest),
                  "h",
                  "The electronics draw " + engineering(drawn, 3) + ": a battery lasts " +
                      fixed_number(in_hours(life->lowest), 0) + " h.",
                  battery_caution(supply.cell)});
  for (const pickup& p : of.pickups) {
    const auto* active = std::get_if<active_pickup>(&p);
    if (!active || !(active->emf.value() > 0)) continue;
    const supply_headroom room = headroom(supply, active->emf, drawn);
    if (!(room.end.value() < limits.headroom_db)) continue;
    onboard_supply two = supply;
    two.in_series = 2;
    to.push_back({finding_kind::headroom_too_small,
                  {},
                  active->name,
                  room.end.value(),
                  "dB",
                  in_quotes(active->name) + " gives peaks of " + engineering(active->emf, 3) +
                      "; the supply leaves " + decibels(room.fresh.value()) + " over that when fresh and " +
                      decibels(room.end.value()) + " at its end.",
                  supply.in_series == 2 ? "A lower gain."
                                        : "Two batteries in series leave " +
                                              decibels(headroom(two, active->emf, drawn).end.value()) +
                                              " at their end, if the electronics bear twice the voltage."});
  }
}

/// Covers and braids on the hot end.
inline void find_hot_covers(const instrument& of, std::vector<finding>& to) {
  const auto look = [&](const magnetic_coil& coil, const std::string& name, bool swapped) {
    if (const auto caution = (swapped ? reversed(coil) : coil).caution())
      to.push_back({finding_kind::hot_cover,
                    {},
                    name,
                    0,
                    {},
                    *caution + ".",
                    "Until then it hums to the touch, and what it touches loads the coil."});
  };
  for (const pickup& p : of.pickups) {
    const bool swapped = wired_swapped(of, name_of(p));
    if (const auto* coil = std::get_if<magnetic_coil>(&p)) look(*coil, coil->name, swapped);
    if (const auto* pair = std::get_if<coil_pair>(&p))
      for (const magnetic_coil* half : {&pair->first, &pair->second})
        look(*half, pair->name + "." + half->name, swapped);
  }
}

} // namespace lodewire::detail
