// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/instrument/instrument.hpp>
#include <lodewire/instrument/json_node.hpp>
#include <lodewire/instrument/json_taper.hpp>
#include <lodewire/quantity/read_level.hpp>

/// Parts from an instrument file. Each is checked where it is read, so that an error names its path.
namespace lodewire::detail {

/// Runs a check of a part; the parameters it names, less their first `drop` characters, are paths from `of` on.
template <class F>
void check_part(const json_node& of, std::size_t drop, F examine) {
  try {
    examine();
  } catch (const invalid_value& error) {
    throw at_path(of.bare_path(), drop, error);
  }
}

/// A voltage or current noise density: `20 nV/√Hz`; also `/sqrt(Hz)` and `/rtHz`.
template <class Q>
[[nodiscard]] double read_noise(const json_node& from, std::string_view wanted) {
  return from.read(
      [&](std::string_view text) {
        for (const std::string_view end : {"/√Hz", "/sqrt(Hz)", "/rtHz"}) {
          if (!text.ends_with(end)) continue;
          text.remove_suffix(end.size());
          if (is_bare_number(text)) from.refuse_this(wanted);
          return read_quantity<Q>(text).value();
        }
        from.refuse_this(wanted);
      },
      wanted);
}
inline void voltage_noise_to(double& to, const json_node& of) {
  if (const auto member = of.find("voltage_noise"))
    to = read_noise<voltage>(*member, "a noise voltage as text, such as '20 nV/√Hz'");
}
inline void current_noise_to(double& to, const json_node& of) {
  if (const auto member = of.find("current_noise"))
    to = read_noise<current>(*member, "a noise current as text, such as '0.5 pA/√Hz'");
}

[[nodiscard]] inline double read_percent_member(const json_node& from, std::string_view wanted) {
  return from.read([](std::string_view text) { return read_percentage(text); }, wanted);
}

[[nodiscard]] inline screened_lead read_lead(const json_node& from) {
  from.require_shape(shapes::lead);
  screened_lead lead;
  from.quantity_to(lead.length, "length");
  from.quantity_to(lead.capacitance, "capacitance");
  return lead;
}

/// The members of a coil; kind and name apart.
inline void read_coil_into(magnetic_coil& coil, const json_node& from) {
  from.quantity_to(coil.inductance, "inductance");
  from.quantity_to(coil.resistance, "resistance");
  from.quantity_to(coil.capacitance, "capacitance");
  from.quantity_to(coil.start_to_ground, "start_to_ground");
  from.quantity_to(coil.end_to_ground, "end_to_ground");
  from.quantity_to(coil.parallel_loss, "parallel_loss");
  from.quantity_to(coil.emf, "emf");
  from.quantity_to(coil.emf_corner, "emf_corner");
  from.number_to(coil.turns_area, "turns_area");
  from.word_to(coil.winding, "winding", words::windings);
  from.word_to(coil.magnet, "magnet", words::magnets);
  from.word_to(coil.connection, "connection", words::connections);
  from.word_to(coil.cover, "cover", words::covers);
  const auto branches = from.list_of("eddy");
  if (branches.size() > coil.eddy.size()) from["eddy"].refuse_this("a list of at most 2 branches");
  for (std::size_t i = 0; i < branches.size(); ++i) {
    branches[i].require_shape(shapes::eddy);
    branches[i].quantity_to(coil.eddy[i].inductance, "inductance");
    branches[i].quantity_to(coil.eddy[i].resistance, "resistance");
  }
  if (const auto lead = from.find("lead")) coil.lead = read_lead(*lead);
}

[[nodiscard]] inline magnetic_coil read_coil(const json_node& from) {
  from.require_shape(shapes::coil);
  magnetic_coil coil{.name = from["name"].name()};
  read_coil_into(coil, from);
  check_part(from, 0, [nameless = coil]() mutable {
    nameless.name.clear();
    (void)source(nameless);
  });
  return coil;
}

[[nodiscard]] inline coil_pair read_two_coils(const json_node& from) {
  from.require_shape(shapes::two_coils);
  coil_pair pair{.name = from["name"].name()};
  for (const bool is_first : {true, false}) {
    const json_node half = from[is_first ? "first" : "second"];
    half.require_shape(shapes::half);
    magnetic_coil& coil = is_first ? pair.first : pair.second;
    half.name_to(coil.name, "name");
    read_coil_into(coil, half);
  }
  from.number_to(pair.coupling, "coupling");
  from.quantity_to(pair.between, "between");
  if (const auto lead = from.find("lead")) pair.lead = read_lead(*lead);
  check_part(from, 0, [nameless = pair]() mutable {
    nameless.name.clear();
    nameless.first.name = "first";
    nameless.second.name = "second";
    (void)nameless.as_series();
  });
  return pair;
}

[[nodiscard]] inline active_pickup read_active(const json_node& from) {
  from.require_shape(shapes::active);
  active_pickup active{.name = from["name"].name()};
  from.quantity_to(active.output_resistance, "output_resistance");
  from.quantity_to(active.emf, "emf");
  if (const auto limit = from.find("limit")) {
    limit->require_shape(shapes::limit);
    active.limit.emplace();
    limit->quantity_to(active.limit->corner, "corner");
    limit->number_to(active.limit->quality, "quality");
  }
  from.quantity_to(active.supply_current, "supply_current");
  from.quantity_to(active.unpowered_resistance, "unpowered_resistance");
  voltage_noise_to(active.voltage_noise, from);
  from.number_to(active.turns_area, "turns_area");
  check_part(from, 0, [nameless = active]() mutable {
    nameless.name.clear();
    (void)source(nameless);
  });
  return active;
}

[[nodiscard]] inline piezo read_piezo(const json_node& from) {
  from.require_shape(shapes::piezo);
  piezo crystal{.name = from["name"].name()};
  from.quantity_to(crystal.capacitance, "capacitance");
  from.quantity_to(crystal.emf, "emf");
  check_part(from, 0, [nameless = crystal]() mutable {
    nameless.name.clear();
    (void)source(nameless);
  });
  return crystal;
}

[[nodiscard]] inline pickup read_pickup(const json_node& from) {
  from.require_object("a pickup: {\"kind\": ...}");
  if (!from.has("kind"))
    throw document_error(member_path(from.path(), "kind"), "missing",
                         "'coil', 'two coils', 'active' or 'piezo'");
  switch (from["kind"].one_of(words::pickup_kinds)) {
  case words::pickup_kind::two_coils: return read_two_coils(from);
  case words::pickup_kind::active: return read_active(from);
  case words::pickup_kind::piezo: return read_piezo(from);
  case words::pickup_kind::coil: break;
  }
  return read_coil(from);
}

/// Half a law, or a word that may mean several.
inline void refuse_half_a_law(const json_node& from) {
  std::string lower_case;
  for (const char c : from.text()) lower_case += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  for (const std::string_view law : {"audio", "reverse audio", "s-shaped"})
    if (lower_case == law)
      from.refuse(from.shown(),
                  "with the percent of the track at half travel, such as '" + std::string(law) + " 15 %'");
  constexpr std::string_view wanted = "a law in words with its percent";
  if (lower_case == "log" || lower_case == "logarithmic") from.refuse(from.shown(), wanted, "audio 15 %");
  if (lower_case == "reverse log" || lower_case == "antilog")
    from.refuse(from.shown(), wanted, "reverse audio 15 %");
  if (lower_case == "lin") from.refuse(from.shown(), "a law in words", "linear");
  if (lower_case.size() == 1 && lower_case[0] >= 'a' && lower_case[0] <= 'z')
    from.refuse(from.shown(),
                "a law in words, such as 'linear' or 'audio 15 %': a stamped letter means different "
                "laws in different worlds");
  for (const std::string_view log : {"logarithmic ", "log "})
    if (const auto at = lower_case.find(log); at != lower_case.npos)
      lower_case.replace(at, log.size(), "audio ");
  if (lower_case == from.text()) return;
  try {
    (void)read_taper_words(lower_case);
  } catch (const text_error&) {
    return;
  }
  from.refuse(from.shown(), "a law in words, in small letters", lower_case);
}

/// A taper by words or by its table of [rotation, fraction].
[[nodiscard]] inline taper read_law(const json_node& from) {
  constexpr std::string_view wanted =
      "a law in words, such as 'audio 15 %', or a table [[rotation, fraction], ...]";
  if (from.is_text()) refuse_half_a_law(from);
  if (!from.is_list()) return from.read([](std::string_view t) { return read_taper_words(t); }, wanted);
  std::vector<taper_point> points;
  for (const json_node& entry : from.list()) {
    const auto pair = entry.list("a point: [rotation, fraction]");
    if (pair.size() != 2) entry.refuse_this("two numbers: [rotation, fraction]");
    points.push_back({pair[0].number(), pair[1].number()});
  }
  taper law;
  check_part(from, std::string_view("taper.points").size(), [&] { law = taper::measured(points); });
  return law;
}

/// The members of one potentiometer of a control.
[[nodiscard]] inline potentiometer read_section(const json_node& from) {
  potentiometer part;
  from.quantity_to(part.total, "track");
  if (const auto law = from.find("taper")) part.law = read_law(*law);
  if (const auto travel = from.find("electrical_travel")) {
    constexpr std::string_view wanted = "the part of the travel that turns, '0.1 %' to '100 %'";
    const double fraction = read_percent_member(*travel, wanted);
    if (!(fraction >= 0.001) || !(fraction <= 1)) travel->refuse_this(wanted);
    part.law = within_travel(std::move(part.law), fraction, 1);
  }
  from.quantity_to(part.end_resistance, "end_resistance");
  if (const auto tolerance = from.find("tolerance")) {
    constexpr std::string_view wanted =
        "0 % or more, less than 100 %, the same on both sides, such as '±10 %'";
    const auto within = tolerance->read([](std::string_view t) { return read_tolerance(t); }, wanted);
    if (!(within.minus < 1) || within.plus != within.minus) tolerance->refuse_this(wanted);
    part.tolerance = within.minus;
  }
  if (const auto cut = from.find("cut_at_full")) part.cut_at_full = cut->boolean();
  if (!(part.total.value() > 0)) from["track"].refuse_this("more than 0 Ω");
  check_part(from, std::string_view("potentiometer.").size(),
             [&] { (void)part.as_rheostat(rotation(1), lugs::one_two); });
  return part;
}

/// Where a knob stands: 0 to 10 on its scale, or percent of the travel as text.
[[nodiscard]] inline rotation read_knob(const json_node& from) {
  constexpr std::string_view wanted = "a number of 0 to 10, or '0 %' to '100 %' of the travel";
  const double turned = from.is_text() ? read_percent_member(from, wanted) * 10 : from.number();
  if (!(turned >= 0) || !(turned <= 10)) from.refuse_this(wanted);
  return from.is_text() ? rotation(read_percent_member(from, wanted)) : knob(turned);
}

[[nodiscard]] inline control read_control(const json_node& from) {
  const object_shape& shape = from.choose(shapes::controls);
  from.require_shape(shape);
  control c{.name = from["name"].name()};
  if (&shape == &shapes::control) {
    c.sections.push_back(read_section(from));
  } else {
    for (const json_node& one : from["sections"].list())
      c.sections.push_back(read_section(one.require_shape(shapes::section)));
    if (c.sections.empty()) from["sections"].refuse_this("one potentiometer or more");
  }
  if (const auto at = from.find("knob")) c.at = read_knob(*at);
  return c;
}

} // namespace lodewire::detail
