// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <span>

#include <lodewire/circuit/source.hpp>
#include <lodewire/parts/potentiometer.hpp>

#include "circuits.hpp"

/// The circuits of circuits.hpp, made of the library's parts.
namespace bench {

inline constexpr std::size_t points = 1024;

/// 1024 frequencies from 20 Hz to 20 kHz: 341 in a decade, which is also how the circuit solver counts.
[[nodiscard]] std::span<const double> grid();

/// The circuit; its first pickup's volume control is named "volume".
[[nodiscard]] lodewire::source instrument(which circuit, const circuit_values& v = typical_values());

/// That control's potentiometer, and the values with it turned.
[[nodiscard]] lodewire::potentiometer volume();
[[nodiscard]] circuit_values turned(lodewire::rotation to);

} // namespace bench
