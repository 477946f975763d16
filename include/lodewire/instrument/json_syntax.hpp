// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/instrument/json_error.hpp>

/// What is probably wrong where a text is no JSON, in words.
namespace lodewire::detail {

/// Goes through a text up to the byte at which the parser stopped, and looks at what stands there and before. Cost:
/// linear in the bytes before it.
class syntax_fault {
public:
  /// The first wrong byte is at `at`, or the text ends too early.
  syntax_fault(std::string_view text, std::size_t at) : text_{text}, at_{(std::min)(at, text.size())} {
    if (text_.starts_with("\xEF\xBB\xBF")) next_ = 3;
    while (step()) {
    }
  }

  /// `a comma is missing before here`; empty where nothing is known.
  [[nodiscard]] std::string text() const {
    if (in_text_) return text_fault();
    if (next_ >= text_.size())
      return open_.empty() ? "" : std::string("the ") + closing() + " is missing for the " + opening();
    const std::string_view rest = text_.substr(next_);
    const char c = rest.front();
    if (is_curly(rest)) return "straight quotation marks (\") are wanted, not curly ones";
    if (c == '\'') return "double quotation marks (\") are wanted, not single ones";
    if (rest.starts_with("//") || rest.starts_with("/*") || c == '#')
      return "a comment, which is not allowed in JSON";
    if (rest.starts_with("\xC2\xA0")) return "a no-break space, where an ordinary one is wanted";
    if (last_ == token::text && has_curly(last_text_))
      return "the text before here ends in a curly quotation mark, where a straight one (\") is wanted";
    if (last_ == token::text && next_ == last_end_ && !is_mark(c))
      return "a quotation mark (\") is missing before here";
    if (open_.empty() && wants_ == wanted::comma)
      return c == '}' || c == ']' ? std::string("one ") + c + " too many"
                                  : "something stands behind the document's end";
    if (c == '}' || c == ']') return bracket_fault(c);
    if (c == ',')
      return last_ == token::comma || opened_ ? "one comma too many"
             : wants_ == wanted::colon        ? "a colon and a value are missing before here"
                                              : "a value is missing before here";
    if (c == ':')
      return wants_ == wanted::comma && in_object() ? "a comma or a quotation mark is missing before here"
                                                    : "a colon in the wrong place";
    if (wants_ == wanted::colon)
      return "a colon is missing before " + (c == '"' ? in_quotes(quoted_text()) : "here");
    return word_fault(c);
  }

private:
  enum class token { none, text, number, word, comma, other };
  enum class wanted { value, key, colon, comma };
  struct bracket {
    char is = '{';
    std::size_t at = 0;
  };

  [[nodiscard]] static bool is_mark(char c) {
    return std::string_view("{}[]:,\" \t\r\n").find(c) != std::string_view::npos;
  }
  [[nodiscard]] static bool is_curly(std::string_view rest) {
    for (const std::string_view mark :
         {"\xE2\x80\x9C", "\xE2\x80\x9D", "\xE2\x80\x9E", "\xE2\x80\x9F", "\xE2\x80\x98", "\xE2\x80\x99",
          "\xE2\x80\x9A", "\xE2\x80\x9B", "\xC2\xAB", "\xC2\xBB"})
      if (rest.starts_with(mark)) return true;
    return false;
  }
  [[nodiscard]] static bool has_curly(std::string_view text) {
    for (std::size_t i = 0; i < text.size(); ++i)
      if (is_curly(text.substr(i))) return true;
    return false;
  }
  [[nodiscard]] bool in_object() const { return !open_.empty() && open_.back().is == '{'; }
  [[nodiscard]] char closing() const { return in_object() ? '}' : ']'; }
  [[nodiscard]] std::string opening() const {
    const auto line =
        1 + std::count(text_.begin(), text_.begin() + static_cast<std::ptrdiff_t>(open_.back().at), '\n');
    return std::string(1, open_.back().is) + " of line " + std::to_string(line);
  }

  /// One token further; false at the fault.
  bool step() {
    while (next_ < text_.size() && std::string_view(" \t\r\n").find(text_[next_]) != std::string_view::npos)
      ++next_;
    if (next_ >= at_) return false;
    const char c = text_[next_];
    if (c == '"') return take_text();
    if (c == '{' || c == '[') {
      open_.push_back({c, next_++});
      return took(token::other, c == '{' ? wanted::key : wanted::value);
    }
    if (c == '}' || c == ']') {
      ++next_;
      if (!open_.empty()) open_.pop_back();
      return took(token::other, wanted::comma);
    }
    if (c == ',' || c == ':') {
      ++next_;
      return took(c == ',' ? token::comma : token::other,
                  c == ',' && in_object() ? wanted::key : wanted::value);
    }
    const std::size_t from = next_,
                      end = (std::min)(text_.find_first_of("{}[]:,\" \t\r\n", from), text_.size());
    // What the parser was still reading, or stopped behind: the word is at fault as a whole.
    if (end > at_ || (end == at_ && !is_whole(text_.substr(from, end - from)))) return false;
    next_ = end;
    const bool is_number = c == '-' || (c >= '0' && c <= '9');
    return took(is_number ? token::number : token::word, wanted::comma);
  }
  [[nodiscard]] static bool is_value(std::string_view word) {
    return word == "true" || word == "false" || word == "null" ||
           word.find_first_not_of("0123456789.eE+-") == word.npos;
  }
  [[nodiscard]] static bool is_whole(std::string_view word) {
    const bool is_name = word == "true" || word == "false" || word == "null";
    return is_name || (is_value(word) && word.back() >= '0' && word.back() <= '9');
  }
  bool took(token what, wanted then) {
    before_last_ = last_;
    last_ = what;
    opened_ = then == wanted::key || then == wanted::value ? what == token::other && text_[next_ - 1] != ':'
                                                           : false;
    last_end_ = next_;
    wants_ = then;
    return true;
  }
  bool take_text() {
    if (wants_ == wanted::comma || wants_ == wanted::colon) return false;
    std::size_t end = next_ + 1;
    while (end < text_.size() && text_[end] != '"' && text_[end] != '\n' && end < at_)
      end += text_[end] == '\\' ? std::size_t{2} : std::size_t{1};
    if (end >= text_.size() || text_[end] != '"' || end >= at_) {
      in_text_ = true;
      return false;
    }
    last_text_ = text_.substr(next_, end - next_);
    next_ = end + 1;
    return took(token::text, wants_ == wanted::key ? wanted::colon : wanted::comma);
  }

  [[nodiscard]] std::string text_fault() const {
    const bool is_open = at_ >= text_.size() || text_[at_] == '\n' || text_[at_] == '\r';
    if (!is_open) return "";
    return has_curly(text_.substr(next_, at_ - next_))
               ? "straight quotation marks (\") are wanted, not curly ones"
               : "a quotation mark (\") is missing at the end of a text";
  }
  /// The text that begins here.
  [[nodiscard]] std::string_view quoted_text() const {
    const std::string_view rest = text_.substr(next_ + 1);
    return rest.substr(0, rest.find_first_of("\"\n"));
  }
  [[nodiscard]] std::string bracket_fault(char c) const {
    if (last_ == token::comma) return std::string("one comma too many before the ") + c;
    if (wants_ == wanted::colon) return "a colon and a value are missing before here";
    if (open_.empty()) return std::string("one ") + c + " too many";
    if (c != closing())
      return std::string("the ") + closing() + " is missing before here, for the " + opening();
    return "a value is missing before here";
  }
  [[nodiscard]] std::string word_fault(char c) const {
    const std::size_t end = (std::min)(text_.find_first_of("{}[]:,\" \t\r\n", next_), text_.size());
    const std::string_view word = text_.substr(next_, end - next_);
    const bool opens = c == '"' || c == '{' || c == '[';
    if (wants_ == wanted::comma)
      return last_ == token::number && !opens && !is_value(word)
                 ? std::string("quotation marks (\") are missing round a value with its unit")
                 : "a comma is missing before " + (c == '"' ? in_quotes(quoted_text()) : "here");
    if (opens) return "a key in quotation marks is missing before here";
    if (wants_ == wanted::key && last_ == token::comma && before_last_ == token::number && is_value(word))
      return "a point is wanted before the decimals, not a comma";
    if (word == "True" || word == "TRUE" || word == "False" || word == "FALSE")
      return "true and false are written in small letters";
    if (wants_ == wanted::value && is_value(word))
      return "a number needs a digit on both sides of its point, no sign + and no 0 in front";
    const bool closes = end < text_.size() && text_[end] == '"';
    return closes ? "a quotation mark (\") is missing before " + in_quotes(word)
                  : "quotation marks (\") are missing round " + in_quotes(word);
  }

  std::string_view text_, last_text_;
  std::size_t at_, next_ = 0, last_end_ = 0;
  token last_ = token::none, before_last_ = token::none;
  wanted wants_ = wanted::value;
  bool in_text_ = false, opened_ = false; ///< in a text; right behind { or [
  std::vector<bracket> open_;
};

} // namespace lodewire::detail
