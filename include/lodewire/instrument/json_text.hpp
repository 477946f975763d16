// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <charconv>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <system_error>
#include <vector>

#include <nlohmann/json.hpp>

#include <lodewire/instrument/json_error.hpp>
#include <lodewire/instrument/json_syntax.hpp>

/// JSON text (RFC 8259) to a tree, within limits. Opt-in: needs nlohmann-json.
namespace lodewire {

/// No instrument comes near these; they keep a hostile text from costing time, memory or stack.
struct document_limits {
  static constexpr std::size_t bytes = std::size_t{1} << 20U; ///< 1 MiB
  static constexpr std::size_t depth = 64;                    ///< of lists and objects in each other
  static constexpr std::size_t values = 10'000;               ///< lists and objects count as well
  static constexpr std::size_t text = 100;                    ///< bytes of one text
};

namespace detail {

using json_tree = nlohmann::json;

/// A member's path: `output[1].shunt`. A key that is no plain word is quoted.
[[nodiscard]] inline std::string member_path(const std::string& of, std::string_view key) {
  constexpr std::string_view plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_- ";
  const bool is_plain =
      !key.empty() && key.size() <= document_limits::text && key.find_first_not_of(plain) == key.npos;
  const std::string part = is_plain ? std::string(key) : in_quotes(key);
  return of.empty() ? part : of + "." + part;
}
[[nodiscard]] inline std::string entry_path(const std::string& of, std::size_t number) {
  return (of.empty() ? std::string("document") : of) + "[" + std::to_string(number) + "]";
}

/// Takes what nlohmann's parser finds and builds the tree. Unlike its own builder it refuses a key that comes twice in
/// one object, where that one keeps the last; it counts depth and values; and it reads numbers without a locale.
class tree_builder {
public:
  tree_builder(std::string_view text, json_tree& root) : text_{text}, root_{root} {}

  bool null() { return put(nullptr); }
  bool boolean(bool b) { return put(b); }
  bool number_integer(std::int64_t n) { return put(n); }
  bool number_unsigned(std::uint64_t n) { return put(n); }
  /// `digits` as in the text, but for the decimal point, which the parser takes from the locale.
  bool number_float(double, std::string digits) {
    constexpr std::string_view not_point = "0123456789+-eE";
    if (const std::size_t at = digits.find_first_not_of(not_point); at != digits.npos) digits[at] = '.';
    double value = 0;
    const char* const end = digits.data() + digits.size();
    const auto [stop, error] = std::from_chars(digits.data(), end, value);
    if (error != std::errc{} || stop != end || !is_finite(value)) throw unheld_number();
    return put(value);
  }
  bool string(std::string& s) {
    if (s.size() > document_limits::text)
      throw document_error(here(), "a text of " + std::to_string(s.size()) + " bytes",
                           "at most " + std::to_string(document_limits::text) + " bytes");
    return put(std::move(s));
  }
  bool binary(json_tree::binary_t&) { return false; } // not in text
  bool start_object(std::size_t) { return open(json_tree::object()); }
  bool start_array(std::size_t) { return open(json_tree::array()); }
  bool end_object() { return close(); }
  bool end_array() { return close(); }
  bool key(std::string& k) {
    if (stack_.back()->contains(k))
      throw document_error(member_path(here(false), k), "there a second time", "each key once in an object");
    keys_.back() = std::move(k);
    return true;
  }
  bool parse_error(std::size_t position, const std::string&, const nlohmann::detail::exception& error) {
    // Where the compiler may take every number for finite, the parser lets this one through to number_float().
    if (std::string_view(error.what()).find("number overflow") != std::string_view::npos)
      throw unheld_number();
    throw no_json(position, error.what());
  }

private:
  [[nodiscard]] document_error unheld_number() const {
    return {here(), "a number that no double holds", "a number of 2.3e-308 to 1.7e308, or 0"};
  }

  template <class V>
  json_tree* add(V&& value) {
    if (++count_ > document_limits::values)
      throw document_error("document", "of more than " + std::to_string(document_limits::values) + " values",
                           "at most that many");
    if (stack_.empty()) {
      root_ = json_tree(std::forward<V>(value));
      return &root_;
    }
    json_tree& in = *stack_.back();
    if (in.is_array()) {
      in.push_back(json_tree(std::forward<V>(value)));
      return &in.back();
    }
    return &(in[keys_.back()] = json_tree(std::forward<V>(value)));
  }
  template <class V>
  bool put(V&& value) {
    add(std::forward<V>(value));
    return true;
  }
  bool open(json_tree empty) {
    if (stack_.size() >= document_limits::depth)
      throw document_error(
          "document", "nested deeper than " + std::to_string(document_limits::depth) + " lists and objects",
          "at most that deep");
    stack_.push_back(add(std::move(empty)));
    keys_.emplace_back();
    return true;
  }
  bool close() {
    stack_.pop_back();
    keys_.pop_back();
    return true;
  }

  /// The path to the value that comes next, or to the object it goes into.
  [[nodiscard]] std::string here(bool next = true) const {
    std::string path;
    for (std::size_t i = 0; i < stack_.size(); ++i) {
      const bool last = i + 1 == stack_.size();
      if (last && !next) break;
      if (stack_[i]->is_object())
        path = member_path(path, keys_[i]);
      else
        path = entry_path(path, stack_[i]->size() - (last ? 0 : 1));
    }
    return path.empty() && next ? "document" : path;
  }

  [[nodiscard]] document_error no_json(std::size_t position, std::string_view what) const {
    // `position` counts the bytes read, so that the last of them is at fault; past the end the text is too short.
    const std::size_t at = position == 0 ? 0 : position - 1;
    const bool ended = at >= text_.size();
    std::size_t line = 1, column = 1, start = 0;
    for (std::size_t i = 0; i < (std::min)(at, text_.size());) {
      const bool new_line = text_[i] == '\n';
      i += character_length(text_.substr(i));
      if (new_line) start = i;
      line += new_line ? 1 : 0;
      column = new_line ? 1 : column + 1;
    }
    std::string value = ended ? "where the text ends too early" : "no JSON: ";
    if (!ended) {
      constexpr std::size_t before = 12, shown = 24;
      const std::size_t from = (std::max)(start, at > before ? at - before : 0);
      std::string_view part = text_.substr(from, shown);
      part = part.substr(0, part.find('\n'));
      value += in_quotes(part);
    }
    std::string allowed(syntax_fault(text_, at).text());
    if (!allowed.empty()) allowed.insert(0, "JSON; probably ");
    return {line_and_column(line, column), value, allowed.empty() ? allowed_by(what) : allowed};
  }

  [[nodiscard]] static std::string line_and_column(std::size_t line, std::size_t column) {
    return "line " + std::to_string(line) + ", column " + std::to_string(column);
  }

  /// From the parser's own words: `syntax error while parsing value - invalid literal; last read: 'x'; expected ...`.
  [[nodiscard]] static std::string allowed_by(std::string_view what) {
    if (const auto from = what.find(" - "); from != what.npos) what.remove_prefix(from + 3);
    constexpr std::string_view expected = "; expected ";
    const auto asked = what.rfind(expected);
    const std::string allowed(asked == what.npos ? "JSON by RFC 8259" : what.substr(asked + expected.size()));
    // The text itself may have these words, with anything behind them.
    for (const char c : allowed)
      if (c < ' ' || c > '~') return "JSON by RFC 8259";
    const std::string_view reason = what.substr(0, (std::min)(what.find("; last read"), asked));
    // What it quotes of the text comes after that; but nothing in a message is left to chance.
    for (const char c : reason)
      if (c < ' ' || c > '~') return allowed;
    return allowed + " (" + std::string(reason) + ")";
  }

  std::string_view text_;
  json_tree& root_;
  std::vector<json_tree*> stack_;
  std::vector<std::string> keys_;
  std::size_t count_ = 0;
};

/// The tree of a text. Throws `document_error`. Cost: some 20 ns a byte; a text over the limit is not looked at.
[[nodiscard]] inline json_tree parse_document(std::string_view text) {
  if (text.size() > document_limits::bytes)
    throw document_error("document", std::to_string(text.size()) + " bytes long",
                         "at most " + std::to_string(document_limits::bytes) + " bytes (1 MiB)");
  json_tree root;
  tree_builder builder(text, root);
  json_tree::sax_parse(text.begin(), text.end(), &builder);
  return root;
}

} // namespace detail

} // namespace lodewire
