// SPDX-License-Identifier: BSL-1.0
// Which parts, and where? An instrument, what is wanted of it, and a drawer of parts: the best five.
//
//   choose_parts                                the demo: a semi-hollow guitar and a drawer of 25 parts
//   choose_parts guitar.json --wish wish.json --drawer drawer.json --plot pictures
//   choose_parts guitar.json --wish wish.json --rank worst-case --json
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <string>
#include <vector>

#include "cautions.hpp"
#include "choose_parts/json.hpp"
#include "choose_parts/pictures.hpp"
#include "choose_parts/report.hpp"
#include "choose_parts/request.hpp"
#include "program.hpp"

namespace {

using namespace choose_parts;

void declare(CLI::App& app, options& o) {
  app.add_option("FILE", o.instrument, "instrument file (docs/instrument-file.md); without it the demo's");
  app.add_option("--wish", o.wish, "what is wanted, and what may be done (docs/choosing-parts.md)");
  app.add_option("--drawer", o.drawer, "the parts on hand (docs/choosing-parts.md)");
  app.add_option("--into", o.into, "what the jack is plugged into, by its name in the file");
  app.add_option("--rank", o.rank, "nominal, worst-case or yield, instead of what the wish says")
      ->check(CLI::IsMember({"nominal", "worst-case", "yield"}));
  app.add_option("--most", o.most, "how many alternatives are shown (5)")->check(CLI::Range(1, 20));
  app.add_flag("--json", o.json, "print one JSON object and nothing else");
  app.add_option("--plot", o.folder, "draw the picture, SVG and PNG, into this folder");
}

void fill_demo(options& o) {
  const bool is_demo = o.instrument.empty();
  if (is_demo != o.wish.empty())
    throw lodewire::invalid_value(is_demo ? "--wish" : "FILE", "given alone",
                                  "both an instrument and a wish");
  if (!is_demo) return;
  o.instrument = demo_file("instruments/semi_hollow.json");
  o.wish = demo_file("choose_parts/files/wish.json");
  if (o.drawer.empty()) o.drawer = demo_file("choose_parts/files/drawer.json");
}

void run(options o) {
  fill_demo(o);
  const answer a = find_answer(o);
  const auto pictures = o.folder.empty() ? std::vector<std::string>{} : draw_pictures(a, o.folder);
  std::string text;
  if (o.json) {
    json j = as_json(a);
    j["pictures"] = pictures;
    j["cautions"] = std::string(examples::cautions);
    text = j.dump(2) + '\n';
  } else {
    text = as_text(a) + '\n';
    for (const std::string& file : pictures) text += "  " + file + '\n';
    text += (pictures.empty() ? "" : "\n") + std::string(examples::cautions);
  }
  examples::print(text);
}

} // namespace

int main(int count, char** arguments) {
  CLI::App app{
      "Which parts, and where? Of all that may be done to an instrument, what comes nearest to a wish.\n"
      "Without FILE: the demo."};
  options o;
  declare(app, o);
  return examples::run_program(app, count, arguments, [&] { run(o); });
}
