// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/instrument/compose_position.hpp>

#include "../plot.hpp"
#include "request.hpp"

/// Three pictures: all positions in one plot, every knob as a family of curves, levels against rotation.
namespace survey_example {

[[nodiscard]] inline std::vector<double> drawn_grid() {
  return lodewire::log_grid(lodewire::frequency::from_value(50), lodewire::frequency::from_value(20e3), 240);
}

/// Response of a position in dB re 1 V.
[[nodiscard]] inline std::vector<double> response_db(const answer& a, std::size_t position,
                                                     const std::vector<double>& hz) {
  return lodewire::sweep(lodewire::plug_in(a.of, position, a.into), hz).gain_db();
}

/// The second half of the styles is dashed, so that a curve under another one is still seen.
[[nodiscard]] inline std::string line_style(std::size_t number, bool dashed = false) {
  const std::size_t colours = std::size(examples::plot_colours);
  return " with lines lw 2.5 lc rgb '" + std::string(examples::plot_colours[number % colours]) + "'" +
         (dashed || number >= colours ? " dt (8,6)" : "");
}

/// `plot $name using 1:2 ..., $name using 1:3 ...`
[[nodiscard]] inline std::string plot_columns(const std::string& name,
                                              const std::vector<std::string>& titles) {
  std::string text;
  for (std::size_t i = 0; i < titles.size(); ++i)
    text += (i ? ", $" : "plot $") + name + " using 1:" + std::to_string(i + 2) + line_style(i) + " title " +
            examples::gnuplot_quoted(titles[i]);
  return text + '\n';
}

/// The next round number of decibels.
[[nodiscard]] inline double round_up(double db, double step) { return step * std::ceil(db / step); }

/// The highest of some curves; 0 where all is silent.
[[nodiscard]] inline double highest(const std::vector<std::vector<double>>& curves) {
  double top = -1e300;
  for (const auto& curve : curves)
    for (const double db : curve)
      if (lodewire::is_finite(db)) top = std::max(top, db);
  return top > -1e300 ? top : 0;
}

[[nodiscard]] inline std::string level_range(double low, double high) {
  return "set yrange [" + lodewire::plain_number(low) + ":" + lodewire::plain_number(high) + "]\n";
}

inline const std::string key_above =
    "set key outside top center horizontal reverse Left samplen 2 maxrows 2 noenhanced\n";

/// A title above the key, which gnuplot would else put on top of it; taken letter by letter.
[[nodiscard]] inline std::string title(const std::string& text) {
  return "set key title " + examples::gnuplot_quoted(text) + " noenhanced\n";
}

/// Every position that is shown, in one plot.
[[nodiscard]] inline examples::picture positions_picture(const answer& a) {
  const std::vector<double> hz = drawn_grid();
  std::vector<std::vector<double>> curves;
  std::vector<std::string> titles;
  for (const std::size_t p : a.shown) {
    curves.push_back(response_db(a, p, hz));
    titles.push_back(a.of.positions[p].name);
  }
  const double top = round_up(highest(curves) + 1, 5);
  curves.insert(curves.begin(), hz);
  examples::picture picture{
      .name = a.file + "_positions", .width = 1000, .height = 640, .data = {}, .body = {}};
  picture.data = examples::gnuplot_data("positions", curves);
  picture.body = std::string(examples::plot_grid) + std::string(examples::audio_frequency_axis) +
                 "set xtics add ('50' 50)\nset xrange [50:20000]\nset ytics 5\nset ylabel 'level, dBV'\n" +
                 level_range(top - 45, top) + key_above + "set title " +
                 examples::gnuplot_quoted(a.all.instrument + ", into " + a.into.name) + " noenhanced\n" +
                 plot_columns("positions", titles);
  return picture;
}

/// A control and, of the positions shown in which it works, that with the fewest others: alone, if there is one.
struct worked_control {
  std::size_t control, position;
};

[[nodiscard]] inline std::vector<worked_control> worked_controls(const answer& a) {
  std::vector<worked_control> all;
  for (std::size_t c = 0; c < a.of.controls.size(); ++c) {
    std::optional<std::size_t> best;
    for (const std::size_t p : a.shown) {
      const auto& works = a.all.positions[p].controls;
      if (std::none_of(works.begin(), works.end(),
                       [&](const auto& w) { return w.control == a.of.controls[c].name; }))
        continue;
      if (!best || works.size() < a.all.positions[*best].controls.size()) best = p;
    }
    if (best) all.push_back({c, *best});
  }
  return all;
}

inline constexpr int drawn_knobs[] = {10, 8, 6, 4, 2, 0};

/// One panel a control, a curve for each of its numbers.
[[nodiscard]] inline examples::picture knobs_picture(const answer& a) {
  const std::vector<double> hz = drawn_grid();
  const std::vector<worked_control> panels = worked_controls(a);
  const std::size_t columns = panels.size() > 1 ? 2 : 1, rows = (panels.size() + columns - 1) / columns;
  examples::picture picture{.name = a.file + "_knobs",
                            .width = columns > 1 ? 1200 : 800,
                            .height = 60 + 440 * static_cast<int>(rows),
                            .data = {},
                            .body = {}};
  picture.body = "set multiplot layout " + std::to_string(rows) + "," + std::to_string(columns) + " title " +
                 examples::gnuplot_quoted(a.all.instrument + ": one knob turned, the others as they are") +
                 ".\"\\n\" font ',16' noenhanced\n" + std::string(examples::audio_frequency_axis) +
                 "set xtics add ('50' 50)\nset xrange [50:20000]\nset ytics 10\nset ylabel 'level, dBV'\n" +
                 std::string(examples::plot_grid) + key_above;
  for (std::size_t i = 0; i < panels.size(); ++i) {
    answer turned = a;
    std::vector<std::vector<double>> curves;
    for (const int number : drawn_knobs) {
      turned.of.controls[panels[i].control].at = lodewire::rotation(number / 10.);
      curves.push_back(response_db(turned, panels[i].position, hz));
    }
    const double top = round_up(highest(curves) + 1, 10), bottom = top - 70;
    std::vector<std::string> titles;
    std::string note;
    for (std::size_t k = 0; k < curves.size(); ++k) {
      const bool is_below = highest({curves[k]}) < bottom;
      titles.push_back(std::to_string(drawn_knobs[k]) + (is_below ? " ↓" : ""));
      if (is_below) note = " (↓: below the chart)";
    }
    curves.insert(curves.begin(), hz);
    const std::string name = "knob" + std::to_string(i);
    picture.data += examples::gnuplot_data(name, curves);
    picture.body += title(a.of.controls[panels[i].control].name + ", in position '" +
                          a.of.positions[panels[i].position].name + "'" + note) +
                    level_range(bottom, top) + plot_columns(name, titles);
  }
  return picture;
}

/// Levels over the last one, which is that at full.
[[nodiscard]] inline std::vector<double> over_last(std::vector<double> db) {
  const double last = db.back();
  for (double& x : db) x -= last;
  return db;
}

/// A row of panels for each position: level at 100 Hz, level at 5 kHz, a curve a control.
[[nodiscard]] inline examples::picture rotation_picture(const answer& a) {
  std::vector<std::size_t> rows;
  for (const std::size_t p : a.shown)
    if (!a.all.positions[p].controls.empty()) rows.push_back(p);
  examples::picture picture{.name = a.file + "_rotation",
                            .width = 1200,
                            .height = 60 + 420 * static_cast<int>(rows.size()),
                            .data = {},
                            .body = {}};
  picture.body = "set multiplot layout " + std::to_string(rows.size()) + ",2 title " +
                 examples::gnuplot_quoted(a.all.instrument + ": level against rotation") +
                 ".\"\\n\" font ',16' noenhanced\n" + std::string(examples::plot_grid) +
                 "set xrange [0:10]\nset xtics 1\nset xlabel 'knob'\nset ytics 10\nset yrange [-60:10]\n"
                 "set ylabel 'dB re knob at 10'\n" +
                 key_above;
  lodewire::live_instrument live(a.of, a.into);
  for (const std::size_t p : rows) {
    std::vector<std::vector<double>> low, treble;
    std::string low_curves, treble_curves;
    const std::string name = "rotation" + std::to_string(p);
    for (std::size_t c = 0; c < a.of.controls.size(); ++c) {
      if (!live.works_in(c, p)) continue;
      // Finer than the survey's steps: a volume control does much in its first tenths.
      const lodewire::knob_sweep sweep = lodewire::sweep_knob(live, p, c, {.steps = 401});
      if (low.empty()) {
        low.emplace_back();
        for (const double turned : sweep.rotation) low[0].push_back(10 * turned);
        treble = low;
      }
      low.push_back(over_last(sweep.low_db));
      treble.push_back(over_last(sweep.treble_db));
      const std::string curve = " using 1:" + std::to_string(low.size()) +
                                line_style(c, 2 * c >= a.of.controls.size() && a.of.controls.size() > 2) +
                                " title " + examples::gnuplot_quoted(a.of.controls[c].name);
      low_curves += (low_curves.empty() ? "plot $" : ", $") + name + "low" + curve;
      treble_curves += (treble_curves.empty() ? "plot $" : ", $") + name + "treble" + curve;
    }
    const std::string& called = a.of.positions[p].name;
    picture.data +=
        examples::gnuplot_data(name + "low", low) + examples::gnuplot_data(name + "treble", treble);
    picture.body += title("position '" + called + "', at 100 Hz") + low_curves + '\n' +
                    title("position '" + called + "', at 5 kHz") + treble_curves + '\n';
  }
  return picture;
}

/// Draws them; the names of the files. Throws `std::runtime_error` where gnuplot is missing or fails.
[[nodiscard]] inline std::vector<std::string> draw_pictures(const answer& a, const std::string& folder) {
  if (!examples::gnuplot_found()) throw std::runtime_error("--plot needs gnuplot, which is not in the PATH");
  if (std::filesystem::exists(folder) && !std::filesystem::is_directory(folder))
    throw std::runtime_error("--plot: '" + folder + "' is a file, not a folder");
  std::filesystem::create_directories(folder);
  std::vector<examples::picture> pictures{positions_picture(a)};
  if (!worked_controls(a).empty()) {
    pictures.push_back(knobs_picture(a));
    pictures.push_back(rotation_picture(a));
  }
  std::vector<std::string> files;
  for (const examples::picture& p : pictures) {
    const auto drawn = examples::draw(p, folder);
    if (drawn.empty()) throw std::runtime_error("gnuplot could not draw " + p.name + " in '" + folder + "'");
    files.insert(files.end(), drawn.begin(), drawn.end());
  }
  return files;
}

} // namespace survey_example
