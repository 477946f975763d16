// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <charconv>
#include <cstddef>
#include <string>
#include <string_view>

#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/tolerance.hpp>
#include <lodewire/quantity/unit_spelling.hpp>

/// Values to text that reads back as the same double. The digits are the fewest that do so, and the point is
/// moved among them: nothing is rounded. That holds for all normal doubles; smaller ones (below 2.3e-308) are
/// not read. For text that is rounded for people see `engineering`.
namespace lodewire {

namespace detail {

/// The fewest decimal digits that give this double back, as d.ddd × 10^power. `value` finite, more than zero.
struct shortest_decimal {
  std::string digits;
  int power = 0;

  explicit shortest_decimal(double value) {
    std::array<char, 40> text{};
    const char* const end =
        std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::scientific).ptr;
    const char* at = text.data();
    for (; *at != 'e'; ++at)
      if (*at != '.') digits += *at;
    at += at[1] == '+' ? 2 : 1;
    std::from_chars(at, end, power);
  }

  /// The digits before and after the point, if the value is counted in 10^unit_power; both may be empty.
  [[nodiscard]] std::array<std::string, 2> split(int unit_power) const {
    const int whole = power - unit_power + 1;
    std::string all = digits;
    if (whole < 0) all.insert(0, static_cast<std::size_t>(-whole), '0');
    const auto before = static_cast<std::size_t>(whole < 0 ? 0 : whole);
    if (before > all.size()) all.append(before - all.size(), '0');
    return {all.substr(0, before), all.substr(before)};
  }
};

/// The letter of `letters`, smallest first, that leaves 1 to 999 before it; less, to 0.001, only with the
/// smallest, more, up to `most_digits`, only with the greatest; beyond these NUL. A letter that is no prefix
/// is the unit's own.
[[nodiscard]] inline char fitting_letter(std::string_view letters, int power, int most_digits) {
  char fits = letters.front();
  for (const char letter : letters)
    if (prefix_power(letter) <= power) fits = letter;
  const int left = power - prefix_power(fits);
  return left < -3 || left >= most_digits ? '\0' : fits;
}

[[nodiscard]] inline std::string with_point(const shortest_decimal& number, int unit_power) {
  const auto [before, after] = number.split(unit_power);
  std::string text = before.empty() ? "0" : before;
  if (!after.empty()) text.append(".").append(after);
  return text;
}

/// For what no prefix fits: `4.7e-5 Ω`.
[[nodiscard]] inline std::string scientific(const shortest_decimal& number, std::string_view unit) {
  return with_point(number, number.power)
      .append("e")
      .append(std::to_string(number.power))
      .append(" ")
      .append(unit);
}

[[nodiscard]] inline std::string write_raw(double value, std::string_view unit, const unit_spelling& as) {
  if (value == 0) return std::string("0 ").append(unit);
  const shortest_decimal number{value};
  // From pico to tera, in thousands, those that this unit takes; '-' is the unit without a prefix.
  std::string letters;
  for (const char letter : std::string_view{"pnum-kMGT"})
    if (letter == '-' || as.prefixes.find(letter) != as.prefixes.npos) letters += letter;
  const char fits = fitting_letter(letters, number.power, 6);
  if (fits == '\0') return scientific(number, unit);
  const std::string_view prefix = fits == 'u' ? "µ" : fits == '-' ? "" : std::string_view{&fits, 1};
  return with_point(number, prefix_power(fits)).append(" ").append(prefix).append(unit);
}

[[nodiscard]] inline std::string write_raw_marking(double value, std::string_view unit,
                                                   const unit_spelling& as) {
  if (value == 0) return {'0', as.marks[as.marks.find_first_of("RFH")], '0'};
  const shortest_decimal number{value};
  const char fits = fitting_letter(as.marks, number.power, 3);
  if (fits == '\0') return scientific(number, unit);
  auto [before, after] = number.split(prefix_power(fits));
  // Two figures at least: 1M0, p30. And 104F0, because 104F is a three-digit code with a tolerance.
  if (before.size() + after.size() < 2 || (fits == 'F' && before.size() == 3 && after.empty())) after += '0';
  return before.append(fits == 'u' ? "µ" : std::string_view{&fits, 1}).append(after);
}

} // namespace detail

/// The marking code of IEC 60062: `4k7`, `25k6`, `22n`, `R47`, `p33`, `1M0`; inductors alike (`3H1`, `22m`).
/// Zero is `0R0`. What no letter fits (below 0.001 of the smallest, or 1000 and more of the greatest) is
/// written as `4.7e-5 Ω`. `read_quantity` of the result is the same double. Throws `invalid_value` for a
/// value that is negative, NaN or infinite. Cost: under a microsecond.
template <detail::Marked Q>
[[nodiscard]] std::string write_marking(const Q& value) {
  using unit = typename Q::unit_type;
  constexpr auto& as = detail::spelling_of<unit>;
  return detail::write_raw_marking(require_not_negative(as.name, value).value(), unit_symbol<unit>, as);
}

/// A value as people write it: `4.7 kΩ`, `22 nF`, `6 m`, `95 pF/m`, every digit that the double has. What no
/// prefix fits is written as `1e18 Ω`. `read_quantity` of the result is the same double. Errors and cost: as
/// above.
template <detail::Spelled Q>
[[nodiscard]] std::string write_quantity(const Q& value) {
  using unit = typename Q::unit_type;
  constexpr auto& as = detail::spelling_of<unit>;
  return detail::write_raw(require_not_negative(as.name, value).value(), unit_symbol<unit>, as);
}

/// A tolerance as people write it: `±5 %`, `-20/+80 %`; fractions below 1e-7, or of 1e8 and more, with a power
/// of ten: `±1e-6 %`. `read_tolerance` of the result is the same tolerance.
/// Throws `invalid_value` unless `minus` is 0 to 1 and `plus` 0 or more.
[[nodiscard]] inline std::string write_tolerance(const tolerance& within) {
  require_within("tolerance.minus", within.minus, 0.0, 1.0);
  require_not_negative("tolerance.plus", within.plus);
  const auto percent = [](double fraction) {
    if (fraction == 0) return std::string("0");
    const detail::shortest_decimal number{fraction};
    if (number.power > -8 && number.power < 8) return detail::with_point(number, -2);
    return detail::with_point(number, number.power).append("e").append(std::to_string(number.power + 2));
  };
  const std::string plus = percent(within.plus);
  if (within.minus == within.plus) return std::string("±").append(plus).append(" %");
  return std::string("-").append(percent(within.minus)).append("/+").append(plus).append(" %");
}

} // namespace lodewire
