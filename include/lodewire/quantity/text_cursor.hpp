// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <charconv>
#include <cstddef>
#include <string_view>
#include <system_error>

#include <lodewire/quantity/finite.hpp>
#include <lodewire/quantity/text_error.hpp>

/// What all readers of values share: one character at a time, columns, and decimals that round once.
namespace lodewire::detail {

// Signs outside ASCII become one char each, so that a position is a column. Control bytes of the text itself
// become `no_sign`.
inline constexpr char ohm_sign = '\1';
inline constexpr char plus_minus_sign = '\2';
inline constexpr char no_sign = '\x7f';

/// A short text, character by character. More than `longest` bytes are refused unread.
class text_cursor {
public:
  static constexpr std::size_t longest = 64;

  text_cursor(std::string_view text, std::string_view parameter) : text_{text}, parameter_{parameter} {
    constexpr struct {
      std::string_view bytes;
      char as;
    } signs[] = {{"\xC2\xB5", 'u'},
                 {"\xCE\xBC", 'u'},
                 {"\xCE\xA9", ohm_sign},
                 {"\xE2\x84\xA6", ohm_sign},
                 {"\xC2\xB1", plus_minus_sign},
                 {"\xE2\x88\x92", '-'},
                 {"\xC2\xA0", ' '},
                 {"\xE2\x80\x89", ' '},
                 {"\xE2\x80\xAF", ' '},
                 {"\t", ' '}};
    // Whole characters only: half of one at the limit would count as several columns.
    for (std::size_t at = 0; at < text.size();) {
      const auto character = text.substr(at, character_length(text.substr(at)));
      at += character.size();
      if (at > longest) break;
      char as = character.size() == 1 && character[0] >= ' ' && character[0] <= '~' ? character[0] : no_sign;
      for (const auto& sign : signs)
        if (character == sign.bytes) as = sign.as;
      chars_[end_++] = as;
    }
    if (text.size() > longest) fail_at(end_, "the end of the text (64 bytes is the longest that is read)");
    skip_spaces();
  }

  [[nodiscard]] std::size_t at() const noexcept { return at_; }
  [[nodiscard]] bool at_end() const noexcept { return at_ == end_; }
  /// The character `ahead` of this one, NUL past the end.
  [[nodiscard]] char peek(std::size_t ahead = 0) const noexcept {
    return at_ + ahead < end_ ? chars_[at_ + ahead] : '\0';
  }
  [[nodiscard]] bool digit(std::size_t ahead = 0) const noexcept {
    return peek(ahead) >= '0' && peek(ahead) <= '9';
  }
  [[nodiscard]] bool next_is(std::string_view what) const noexcept {
    return std::string_view{chars_.data() + at_, end_ - at_}.substr(0, what.size()) == what;
  }
  void step(std::size_t count = 1) noexcept { at_ += count; }
  void back_to(std::size_t position) noexcept { at_ = position; }
  bool take(std::string_view what) noexcept {
    const bool found = next_is(what);
    if (found) at_ += what.size();
    return found;
  }
  /// Takes the first of several spellings, parted by single spaces, that comes next.
  bool take_one_of(std::string_view spellings) noexcept {
    while (!spellings.empty()) {
      const auto one = spellings.substr(0, spellings.find(' '));
      if (take(one)) return true;
      spellings.remove_prefix(one.size() + (one.size() < spellings.size()));
    }
    return false;
  }
  bool skip_spaces() noexcept {
    const auto from = at_;
    while (peek() == ' ') ++at_;
    return at_ != from;
  }
  void require_end(std::string_view expected = "the end of the text") {
    skip_spaces();
    if (!at_end()) fail(expected);
  }
  [[noreturn]] void fail(std::string_view expected) const { fail_at(at_, expected); }
  [[noreturn]] void fail_at(std::size_t position, std::string_view expected) const {
    throw text_error(parameter_, text_, position + 1, expected);
  }

private:
  std::string_view text_, parameter_;
  std::array<char, longest> chars_{};
  std::size_t at_ = 0, end_ = 0;
};

/// A decimal number as text: its digits, then a power of ten. Prefixes move the power: it is rounded once.
struct decimal_text {
  std::array<char, text_cursor::longest + 8> digits{};
  std::size_t count = 0;
  int power = 0;
  bool has_point = false, has_power = false;

  void take_digits(text_cursor& in, int power_each = 0) noexcept {
    for (; in.digit(); in.step(), power += power_each) digits[count++] = in.peek();
  }
  [[nodiscard]] bool is_zero() const noexcept {
    for (std::size_t i = 0; i < count; ++i)
      if (digits[i] != '0') return false;
    return true;
  }
};

/// Digits, point, digits, power of ten (`1e-9`), without sign; none of these where a letter comes first.
[[nodiscard]] inline decimal_text take_decimal(text_cursor& in) {
  decimal_text number;
  number.take_digits(in);
  if (in.next_is(".")) {
    number.has_point = true;
    in.step();
    if (!in.digit()) in.fail("a digit after the point");
    number.take_digits(in, -1);
  }
  if (number.count == 0) return number;
  if (in.next_is(",")) in.fail("a point before the decimals, not a comma");
  if (in.next_is("e") || in.next_is("E")) {
    const bool is_signed = in.peek(1) == '-' || in.peek(1) == '+';
    if (in.digit(is_signed ? 2 : 1)) {
      number.has_power = true;
      const int sign = in.peek(1) == '-' ? -1 : 1;
      in.step(is_signed ? 2 : 1);
      int power = 0;
      for (; in.digit(); in.step()) power = power < 10000 ? power * 10 + (in.peek() - '0') : power;
      number.power += sign * power;
    }
  }
  return number;
}

/// The double nearest to the number. Refuses what no normal double holds, at the number's first column.
[[nodiscard]] inline double to_double(decimal_text number, const text_cursor& in, std::size_t first) {
  if (number.is_zero()) return 0;
  std::array<char, text_cursor::longest + 24> text{};
  char* end = text.data();
  for (std::size_t i = 0; i < number.count; ++i) *end++ = number.digits[i];
  *end++ = 'e';
  end = std::to_chars(end, text.data() + text.size(), number.power).ptr;
  double value = 0;
  const auto error = std::from_chars(text.data(), end, value).ec;
  // Smaller than normal doubles lose digits, and some programs switch them off.
  if (error != std::errc{} || !is_finite(value) || value < 0x1p-1022)
    in.fail_at(first, "a size that a double holds (2.3e-308 to 1.7e308)");
  return value;
}

} // namespace lodewire::detail
