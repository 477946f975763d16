// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <charconv>
#include <cmath>
#include <string>
#include <string_view>

#include <lodewire/quantity/finite.hpp>
#include <lodewire/quantity/units.hpp>

/// Numbers for people: engineering notation without a locale.
namespace lodewire {

/// A number in at most `digits` (1 to 17) significant figures, without trailing zeros: `25.616`, `-3.01`,
/// `1e+30`.
[[nodiscard]] inline std::string plain_number(double value, int digits = 6) {
  if (is_nan(value)) return "NaN";
  if (!is_finite(value)) return value > 0 ? "infinity" : "-infinity";
  char text[64];
  const int figures = digits < 1 ? 1 : digits > 17 ? 17 : digits;
  const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::general, figures).ptr;
  return {text, end};
}

/// A number with a fixed count of decimals (0 to 60): `fixed_number(3.14159, 2)` is `3.14`. For tables.
[[nodiscard]] inline std::string fixed_number(double value, int decimals) {
  if (!is_finite(value)) return plain_number(value);
  char text[400]; // 309 digits, sign, point, decimals
  const int places = decimals < 0 ? 0 : decimals > 60 ? 60 : decimals;
  const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed, places).ptr;
  return {text, end};
}

/// A value with the SI prefix from pico to giga that leaves 1 to 999 in front of it, then the unit:
/// `engineering(25616.7, "Ω", 4)` is `25.62 kΩ`. Zero, NaN and infinities get no prefix. `digits`: 3 to 17,
/// because fewer do not write 150.
[[nodiscard]] inline std::string engineering(double value, std::string_view unit, int digits = 4) {
  constexpr std::string_view prefix[] = {"p", "n", "µ", "m", "", "k", "M", "G"};
  constexpr double step[] = {1e-12, 1e-9, 1e-6, 1e-3, 1, 1e3, 1e6, 1e9};
  std::size_t at = 4;
  digits = digits < 3 ? 3 : digits;
  if (is_finite(value) && value != 0) {
    at = 0;
    // The figure that will be printed decides, so that 999.96 becomes '1 k', not '1000'.
    const double rounding = 1 - 0.5 * std::pow(10.0, -digits);
    while (at + 1 < std::size(step) && std::abs(value) >= step[at + 1] * rounding) ++at;
  }
  std::string text = plain_number(value / step[at], digits);
  text += ' ';
  text += prefix[at];
  text += unit;
  return text;
}

/// A quantity in engineering notation with its own unit: `engineering(25.6167_kOhm)` is `25.62 kΩ`.
template <class Unit>
[[nodiscard]] std::string engineering(const boost::units::quantity<Unit>& q, int digits = 4) {
  return engineering(q.value(), unit_symbol<Unit>, digits);
}

} // namespace lodewire
