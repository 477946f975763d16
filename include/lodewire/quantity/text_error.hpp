// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <stdexcept>
#include <string>
#include <string_view>

namespace lodewire {

namespace detail {

/// The bytes that the character at the front of `text` takes: 1 to 4; a byte that is no UTF-8 counts as one
/// character. Cost: constant. `text` must not be empty.
[[nodiscard]] constexpr std::size_t character_length(std::string_view text) noexcept {
  const auto byte = [&](std::size_t at) { return static_cast<unsigned char>(text[at]); };
  const std::size_t length = byte(0) < 0xC2   ? 1
                             : byte(0) < 0xE0 ? 2
                             : byte(0) < 0xF0 ? 3
                             : byte(0) < 0xF5 ? 4
                                              : 1;
  if (length > text.size()) return 1;
  for (std::size_t at = 1; at < length; ++at)
    if ((byte(at) & 0xC0U) != 0x80U) return 1;
  return length;
}

/// `text` between quotation marks, fit for any terminal and log: printable ASCII stays, so do the signs that
/// a value may hold (µ Ω ± −); every other byte becomes \xNN, and only the first 48 bytes are shown.
[[nodiscard]] inline std::string quoted(std::string_view text) {
  constexpr std::string_view hex = "0123456789abcdef";
  constexpr std::string_view kept[] = {"\xC2\xB5",     "\xCE\xBC", "\xCE\xA9",
                                       "\xE2\x84\xA6", "\xC2\xB1", "\xE2\x88\x92"};
  constexpr std::size_t shown = 48;
  std::string out = "\"";
  for (std::size_t at = 0; at < text.size();) {
    if (at >= shown) return out.append("\"...");
    const auto character = text.substr(at, character_length(text.substr(at)));
    at += character.size();
    bool keep = character.size() == 1 && character[0] >= ' ' && character[0] <= '~';
    for (const auto& sign : kept) keep = keep || character == sign;
    if (keep && (character == "\"" || character == "\\")) out += '\\';
    if (keep) {
      out += character;
      continue;
    }
    for (const char c : character) {
      const auto byte = static_cast<unsigned char>(c);
      out.append("\\x").append({hex[byte >> 4U], hex[byte & 15U]});
    }
  }
  return out.append("\"");
}

} // namespace detail

/// Thrown for text that is no value. The message names the parameter, quotes the text with every odd byte
/// escaped, and says where and what was expected:
/// `resistance: "4,7k" is no value: at column 2, expected a point before the decimals, not a comma`.
class text_error : public std::invalid_argument {
public:
  /// `column`: counted in characters (code points; a byte that is no UTF-8 counts as one), from 1. One past
  /// the last character means that the text ended too early.
  text_error(std::string_view parameter, std::string_view text, std::size_t column, std::string_view expected)
      : std::invalid_argument(std::string(parameter)
                                  .append(": ")
                                  .append(detail::quoted(text))
                                  .append(" is no value: at column ")
                                  .append(std::to_string(column))
                                  .append(", expected ")
                                  .append(expected)),
        parameter_{parameter}, column_{column} {}

  /// The name of the parameter that was to be read.
  [[nodiscard]] const std::string& parameter() const noexcept { return parameter_; }

  /// Where the text went wrong: in characters, from 1.
  [[nodiscard]] std::size_t column() const noexcept { return column_; }

private:
  std::string parameter_;
  std::size_t column_;
};

} // namespace lodewire
