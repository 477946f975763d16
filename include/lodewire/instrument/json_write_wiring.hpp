// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/instrument/json_write.hpp>
#include <lodewire/instrument/wiring.hpp>

/// Wirings, steps and networks into an instrument file.
namespace lodewire::detail {

[[nodiscard]] inline json_out network_out(const network& n) {
  json_out to;
  switch (n.is) {
  case network::kind::resistor:
    if (n.name.empty()) return write_quantity(require_not_negative("resistor", n.resistance));
    put(to, "resistor", n.resistance);
    break;
  case network::kind::inductor:
    if (n.name.empty()) return write_quantity(require_not_negative("inductor", n.inductance));
    put(to, "inductor", n.inductance);
    break;
  case network::kind::capacitor: {
    const capacitor plain{.capacitance = n.capacitor.capacitance};
    if (n.name.empty() && n.capacitor == plain)
      return write_quantity(require_not_negative("capacitor", n.capacitor.capacitance));
    put(to, "capacitor", n.capacitor.capacitance);
    put_number_unless(to, "loss_tangent", n.capacitor.loss_tangent, 0);
    put_unless(to, "stated_at", n.capacitor.stated_at, plain.stated_at);
    break;
  }
  case network::kind::rheostat:
    to["rheostat"] = n.control;
    put_word_unless(to, "lugs", n.in_use, lugs::one_two, words::lugs_in_use);
    return to;
  case network::kind::series:
  case network::kind::parallel:
    for (const network& one : n.of)
      to[n.is == network::kind::series ? "series" : "parallel"].push_back(network_out(one));
    return to;
  }
  if (!n.name.empty()) to["name"] = n.name;
  return to;
}

[[nodiscard]] inline json_out step_out(const wiring_step& s) {
  json_out to;
  switch (s.is) {
  case wiring_step::kind::volume:
  case wiring_step::kind::reversed_volume:
    to[s.is == wiring_step::kind::volume ? "volume" : "reversed_volume"] = s.control;
    if (s.bleed) to["bleed"] = network_out(*s.bleed);
    if (s.across_track) to["across_track"] = network_out(*s.across_track);
    if (s.wiper_to_low) to["wiper_to_low"] = network_out(*s.wiper_to_low);
    break;
  case wiring_step::kind::shunt: to["shunt"] = network_out(s.part); break;
  case wiring_step::kind::series: to["series"] = network_out(s.part); break;
  case wiring_step::kind::amplifier: {
    const onboard_amplifier usual;
    json_out& a = to["amplifier"] = json_out::object();
    put_number_unless(a, "gain", s.amplifier.gain, usual.gain);
    put_unless(a, "input_resistance", s.amplifier.input_resistance, usual.input_resistance);
    put_unless(a, "input_capacitance", s.amplifier.input_capacitance, usual.input_capacitance);
    put_unless(a, "output_resistance", s.amplifier.output_resistance, usual.output_resistance);
    put_noise<voltage>(a, "voltage_noise", s.amplifier.voltage_noise);
    put_noise<current>(a, "current_noise", s.amplifier.current_noise);
    put_unless(a, "supply_current", s.amplifier.supply_current, usual.supply_current);
    if (!s.name.empty()) to["name"] = s.name;
    break;
  }
  case wiring_step::kind::point: to["point"] = s.name; break;
  }
  return to;
}

[[nodiscard]] inline json_out steps_out(const std::vector<wiring_step>& steps) {
  json_out to = json_out::array();
  for (const wiring_step& s : steps) to.push_back(step_out(s));
  return to;
}

[[nodiscard]] inline json_out branch_out(const wiring_branch& b) {
  json_out to;
  json_out ends = json_out::array();
  for (const std::string& node : b.between) ends.push_back(node.empty() ? json_out() : json_out(node));
  switch (b.is) {
  case wiring_branch::kind::pickup:
    to["pickup"] = b.name;
    put_word_unless(to, "mode", b.mode, pickup_mode::whole, words::modes);
    put(to, "across_idle_coil", b.across_idle_coil);
    if (b.leads_swapped) to["leads_swapped"] = true;
    to["between"] = std::move(ends);
    break;
  case wiring_branch::kind::part:
    to["part"] = network_out(b.part);
    if (!b.name.empty()) to["name"] = b.name;
    to["between"] = std::move(ends);
    break;
  case wiring_branch::kind::control:
    to["control"] = b.name;
    to["lugs"] = std::move(ends);
    break;
  case wiring_branch::kind::coupled:
    to["coupled"] = std::move(ends);
    to["coupling"] = number_out("coupling", b.coupling);
    break;
  }
  return to;
}

[[nodiscard]] inline json_out wiring_out(const wiring& w) {
  json_out to;
  switch (w.is) {
  case wiring::kind::pickup:
    to["pickup"] = w.name;
    put_word_unless(to, "mode", w.mode, pickup_mode::whole, words::modes);
    put(to, "across_idle_coil", w.across_idle_coil);
    break;
  case wiring::kind::circuit: to["circuit"] = w.name; break;
  case wiring::kind::series:
  case wiring::kind::parallel:
    for (const wiring& one : w.of)
      to[w.is == wiring::kind::series ? "series" : "parallel"].push_back(wiring_out(one));
    break;
  case wiring::kind::nodes:
    for (const wiring_branch& b : w.branches) to["branches"].push_back(branch_out(b));
    to["out"] = w.out;
    break;
  }
  if (w.leads_swapped) to["leads_swapped"] = true;
  if (!w.then.empty()) to["then"] = steps_out(w.then);
  return to;
}

/// JSON as a person would lay it out: on one line what fits there, indented by two.
inline void lay_out(std::string& to, const json_out& from, std::size_t indent) {
  constexpr std::size_t width = 100;
  const auto flat = [](const json_out& j) {
    std::string text;
    const auto walk = [&text](const auto& self, const json_out& at) -> void {
      if (!at.is_structured()) {
        text += at.dump();
        return;
      }
      text += at.is_object() ? "{" : "[";
      bool first = true;
      for (const auto& [key, value] : at.items()) {
        if (!std::exchange(first, false)) text += ", ";
        if (at.is_object()) text.append(json_out(key).dump()).append(": ");
        self(self, value);
      }
      text += at.is_object() ? "}" : "]";
    };
    walk(walk, j);
    return text;
  };
  const std::string on_one_line = flat(from);
  if (!from.is_structured() || (indent > 0 && indent + on_one_line.size() <= width)) {
    to += on_one_line;
    return;
  }
  to += from.is_object() ? "{" : "[";
  bool first = true;
  for (const auto& [key, value] : from.items()) {
    to += std::exchange(first, false) ? "\n" : ",\n";
    to.append(indent + 2, ' ');
    if (from.is_object()) to.append(json_out(key).dump()).append(": ");
    lay_out(to, value, indent + 2);
  }
  to.append("\n").append(indent, ' ') += from.is_object() ? "}" : "]";
}

} // namespace lodewire::detail
