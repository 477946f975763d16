// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/quantity/notation.hpp>

#include "../figures.hpp"
#include "../table.hpp"
#include "request.hpp"

/// The answer as text.
namespace choose_parts {

inline constexpr std::size_t page_width = 110;

using lodewire::alternative;
using lodewire::fixed_number;

[[nodiscard]] inline std::string sentence(std::string_view text) {
  return examples::wrapped(text, page_width, "  ", "  ");
}
/// Aligned to the left in a table that aligns to the right.
[[nodiscard]] inline std::string padded(std::string text, std::size_t width) {
  const std::size_t has = examples::columns_of(text);
  return has < width ? text + std::string(width - has, ' ') : text;
}
[[nodiscard]] inline std::string counted(std::uint64_t n, const std::string& what) {
  return lodewire::plain_number(static_cast<double>(n), 12) + " " + what + (n == 1 ? "" : "s");
}

/// A figure in its unit; a misfit in dB or %.
[[nodiscard]] inline std::string figure(double value, std::string_view unit) {
  return unit == "dB" ? examples::decibels(value, 2) + " dB" : examples::three_figures(value, unit);
}
[[nodiscard]] inline std::string misfit(double value, std::string_view unit) {
  return examples::decibels(value, unit == "dB" ? 2 : 1) + " " + std::string(unit);
}

[[nodiscard]] inline std::string wishes(const answer& a) {
  std::string text = "What is wanted\n\n";
  examples::table t({"", "weight", "limit", "as it is"});
  std::size_t width = 0;
  for (const auto& c : a.asked.wanted.criteria) width = std::max(width, examples::columns_of(c.name));
  for (std::size_t k = 0; k < a.asked.wanted.criteria.size(); ++k) {
    const lodewire::criterion& c = a.asked.wanted.criteria[k];
    const std::string_view unit = lodewire::misfit_unit(c.wants);
    t.add({padded(c.name, width), lodewire::plain_number(c.used_weight()) + " a " + std::string(unit),
           c.limit ? misfit(*c.limit, unit) : "none", misfit(a.found.before.criteria[k].misfit, unit)});
  }
  return text + t.text() + "\n" + sentence("Figures are misfits: how far it is from what is wanted.");
}

[[nodiscard]] inline std::string choices_of(const answer& a, const alternative& of) {
  std::string text;
  for (std::size_t p = 0; p < of.choices.size(); ++p)
    text +=
        examples::wrapped(a.asked.places[p].name + ": " + lodewire::to_text(a.asked.places[p], of.choices[p]),
                          page_width, "     ", "       ");
  return text;
}

/// What is done, alternative by alternative.
[[nodiscard]] inline std::string best_part(const answer& a) {
  std::string text;
  for (std::size_t i = 0; i < a.found.best.size(); ++i) {
    const alternative& one = a.found.best[i];
    text += "  " + std::to_string(i + 1) + ". cost " + fixed_number(one.cost, 3);
    if (one.worst_cost) text += ", at the worst " + fixed_number(*one.worst_cost, 3);
    if (one.yield) text += ", " + fixed_number(100 * *one.yield, 1) + " % of builds keep every limit";
    text += '\n' + choices_of(a, one);
  }
  return text;
}

/// What else is as good as the first one.
[[nodiscard]] inline std::string ties_part(const answer& a) {
  if (a.found.ties.empty()) return "";
  std::string text = "Equally good\n\n";
  for (const alternative& one : a.found.ties) text += choices_of(a, one) + '\n';
  return text;
}

/// One row for each criterion: its misfit now and with each alternative.
[[nodiscard]] inline std::string cost_table(const answer& a) {
  std::vector<std::string> heading{"misfit", "as it is"};
  for (std::size_t i = 0; i < a.found.best.size(); ++i) heading.push_back(std::to_string(i + 1));
  examples::table t(heading);
  std::size_t width = 0;
  for (const auto& c : a.asked.wanted.criteria) width = std::max(width, examples::columns_of(c.name));
  for (std::size_t k = 0; k < a.asked.wanted.criteria.size(); ++k) {
    const lodewire::criterion& c = a.asked.wanted.criteria[k];
    const std::string_view unit = lodewire::misfit_unit(c.wants);
    std::vector<std::string> row{padded(c.name, width)};
    const auto add = [&](const alternative& one) {
      row.push_back(misfit(one.criteria[k].misfit, unit) + (one.criteria[k].kept ? " " : "!"));
    };
    add(a.found.before);
    for (const alternative& one : a.found.best) add(one);
    t.add(std::move(row));
  }
  std::vector<std::string> row{padded("cost", width), fixed_number(a.found.before.cost, 3) + " "};
  for (const alternative& one : a.found.best) row.push_back(fixed_number(one.cost, 3) + " ");
  t.add(std::move(row));
  return t.text();
}

[[nodiscard]] inline std::string figures_of_first(const answer& a) {
  examples::table t({"", "as it is", "then", "lowest", "highest"});
  std::size_t width = 0;
  for (const auto& c : a.asked.wanted.criteria) width = std::max(width, examples::columns_of(c.name));
  const alternative& one = a.found.best.front();
  for (std::size_t k = 0; k < one.criteria.size(); ++k) {
    const std::string_view unit = lodewire::figure_unit(a.asked.wanted.criteria[k].wants);
    const auto end = [&](const std::optional<double>& v) { return v ? figure(*v, unit) : "none"; };
    t.add({padded(a.asked.wanted.criteria[k].name, width), figure(a.found.before.criteria[k].figure, unit),
           figure(one.criteria[k].figure, unit), end(one.criteria[k].lowest), end(one.criteria[k].highest)});
  }
  return t.text();
}

[[nodiscard]] inline std::string as_text(const answer& a) {
  const lodewire::choice_result& r = a.found;
  std::string text = a.asked.of.name + ", into " + a.asked.into.name + "\n\n" + wishes(a) + '\n';
  const char* const order = a.settings.by == lodewire::rank_by::nominal ? "by cost"
                            : a.settings.by == lodewire::rank_by::worst_case
                                ? "by the worst cost at the tolerances"
                                : "by the share of good builds";
  text += r.met
              ? "The best, " + std::string(order) + "\n\n"
              : "No solution: nothing keeps every limit. The nearest misses, " + std::string(order) + "\n\n";
  text += best_part(a) + '\n' + ties_part(a) + cost_table(a) + '\n' +
          sentence("!: over its limit. cost: each misfit by its weight, in sum.");
  std::string proof = counted(r.candidates, "combination") + ", " + counted(r.evaluated, "evaluation") + ". ";
  proof += r.proof == lodewire::choice_proof::enumerated ? "All were looked at: there is no better one."
           : r.proof == lodewire::choice_proof::bounded
               ? "The rest is left out by a bound: there is no better one."
               : "The best over everything discrete on a grid; values that are free were refined from there.";
  if (r.as_good > 1) proof += " " + std::to_string(r.as_good) + " are equally good.";
  text += sentence(proof) + "\nThe first one in figures\n\n" + figures_of_first(a) + '\n' +
          sentence("lowest, highest: over the corners of the tolerances of its parts and of the pots.");
  return text;
}

} // namespace choose_parts
