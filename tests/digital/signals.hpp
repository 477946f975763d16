// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <cstdint>
#include <numbers>
#include <vector>

#include <lodewire/digital/cascade.hpp>

/// Signals that the tests of filters use, and what they measure.
namespace digital_test {

/// Uniform in [-1, 1), the same for the same seed (splitmix64).
[[nodiscard]] inline double uniform(std::uint64_t& state) {
  std::uint64_t z = state += 0x9e3779b97f4a7c15U;
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
  return static_cast<double>((z ^ (z >> 31U)) >> 11U) * 0x1p-52 - 1;
}
[[nodiscard]] inline std::vector<double> noise(std::size_t count, std::uint64_t seed) {
  std::vector<double> x(count);
  for (double& v : x) v = uniform(seed);
  return x;
}

/// Σ x[i]·e^(-jωi) at a frequency as a share of the sampling rate.
[[nodiscard]] inline std::complex<double> spectrum(const std::vector<double>& x, double share) {
  const auto step = std::polar(1., -2 * std::numbers::pi * share);
  std::complex<double> sum = 0, turn = 1;
  for (std::size_t i = 0; i < x.size(); ++i) {
    sum += x[i] * turn;
    turn *= step;
    if (i % 64 == 63)
      turn = std::polar(1., -2 * std::numbers::pi * share * static_cast<double>(i + 1)); // rounding
  }
  return sum;
}

/// A sine whose frequency rises in equal ratios from `low` to `high` (shares of the sampling rate), faded at its ends.
[[nodiscard]] inline std::vector<double> chirp(std::size_t count, double low, double high) {
  std::vector<double> x(count);
  const double length = static_cast<double>(count), rate = std::log(high / low) / length;
  for (std::size_t i = 0; i < count; ++i) {
    const double at = static_cast<double>(i);
    const double phase = 2 * std::numbers::pi * low * (std::exp(rate * at) - 1) / rate;
    const double edge = std::fmin(1, std::fmin(at, length - 1 - at) / (0.02 * length));
    x[i] = std::sin(phase) * std::sin(std::numbers::pi / 2 * edge);
  }
  return x;
}

/// A cascade in long double, direct form I: an independent reference.
[[nodiscard]] inline std::vector<double> reference_output(const lodewire::cascade& filter,
                                                          const std::vector<double>& in) {
  using wide = long double;
  std::vector<wide> x(in.size());
  for (std::size_t i = 0; i < in.size(); ++i) x[i] = static_cast<wide>(in[i]);
  for (const lodewire::second_order_section& s : filter.sections()) {
    const wide b0 = static_cast<wide>(s.b0), b1 = static_cast<wide>(s.b1), b2 = static_cast<wide>(s.b2),
               a1 = static_cast<wide>(s.a1), a2 = static_cast<wide>(s.a2);
    wide x1 = 0, x2 = 0, y1 = 0, y2 = 0;
    for (wide& v : x) {
      const wide y = b0 * v + b1 * x1 + b2 * x2 - a1 * y1 - a2 * y2;
      x2 = x1, x1 = v, y2 = y1, y1 = y, v = y;
    }
  }
  std::vector<double> out(in.size());
  for (std::size_t i = 0; i < in.size(); ++i) out[i] = static_cast<double>(x[i]);
  return out;
}

} // namespace digital_test
