// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/design/findings.hpp>
#include <lodewire/instrument/json.hpp>
#include <lodewire/instrument/survey.hpp>
#include <lodewire/quantity/read_level.hpp>
#include <lodewire/quantity/read_marking.hpp>

/// What is asked for, and the answer.
namespace survey_example {

/// What was typed.
struct options {
  std::vector<std::string> files, positions, knobs;
  std::string into, cable;
  std::string folder; ///< for pictures; empty: none
  bool json = false;
};

/// One instrument, plugged in, and all that is known of it.
struct answer {
  std::string file; ///< its name without folder and ending
  lodewire::instrument of;
  lodewire::destination into;
  std::vector<std::size_t> shown; ///< positions
  lodewire::survey_result all;
  std::vector<lodewire::finding> found; ///< those of the positions that are shown
};

/// The demo: a two-pickup semi-hollow guitar before and after its neck pickup is swapped for an active one.
[[nodiscard]] inline std::vector<std::string> demo_files() {
  const auto folder = std::filesystem::path(__FILE__).parent_path().parent_path() / "instruments";
  return {(folder / "semi_hollow.json").string(), (folder / "semi_hollow_swapped.json").string()};
}

/// What may be plugged into without a word about it in the file: inputs of 1 MΩ, 50 kΩ and 10 kΩ behind 3 m of
/// cable of 100 pF/m. Common practice, no source.
[[nodiscard]] inline std::vector<lodewire::destination> usual_destinations() {
  std::vector<lodewire::destination> all;
  for (const auto& [name, ohms] :
       {std::pair("amp", 1e6), std::pair("pedal", 50e3), std::pair("line", 10e3)}) {
    lodewire::destination d;
    d.name = name;
    d.into.resistance = lodewire::resistance::from_value(ohms);
    all.push_back(d);
  }
  return all;
}

/// The destination of that name: the file's own first. Without a name the file's first one, or the amplifier.
[[nodiscard]] inline lodewire::destination find_destination(std::vector<lodewire::destination> known,
                                                            const std::string& name) {
  for (const lodewire::destination& d : usual_destinations()) known.push_back(d);
  if (name.empty()) return known.front();
  std::string names;
  for (const lodewire::destination& d : known) {
    if (d.name == name) return d;
    names.append(names.empty() ? "'" : ", '").append(d.name).append("'");
  }
  throw lodewire::invalid_value("--into", "'" + name + "'", names);
}

/// The number of the entry called `name`; else the names there are, and which one is meant.
template <class T>
[[nodiscard]] std::size_t find_name(const std::vector<T>& list, const std::string& name,
                                    const std::string& option) {
  std::vector<std::string> known;
  for (const T& entry : list) known.push_back(entry.name);
  const auto found = std::find(known.begin(), known.end(), name);
  if (found != known.end()) return static_cast<std::size_t>(found - known.begin());
  const std::string meant = lodewire::detail::usual_word(name, known);
  throw lodewire::invalid_value(option, "'" + name + "'",
                                lodewire::detail::names_in(list) +
                                    (meant.empty() ? "" : "; did you mean '" + meant + "'?"));
}

/// `--knob neck volume=7`: the shell made two of it, and the second one passes for a file.
inline void refuse_forgotten_quotes(const options& o) {
  for (const std::string& knob : o.knobs)
    for (const std::string& file : o.files)
      if (knob.find('=') == std::string::npos && file.find('=') != std::string::npos)
        throw lodewire::invalid_value("--knob", "'" + knob + "'",
                                      "a control and its number, in quotation marks where there is a blank: "
                                      "--knob \"" +
                                          knob + " " + file + "\"");
}

/// `neck volume=7`, `tone=70%`: the name is everything before the last equals sign.
inline void turn_knob(lodewire::instrument& of, const std::string& text) {
  const std::size_t equals = text.rfind('=');
  if (equals == std::string::npos)
    throw lodewire::invalid_value("--knob", "'" + text + "'", "a control and its number, such as volume=7");
  const std::string name = text.substr(0, equals), value = text.substr(equals + 1);
  lodewire::control& turned = of.controls[find_name(of.controls, name, "--knob")];
  if (const std::size_t comma = value.find(','); comma != std::string::npos)
    throw lodewire::invalid_value("--knob " + name, "'" + value + "'",
                                  "a point, not a comma: " + name + "=" + value.substr(0, comma) + "." +
                                      value.substr(comma + 1));
  double at = -1;
  if (!value.empty() && value.back() == '%') {
    at = lodewire::read_percentage(value, "--knob " + name);
  } else {
    const char* const end = value.data() + value.size();
    if (const auto [stop, error] = std::from_chars(value.data(), end, at);
        error != std::errc{} || stop != end)
      at = -1;
    at /= 10;
  }
  if (!(at >= 0 && at <= 1))
    throw lodewire::invalid_value("--knob " + name, "'" + value + "'", "0 to 10, or 0 % to 100 %");
  turned.at = lodewire::rotation(at);
}

[[nodiscard]] inline std::string text_of_file(const std::string& name) {
  if (std::filesystem::is_directory(name))
    throw std::runtime_error("'" + name + "' is a folder, not an instrument file");
  std::ifstream in(name, std::ios::binary);
  std::string text(std::istreambuf_iterator<char>(in), {});
  if (!in) throw std::runtime_error("'" + name + "' cannot be read");
  return text;
}

/// Errors in the file begin with its name.
[[nodiscard]] inline lodewire::instrument_file read_file(const std::string& name) {
  const std::string text = text_of_file(name);
  try {
    return lodewire::read_instrument_file(text);
  } catch (const std::exception& error) {
    throw std::runtime_error(name + ": " + error.what());
  }
}

/// Throws what reading and surveying throw, with the option where one is at fault.
[[nodiscard]] inline answer find_answer(const std::string& file, const options& o) {
  const lodewire::instrument_file read = read_file(file);
  answer a{.file = std::filesystem::path(file).stem().string(),
           .of = read.built,
           .into = find_destination(read.plugged_into, o.into),
           .shown = {},
           .all = {},
           .found = {}};
  for (const std::string& text : o.knobs) turn_knob(a.of, text);
  if (!o.cable.empty()) {
    if (lodewire::detail::is_bare_number(o.cable))
      throw lodewire::invalid_value("--cable", "'" + o.cable + "': " + o.cable + " of what?",
                                    lodewire::detail::with_units<lodewire::length>(o.cable));
    a.into.lead.length = lodewire::read_length(o.cable, "--cable");
    lodewire::require_within("--cable", a.into.lead.length, lodewire::length{},
                             lodewire::length::from_value(1000));
  }
  for (const std::string& name : o.positions)
    a.shown.push_back(find_name(a.of.positions, name, "--position"));
  if (o.positions.empty())
    for (std::size_t p = 0; p < a.of.positions.size(); ++p) a.shown.push_back(p);

  a.all = lodewire::survey(a.of, {}, a.into);
  for (const lodewire::finding& f : lodewire::findings(a.of, a.into)) {
    const bool shown = std::any_of(a.shown.begin(), a.shown.end(),
                                   [&](std::size_t p) { return a.of.positions[p].name == f.position; });
    if (shown || f.position.empty()) a.found.push_back(f);
  }
  return a;
}

} // namespace survey_example
