// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <optional>
#include <string_view>

#include <lodewire/quantity/read_tolerance.hpp>
#include <lodewire/quantity/unit_spelling.hpp>

/// Values from text: the marking codes of IEC 60062, and values as people write them.
///
/// Read, for a resistance:
///   `4k7` `4K7` `R47` `2R2` `1M0` `47K` `470R`            a letter for the point (IEC 60062)
///   `500k` `250 kΩ` `250kohm` `10 kOhm` `1 Meg` `1.5MΩ`   a number and a prefix, a unit, or both
///   `103` `4700.5` `1e3` `1e3 Ω`                          a number alone: ohms
///   `4k7J` `47k K` `500k ±20 %` `10k +50/-10%`            and a tolerance, if you like
/// Small letters are not capital ones: `m` is milli and `M` mega, `k` and `K` are both kilo. `m` without its
/// unit is refused for resistances: on a potentiometer it is a slip. `u`, µ (U+00B5) and μ (U+03BC) are
/// micro, Ω (U+03A9) and U+2126 are ohm. Spaces (also the no-break and the thin one) may stand around the
/// number, its unit and its tolerance. There is no locale: the point is a point, digits are not grouped.
///
/// `47K` is 47 kΩ: the first letter after the digits is part of the value, only a further one is a tolerance.
/// A capacitance has no kilo, so that in `473K` the K is ±10 %.
///
/// Capacitances: a number alone is no farads. Three digits alone are the three-digit code (`223` is 22 nF),
/// except that a code which ends in 0 is refused, because `330` is as often 330 pF as 33 pF. Any other number
/// needs a prefix or a unit (`22`, `.022` and `1000` are refused), or a power of ten: `22e-9` is farads. `MF`
/// and `mf` are refused: old drawings mean µF by them. After the digits of a code F is the tolerance ±1 %
/// (`4n7F`, `104F`); `4.7nF`, `47nF` and `104 F` hold the unit. Below 10 pF the letters B C D F G are in pF.
///
/// Lengths, times and values per metre need their unit if they have a prefix; `6m` is six metres, `20 ft` 6.096 m.
///
/// Values are not negative and have no sign; zero is read (`0`, `0R0`) and left to the part to refuse. The
/// value is the double nearest to the decimal text. Texts of more than 64 bytes are refused unread. Errors:
/// `text_error` with the column. Cost: well below a microsecond; allocates only for the error.
namespace lodewire {

/// What is marked on a part: a value and, if it is given, its tolerance.
template <class Q>
struct marking {
  Q value;
  std::optional<lodewire::tolerance> tolerance;
};

namespace detail {

/// What comes between a number and its tolerance.
struct suffix {
  int power = 0;
  bool has_prefix = false, has_unit = false;
  std::size_t length = 0;
};

[[nodiscard]] inline suffix take_suffix(text_cursor& in, const unit_spelling& as) {
  if (in.take_one_of(as.refused)) in.fail_at(in.at() - 2, as.instead);
  const auto from = in.at();
  const char prefix = in.at_end() ? ' ' : in.peek();
  suffix found;
  if (as.prefixes.find('M') != as.prefixes.npos && in.take_one_of("Meg meg MEG")) {
    found = {6, true, in.take_one_of(as.units)};
  } else if (as.prefixes.find(prefix) != as.prefixes.npos) {
    in.step();
    found = {prefix_power(prefix), true, in.take_one_of(as.units)};
  }
  if (found.length = in.at() - from; found.length > 1) return found;
  // One letter or none: the unit comes before the prefix, so that 6m are metres.
  in.back_to(from);
  if (in.take_one_of(as.units)) return {0, false, true, in.at() - from};
  if (as.lone.find(prefix) == as.lone.npos) return {};
  in.step();
  return found;
}

/// A number that stands alone: coherent SI, or a three-digit code (then true).
inline bool settle_bare(decimal_text& number, text_cursor& in, std::size_t first, const unit_spelling& as,
                        bool is_code) {
  const bool three_digits = as.has_code && number.count == 3 && !number.has_point && !number.has_power;
  const bool may_be_code = is_code || !as.bare_is_si;
  if (number.has_power || number.is_zero() || !may_be_code) return three_digits && may_be_code;
  const bool tolerance_next = lone_tolerance_letter(in) || in.digit() || in.peek() == plus_minus_sign ||
                              in.peek() == '+' || in.peek() == '-';
  if (!three_digits || !(in.at_end() || tolerance_next)) in.fail(as.expected);
  const int zeros = number.digits[2] - '0';
  if (number.digits[0] == '0') in.fail_at(first, "1 to 9 as the first digit of a three-digit code");
  if (zeros > 7) in.fail_at(first + 2, "0 to 7 as the last digit of a code (8 and 9 have no agreed meaning)");
  if (zeros == 0 && !is_code)
    in.fail_at(first + 2,
               "1 to 7 as the last digit of a code (330 may be 33 pF or 330 pF: write 33p or 330p)");
  number.count = 2;
  number.power = zeros + (as.is_capacitance ? -12 : 0);
  return true;
}

struct raw_marking {
  double value = 0;
  std::optional<tolerance> within;
};

[[nodiscard]] inline raw_marking read_raw(std::string_view text, std::string_view parameter,
                                          const unit_spelling& as, bool is_code) {
  text_cursor in{text, parameter.empty() ? as.name : parameter};
  const auto first = in.at();
  if (in.at_end()) in.fail("a value, not an empty text");
  if (in.next_is("-") || in.next_is("+")) in.fail("a value without a sign");
  decimal_text number = take_decimal(in);
  const bool spaced = in.skip_spaces(), plain = !number.has_point && !number.has_power && !spaced;

  // 104F, and on a potentiometer 104J: three digits and a tolerance.
  suffix found;
  const bool letter_after_code = as.has_code && (is_code || as.is_capacitance) && plain &&
                                 number.count == 3 && lone_tolerance_letter(in);
  if (!letter_after_code)
    found = take_suffix(in, as);
  else if (as.lone.find(in.peek()) != as.lone.npos)
    in.fail("a tolerance that is no prefix as well (503K may be 50 kΩ ±10 % or 503 kΩ)");

  const bool is_other = found.length == 0 && !letter_after_code && in.take_one_of(as.other_units);
  if (found.length == 0) {
    if (number.count == 0) in.fail_at(first, "a number");
    if (!is_other && !settle_bare(number, in, first, as, is_code) && !in.at_end()) in.fail(as.expected);
  } else {
    const bool letter_is_point = found.length == 1 && plain && in.digit();
    if (number.count == 0 && !letter_is_point) in.fail_at(first, "a number");
    if (number.has_power && found.has_prefix)
      in.fail_at(in.at() - found.length, "a unit without a prefix after a power of ten");
    number.power += found.power;
    if (letter_is_point) {
      number.take_digits(in, -1);
      in.skip_spaces();
      if (found.has_prefix && !lone_tolerance_letter(in)) in.take_one_of(as.units);
    }
  }

  raw_marking read{to_double(number, in, first) * (is_other ? as.other : 1), {}};
  in.skip_spaces();
  if (in.at_end()) return read;
  if (!as.may_have_tolerance) in.fail("the end of the text");
  if (as.foreign != '\0' && in.peek() == as.foreign) in.fail(as.expected);
  const auto nominal = capacitance::from_value(read.value);
  read.within = take_tolerance(in, as.is_capacitance ? &nominal : nullptr);
  return read;
}

template <class Q>
[[nodiscard]] marking<Q> to_marking(const raw_marking& read) {
  return {Q::from_value(read.value), read.within};
}

} // namespace detail

/// A value and its tolerance from text. `parameter`: what an error names; by default the kind of quantity.
template <detail::Marked Q>
[[nodiscard]] marking<Q> read_marking(std::string_view text, std::string_view parameter = {}) {
  return detail::to_marking<Q>(
      detail::read_raw(text, parameter, detail::spelling_of<typename Q::unit_type>, false));
}

/// A value from text: as `read_marking`, and a tolerance is read and let go.
template <detail::Spelled Q>
[[nodiscard]] Q read_quantity(std::string_view text, std::string_view parameter = {}) {
  return Q::from_value(
      detail::read_raw(text, parameter, detail::spelling_of<typename Q::unit_type>, false).value);
}

/// What is printed on a potentiometer, a chip resistor or a capacitor. As `read_marking`, but an integer
/// alone is a three-digit code: two digits and a number of zeros (0 to 7), in ohms or in picofarads. `504` is
/// 500 kΩ, `104J` 100 kΩ ±5 %, `000` zero. `503K` is refused for a resistance: it may mean 50 kΩ ±10 % or 503
/// kΩ.
template <detail::Marked Q>
requires(detail::spelling_of<typename Q::unit_type>.has_code)
    [[nodiscard]] marking<Q> read_three_digit_code(std::string_view text, std::string_view parameter = {}) {
  return detail::to_marking<Q>(
      detail::read_raw(text, parameter, detail::spelling_of<typename Q::unit_type>, true));
}

/// `read_quantity` by name. An integer alone is a number of ohms: `103` is 103 Ω (`read_three_digit_code`: 10
/// kΩ).
[[nodiscard]] inline resistance read_resistance(std::string_view text, std::string_view parameter = {}) {
  return read_quantity<resistance>(text, parameter);
}
/// Three digits alone are the code in picofarads: `223` is 22 nF.
[[nodiscard]] inline capacitance read_capacitance(std::string_view text, std::string_view parameter = {}) {
  return read_quantity<capacitance>(text, parameter);
}
[[nodiscard]] inline inductance read_inductance(std::string_view text, std::string_view parameter = {}) {
  return read_quantity<inductance>(text, parameter);
}
[[nodiscard]] inline frequency read_frequency(std::string_view text, std::string_view parameter = {}) {
  return read_quantity<frequency>(text, parameter);
}
[[nodiscard]] inline length read_length(std::string_view text, std::string_view parameter = {}) {
  return read_quantity<length>(text, parameter);
}
[[nodiscard]] inline capacitance_per_length read_capacitance_per_length(std::string_view text,
                                                                        std::string_view parameter = {}) {
  return read_quantity<capacitance_per_length>(text, parameter);
}
[[nodiscard]] inline voltage read_voltage(std::string_view text, std::string_view parameter = {}) {
  return read_quantity<voltage>(text, parameter);
}
[[nodiscard]] inline current read_current(std::string_view text, std::string_view parameter = {}) {
  return read_quantity<current>(text, parameter);
}
[[nodiscard]] inline duration read_duration(std::string_view text, std::string_view parameter = {}) {
  return read_quantity<duration>(text, parameter);
}

} // namespace lodewire
