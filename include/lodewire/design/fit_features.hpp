// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include <lodewire/design/measured_curve.hpp>
#include <lodewire/parts/magnetic_coil.hpp>

/// Where a fit begins: what a curve shows to the eye.
namespace lodewire {

/// Read off an impedance curve, in SI; each is rough, 0 where the curve does not show it.
struct curve_features {
  double low_hz = 0;     ///< the lowest frequency
  double resistance = 0; ///< Re Z there
  double inductance = 0; ///< from |Z| between there and a third of the peak
  double peak_hz = 0;    ///< of |Z|; the last point if it still rises
  double peak_ohm = 0;
  bool has_peak = false;  ///< |Z| falls again by a tenth after it
  double capacitance = 0; ///< from the highest points, or from the peak
};

/// Cost: linear. Throws as `require_curve`.
[[nodiscard]] inline curve_features find_features(const measured_curve& c) {
  require_curve(c);
  const auto ohm = [&](std::size_t i) { return std::abs(c.value[i]); };
  const auto omega = [&](std::size_t i) { return 2 * std::numbers::pi * c.hz[i]; };
  curve_features f;
  std::size_t peak = 0;
  for (std::size_t i = 0; i < c.size(); ++i)
    if (ohm(i) > ohm(peak)) peak = i;
  const std::size_t last = c.size() - 1;
  f.low_hz = c.hz[0];
  f.peak_hz = c.hz[peak];
  f.peak_ohm = ohm(peak);
  f.has_peak = ohm(last) < 0.9 * f.peak_ohm;
  f.resistance = c.magnitude_only ? ohm(0) : std::fmax(c.value[0].real(), 0.05 * ohm(0));
  // Below resonance the reactance of a coil with its capacitance is ωL/(1 - (f/f0)²).
  std::vector<double> l;
  for (std::size_t i = 0; i < c.size() && c.hz[i] < f.peak_hz / 1.5; ++i) {
    const double x = c.magnitude_only
                         ? std::sqrt(std::fmax(ohm(i) * ohm(i) - f.resistance * f.resistance, 0.0))
                         : c.value[i].imag();
    const double below = f.has_peak ? 1 - std::pow(c.hz[i] / f.peak_hz, 2) : 1;
    if (x > 0.2 * ohm(i)) l.push_back(x * below / omega(i));
  }
  if (!l.empty()) {
    std::nth_element(l.begin(), l.begin() + static_cast<std::ptrdiff_t>(l.size() / 2), l.end());
    f.inductance = l[l.size() / 2];
  } else {
    f.inductance = f.peak_ohm / omega(peak);
  }
  // Well above resonance there is the capacitance alone, beside what the coil takes off it.
  const double from_peak = 1 / (omega(peak) * omega(peak) * f.inductance);
  f.capacitance = from_peak;
  if (f.has_peak && c.hz[last] > 1.5 * f.peak_hz)
    f.capacitance = (1 / ohm(last) + 1 / (omega(last) * f.inductance)) / omega(last);
  return f;
}

/// Coils that look like the curve, to begin with: eddy branches as asked (0 to 2), a loss across the winding or not.
/// They differ in how much of the inductance the branches have, and in where those begin.
[[nodiscard]] inline std::vector<magnetic_coil> starting_coils(const curve_features& f, std::size_t branches,
                                                               bool parallel_loss) {
  struct guess {
    double share, corner; // of the inductance; in Hz over that of the peak
  };
  constexpr std::array<guess, 5> guesses{{{0.25, 1}, {0.1, 0.3}, {0.5, 1.5}, {0.4, 0.3}, {0.6, 4}}};
  std::vector<magnetic_coil> coils;
  for (std::size_t i = 0; i < (branches == 0 ? 1 : guesses.size()); ++i) {
    magnetic_coil c;
    c.resistance = resistance::from_value(f.resistance);
    c.capacitance = capacitance::from_value(f.capacitance);
    double rest = f.inductance;
    for (std::size_t b = 0; b < branches; ++b) {
      const double l = guesses[i].share * rest;
      const double corner = guesses[i].corner * f.peak_hz * (b == 0 ? 1 : 0.2);
      c.eddy[b] = {inductance::from_value(l), resistance::from_value(2 * std::numbers::pi * corner * l)};
      rest -= l;
    }
    c.inductance = inductance::from_value(rest);
    if (parallel_loss) c.parallel_loss = resistance::from_value(2 * f.peak_ohm);
    coils.push_back(c);
  }
  return coils;
}

} // namespace lodewire
