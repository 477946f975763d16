// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/choose_rank.hpp>
#include <lodewire/design/choose_refine.hpp>
#include <lodewire/design/choose_search.hpp>
#include <lodewire/design/misfit.hpp>

/// Inverse design: which of all that could be done comes nearest to a wish.
namespace lodewire {

namespace detail {

/// Joins the tables of a problem and keeps the best combinations.
class joining {
public:
  joining(const choice_problem& problem, const choose_settings& settings, const drawer& stock,
          const std::vector<ready_place>& places, const std::vector<cost_table>& tables,
          ranker<judge>& ranking)
      : settings_{settings}, stock_{stock}, places_{places}, tables_{tables}, ranker_{ranking},
        chosen_(places.size(), left_out), least_left_(tables.size() + 1) {
    for (const place& p : problem.places)
      for (const way& w : p.ways)
        for (const values_from& v : w.parts) any_value_ = any_value_ || v.is == values_from::kind::any;
    for (std::size_t t = tables.size(); t-- > 0;)
      least_left_[t] =
          least_left_[t + 1] + (tables[t].order.empty() ? rank_key{} : tables[t].keys[tables[t].order[0]]);
  }

  [[nodiscard]] std::vector<combination> run() {
    join(0, {});
    if (any_value_) refine();
    return std::move(kept_);
  }

private:
  /// Room for the ties, or for the starts of what is refined.
  static constexpr std::size_t most_kept = 100, most_steps = 200'000'000;

  [[nodiscard]] std::size_t wanted() const { return any_value_ ? most_kept : settings_.most; }
  /// Nothing under this bound can be kept.
  [[nodiscard]] bool is_hopeless(const rank_key& bound) const {
    if (kept_.size() < wanted()) return false;
    const rank_key& last = kept_[wanted() - 1].rank;
    // No bound on a yield but that of the best: no failure.
    if (settings_.by == rank_by::yield) return !(last.over > 0) && is_worse({0, bound.cost}, last);
    return is_worse(bound, last);
  }

  /// And nothing that comes later in a table can be either. A table's order is that of `less`: where overruns are the
  /// same but for rounding, a later cost may yet be lower.
  [[nodiscard]] bool is_last(const rank_key& hopeless) const {
    if (settings_.by == rank_by::yield) return false;
    return !(hopeless.over > 0) || hopeless.over > kept_[wanted() - 1].rank.over * (1 + 1e-8);
  }

  void join(std::size_t t, const rank_key& so_far) {
    if (t == tables_.size()) return arrive(so_far);
    const cost_table& table = tables_[t];
    for (const std::uint32_t index : table.order) {
      if (++steps_ > most_steps)
        throw invalid_value("places", "with more than 200 million ways to join them",
                            "fewer places or values, or places that fewer criteria hear");
      const rank_key sum = so_far + table.keys[index];
      if (const rank_key bound = sum + least_left_[t + 1]; is_hopeless(bound)) {
        if (is_last(bound)) break;
        continue;
      }
      std::vector<std::size_t> set;
      bool fits = true;
      for (std::size_t k = 0; k < table.places.size() && fits; ++k) {
        const std::size_t option = table.option(places_, index, k);
        std::size_t& here = chosen_[table.places[k]];
        if (here == left_out) {
          here = option;
          set.push_back(table.places[k]);
        } else {
          fits = here == option;
        }
      }
      if (fits && has_parts()) join(t + 1, sum);
      for (const std::size_t p : set) chosen_[p] = left_out;
    }
  }
  [[nodiscard]] bool has_parts() {
    if (tables_.size() < 2) return true; // the table has seen to that
    taken_.clear();
    for (std::size_t p = 0; p < places_.size(); ++p) {
      if (chosen_[p] == left_out) continue;
      const ready_way& w = places_[p].ways[places_[p].way_of(chosen_[p])];
      for (std::size_t k = 0; k < w.parts.size(); ++k)
        taken_.push_back(w.parts[k][ready_place::value_of(w, chosen_[p], k)].stock);
    }
    return stock_.has(taken_);
  }

  void arrive(const rank_key& nominal) {
    combination c{chosen_, {}, nominal, rounded(nominal)};
    if (settings_.by != rank_by::nominal || tables_.size() > 1) {
      if (!ranker_.wire(c)) return;
      const rank_key* than = kept_.size() < wanted() ? nullptr : &kept_[wanted() - 1].rank;
      c.rank = rounded(ranker_.rank(nominal, than));
    }
    if (any_value_ && !replaces_start(c)) return;
    keep(std::move(c));
  }
  void keep(combination c) {
    const auto at = std::upper_bound(kept_.begin(), kept_.end(), c,
                                     [](const auto& a, const auto& b) { return less(a.rank, b.rank); });
    kept_.insert(at, std::move(c));
    if (kept_.size() > most_kept) kept_.pop_back();
  }

  [[nodiscard]] bool is_any(std::size_t place, std::size_t way, std::size_t part) const {
    return places_[place].ways[way].what.parts[part].is == values_from::kind::any;
  }
  /// Of combinations that differ in values on the grid only, the best one stays.
  [[nodiscard]] bool replaces_start(const combination& c) {
    for (std::size_t i = 0; i < kept_.size(); ++i) {
      if (!differ_in_grid_only(kept_[i], c)) continue;
      if (!less(c.rank, kept_[i].rank)) return false;
      kept_.erase(kept_.begin() + static_cast<std::ptrdiff_t>(i));
      return true;
    }
    return true;
  }
  [[nodiscard]] bool differ_in_grid_only(const combination& a, const combination& b) const {
    for (std::size_t p = 0; p < places_.size(); ++p) {
      const std::size_t w = places_[p].way_of(a.options[p]);
      if (w != places_[p].way_of(b.options[p])) return false;
      const ready_way& way = places_[p].ways[w];
      for (std::size_t k = 0; k < way.parts.size(); ++k)
        if (!is_any(p, w, k) &&
            ready_place::value_of(way, a.options[p], k) != ready_place::value_of(way, b.options[p], k))
          return false;
    }
    return true;
  }

  /// Every start that was kept, to its least.
  void refine() {
    std::vector<combination> starts = std::move(kept_);
    kept_.clear();
    for (combination& c : starts) {
      std::vector<std::size_t> free;
      std::vector<double> start, step, low, high;
      if (c.values.empty() && !ranker_.wire(c)) continue;
      std::size_t j = 0;
      for (std::size_t p = 0; p < places_.size(); ++p) {
        const std::size_t w = places_[p].way_of(c.options[p]);
        const ready_way& way = places_[p].ways[w];
        for (std::size_t k = 0; k < way.parts.size(); ++k, ++j) {
          if (!is_any(p, w, k) || !(way.parts[k].front().value < way.parts[k].back().value)) continue;
          free.push_back(j);
          start.push_back(std::log(c.values[j]));
          low.push_back(std::log(way.parts[k].front().value));
          high.push_back(std::log(way.parts[k].back().value));
          step.push_back((high.back() - low.back()) / static_cast<double>(way.parts[k].size() - 1));
        }
      }
      const auto key_at = [&](const std::vector<double>& x, bool ranked) {
        for (std::size_t i = 0; i < free.size(); ++i) c.values[free[i]] = std::exp(x[i]);
        (void)ranker_.wire(c);
        c.nominal = ranker_.here();
        return ranked ? ranker_.rank(c.nominal, nullptr) : c.nominal;
      };
      const bool by_corners = settings_.by == rank_by::worst_case;
      std::vector<double> at = start;
      if (!free.empty())
        // What lies over a limit first, then the cost.
        at = refined(
            [&](const std::vector<double>& x) {
              const rank_key k = key_at(x, by_corners);
              return k.over > 0 ? 1e6 * (1 + k.over) + k.cost : k.cost;
            },
            start, step, low, high);
      c.rank = rounded(key_at(at, true));
      keep(std::move(c));
    }
  }

  const choose_settings& settings_;
  stock_count stock_;
  const std::vector<ready_place>& places_;
  const std::vector<cost_table>& tables_;
  ranker<judge>& ranker_;
  bool any_value_ = false;
  std::vector<std::size_t> chosen_, taken_;
  std::vector<rank_key> least_left_;
  std::vector<combination> kept_; ///< best first
  std::uint64_t steps_ = 0;
};

inline void require_settings(const choice_problem& problem, const choose_settings& settings) {
  if (settings.most < 1 || settings.most > 100)
    throw invalid_value("choose_settings.most", std::to_string(settings.most), "1 to 100");
  if (settings.samples < 1) throw invalid_value("choose_settings.samples", "0", "1 or more");
  if (settings.by != rank_by::yield) return;
  for (const criterion& c : problem.wanted.criteria)
    if (c.limit) return;
  throw invalid_value("choose_settings.by", "yield, and no criterion has a limit",
                      "yield only with a limit, which a build keeps or breaks");
}

} // namespace detail

/// The alternatives that come nearest to the wish, over every combination of what may be done at the places and every
/// value that its parts may have. For all that is discrete the result is the global optimum: the criteria of each group
/// of places are evaluated for every combination there, and groups are joined by branch and bound (`choice_result::
/// proof`). Parts of any value start from a grid and are refined for the 100 best combinations. Deterministic.
/// Throws `invalid_value`: an empty drawer, list or wish, a number that is none, a place that no criterion hears,
/// whatever `compose` refuses (wirings by nodes, too), and more than `most_candidates` combinations, with their count.
/// Hard limits that exclude each other are no error: `met` is false then, and `best` has the nearest misses.
/// Cost: for each combination of a group some 0.2 µs a view, 10 ns a point of a response to match, 0.8 µs a resonance,
/// 2.5 µs where a knob is turned; for a worst case up to 2^n of these for n parts with a tolerance, for a yield up to
/// `samples`, for as many combinations as the bound leaves.
[[nodiscard]] inline choice_result choose(const choice_problem& problem,
                                          const choose_settings& settings = {}) {
  require_wish(problem.wanted);
  detail::require_settings(problem, settings);
  const drawer stock = problem.from.parts.empty() ? problem.from : sorted_out(problem.from);
  const std::vector<detail::ready_place> places = detail::ready_places(problem, stock, settings.grid);
  detail::judge judging(problem.of, problem.wanted);
  std::vector<detail::cost_table> tables = detail::make_tables(problem, places, judging);

  choice_result result;
  result.candidates = 1;
  for (const detail::ready_place& p : places) result.candidates = detail::times(result.candidates, p.size);
  std::uint64_t to_evaluate = 0;
  for (const detail::cost_table& t : tables) {
    std::uint64_t size = 1;
    for (const std::size_t p : t.places) size = detail::times(size, places[p].size);
    to_evaluate = to_evaluate > UINT64_MAX - size ? UINT64_MAX : to_evaluate + size;
  }
  if (to_evaluate > settings.most_candidates || to_evaluate > UINT32_MAX)
    throw invalid_value("places",
                        plain_number(static_cast<double>(to_evaluate), 12) + " combinations to evaluate",
                        "at most " + plain_number(static_cast<double>(settings.most_candidates), 12) +
                            " (choose_settings.most_candidates): leave out a place, a part or values");

  bool any_value = false;
  detail::ranker ranking(problem, settings, places, judging);
  result.before = ranking.as_is();
  detail::table_filler filler(problem, places, stock, judging);
  for (const place& p : problem.places)
    for (const way& w : p.ways)
      for (const values_from& v : w.parts) any_value = any_value || v.is == values_from::kind::any;
  // Only where the table's order is the answer itself may what is certainly worse be cut short.
  const bool alone = tables.size() == 1 && settings.by == rank_by::nominal && !any_value;
  for (detail::cost_table& t : tables)
    filler.fill(t, alone ? settings.most : 0, result.evaluated, result.impossible);
  std::stable_sort(tables.begin(), tables.end(),
                   [](const auto& a, const auto& b) { return a.order.size() > b.order.size(); });

  detail::joining join(problem, settings, stock, places, tables, ranking);
  std::vector<detail::combination> found = join.run();
  if (found.empty())
    throw invalid_value("places", "no combination that can be built",
                        "ways that do not exclude each other, and a drawer with parts enough");
  std::size_t good = 0;
  while (good < found.size() && !detail::is_worse(found[good].rank, found[0].rank)) ++good;
  // Of those that are equally good first what takes the fewest parts.
  const auto part_count = [&](const detail::combination& c) {
    std::size_t count = 0;
    for (std::size_t p = 0; p < places.size(); ++p)
      count += places[p].ways[places[p].way_of(c.options[p])].parts.size();
    return count;
  };
  std::stable_sort(found.begin(), found.begin() + static_cast<std::ptrdiff_t>(good),
                   [&](const auto& a, const auto& b) { return part_count(a) < part_count(b); });
  for (std::size_t i = 0; i < found.size() && (i < settings.most || i < good); ++i) {
    if (!ranking.wire(found[i])) continue;
    (i < settings.most ? result.best : result.ties).push_back(ranking.outcome(found[i], places));
  }
  result.as_good = good;
  const alternative& first = result.best.front();
  result.met = settings.by == rank_by::yield        ? *first.yield > 0
               : settings.by == rank_by::worst_case ? !(*first.worst_overrun > 0)
                                                    : !(first.overrun > 0);
  result.proof = any_value           ? choice_proof::refined
                 : tables.size() > 1 ? choice_proof::bounded
                                     : choice_proof::enumerated;
  return result;
}

/// The instrument with an alternative's parts in it. Throws as `choose` does.
[[nodiscard]] inline instrument altered(const instrument& of, const std::vector<place>& places,
                                        const alternative& with) {
  instrument out = of;
  std::vector<way> done;
  done.reserve(places.size());
  std::vector<const way*> before;
  for (std::size_t p = 0; p < places.size(); ++p) {
    const choice& c = with.choices.at(p);
    way& w = done.emplace_back(places[p].ways.at(c.way));
    w.law = c.law;
    std::vector<double> values;
    for (const fitted_part& part : c.parts) values.push_back(part.value);
    const std::string name = places[p].name.empty() ? "places[" + std::to_string(p) + "]" : places[p].name;
    detail::require_compatible(w, before, name);
    detail::altering(out, w, values, name).alter();
    before.push_back(&w);
  }
  return out;
}

} // namespace lodewire
