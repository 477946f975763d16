// SPDX-License-Identifier: BSL-1.0
// Worst cases, yields, refined values; no solution, and what is wrong.
#include <doctest/doctest.h>

#include <optional>

#include "../check.hpp"
#include "../draws.hpp"
#include "choose_problems.hpp"

using namespace problems;

TEST_CASE("the worst case is the worst corner, and the search by it finds the best one") {
  std::size_t solved = 0;
  for (std::uint64_t seed = 1; solved < check::draws(15); ++seed) {
    REQUIRE(seed < 1000);
    dice random(1'000'000 + seed);
    choice_problem p = random.a_problem(1);
    p.wanted.criteria.resize(1);
    choice_result r;
    try {
      r = choose(p, {.by = rank_by::worst_case});
    } catch (const invalid_value&) {
      continue;
    }
    ++solved;
    CAPTURE(seed);
    // Corners of the chosen parts and of every potentiometer; those that are not wired in change nothing.
    std::vector<std::pair<double, double>> worst;
    for (const judged& j : brute_force(p).all) {
      std::vector<double*> values;
      std::vector<double> tolerances;
      alternative with = j.with;
      for (fitted_part& f : with.choices[0].parts) {
        values.push_back(&f.value);
        tolerances.push_back(f.tolerance);
      }
      std::pair<double, double> w{j.over, j.cost};
      const std::size_t parts = values.size(), count = parts + p.of.controls.size();
      for (std::size_t corner = 0; corner < (std::size_t{1} << count); ++corner) {
        const alternative kept = with;
        const auto sign = [&](std::size_t k) { return (corner >> k) & 1U ? 1. : -1.; };
        for (std::size_t k = 0; k < parts; ++k) *values[k] *= 1 + sign(k) * tolerances[k];
        instrument of = p.of;
        for (std::size_t c = 0; c < of.controls.size(); ++c) {
          potentiometer& pot = of.controls[c].sections[0];
          pot.total *= 1 + sign(parts + c) * pot.tolerance;
        }
        const judged at = judge_by_hand(p, altered(of, p.places, with));
        w = std::max(w, {at.over, at.cost});
        for (std::size_t k = 0; k < parts; ++k) *values[k] = kept.choices[0].parts[k].value;
      }
      worst.push_back(w);
    }
    std::sort(worst.begin(), worst.end());
    for (std::size_t i = 0; i < r.best.size(); ++i) {
      CHECK(same(*r.best[i].worst_overrun, worst[i].first));
      CHECK(same(*r.best[i].worst_cost, worst[i].second));
    }
  }
}

TEST_CASE("by the worst case and by yield: the same as asking for every combination alone") {
  std::size_t solved = 0, bounded = 0;
  for (std::uint64_t seed = 1; solved < 4; ++seed) {
    REQUIRE(seed < 1000);
    dice random(2'000'000 + seed);
    choice_problem p = random.a_problem(2);
    p.wanted.criteria[0].limit = misfit_unit(p.wanted.criteria[0].wants) == "%" ? 25 : 1.5;
    for (const rank_by by : {rank_by::worst_case, rank_by::yield}) {
      const choose_settings settings{.by = by, .samples = 60, .seed = seed};
      choice_result r;
      try {
        r = choose(p, settings);
      } catch (const invalid_value&) {
        break;
      }
      solved += by == rank_by::yield ? 1U : 0U;
      bounded += r.proof == choice_proof::bounded ? 1U : 0U;
      CAPTURE(seed);
      std::vector<std::pair<double, double>> all;
      for (const judged& j : brute_force(p).all) {
        choice_problem alone = p;
        for (std::size_t k = 0; k < p.places.size(); ++k) {
          way w = p.places[k].ways[j.with.choices[k].way];
          for (std::size_t i = 0; i < w.parts.size(); ++i) {
            const fitted_part& f = j.with.choices[k].parts[i];
            w.parts[i] = {.of = f.is, .values = {f.value}, .tolerance = f.tolerance};
          }
          // The others follow with one value each, so that the place is heard.
          alone.places[k].ways = {w};
          for (way other : p.places[k].ways) {
            for (values_from& v : other.parts)
              v = {.of = v.of, .values = {v.of == stock_kind::capacitor ? 1e-9 : 1e5}};
            alone.places[k].ways.push_back(other);
          }
        }
        const choice_result every = choose(alone, {.by = by, .most = 100, .samples = 60, .seed = seed});
        for (const alternative& a : every.best) {
          if (std::any_of(a.choices.begin(), a.choices.end(), [](const choice& c) { return c.way != 0; }))
            continue;
          if (by == rank_by::yield)
            all.emplace_back(1 - *a.yield, a.cost);
          else
            all.emplace_back(*a.worst_overrun, *a.worst_cost);
          break;
        }
      }
      std::sort(all.begin(), all.end(), [](const auto& a, const auto& b) {
        const bool apart = std::abs(a.first - b.first) > 1e-7 * (a.first + b.first);
        return apart ? a.first < b.first : a.second < b.second;
      });
      for (std::size_t i = 0; i < r.best.size(); ++i) {
        const alternative& a = r.best[i];
        CHECK(same(by == rank_by::yield ? 1 - *a.yield : *a.worst_overrun, all.at(i).first));
        CHECK(same(by == rank_by::yield ? a.cost : *a.worst_cost, all.at(i).second));
      }
    }
  }
  CHECK(bounded > 1);
}

TEST_CASE("values on a grid are refined to the optimum") {
  // 250 kΩ from 500 kΩ: 500 kΩ across the track; 25 values from 100 kΩ to 2 MΩ do not hold it.
  choice_problem p;
  p.of.pickups = {
      magnetic_coil{.inductance = 3_H, .resistance = 8_kOhm, .capacitance = 100_pF, .name = "coil"}};
  p.of.controls = {{.name = "volume", .sections = {{.total = 500_kOhm}}}};
  p.of.positions = {{"on", from_pickup("coil", {volume_step("volume")})}};
  p.wanted.criteria = {{.name = "load", .wants = load_goal{.pickup = "coil", .wanted = 250_kOhm}}};
  p.places = {{"load", {across_track("volume", any_value(100_kOhm, 2_MOhm))}}};
  const choice_result one = choose(p);
  CHECK(one.proof == choice_proof::refined);
  CHECK(one.best.front().choices[0].parts[0].value == doctest::Approx(500e3).epsilon(1e-6));
  CHECK(one.best.front().cost < 1e-5);

  // Two at once: a resonance at 3 kHz of 5 dB, by a capacitor and a resistor across the coil.
  p.wanted.criteria = {{.name = "f", .wants = peak_goal{{}, 3_kHz}},
                       {.name = "h", .wants = height_goal{{}, decibel{5}}}};
  way both = across_at("coil", any_value(47_kOhm, 2_MOhm));
  both.parts.push_back(any_value(100_pF, 2_nF));
  p.places = {{"coil", {nothing(), both}}};
  const choice_result two = choose(p);
  REQUIRE(two.best.size() == 2);
  CHECK(two.best.front().choices[0].way == 1);
  const resonance r =
      find_resonance(compose(altered(p.of, p.places, two.best.front()), 0) | p.into.lead | p.into.into);
  CHECK(check::near(r.peak.value(), 3000, 1e-4));
  CHECK(std::abs(r.height.value() - 5) < 1e-3);
}

TEST_CASE("a yield is the share of builds, the same every time, and orders the alternatives") {
  choice_problem p;
  p.of.pickups = {
      magnetic_coil{.inductance = 3_H, .resistance = 8_kOhm, .capacitance = 100_pF, .name = "coil"}};
  p.of.controls = {{.name = "volume", .sections = {{.total = 500_kOhm}}}};
  p.of.positions = {{"on", from_pickup("coil", {volume_step("volume")})}};
  // 500 kΩ ± 20 % alone, uniform over 200 kΩ: what is within 5 % of 520 kΩ by ratio.
  p.wanted.criteria = {
      {.name = "load", .wants = load_goal{.pickup = "coil", .wanted = 520_kOhm}, .limit = 5}};
  p.places = {{"load", {nothing(), across_track("volume", one_of<resistance>({10_MOhm, 22_MOhm}))}}};
  const choose_settings settings{.by = rank_by::yield, .samples = 20000};
  const choice_result r = choose(p, settings);
  REQUIRE(r.best.size() == 3);
  const double exact = 520 * (1.05 - 1 / 1.05) / 200;
  // Five standard deviations of a binomial.
  CHECK(std::abs(*r.before.yield - exact) < 5 * std::sqrt(exact * (1 - exact) / 20000));
  for (std::size_t i = 1; i < 3; ++i) CHECK(*r.best[i].yield <= *r.best[i - 1].yield);
  const choice_result again = choose(p, settings);
  for (std::size_t i = 0; i < 3; ++i) CHECK(*again.best[i].yield == *r.best[i].yield);
}

TEST_CASE("limits that exclude each other: no solution, and the nearest miss") {
  dice random(7);
  choice_problem p;
  p.of = random.an_instrument();
  p.of.controls[0].at = rotation(1);
  p.wanted.criteria = {{.name = "low", .wants = peak_goal{{.position = "neck"}, 2_kHz}, .limit = 5},
                       {.name = "high", .wants = peak_goal{{.position = "neck"}, 4_kHz}, .limit = 5}};
  p.places = {{"coil", {nothing(), across_at("neck", from_series(e_series::e6, 100_pF, 4.7_nF))}}};
  const choice_result r = choose(p);
  CHECK_FALSE(r.met);
  REQUIRE(r.best.size() == 5);
  for (const alternative& a : r.best) CHECK(a.overrun > 0);
  CHECK(r.best[0].overrun <= r.best[4].overrun);
  CHECK_FALSE((r.best[0].criteria[0].kept && r.best[0].criteria[1].kept));
  CHECK(r.evaluated == 12);
}

TEST_CASE("what is wrong is named") {
  dice random(3);
  choice_problem good;
  good.of = random.an_instrument();
  good.wanted.criteria = {{.name = "f", .wants = peak_goal{{.position = "neck"}, 3_kHz}}};
  good.places = {{"coil", {nothing(), across_at("neck", from_drawer(stock_kind::capacitor))}}};
  good.from.parts = {in_stock(470_pF)};
  CHECK(choose(good).candidates == 2);
  const auto says = [&](auto change, const choose_settings& settings = {}) {
    choice_problem p = good;
    change(p);
    return check::error_of([&] { (void)choose(p, settings); });
  };
  const auto has = [](const std::string& text, const std::string& part) {
    CAPTURE(text);
    CHECK(text.find(part) != std::string::npos);
  };
  has(says([](choice_problem& p) { p.from.parts.clear(); }),
      "drawer.parts is an empty list; allowed: one part");
  has(says([](choice_problem& p) { p.from.parts = {in_stock(1_kOhm)}; }),
      "places[0].ways[1].parts[0] is from a drawer that has none; allowed: one capacitor or more");
  has(says([](choice_problem& p) { p.from.parts[0].count = 0; }), "drawer.parts[0].count is 0");
  has(says([](choice_problem& p) { p.from.parts[0].value = std::nan(""); }),
      "drawer.parts[0].value is NaN F");
  has(says([](choice_problem& p) { p.from.parts[0].tolerance = 1; }), "drawer.parts[0].tolerance is 1;");
  has(says([](choice_problem& p) { p.wanted.criteria.clear(); }), "wish.criteria is an empty list");
  has(says([](choice_problem& p) { p.wanted.criteria[0].limit = std::nan(""); }),
      "wish.criteria[0].limit is NaN");
  has(says([](choice_problem& p) { p.wanted.criteria[0].weight = -1; }), "wish.criteria[0].weight is -1");
  has(says([](choice_problem& p) { p.wanted.criteria[0].wants = peak_goal{}; }),
      "wish.criteria[0].wanted is 0 Hz");
  has(says([](choice_problem& p) { p.wanted.criteria[0].weight = 0; }), "without a weight or a limit");
  has(says([](choice_problem& p) { p.wanted.criteria[0].wants = match_goal{.hz = {100}}; }),
      "wish.criteria[0].wanted_db is 0 long");
  has(says([](choice_problem& p) {
        p.wanted.criteria[0].wants = peak_goal{{.position = "middle"}, 3_kHz};
      }),
      "position is 'middle'; allowed: 'neck', 'both' or 'bridge'");
  has(says([](choice_problem& p) { p.places.clear(); }), "places is an empty list");
  has(says([](choice_problem& p) { p.places[0].ways.clear(); }), "places[0].ways is an empty list");
  has(says([](choice_problem& p) { p.places.push_back(p.places[0]); }), "'coil' a second time");
  has(says([](choice_problem& p) { p.places[0].ways[1].at = "nek"; }), "coil.at is 'nek'");
  has(says([](choice_problem& p) { p.places[0].ways[1].at = "bridge"; }), "which no criterion hears");
  has(says([](choice_problem& p) { p.places[0].ways[1].parts.clear(); }),
      "places[0].ways[1].parts is 0 long");
  has(says([](choice_problem& p) { p.places[0].ways[1].parts[0] = one_of<capacitance>({0_F}); }), "is 0 F");
  has(says([](choice_problem& p) { p.places[0].ways[1].parts[0] = any_value(2_nF, 1_nF); }), ".high is 1 nF");
  has(says([](choice_problem& p) {
        p.places[0].ways[1] = tone_capacitor("tone", one_of<resistance>({1_kOhm}));
      }),
      "is resistor; allowed: a capacitor");
  has(says([](choice_problem&) {}, {.by = rank_by::yield}), "yield only with a limit");
  has(says([](choice_problem&) {}, {.most = 0}), "choose_settings.most is 0");
  // More than is allowed is refused with the count: 193 values of E96 and 'nothing' at each of three places.
  has(says([](choice_problem& p) {
        p.places.clear();
        for (const char* name : {"a", "b", "c"})
          p.places.push_back(
              {name, {nothing(), across_at("neck", from_series(e_series::e96, 1_nF, 100_nF))}});
      }),
      "places is 7301384 combinations to evaluate; allowed: at most 2000000");
  // Two resistors of a value that is there once, and no other way.
  has(says([](choice_problem& p) {
        const way one = across_track("neck volume", from_drawer(stock_kind::resistor));
        p.places = {{"a", {one}}, {"b", {wiper_to_low("neck volume", from_drawer(stock_kind::resistor))}}};
        p.from.parts = {in_stock(100_kOhm)};
      }),
      "no combination that can be built");
}
