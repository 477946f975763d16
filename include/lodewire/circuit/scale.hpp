// SPDX-License-Identifier: BSL-1.0
#pragma once

/// The units inside an evaluator: s in 2^14/s (2.6 kHz), impedance in 2^17 Ω (131 kΩ). A circuit of a guitar then
/// has numbers near one, and no single-precision product overflows. Powers of two, so scaling never rounds.
namespace lodewire::scale {

inline constexpr double per_second = 0x1p14; ///< unit of s, 1/s
inline constexpr double ohm = 0x1p17;        ///< unit of impedance, Ω
inline constexpr double henry = ohm / per_second;
inline constexpr double farad = 1 / (ohm * per_second);

} // namespace lodewire::scale
