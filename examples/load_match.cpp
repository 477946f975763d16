// SPDX-License-Identifier: BSL-1.0
// Which resistor, where, and what will change? A pickup, the control that is soldered in, the load that it wants.
//
//   load_match                                          the demo: a semi-hollow guitar gets one active pickup
//   load_match --pot 250k --taper linear --wanted 25k --on-hand 22k,27k,33k
//   load_match --no-pot --coil 4.4H --source 8k --wanted 500k
//   load_match --json --plot pictures
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include "load_match/answer.hpp"
#include "load_match/json.hpp"
#include "load_match/options.hpp"
#include "load_match/pictures.hpp"
#include "load_match/report.hpp"
#include "program.hpp"

namespace {

using namespace load_match;

/// The pictures' files, and a line for the reader.
struct gallery {
  std::vector<std::string> files;
  std::string note;
};

gallery draw_pictures(const options& o, const request& from, const answer& a) {
  if (o.folder.empty()) return {};
  if (!from.pot) return {{}, "No pictures: there is no knob to turn."};
  if (!examples::gnuplot_found()) return {{}, "No pictures: gnuplot is not installed."};
  if (std::filesystem::exists(o.folder) && !std::filesystem::is_directory(o.folder))
    throw std::runtime_error("--plot: '" + o.folder + "' is a file, not a folder");
  std::filesystem::create_directories(o.folder);
  gallery g{{}, "Pictures:"};
  for (const examples::picture& p : {response_picture(from, a), rotation_picture(from, a)}) {
    const auto files = examples::draw(p, o.folder);
    if (files.empty()) return {g.files, "No pictures: gnuplot failed."};
    for (const std::string& file : files) {
      g.files.push_back(file);
      g.note += ' ' + file;
    }
  }
  return g;
}

std::string compose(const options& o, const request& from, const answer& a, const gallery& g) {
  if (o.json) {
    json j = as_json(from, a);
    j["pictures"] = g.files;
    j["cautions"] = std::string(examples::cautions);
    return j.dump(2) + '\n';
  }
  return as_text(from, a) + '\n' +
         (g.note.empty() ? "" : examples::wrapped(g.note, page_width, "", "  ") + '\n') +
         std::string(examples::cautions);
}

void run(const options& o) {
  const request from = to_request(o);
  const answer a = find_answer(from);
  examples::print(compose(o, from, a, draw_pictures(o, from, a)));
}

} // namespace

int main(int count, char** arguments) {
  CLI::App app{"Which resistor makes a pickup see the load that it wants, where, and what will change?\n"
               "Values as on the parts: 25k, 4k7, 600p, 1M. Without options: the demo."};
  options o;
  declare(app, o);
  return examples::run_program(app, count, arguments, [&] {
    o.is_demo = is_demo(app);
    run(o);
  });
}
