// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <optional>

#include <lodewire/analysis/power_response.hpp>
#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/pole_zero.hpp>

namespace lodewire {

/// An impedance has three resonances, and a lossy coil keeps them apart by tens of per cent: say which one you mean.
struct impedance_resonance {
  /// Where |Z| is highest, and how high.
  std::optional<frequency> magnitude_peak;
  resistance peak_magnitude{};
  /// Where the phase of Z crosses zero (from coil to capacitor); a very lossy coil never gets there.
  std::optional<frequency> zero_phase;
  /// The undamped natural frequency |p|/2π of the complex pole pair nearest to the peak: 1/(2π·√(LC)) for a coil and
  /// a capacitance.
  std::optional<frequency> natural;
  /// |p|/(2·|Re p|) of the same pair: √(L/C)/R for a coil with series resistance R.
  std::optional<double> quality;
};

/// All three, of an impedance in ohms as `impedance_function` gives it. Throws `invalid_value` for a band that is not
/// positive and rising. Cost: some ten microseconds.
[[nodiscard]] inline impedance_resonance find_impedance_resonance(const transfer_function& z,
                                                                  const resonance_search& where = {}) {
  const resonance magnitude = find_resonance(z, where);
  impedance_resonance found;
  if (magnitude.has_peak) {
    found.magnitude_peak = magnitude.peak;
    found.peak_magnitude = resistance::from_value(std::abs(z(magnitude.peak)));
  }

  const auto reactance = [&](double hz) { return z(frequency::from_value(hz)).imag(); };
  constexpr double step = 1.0746078283213176; // 10^(1/32)
  for (double f = where.from.value(); f < where.to.value(); f *= step) {
    const double next = std::fmin(f * step, where.to.value());
    const double above = reactance(f), below = reactance(next);
    // Where Z is resistive throughout, the sign is only rounding.
    const bool crosses = above - below > 1e-11 * std::abs(z(frequency::from_value(next)));
    if (above > 0 && below <= 0 && crosses) {
      found.zero_phase = frequency::from_value(detail::bracketed_root(reactance, f, next));
      break;
    }
  }

  const double peak_omega = 2 * std::numbers::pi * (magnitude.has_peak ? magnitude.peak.value() : 0);
  double closest = 0;
  for (const polynomial_root& root : detail::find_unmatched_roots(z).poles) {
    const std::complex<double> p = to_standard(scale::per_second * root.value);
    // A real pole that is there several times over comes apart by rounding.
    if (!(p.imag() > std::fmax(scale::per_second * root.uncertainty, 1e-5 * std::abs(p)))) continue;
    const double away = std::abs(std::abs(p) - peak_omega);
    if (found.natural && away >= closest) continue;
    closest = away;
    found.natural = frequency::from_value(std::abs(p) / (2 * std::numbers::pi));
    found.quality = std::abs(p) / (2 * std::abs(p.real()));
  }
  return found;
}

/// Of a one-port (a coil alone is `source`: use the other overload). Throws as above and as `impedance_function`.
[[nodiscard]] inline impedance_resonance find_impedance_resonance(const one_port& z,
                                                                  const resonance_search& where = {}) {
  return find_impedance_resonance(impedance_function(z), where);
}

/// Of the output of a source, every EMF at rest.
[[nodiscard]] inline impedance_resonance find_impedance_resonance(const source& s,
                                                                  const resonance_search& where = {}) {
  return find_impedance_resonance(impedance_function(s), where);
}

} // namespace lodewire
