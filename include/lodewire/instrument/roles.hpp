// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstdint>
#include <string>
#include <vector>

#include <lodewire/instrument/instrument.hpp>

namespace lodewire {

/// What a control is wired as.
enum class control_role : std::uint8_t {
  none,
  volume, ///< a divider: by nodes, whatever has its three lugs on three of them
  tone,   ///< a rheostat
  both,
};

namespace detail {

/// Goes through every step of a wiring (const or not), of an instrument; through every network of a step.
template <class Wiring, class Visit>
void for_each_step_of(Wiring& w, const Visit& visit) {
  for (auto& part : w.of) for_each_step_of(part, visit);
  for (auto& step : w.then) visit(step);
}
template <class Instrument, class Visit>
void for_each_step(Instrument& of, const Visit& visit) {
  for (auto& p : of.circuits) for_each_step_of(p.wired, visit);
  for (auto& p : of.positions) for_each_step_of(p.wired, visit);
  for (auto& step : of.output) visit(step);
}
template <class Network, class Visit>
void for_each_network_in(Network& n, const Visit& visit) {
  visit(n);
  for (auto& part : n.of) for_each_network_in(part, visit);
}
template <class Step, class Visit>
void for_each_network(Step& step, const Visit& visit) {
  for (auto* n : {&step.bleed, &step.across_track, &step.wiper_to_low})
    if (*n) for_each_network_in(**n, visit);
  if (step.is == wiring_step::kind::shunt || step.is == wiring_step::kind::series)
    for_each_network_in(step.part, visit);
}

/// The wirings by nodes of an instrument, each branch of each.
template <class Instrument, class Visit>
void for_each_branch(Instrument& of, const Visit& visit) {
  const auto look = [&](auto& list) {
    for (auto& p : list)
      for (auto& b : p.wired.branches)
        if (p.wired.is == wiring::kind::nodes) visit(b);
  };
  look(of.circuits);
  look(of.positions);
}
/// Every network of every step and branch.
template <class Instrument, class Visit>
void for_each_network_of(Instrument& of, const Visit& visit) {
  for_each_step(of, [&](auto& step) { for_each_network(step, visit); });
  for_each_branch(of, [&](auto& b) {
    if (b.is == wiring_branch::kind::part) for_each_network_in(b.part, visit);
  });
}

[[nodiscard]] inline bool is_section_of(const std::string& name, const control& c) {
  for (std::size_t s = 0; s < c.sections.size(); ++s)
    if (name == section_name(c, s)) return true;
  return false;
}
/// How many different nodes the lugs of a control's branch are on: 3 for a divider, 2 for a rheostat.
[[nodiscard]] inline std::size_t nodes_at_lugs(const wiring_branch& b) {
  std::vector<std::string> nodes;
  for (const std::string& n : b.between)
    if (!n.empty() && std::find(nodes.begin(), nodes.end(), n) == nodes.end()) nodes.push_back(n);
  return nodes.size();
}
[[nodiscard]] inline bool is_branch_of(const wiring_branch& b, const control& c) {
  return b.is == wiring_branch::kind::control && is_section_of(b.name, c);
}

/// True for a step that uses a section of this control as a volume control.
[[nodiscard]] inline bool is_volume_of(const wiring_step& step, const control& c) {
  return (step.is == wiring_step::kind::volume || step.is == wiring_step::kind::reversed_volume) &&
         is_section_of(step.control, c);
}
[[nodiscard]] inline bool is_volume(const instrument& of, const control& c) {
  bool found = false;
  for_each_step(of, [&](const wiring_step& step) { found = found || is_volume_of(step, c); });
  for_each_branch(
      of, [&](const wiring_branch& b) { found = found || (is_branch_of(b, c) && nodes_at_lugs(b) == 3); });
  return found;
}
/// True for a network that uses a section of this control as a rheostat.
[[nodiscard]] inline bool is_rheostat_of(const network& n, const control& c) {
  return n.is == network::kind::rheostat && is_section_of(n.control, c);
}

[[nodiscard]] inline bool is_tone(const instrument& of, const control& c) {
  bool found = false;
  for_each_network_of(of, [&](const network& n) { found = found || is_rheostat_of(n, c); });
  for_each_branch(
      of, [&](const wiring_branch& b) { found = found || (is_branch_of(b, c) && nodes_at_lugs(b) == 2); });
  return found;
}

} // namespace detail

/// As what a control of an instrument works, anywhere in its wirings.
[[nodiscard]] inline control_role role_of(const instrument& of, const control& c) {
  const bool volume = detail::is_volume(of, c), tone = detail::is_tone(of, c);
  return volume && tone ? control_role::both
         : volume       ? control_role::volume
         : tone         ? control_role::tone
                        : control_role::none;
}

} // namespace lodewire
