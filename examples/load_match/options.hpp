// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>

#include <lodewire/parts/taper_code.hpp>
#include <lodewire/quantity/read_marking.hpp>

#include "request.hpp"

/// The command line, in the trade's own writing.
namespace load_match {

/// What was typed. Empty: the demo's value.
struct options {
  std::string pot, wanted, source, coil, winding, cable, cable_length, cable_per_metre, input, taper, marking,
      tolerance, resistor_tolerance, resistor, on_hand, tone, tone_pot, missing;
  std::vector<std::string> series;
  bool is_demo = true; ///< nothing but --json or --plot was given
  bool no_pot = false, no_tone = false, json = false;
  std::string folder; ///< for pictures; empty: none
};

inline void declare(CLI::App& app, options& o) {
  app.add_option("--source", o.source, "output resistance of the pickup, or the wire of its coil (10k)");
  app.add_option("--wanted", o.wanted, "load that the pickup wants (25k)");
  app.add_option("--coil", o.coil, "the pickup is passive: inductance of its coil, such as 4.4H");
  app.add_option("--winding", o.winding, "capacitance of the coil, with --coil (120p)");
  auto* const pot = app.add_option("--pot", o.pot,
                                   "pot that is there, such as 500k, '250k ±10 %' or, with --marking, A500k");
  auto* const taper = app.add_option(
      "--taper", o.taper, "linear, audio, reverse-audio or, with --marking, a code such as 10A (audio)");
  app.add_option("--marking", o.marking, "whose letters: today, older-european, us-series, mil-r-94")
      ->check(CLI::IsMember({"today", "older-european", "us-series", "mil-r-94"}));
  auto* const tolerance = app.add_option("--tolerance", o.tolerance, "of the pot (20%)");
  app.add_flag("--no-pot", o.no_pot, "the pickup is wired straight to the jack")
      ->excludes(pot)
      ->excludes(taper)
      ->excludes(tolerance);
  app.add_option("--resistor-tolerance", o.resistor_tolerance, "of the resistors (5%)");
  app.add_option("--series", o.series, "e12, e24, e96 (all three)")
      ->delimiter(',')
      ->check(CLI::IsMember({"e12", "e24", "e96"}, CLI::ignore_case));
  app.add_option("--on-hand", o.on_hand, "resistors in the drawer (10k,22k,27k,33k,47k)");
  app.add_option("--resistor", o.resistor, "look at this resistor instead of the best of the first series");
  auto* const cable = app.add_option("--cable", o.cable, "capacitance of the cable (600p)");
  auto* const length =
      app.add_option("--cable-length", o.cable_length, "its length, such as 6m")->excludes(cable);
  auto* const per_metre =
      app.add_option("--cable-per-metre", o.cable_per_metre, "and capacitance, such as 100pF/m")
          ->needs(length);
  length->needs(per_metre);
  app.add_option("--input", o.input, "resistance of the amplifier's input (1M)");
  auto* const tone = app.add_option("--tone", o.tone, "tone capacitor (22n)");
  auto* const tone_pot = app.add_option("--tone-pot", o.tone_pot, "tone pot (500k)");
  app.add_flag("--no-tone", o.no_tone, "there is no tone control")->excludes(tone)->excludes(tone_pot);
  app.add_option("--missing", o.missing,
                 "pot that another pickup, straight at the jack, misses (the demo: 500k)");
  app.add_flag("--json", o.json, "print one JSON object and nothing else");
  app.add_option("--plot", o.folder, "draw the pictures, SVG and PNG, into this folder");
}

/// An empty value, which would else pass for one that was not given.
/// Was anything given that changes the case?
[[nodiscard]] inline bool is_demo(const CLI::App& app) {
  for (const CLI::Option* option : app.get_options())
    if (option->count() > 0 && !option->check_lname("json") && !option->check_lname("plot")) return false;
  return true;
}

/// What a bench has, generously.
template <class Q>
[[nodiscard]] std::pair<Q, Q> bench_range() {
  using lodewire::from_si;
  if constexpr (std::is_same_v<Q, lodewire::resistance>) return {from_si<Q>(1), from_si<Q>(1e9)};
  if constexpr (std::is_same_v<Q, lodewire::capacitance>) return {from_si<Q>(1e-14), from_si<Q>(1e-3)};
  if constexpr (std::is_same_v<Q, lodewire::inductance>) return {from_si<Q>(1e-3), from_si<Q>(1e3)};
  if constexpr (std::is_same_v<Q, lodewire::length>) return {from_si<Q>(1e-3), from_si<Q>(1e3)};
  if constexpr (std::is_same_v<Q, lodewire::capacitance_per_length>)
    return {from_si<Q>(1e-13), from_si<Q>(1e-6)};
}

/// A value of the bench, without a tolerance; errors name the option.
template <class Q>
[[nodiscard]] Q read_value(std::string_view text, const char* option) {
  const auto [low, high] = bench_range<Q>();
  if constexpr (requires { lodewire::read_marking<Q>(text, option); }) {
    const auto marked = lodewire::read_marking<Q>(text, option);
    if (marked.tolerance)
      throw lodewire::text_error(option, text, 1,
                                 "a value without a tolerance (see --tolerance, --resistor-tolerance)");
    return lodewire::require_within(option, marked.value, low, high);
  } else {
    return lodewire::require_within(option, lodewire::read_quantity<Q>(text, option), low, high);
  }
}

template <class Q>
void take(Q& to, const std::string& text, const char* option) {
  if (!text.empty()) to = read_value<Q>(text, option);
}

inline void take(double& to, const std::string& text, const char* option) {
  if (text.empty()) return;
  const lodewire::tolerance t = lodewire::read_tolerance(text, option);
  to = std::max(t.minus, t.plus);
  if (!(to < 1)) throw lodewire::invalid_value(option, text, "less than 100 %");
}

[[nodiscard]] inline lodewire::marking_world world_of(const std::string& name) {
  if (name == "today") return lodewire::marking_world::today;
  if (name == "older-european") return lodewire::marking_world::older_european;
  if (name == "us-series") return lodewire::marking_world::us_series;
  return lodewire::marking_world::mil_r_94;
}

[[nodiscard]] inline lodewire::taper read_law(const std::string& text, const std::string& marking) {
  if (text == "linear") return lodewire::linear_taper;
  if (text == "audio") return lodewire::audio_taper;
  if (text == "reverse-audio") return lodewire::reverse_audio_taper;
  if (marking.empty())
    throw lodewire::text_error("--taper", text, 1,
                               "linear, audio, reverse-audio, or a letter together with --marking");
  return lodewire::read_taper(text, world_of(marking));
}

inline void take_pot(request& r, const options& o) {
  if (o.no_pot) {
    r.pot.reset();
    return;
  }
  const bool lettered = !o.marking.empty() && !o.pot.empty() && o.taper.empty();
  if (lettered) {
    r.pot = lodewire::read_potentiometer(o.pot, world_of(o.marking));
  } else if (!o.pot.empty()) {
    if (o.pot.find_first_not_of("0123456789") == std::string::npos) // 504 is a stamp, 500 is neither
      throw lodewire::text_error(
          "--pot", o.pot, o.pot.size() + 1,
          "a prefix or a unit (500k), or a stamp with its letter and --marking (A504)");
    const auto marked = lodewire::read_marking<lodewire::resistance>(o.pot, "--pot");
    r.pot->total = marked.value;
    if (marked.tolerance) r.pot->tolerance = std::max(marked.tolerance->minus, marked.tolerance->plus);
  }
  if (!(r.pot->tolerance < 1)) throw lodewire::invalid_value("--pot", o.pot, "a tolerance below 100 %");
  lodewire::require_within("--pot", r.pot->total, lodewire::resistance::from_value(100),
                           lodewire::resistance::from_value(100e6));
  if (!o.taper.empty()) r.pot->law = read_law(o.taper, o.marking);
  if (!(r.pot->law(lodewire::rotation(1)) > r.pot->law(lodewire::rotation(0))))
    throw lodewire::invalid_value("--taper", "a law that falls clockwise", "one that rises");
  take(r.pot->tolerance, o.tolerance, "--tolerance");
}

inline void take_pickup(request& r, const options& o) {
  if (!o.coil.empty()) {
    r.pickup = r.straight;
    take(*r.pickup.inductance, o.coil, "--coil");
    take(r.pickup.capacitance, o.winding, "--winding");
  } else if (!o.winding.empty()) {
    throw lodewire::invalid_value("--winding", o.winding, "only with --coil");
  }
  take(r.pickup.resistance, o.source, "--source");
  take(r.wanted, o.wanted, "--wanted");
  lodewire::require_within("--wanted", r.wanted, lodewire::resistance::from_value(100),
                           lodewire::resistance::from_value(100e6));
}

/// Values with commas between them.
[[nodiscard]] inline std::vector<lodewire::resistance> read_list(std::string_view text, const char* option) {
  std::vector<lodewire::resistance> list;
  for (bool more = true; more;) {
    const std::string_view value = text.substr(0, text.find(','));
    list.push_back(read_value<lodewire::resistance>(value, option));
    more = value.size() < text.size();
    if (more) text.remove_prefix(value.size() + 1);
  }
  return list;
}

inline void take_resistors(request& r, const options& o) {
  if (!o.series.empty()) r.series.clear();
  for (const std::string& name : o.series) {
    const auto series = name.substr(1) == "12"   ? lodewire::e_series::e12
                        : name.substr(1) == "24" ? lodewire::e_series::e24
                                                 : lodewire::e_series::e96;
    if (std::find(r.series.begin(), r.series.end(), series) == r.series.end()) r.series.push_back(series);
  }
  if (!o.on_hand.empty()) r.on_hand = read_list(o.on_hand, "--on-hand");
  if (!o.resistor.empty()) take(r.resistor.emplace(), o.resistor, "--resistor");
  take(r.resistor_tolerance, o.resistor_tolerance, "--resistor-tolerance");
}

inline void take_outside(request& r, const options& o) {
  take(r.cable, o.cable, "--cable");
  if (!o.cable_length.empty()) {
    lodewire::cable c;
    take(c.length, o.cable_length, "--cable-length");
    take(c.capacitance, o.cable_per_metre, "--cable-per-metre");
    r.cable = c.length * c.capacitance;
  }
  take(r.input, o.input, "--input");
}

inline void take_tone(request& r, const options& o) {
  if (o.no_tone || o.no_pot) {
    if (!o.tone.empty() || !o.tone_pot.empty())
      throw lodewire::invalid_value("--tone", "given", "only with a pot: leave --no-pot out");
    r.tone.reset();
    return;
  }
  take(r.tone->capacitor, o.tone, "--tone");
  take(r.tone->pot, o.tone_pot, "--tone-pot");
}

/// Throws `text_error` or `invalid_value` with the name of the option.
[[nodiscard]] inline request to_request(const options& o) {
  request r;
  r.is_demo = o.is_demo;
  take_pickup(r, o);
  take_pot(r, o);
  take_resistors(r, o);
  take_outside(r, o);
  take_tone(r, o);
  take(r.missing, o.missing, "--missing");
  r.has_straight = o.is_demo || !o.missing.empty();
  return r;
}

} // namespace load_match
