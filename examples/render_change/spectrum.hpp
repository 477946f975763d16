// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <span>
#include <utility>
#include <vector>

#include <lodewire/analysis/weighting.hpp>

/// What is measured of a signal: its spectrum, its level, its level as an ear judges it.
namespace render_example {

using spectrum = std::vector<std::complex<double>>;

/// Discrete Fourier transform in place; the length must be a power of two.
inline void transform(spectrum& x) {
  const std::size_t n = x.size();
  for (std::size_t i = 1, j = 0; i < n; ++i) {
    std::size_t bit = n / 2;
    for (; (j & bit) != 0; bit /= 2) j ^= bit;
    j ^= bit;
    if (i < j) std::swap(x[i], x[j]);
  }
  std::vector<std::complex<double>> turn(n / 2);
  for (std::size_t k = 0; k < n / 2; ++k)
    turn[k] = std::polar(1., -2 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(n));
  for (std::size_t half = 1; half < n; half *= 2)
    for (std::size_t from = 0; from < n; from += 2 * half)
      for (std::size_t k = 0; k < half; ++k) {
        const auto odd = turn[k * (n / 2 / half)] * x[from + half + k];
        x[from + half + k] = x[from + k] - odd;
        x[from + k] += odd;
      }
}

/// The whole signal at once, zeros behind it: bins of rate/size Hz, up to half the rate.
[[nodiscard]] inline spectrum spectrum_of(std::span<const double> signal) {
  std::size_t n = 2;
  while (n < signal.size()) n *= 2;
  spectrum x(n);
  std::copy(signal.begin(), signal.end(), x.begin());
  transform(x);
  x.resize(n / 2 + 1);
  return x;
}

/// Power of a spectrum in bands around the frequencies of `hz`, a sixth of an octave wide each, in dB.
[[nodiscard]] inline std::vector<double> band_levels(const spectrum& x, double rate,
                                                     const std::vector<double>& hz) {
  const double bin = rate / 2 / static_cast<double>(x.size() - 1);
  std::vector<double> db;
  for (const double f : hz) {
    const auto low = static_cast<std::size_t>(f * std::exp2(-1. / 12) / bin);
    const auto high = std::min(static_cast<std::size_t>(f * std::exp2(1. / 12) / bin) + 1, x.size());
    double power = 0;
    for (std::size_t k = low; k < high; ++k) power += std::norm(x[k]);
    const double length = 2 * static_cast<double>(x.size() - 1);
    db.push_back(10 * std::log10(2 * power / (length * length) + 1e-30));
  }
  return db;
}

/// Mean power of a signal in dB re full scale squared, each frequency weighted; of all channels together.
[[nodiscard]] inline double level(const std::vector<std::vector<double>>& channels, double rate,
                                  lodewire::frequency_weighting which) {
  double power = 0;
  std::size_t samples = 0;
  for (const std::vector<double>& channel : channels) {
    samples += channel.size();
    const spectrum x = spectrum_of(channel);
    const double size = 2 * static_cast<double>(x.size() - 1);
    for (std::size_t k = 1; k < x.size(); ++k) {
      const double weight = lodewire::weighting_ratio(
          which, lodewire::frequency::from_value(rate * static_cast<double>(k) / size));
      power += (k + 1 < x.size() ? 2 : 1) * std::norm(x[k]) * weight * weight / size;
    }
  }
  return 10 * std::log10(power / static_cast<double>(samples) + 1e-30);
}

} // namespace render_example
