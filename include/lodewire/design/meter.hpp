// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <span>
#include <string>
#include <vector>

#include <lodewire/design/meter_shows.hpp>
#include <lodewire/design/meter_spread.hpp>

/// Which fault gives the reading that the meter shows?
namespace lodewire {

namespace detail {

[[nodiscard]] inline std::vector<magnetic_coil*> windings_of(pickup& p) {
  if (auto* coil = std::get_if<magnetic_coil>(&p)) return {coil};
  if (auto* pair = std::get_if<coil_pair>(&p)) return {&pair->first, &pair->second};
  return {};
}

/// Readings against an instrument, and the instrument with each of its parts strayed to a limit: downwards, where ln R
/// moves more.
struct meter_problem {
  struct variant {
    instrument of;
    std::vector<std::vector<rotation>> knobs; ///< one list a reading
  };
  std::vector<std::size_t> positions{};
  std::vector<double> measured{};  ///< ln
  std::vector<variant> variants{}; ///< the first one is the instrument as entered
  meter_limits limits{};

  meter_problem(const instrument& of, std::span<const meter_reading> readings, const meter_limits& m)
      : limits{m} {
    require_limits(m);
    if (readings.empty()) throw invalid_value("readings", "an empty list", "one reading or more");
    variant entered{of, {}};
    for (std::size_t i = 0; i < readings.size(); ++i) {
      const std::string path = "readings[" + std::to_string(i) + "]";
      const meter_reading& r = readings[i];
      positions.push_back(find_named(of.positions, r.position, path + ".position"));
      if (!is_open(r.shown.value())) require_not_negative(path + ".shown", r.shown);
      measured.push_back(log_reading(r.shown.value(), m));
      if (!r.knobs.empty() && r.knobs.size() != of.controls.size())
        throw invalid_value(path + ".knobs", std::to_string(r.knobs.size()) + " long",
                            "one for each control: " + std::to_string(of.controls.size()) + ", or none");
      entered.knobs.push_back(r.knobs.empty() ? knobs_of(of) : r.knobs);
    }
    variants.push_back(std::move(entered));
    vary();
  }

  [[nodiscard]] std::vector<double> shown(const suspect& s, std::size_t v = 0) const {
    std::vector<double> ohms;
    for (std::size_t i = 0; i < positions.size(); ++i)
      ohms.push_back(shown_by_meter(variants[v].of, s, positions[i], variants[v].knobs[i]));
    return ohms;
  }
  /// ln(measured) - ln(shown), one a reading.
  [[nodiscard]] std::vector<double> errors(const std::vector<double>& ohms) const {
    std::vector<double> e;
    for (std::size_t i = 0; i < ohms.size(); ++i) e.push_back(measured[i] - log_reading(ohms[i], limits));
    return e;
  }
  [[nodiscard]] meter_spread spread(const suspect& s, const std::vector<double>& ohms) const {
    const std::size_t n = ohms.size();
    std::vector<double> covariance(n * n, 0.0), off(n, 0.0);
    const auto moved_by = [&](const std::vector<double>& moved, std::size_t i) {
      return log_reading(moved[i], limits) - log_reading(ohms[i], limits);
    };
    for (std::size_t i = 0; i < n; ++i) {
      // Near 0 Ω the floor is as large as the reading.
      const double near_zero = limits.floor.value() / std::exp(log_reading(ohms[i], limits));
      covariance[i * n + i] = (limits.meter * limits.meter + near_zero * near_zero) / 3;
      off[i] = limits.meter + near_zero;
    }
    for (std::size_t v = 1; v < variants.size(); ++v) {
      const std::vector<double> moved = shown(s, v);
      for (std::size_t i = 0; i < n; ++i) {
        off[i] += std::abs(moved_by(moved, i));
        for (std::size_t k = 0; k < n; ++k)
          covariance[i * n + k] += moved_by(moved, i) * moved_by(moved, k) / 3;
      }
    }
    return {std::move(covariance), std::move(off)};
  }

private:
  void vary() {
    const variant entered = variants.front();
    for (std::size_t p = 0; p < entered.of.pickups.size(); ++p)
      for (std::size_t w = 0; w < windings_of(variants.front().of.pickups[p]).size(); ++w) {
        variant with = entered;
        windings_of(with.of.pickups[p])[w]->resistance *= 1 - limits.winding;
        variants.push_back(std::move(with));
      }
    for (std::size_t c = 0; c < entered.of.controls.size(); ++c) {
      for (std::size_t s = 0; s < entered.of.controls[c].sections.size(); ++s) {
        variant with = entered;
        potentiometer& pot = with.of.controls[c].sections[s];
        pot.total *= 1 - pot.tolerance;
        pot.end_resistance *= 1 - pot.tolerance; // never more than half the track
        variants.push_back(std::move(with));
      }
      variant with = entered;
      bool moved = false;
      for (std::vector<rotation>& knobs : with.knobs) {
        const double x = knobs[c].value(), by = limits.travel;
        if (x <= 0 || x >= 1) continue; // stops are certain
        moved = true;
        knobs[c] = rotation(x > by ? x - by : x + by < 1 ? x + by : x);
      }
      if (moved) variants.push_back(std::move(with));
    }
  }
};

/// The resistance of a joint that fits best: scanned, then narrowed by thirds.
[[nodiscard]] inline double best_joint(const meter_problem& problem, suspect at) {
  const double probe = 1e5;
  const auto with = [&](double r) {
    at.joint = resistance::from_value(r);
    return problem.shown(at);
  };
  const std::vector<double> none = with(0), between = with(probe), open = with(open_value);
  std::vector<joint_curve> curves;
  for (std::size_t i = 0; i < none.size(); ++i) curves.emplace_back(none[i], between[i], open[i], probe);
  double best = 1;
  // The spread of the parts counts as it is there, so it is taken at the first answer and the search repeated.
  for (int round = 0; round < 2; ++round) {
    at.joint = resistance::from_value(best);
    const meter_spread spread = problem.spread(at, problem.shown(at));
    const auto misfit = [&](double ln_r) {
      std::vector<double> shown;
      for (const joint_curve& c : curves) shown.push_back(c(std::exp(ln_r)));
      return spread.chi_squared(problem.errors(shown));
    };
    const double from = 0, to = std::log(problem.limits.range.value()), step = (to - from) / 300;
    double at_least = from, least = misfit(from);
    for (int k = 1; k <= 300; ++k)
      if (const double x = misfit(from + k * step); x < least) least = x, at_least = from + k * step;
    double low = (std::max)(from, at_least - step), high = (std::min)(to, at_least + step);
    for (int k = 0; k < 60; ++k) { // thirds of the interval
      const double left = low + (high - low) / 3, right = high - (high - low) / 3;
      (misfit(left) < misfit(right) ? high : low) = misfit(left) < misfit(right) ? right : left;
    }
    best = std::exp((low + high) / 2);
  }
  return best;
}

} // namespace detail

/// Ranks every fault of `possible_faults` by the readings, best first; each joint gets the resistance that fits best.
/// Ranked by likelihood of the errors in ln R, which the meter, windings and potentiometers within their tolerances and
/// knobs set by eye blur (a part strays alike in all readings, so that more readings help). A fault pays for being
/// assumed, a joint for its free resistance too. A pot of ±20 % hides a joint that shifts a reading by less: put knobs
/// to their stops, where neither taper nor eye counts, and enter windings as measured. Two faults that come out equal
/// need another reading, most often with a knob turned: `next_measurement` names it.
/// Measure with nothing plugged in and the battery out. What is left of electronics counts as their unpowered
/// resistance, to which a meter's reading through transistors need not keep.
/// Throws `invalid_value` for an instrument that is not sound, no reading, an unknown position, a negative resistance,
/// knobs of the wrong number, limits out of range. Cost: grows as readings × parts × faults.
[[nodiscard]] inline std::vector<hypothesis>
rank_faults(const instrument& of, std::span<const meter_reading> readings, const meter_limits& limits = {}) {
  const std::vector<suspect> suspects = possible_faults(of);
  const detail::meter_problem problem(of, readings, limits);
  std::vector<hypothesis> all;
  for (suspect s : suspects) {
    const bool joint = s.is == wiring_fault::cold_joint;
    if (joint) s.joint = resistance::from_value(detail::best_joint(problem, s));
    const std::vector<double> shown = problem.shown(s);
    const std::vector<double> errors = problem.errors(shown);
    const detail::meter_spread spread = problem.spread(s, shown);
    hypothesis h{.fault = s, .text = describe(s)};
    double squares = 0;
    h.fits = true;
    for (std::size_t i = 0; i < shown.size(); ++i) {
      h.shown.push_back(resistance::from_value(shown[i]));
      const double off = -std::expm1(-std::abs(errors[i])); // of the larger one
      squares += off * off;
      h.fits = h.fits && std::abs(errors[i]) <= spread.limit(i);
    }
    h.error_percent = 100 * std::sqrt(squares / static_cast<double>(shown.size()));
    const int assumed = s.is == wiring_fault::none ? 0 : joint ? 4 : 2;
    h.score = spread.chi_squared(errors) + spread.log_determinant() + assumed;
    // Faults that a meter cannot tell apart must not be ranked by rounding.
    h.score = std::round(h.score * 1e6) / 1e6;
    all.push_back(std::move(h));
  }
  std::stable_sort(all.begin(), all.end(),
                   [](const hypothesis& a, const hypothesis& b) { return a.score < b.score; });
  return all;
}

} // namespace lodewire
