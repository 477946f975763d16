// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include <lodewire/design/findings.hpp>
#include <lodewire/instrument/survey.hpp>

#include "../shared/plugged_in.hpp"

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
  return {examples::shipped_instrument("semi_hollow.json"),
          examples::shipped_instrument("semi_hollow_swapped.json")};
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

/// Throws what reading and surveying throw, with the option where one is at fault.
[[nodiscard]] inline answer find_answer(const std::string& file, const options& o) {
  const lodewire::instrument_file read = examples::instrument_from_file(file);
  answer a{.file = std::filesystem::path(file).stem().string(),
           .of = read.built,
           .into = examples::find_destination(read.plugged_into, o.into),
           .shown = {},
           .all = {},
           .found = {}};
  for (const std::string& text : o.knobs) examples::turn_knob(a.of, text);
  examples::set_cable(a.into, o.cable);
  for (const std::string& name : o.positions)
    a.shown.push_back(examples::find_name(a.of.positions, name, "--position"));
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
