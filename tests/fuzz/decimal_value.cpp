// SPDX-License-Identifier: BSL-1.0
// decimal_value and the number of a literal, against std::from_chars. The input: eight bytes of digits, one of power.
#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <cstring>

#include <lodewire/quantity/literals.hpp>

#include "reader.hpp"

void fuzz::one_input(std::string_view text) {
  std::uint64_t digits = 0;
  std::int8_t raw = 0;
  if (text.size() < sizeof digits + sizeof raw) return;
  std::memcpy(&digits, text.data(), sizeof digits);
  std::memcpy(&raw, text.data() + sizeof digits, sizeof raw);
  const int power = raw % 64;

  const std::string written = std::to_string(digits) + "e" + std::to_string(power);
  const auto nearest = [&](const std::string& number) {
    double value = 0;
    const auto read = std::from_chars(number.data(), number.data() + number.size(), value);
    expect(read.ec == std::errc{}, "the reference reads it", number);
    return value;
  };
  const double expected = nearest(written), value = lodewire::detail::decimal_value(digits, power);
  const bool once = power >= -22 && power <= 22 && (power <= 0 || digits <= std::uint64_t{1} << 53U);
  if (once) {
    expect(same(value, expected), "rounded once: " + written, text);
  } else { // one rounding, and two more for every 22 powers of ten begun past the first
    const int roundings = 2 * ((std::abs(power) - 1) / 22) + 1;
    const double unit = std::nextafter(expected, 2 * expected) - expected;
    expect(std::abs(value - expected) <= std::max(roundings, 3) * unit, "its roundings bound it: " + written,
           text);
  }

  // A literal of up to 15 digits is the nearest double.
  const std::uint64_t few = digits % 1'000'000'000'000'000U;
  const std::string literal = std::to_string(few) + "e" + std::to_string(power % 22);
  expect(same(lodewire::detail::literal_value(literal.c_str(), 1, 0), nearest(literal)),
         "a literal: " + literal, text);
}
