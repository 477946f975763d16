// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "../figures.hpp"
#include "../table.hpp"
#include "request.hpp"

/// The answer as text.
namespace survey_example {

inline constexpr std::size_t page_width = 110;

using examples::decibels;
using examples::three_figures;

[[nodiscard]] inline std::string sentence(std::string_view text) {
  return examples::wrapped(text, page_width, "  ", "  ");
}
/// Aligned to the left in a table that aligns to the right.
[[nodiscard]] inline std::string padded(std::string text, std::size_t width) {
  const std::size_t has = examples::columns_of(text);
  return has < width ? text + std::string(width - has, ' ') : text;
}

[[nodiscard]] inline std::string describe(const lodewire::magnetic_coil& c) {
  return lodewire::engineering(c.low_frequency_inductance(), 3) + ", " +
         lodewire::engineering(c.resistance, 3);
}
[[nodiscard]] inline std::string describe(const lodewire::pickup& p) {
  if (const auto* coil = std::get_if<lodewire::magnetic_coil>(&p)) return "a coil of " + describe(*coil);
  if (const auto* pair = std::get_if<lodewire::coil_pair>(&p))
    return "two coils, " + describe(pair->first) + " and " + describe(pair->second);
  if (const auto* active = std::get_if<lodewire::active_pickup>(&p))
    return "active, " + lodewire::engineering(active->output_resistance, 3) + " at its output";
  return "piezo, " + lodewire::engineering(std::get<lodewire::piezo>(p).capacitance, 3);
}

/// Pickups, knobs that are not at full, and what the jack is plugged into.
[[nodiscard]] inline std::string describe_case(const answer& a) {
  std::string text = a.all.instrument + '\n', knobs, pots;
  for (const lodewire::pickup& p : a.of.pickups)
    text += "  " + padded(lodewire::name_of(p), 12) + "  " + describe(p) + '\n';
  for (const lodewire::control& c : a.of.controls) {
    pots.append(pots.empty() ? "" : ", ").append(c.name);
    for (std::size_t s = 0; s < c.sections.size(); ++s)
      pots.append(s ? " and " : " ").append(lodewire::engineering(c.sections[s].total, 3));
    if (c.at.value() < 1)
      knobs.append(knobs.empty() ? "; " : ", ")
          .append(c.name)
          .append(" at ")
          .append(lodewire::plain_number(10 * c.at.value(), 3));
  }
  if (!pots.empty())
    text += examples::wrapped(pots + (knobs.empty() ? "; all at 10" : knobs), page_width,
                              "  " + padded("controls", 12) + "  ", "                ");
  return text + "  " + padded("plugged into", 12) + "  " + a.into.name + ": " +
         lodewire::engineering(a.into.into.resistance, 3) + " behind " +
         lodewire::engineering(a.into.lead.length, 3) + " of cable, " +
         lodewire::engineering(a.into.lead.length * a.into.lead.capacitance, 3) + '\n';
}

[[nodiscard]] inline std::size_t widest_position(const answer& a) {
  std::size_t width = 0;
  for (const std::size_t p : a.shown) width = std::max(width, examples::columns_of(a.of.positions[p].name));
  return width;
}

/// An impedance's magnitude; a point that hangs in the air has none.
[[nodiscard]] inline std::string ohms(const lodewire::impedance& z) {
  const double magnitude = std::abs(z.value());
  return lodewire::is_finite(magnitude) && magnitude < 1e12 ? three_figures(magnitude, "Ω") : "none";
}

[[nodiscard]] inline std::string sound_table(const answer& a) {
  std::vector<std::string> heading{"",          "level dBV", "re first dB", "resonance",
                                   "height dB", "−3 dB at",  "jack",        "meter"};
  for (const lodewire::pickup& p : a.of.pickups) heading.push_back(lodewire::name_of(p));
  examples::table t(heading);
  t.group("source", 6, 7);
  t.group("load on", 8, heading.size() - 1);
  for (const std::size_t p : a.shown) {
    const lodewire::position_survey& s = a.all.positions[p];
    std::vector<std::string> row{padded(s.name, widest_position(a)),
                                 decibels(s.level.value(), 1, "silent"),
                                 decibels(s.against_reference.value(), 1, "silent"),
                                 s.peak.has_peak ? three_figures(s.peak.peak) : "none",
                                 s.peak.has_peak ? decibels(s.peak.height.value()) : "",
                                 s.peak.edge ? three_figures(*s.peak.edge) : "none",
                                 ohms(s.source_impedance),
                                 ohms(lodewire::impedance::from_value(s.meter_reading.value()))};
    for (const lodewire::pickup& of : a.of.pickups) {
      const auto load = std::find_if(s.loads.begin(), s.loads.end(),
                                     [&](const auto& l) { return l.pickup == lodewire::name_of(of); });
      row.push_back(load == s.loads.end() ? "" : ohms(load->load));
    }
    t.add(std::move(row));
  }
  return t.text();
}

[[nodiscard]] inline std::string hum_table(const answer& a) {
  examples::table t({"", "re signal dB", "by cancelling dB", "at the input", "flat", "A-weighted"});
  t.group("hum, magnetic", 1, 2);
  t.group("electric", 3, 3);
  t.group("noise", 4, 5);
  for (const std::size_t p : a.shown) {
    const lodewire::position_survey& s = a.all.positions[p];
    const bool hums = lodewire::is_finite(s.hum_to_signal.value());
    t.add({padded(s.name, widest_position(a)), decibels(s.hum_to_signal.value()),
           hums ? decibels(s.hum_cancelling.value(), 1, "all") : "", three_figures(s.electric_hum),
           three_figures(s.noise), three_figures(s.noise_a_weighted)});
  }
  return t.text();
}

/// Whole numbers from ten on: three figures are more than a knob can be set to.
[[nodiscard]] inline std::string short_decibels(double value) {
  return decibels(value, std::abs(value) < 9.95 ? 1 : 0, "−∞");
}

/// What a control does to the level or, as a tone control, to treble against the level.
[[nodiscard]] inline std::vector<std::string> control_row(const lodewire::control_survey& c, std::string name,
                                                          bool tone) {
  const auto knob_at = [](const std::optional<double>& turned) {
    return turned ? lodewire::fixed_number(10 * *turned, 1) : "";
  };
  std::vector<std::string> row{std::move(name), tone ? "5 kHz" : ""};
  for (std::size_t k = 0; k < c.sweep.rotation.size(); k += 4)
    row.push_back(short_decibels(tone ? c.sweep.tilt_db(k) - c.sweep.tilt_db(c.sweep.rotation.size() - 1)
                                      : c.sweep.fall_db(k)));
  row.insert(row.end(),
             {tone ? "" : knob_at(c.at_6_db), tone ? "" : knob_at(c.at_20_db),
              lodewire::fixed_number(100 * (tone ? c.travel_of_tone : c.travel_of_level), 0) + " %"});
  return row;
}

[[nodiscard]] inline std::string controls_table(const answer& a) {
  std::vector<std::string> heading{"", ""};
  for (int number = 0; number <= 10; ++number) heading.push_back(std::to_string(number));
  heading.insert(heading.end(), {"−6", "−20", "travel"});
  examples::table t(std::move(heading));
  t.group("dB at knob", 2, 12);
  t.group("dB at", 13, 14);
  t.group("80 %", 15, 15);
  std::size_t width = 0;
  for (const lodewire::control& c : a.of.controls) width = std::max(width, examples::columns_of(c.name));
  for (const std::size_t p : a.shown) {
    const lodewire::position_survey& s = a.all.positions[p];
    if (!s.controls.empty()) t.add({padded("[" + s.name + "]", width)});
    for (const lodewire::control_survey& c : s.controls) {
      if (c.works_as != lodewire::control_role::tone) t.add(control_row(c, padded(c.control, width), false));
      if (c.works_as == lodewire::control_role::tone || c.works_as == lodewire::control_role::both)
        t.add(control_row(c, padded(c.control, width), true));
    }
  }
  return t.text();
}

[[nodiscard]] inline std::string findings_text(const answer& a) {
  if (a.found.empty()) return sentence("Nothing that calls for a cure.");
  std::string text;
  for (std::size_t i = 0; i < a.found.size(); ++i) {
    const lodewire::finding& f = a.found[i];
    const std::string number = std::to_string(i + 1) + ". ";
    const std::string first = std::string(i < 9 ? "   " : "  ") + number, later(first.size(), ' ');
    text += examples::wrapped((f.position.empty() ? "" : "[" + f.position + "] ") + f.text, page_width, first,
                              later);
    if (!f.cure.empty()) text += examples::wrapped("Cure: " + f.cure, page_width, later, later);
  }
  return text;
}

[[nodiscard]] inline std::string as_text(const answer& a) {
  const lodewire::survey_settings at;
  std::string text = describe_case(a) + "\nEvery position\n\n" + sound_table(a) + '\n';
  text +=
      sentence("level: at " + lodewire::engineering(at.level_at, 3) +
               ", dB re 1 V at the input, for the EMFs of the file. height: over the low frequencies. source "
               "and load on: magnitudes at " +
               lodewire::engineering(at.impedance_at, 3) +
               ", the jack as the cable sees it, and all that a pickup works into. meter: an ohmmeter at the "
               "jack, nothing else plugged in.");
  text += "\nHum and noise\n\n" + hum_table(a) + '\n';
  text += sentence(
      "magnetic: of a field that induces 1 V in a coil of turns-area 1, against the strings' EMFs of the "
      "file, so "
      "that only differences between rows mean anything; none: no coil that hums, or nothing known of it. "
      "electric: " +
      lodewire::engineering(at.stray, 3) + " from " + lodewire::engineering(at.mains_voltage, 3) + ", " +
      lodewire::engineering(at.mains, 3) + " into the jack's hot contact. noise: rms, 20 Hz to 20 kHz, at " +
      lodewire::engineering(at.temperature, 3) + ".");
  text += "\nWhat the controls do\n\n" + controls_table(a) + '\n';
  text += sentence(
      "The level at " + lodewire::engineering(at.level_at, 3) +
      " re the highest; of what is wired as a tone control that at " +
      lodewire::engineering(at.treble_at, 3) +
      " against the level, re knob 10. −6, −20: the knob's number for that level. travel: the shortest "
      "part of it that holds 80 % of the effect; a level below −40 dB counts as shut.");
  return text + "\nFindings\n\n" + findings_text(a);
}

} // namespace survey_example
