// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/sweep.hpp>

#include "../plot.hpp"
#include "request.hpp"

/// Before and after, every position that a goal listens to.
namespace choose_parts {

[[nodiscard]] inline std::vector<std::size_t> heard_positions(const answer& a) {
  std::vector<std::size_t> all;
  const lodewire::detail::judge heard(a.asked.of, a.asked.wanted);
  for (const lodewire::detail::view& v : heard.views())
    if (std::find(all.begin(), all.end(), v.position) == all.end()) all.push_back(v.position);
  return all;
}

[[nodiscard]] inline std::vector<double> response_db(const lodewire::instrument& of, const answer& a,
                                                     std::size_t position, const std::vector<double>& hz) {
  return lodewire::sweep(lodewire::compose(of, position) | a.asked.into.lead | a.asked.into.into, hz)
      .gain_db();
}

/// The names of the files. Throws where the folder is none.
[[nodiscard]] inline std::vector<std::string> draw_pictures(const answer& a, const std::string& folder) {
  if (!examples::gnuplot_found()) throw std::runtime_error("--plot: gnuplot is not installed");
  if (std::filesystem::exists(folder) && !std::filesystem::is_directory(folder))
    throw std::runtime_error("--plot: '" + folder + "' is a file, not a folder");
  std::filesystem::create_directories(folder);
  const auto hz =
      lodewire::log_grid(lodewire::frequency::from_value(50), lodewire::frequency::from_value(20e3), 240);
  const lodewire::instrument after = lodewire::altered(a.asked.of, a.asked.places, a.found.best.front());
  std::vector<std::vector<double>> columns{hz};
  std::string plot;
  const auto positions = heard_positions(a);
  for (std::size_t i = 0; i < positions.size(); ++i)
    for (const bool is_after : {false, true}) {
      columns.push_back(response_db(is_after ? after : a.asked.of, a, positions[i], hz));
      plot += (plot.empty() ? "plot $all using 1:" : ", $all using 1:") + std::to_string(columns.size()) +
              " with lines lw 2.5 lc rgb '" +
              std::string(examples::plot_colours[i % std::size(examples::plot_colours)]) + "'" +
              (is_after ? "" : " dt (8,6)") + " title " +
              examples::gnuplot_quoted(a.asked.of.positions[positions[i]].name +
                                       (is_after ? ", after" : ", before"));
    }
  examples::picture p{.name = "choose_parts", .width = 1000, .height = 640, .data = {}, .body = {}};
  p.data = examples::gnuplot_data("all", columns);
  p.body = std::string(examples::plot_grid) + std::string(examples::audio_frequency_axis) +
           "set xtics add ('50' 50)\nset xrange [50:20000]\nset ytics 5\nset ylabel 'level, dBV'\n"
           "set key outside top center horizontal reverse Left samplen 3 noenhanced\nset title " +
           examples::gnuplot_quoted(a.asked.of.name + ", into " + a.asked.into.name) + " noenhanced\n" +
           plot + '\n';
  auto files = examples::draw(p, folder);
  if (files.empty()) throw std::runtime_error("--plot: gnuplot failed");
  return files;
}

} // namespace choose_parts
