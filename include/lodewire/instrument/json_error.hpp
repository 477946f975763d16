// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/text_error.hpp>

namespace lodewire {

/// Thrown for an instrument file that is none. The text begins with the path in the document:
/// `positions[1].wiring.parallel[0].pickup is 'nek'; allowed: 'neck' or 'bridge'; did you mean 'neck'?`. The path is
/// `line 3, column 9` where the text is no JSON, and `document` for the whole.
class document_error : public std::invalid_argument {
public:
  document_error(std::string_view path, std::string_view value, std::string_view allowed,
                 std::string_view meant = {})
      : std::invalid_argument(put_together(path, value, allowed, meant)), path_{path} {}

  /// The path at fault, as the text has it.
  [[nodiscard]] const std::string& path() const noexcept { return path_; }

private:
  [[nodiscard]] static std::string put_together(std::string_view path, std::string_view value,
                                                std::string_view allowed, std::string_view meant) {
    std::string text(path);
    text.append(" is ").append(value).append("; allowed: ").append(allowed);
    if (!meant.empty()) text.append("; did you mean '").append(meant).append("'?");
    return text;
  }

  std::string path_;
};

namespace detail {

/// Fewest insertions, deletions, replacements and swaps of neighbours that turn one word into the other. Cost: the
/// product of the lengths.
[[nodiscard]] inline std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before(b.size() + 1), row(b.size() + 1), next(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    next[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const bool same = a[i - 1] == b[j - 1];
      next[j] = (std::min)({row[j] + 1, next[j - 1] + 1, row[j - 1] + (same ? 0 : 1)});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        next[j] = (std::min)(next[j], before[j - 2] + 1);
    }
    before.swap(row);
    row.swap(next);
  }
  return row[b.size()];
}

/// The known word that is meant by `word`, or nothing where none is near: fewer edits than two in five of its letters.
[[nodiscard]] inline std::string nearest_word(std::string_view word, std::span<const std::string> known) {
  std::string nearest;
  if (word.size() > 64) return nearest;
  std::size_t fewest = (std::max<std::size_t>)(1, word.size() * 2 / 5) + 1;
  for (const std::string& k : known) {
    if (k.size() > 64 || k == word) continue;
    const std::size_t edits = edit_distance(word, k);
    if (edits >= fewest || edits >= k.size()) continue;
    fewest = edits;
    nearest = k;
  }
  return nearest;
}

/// `'a', 'b' or 'c'`, up to twenty of them.
[[nodiscard]] inline std::string listed(std::span<const std::string> words) {
  constexpr std::size_t most = 20;
  std::string text;
  const std::size_t shown = (std::min)(words.size(), most);
  for (std::size_t i = 0; i < shown; ++i) {
    if (i > 0) text.append(i + 1 == words.size() ? " or " : ", ");
    text.append("'").append(words[i]).append("'");
  }
  if (words.size() > most)
    text.append(" or one of ").append(std::to_string(words.size() - most)).append(" more");
  return text.empty() ? "nothing: there is none" : text;
}

/// The text between single quotes, fit for any terminal: as `quoted`, but double quotes stay as they are.
[[nodiscard]] inline std::string in_quotes(std::string_view text) {
  const std::string inner = quoted(text); // "...", or "..."... where it was cut
  const std::size_t end = inner.rfind('"');
  std::string out = "'";
  for (std::size_t i = 1; i < end; ++i) {
    if (inner[i] == '\\' && inner[i + 1] == '"') continue;
    if (inner[i] == '\\' && inner[i + 1] == '\\') out += inner[i++];
    out += inner[i];
  }
  return out.append(inner, end + 1).append("'");
}

/// What a reader of values says, at a path: `pickups[0].inductance is '2,2H', at column 2; allowed: ...`.
[[nodiscard]] inline document_error at_path(std::string_view path, std::string_view text,
                                            const text_error& error) {
  constexpr std::string_view before = ", expected ";
  const std::string_view what = error.what();
  const std::size_t from = what.rfind(before);
  return {path, in_quotes(text) + ", wrong at column " + std::to_string(error.column()),
          from == what.npos ? what : what.substr(from + before.size())};
}

/// An `invalid_value` whose parameter lies at a path: `here` takes the place of its first `drop` characters.
[[nodiscard]] inline document_error at_path(const std::string& here, std::size_t drop,
                                            const invalid_value& error) {
  std::string_view rest = error.what();
  const std::string& parameter = error.parameter();
  std::string path = here;
  std::string_view tail = std::string_view(parameter).substr((std::min)(drop, parameter.size()));
  while (!tail.empty() && tail.front() == '.') tail.remove_prefix(1);
  if (!tail.empty() && tail.front() != '[' && !path.empty()) path += '.';
  path += tail;
  rest.remove_prefix(parameter.size() + std::string_view(" is ").size());
  constexpr std::string_view between = "; allowed: ";
  const std::size_t cut = rest.rfind(between);
  return {path, rest.substr(0, cut), rest.substr(cut + between.size())};
}

} // namespace detail

} // namespace lodewire
