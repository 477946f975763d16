// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <system_error>
#include <vector>

#include <unistd.h>

#include <lodewire/quantity/notation.hpp>

/// Pictures through gnuplot: the data go down its standard input, no file but the picture is written.
namespace examples {

/// Is gnuplot in the PATH?
[[nodiscard]] inline bool gnuplot_found() {
  const char* path = std::getenv("PATH");
  std::string_view rest = path ? path : "";
  while (!rest.empty()) {
    const std::size_t end = std::min(rest.find(':'), rest.size());
    if (::access((std::string(rest.substr(0, end)) + "/gnuplot").c_str(), X_OK) == 0) return true;
    rest.remove_prefix(std::min(end + 1, rest.size()));
  }
  return false;
}

/// A text for gnuplot, letter by letter: in single quotes, joined where it has one itself. (gnuplot 5.4 does not read the
/// doubled quote at the beginning of a text.)
[[nodiscard]] inline std::string gnuplot_quoted(std::string_view text) {
  std::string out = "'";
  for (const char c : text) out += c == '\'' ? std::string("'.\"'\".'") : std::string(1, c);
  return out + "'";
}

/// Named columns of numbers, as gnuplot reads them from `$name`. A value that is not finite leaves a gap.
[[nodiscard]] inline std::string gnuplot_data(std::string_view name,
                                              std::span<const std::vector<double>> columns) {
  std::string out = "$" + std::string(name) + " << END_OF_DATA\n";
  for (std::size_t i = 0; i < columns.front().size(); ++i) {
    for (const std::vector<double>& column : columns)
      out += lodewire::is_finite(column[i]) ? lodewire::plain_number(column[i], 7) + ' ' : "NaN ";
    out += '\n';
  }
  return out + "END_OF_DATA\n";
}

/// Colours that people with any colour vision tell apart on white.
inline constexpr std::string_view plot_colours[] = {"#0072B2", "#D55E00", "#009E73",
                                                    "#AA3377", "#333333", "#E69F00"};

/// A logarithmic frequency axis with the labels of the trade.
inline constexpr std::string_view audio_frequency_axis =
    "set logscale x\n"
    "set xtics ('100' 100, '200' 200, '500' 500, '1k' 1000, '2k' 2000, '5k' 5000, '10k' 10000, '20k' 20000)\n"
    "set xlabel 'frequency, Hz'\n";

inline constexpr std::string_view plot_grid = "set grid back lt 1 lw 1 lc rgb '#d8d8d8'\n";

struct picture {
  std::string name; ///< of the file, without folder and ending
  int width = 1200, height = 800;
  std::string data; ///< from gnuplot_data
  std::string body; ///< the plot commands
};

/// Draws it as SVG and PNG in that folder, and gives the names of the files; none where gnuplot fails.
[[nodiscard]] inline std::vector<std::string> draw(const picture& p, const std::filesystem::path& folder) {
  std::vector<std::string> files;
  std::string script = "set encoding utf8\n" + p.data;
  const std::string size = std::to_string(p.width) + "," + std::to_string(p.height);
  for (const std::string& terminal :
       {"svg size " + size + " dynamic background rgb 'white'", "pngcairo size " + size}) {
    files.push_back((folder / (p.name + (terminal[0] == 's' ? ".svg" : ".png"))).string());
    std::error_code ignored;
    std::filesystem::remove(files.back(), ignored); // so that an old one is not taken for a new one
    script += "reset\nset terminal " + terminal + " font 'sans,13'\nset output " +
              gnuplot_quoted(files.back()) + "\n" + p.body + "\nunset multiplot\nset output\n";
  }
  // gnuplot may end early; that is an error here and not the end of this program.
  const auto before = std::signal(SIGPIPE, SIG_IGN);
  // Without an output file gnuplot would draw to standard output.
  std::FILE* const pipe = ::popen("gnuplot >/dev/null", "w");
  bool good = pipe != nullptr;
  if (pipe) {
    good = std::fwrite(script.data(), 1, script.size(), pipe) == script.size();
    good = ::pclose(pipe) == 0 && good;
  }
  std::signal(SIGPIPE, before);
  std::error_code ignored;
  for (const std::string& file : files)
    good = good && std::filesystem::file_size(file, ignored) > 0 && !ignored;
  if (!good) files.clear();
  return files;
}

} // namespace examples
