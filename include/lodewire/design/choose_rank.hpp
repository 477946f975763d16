// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <lodewire/design/choose_options.hpp>
#include <lodewire/design/rank_key.hpp>
#include <lodewire/design/trial.hpp>
#include <lodewire/quantity/philox.hpp>

/// Whole combinations, with their tolerances.
namespace lodewire::detail {

/// A number in [0, 1) that depends on these three only.
[[nodiscard]] inline double uniform_of(std::uint64_t seed, std::uint64_t sample,
                                       std::uint32_t part) noexcept {
  const philox_counter words = philox_words(seed, sample, part);
  return static_cast<double>((std::uint64_t{words[0]} << 21U) ^ (words[1] >> 11U)) * 0x1p-53;
}

/// A combination: an option of each place, and the values of its parts where they are none of the option's.
struct combination {
  std::vector<std::size_t> options;
  std::vector<double> values;
  rank_key nominal, rank;
};

/// Judge: `judge`.
template <class Judge>
class ranker {
public:
  ranker(const choice_problem& problem, const choose_settings& settings,
         const std::vector<ready_place>& places, Judge& judging)
      : problem_{problem}, settings_{settings}, places_{places}, judge_{judging} {}

  /// Sets the values of a combination, those of its options where it has no others. False where it cannot be wired.
  [[nodiscard]] bool wire(combination& of) {
    std::vector<std::size_t> ways;
    for (std::size_t p = 0; p < places_.size(); ++p) ways.push_back(places_[p].way_of(of.options[p]));
    auto found = wired_.find(ways);
    if (found == wired_.end()) {
      std::unique_ptr<wired_trial> made;
      try {
        made = std::make_unique<wired_trial>(problem_.of, problem_.into, places_, ways, judge_.views());
      } catch (const invalid_value&) { // exclude each other
      }
      found = wired_.emplace(ways, std::move(made)).first;
    }
    now_ = found->second.get();
    if (!now_) return false;
    const bool own = !of.values.empty();
    strays_.clear();
    std::vector<bool> chosen(now_->listened->sections(), false);
    std::size_t j = 0;
    for (std::size_t p = 0; p < places_.size(); ++p) {
      const ready_way& w = places_[p].ways[ways[p]];
      for (std::size_t k = 0; k < w.parts.size(); ++k, ++j) {
        const value_candidate& c = w.parts[k][ready_place::value_of(w, of.options[p], k)];
        if (!own) of.values.push_back(c.value);
        now_->listened->set(j, of.values[j]);
        if (c.tolerance > 0)
          strays_.push_back({false, j, of.values[j], c.tolerance, static_cast<std::uint32_t>(16 * p + k)});
        if (const auto track = now_->listened->track_of(j)) chosen[*track] = true;
      }
    }
    add_sections(chosen);
    return true;
  }

  /// What the wired combination is worth as its values are now.
  [[nodiscard]] rank_key here() {
    rank_key sum;
    for (std::size_t k = 0; k < problem_.wanted.criteria.size(); ++k)
      sum = sum + key_of(problem_.wanted.criteria[k], judge_.read(k, *now_->listened).misfit);
    return sum;
  }

  /// The key that the settings ask for. A worst case or a yield stops early, and gives too good a key, once it is worse
  /// than `than`.
  [[nodiscard]] rank_key rank(const rank_key& nominal, const rank_key* than) {
    if (settings_.by == rank_by::worst_case) {
      require_corners();
      rank_key worst = nominal;
      corners([&] {
        const rank_key k = here();
        if (less(worst, k)) worst = k;
        return !than || !is_worse(worst, *than);
      });
      return worst;
    }
    if (settings_.by == rank_by::nominal) return nominal;
    const double allowed = than ? than->over : 1e300;
    return {static_cast<double>(failures(allowed)), nominal.cost};
  }

  [[nodiscard]] alternative outcome(const combination& of, const std::vector<ready_place>& places) {
    alternative a;
    std::size_t j = 0;
    for (std::size_t p = 0; p < places.size(); ++p) {
      const ready_way& w = places[p].ways[places[p].way_of(of.options[p])];
      choice c{w.number, {}, w.what.law};
      for (std::size_t k = 0; k < w.parts.size(); ++k, ++j) {
        const value_candidate& from = w.parts[k][ready_place::value_of(w, of.options[p], k)];
        const bool pot = w.what.is == way::kind::another_pot;
        c.parts.push_back(
            {pot ? stock_kind::potentiometer : w.what.parts[k].of, of.values[j], from.tolerance});
      }
      a.new_parts += c.parts.size();
      a.choices.push_back(std::move(c));
    }
    judge_now(a);
    return a;
  }
  [[nodiscard]] alternative as_is() {
    now_ = nullptr;
    std::vector<std::size_t> none(places_.size(), left_out);
    bare_ = std::make_unique<wired_trial>(problem_.of, problem_.into, places_, none, judge_.views());
    now_ = bare_.get();
    strays_.clear();
    add_sections({});
    alternative a;
    a.choices.resize(places_.size());
    judge_now(a);
    return a;
  }

private:
  struct stray {
    bool is_section;
    std::size_t number;
    double nominal, tolerance;
    std::uint32_t
        stream; ///< the same for the same part in every combination, so that yields compare like with like
  };
  /// Those of the instrument's own potentiometers that are there still.
  void add_sections(const std::vector<bool>& chosen) {
    const trial& t = *now_->listened;
    for (std::size_t s = 0; s < t.sections(); ++s)
      if ((chosen.empty() || !chosen[s]) && t.tolerance(s) > 0)
        strays_.push_back(
            {true, s, t.nominal(s), t.tolerance(s), 0x8000'0000U + static_cast<std::uint32_t>(t.id(s))});
  }
  void set(const stray& s, double factor) noexcept {
    if (s.is_section)
      now_->listened->set_track(s.number, s.nominal * factor);
    else
      now_->listened->set(s.number, s.nominal * factor);
  }
  void reset() noexcept {
    for (const stray& s : strays_) set(s, 1);
  }
  void require_corners() const {
    if (strays_.size() > most_corner_parts)
      throw invalid_value("choose_settings.by",
                          "worst_case with " + std::to_string(strays_.size()) +
                              " parts that have a tolerance",
                          "at most " + std::to_string(most_corner_parts) + " of them");
  }
  /// Every corner once, one part moved at a time, until `visit` gives false.
  template <class Visit>
  void corners(Visit visit) {
    for (const stray& s : strays_) set(s, 1 - s.tolerance);
    const std::uint64_t count = std::uint64_t{1} << strays_.size();
    for (std::uint64_t i = 0;;) {
      if (!visit() || ++i == count) break;
      const auto moved = static_cast<std::size_t>(std::countr_zero(i));
      const bool high = (((i ^ (i >> 1U)) >> moved) & 1U) != 0;
      set(strays_[moved], high ? 1 + strays_[moved].tolerance : 1 - strays_[moved].tolerance);
    }
    reset();
  }
  [[nodiscard]] std::size_t failures(double allowed) {
    std::size_t failed = 0;
    for (std::size_t i = 0; i < settings_.samples && !(static_cast<double>(failed) > allowed); ++i) {
      for (const stray& s : strays_)
        set(s, 1 + s.tolerance * (2 * uniform_of(settings_.seed, i, s.stream) - 1));
      for (std::size_t k = 0; k < problem_.wanted.criteria.size(); ++k) {
        const criterion& c = problem_.wanted.criteria[k];
        if (!c.limit || !(overrun_of(c, judge_.read(k, *now_->listened).misfit) > 0)) continue;
        ++failed;
        break;
      }
    }
    reset();
    return failed;
  }
  void judge_now(alternative& a) {
    bool limits = false;
    for (std::size_t k = 0; k < problem_.wanted.criteria.size(); ++k) {
      const criterion& c = problem_.wanted.criteria[k];
      const auto r = judge_.read(k, *now_->listened);
      const rank_key key = key_of(c, r.misfit);
      a.criteria.push_back({r.figure, r.misfit, key.cost, !(key.over > 0), {}, {}});
      a.cost += key.cost;
      a.overrun += key.over;
      limits = limits || c.limit;
    }
    if (strays_.size() <= most_corner_parts) {
      rank_key worst{a.overrun, a.cost};
      for (criterion_outcome& o : a.criteria) o.lowest = o.highest = o.figure;
      corners([&] {
        rank_key sum;
        for (std::size_t k = 0; k < a.criteria.size(); ++k) {
          const auto r = judge_.read(k, *now_->listened);
          sum = sum + key_of(problem_.wanted.criteria[k], r.misfit);
          a.criteria[k].lowest = (std::min)(*a.criteria[k].lowest, r.figure);
          a.criteria[k].highest = (std::max)(*a.criteria[k].highest, r.figure);
        }
        if (less(worst, sum)) worst = sum;
        return true;
      });
      a.worst_cost = worst.cost;
      a.worst_overrun = worst.over;
    }
    if (limits) a.yield = 1 - static_cast<double>(failures(1e300)) / static_cast<double>(settings_.samples);
  }

  const choice_problem& problem_;
  const choose_settings& settings_;
  const std::vector<ready_place>& places_;
  Judge& judge_;
  std::map<std::vector<std::size_t>, std::unique_ptr<wired_trial>> wired_;
  std::unique_ptr<wired_trial> bare_;
  wired_trial* now_ = nullptr;
  std::vector<stray> strays_;
};

} // namespace lodewire::detail
