// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string_view>

#include <lodewire/quantity/text_cursor.hpp>
#include <lodewire/quantity/tolerance.hpp>

namespace lodewire {

namespace detail {

/// Is this character a tolerance letter that stands alone at the end of a word?
[[nodiscard]] inline bool lone_tolerance_letter(const text_cursor& in) {
  return tolerance_of_letter(in.peek()) && (in.peek(1) == '\0' || in.peek(1) == ' ');
}

/// `5`, `0.5`: percent as a fraction; the sign % comes after it, and is optional if `sign_optional`.
[[nodiscard]] inline double take_percent(text_cursor& in, bool sign_optional = false) {
  in.skip_spaces();
  const auto first = in.at();
  auto number = take_decimal(in);
  if (number.count == 0) in.fail("a number of percent");
  number.power -= 2;
  const double fraction = to_double(number, in, first);
  in.skip_spaces();
  if (!in.take("%") && !sign_optional) in.fail("the sign %");
  in.skip_spaces();
  return fraction;
}

/// A letter, or percent, up to the end of the text. `picofarads`: for a capacitor, its nominal value; else
/// null.
[[nodiscard]] inline tolerance take_tolerance(text_cursor& in, const capacitance* nominal) {
  constexpr std::string_view expected = "a tolerance (a letter such as J, or ±5 %)";
  const auto first = in.at();
  tolerance within;
  if (lone_tolerance_letter(in)) {
    within = nominal ? *tolerance_of_letter(in.peek(), *nominal) : *tolerance_of_letter(in.peek());
    in.step();
  } else if (in.take(std::string_view{&plus_minus_sign, 1}) || in.take("+/-") || in.digit()) {
    within = tolerance::symmetric(take_percent(in));
  } else if (in.next_is("+") || in.next_is("-")) {
    const bool minus_first = in.take("-");
    if (!minus_first) in.step();
    (minus_first ? within.minus : within.plus) = take_percent(in, true);
    if (in.take("/")) in.skip_spaces();
    if (!in.take(minus_first ? "+" : "-")) in.fail(minus_first ? "the plus side" : "the minus side");
    (minus_first ? within.plus : within.minus) = take_percent(in);
  } else {
    in.fail(expected);
  }
  in.require_end();
  if (within.minus > 1) in.fail_at(first, "a tolerance of at most 100 % below the value");
  return within;
}

} // namespace detail

/// A tolerance from text: a letter of IEC 60062 (`J`), or percent: `±5 %`, `+/-5%`, `5%`, `-20/+80 %`, `+80%
/// -20%`. Fractions are the doubles nearest to the decimal text. The letters of capacitors below 10 pF need
/// the value: `read_marking<capacitance>`. Throws `text_error`. Cost: well below a microsecond, no
/// allocation.
[[nodiscard]] inline tolerance read_tolerance(std::string_view text,
                                              std::string_view parameter = "tolerance") {
  detail::text_cursor in{text, parameter};
  return detail::take_tolerance(in, nullptr);
}

} // namespace lodewire
