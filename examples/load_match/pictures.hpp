// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include <lodewire/analysis/sweep.hpp>

#include "../plot.hpp"
#include "answer.hpp"

/// Two pictures: the response at some positions of the knob, and level and band against rotation.
namespace load_match {

/// The wirings that are drawn: without a resistor only the two pots.
[[nodiscard]] inline std::vector<wiring> drawn_wirings(const answer& a) {
  if (!a.chosen) return {wiring::right_pot, wiring::bare_pot};
  return {wiring::right_pot, wiring::bare_pot, wiring::across_track, wiring::wiper_to_ground};
}

[[nodiscard]] inline std::string title_of(const request& from, const answer& a, wiring kind) {
  std::string title = std::string("(") + name_of(kind).letter + ") ";
  const std::string pot = lodewire::engineering(from.pot->total, 3);
  const std::string pad = a.chosen ? lodewire::engineering(a.chosen->resistor, 3) : "";
  if (kind == wiring::right_pot) return title + "the right pot, " + lodewire::engineering(from.wanted, 3);
  if (kind == wiring::bare_pot) return title + "the " + pot + " pot alone";
  return title + pot +
         (kind == wiring::across_track ? ", " + pad + " across the track" : ", " + pad + " wiper to ground");
}

/// The upper end of the level axis: a coil has a peak.
[[nodiscard]] inline std::string highest_level(const request& from) {
  return from.pickup.is_coil() ? "20" : "5";
}

inline constexpr int drawn_knobs[] = {10, 8, 6, 4, 2};

[[nodiscard]] inline std::string line_style(std::size_t number) {
  return "lc rgb '" + std::string(examples::plot_colours[number]) + "' lw 2.5";
}

/// One panel for each wiring, a curve for each position of the knob.
[[nodiscard]] inline examples::picture response_picture(const request& from, const answer& a) {
  const auto hz =
      lodewire::log_grid(lodewire::frequency::from_value(100), lodewire::frequency::from_value(20e3), 200);
  examples::picture p{.name = "load_match_response", .width = 1200, .height = 1000, .data = {}, .body = {}};
  const bool two_rows = a.chosen.has_value();
  if (!two_rows) p.height /= 2;
  p.body = std::string("set multiplot layout ") + (two_rows ? "2,2" : "1,2") +
           " title \"Response with the volume knob at 10, 8, 6, 4 and 2\\n\" font "
           "',16'\n" +
           std::string(examples::audio_frequency_axis) +
           "set xrange [95:21000]\nset yrange [-60:" + highest_level(from) +
           "]\nset ytics 10\nset ylabel 'level, dB'\n" + std::string(examples::plot_grid) +
           "set key outside top center horizontal reverse Left maxrows 1 samplen 2\n";
  for (const wiring kind : drawn_wirings(a)) {
    std::vector<std::vector<double>> columns{hz};
    for (const int number : drawn_knobs) {
      const lodewire::source whole =
          from.pickup.as_source() | control(from, a.pad(), kind, lodewire::knob(number)) | from.outside();
      columns.push_back(lodewire::sweep(whole, hz).gain_db());
    }
    const std::string name = std::string("wiring_") + name_of(kind).letter;
    p.data += examples::gnuplot_data(name, columns);
    p.body += "set title " + examples::gnuplot_quoted(title_of(from, a, kind)) + "\nplot ";
    for (std::size_t i = 0; i < std::size(drawn_knobs); ++i)
      p.body += (i ? ", " : "") + ("$" + name) + " using 1:" + std::to_string(i + 2) + " with lines " +
                line_style(i) + " title '" + std::to_string(drawn_knobs[i]) + "'";
    p.body += "\n";
  }
  return p;
}

/// Knob, level in dB and -3 dB edge in kHz over the whole travel, as data for gnuplot.
[[nodiscard]] inline std::string rotation_data(const request& from, const answer& a, wiring kind) {
  std::vector<std::vector<double>> columns(3);
  for (int i = 0; i <= 200; ++i) {
    const reading r = read(from, a.pad(), kind, lodewire::rotation(i / 200.));
    columns[0].push_back(r.knob);
    columns[1].push_back(r.level);
    columns[2].push_back(r.edge.value_or(1e7) / 1e3);
  }
  return examples::gnuplot_data(std::string("wiring_") + name_of(kind).letter, columns);
}

/// Level above, -3 dB edge below, a curve for each wiring.
[[nodiscard]] inline examples::picture rotation_picture(const request& from, const answer& a) {
  examples::picture p{.name = "load_match_rotation", .width = 1100, .height = 1000, .data = {}, .body = {}};
  std::string level, edge;
  // The bare pot last and dashed: its edge lies on that of the padded track.
  std::vector<wiring> order = drawn_wirings(a);
  std::rotate(order.begin() + 1, order.begin() + 2, order.end());
  for (const wiring kind : order) {
    p.data += rotation_data(from, a, kind);
    const bool bare = kind == wiring::bare_pot;
    const std::string curve =
        std::string(level.empty() ? "plot $" : ", $") + "wiring_" + name_of(kind).letter;
    const std::string style =
        " with lines lc rgb '" +
        std::string(bare ? "#000000" : examples::plot_colours[static_cast<std::size_t>(kind)]) +
        (bare                           ? "' lw 2.5 dt (8,6)"
         : kind == wiring::across_track ? "' lw 5"
                                        : "' lw 3") +
        " title " + examples::gnuplot_quoted(title_of(from, a, kind));
    level += curve + " using 1:2" + style;
    edge += curve + " using 1:3" + style;
  }
  p.body = "set multiplot layout 2,1\n" + std::string(examples::plot_grid) +
           "set xrange [0:10]\nset xtics 1\nset lmargin 11\n"
           "set xlabel 'volume knob'\nset key outside top center horizontal reverse Left width -2 maxrows 2\n"
           "set title 'Level at 100 Hz'\nset ylabel 'level, dB'\nset yrange [-60:5]\nset ytics 10\n" +
           level +
           "\nunset key\nset title 'Where the response is 3 dB down'\nset ylabel '−3 dB edge, kHz'\n"
           "set yrange [*<1:" +
           std::string(from.pickup.is_coil() ? "21" : "210") +
           "]\nset logscale y\n"
           "set ytics (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200)\n" +
           edge + "\n";
  return p;
}

} // namespace load_match
