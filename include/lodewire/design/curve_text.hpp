// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <charconv>
#include <cstddef>
#include <string>
#include <string_view>
#include <system_error>
#include <vector>

#include <lodewire/quantity/finite.hpp>
#include <lodewire/quantity/text_error.hpp>

/// What the readers of curves share: lines, words with their columns, numbers.
namespace lodewire::detail {

/// A piece of a line and the column where it begins, in characters from 1.
struct text_word {
  std::string_view text{};
  std::size_t column = 1;
};

/// A text, line by line; ends of lines as any system writes them.
class line_reader {
public:
  line_reader(std::string_view text, std::string_view name) : rest_(text), name_(name) {
    constexpr std::string_view mark = "\xEF\xBB\xBF"; // of UTF-8, which some programs put first
    if (rest_.substr(0, 3) == mark) rest_.remove_prefix(3);
  }

  /// The next line; false after the last one.
  bool next() {
    if (rest_.empty()) return false;
    const std::size_t end = (std::min)(rest_.find_first_of("\r\n"), rest_.size());
    line_ = rest_.substr(0, end);
    ++number_;
    rest_.remove_prefix(end);
    if (!rest_.empty()) rest_.remove_prefix(rest_.substr(0, 2) == "\r\n" ? 2 : 1);
    return true;
  }
  [[nodiscard]] std::string_view line() const noexcept { return line_; }
  [[nodiscard]] std::size_t number() const noexcept { return number_; }

  [[noreturn, gnu::cold, gnu::noinline]] void fail(std::size_t column, std::string_view expected) const {
    throw text_error(std::string(name_) + " line " + std::to_string(number_ == 0 ? 1 : number_), line_,
                     column, expected);
  }
  /// Column of a place in the line, in characters.
  [[nodiscard]] std::size_t column_of(std::size_t byte) const {
    std::size_t column = 1;
    for (std::size_t at = 0; at < byte && at < line_.size(); ++column)
      at += character_length(line_.substr(at));
    return column;
  }
  [[nodiscard]] std::size_t end_column() const { return column_of(line_.size()); }

  /// The line cut at every one of that character; blanks around a piece are no part of it.
  [[nodiscard]] std::vector<text_word> cut(char at) const {
    std::vector<text_word> words;
    for (std::size_t from = 0; from <= line_.size();) {
      const std::size_t end = (std::min)(line_.find(at, from), line_.size());
      std::size_t first = from, last = end;
      while (first < last && is_blank(line_[first])) ++first;
      while (last > first && is_blank(line_[last - 1])) --last;
      words.push_back({line_.substr(first, last - first), column_of(first)});
      from = end + 1;
    }
    return words;
  }
  /// The words between blanks, up to a character that begins a comment (0: none).
  [[nodiscard]] std::vector<text_word> words(char comment) const {
    std::vector<text_word> found;
    for (std::size_t at = 0; at < line_.size();) {
      if (comment != 0 && line_[at] == comment) break;
      if (is_blank(line_[at])) {
        ++at;
        continue;
      }
      std::size_t end = at;
      while (end < line_.size() && !is_blank(line_[end]) && (comment == 0 || line_[end] != comment)) ++end;
      found.push_back({line_.substr(at, end - at), column_of(at)});
      at = end;
    }
    return found;
  }

  /// A number, with its sign; nothing may follow it.
  [[nodiscard]] double to_number(const text_word& word) const {
    std::string_view t = word.text;
    if (t.size() > 1 && t[0] == '+' && t[1] != '-') t.remove_prefix(1);
    double value = 0;
    const auto [end, error] = std::from_chars(t.data(), t.data() + t.size(), value);
    if (error == std::errc::result_out_of_range) fail(word.column, "a size that a double holds");
    if (error == std::errc{} && end != t.data() + t.size() && *end == ',')
      fail(word.column, "a point before the decimals, not a comma");
    if (error != std::errc{} || end != t.data() + t.size()) fail(word.column, "a number");
    if (!is_finite(value)) fail(word.column, "a finite number");
    return value;
  }

private:
  [[nodiscard]] static bool is_blank(char c) noexcept { return c == ' ' || c == '\t'; }

  std::string_view rest_, name_, line_{};
  std::size_t number_ = 0;
};

/// Small letters for capitals, ASCII only.
[[nodiscard]] inline std::string in_lower_case(std::string_view text) {
  std::string s(text);
  for (char& c : s)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return s;
}

} // namespace lodewire::detail
