// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>
#include <string_view>

#include <lodewire/quantity/read_marking.hpp>
#include <lodewire/quantity/write_marking.hpp>

namespace lodewire::detail {

/// A battery's capacity: `550 mAh`, `0.55 Ah`, `1980 C`. Throws `text_error`.
[[nodiscard]] inline electric_charge read_charge(std::string_view text) {
  text_cursor in{text, "capacity"};
  const std::size_t first = in.at();
  const decimal_text number = take_decimal(in);
  if (number.count == 0) in.fail("a number");
  const double value = to_double(number, in, first);
  in.skip_spaces();
  double coulomb = value;
  if (in.take("mAh"))
    coulomb = value * 36 / 10;
  else if (in.take("Ah"))
    coulomb = value * 3600;
  else if (!in.take("C"))
    in.fail("a unit: mAh, Ah or C");
  in.require_end();
  if (!is_finite(coulomb)) in.fail_at(first, "a charge that a double holds");
  return electric_charge::from_value(coulomb);
}

/// In ampere-hours of a thousandth where that gives the same charge, else in coulomb.
[[nodiscard]] inline std::string charge_text(electric_charge q) {
  if (q.value() == 0) return "0 C";
  for (int digits = 3; digits < 17; ++digits) {
    const std::string text = plain_number(q.value() / 3.6, digits) + " mAh";
    if (text.find("e+") == text.npos && read_charge(text) == q) return text;
  }
  const shortest_decimal number{q.value()};
  return with_point(number, number.power) + "e" + std::to_string(number.power) + " C";
}

} // namespace lodewire::detail
