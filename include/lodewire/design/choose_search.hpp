// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numeric>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/choose_options.hpp>
#include <lodewire/design/rank_key.hpp>
#include <lodewire/design/trial.hpp>

/// The search through everything discrete. Criteria that listen to the same places form a group; a table holds the cost
/// of each group for every combination at its places, and nothing else. The tables are then joined by branch and bound:
/// costs are 0 or more, so what is joined already and the least of each other table is a bound.
namespace lodewire::detail {

/// The parts of the drawer that a combination takes: true where it has them all.
class stock_count {
public:
  explicit stock_count(const drawer& of) : of_{of} {}
  [[nodiscard]] bool has(const std::vector<std::size_t>& taken) const noexcept {
    for (std::size_t i = 0; i < taken.size(); ++i) {
      if (taken[i] == no_stock) continue;
      const auto used = std::count(taken.begin(), taken.end(), taken[i]);
      if (used > static_cast<std::ptrdiff_t>(of_.parts[taken[i]].count)) return false;
    }
    return true;
  }

private:
  const drawer& of_;
};

/// Criteria that depend on the same places.
struct cost_table {
  std::vector<std::size_t> places, criteria;
  std::vector<rank_key> keys;       ///< by combination; `over` is -1 where it cannot be
  std::vector<std::uint32_t> order; ///< of those that can be, best first
  [[nodiscard]] std::size_t option(const std::vector<ready_place>& all, std::size_t index,
                                   std::size_t place) const noexcept {
    for (std::size_t k = places.size() - 1; k > place; --k) index /= all[places[k]].size;
    return index % all[places[place]].size;
  }
};

/// Every combination of numbers below some counts, the last fastest; `visit` gets the numbers, and the first place that
/// changed since the last call.
template <class Visit>
void for_each_combination(const std::vector<std::size_t>& counts, Visit visit) {
  std::vector<std::size_t> at(counts.size(), 0);
  std::size_t changed = 0;
  for (;;) {
    visit(at, changed);
    std::size_t k = counts.size();
    while (k > 0 && ++at[k - 1] == counts[k - 1]) at[--k] = 0;
    if (k == 0) return;
    changed = k - 1;
  }
}

/// Judge: `judge`, by its name only, so that this header stands beside its own.
template <class Judge>
class table_filler {
public:
  table_filler(const choice_problem& problem, const std::vector<ready_place>& places, const drawer& stock,
               Judge& judging)
      : problem_{problem}, places_{places}, stock_{stock}, judge_{judging} {}

  /// Fills a table. `keep`: where more than 0, combinations that are worse than the best so many may be left with a key
  /// that is too low but worse than theirs.
  void fill(cost_table& t, std::size_t keep, std::uint64_t& evaluated, std::uint64_t& impossible) {
    std::size_t size = 1;
    std::vector<std::size_t> way_counts;
    for (const std::size_t p : t.places) {
      size *= places_[p].size;
      way_counts.push_back(places_[p].ways.size());
    }
    t.keys.assign(size, {-1, 0});
    best_.clear();
    cheap_first(t.criteria);
    for_each_combination(way_counts, [&](const std::vector<std::size_t>& chosen, std::size_t) {
      std::vector<std::size_t> ways(places_.size(), left_out);
      for (std::size_t k = 0; k < t.places.size(); ++k) ways[t.places[k]] = chosen[k];
      try {
        wired_trial wired(problem_.of, problem_.into, places_, ways, judge_.views());
        fill_wiring(t, ways, wired, keep);
      } catch (const invalid_value&) {
        // Each way is possible by itself (`choose` has tried): these exclude each other.
      }
    });
    t.order.clear();
    for (std::size_t i = 0; i < size; ++i)
      if (t.keys[i].over >= 0) t.order.push_back(static_cast<std::uint32_t>(i));
    evaluated += size;
    impossible += size - t.order.size();
    std::stable_sort(t.order.begin(), t.order.end(),
                     [&](std::uint32_t a, std::uint32_t b) { return less(t.keys[a], t.keys[b]); });
  }

private:
  struct part_here {
    const std::vector<value_candidate>* values;
    std::size_t number, stride;
  };

  void fill_wiring(cost_table& t, const std::vector<std::size_t>& ways, wired_trial& wired,
                   std::size_t keep) {
    // The table's index is a sum over parts: what each value number adds.
    std::vector<part_here> parts;
    std::size_t base = 0, place_stride = 1;
    for (std::size_t k = t.places.size(); k-- > 0;) {
      const ready_place& p = places_[t.places[k]];
      const ready_way& w = p.ways[ways[t.places[k]]];
      base += w.first * place_stride;
      std::size_t stride = place_stride;
      for (std::size_t j = w.parts.size(); j-- > 0;) {
        parts.push_back({&w.parts[j], wired.first_part[t.places[k]] + j, stride});
        stride *= w.parts[j].size();
      }
      place_stride *= p.size;
    }
    std::vector<std::size_t> counts, taken(parts.size());
    for (const part_here& part : parts) counts.push_back(part.values->size());
    trial& listened = *wired.listened;
    for_each_combination(counts, [&](const std::vector<std::size_t>& at, std::size_t changed) {
      std::size_t index = base;
      for (std::size_t k = 0; k < parts.size(); ++k) {
        const value_candidate& c = (*parts[k].values)[at[k]];
        index += at[k] * parts[k].stride;
        taken[k] = c.stock;
        if (k >= changed) listened.set(parts[k].number, c.value);
      }
      if (stock_.has(taken)) t.keys[index] = rounded(evaluate(t, listened, keep));
    });
  }

  [[nodiscard]] rank_key evaluate(const cost_table& t, trial& listened, std::size_t keep) {
    rank_key sum;
    for (const std::size_t k : t.criteria) {
      sum = sum + key_of(problem_.wanted.criteria[k], judge_.read(k, listened).misfit);
      // Costs only grow: enough is known of one that is worse than the best so many already.
      if (keep > 0 && best_.size() == keep && is_worse(sum, best_.front())) return sum;
    }
    if (keep > 0) {
      best_.push_back(sum);
      std::push_heap(best_.begin(), best_.end(), less);
      if (best_.size() > keep) {
        std::pop_heap(best_.begin(), best_.end(), less);
        best_.pop_back();
      }
    }
    return sum;
  }

  /// Those that turn knobs come last.
  void cheap_first(std::vector<std::size_t>& criteria) const {
    std::stable_partition(criteria.begin(), criteria.end(), [&](std::size_t k) {
      const goal& g = problem_.wanted.criteria[k].wants;
      return !std::holds_alternative<taper_goal>(g) && !std::holds_alternative<treble_goal>(g) &&
             !std::holds_alternative<load_goal>(g);
    });
  }

  const choice_problem& problem_;
  const std::vector<ready_place>& places_;
  stock_count stock_;
  Judge& judge_;
  std::vector<rank_key> best_; ///< a heap, the worst at its front
};

/// Which places change what a criterion hears. Tries every way by itself and throws where it is impossible.
template <class Judge>
[[nodiscard]] std::vector<cost_table>
make_tables(const choice_problem& problem, const std::vector<ready_place>& places, const Judge& judging) {
  const auto views = judging.views();
  std::vector<source> as_is;
  for (const view& v : views) as_is.push_back(source_of(problem.of, problem.into, v));
  std::vector<std::vector<bool>> changes(places.size(), std::vector<bool>(views.size(), false));
  for (std::size_t p = 0; p < places.size(); ++p)
    for (const ready_way& w : places[p].ways) {
      instrument of = problem.of;
      std::vector<double> values;
      // Values that no instrument has, so that a change shows.
      for (const auto& list : w.parts) values.push_back(list.front().value * 1.0123456789);
      altering(of, w.what, values, places[p].name).alter();
      for (std::size_t v = 0; v < views.size(); ++v)
        if (source_of(of, problem.into, views[v]) != as_is[v]) changes[p][v] = true;
    }
  std::vector<cost_table> tables;
  std::vector<bool> heard(places.size(), false);
  for (std::size_t k = 0; k < problem.wanted.criteria.size(); ++k) {
    std::vector<std::size_t> on;
    for (std::size_t p = 0; p < places.size(); ++p)
      for (const std::size_t v : judging.views_of(k))
        if (changes[p][v]) {
          if (on.empty() || on.back() != p) on.push_back(p);
          heard[p] = true;
        }
    const auto same =
        std::find_if(tables.begin(), tables.end(), [&](const cost_table& t) { return t.places == on; });
    if (same != tables.end())
      same->criteria.push_back(k);
    else
      tables.push_back({on, {k}, {}, {}});
  }
  for (std::size_t p = 0; p < places.size(); ++p)
    if (!heard[p])
      throw invalid_value("places[" + std::to_string(p) + "]",
                          "'" + places[p].name + "', which no criterion hears",
                          "a place that changes a position that is listened to");
  return tables;
}

} // namespace lodewire::detail
