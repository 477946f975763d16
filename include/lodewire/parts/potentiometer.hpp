// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>

#include <lodewire/circuit/source.hpp>
#include <lodewire/parts/lugs.hpp>
#include <lodewire/parts/taper.hpp>

namespace lodewire {

/// What is soldered from lug to lug besides the potentiometer.
struct potentiometer_wiring {
  /// Lugs 2 and 3: a treble bleed; an equal resistance to a load on the wiper keeps half travel at half.
  std::optional<one_port> bleed{};
  /// Lugs 1 and 3: what a source behind a divider sees at every rotation alike.
  std::optional<one_port> across_track{};
  /// Lugs 1 and 2: a resistor there bends a linear law towards an audio law.
  std::optional<one_port> wiper_to_low{};
};

/// The track on either side of the wiper. A leg that is not connected is `open_value`.
struct potentiometer_legs {
  resistance upper{}; ///< wiper to clockwise end
  resistance lower{}; ///< wiper to counter-clockwise end
  [[nodiscard]] bool operator==(const potentiometer_legs&) const = default;
};

/// A potentiometer. It becomes a circuit in one of three roles, and is checked there (`invalid_value` that names the
/// member). Each role puts both legs, upper then lower, into one range under the name of the part, for `turn`.
struct potentiometer {
  /// From end to end; must be given, more than 0 Ω.
  resistance total{};
  /// Linear unless stated: every other law needs a number that only the part itself can tell.
  taper law{};
  /// Wiper to end terminal with the wiper against that stop, 0 Ω to half the total. 2 Ω: component makers' data sheets.
  resistance end_resistance = resistance::from_value(2);
  /// Of the total, as a fraction, 0 or more and less than 1. 20 %: component makers' data sheets, the standard grade.
  double tolerance = 0.20;
  /// A 'no-load' part: with the wiper at full rotation the track is cut off, so that lug 1 is open and the wiper lies
  /// on lug 3. Anywhere below full it is an ordinary track.
  bool cut_at_full = false;
  /// Finds the legs in a composed circuit (`source::range`). Without a name they cannot be turned there.
  std::string name{};

  /// The legs: lower = e + x·(R - 2e), upper = e + (1 - x)·(R - 2e), with e the end resistance and x the fraction
  /// that the law gives. Not checked.
  [[nodiscard]] potentiometer_legs legs(rotation at) const noexcept {
    if (cut_at_full && at.value() >= 1) return {resistance{}, resistance::from_value(open_value)};
    const double end = end_resistance.value(), track = total.value() - 2 * end, x = law(at);
    return {resistance::from_value(end + (1 - x) * track), resistance::from_value(end + x * track)};
  }

  /// A volume control: signal in on lug 3, out of the wiper, lug 1 grounded. Throws `invalid_value`.
  [[nodiscard]] stage as_divider(rotation at, const potentiometer_wiring& with = {}) const {
    circuit c;
    join_if(c, with.across_track, opcode::join_parallel);
    const std::uint16_t first = put_legs(c, at);
    series_upper(c, first, with);
    shunt_lower(c, first);
    join_if(c, with.wiper_to_low, opcode::join_parallel);
    return stage(std::move(c));
  }

  /// The same with in and out exchanged, so that two sources do not mute each other: signal in on the wiper, out of
  /// lug 3, lug 1 grounded. Throws `invalid_value`.
  [[nodiscard]] stage as_reversed_divider(rotation at, const potentiometer_wiring& with = {}) const {
    circuit c;
    join_if(c, with.wiper_to_low, opcode::join_parallel);
    const std::uint16_t first = put_legs(c, at);
    shunt_lower(c, first);
    series_upper(c, first, with);
    join_if(c, with.across_track, opcode::join_parallel);
    return stage(std::move(c));
  }

  /// A variable resistance between the wiper and one end. A part across the two lugs in use is simply in parallel.
  /// A part across the track then lies in series with the other leg, so that the load first grows with the
  /// resistance in use and then falls again: seldom what is wanted. Throws `invalid_value`.
  [[nodiscard]] one_port as_rheostat(rotation at, lugs in_use, const potentiometer_wiring& with = {}) const {
    const bool lower = in_use == lugs::one_two;
    circuit c;
    const std::uint16_t first = put_legs(c, at);
    push_leg(c, opcode::resistor, first, lower);
    join_if(c, lower ? with.wiper_to_low : with.bleed, opcode::join_parallel);
    if (with.across_track) {
      push_leg(c, opcode::resistor, first, !lower);
      join_if(c, lower ? with.bleed : with.wiper_to_low, opcode::join_parallel);
      join_if(c, with.across_track, opcode::join_series);
      emit(c, opcode::join_parallel);
    }
    return one_port(std::move(c));
  }

  /// Turns the knob in a composed circuit, whatever the role. `where`: the range of this part there (`in.range(name)`).
  /// Rewrites two values; no check, no allocation.
  void turn(source& in, value_range where, rotation to) const noexcept {
    const potentiometer_legs now = legs(to);
    in.rewrite(where, 0, now.upper.value());
    in.rewrite(where, 1, now.lower.value());
  }

  [[nodiscard]] bool operator==(const potentiometer&) const = default;

private:
  // Checks the part, then puts its two values, without instructions, and their name. Gives the first slot.
  std::uint16_t put_legs(circuit& c, rotation at) const {
    require_positive("potentiometer.total", total);
    require_within("potentiometer.end_resistance", end_resistance, resistance{}, total / 2.);
    if (!is_finite(tolerance) || !(tolerance >= 0) || !(tolerance < 1))
      throw invalid_value("potentiometer.tolerance", plain_number(tolerance), "0 or more, less than 1");
    const potentiometer_legs now = legs(at);
    circuit both;
    both.values = {now.upper.value(), now.lower.value()};
    if (!name.empty()) both.ranges.push_back({name, {0, 2}});
    append(c, both);
    return static_cast<std::uint16_t>(c.values.size() - 2);
  }

  static void push_leg(circuit& c, opcode op, std::uint16_t first, bool lower) {
    c.code.push_back({op, 0, static_cast<std::uint16_t>(first + (lower ? 1 : 0))});
  }

  static void series_upper(circuit& c, std::uint16_t first, const potentiometer_wiring& with) {
    if (!with.bleed) return push_leg(c, opcode::series_r, first, false);
    push_leg(c, opcode::resistor, first, false);
    detail::join(c, with.bleed->as_circuit(), opcode::join_parallel);
    emit(c, opcode::join_series);
  }

  static void shunt_lower(circuit& c, std::uint16_t first) { push_leg(c, opcode::shunt_r, first, true); }

  static void join_if(circuit& c, const std::optional<one_port>& part, opcode how) {
    if (part) detail::join(c, part->as_circuit(), how);
  }
};

} // namespace lodewire
