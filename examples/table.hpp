// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

/// Tables in UTF-8 text, columns aligned by characters, not bytes.
namespace examples {

/// Characters of a text; each counts as one column.
[[nodiscard]] inline std::size_t columns_of(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

[[nodiscard]] inline std::string pad_left(std::string text, std::size_t width) {
  const std::size_t has = columns_of(text);
  return has < width ? text.insert(0, width - has, ' ') : text;
}

/// Does this word begin with a unit, which belongs to the number before it?
[[nodiscard]] inline bool is_unit(std::string_view word) {
  for (const std::string_view unit : {"Ω", "kΩ", "MΩ", "Hz", "kHz", "MHz", "dB", "%", "pF", "nF", "µF", "H"})
    if (word.substr(0, unit.size()) == unit) return true;
  return false;
}

/// The words of a text; a number and its unit are one.
[[nodiscard]] inline std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> words;
  while (!text.empty()) {
    const std::string_view word = text.substr(0, text.find(' '));
    text.remove_prefix(std::min(word.size() + 1, text.size()));
    const bool follows_number = !words.empty() && words.back().back() >= '0' && words.back().back() <= '9';
    if (follows_number && is_unit(word))
      (words.back() += ' ') += word;
    else if (!word.empty())
      words.emplace_back(word);
  }
  return words;
}

/// The text broken between words so that no line is longer than `width`; later lines are indented.
[[nodiscard]] inline std::string wrapped(std::string_view text, std::size_t width, std::string_view first,
                                         std::string_view later) {
  std::string out, line(first);
  bool at_start = true;
  for (const std::string& word : words_of(text)) {
    if (!at_start && columns_of(line) + 1 + columns_of(word) > width) {
      out += line + '\n';
      line = later;
      at_start = true;
    }
    line += (at_start ? "" : " ") + word;
    at_start = false;
  }
  return out + line + '\n';
}

/// Rows of cells, all aligned to the right. The first row is the heading; groups of columns can stand over it.
class table {
public:
  explicit table(std::vector<std::string> heading) : rows_{std::move(heading)} {}

  void add(std::vector<std::string> row) { rows_.push_back(std::move(row)); }

  /// A title over the columns first to last.
  void group(std::string title, std::size_t first, std::size_t last) {
    groups_.push_back({std::move(title), first, last});
  }

  [[nodiscard]] std::string text() const {
    const std::vector<std::size_t> width = widths();
    std::string out = groups_.empty() ? "" : group_line(width);
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      out += line(rows_[i], width);
      if (i == 0) out += rule(width);
    }
    return out;
  }

private:
  struct column_group {
    std::string title;
    std::size_t first, last;
  };

  [[nodiscard]] bool starts_group(std::size_t column) const {
    return std::any_of(groups_.begin(), groups_.end(),
                       [=](const column_group& g) { return g.first == column; });
  }
  [[nodiscard]] std::string gap(std::size_t column) const { return starts_group(column) ? " │ " : "  "; }

  [[nodiscard]] std::vector<std::size_t> widths() const {
    std::vector<std::size_t> width(rows_.front().size());
    for (const auto& row : rows_)
      for (std::size_t i = 0; i < row.size(); ++i) width[i] = std::max(width[i], columns_of(row[i]));
    for (const column_group& g : groups_) {
      std::size_t has = 2 * (g.last - g.first);
      for (std::size_t i = g.first; i <= g.last; ++i) has += width[i];
      if (const std::size_t needed = columns_of(g.title); has < needed) width[g.last] += needed - has;
    }
    return width;
  }
  [[nodiscard]] std::string line(const std::vector<std::string>& row,
                                 const std::vector<std::size_t>& width) const {
    std::string out;
    for (std::size_t i = 0; i < row.size(); ++i) out += gap(i) + pad_left(row[i], width[i]);
    out.erase(out.find_last_not_of(' ') + 1);
    return out + '\n';
  }
  [[nodiscard]] std::string rule(const std::vector<std::size_t>& width) const {
    std::string out;
    for (std::size_t i = 0; i < width.size(); ++i) {
      out += starts_group(i) ? "─┼─" : i == 0 ? "  " : "──";
      for (std::size_t k = 0; k < width[i]; ++k) out += "─";
    }
    return out + '\n';
  }
  [[nodiscard]] std::string group_line(const std::vector<std::size_t>& width) const {
    std::string out;
    std::size_t end = 0, column = 0; // where the columns before this one end
    const auto pass = [&](std::size_t to) {
      for (; column < to; ++column) end += columns_of(gap(column)) + width[column];
    };
    for (const column_group& g : groups_) {
      pass(g.first);
      out += std::string(end - columns_of(out), ' ') + gap(g.first) + g.title;
      pass(g.last + 1);
    }
    return out + '\n';
  }

  std::vector<std::vector<std::string>> rows_;
  std::vector<column_group> groups_;
};

} // namespace examples
