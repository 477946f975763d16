// SPDX-License-Identifier: BSL-1.0
// Which part does the resonance hang on, and by how much?
//
//   sensitivity --coil 2.4H --wire 6k8 --volume 250k --cable 3m
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

#include <lodewire/analysis/sensitivity.hpp>

#include "calculator.hpp"
#include "varied_path.hpp"

namespace {

using namespace calculator;

struct sensitivity {
  static constexpr const char* question = "Which part does the resonance hang on, and by how much?";
  signal_path path;

  void declare(options& o) { path.declare(o); }

  [[nodiscard]] answer find() const {
    const source whole = path.coil | path.after(rotation(1));
    const std::vector<examples::path_part> parts = examples::parts_of(path);
    std::vector<varied_part> varied;
    for (const examples::path_part& p : parts) varied.push_back(p.part);
    const resonance_sensitivity by = find_resonance_sensitivity(whole, varied);
    const std::vector<double> treble = find_level_sensitivity(whole, varied, 5_kHz).slope_db;
    if (!by.at.has_peak) throw invalid_value("resonance", "not there", "a response with a peak");

    std::vector<std::vector<cell>> rows;
    const auto figure = [](double x, int decimals) { return cell{decibels(x, decimals), x}; };
    for (std::size_t p = 0; p < parts.size(); ++p)
      rows.push_back({of(std::string(parts[p].name)), of(parts[p].nominal), figure(by.peak[p], 3),
                      figure(by.quality.empty() ? 0 : by.quality[p], 3), figure(by.height_db[p] / 100, 4),
                      figure(treble[p] / 100, 4)});
    answer a;
    a.figures["peak_hz"] = by.at.peak.value();
    a.figures["height_db"] = by.at.height.value();
    a.say("Both controls full up: the resonance is at " + to_text(by.at) + ".");
    a.show("parts",
           "part=part, nominal=nominal, resonance %=resonance_percent, Q %=q_percent, height dB=height_db, "
           "5 kHz dB=treble_db",
           rows);
    a.say("Each for 1 % more of the part: how many per cent the resonance and its Q change, by how many "
          "decibels "
          "its height and the level at 5 kHz. Exact slopes; a change of 10 % does about ten times that.");
    const auto most = std::max_element(by.peak.begin(), by.peak.end(),
                                       [](double x, double y) { return std::abs(x) < std::abs(y); });
    a.say("The resonance hangs on this most: " +
          std::string(parts[static_cast<std::size_t>(most - by.peak.begin())].name) + ".");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<sensitivity>(count, arguments); }
