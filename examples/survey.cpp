// SPDX-License-Identifier: BSL-1.0
// What will this instrument do? Every position of its selector, its controls, and what a technician would say of it.
//
//   survey                                     the demo: a guitar before and after a swap of pickups
//   survey examples/instruments/measured_guitar.json --cable 6m --plot pictures
//   survey guitar.json --position both --knob "neck volume=7" --into pedal
//   survey guitar.json --json
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <string>
#include <vector>

#include "cautions.hpp"
#include "program.hpp"
#include "survey/json.hpp"
#include "survey/pictures.hpp"
#include "survey/report.hpp"
#include "survey/request.hpp"

namespace {

using namespace survey_example;

void declare(CLI::App& app, options& o) {
  app.add_option("FILE", o.files, "instrument files (docs/instrument-file.md); without any the demo's two");
  app.add_option("--position", o.positions, "show this position only; may be repeated")
      ->take_all()
      ->allow_extra_args(false);
  app.add_option("--knob", o.knobs, "turn a control: volume=7, \"neck tone=70%\"; may be repeated")
      ->take_all()
      ->allow_extra_args(false);
  app.add_option(
      "--into", o.into,
      "what the jack is plugged into: a name from the file, amp (1 MΩ), pedal (50 kΩ), line (10 kΩ)");
  app.add_option("--cable", o.cable, "length of the cable, such as 6m");
  app.add_flag("--json", o.json, "print one JSON object and nothing else");
  app.add_option("--plot", o.folder, "draw the pictures, SVG and PNG, into this folder");
}

constexpr std::string_view demo_text = "The demo: a two-pickup semi-hollow guitar with two humbucking "
                                       "pickups, a volume and a tone control for each; "
                                       "then the same guitar, its neck pickup swapped for an active one on "
                                       "the pots that were there. All values of "
                                       "the two are invented.";

std::string compose(const options& o, bool is_demo) {
  std::string text = is_demo ? examples::wrapped(demo_text, page_width, "", "") + '\n' : "";
  json all = json::array();
  for (const std::string& file : o.files) {
    const answer a = find_answer(file, o);
    const auto pictures = o.folder.empty() ? std::vector<std::string>{} : draw_pictures(a, o.folder);
    if (o.json) {
      json j = as_json(a);
      j["pictures"] = pictures;
      all.push_back(std::move(j));
      continue;
    }
    text += as_text(a) + '\n';
    if (pictures.empty()) continue;
    text += "Pictures\n\n";
    for (const std::string& picture : pictures) text += "  " + picture + '\n';
    text += '\n';
  }
  if (!o.json) return text + std::string(examples::cautions);
  return json{{"instruments", all}, {"cautions", std::string(examples::cautions)}}.dump(2) + '\n';
}

void run(options o) {
  refuse_forgotten_quotes(o);
  const bool is_demo = o.files.empty();
  if (is_demo) o.files = demo_files();
  examples::print(compose(o, is_demo));
}

} // namespace

int main(int count, char** arguments) {
  CLI::App app{
      "Every position of an instrument: level, resonance, loads, hum, noise, what its controls do, and what "
      "to mend.\nWithout FILE: the demo."};
  options o;
  declare(app, o);
  return examples::run_program(app, count, arguments, [&] { run(o); });
}
