// SPDX-License-Identifier: BSL-1.0
#pragma once

namespace lodewire {

/// The ordinary number in a value: itself, or what a dual number stands for.
[[nodiscard]] constexpr double leading(double x) noexcept { return x; }
/// True for a dual number with a derivative: such a zero is not simply a short.
[[nodiscard]] constexpr bool varies(double) noexcept { return false; }

} // namespace lodewire
