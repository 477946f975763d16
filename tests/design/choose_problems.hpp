// SPDX-License-Identifier: BSL-1.0
#pragma once

// Random problems of choosing parts, and their answer by brute force: every combination put together by itself,
// composed anew and measured by the library's other functions.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/analysis/level.hpp>
#include <lodewire/design/choose.hpp>
#include <lodewire/quantity/literals.hpp>

namespace problems {

using namespace lodewire;
using namespace lodewire::literals;

struct judged {
  double over = 0, cost = 0;
  alternative with{};
};

/// A goal by composing anew at every knob, with `response`, `level`, `find_resonance` and `load_seen`.
struct measure {
  const instrument& of;
  const destination& into;

  [[nodiscard]] source at(const listening& l, const std::string& turned = {}, double to = 0,
                          bool plugged = true) const {
    std::vector<rotation> knobs = knobs_of(of);
    for (const knob_setting& k : l.knobs) knobs[find_control(of, k.control)] = k.at;
    if (!turned.empty()) knobs[find_control(of, turned)] = rotation(to);
    const source s = compose(of, l.position.empty() ? 0 : find_position(of, l.position), knobs);
    return plugged ? s | into.lead | into.into : s;
  }
  [[nodiscard]] static double apart(double a, double b) { return 100 * (std::max(a / b, b / a) - 1); }

  [[nodiscard]] double operator()(const match_goal& g) const {
    const source s = at(g.at);
    std::vector<double> d;
    for (std::size_t i = 0; i < g.hz.size(); ++i)
      d.push_back(level(s, frequency::from_value(g.hz[i])).value() - g.wanted_db[i]);
    double mean = 0, squares = 0, largest = 0;
    if (g.shape_only)
      for (const double x : d) mean += x / static_cast<double>(d.size());
    for (const double x : d) {
      squares += (x - mean) * (x - mean);
      largest = std::max(largest, std::abs(x - mean));
    }
    return g.largest ? largest : std::sqrt(squares / static_cast<double>(d.size()));
  }
  [[nodiscard]] double operator()(const peak_goal& g) const {
    const resonance r = find_resonance(at(g.at), {100_Hz, 50_kHz});
    return apart(r.has_peak ? r.peak.value() : r.edge ? r.edge->value() : 50e3, g.wanted.value());
  }
  [[nodiscard]] double operator()(const height_goal& g) const {
    const resonance r = find_resonance(at(g.at), {100_Hz, 50_kHz});
    return std::abs((r.has_peak ? std::max(0., r.height.value()) : 0.) - g.wanted.value());
  }
  [[nodiscard]] double operator()(const level_goal& g) const {
    return std::abs((level(at(g.at), g.f) - level(at(g.as), g.f)).value() - g.above.value());
  }
  [[nodiscard]] double operator()(const taper_goal& g) const {
    std::vector<double> db;
    for (int n = 1; n <= 10; ++n) db.push_back(level(at(g.at, g.control, n / 10.)).value());
    const double top = *std::max_element(db.begin(), db.end());
    double squares = 0;
    for (std::size_t i = 0; i < 10; ++i)
      squares += std::pow(std::max(db[i] - top, -40.) - std::max(g.wanted_db[i], -40.), 2);
    return std::sqrt(squares / 10);
  }
  [[nodiscard]] double operator()(const treble_goal& g) const {
    const auto tilt = [&](double turned) {
      const source s = at(g.at, g.control, turned);
      return (level(s, g.treble) - level(s, g.low)).value();
    };
    const double lost = tilt(1) - tilt(g.turned->value());
    return g.gain_counts ? std::abs(lost) : std::max(0., lost);
  }
  [[nodiscard]] double operator()(const load_goal& g) const {
    double worst = 0;
    for (int n = 0; n <= 10; ++n) {
      const source s = g.over_travel_of.empty() ? at(g.at, {}, 0, g.plugged_in)
                                                : at(g.at, g.over_travel_of, n / 10., g.plugged_in);
      worst = std::max(worst,
                       apart(std::abs(load_seen(s, s.terminals(g.pickup), g.f).value()), g.wanted.value()));
    }
    return worst;
  }
};

inline judged judge_by_hand(const choice_problem& p, const instrument& of) {
  judged j;
  for (const criterion& c : p.wanted.criteria) {
    const double misfit = std::visit(measure{of, p.into}, c.wants);
    j.cost += c.used_weight() * misfit;
    if (c.limit && misfit > *c.limit + 1e-9 * (1 + *c.limit))
      j.over += (c.used_weight() > 0           ? c.used_weight()
                 : misfit_unit(c.wants) == "%" ? 0.1
                                               : 1) *
                (misfit - *c.limit);
  }
  return j;
}

/// Every combination that the drawer has the parts for, with what it costs; best first.
struct brute_force {
  const choice_problem& p;
  std::vector<unsigned> left;
  std::vector<judged> all;
  alternative with;

  explicit brute_force(const choice_problem& problem) : p{problem} {
    for (const stock_part& s : p.from.parts) left.push_back(s.count);
    at_place(0);
    std::stable_sort(all.begin(), all.end(), [](const judged& a, const judged& b) {
      const bool apart = std::abs(a.over - b.over) > 1e-7 * (a.over + b.over);
      return apart ? a.over < b.over : a.cost < b.cost;
    });
  }
  void at_place(std::size_t place) {
    if (place == p.places.size()) {
      judged j;
      try {
        j = judge_by_hand(p, altered(p.of, p.places, with));
      } catch (const invalid_value&) {
        return; // these exclude each other
      }
      j.with = with;
      all.push_back(std::move(j));
      return;
    }
    for (std::size_t w = 0; w < p.places[place].ways.size(); ++w) {
      with.choices.push_back({w, {}, p.places[place].ways[w].law});
      at_part(place, 0);
      with.choices.pop_back();
    }
  }
  void at_part(std::size_t place, std::size_t part) {
    const way& w = p.places[place].ways[with.choices.back().way];
    if (part == w.parts.size()) return at_place(place + 1);
    const values_from& from = w.parts[part];
    const auto with_value = [&](double value, double tolerance) {
      with.choices.back().parts.push_back({from.of, value, tolerance});
      at_part(place, part + 1);
      with.choices.back().parts.pop_back();
    };
    if (from.is == values_from::kind::list)
      for (const double v : from.values) with_value(v, from.tolerance.value_or(0));
    if (from.is == values_from::kind::drawer)
      for (std::size_t i = 0; i < left.size(); ++i) {
        const stock_part& s = p.from.parts[i];
        if (s.is != from.of || left[i] == 0) continue;
        --left[i];
        with_value(s.value, s.tolerance);
        ++left[i];
      }
  }
};

/// Two pickups, a volume and a tone control each, some values at random.
class dice {
public:
  explicit dice(std::uint64_t seed) : random_(seed) {}
  double between(double low, double high) {
    return low + (high - low) * static_cast<double>(random_() >> 11U) * 0x1p-53;
  }
  std::size_t below(std::size_t n) { return random_() % n; }
  template <class T>
  T any(const std::vector<T>& of) {
    return of[below(of.size())];
  }

  instrument an_instrument() {
    instrument of;
    for (const char* name : {"neck", "bridge"})
      // Made in place: g++ 12 at -O3 takes a variant that is moved for one that may not be set.
      of.pickups.emplace_back(std::in_place_type<magnetic_coil>,
                              magnetic_coil{.inductance = inductance::from_value(between(2, 6)),
                                            .resistance = resistance::from_value(between(5e3, 12e3)),
                                            .capacitance = capacitance::from_value(between(80e-12, 200e-12)),
                                            .name = name});
    for (const char* name : {"neck volume", "bridge volume", "tone"})
      of.controls.push_back({.name = name,
                             .sections = {{.total = any<resistance>({250_kOhm, 500_kOhm}),
                                           .law = any<taper>({linear_taper, audio_taper})}},
                             .at = rotation(below(2) ? 1 : between(0.3, 1))});
    const wiring neck = from_pickup("neck", {volume_step("neck volume")}),
                 bridge = from_pickup("bridge", {volume_step("bridge volume")});
    of.positions = {{"neck", neck}, {"both", joined_in_parallel({neck, bridge})}, {"bridge", bridge}};
    of.output = {shunt_step(tone_branch("tone", 22_nF))};
    return of;
  }
  drawer a_drawer() {
    drawer d;
    for (const double r : {47e3, 150e3, 330e3, 1e6})
      if (below(3))
        d.parts.push_back(in_stock(resistance::from_value(r), 1 + static_cast<unsigned>(below(2))));
    d.parts.push_back(in_stock(220_kOhm));
    for (const double c : {220e-12, 680e-12, 1.5e-9})
      if (below(2)) d.parts.push_back(in_stock(capacitance::from_value(c)));
    d.parts.push_back(in_stock(470_pF));
    return d;
  }
  place a_place(std::size_t number) {
    const std::string volume = any<std::string>({"neck volume", "bridge volume"}),
                      pickup = any<std::string>({"neck", "bridge"});
    const values_from r = from_drawer(stock_kind::resistor), c = from_drawer(stock_kind::capacitor);
    const std::vector<way> ways{across_track(volume, r),
                                wiper_to_low(volume, r),
                                wiper_to_high(volume, c),
                                bleed_of_two(volume, c, r, below(2) == 1),
                                in_place_of_pot(volume, r),
                                in_series_at(pickup, r),
                                across_at(pickup, c),
                                across_at("jack", r),
                                another_pot(volume, one_of<resistance>({100_kOhm, 1_MOhm}), linear_taper),
                                tone_capacitor("tone", c)};
    place p{"place " + std::to_string(number), {}};
    if (below(4)) p.ways.push_back(nothing());
    for (std::size_t count = 1 + below(2); count > 0; --count) p.ways.push_back(any(ways));
    return p;
  }
  criterion a_criterion(const instrument& of, const destination& into) {
    const std::string volume = any<std::string>({"neck volume", "bridge volume"});
    const bool neck = volume[0] == 'n';
    const listening here{.position = any<std::string>({"neck", "both", "bridge"})},
        alone{.position = neck ? "neck" : "bridge"};
    criterion c;
    instrument other = of;
    other.controls[neck ? 0 : 1].sections[0].total = 100_kOhm;
    switch (below(9)) {
    case 0:
    case 1: {
      match_goal g = match_goal_like(other, into, here, log_grid(100_Hz, 8_kHz, 12));
      g.shape_only = below(2);
      g.largest = below(2);
      c.wants = g;
      break;
    }
    case 2: c.wants = peak_goal{here, frequency::from_value(between(1500, 5000))}; break;
    case 3: c.wants = height_goal{here, decibel{between(0, 8)}}; break;
    case 4:
      c.wants = level_goal{{.position = "neck"}, {.position = "bridge"}, decibel{between(-3, 3)}};
      break;
    case 5: c.wants = taper_goal_like(audio_taper, alone, volume); break;
    case 6: c.wants = treble_goal{alone, volume, knob(5), 100_Hz, 4_kHz, below(2) == 1}; break;
    case 7:
      c.wants = load_goal{alone, neck ? "neck" : "bridge", resistance::from_value(between(50e3, 300e3))};
      break;
    default:
      c.wants = load_goal{alone, neck ? "neck" : "bridge", resistance::from_value(between(50e3, 300e3)),
                          volume, below(2) == 1};
    }
    if (below(2)) c.weight = between(0, 2);
    if (below(3) == 0) c.limit = between(0, misfit_unit(c.wants) == "%" ? 60 : 4);
    return c;
  }
  choice_problem a_problem(std::size_t most_places) {
    choice_problem p;
    p.of = an_instrument();
    p.from = a_drawer();
    for (std::size_t count = 1 + below(most_places); count > 0; --count) p.places.push_back(a_place(count));
    for (std::size_t count = 1 + below(3); count > 0; --count)
      p.wanted.criteria.push_back(a_criterion(p.of, p.into));
    return p;
  }

private:
  std::mt19937_64 random_;
};

[[nodiscard]] inline bool same(double a, double b) { return std::abs(a - b) <= 1e-7 * (1 + std::abs(b)); }

} // namespace problems
