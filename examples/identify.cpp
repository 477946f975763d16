// SPDX-License-Identifier: BSL-1.0
// Which coil was measured? From its impedance over frequency to the entry of an instrument file, without a guess.
//
//   identify                                    the demo: the neck pickup of a measured guitar
//   identify coil.csv --plot pictures           columns frequency_hz, z_ohm, z_deg, or a Touchstone file coil.s1p
//   identify ratio.csv --divider 10k --input 1M,24p --columns f_hz,h_db,h_deg
//   identify guitar.csv --volume 250k --tone 250k,22n
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include <lodewire/circuit/join.hpp>
#include <lodewire/design/curve_csv.hpp>
#include <lodewire/design/identify_coil.hpp>
#include <lodewire/design/measured_divider.hpp>
#include <lodewire/design/touchstone.hpp>
#include <lodewire/instrument/json.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/quantity/marking.hpp>

#include "cautions.hpp"
#include "identify/report.hpp"
#include "program.hpp"

namespace {

using namespace lodewire;
using namespace identify_example;

struct options {
  std::string file, divider, input, columns, volume, tone, folder;
  std::string name = "coil";
  bool json = false;
};

void declare(CLI::App& app, options& o) {
  app.add_option("FILE", o.file,
                 "CSV (headings say column and unit: docs/measuring.md) or Touchstone (.s1p)");
  app.add_option("--columns", o.columns,
                 "headings to read: frequency,magnitude,angle or frequency,real,imaginary");
  app.add_option("--divider", o.divider,
                 "FILE holds the ratio V2/V1 across this resistor and the coil, such as 10k");
  app.add_option("--input", o.input, "what channel 2 loads the coil with, such as 1M,24p");
  app.add_option("--volume", o.volume, "a volume control at full across the coil, such as 250k");
  app.add_option("--tone", o.tone, "a tone control at full across the coil, such as 250k,22n");
  app.add_option("--name", o.name, "of the pickup, in the instrument file");
  app.add_option("--plot", o.folder, "draw the fit over the points, SVG and PNG, into this folder");
  app.add_flag("--json", o.json, "print one JSON object and nothing else");
}

/// `a,b,c` in its parts.
std::vector<std::string> parts_of(const std::string& text) {
  std::vector<std::string> parts{""};
  for (const char c : text) c == ',' ? parts.emplace_back() : parts.back().append(1, c);
  return parts;
}

/// Two values such as 1M,24p; the second may be missing.
std::pair<resistance, capacitance> pair_of(const std::string& text, const std::string& option) {
  const auto parts = parts_of(text);
  if (parts.size() > 2) throw invalid_value(option, text, "a resistance, a comma and a capacitance");
  return {read_marking<resistance>(parts[0], option).value,
          parts.size() == 2 ? read_marking<capacitance>(parts[1], option).value : capacitance{}};
}

measured_curve read(const options& o) {
  std::ifstream in(o.file, std::ios::binary);
  if (!in) throw invalid_value("FILE", "'" + o.file + "'", "a file that can be read");
  const std::string text(std::istreambuf_iterator<char>(in), {});
  const auto path = std::filesystem::path(o.file);
  if (path.extension() == ".s1p" || path.extension() == ".ts")
    return read_touchstone(text, path.filename().string());
  csv_columns columns;
  if (!o.columns.empty()) {
    const auto names = parts_of(o.columns);
    if (names.size() > 3 || names.size() < 2)
      throw invalid_value("--columns", o.columns, "two or three headings with commas between");
    columns = {names[0], names[1], names.size() == 3 ? names[2] : ""};
  }
  measured_curve c = read_curve_csv(text, columns, path.filename().string());
  if (o.divider.empty() && c.kind == curve_kind::ratio)
    throw invalid_value("FILE", "a ratio of voltages", "an impedance, or a ratio with --divider");
  if (o.divider.empty()) return c;
  measured_divider by{.reference = read_marking<resistance>(o.divider, "--divider").value};
  if (!o.input.empty()) {
    const auto [r, farad] = pair_of(o.input, "--input");
    by.input = input{.resistance = r, .capacitance = farad};
  }
  return impedance_from_divider(c, by);
}

/// The controls at full, across the coil.
stage known_part(const options& o) {
  stage known;
  if (!o.tone.empty()) {
    const auto [track, farad] = pair_of(o.tone, "--tone");
    known = known | in_shunt(series(one_port(track), one_port(farad)));
  }
  if (!o.volume.empty())
    known = known | in_shunt(one_port(read_marking<resistance>(o.volume, "--volume").value));
  return known;
}

void run(options o) {
  const bool is_demo = o.file.empty();
  if (is_demo) {
    const auto here = std::filesystem::path(__FILE__).parent_path();
    o = {(here / ".." / "tests" / "data" / "two_pickup_guitar_neck.csv").string(),
         "9980",
         "1M,24p",
         "frequency_hz,h_magnitude,h_phase_deg",
         "250k",
         "250k,22n",
         o.folder,
         "neck",
         o.json};
  }
  const measured_curve curve = read(o);
  const stage known = known_part(o);
  const identified_coil found = identify_coil(curve, {.known = known});
  const report r{curve, found, known, o.name};
  const std::vector<std::string> pictures = o.folder.empty() ? std::vector<std::string>{} : r.draw(o.folder);
  std::string text = is_demo ? demo_text() : "";
  text += r.text();
  for (const std::string& picture : pictures) text += "Picture: " + picture + '\n';
  if (o.json)
    text = r.json(pictures).dump(2) + '\n';
  else
    text += '\n' + std::string(examples::cautions);
  examples::print(text);
}

} // namespace

int main(int count, char** arguments) {
  CLI::App app{
      "Which coil was measured? Its values with their errors, and its entry for an instrument file.\n"
      "Without FILE: the demo."};
  options o;
  declare(app, o);
  return examples::run_program(app, count, arguments, [&] { run(o); });
}
