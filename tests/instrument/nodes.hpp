// SPDX-License-Identifier: BSL-1.0
#pragma once

#include "demo.hpp"

namespace demo {

/// The coils of `two_pickups` with the same polarity, in wirings that no tree has. The values are invented.
inline instrument bridged() {
  instrument of{.name = "bridged"};
  of.pickups.emplace_back(coil("neck", 2.2, 6.3));
  of.pickups.emplace_back(coil("bridge", 3.4, 7.8));
  const potentiometer pot{.total = 250_kOhm, .law = audio_taper};
  of.controls = {{.name = "neck volume", .sections = {pot}},
                 {.name = "bridge volume", .sections = {pot}},
                 {.name = "tone", .sections = {potentiometer{.total = 500_kOhm, .law = audio_taper}}}};
  const wiring_branch neck = pickup_between("neck", "neck hot"),
                      bridge = pickup_between("bridge", "bridge hot");
  // Two volumes wired in reverse, pickups on their wipers, and a resistor from one hot lead to the other.
  wiring_branch mixing = part_between(470_kOhm, "neck hot", "bridge hot");
  mixing.name = "mixing resistor";
  const wiring volumes = by_nodes({neck, bridge, control_between("neck volume", "ground", "neck hot", "out"),
                                   control_between("bridge volume", "ground", "bridge hot", "out"), mixing},
                                  "out");
  // One tone control between two hot leads, its capacitor on the wiper, beside two coils that share some flux.
  const wiring tone = by_nodes(
      {neck, bridge, part_between(47_kOhm, "neck hot", "out"), part_between(47_kOhm, "bridge hot", "out"),
       control_between("tone", "neck hot", "slider", "bridge hot"), part_between(22_nF, "slider", "ground"),
       coupled_coils("neck", "bridge", 0.08)},
      "out");
  of.positions = {{"volumes", volumes}, {"tone between", tone}, {"neck", from_pickup("neck")}};
  return of;
}

} // namespace demo
