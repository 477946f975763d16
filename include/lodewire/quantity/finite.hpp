// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <bit>
#include <cstdint>
#include <limits>

/// Tests on floating-point values that still hold where a compiler was told that infinities and NaN do not
/// occur (`-ffast-math`): they look at the bits, so no comparison can be folded away.
namespace lodewire {

/// True for every value but the infinities and NaN. Cost: three integer instructions.
[[nodiscard]] constexpr bool is_finite(double x) noexcept {
  return (std::bit_cast<std::uint64_t>(x) & 0x7ff0'0000'0000'0000U) != 0x7ff0'0000'0000'0000U;
}

[[nodiscard]] constexpr bool is_finite(float x) noexcept {
  return (std::bit_cast<std::uint32_t>(x) & 0x7f80'0000U) != 0x7f80'0000U;
}

/// True for a value that is not a number.
[[nodiscard]] constexpr bool is_nan(double x) noexcept {
  return (std::bit_cast<std::uint64_t>(x) & 0x7fff'ffff'ffff'ffffU) > 0x7ff0'0000'0000'0000U;
}

/// True for +infinity, which a resistor slot of a circuit holds when the resistor is absent (open).
[[nodiscard]] constexpr bool is_open(double x) noexcept {
  return std::bit_cast<std::uint64_t>(x) == 0x7ff0'0000'0000'0000U;
}

/// What a resistor slot of a circuit holds for 'no resistor here'.
inline constexpr double open_value = std::numeric_limits<double>::infinity();

} // namespace lodewire
