// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <compare>

#include <lodewire/quantity/requirement.hpp>

namespace lodewire {

/// How far a shaft is turned: 0 at the counter-clockwise stop, 1 at the clockwise stop, in parts of its mechanical
/// travel. Never made from a bare number by itself. Cost: a double.
class rotation {
public:
  /// Throws `invalid_value` for NaN and outside 0 to 1.
  constexpr explicit rotation(double part) : value_{require_within("rotation", part, 0.0, 1.0)} {}

  [[nodiscard]] constexpr double value() const noexcept { return value_; }

  [[nodiscard]] friend constexpr auto operator<=>(rotation, rotation) noexcept = default;

private:
  double value_;
};

/// The rotation that the knob's scale of 0 to 10 shows: `knob(7)` is 0.7. Throws `invalid_value` for NaN and
/// outside 0 to 10.
[[nodiscard]] constexpr rotation knob(double number) {
  return rotation(require_within("knob", number, 0.0, 10.0) / 10);
}

} // namespace lodewire
