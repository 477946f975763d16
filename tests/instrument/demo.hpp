// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>

#include <lodewire/instrument/instrument.hpp>
#include <lodewire/quantity/literals.hpp>

/// Instruments that the tests of this folder share. The values are invented.
namespace demo {

using namespace lodewire;
using namespace lodewire::literals;

inline magnetic_coil coil(std::string name, double henry, double kilo_ohm) {
  return {.inductance = inductance::from_value(henry),
          .resistance = resistance::from_value(1e3 * kilo_ohm),
          .capacitance = 110_pF,
          .name = std::move(name)};
}

/// Two single coils, hum-cancelling together, each with its own volume; tone and jack shared.
inline instrument two_pickups() {
  instrument of{.name = "two pickups"};
  of.pickups.emplace_back(coil("neck", 2.2, 6.3));
  magnetic_coil bridge = coil("bridge", 3.4, 7.8);
  bridge.winding = winding_sense::counterclockwise;
  bridge.magnet = magnet_sense::south_up;
  of.pickups.emplace_back(bridge);
  const potentiometer pot{.total = 250_kOhm, .law = audio_taper};
  of.controls = {{.name = "neck volume", .sections = {pot}},
                 {.name = "bridge volume", .sections = {pot}},
                 {.name = "tone", .sections = {pot}}};
  of.circuits = {{"neck side", from_pickup("neck", {volume_step("neck volume")})},
                 {"bridge side", from_pickup("bridge", {volume_step("bridge volume")})}};
  of.positions = {{"neck", from_circuit("neck side")},
                  {"both", joined_in_parallel({from_circuit("neck side"), from_circuit("bridge side")})},
                  {"bridge", from_circuit("bridge side")}};
  of.output = {shunt_step(tone_branch("tone", 22_nF))};
  return of;
}

/// A passive coil and an active pickup behind one volume control.
inline instrument mixed() {
  instrument of{.name = "mixed"};
  of.pickups.emplace_back(coil("neck", 2.8, 7.2));
  of.pickups.emplace_back(active_pickup{.supply_current = 80_uA, .name = "bridge"});
  of.controls = {{.name = "volume", .sections = {potentiometer{.total = 250_kOhm, .law = audio_taper}}}};
  of.positions = {{"neck", from_pickup("neck")},
                  {"both", joined_in_parallel({from_pickup("neck"), from_pickup("bridge")})},
                  {"bridge", from_pickup("bridge")}};
  of.output = {volume_step("volume")};
  of.supply = onboard_supply{};
  return of;
}

} // namespace demo
