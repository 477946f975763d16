// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>

#include <lodewire/instrument/instrument.hpp>

namespace lodewire {

/// What a control is wired as.
enum class control_role : std::uint8_t {
  none,
  volume, ///< a divider on the way of the signal
  tone,   ///< a rheostat in a network
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

/// True for a step that uses a section of this control as a volume control.
[[nodiscard]] inline bool is_volume_of(const wiring_step& step, const control& c) {
  if (step.is != wiring_step::kind::volume && step.is != wiring_step::kind::reversed_volume) return false;
  for (std::size_t s = 0; s < c.sections.size(); ++s)
    if (step.control == section_name(c, s)) return true;
  return false;
}
[[nodiscard]] inline bool is_volume(const instrument& of, const control& c) {
  bool found = false;
  for_each_step(of, [&](const wiring_step& step) { found = found || is_volume_of(step, c); });
  return found;
}
/// True for a network that uses a section of this control as a rheostat.
[[nodiscard]] inline bool is_rheostat_of(const network& n, const control& c) {
  if (n.is != network::kind::rheostat) return false;
  for (std::size_t s = 0; s < c.sections.size(); ++s)
    if (n.control == section_name(c, s)) return true;
  return false;
}

[[nodiscard]] inline bool is_tone(const instrument& of, const control& c) {
  bool found = false;
  for_each_step(of, [&](const wiring_step& step) {
    for_each_network(step, [&](const network& n) { found = found || is_rheostat_of(n, c); });
  });
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
