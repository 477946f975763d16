// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <iterator>
#include <string>
#include <string_view>

#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/read_marking.hpp>

/// What is stamped on a potentiometer. The same letter means different laws in different worlds (A and B change
/// places), so a letter is never read without saying which world it comes from.
namespace lodewire {

/// Who stamped the letter.
enum class marking_world : std::uint8_t {
  today, ///< Asia (JIS) and most of today's trade: B linear, A audio, C reverse audio, M N blend pair, W S-shaped
  older_european, ///< A linear, B audio, C or F or Y reverse audio
  us_series,      ///< one series of US components: U linear, A audio, B reverse audio
  mil_r_94,       ///< MIL-R-94: A linear, C audio, F reverse audio (C and F from memory)
};

namespace detail {

enum class letter_law : std::uint8_t { none, linear, audio, reverse_audio, blend_m, blend_n, s_shaped };

[[nodiscard]] constexpr letter_law law_of(char letter, marking_world world) noexcept {
  constexpr std::string_view today = "BACMNW", european = "ABC", us = "UAB", military = "ACF";
  if (world == marking_world::older_european && (letter == 'F' || letter == 'Y')) letter = 'C';
  const std::string_view letters = world == marking_world::today            ? today
                                   : world == marking_world::older_european ? european
                                   : world == marking_world::us_series      ? us
                                                                            : military;
  const auto at = letters.find(letter);
  return letter == '\0' || at == letters.npos ? letter_law::none : static_cast<letter_law>(at + 1);
}

[[nodiscard]] constexpr std::string_view letters_of(marking_world world) noexcept {
  switch (world) {
  case marking_world::today: return "a law's letter of today's trade (A, B, C, M, N or W)";
  case marking_world::older_european: return "a law's letter of older European parts (A, B, C, F or Y)";
  case marking_world::us_series: return "a law's letter of that US series (U, A or B)";
  default: return "a law's letter of MIL-R-94 (A, C or F)";
  }
}

[[nodiscard]] constexpr bool takes_percent(letter_law law) noexcept {
  return law == letter_law::audio || law == letter_law::reverse_audio;
}

/// The law of a text from `in` on, up to the end.
[[nodiscard]] inline taper take_taper(text_cursor& in, marking_world world) {
  std::size_t number_at = in.at();
  decimal_text number = take_decimal(in);
  in.skip_spaces();
  const letter_law law = law_of(in.peek(), world);
  if (law == letter_law::none) in.fail(letters_of(world));
  in.step();
  in.skip_spaces();
  if (number.count == 0 && in.digit()) {
    number_at = in.at();
    number = take_decimal(in);
  }
  in.require_end();
  if (number.count != 0) {
    const double percent = to_double(number, in, number_at);
    if (takes_percent(law)) {
      if (percent < 1 || percent > 50)
        in.fail_at(number_at, "1 to 50, the percent of the track at half travel");
      return law == letter_law::audio ? taper::audio(percent / 100) : taper::reverse_audio(percent / 100);
    }
    // One chart calls the straight line '1B'.
    if (law != letter_law::linear || (percent != 50 && percent != 1))
      in.fail_at(number_at, law == letter_law::linear
                                ? "50 or 1 with the letter of a linear law, or no number"
                                : "no number with this letter");
  }
  switch (law) {
  case letter_law::audio: return audio_taper;
  case letter_law::reverse_audio: return reverse_audio_taper;
  case letter_law::blend_m: return blend_m_taper;
  case letter_law::blend_n: return blend_n_taper;
  case letter_law::s_shaped: return taper::s_shaped(0.15);
  default: return linear_taper;
  }
}

/// The error of a part of a text, as an error of the text.
[[nodiscard]] inline text_error moved(const text_error& error, std::string_view text, std::size_t columns) {
  constexpr std::string_view before = ", expected ";
  std::string_view what = error.what();
  return {error.parameter(), text, error.column() + columns, what.substr(what.rfind(before) + before.size())};
}

/// Total and tolerance. A number without prefix and unit is never taken for ohms: it must be a three-digit code.
[[nodiscard]] inline marking<resistance> read_track(std::string_view text) {
  constexpr std::string_view parameter = "potentiometer.total";
  text_cursor in{text, parameter};
  if (in.at_end()) in.fail("the total resistance");
  const std::size_t first = in.at();
  const decimal_text number = take_decimal(in);
  const bool three_digits = number.count == 3 && in.at() == first + 3;
  const bool ends_in_0 = three_digits && number.digits[2] == '0';
  // 503K may be a code and its tolerance; 500K is not.
  const bool code_and_letter =
      three_digits && !ends_in_0 && (in.peek() == 'K' || in.peek() == 'M') && in.peek(1) == '\0';
  in.skip_spaces();
  constexpr char after_value[] = {'k', 'K', 'M', 'm', 'G', 'T', 'R', 'r', 'O', 'o', ohm_sign};
  if (std::find(std::begin(after_value), std::end(after_value), in.peek()) != std::end(after_value) &&
      !code_and_letter)
    return read_marking<resistance>(text, parameter);
  if (ends_in_0) in.fail_at(first, "a prefix or a unit as well (500 may be 50 Ω, 500 Ω or 500 kΩ)");
  return read_three_digit_code<resistance>(text, parameter);
}

/// A stamp in two: the law, and the value with the columns before it.
struct stamp {
  std::string_view law, value;
  std::size_t columns = 0;
};

[[nodiscard]] inline stamp split_stamp(std::string_view text, marking_world world) {
  constexpr std::string_view parameter = "potentiometer", number = "0123456789.";
  const auto first = text.find_first_not_of(' ');
  if (first == text.npos) throw text_error(parameter, text, text.size() + 1, "a law's letter and the total");
  const bool letter_first = number.find(text[first]) == number.npos;
  if (letter_first && law_of(text[first], world) == letter_law::none)
    throw text_error(parameter, text, first + 1, std::string(letters_of(world)) + ", or the total");
  // The law comes first: a letter, or a percent and its letter with a value behind them.
  const auto letter =
      text.find_first_not_of(' ', (std::min)(text.find_first_not_of(number, first), text.size()));
  if (letter != text.npos) {
    const auto value = text.find_first_not_of(' ', letter + 1);
    if (letter_first || (takes_percent(law_of(text[letter], world)) && value != text.npos &&
                         number.find(text[value]) != number.npos))
      return {text.substr(0, letter + 1), text.substr(letter + 1), letter + 1};
  }
  const auto last = text.find_last_not_of(' ');
  const auto column_of = [text](std::size_t at) {
    std::size_t column = 1;
    for (auto rest = text; text.size() - rest.size() < at; ++column)
      rest.remove_prefix(character_length(rest));
    return column;
  };
  if (law_of(text[last], world) != letter_law::none) {
    if (text[last] == 'M' || text[last] == 'N') // mega, ±20 %, ±30 % or a blend?
      throw text_error(parameter, text, column_of(last),
                       "the law before the value: M and N behind it mean too much");
    return {text.substr(last, 1), text.substr(0, last)};
  }
  const std::size_t column = column_of(text.size());
  throw text_error(parameter, text, column, std::string(letters_of(world)) + " before or after the value");
}

} // namespace detail

/// A law from its letter, with or without the percent of the track at half travel before or after it: `A`, `15A`,
/// `A15`, `C10` (10 % between wiper and clockwise end). Without a number the curved laws are those of 15 %, as
/// `audio_taper`. Only capital letters. Throws `text_error` with the column.
[[nodiscard]] inline taper read_taper(std::string_view text, marking_world world) {
  detail::text_cursor in{text, "taper"};
  return detail::take_taper(in, world);
}

/// Law, total and tolerance from a stamp: the letter before or after the value, `A250k`, `B500K`, `250kA`, `B 1 MΩ`,
/// `15A250k`; three digits alone are a code (`B504`, `504B`: 500 kΩ), any other number needs a prefix or a unit.
/// A tolerance may follow the value: `A504J`, `A250k ±10 %`; the larger side counts. Everything else keeps the
/// defaults of `potentiometer`. Throws `text_error` with the column.
[[nodiscard]] inline potentiometer read_potentiometer(std::string_view text, marking_world world) {
  const detail::stamp parts = detail::split_stamp(text, world);
  std::size_t columns = 0;
  try {
    potentiometer part{.law = read_taper(parts.law, world)};
    columns = parts.columns;
    const marking<resistance> track = detail::read_track(parts.value);
    part.total = track.value;
    if (track.tolerance) part.tolerance = (std::max)(track.tolerance->minus, track.tolerance->plus);
    const char last = parts.value[parts.value.find_last_not_of(' ')];
    const bool second_law =
        columns > 0 && last != 'M' && last != 'N' && detail::law_of(last, world) != detail::letter_law::none;
    if (second_law || !(part.tolerance < 1))
      throw text_error("potentiometer", parts.value, 1,
                       second_law ? "one letter of a law only" : "a tolerance below 100 %");
    return part;
  } catch (const text_error& error) {
    throw detail::moved(error, text, columns);
  }
}

} // namespace lodewire
