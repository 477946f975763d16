// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include <nlohmann/json.hpp>

#include <lodewire/instrument/instrument.hpp>
#include <lodewire/instrument/json_charge.hpp>
#include <lodewire/instrument/json_taper.hpp>
#include <lodewire/instrument/json_words.hpp>
#include <lodewire/quantity/write_marking.hpp>

/// Parts into an instrument file. What has its default value is left out.
namespace lodewire::detail {

using json_out = nlohmann::ordered_json;

/// Whole numbers without a point.
[[nodiscard]] inline json_out number_out(std::string_view name, double value) {
  require_finite(name, value);
  if (std::abs(value) < 1e15 && value == std::floor(value)) return static_cast<std::int64_t>(value);
  return value;
}

template <class E, std::size_t N>
[[nodiscard]] std::string word_out(std::string_view name, E value, const word<E> (&words)[N]) {
  for (const word<E>& w : words)
    if (w.value == value) return std::string(w.text);
  throw invalid_value(name, "no enumerator", "an enumerator of its type");
}

template <class Q>
void put(json_out& to, const char* key, const Q& value) {
  to[key] = write_quantity(require_not_negative(key, value));
}
/// Only where it differs from what a file without it means.
template <class Q>
void put_unless(json_out& to, const char* key, const Q& value, const Q& usual) {
  if (!(value == usual)) put(to, key, value);
}
template <class Q>
void put(json_out& to, const char* key, const std::optional<Q>& value) {
  if (value) put(to, key, *value);
}
inline void put_number_unless(json_out& to, const char* key, double value, double usual) {
  if (!(value == usual)) to[key] = number_out(key, value);
}
template <class E, std::size_t N>
void put_word_unless(json_out& to, const char* key, E value, E usual, const word<E> (&words)[N]) {
  if (value != usual) to[key] = word_out(key, value, words);
}
/// `20 nV/√Hz`.
template <class Q>
void put_noise(json_out& to, const char* key, double value) {
  if (value == 0) return;
  to[key] = write_quantity(require_not_negative(key, Q::from_value(value))) + "/√Hz";
}

inline void put_lead(json_out& to, const screened_lead& lead) {
  if (lead == screened_lead{}) return;
  json_out& l = to["lead"];
  put(l, "length", lead.length);
  put(l, "capacitance", lead.capacitance);
}

/// A coil's members, `usual` where they are left out.
inline void put_coil(json_out& to, const magnetic_coil& c, const magnetic_coil& usual) {
  put(to, "inductance", c.inductance);
  put(to, "resistance", c.resistance);
  put(to, "capacitance", c.capacitance);
  put_unless(to, "start_to_ground", c.start_to_ground, usual.start_to_ground);
  put_unless(to, "end_to_ground", c.end_to_ground, usual.end_to_ground);
  std::size_t branches = c.eddy.size();
  while (branches > 0 && c.eddy[branches - 1] == eddy_branch{}) --branches;
  for (std::size_t i = 0; i < branches; ++i) {
    json_out branch;
    put(branch, "inductance", c.eddy[i].inductance);
    put(branch, "resistance", c.eddy[i].resistance);
    to["eddy"].push_back(branch);
  }
  put(to, "parallel_loss", c.parallel_loss);
  put_unless(to, "emf", c.emf, usual.emf);
  put(to, "emf_corner", c.emf_corner);
  put_number_unless(to, "turns_area", c.turns_area, usual.turns_area);
  put_word_unless(to, "winding", c.winding, usual.winding, words::windings);
  put_word_unless(to, "magnet", c.magnet, usual.magnet, words::magnets);
  put_word_unless(to, "connection", c.connection, usual.connection, words::connections);
  put_word_unless(to, "cover", c.cover, usual.cover, words::covers);
  put_lead(to, c.lead);
}

[[nodiscard]] inline json_out pickup_out(const magnetic_coil& c) {
  json_out to{{"name", c.name}, {"kind", "coil"}};
  put_coil(to, c, {});
  return to;
}
[[nodiscard]] inline json_out pickup_out(const coil_pair& p) {
  json_out to{{"name", p.name}, {"kind", "two coils"}};
  const coil_pair usual;
  const auto half = [&](const char* key, const magnetic_coil& c, const magnetic_coil& otherwise) {
    json_out h;
    if (c.name != otherwise.name) h["name"] = c.name;
    put_coil(h, c, otherwise);
    to[key] = h;
  };
  half("first", p.first, usual.first);
  half("second", p.second, usual.second);
  to["coupling"] = number_out("coupling", p.coupling);
  put_unless(to, "between", p.between, usual.between);
  put_lead(to, p.lead);
  return to;
}
[[nodiscard]] inline json_out pickup_out(const active_pickup& p) {
  const active_pickup usual;
  json_out to{{"name", p.name}, {"kind", "active"}};
  put_unless(to, "output_resistance", p.output_resistance, usual.output_resistance);
  put_unless(to, "emf", p.emf, usual.emf);
  if (p.limit) {
    put(to["limit"], "corner", p.limit->corner);
    put_number_unless(to["limit"], "quality", p.limit->quality, band_limit{}.quality);
  }
  put_unless(to, "supply_current", p.supply_current, usual.supply_current);
  put(to, "unpowered_resistance", p.unpowered_resistance);
  put_noise<voltage>(to, "voltage_noise", p.voltage_noise);
  put_number_unless(to, "turns_area", p.turns_area, usual.turns_area);
  return to;
}
[[nodiscard]] inline json_out pickup_out(const piezo& p) {
  json_out to{{"name", p.name}, {"kind", "piezo"}};
  put(to, "capacitance", p.capacitance);
  put_unless(to, "emf", p.emf, piezo{}.emf);
  return to;
}
[[nodiscard]] inline json_out pickup_out(const pickup& p) {
  return std::visit([](const auto& part) { return pickup_out(part); }, p);
}

inline void put_section(json_out& to, const potentiometer& p) {
  const potentiometer usual;
  put(to, "track", p.total);
  if (p.law.kind() == taper::law::measured) {
    for (const cubic_knot& k : p.law.knots())
      to["taper"].push_back({number_out("taper", k.x), number_out("taper", k.y)});
  } else if (const std::string law = write_taper_words(p.law); law != "linear") {
    to["taper"] = law;
  }
  if (p.law.travel() != 1) to["electrical_travel"] = percent_text(p.law.travel());
  put_unless(to, "end_resistance", p.end_resistance, usual.end_resistance);
  if (p.tolerance != usual.tolerance) to["tolerance"] = write_tolerance(tolerance::symmetric(p.tolerance));
  if (p.cut_at_full) to["cut_at_full"] = true;
}

[[nodiscard]] inline json_out control_out(const control& c) {
  json_out to{{"name", c.name}};
  if (c.sections.size() == 1) {
    put_section(to, c.sections[0]);
  } else {
    for (const potentiometer& p : c.sections) {
      json_out section;
      put_section(section, p);
      to["sections"].push_back(section);
    }
  }
  // The knob's scale where it holds this rotation exactly, else percent.
  const double turned = c.at.value() * 10;
  if (turned <= 10 && knob(turned) == c.at)
    to["knob"] = number_out("knob", turned);
  else
    to["knob"] = percent_text(c.at.value());
  return to;
}

[[nodiscard]] inline json_out battery_out(const battery& b) {
  for (const block_figures& block : nine_volt_blocks)
    if (to_battery(block) == b) return b.designation;
  json_out to{{"designation", b.designation}};
  put_word_unless(to, "chemistry", b.chemistry, battery{}.chemistry, words::chemistries);
  if (b.cells != battery{}.cells) to["cells"] = b.cells;
  put(to, "fresh_voltage", b.fresh_voltage);
  put(to, "end_voltage", b.end_voltage);
  to["capacity"] = {charge_text(b.capacity.lowest), charge_text(b.capacity.highest)};
  put(to, "internal_resistance", b.internal_resistance);
  return to;
}

[[nodiscard]] inline json_out supply_out(const onboard_supply& s) {
  json_out to{{"battery", battery_out(s.cell)},
              {"in_series", s.in_series},
              {"jack", word_out("jack", s.jack, words::jacks)}};
  put_unless(to, "lost_at_rails", s.lost_at_rails, onboard_supply{}.lost_at_rails);
  return to;
}

[[nodiscard]] inline json_out destination_out(const destination& d) {
  json_out to{{"name", d.name}};
  json_out& lead = to["cable"];
  put(lead, "length", d.lead.length);
  put(lead, "capacitance", d.lead.capacitance);
  put_unless(lead, "resistance", d.lead.resistance, {});
  put_unless(lead, "inductance", d.lead.inductance, {});
  json_out& into = to["input"];
  put(into, "resistance", d.into.resistance);
  put_unless(into, "capacitance", d.into.capacitance, {});
  put_unless(into, "stopper", d.into.stopper, {});
  put_noise<voltage>(to, "voltage_noise", d.voltage_noise);
  put_noise<current>(to, "current_noise", d.current_noise);
  return to;
}

} // namespace lodewire::detail
