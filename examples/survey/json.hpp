// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "request.hpp"

/// The answer as JSON. Every figure is in the unit that its name ends in; null is: none.
namespace survey_example {

using json = nlohmann::ordered_json;

[[nodiscard]] inline json or_null(double value) { return lodewire::is_finite(value) ? json(value) : json(); }
[[nodiscard]] inline json or_null(const std::optional<double>& value) {
  return value ? json(*value) : json();
}
/// An open end has no figure.
[[nodiscard]] inline json ohms_or_null(double value) { return value < 1e12 ? or_null(value) : json(); }

[[nodiscard]] inline json or_nulls(const std::vector<double>& values) {
  json list = json::array();
  for (const double x : values) list.push_back(or_null(x));
  return list;
}

[[nodiscard]] inline json as_json(const lodewire::resonance& r) {
  json j{{"peak_hz", r.has_peak ? json(r.peak.value()) : json()}};
  j["height_db"] = r.has_peak ? json(r.height.value()) : json();
  j["quality"] = r.has_peak && r.quality > 0 ? json(r.quality) : json();
  j["edge_hz"] = r.edge ? json(r.edge->value()) : json();
  return j;
}

[[nodiscard]] inline json as_json(const lodewire::impedance& z) {
  const double magnitude = std::abs(z.value());
  return {{"magnitude_ohm", ohms_or_null(magnitude)},
          {"angle_deg",
           ohms_or_null(magnitude).is_null() ? json() : json(std::arg(z.value()) * 180 / std::numbers::pi)}};
}

[[nodiscard]] inline json as_json(const lodewire::control_survey& c) {
  const bool tone = c.works_as == lodewire::control_role::tone,
             both = c.works_as == lodewire::control_role::both;
  return {{"control", c.control},
          {"works_as", both   ? "both"
                       : tone ? "tone"
                              : "volume"},
          {"rotation", c.sweep.rotation},
          {"low_db", or_nulls(c.sweep.low_db)},
          {"treble_db", or_nulls(c.sweep.treble_db)},
          {"rotation_at_6_db", or_null(c.at_6_db)},
          {"rotation_at_12_db", or_null(c.at_12_db)},
          {"rotation_at_20_db", or_null(c.at_20_db)},
          {"level_range_db", or_null(c.level_range_db)},
          {"treble_range_db", or_null(c.treble_range_db)},
          {"travel_of_level", c.travel_of_level},
          {"travel_of_tone", c.travel_of_tone}};
}

[[nodiscard]] inline json as_json(const lodewire::position_survey& s) {
  json loads = json::object(), controls = json::array();
  for (const lodewire::pickup_load& l : s.loads) loads[l.pickup] = as_json(l.load);
  for (const lodewire::control_survey& c : s.controls) controls.push_back(as_json(c));
  return {{"name", s.name},
          {"level_dbv", or_null(s.level.value())},
          {"against_first_db", or_null(s.against_reference.value())},
          {"resonance", as_json(s.peak)},
          {"source", as_json(s.source_impedance)},
          {"loads", loads},
          {"meter_ohm", ohms_or_null(s.meter_reading.value())},
          {"magnetic_hum_to_signal_db", or_null(s.hum_to_signal.value())},
          {"hum_cancelling_db", or_null(s.hum_cancelling.value())},
          {"electric_hum_v", s.electric_hum.value()},
          {"noise_v", s.noise.value()},
          {"noise_a_weighted_v", s.noise_a_weighted.value()},
          {"controls", controls}};
}

[[nodiscard]] inline json as_json(const lodewire::finding& f) {
  return {{"position", f.position.empty() ? json() : json(f.position)},
          {"about", f.about.empty() ? json() : json(f.about)},
          {"figure", or_null(f.figure)},
          {"unit", f.unit},
          {"text", f.text},
          {"cure", f.cure}};
}

[[nodiscard]] inline json as_json(const answer& a) {
  json knobs = json::object(), positions = json::array(), found = json::array();
  for (const lodewire::control& c : a.of.controls) knobs[c.name] = 10 * c.at.value();
  for (const std::size_t p : a.shown) positions.push_back(as_json(a.all.positions[p]));
  for (const lodewire::finding& f : a.found) found.push_back(as_json(f));
  return {{"instrument", a.all.instrument},
          {"plugged_into",
           {{"name", a.into.name},
            {"input_ohm", a.into.into.resistance.value()},
            {"cable_m", a.into.lead.length.value()},
            {"cable_f", (a.into.lead.length * a.into.lead.capacitance).value()}}},
          {"knobs", knobs},
          {"positions", positions},
          {"findings", found}};
}

} // namespace survey_example
