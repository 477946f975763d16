// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstdint>

#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/units.hpp>

/// Frequency weightings of sound level meters (IEC 61672-1), for noise as an ear judges it.
namespace lodewire {

/// Which frequency weighting.
enum class frequency_weighting : std::uint8_t {
  z, ///< none: every frequency counts alike
  a, ///< A: the ear at low levels
};

namespace detail {

/// Voltage ratio of the A-weighting before it is normalised, at a frequency in Hz that is more than 0. Written in
/// factors of 0 to 1 and held beyond 1e±50 Hz, so that nothing overflows.
[[nodiscard]] inline double a_weighting_shape(double hz) noexcept {
  constexpr double f1 = 20.598997, f2 = 107.65265, f3 = 737.86223, f4 = 12194.217;
  hz = std::fmin(std::fmax(hz, 1e-50), 1e50);
  const auto low = [hz](double pole) { return 1 + (pole / hz) * (pole / hz); };
  return 1 / (low(f1) * std::sqrt(low(f2) * low(f3)) * (1 + (hz / f4) * (hz / f4)));
}

/// The shape at 1 kHz, -1.99966 dB.
inline constexpr double a_weighting_reference = 0.7943597367938092;

} // namespace detail

/// Voltage ratio of a weighting at f, 1 at 1 kHz:
///
///     A(f) = k·f4²·f⁴/((f² + f1²)·√((f² + f2²)·(f² + f3²))·(f² + f4²))
///
/// with f1 = 20.598997, f2 = 107.65265, f3 = 737.86223, f4 = 12194.217 Hz. The standard rounds the constant k to
/// 2.000 dB; here it is exact (1.99966 dB), so that 1 kHz is 0 dB. Throws `invalid_value` for a frequency that is not
/// positive. Source: IEC 61672-1.
[[nodiscard]] inline double weighting_ratio(frequency_weighting which, frequency f) {
  const double hz = require_positive("frequency", f).value();
  return which == frequency_weighting::z ? 1 : detail::a_weighting_shape(hz) / detail::a_weighting_reference;
}

/// The same as a level. The standard's tables hold at the exact frequencies 1000·10^(n/10) Hz: 1258.9 Hz where they
/// print 1250.
[[nodiscard]] inline decibel weighting_level(frequency_weighting which, frequency f) {
  return voltage_level(weighting_ratio(which, f));
}

} // namespace lodewire
