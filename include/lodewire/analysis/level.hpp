// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>

#include <lodewire/circuit/response.hpp>
#include <lodewire/quantity/decibel.hpp>

/// How loud: levels at a frequency, in dB re 1 V at the output for EMFs in volts (with the default EMF of 1 V: re the
/// EMF). 'Dc-ish' levels are taken at 100 Hz, well below any pickup's resonance.
namespace lodewire {

/// Where a level is taken when nothing else is said.
inline constexpr frequency low_level_frequency = frequency::from_value(100);

/// Level of the response to one EMF. Throws as `response`.
[[nodiscard]] inline decibel level(const source& s, std::size_t emf, frequency f = low_level_frequency) {
  return voltage_level(std::abs(response(s, emf, f)));
}

/// Level of the coherent sum: all EMFs in phase. Throws as `response`.
[[nodiscard]] inline decibel level(const source& s, frequency f = low_level_frequency) {
  return voltage_level(std::abs(response(s, f)));
}

/// Level of the power sum: EMFs that have nothing to do with each other. Throws as `response`.
[[nodiscard]] inline decibel power_sum_level(const source& s, frequency f = low_level_frequency) {
  double power_sum = 0;
  for (std::size_t k = 0; k < s.emf_names().size(); ++k) power_sum += std::norm(response(s, k, f));
  return power_level(power_sum);
}

} // namespace lodewire
