// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include <lodewire/instrument/json_text.hpp>
#include <lodewire/instrument/json_values.hpp>
#include <lodewire/instrument/json_words.hpp>
#include <lodewire/quantity/read_marking.hpp>

namespace lodewire::detail {

/// What is wanted in place of a value of the wrong kind, with an example.
template <class Q>
inline constexpr std::string_view wanted_text = "a value with its unit as text";
template <>
inline constexpr std::string_view wanted_text<resistance> =
    "a resistance as text, such as '250k' or '6.3 kΩ'";
template <>
inline constexpr std::string_view wanted_text<capacitance> =
    "a capacitance as text, such as '22n' or '110 pF'";
template <>
inline constexpr std::string_view wanted_text<inductance> =
    "an inductance as text, such as '2.2H' or '560mH'";
template <>
inline constexpr std::string_view wanted_text<frequency> = "a frequency as text, such as '5 kHz'";
template <>
inline constexpr std::string_view wanted_text<length> = "a length as text, such as '3m' or '40cm'";
template <>
inline constexpr std::string_view wanted_text<voltage> = "a voltage as text, such as '1V' or '300mV'";
template <>
inline constexpr std::string_view wanted_text<current> = "a current as text, such as '80uA'";
template <>
inline constexpr std::string_view wanted_text<capacitance_per_length> =
    "a capacitance per metre as text, such as '100 pF/m' or '100p/m'";

/// A name is shown in messages as it is.
[[nodiscard]] inline bool is_plain_text(std::string_view text) noexcept {
  for (const char c : text)
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) return false;
  return true;
}

[[nodiscard]] inline std::string with_article(std::string_view noun) {
  const bool vowel = !noun.empty() && std::string_view("aeiou").find(noun.front()) != std::string_view::npos;
  return std::string(vowel ? "an " : "a ").append(noun);
}

/// As a sentence has it.
[[nodiscard]] inline std::string called(const object_shape& shape) {
  if (shape.name == shapes::two_coils.name || shape.name == shapes::active.name)
    return std::string("a pickup of the kind '").append(shape.name).append("'");
  return with_article(shape.name);
}

/// `120p/m` means pF/m, as 120p means pF.
[[nodiscard]] inline std::string with_farad(std::string_view text) {
  std::string with(text);
  for (const std::string_view end : {"p/m", "n/m", "u/m", "µ/m", "μ/m"})
    if (text.ends_with(end)) with.insert(with.size() - 2, "F");
  return with;
}

/// A value in the tree and the path to it. Every reader throws `document_error`.
class json_node {
public:
  explicit json_node(const json_tree& at, std::string path = {}) : at_{&at}, path_{std::move(path)} {}

  [[nodiscard]] std::string path() const { return path_.empty() ? "document" : path_; }
  [[nodiscard]] const std::string& bare_path() const noexcept { return path_; }
  [[nodiscard]] bool is_text() const noexcept { return at_->is_string(); }
  [[nodiscard]] bool is_list() const noexcept { return at_->is_array(); }
  [[nodiscard]] bool is_nothing() const noexcept { return at_->is_null(); }
  [[nodiscard]] bool has(std::string_view key) const { return at_->is_object() && at_->contains(key); }

  [[noreturn]] void refuse(std::string_view value, std::string_view allowed,
                           std::string_view meant = {}) const {
    throw document_error(path(), value, allowed, meant);
  }
  /// Refuses the value that is here.
  [[noreturn]] void refuse_this(std::string_view allowed) const { refuse(shown(), allowed); }

  /// The value as a message shows it.
  [[nodiscard]] std::string shown() const {
    switch (at_->type()) {
    case json_tree::value_t::object: return "an object";
    case json_tree::value_t::array: return "a list of " + std::to_string(at_->size());
    case json_tree::value_t::string: return in_quotes(at_->get_ref<const std::string&>());
    case json_tree::value_t::boolean: return at_->get<bool>() ? "true" : "false";
    case json_tree::value_t::null: return "null";
    default: return at_->dump(); // a number in the fewest digits
    }
  }

  const json_node& require_object(std::string_view allowed = "an object: {...}") const {
    if (!at_->is_object()) refuse_this(allowed);
    return *this;
  }
  /// An object of this shape: no key that it does not know, every key that it needs.
  const json_node& require_shape(const object_shape& shape) const {
    require_object();
    std::vector<std::string> known;
    for (const std::string_view key : shape.keys)
      if (!key.empty()) known.emplace_back(key);
    for (const auto& [key, value] : at_->items())
      if (std::find(known.begin(), known.end(), key) == known.end())
        throw document_error(member_path(path_, key), "an unknown key", listed(known),
                             nearest_word(key, known));
    for (std::size_t i = 0; i < shape.required; ++i)
      if (!has(shape.keys[i]))
        throw document_error(member_path(path_, shape.keys[i]), "missing",
                             std::string("a value (").append(called(shape)).append(" needs it)"));
    return *this;
  }
  /// Of several shapes, that whose first key is here.
  [[nodiscard]] const object_shape& choose(std::span<const object_shape* const> shapes,
                                           std::string_view else_allowed = {}) const {
    std::vector<std::string> heads;
    for (const object_shape* shape : shapes) heads.emplace_back(shape->keys[0]);
    const std::string allowed = "an object with " + listed(heads) + std::string(else_allowed);
    require_object(allowed);
    const object_shape* found = nullptr;
    for (const object_shape* shape : shapes) {
      if (!has(shape->keys[0])) continue;
      if (found)
        refuse(
            std::string("an object with '").append(found->keys[0]).append("' and '").append(shape->keys[0]) +
                "'",
            "one of " + listed(heads));
      found = shape;
    }
    if (found) return *found;
    for (const auto& [key, value] : at_->items())
      if (const std::string meant = nearest_word(key, heads); !meant.empty())
        throw document_error(member_path(path_, key), "an unknown key", listed(heads), meant);
    refuse("an object with none of these keys", listed(heads) + std::string(else_allowed));
  }

  [[nodiscard]] json_node operator[](std::string_view key) const {
    return json_node(*at_->find(key), member_path(path_, key));
  }
  /// The member, if it is there.
  [[nodiscard]] std::optional<json_node> find(std::string_view key) const {
    if (!has(key)) return std::nullopt;
    return (*this)[key];
  }

  [[nodiscard]] std::vector<json_node> list(std::string_view allowed = "a list: [...]") const {
    if (!is_list()) refuse_this(allowed);
    std::vector<json_node> all;
    for (std::size_t i = 0; i < at_->size(); ++i) all.emplace_back((*at_)[i], entry_path(path_, i));
    return all;
  }
  /// The entries of a member; none where it is absent.
  [[nodiscard]] std::vector<json_node> list_of(std::string_view key) const {
    return has(key) ? (*this)[key].list() : std::vector<json_node>{};
  }

  [[nodiscard]] const std::string& text(std::string_view allowed = "a text: \"...\"") const {
    if (!is_text()) refuse_this(allowed);
    return at_->get_ref<const std::string&>();
  }
  [[nodiscard]] std::string name() const {
    const std::string& n = text("a name: \"...\"");
    if (n.empty() || !is_plain_text(n)) refuse_this("a name of 1 to 100 bytes without control characters");
    return n;
  }
  [[nodiscard]] double number() const {
    if (!at_->is_number()) refuse_this("a number, without quotation marks and unit");
    return at_->get<double>();
  }
  [[nodiscard]] int integer(int low, int high) const {
    const std::string allowed = "a whole number of " + std::to_string(low) + " to " + std::to_string(high);
    if (!at_->is_number()) refuse_this(allowed);
    const double value = at_->get<double>();
    if (!(value >= low) || !(value <= high) || value != static_cast<double>(static_cast<int>(value)))
      refuse_this(allowed);
    return static_cast<int>(value);
  }
  [[nodiscard]] bool boolean() const {
    if (!at_->is_boolean()) refuse_this("true or false");
    return at_->get<bool>();
  }
  /// The enumerator of a word.
  template <class E, std::size_t N>
  [[nodiscard]] E one_of(const word<E> (&words)[N]) const {
    std::vector<std::string> known;
    for (const word<E>& w : words) {
      if (is_text() && at_->get_ref<const std::string&>() == w.text) return w.value;
      known.emplace_back(w.text);
    }
    refuse(shown(), listed(known), is_text() ? usual_word(text(), known) : std::string());
  }
  /// What a reader of values makes of the text here.
  template <class F>
  [[nodiscard]] auto read(F reader, std::string_view allowed) const {
    const std::string& t = text(allowed);
    try {
      return reader(std::string_view(t));
    } catch (const text_error& error) {
      throw at_path(path(), t, error);
    } catch (const invalid_value& error) {
      throw document_error(path(), in_quotes(t), error.what());
    }
  }
  /// A value in trade writing, without a tolerance.
  template <class Q>
  [[nodiscard]] Q quantity() const {
    if (is_text()) refuse_half_written<Q>(text());
    if constexpr (Marked<Q>) {
      const auto marked = read([](std::string_view t) { return read_marking<Q>(t); }, wanted_text<Q>);
      if (marked.tolerance) refuse_this("a value without a tolerance");
      return marked.value;
    } else if constexpr (std::is_same_v<Q, capacitance_per_length>) {
      return read([](std::string_view t) { return read_quantity<Q>(with_farad(t)); }, wanted_text<Q>);
    } else {
      return read([](std::string_view t) { return read_quantity<Q>(t); }, wanted_text<Q>);
    }
  }

  /// Fill a member where its key is there.
  template <class Q>
  void quantity_to(Q& to, std::string_view key) const {
    if (const auto member = find(key)) to = member->template quantity<Q>();
  }
  template <class Q>
  void quantity_to(std::optional<Q>& to, std::string_view key) const {
    if (const auto member = find(key)) to = member->template quantity<Q>();
  }
  void number_to(double& to, std::string_view key) const {
    if (const auto member = find(key)) to = member->number();
  }
  void name_to(std::string& to, std::string_view key) const {
    if (const auto member = find(key)) to = member->name();
  }
  template <class E, std::size_t N>
  void word_to(E& to, std::string_view key, const word<E> (&words)[N]) const {
    if (const auto member = find(key)) to = member->one_of(words);
  }

private:
  /// A number without a unit, or with one that a person reads and the reader does not.
  template <class Q>
  void refuse_half_written(std::string_view t) const {
    const bool is_code = std::is_same_v<Q, capacitance> && t.size() == 3 && t.find('.') == t.npos;
    if (is_bare_number(t) && !is_code)
      refuse(in_quotes(t) + ": " + std::string(t) + " of what?", with_units<Q>(t));
    if (const std::string meant = in_symbols(t); reads_as<Q>(meant) && !reads_as<Q>(t))
      refuse(shown(), wanted_text<Q>, meant);
    if constexpr (std::is_same_v<Q, resistance>)
      if (const std::string value = without_letter(t); !value.empty() && path_.ends_with("track"))
        refuse(shown(), "'" + value + "', and what the letter means as 'taper', such as 'audio 15 %'");
  }

  const json_tree* at_;
  std::string path_;
};

} // namespace lodewire::detail
