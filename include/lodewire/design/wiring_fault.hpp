// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include <lodewire/quantity/notation.hpp>

namespace lodewire {

/// What may be wrong in an instrument, one thing at a time. Shorts between the turns of a winding are not among them:
/// they change the inductance, and hardly what a meter shows.
enum class wiring_fault : std::uint8_t {
  none,
  open_pickup,      ///< its winding or its lead
  shorted_pickup,   ///< lead to lead
  open_coil,        ///< one of a pair; modelled as 1 TΩ, beyond every meter
  shorted_coil,     ///< one of a pair, end to end; modelled as 1 mΩ
  open_lead,        ///< at a point of the wiring
  short_to_ground,  ///< at a point of the wiring
  cold_joint,       ///< some resistance in the lead, at a pickup or a point
  ends_exchanged,   ///< the wires on lugs 1 and 3 of a control
  in_out_exchanged, ///< the wires on lugs 2 and 3 of a volume control
  upper_track_open, ///< of a control, between the wiper and lug 3, or lug 3 is off
  lower_track_open, ///< between lug 1 and the wiper, or lug 1 is off
  wiper_open,       ///< the wiper does not touch, or lug 2 is off
};

/// A fault at a place.
struct suspect {
  wiring_fault is = wiring_fault::none;
  /// A pickup; `pickup.coil` for one coil; a named point or "jack"; a control's section (`blend.2`).
  std::string at{};
  lodewire::resistance joint{}; ///< cold joint: its resistance
  [[nodiscard]] bool operator==(const suspect&) const = default;
};

/// The fault in words: `'neck' or its lead is open`.
[[nodiscard]] inline std::string describe(const suspect& s) {
  const std::string at = "'" + s.at + "'";
  switch (s.is) {
  case wiring_fault::none: break;
  case wiring_fault::open_pickup: return at + " or its lead is open";
  case wiring_fault::shorted_pickup: return at + " is shorted, lead to lead";
  case wiring_fault::open_coil: return at + " is open";
  case wiring_fault::shorted_coil: return at + " is shorted, end to end";
  case wiring_fault::open_lead: return "the lead is open at " + at;
  case wiring_fault::short_to_ground: return "the hot lead is grounded at " + at;
  case wiring_fault::cold_joint: return "a cold joint of " + engineering(s.joint, 3) + " at " + at;
  case wiring_fault::ends_exchanged: return "the wires on lugs 1 and 3 of " + at + " are exchanged";
  case wiring_fault::in_out_exchanged: return "the wires on lugs 2 and 3 of " + at + " are exchanged";
  case wiring_fault::upper_track_open: return at + " is open between lugs 2 and 3";
  case wiring_fault::lower_track_open: return at + " is open between lugs 1 and 2";
  case wiring_fault::wiper_open: return "the wiper of " + at + " is open";
  }
  return "no fault";
}

/// A fault with what it would show and how well that fits.
struct hypothesis {
  suspect fault{};
  std::vector<resistance> shown{}; ///< for each reading given; `open_value` for nothing
  /// Rms over the readings, each of the larger of reading and figure; an open counts as the meter's range.
  double error_percent = 0;
  bool fits = false; ///< meter and parts within their limits can explain every reading
  /// The lower the better: -2·ln(likelihood), + 2 for a fault, + 2 more for a joint's resistance.
  double score = 0;
  std::string text{}; ///< the fault in words
};

} // namespace lodewire
