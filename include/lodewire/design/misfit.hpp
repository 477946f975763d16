// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/trial.hpp>
#include <lodewire/design/wish.hpp>

/// How far a trial is from what is wanted.
namespace lodewire {

namespace detail {

/// What a criterion finds.
struct reading {
  double figure = 0; ///< in the goal's own unit
  double misfit = 0; ///< dB or %, 0 or more
};

/// By how much two values are apart, in % of the lower one; 1e14 at the most.
[[nodiscard]] inline double percent_apart(double a, double b) noexcept {
  const double low = (std::min)(a, b), high = (std::max)(a, b);
  if (!is_finite(high) || !(high <= low * 1e12)) return 1e14;
  return (high / low - 1) * 100;
}

/// A wish, ready to be held against trials of one instrument.
class judge {
public:
  judge(const instrument& of, const wish& wanted) : wanted_{wanted} {
    for (std::size_t k = 0; k < wanted.criteria.size(); ++k) {
      uses_.emplace_back();
      std::visit([&](const auto& g) { prepare(of, g, k, uses_.back()); }, wanted.criteria[k].wants);
    }
  }

  [[nodiscard]] std::span<const view> views() const noexcept { return views_; }
  [[nodiscard]] std::span<const std::size_t> views_of(std::size_t criterion) const noexcept {
    return uses_[criterion].views;
  }
  [[nodiscard]] reading read(std::size_t criterion, trial& t) {
    return std::visit([&](const auto& g) { return measure(g, uses_[criterion], t); },
                      wanted_.criteria[criterion].wants);
  }

private:
  struct use {
    std::vector<std::size_t> views;
    std::size_t control = 0;
  };

  std::size_t add(view v) {
    const auto found = std::find(views_.begin(), views_.end(), v);
    if (found != views_.end()) return static_cast<std::size_t>(found - views_.begin());
    views_.push_back(std::move(v));
    return views_.size() - 1;
  }
  template <class Goal>
  void prepare(const instrument& of, const Goal& g, std::size_t number, use& to) {
    view v = view_of(of, g.at);
    if constexpr (requires { g.plugged_in; }) {
      v.plugged_in = g.plugged_in;
      (void)find_pickup(of, g.pickup);
      if (!g.over_travel_of.empty()) {
        to.control = find_control(of, g.over_travel_of);
        v.turned_by = number + 1;
      }
    }
    if constexpr (requires { g.control; }) {
      to.control = find_control(of, g.control);
      v.turned_by = number + 1;
    }
    to.views.push_back(add(std::move(v)));
    if constexpr (requires { g.as; }) to.views.push_back(add(view_of(of, g.as)));
  }

  [[nodiscard]] reading measure(const match_goal& g, const use& in, trial& t) {
    const std::size_t count = g.hz.size();
    re_.resize(count);
    im_.resize(count);
    t.response(in.views[0]).evaluate(g.hz, re_, im_);
    double sum = 0, squares = 0, lowest = 1e9, highest = -1e9;
    for (std::size_t i = 0; i < count; ++i) {
      const double apart = power_db(re_[i] * re_[i] + im_[i] * im_[i]) - g.wanted_db[i];
      sum += apart;
      squares += apart * apart;
      lowest = (std::min)(lowest, apart);
      highest = (std::max)(highest, apart);
    }
    const double n = static_cast<double>(count), mean = g.shape_only ? sum / n : 0;
    const double misfit = g.largest ? (std::max)(std::abs(lowest - mean), std::abs(highest - mean))
                                    : std::sqrt((std::max)(0., squares / n - mean * mean));
    return {misfit, misfit};
  }
  [[nodiscard]] static reading measure(const peak_goal& g, const use& in, trial& t) {
    const resonance& r = t.peak(in.views[0]);
    const double hz = r.has_peak ? r.peak.value() : r.edge ? r.edge->value() : 50e3;
    return {hz, percent_apart(hz, g.wanted.value())};
  }
  [[nodiscard]] static reading measure(const height_goal& g, const use& in, trial& t) {
    const resonance& r = t.peak(in.views[0]);
    const double height = r.has_peak ? (std::max)(0., r.height.value()) : 0.;
    return {height, std::abs(height - g.wanted.value())};
  }
  [[nodiscard]] static reading measure(const level_goal& g, const use& in, trial& t) {
    const double above = t.level(in.views[0], g.f) - t.level(in.views[1], g.f);
    return {above, std::abs(above - g.above.value())};
  }
  [[nodiscard]] static reading measure(const taper_goal& g, const use& in, trial& t) {
    double level[10], highest = -1e9, squares = 0;
    for (std::size_t i = 0; i < 10; ++i) {
      t.turn(in.views[0], in.control, knob(static_cast<double>(i + 1)));
      level[i] = t.level(in.views[0], frequency::from_value(100));
      highest = (std::max)(highest, level[i]);
    }
    for (std::size_t i = 0; i < 10; ++i) {
      const double apart = (std::max)(level[i] - highest, -40.0) - (std::max)(g.wanted_db[i], -40.0);
      squares += apart * apart;
    }
    const double rms = std::sqrt(squares / 10);
    return {rms, rms};
  }
  [[nodiscard]] static reading measure(const treble_goal& g, const use& in, trial& t) {
    const auto low_at = [&](double turned) {
      t.turn(in.views[0], in.control, rotation(turned));
      return t.level(in.views[0], g.low);
    };
    const double full = low_at(1), full_tilt = t.level(in.views[0], g.treble) - full;
    double at = 0, low = 0;
    if (g.turned) {
      at = g.turned->value();
      low = low_at(at);
    } else {
      // From full downwards in steps to the first that is below, then between the two.
      const double wanted = full - 20 * std::log10(2.0);
      double above = 1, over = full - wanted;
      for (at = 0.95; at > 0.01 && (low = low_at(at)) > wanted; at -= 0.05) {
        above = at;
        over = low - wanted;
      }
      if (!(at > 0.01)) low = low_at(at = 0);
      double below = at, under = low - wanted;
      if (!(under < 0)) return {}; // it never falls so far: nothing to lose
      for (int step = 0; step < 40 && above - below > 1e-9; ++step) {
        at = step % 3 == 2 ? (above + below) / 2 : below + (above - below) * (-under / (over - under));
        low = low_at(at);
        if (std::abs(low - wanted) < 1e-7) break;
        (low > wanted ? above : below) = at;
        (low > wanted ? over : under) = low - wanted;
      }
    }
    const double lost = full_tilt - (t.level(in.views[0], g.treble) - low);
    return {lost, g.gain_counts ? std::abs(lost) : (std::max)(0., lost)};
  }
  [[nodiscard]] static reading measure(const load_goal& g, const use& in, trial& t) {
    const auto here = [&] {
      const double ohms = (std::min)(t.load(in.views[0], g.pickup, g.f), 1e12);
      return reading{ohms, percent_apart(ohms, g.wanted.value())};
    };
    if (g.over_travel_of.empty()) return here();
    reading worst{0, -1};
    for (int number = 10; number >= 0; --number) {
      t.turn(in.views[0], in.control, knob(number));
      const reading r = here();
      if (r.misfit > worst.misfit) worst = r;
    }
    return worst;
  }

  const wish& wanted_;
  std::vector<view> views_;
  std::vector<use> uses_;
  std::vector<double> re_, im_;
};

} // namespace detail

/// The goal to sound, there, as another instrument does (the same one with other pots, cable or coil) at the same
/// place: its level in dB re 1 V over `hz`. Throws as `compose` does.
[[nodiscard]] inline match_goal match_goal_like(const instrument& other, const destination& into,
                                                listening at, std::vector<double> hz) {
  match_goal g{.at = std::move(at), .hz = std::move(hz), .wanted_db = {}};
  const detail::view v = detail::view_of(other, g.at);
  detail::trial t(other, into, std::span(&v, 1), {});
  for (const double f : g.hz)
    g.wanted_db.push_back(t.level(0, require_positive("match_goal.hz", frequency::from_value(f))));
  return g;
}

/// The goal to fall as a bare law does, loaded by nothing.
[[nodiscard]] inline taper_goal taper_goal_like(const taper& law, listening at, std::string control) {
  taper_goal g{.at = std::move(at), .control = std::move(control), .wanted_db = {}};
  for (int number = 1; number <= 10; ++number) {
    const double part = law(knob(number)) / law(knob(10));
    g.wanted_db.push_back(detail::power_db(part * part));
  }
  return g;
}

/// The goal to fall as this control does in another instrument. Throws as `compose` does.
[[nodiscard]] inline taper_goal taper_goal_like(const instrument& other, const destination& into,
                                                listening at, std::string control) {
  taper_goal g{.at = std::move(at), .control = std::move(control), .wanted_db = {}};
  const detail::view v = detail::view_of(other, g.at);
  detail::trial t(other, into, std::span(&v, 1), {});
  double highest = -1e9;
  for (int number = 1; number <= 10; ++number) {
    t.turn(0, find_control(other, g.control), knob(number));
    g.wanted_db.push_back(t.level(0, frequency::from_value(100)));
    highest = (std::max)(highest, g.wanted_db.back());
  }
  for (double& db : g.wanted_db) db -= highest;
  return g;
}

} // namespace lodewire
