// SPDX-License-Identifier: BSL-1.0
#pragma once

namespace lodewire {

/// The ordinary number in a value: itself, or what a dual number stands for.
template <class Number>
[[nodiscard]] constexpr double leading(const Number& x) noexcept {
  return static_cast<double>(x);
}
/// True for a dual number with a derivative: such a zero is not simply a short.
template <class Number>
[[nodiscard]] constexpr bool varies(const Number&) noexcept {
  return false;
}

} // namespace lodewire
