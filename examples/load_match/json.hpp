// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>

#include <nlohmann/json.hpp>

#include "answer.hpp"

/// The answer as JSON. Every figure is in the SI unit that its name ends in; null is: none.
namespace load_match {

using json = nlohmann::ordered_json;

[[nodiscard]] inline json or_null(double value) {
  return lodewire::is_finite(value) && value < 1e12 ? json(value) : json();
}
[[nodiscard]] inline json or_null(const std::optional<double>& value) {
  return value ? json(*value) : json();
}
[[nodiscard]] inline json or_null(const std::optional<resistance>& value) {
  return value ? json(value->value()) : json();
}

[[nodiscard]] inline json as_json(const pickup_model& p) {
  json j{{"kind", p.is_coil() ? "coil" : "active"}, {"resistance_ohm", p.resistance.value()}};
  if (p.is_coil()) {
    j["inductance_h"] = p.inductance->value();
    j["capacitance_f"] = p.capacitance.value();
  }
  return j;
}

[[nodiscard]] inline json as_json(const request& r) {
  json j{{"pickup", as_json(r.pickup)},
         {"wanted_ohm", r.wanted.value()},
         {"cable_f", r.cable.value()},
         {"input_ohm", r.input.value()}};
  if (r.pot)
    j["pot"] = {{"total_ohm", r.pot->total.value()},
                {"tolerance", r.pot->tolerance},
                {"fraction_at_half_travel", r.pot->law(lodewire::rotation(0.5))}};
  else
    j["pot"] = nullptr;
  if (r.tone) j["tone"] = {{"pot_ohm", r.tone->pot.value()}, {"capacitor_f", r.tone->capacitor.value()}};
  return j;
}

[[nodiscard]] inline json as_json(const lodewire::load_choice& c) {
  return {{"resistor_ohm", c.resistor.value()},
          {"load_ohm", c.load.value()},
          {"error", c.error},
          {"lowest_ohm", c.lowest.value()},
          {"highest_ohm", c.highest.value()}};
}

[[nodiscard]] inline json as_json(const std::vector<choices>& all) {
  json j = json::array();
  for (const choices& place : all) {
    json best = json::array();
    for (const lodewire::load_choice& c : place.best) best.push_back(as_json(c));
    j.push_back({{"from", place.from}, {"best", best}});
  }
  return j;
}

[[nodiscard]] inline json as_json(const reading& r) {
  json j{{"knob", r.knob}, {"level_db", r.level}, {"peak_hz", or_null(r.peak)}};
  if (r.peak) j["peak_height_db"] = r.height;
  j["edge_hz"] = or_null(r.edge);
  j["source_ohm"] = r.source;
  j["load_ohm"] = or_null(r.load);
  return j;
}

[[nodiscard]] inline json as_json(const std::vector<wiring_table>& tables) {
  json j = json::object();
  for (const wiring_table& t : tables) {
    json rows = json::array();
    for (const reading& r : t.rows) rows.push_back(as_json(r));
    j[name_of(t.kind).key] = rows;
  }
  return j;
}

[[nodiscard]] inline json limits_json(const request& from, const answer& a) {
  json j = json::object();
  for (const wiring_name& w : wiring_names) {
    j[w.key] = {{"worst_source", as_json(worst_source(from, a.pad(), w.kind))},
                {"half_track", as_json(read(from, a.pad(), w.kind, at_track(from, 0.5)))}};
  }
  return j;
}

[[nodiscard]] inline json as_json(const tone_reading& r) {
  return {{"knob", r.knob},
          {"track_fraction", r.track},
          {"right_ohm", r.right_ohms},
          {"right_db", r.right},
          {"bare_ohm", r.bare_ohms},
          {"bare_db", r.bare},
          {"padded_ohm", r.padded ? json(r.padded_ohms) : json()},
          {"padded_db", or_null(r.padded)}};
}

[[nodiscard]] inline json as_json(const tone_answer& t) {
  json rows = json::array();
  for (const tone_reading& r : t.rows) rows.push_back(as_json(r));
  return {{"frequency_hz", tone_frequency.value()},
          {"resistor_ohm", or_null(t.pad)},
          {"knob", rows},
          {"tenth_of_track", as_json(t.tenth)}};
}

[[nodiscard]] inline json as_json(const stand_in_answer& s, const pickup_model& pickup) {
  return {{"pickup", as_json(pickup)},
          {"missing_ohm", s.wish.wanted.value()},
          {"resistors", as_json(s.resistors)},
          {"chosen_ohm", s.chosen.value()},
          {"with_pot", as_json(s.with_pot)},
          {"straight", as_json(s.straight)},
          {"with_resistor", as_json(s.with_resistor)}};
}

[[nodiscard]] inline json as_json(const request& from, const answer& a) {
  json j{{"request", as_json(from)},
         {"exact_ohm", or_null(a.exact)},
         {"resistors", as_json(a.resistors)},
         {"chosen", a.chosen ? as_json(*a.chosen) : json()}};
  if (from.pot) {
    j["knob"] = as_json(a.tables);
    j["reversed"] = as_json(a.reversed);
    if (a.chosen) j["limits"] = limits_json(from, a);
  }
  if (a.tone) j["tone"] = as_json(*a.tone);
  if (!from.pot || from.has_straight)
    j["stand_in"] = as_json(a.stand_in, from.pot ? from.straight : from.pickup);
  return j;
}

} // namespace load_match
