// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <string>
#include <string_view>

#include <lodewire/quantity/finite.hpp>
#include <lodewire/quantity/notation.hpp>

/// Figures for tables: three of them, points in line, minus as a real minus sign.
namespace examples {

/// Three figures, with the zeros that `engineering` leaves out.
[[nodiscard]] inline std::string three_figures(double value, std::string_view unit) {
  std::string text = lodewire::engineering(value, unit, 3);
  const std::size_t end = text.find(' ');
  const std::size_t figures = end - (text.find('.') < end ? 1 : 0);
  if (figures < 3) text.insert(end, (figures == end ? "." : "") + std::string(3 - figures, '0'));
  return text;
}
template <class Unit>
[[nodiscard]] std::string three_figures(const boost::units::quantity<Unit>& q) {
  return three_figures(q.value(), lodewire::unit_symbol<Unit>);
}

/// Decibels. Minus infinity, plus infinity and what is no number are `otherwise`.
[[nodiscard]] inline std::string decibels(double value, int decimals = 1,
                                          std::string_view otherwise = "none") {
  if (!lodewire::is_finite(value)) return std::string(otherwise);
  const std::string digits = lodewire::fixed_number(std::abs(value), decimals);
  const bool is_zero = digits.find_first_not_of("0.") == std::string::npos;
  return (value < 0 && !is_zero ? "−" : "") + digits;
}

} // namespace examples
