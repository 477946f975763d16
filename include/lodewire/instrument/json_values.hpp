// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/instrument/json_error.hpp>
#include <lodewire/quantity/read_marking.hpp>
#include <lodewire/quantity/write_marking.hpp>

/// Values of an instrument file that are none, and what was probably meant.
namespace lodewire::detail {

/// Is there nothing but a number: 250, 5.2, 1e3?
[[nodiscard]] inline bool is_bare_number(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return !text.empty() && text.find_first_not_of("0123456789.eE+-") == text.npos &&
         text.find_first_of("0123456789") != text.npos && text.front() != '-' && text.front() != '+';
}

/// What may stand behind a number, most usual first; up to three.
template <class Q>
inline constexpr std::array<std::string_view, 3> unit_endings{};
template <>
inline constexpr std::array<std::string_view, 3> unit_endings<resistance>{"k", "R", " Ω"};
template <>
inline constexpr std::array<std::string_view, 3> unit_endings<capacitance>{"p", "n", " µF"};
template <>
inline constexpr std::array<std::string_view, 3> unit_endings<inductance>{"H", "mH"};
template <>
inline constexpr std::array<std::string_view, 3> unit_endings<frequency>{" kHz", " Hz"};
template <>
inline constexpr std::array<std::string_view, 3> unit_endings<length>{"m", "cm"};
template <>
inline constexpr std::array<std::string_view, 3> unit_endings<voltage>{"V", "mV"};
template <>
inline constexpr std::array<std::string_view, 3> unit_endings<current>{"mA", "µA"};
template <>
inline constexpr std::array<std::string_view, 3> unit_endings<capacitance_per_length>{" pF/m", "p/m"};
template <>
inline constexpr std::array<std::string_view, 3> unit_endings<resistance_per_length>{" mΩ/m", " Ω/m"};
template <>
inline constexpr std::array<std::string_view, 3> unit_endings<inductance_per_length>{" µH/m", " nH/m"};

/// `'250k', '250R' or '250 Ω'`.
template <class Q>
[[nodiscard]] std::string with_units(std::string_view number) {
  std::vector<std::string> all;
  for (const std::string_view ending : unit_endings<Q>)
    if (!ending.empty()) all.push_back(std::string(number).append(ending));
  return listed(all);
}

/// A value whose unit is spelt out, in letters: `5.2 henry` is `5.2H`. Empty where it is none.
[[nodiscard]] inline std::string in_symbols(std::string_view text) {
  struct spelt {
    std::string_view word, symbol;
  };
  constexpr spelt prefixes[] = {{"pico", "p"},  {"nano", "n"}, {"micro", "u"}, {"milli", "m"},
                                {"centi", "c"}, {"kilo", "k"}, {"mega", "M"},  {"", ""}};
  constexpr spelt units[] = {{"henrys", "H"},  {"henries", "H"}, {"henry", "H"},  {"farads", "F"},
                             {"farad", "F"},   {"volts", "V"},   {"volt", "V"},   {"hertz", "Hz"},
                             {"metres", "m"},  {"metre", "m"},   {"meters", "m"}, {"meter", "m"},
                             {"amperes", "A"}, {"ampere", "A"},  {"amps", "A"},   {"amp", "A"},
                             {"ohms", " Ω"},   {"ohm", " Ω"},    {"hms", " Ω"},   {"hm", " Ω"}};
  const std::size_t end = text.find_first_not_of("0123456789.");
  if (end == 0 || end == text.npos) return {};
  std::string word;
  for (const char c : text.substr(end))
    if (c != ' ' && c != '-') word += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  for (const spelt& prefix : prefixes) {
    if (!word.starts_with(prefix.word)) continue;
    const std::string_view rest = std::string_view(word).substr(prefix.word.size());
    for (const spelt& unit : units) {
      if (rest != unit.word) continue;
      const bool is_ohm = unit.symbol == " Ω";
      const std::string_view symbol = is_ohm && !prefix.word.empty() ? "" : unit.symbol;
      return std::string(text.substr(0, end)).append(prefix.symbol).append(symbol);
    }
  }
  return {};
}

/// Would the reader of a quantity take this text?
template <class Q>
[[nodiscard]] bool reads_as(std::string_view text) {
  try {
    (void)read_quantity<Q>(text);
    return true;
  } catch (const text_error&) {
    return false;
  }
}

/// A track with its stamped letter, `A250k`, `250kA` or `A504`: the value without it. Empty where it is none.
[[nodiscard]] inline std::string without_letter(std::string_view text) {
  const auto is_letter = [](char c) { return (c >= 'A' && c <= 'D') || c == 'W'; };
  if (text.size() < 3 || is_letter(text.front()) == is_letter(text.back())) return {};
  if (is_letter(text.front()))
    text.remove_prefix(1);
  else
    text.remove_suffix(1);
  if (!reads_as<resistance>(text)) return {};
  if (!is_bare_number(text)) return std::string(text);
  text.remove_prefix(text.find_first_not_of(' '));
  const bool is_code = text.size() == 3 && text.find_first_not_of("0123456789") == text.npos &&
                       text[2] >= '1' && text[2] <= '7' && text[0] != '0';
  return is_code ? write_quantity(read_three_digit_code<resistance>(text).value) : std::string(text) + "k";
}

/// The word of a file for one of the trade, or the nearest to it that is known; empty where there is none.
[[nodiscard]] inline std::string usual_word(std::string_view text, std::span<const std::string> known) {
  struct other_word {
    std::string_view said, meant;
  };
  constexpr other_word others[] = {{"humbucker", "two coils"},
                                   {"humbucking", "two coils"},
                                   {"humbucking pickup", "two coils"},
                                   {"double coil", "two coils"},
                                   {"dual coil", "two coils"},
                                   {"single coil", "coil"},
                                   {"single-coil", "coil"},
                                   {"single", "coil"},
                                   {"piezoelectric", "piezo"},
                                   {"series", "whole"},
                                   {"cw", "clockwise"},
                                   {"ccw", "counterclockwise"},
                                   {"anticlockwise", "counterclockwise"},
                                   {"north", "north up"},
                                   {"south", "south up"},
                                   {"first", "first coil"},
                                   {"second", "second coil"}};
  std::string lower_case;
  for (const char c : text.substr(0, 64))
    lower_case += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c == '_' ? ' ' : c;
  for (const std::string& k : known)
    if (lower_case == k) return k;
  for (const other_word& other : others)
    for (const std::string& k : known)
      if (lower_case == other.said && k == other.meant) return k;
  return nearest_word(lower_case, known);
}

} // namespace lodewire::detail
