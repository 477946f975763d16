// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string_view>

#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/read_tolerance.hpp>

/// Levels and fractions from text.
namespace lodewire {

/// A level from text: `-3 dB`, `+6dB`, `-0.5` (the unit may be left out), also with the minus sign U+2212.
/// The double nearest to the decimal text. Throws `text_error`. Cost: well below a microsecond, no
/// allocation.
[[nodiscard]] inline decibel read_decibel(std::string_view text, std::string_view parameter = "level") {
  detail::text_cursor in{text, parameter};
  const bool negative = in.take("-");
  if (!negative) in.take("+");
  const auto first = in.at();
  const auto number = detail::take_decimal(in);
  if (number.count == 0) in.fail_at(first, "a number of decibels");
  const double value = detail::to_double(number, in, first);
  in.skip_spaces();
  in.take_one_of("dB db DB");
  in.require_end("the unit dB, or the end of the text");
  return decibel{negative ? -value : value};
}

/// Percent as a fraction: `15 %` is 0.15. The sign is required, so that 0.5 is never taken for a half by one
/// reader and for 0.5 % by the next. Not negative; more than 100 % is left to the caller. Throws
/// `text_error`.
[[nodiscard]] inline double read_percentage(std::string_view text,
                                            std::string_view parameter = "percentage") {
  detail::text_cursor in{text, parameter};
  const double fraction = detail::take_percent(in);
  in.require_end();
  return fraction;
}

} // namespace lodewire
