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

/// The node that everything is counted from: the sleeve of the jack.
inline constexpr const char* ground_node = "ground";

/// One entry of a wiring that goes by its nodes: a part between two of them, a control between three, flux that two
/// coils share. A node is there as soon as it is named.
struct wiring_branch {
  enum class kind : std::uint8_t {
    pickup,  ///< its hot lead on the first node, the other one on the second
    part,    ///< a network between the two
    control, ///< a control's section: its lugs 1, 2 (wiper) and 3 on three nodes; empty: nothing on that lug
    coupled, ///< flux that the coils of two branches share
  };

  kind is = kind::part;
  /// Pickup, section (`blend.2`); part: a name for faults, or none.
  std::string name{};
  /// Nodes, in the order of `kind`; coupled: the two coils, a pickup's name or `pickup.coil`.
  std::vector<std::string> between{};
  network part{};
  pickup_mode mode = pickup_mode::whole;
  std::optional<resistance> across_idle_coil{}; ///< as in `wiring`
  bool leads_swapped = false;                   ///< pickup: as in `wiring`
  /// Coupled: k of the main inductances, -1 to 1; more than 0 where currents into both hot leads aid.
  double coupling = 0;
  [[nodiscard]] bool operator==(const wiring_branch&) const = default;
};

/// A pickup between two nodes, its hot lead first.
[[nodiscard]] inline wiring_branch pickup_between(std::string pickup, std::string hot,
                                                  std::string cold = ground_node) {
  return {.is = wiring_branch::kind::pickup,
          .name = std::move(pickup),
          .between = {std::move(hot), std::move(cold)}};
}
/// A network between two nodes.
[[nodiscard]] inline wiring_branch part_between(network part, std::string one, std::string other) {
  return {.between = {std::move(one), std::move(other)}, .part = std::move(part)};
}
/// A control's section with its lugs 1, 2 and 3 on three nodes.
[[nodiscard]] inline wiring_branch control_between(std::string section, std::string lug_1, std::string lug_2,
                                                   std::string lug_3) {
  return {.is = wiring_branch::kind::control,
          .name = std::move(section),
          .between = {std::move(lug_1), std::move(lug_2), std::move(lug_3)}};
}
/// Flux that two coils share.
[[nodiscard]] inline wiring_branch coupled_coils(std::string one, std::string other, double coupling) {
  return {.is = wiring_branch::kind::coupled,
          .between = {std::move(one), std::move(other)},
          .coupling = coupling};
}

/// What a fault may call a lug of a section in such a wiring: `volume lug 2`.
[[nodiscard]] inline std::string lug_name(const std::string& section, std::size_t lug) {
  return section + " lug " + std::to_string(lug);
}

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

/// How pickups are joined and what follows: a tree, as a plain value. The knobs are not in it. What no tree has (a part
/// that bridges two hot leads, volumes wired wiper to wiper with more between them, coils coupled across branches) goes
/// by its nodes: a list of branches, and the node whose voltage goes on. Such a wiring stands alone, in no series or
/// parallel group; its `then` and what follows it is as of any other.
struct wiring {
  enum class kind : std::uint8_t {
    pickup,   ///< one pickup
    circuit,  ///< a wiring that the instrument keeps under a name
    series,   ///< the hot lead of each goes to the cold one of the next; the first one is grounded
    parallel, ///< hot leads together
    nodes,    ///< branches between named nodes
  };

  kind is = kind::pickup;
  std::string name{}; ///< of the pickup, of the circuit
  pickup_mode mode = pickup_mode::whole;
  /// Pickup with one coil heard: across the idle one. Absent: it hangs open; 0 Ω: shorted.
  std::optional<resistance> across_idle_coil{};
  std::vector<wiring> of{};              ///< series, parallel: two or more
  bool leads_swapped = false;            ///< out of phase with the rest; comes before `then`
  std::vector<wiring_step> then{};       ///< from left to right
  std::vector<wiring_branch> branches{}; ///< nodes
  std::string out{};                     ///< nodes: the one that goes on
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

/// Branches between named nodes, of which one goes on.
[[nodiscard]] inline wiring by_nodes(std::vector<wiring_branch> branches, std::string out,
                                     std::vector<wiring_step> then = {}) {
  return {.is = wiring::kind::nodes,
          .then = std::move(then),
          .branches = std::move(branches),
          .out = std::move(out)};
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
