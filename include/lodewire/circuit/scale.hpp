// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <bit>
#include <cstdint>

/// The units inside an evaluator: s in 2^14/s (2.6 kHz), impedance in 2^17 Ω (131 kΩ). A circuit of a guitar then
/// has numbers near one, and no single-precision product overflows. Powers of two, so scaling never rounds.
namespace lodewire::scale {

inline constexpr double per_second = 0x1p14; ///< unit of s, 1/s
inline constexpr double ohm = 0x1p17;        ///< unit of impedance, Ω
inline constexpr double henry = ohm / per_second;
inline constexpr double farad = 1 / (ohm * per_second);

/// The power of two that takes x > 0 into [1, 2): as near as a normal number gets there. 1 for 0.
[[nodiscard]] constexpr double to_one(double x) noexcept {
  if (!(x > 0)) return 1;
  const auto exponent = static_cast<int>(std::bit_cast<std::uint64_t>(x) >> 52U) - 1023;
  const int bound = exponent > 1022 ? 1022 : exponent < -1022 ? -1022 : exponent;
  return std::bit_cast<double>(static_cast<std::uint64_t>(1023 - bound) << 52U);
}

} // namespace lodewire::scale
