// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstddef>
#include <numbers>
#include <vector>

/// The demo's own signal: a chord played string by string.
namespace render_example {

/// EMF of plucked strings over a pickup, highest value 1. Each string is a sum of modes: amplitude by where it is plucked
/// (an eighth of its length) and where the pickup lies (a tenth), sin(nπ/8)·sin(nπ/10)/n since the EMF follows the
/// velocity; slightly stretched (f_n = n·f·√(1 + B·n²)); each decaying faster the higher it is. A model to listen to, not a
/// measurement; all its numbers are chosen.
[[nodiscard]] inline std::vector<double> plucked_chord(double rate, double seconds) {
  constexpr double strings[] = {82.41, 123.47, 164.81, 207.65, 246.94, 329.63}; // E major, equal temperament
  constexpr double pi = std::numbers::pi, stretch = 4e-5;
  std::vector<double> x(static_cast<std::size_t>(rate * seconds));
  double start = 0.02;
  for (const double f : strings) {
    const auto first = static_cast<std::size_t>(start * rate);
    start += 0.45;
    for (int n = 1; n * f < 16e3; ++n) {
      const double hz = n * f * std::sqrt(1 + stretch * n * n);
      if (hz > 0.45 * rate) break;
      const double size = std::sin(n * pi / 8) * std::sin(n * pi / 10) / n;
      const double decay = 0.9 + 2e-7 * hz * hz / 4 + hz / 2500; // 1/s
      // A mode is a number that turns and shrinks.
      const double keep = std::exp(-decay / rate), w = 2 * pi * hz / rate;
      double re = size, im = 0;
      const double c = keep * std::cos(w), s = keep * std::sin(w);
      for (std::size_t i = first; i < x.size(); ++i) {
        x[i] += im;
        const double next = re * c - im * s;
        im = re * s + im * c;
        re = next;
      }
    }
  }
  double highest = 0;
  for (const double v : x) highest = std::fmax(highest, std::abs(v));
  // The end fades, so that what rings on is not cut off.
  const double fade = 0.5 * rate, end = static_cast<double>(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double left = (end - 1 - static_cast<double>(i)) / fade;
    x[i] *= (left < 1 ? 0.5 - 0.5 * std::cos(pi * left) : 1) / highest;
  }
  return x;
}

} // namespace render_example
