// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include <lodewire/digital/design.hpp>

#include "../plot.hpp"
#include "job.hpp"
#include "pluck.hpp"

/// The demo: two files to listen to and a picture, checked against what was predicted.
namespace render_example {

/// A folder that is not there yet.
[[nodiscard]] inline std::string new_folder(const std::string& asked) {
  if (!asked.empty()) {
    refuse_to_overwrite(asked);
    std::filesystem::create_directories(asked);
    return asked;
  }
  for (int k = 1;; ++k) {
    const std::string name = "render_change_demo" + (k > 1 ? "_" + std::to_string(k) : "");
    if (std::filesystem::create_directory(name)) return name;
  }
}

inline void draw_spectra(const std::vector<std::vector<double>>& columns, const std::string& folder) {
  if (!examples::gnuplot_found()) return print("No picture: gnuplot was not found.");
  const auto line = [](int column, std::size_t colour, const char* dash, const char* title) {
    return "$s using 1:" + std::to_string(column) + " with lines lw 2.5 lc rgb '" +
           std::string(examples::plot_colours[colour]) + "'" + dash + " title '" + title + "'";
  };
  const examples::picture p{
      .name = "spectra",
      .data = examples::gnuplot_data("s", columns),
      .body = std::string(examples::audio_frequency_axis) + std::string(examples::plot_grid) +
              "set xrange [70:18000]\nset ylabel 'level in a sixth of an octave, dB re full scale'\n"
              "set key top right\nset title 'A chord through the instrument, measured in the files and "
              "predicted'\n"
              "plot " +
              line(2, 4, "", "EMF of the strings") + ", " + line(3, 0, "", "before") + ", " +
              line(4, 1, "", "after") +
              ", $s using 1:5 with points pt 6 lc rgb '#0072B2' title 'before, predicted', "
              "$s using 1:6 with points pt 4 lc rgb '#D55E00' title 'after, predicted'\n"};
  const auto files = examples::draw(p, folder);
  for (const std::string& file : files) print("Picture: " + file);
  if (files.empty()) print("No picture: gnuplot failed.");
}

/// Both instruments play the same strings; what is written is measured again.
inline void demo(const std::string& asked) {
  const auto instruments = std::filesystem::path(__FILE__).parent_path().parent_path() / "instruments";
  const std::string folder = new_folder(asked);
  const lodewire::frequency rate = lodewire::frequency::from_value(48e3);
  recording strings;
  strings.channels = {plucked_chord(48e3, 6)};
  print("The demo: a chord whose strings this program plucks, through a two-pickup semi-hollow guitar in its "
        "neck "
        "position,\nthen the same strings after its neck pickup was swapped for an active one. All values "
        "are invented.\n");
  std::vector<recording> played;
  std::vector<lodewire::filter_design> design;
  std::vector<lodewire::transfer_function> curve;
  for (const char* const file : {"semi_hollow.json", "semi_hollow_swapped.json"}) {
    curve.push_back(lodewire::transfer(source_of(
        {.file = (instruments / file).string(), .position = "neck", .into = "", .cable = "", .knobs = {}})));
    design.push_back(lodewire::magnitude_matched(curve.back(), rate));
    played.push_back(rendered(strings, design.back().filter, 0.25));
  }
  // One gain for both: the louder one peaks at -3 dB, the change in level stays.
  const double gain = -3 - std::max(peak_db(played[0]), peak_db(played[1]));
  std::vector<double> hz;
  for (double f = 80; f <= 16e3; f *= std::exp2(1. / 12)) hz.push_back(f);
  recording emf = strings;
  amplify(emf, gain);
  emf.channels[0].resize(played[0].frames());
  const std::vector<double> source_db = band_levels(spectrum_of(emf.channels[0]), 48e3, hz);
  std::vector<std::vector<double>> columns{hz, source_db};
  std::vector<std::vector<double>> predicted;
  double worst = 0, weighted[2] = {}, plain[2] = {};
  const char* const names[] = {"before", "after"};
  for (std::size_t k = 0; k < 2; ++k) {
    amplify(played[k], gain);
    const std::string name = (std::filesystem::path(folder) / (std::string(names[k]) + ".wav")).string();
    write_recording(played[k], name);
    const recording heard = read_recording(name);
    const auto exact = [&](lodewire::frequency f) { return curve[k](f); };
    const double off = worst_against(emf.channels[0], heard.channels[0], 48e3, 15e3, exact);
    worst = std::max(worst, off);
    columns.push_back(band_levels(spectrum_of(heard.channels[0]), 48e3, hz));
    std::vector<double> expected;
    spectrum x = spectrum_of(emf.channels[0]);
    for (std::size_t i = 0; i < x.size(); ++i)
      x[i] *= exact(
          lodewire::frequency::from_value(24e3 * static_cast<double>(i) / static_cast<double>(x.size() - 1)));
    predicted.push_back(band_levels(x, 48e3, hz));
    weighted[k] = level(heard.channels, 48e3, lodewire::frequency_weighting::a);
    plain[k] = level(heard.channels, 48e3, lodewire::frequency_weighting::z);
    print(name + ": " + signed_db(plain[k]) + " re full scale, " + signed_db(weighted[k]) +
          " A-weighted; within " + lodewire::fixed_number(off, 3) + " dB of the predicted curve");
  }
  columns.insert(columns.end(), predicted.begin(), predicted.end());
  print("Change: " + signed_db(plain[1] - plain[0]) + ", A-weighted " + signed_db(weighted[1] - weighted[0]));
  draw_spectra(columns, folder);
  if (worst > 0.2)
    throw std::runtime_error("the files are not what was predicted: " + lodewire::fixed_number(worst, 3) +
                             " dB");
}

} // namespace render_example
