// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/instrument/network.hpp>

namespace lodewire {

/// What is heard of a pickup with two coils. `whole` is the series connection there, and all of any other pickup.
enum class pickup_mode : std::uint8_t {
  whole,
  parallel,
  first,  ///< the first coil; the second is idle
  second, ///< the second coil; the first is idle
  series_out_of_phase,
  parallel_out_of_phase,
};

/// An amplifier inside the instrument: a buffer or booster of flat gain.
struct onboard_amplifier {
  double gain = 1;
  resistance input_resistance = resistance::from_value(1e6);
  capacitance input_capacitance{};
  resistance output_resistance = resistance::from_value(1e3);
  double voltage_noise = 0; ///< e_n in V/√Hz
  double current_noise = 0; ///< i_n in A/√Hz
  current supply_current{};
  [[nodiscard]] bool operator==(const onboard_amplifier&) const = default;
};

/// One thing on the way from left (pickups) to right (jack).
struct wiring_step {
  enum class kind : std::uint8_t {
    volume,          ///< a control as divider: in on lug 3, out of the wiper, lug 1 grounded
    reversed_volume, ///< in on the wiper, out of lug 3
    shunt,           ///< a network from the hot lead to ground: a tone branch, a load resistor, a capacitor
    series,          ///< a network in the hot lead
    amplifier,       ///< an onboard amplifier
    point,           ///< nothing; a name for this place, for faults and for hum
  };

  kind is = kind::point;
  std::string control{};                 ///< volume
  std::optional<network> bleed{};        ///< volume: from lug 2 to lug 3
  std::optional<network> across_track{}; ///< volume: from lug 1 to lug 3
  std::optional<network> wiper_to_low{}; ///< volume: from lug 1 to lug 2
  network part{};                        ///< shunt, series
  onboard_amplifier amplifier{};         ///< amplifier
  std::string name{};                    ///< point, amplifier
  [[nodiscard]] bool operator==(const wiring_step&) const = default;
};

/// How pickups are joined and what follows: a tree, as a plain value. The knobs are not in it.
struct wiring {
  enum class kind : std::uint8_t {
    pickup,   ///< one pickup
    circuit,  ///< a wiring that the instrument keeps under a name
    series,   ///< the hot lead of each goes to the cold one of the next; the first one is grounded
    parallel, ///< hot leads together
  };

  kind is = kind::pickup;
  std::string name{}; ///< of the pickup, of the circuit
  pickup_mode mode = pickup_mode::whole;
  /// Pickup with one coil heard: across the idle one. Absent: it hangs open; 0 Ω: shorted.
  std::optional<resistance> across_idle_coil{};
  std::vector<wiring> of{};        ///< series, parallel: two or more
  bool leads_swapped = false;      ///< out of phase with the rest; comes before `then`
  std::vector<wiring_step> then{}; ///< from left to right
  [[nodiscard]] bool operator==(const wiring&) const = default;
};

/// The pickup of that name.
[[nodiscard]] inline wiring from_pickup(std::string name, std::vector<wiring_step> then = {}) {
  return {.name = std::move(name), .then = std::move(then)};
}
/// The wiring that the instrument keeps under that name.
[[nodiscard]] inline wiring from_circuit(std::string name, std::vector<wiring_step> then = {}) {
  return {.is = wiring::kind::circuit, .name = std::move(name), .then = std::move(then)};
}
/// Wirings joined hot to hot, or one after the other.
[[nodiscard]] inline wiring joined_in_parallel(std::vector<wiring> of, std::vector<wiring_step> then = {}) {
  return {.is = wiring::kind::parallel, .of = std::move(of), .then = std::move(then)};
}
[[nodiscard]] inline wiring joined_in_series(std::vector<wiring> of, std::vector<wiring_step> then = {}) {
  return {.is = wiring::kind::series, .of = std::move(of), .then = std::move(then)};
}

/// The control of that name as a volume control.
[[nodiscard]] inline wiring_step volume_step(std::string control) {
  return {.is = wiring_step::kind::volume, .control = std::move(control)};
}
/// A network across what comes before, or in its hot lead.
[[nodiscard]] inline wiring_step shunt_step(network part) {
  return {.is = wiring_step::kind::shunt, .part = std::move(part)};
}
[[nodiscard]] inline wiring_step series_step(network part) {
  return {.is = wiring_step::kind::series, .part = std::move(part)};
}
/// A name for a place.
[[nodiscard]] inline wiring_step point_step(std::string name) {
  return {.is = wiring_step::kind::point, .name = std::move(name)};
}

} // namespace lodewire
