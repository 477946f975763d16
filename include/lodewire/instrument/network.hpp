// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/parts/capacitor.hpp>
#include <lodewire/parts/lugs.hpp>

namespace lodewire {

/// A passive two-terminal network as drawn: parts with values, sections of the instrument's controls as rheostats, and
/// series and parallel groups of these. A plain value without values of the knobs in it; `compose` makes the one-port.
struct network {
  enum class kind : std::uint8_t { resistor, capacitor, inductor, rheostat, series, parallel };

  kind is = kind::resistor;
  lodewire::resistance resistance{}; ///< resistor
  lodewire::capacitor capacitor{};   ///< capacitor, with its loss
  lodewire::inductance inductance{}; ///< inductor
  std::string control{};             ///< rheostat: name of the control, `blend.2` for its second section
  lugs in_use = lugs::one_two;       ///< rheostat
  std::vector<network> of{};         ///< series, parallel: two or more
  std::string name{}; ///< to find its value again (`source::range`); resistor, capacitor, inductor

  /// A part by its value; converts, so that a network can be written `{250_kOhm}`, `22_nF`.
  network() = default;
  explicit(false) network(lodewire::resistance r) : is(kind::resistor), resistance(r) {}
  explicit(false) network(lodewire::capacitance c) : is(kind::capacitor), capacitor{.capacitance = c} {}
  explicit(false) network(const lodewire::capacitor& c) : is(kind::capacitor), capacitor(c) {}
  explicit(false) network(lodewire::inductance l) : is(kind::inductor), inductance(l) {}

  [[nodiscard]] bool operator==(const network&) const = default;
};

/// A control's section between its wiper and one end.
[[nodiscard]] inline network rheostat(std::string control, lugs in_use = lugs::one_two) {
  network n;
  n.is = network::kind::rheostat;
  n.control = std::move(control);
  n.in_use = in_use;
  return n;
}

/// Networks one after the other, or side by side.
[[nodiscard]] inline network in_a_row(std::vector<network> parts) {
  network n;
  n.is = network::kind::series;
  n.of = std::move(parts);
  return n;
}
[[nodiscard]] inline network side_by_side(std::vector<network> parts) {
  network n;
  n.is = network::kind::parallel;
  n.of = std::move(parts);
  return n;
}

/// The usual tone control: a rheostat and a capacitor in series, which goes from the hot lead to ground.
[[nodiscard]] inline network tone_branch(std::string control, capacitance c) {
  return in_a_row({rheostat(std::move(control)), c});
}

} // namespace lodewire
