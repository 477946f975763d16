// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <stdexcept>
#include <string>
#include <vector>

#include <unistd.h>

#include <lodewire/digital/rewiring.hpp>
#include <lodewire/instrument/compose.hpp>

#include "../shared/plugged_in.hpp"
#include "audio_file.hpp"
#include "spectrum.hpp"

/// What is rendered, from where to where.
namespace render_example {

inline void print(const std::string& line) { std::puts(line.c_str()); }
[[nodiscard]] inline std::string signed_db(double db) {
  return (db < 0 ? "" : "+") + lodewire::fixed_number(db, 1) + " dB";
}

/// An instrument as it stands and is plugged in.
struct state {
  std::string file, position, into, cable;
  std::vector<std::string> knobs;
};

/// From the pickups to the input's voltage. Throws what reading and composing throw.
[[nodiscard]] inline lodewire::source source_of(const state& asked) {
  lodewire::instrument_file read = examples::instrument_from_file(asked.file);
  lodewire::destination into = examples::find_destination(read.plugged_into, asked.into);
  for (const std::string& text : asked.knobs) examples::turn_knob(read.built, text);
  examples::set_cable(into, asked.cable);
  const bool only = asked.position.empty() && read.built.positions.size() == 1;
  const std::size_t position = only ? 0 : lodewire::find_position(read.built, asked.position);
  return lodewire::compose(read.built, position) | into.lead | into.into;
}

/// A bar on standard error, where that is a terminal.
class progress {
public:
  explicit progress(std::size_t whole) : whole_{whole}, shown_{::isatty(2) == 1} {}
  progress(const progress&) = delete;
  progress& operator=(const progress&) = delete;
  ~progress() {
    if (shown_) std::fputs("\r\033[K", stderr);
  }
  void at(std::size_t done) {
    const auto percent = static_cast<int>(100. * static_cast<double>(done) / static_cast<double>(whole_));
    if (!shown_ || percent == last_) return;
    last_ = percent;
    const std::string bar(static_cast<std::size_t>(percent / 4), '#');
    std::fprintf(stderr, "\r[%-25s] %3d %%", bar.c_str(), percent);
  }

private:
  std::size_t whole_;
  bool shown_;
  int last_ = -1;
};

/// Every channel through a filter of its own, block by block. The tail is played out into `after` seconds of silence.
[[nodiscard]] inline recording rendered(const recording& in, const lodewire::cascade& through, double after) {
  recording out = in;
  const auto tail = static_cast<std::size_t>(after * in.rate);
  progress bar((in.frames() + tail) * in.channels.size());
  std::size_t done = 0;
  for (std::vector<double>& channel : out.channels) {
    channel.resize(channel.size() + tail);
    lodewire::cascade filter = through;
    constexpr std::size_t block = 4096;
    for (std::size_t from = 0; from < channel.size(); from += block) {
      const std::size_t count = std::min(block, channel.size() - from);
      filter.process(std::span(channel).subspan(from, count));
      bar.at(done += count);
    }
  }
  return out;
}

/// The largest sample in dB re full scale.
[[nodiscard]] inline double peak_db(const recording& r) {
  double peak = 1e-15;
  for (const auto& channel : r.channels)
    for (const double x : channel) peak = std::max(peak, std::abs(x));
  return 20 * std::log10(peak);
}

inline void amplify(recording& r, double db) {
  for (auto& channel : r.channels)
    for (double& x : channel) x *= std::pow(10., db / 20);
}

/// Largest difference in dB between what a filter did to a signal and a curve, 80 Hz to `highest`, where the signal has
/// energy: bands of a sixth of an octave.
template <class Curve>
[[nodiscard]] double worst_against(const std::vector<double>& in, const std::vector<double>& out, double rate,
                                   double highest, const Curve& curve) {
  std::vector<double> padded = in;
  padded.resize(std::max(in.size(), out.size()));
  const spectrum x = spectrum_of(padded), y = spectrum_of(out);
  const double bin = rate / 2 / static_cast<double>(x.size() - 1);
  double worst = 0;
  for (double f = 80; f <= highest; f *= std::exp2(1. / 6)) {
    const auto low = static_cast<std::size_t>(f * std::exp2(-1. / 12) / bin);
    const auto high = static_cast<std::size_t>(f * std::exp2(1. / 12) / bin) + 1;
    double is = 0, wanted = 0;
    for (std::size_t k = low; k < high; ++k) {
      is += std::norm(y[k]);
      wanted += std::norm(x[k] * curve(lodewire::frequency::from_value(bin * static_cast<double>(k))));
    }
    if (wanted > 0) worst = std::max(worst, std::abs(10 * std::log10(is / wanted)));
  }
  return worst;
}

} // namespace render_example
