// SPDX-License-Identifier: BSL-1.0
// Tolerance studies: equal on any split, against brute force and against closed forms.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <thread>
#include <vector>

#include <lodewire/analysis/study.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"
#include "../counted_new.hpp"
#include "toleranced_guitar.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;

namespace {

study_plan plan_of(std::size_t points, std::uint64_t seed = 1) {
  study_plan plan;
  if (points > 0) plan.hz = log_grid(50_Hz, 15_kHz, points);
  plan.seed = seed;
  return plan;
}

/// How many builds lie in another bin.
std::uint64_t moved(const histogram& a, const histogram& b) {
  REQUIRE(a.rows() == b.rows());
  REQUIRE(a.bins() == b.bins());
  std::uint64_t sum = 0;
  for (std::size_t r = 0; r < a.rows(); ++r)
    for (std::size_t i = 0; i < a.bins() + 2; ++i)
      sum += a.row(r)[i] > b.row(r)[i] ? a.row(r)[i] - b.row(r)[i] : 0;
  return sum;
}

} // namespace

TEST_CASE("1, 2 and 7 shards, in any order and on threads, count exactly the same") {
  const tests::toleranced_guitar guitar;
  study_plan plan = plan_of(17);
  plan.limits.peak_lowest = 3.6_kHz;
  plan.limits.curve_highest_db = std::vector<double>(17, 1.5);
  const study of(guitar.whole(), guitar.parts(), plan);
  constexpr std::uint64_t builds = 10'007; // a prime
  const study_tally whole = of.run(0, builds);
  CHECK(whole.builds == builds);
  CHECK(whole.passed > 0);
  CHECK(whole.passed < builds);
  for (const std::uint64_t shards : {1U, 2U, 7U}) {
    study_tally sum = of.tally();
    for (std::uint64_t k = shards; k-- > 0;)
      sum.merge(of.run(k * builds / shards, (k + 1) * builds / shards));
    CHECK(sum == whole);
  }
  std::vector<study_tally> part(7);
  std::vector<std::thread> threads;
  for (std::uint64_t k = 0; k < 7; ++k)
    threads.emplace_back([&, k] { part[k] = of.run(k * builds / 7, (k + 1) * builds / 7); });
  for (std::thread& t : threads) t.join();
  for (std::size_t k = 1; k < 7; ++k) part[0].merge(part[k]);
  CHECK(part[0] == whole);
  CHECK(!(study(guitar.whole(), guitar.parts(), plan_of(17, 2)).run(0, builds) == whole));
}

TEST_CASE("a tally of another study is refused, and nothing is added") {
  const tests::toleranced_guitar guitar;
  study_tally a = study(guitar.whole(), guitar.parts(), plan_of(5)).run(0, 100);
  const study_tally before = a;
  CHECK(error_of([&] { a.merge(study(guitar.whole(), guitar.parts(), plan_of(6)).run(0, 100)); }) ==
        "histogram is one of other bins or rows; allowed: one of the same study");
  CHECK(a == before);
}

TEST_CASE("a study against brute force: every build composed, evaluated and searched by itself") {
  const tests::toleranced_guitar guitar;
  study_plan plan = plan_of(9);
  plan.limits.peak_lowest = 3.6_kHz;
  plan.limits.height_highest = decibel(1.7);
  plan.limits.level_lowest = decibel(-3.2);
  plan.limits.curve_lowest_db = {-4, -4, -4, -4, -4, -4, -4, -4, -30};
  const study of(guitar.whole(), guitar.parts(), plan);
  constexpr std::uint64_t builds = 3'000;
  const study_tally fast = of.run(0, builds);
  study_tally slow = of.tally();
  for (std::uint64_t i = 0; i < builds; ++i) {
    const source s = of.build(i);
    const transfer_function h = transfer(s);
    bool curve = true;
    for (std::size_t r = 0; r < plan.hz.size(); ++r) {
      const double p = std::norm(h(frequency::from_value(plan.hz[r])));
      slow.curve.add(p, r);
      curve = curve && power_level(p).value() >= plan.limits.curve_lowest_db[r];
    }
    const decibel at_level = level(s, plan.level_at);
    slow.level.add(std::pow(10, at_level.value() / 10));
    const resonance found = find_resonance(h);
    REQUIRE(found.has_peak);
    slow.peak.add(found.peak.value());
    slow.height.add(std::pow(10, found.height.value() / 10));
    if (found.quality > 0) slow.quality.add(found.quality);
    const bool peak = found.peak >= *plan.limits.peak_lowest,
               height = found.height <= *plan.limits.height_highest,
               loud = at_level >= *plan.limits.level_lowest;
    slow.missed_curve += !curve;
    slow.missed_peak += !peak;
    slow.missed_height += !height;
    slow.missed_level += !loud;
    slow.passed += curve && peak && height && loud;
    ++slow.builds;
  }
  CHECK(slow.missed_curve > 0);
  CHECK(slow.missed_peak > 0);
  CHECK(slow.missed_height > 0);
  CHECK(slow.missed_level > 0);
  CHECK(fast.passed == slow.passed);
  CHECK(fast.missed_curve == slow.missed_curve);
  CHECK(fast.missed_peak == slow.missed_peak);
  CHECK(fast.missed_height == slow.missed_height);
  CHECK(fast.missed_level == slow.missed_level);
  CHECK(fast.without_peak == 0);
  // Only what lies within rounding of the end of a bin may be counted beside it.
  CHECK(moved(fast.curve, slow.curve) <= 1);
  CHECK(moved(fast.level, slow.level) <= 1);
  CHECK(moved(fast.peak, slow.peak) <= 1);
  CHECK(moved(fast.height, slow.height) <= 1);
  CHECK(moved(fast.quality, slow.quality) <= 1);
}

TEST_CASE("any width counts the same within rounding") {
  const tests::toleranced_guitar guitar;
  const study_plan plan = plan_of(16);
  const auto tally = [&]<int Width>(std::integral_constant<int, Width>) {
    return basic_study<Width>(guitar.whole(), guitar.parts(), plan).run(5, 4'005);
  };
  const study_tally one = tally(std::integral_constant<int, 1>{});
  for (const study_tally& other :
       {tally(std::integral_constant<int, 2>{}), tally(std::integral_constant<int, 4>{}),
        tally(std::integral_constant<int, 8>{})}) {
    CHECK(other.builds == one.builds);
    CHECK(moved(other.curve, one.curve) <= 1);
    CHECK(moved(other.level, one.level) <= 1);
    CHECK(moved(other.peak, one.peak) <= 1);
    CHECK(moved(other.height, one.height) <= 1);
    CHECK(moved(other.quality, one.quality) <= 1);
  }
}

TEST_CASE("two capacitors in parallel: the closed-form variance of their sum") {
  // |H| = i/(ω·(C1 + C2)), so 1/|H| is a sum of independent parts: Var = σ1² + σ2².
  const auto make = [](double a, double b) {
    return ideal_current(1_mA) | in_shunt(from_si<capacitance>(22e-9 * a)) |
           in_shunt(from_si<capacitance>(33e-9 * b));
  };
  const auto first = distribution::uniform(tolerance::symmetric(0.1));
  const auto second = distribution::normal(tolerance::symmetric(0.2), 2);
  std::vector<toleranced_part> parts{{find_part("C1", [&](double f) { return make(f, 1); }), first},
                                     {find_part("C2", [&](double f) { return make(1, f); }), second}};
  constexpr std::uint64_t builds = 100'000;
  const auto spread_of = [&] {
    study_plan plan = plan_of(0);
    plan.with_resonance = false;
    const study_tally t = study(make(1, 1), parts, plan).run(0, builds);
    CHECK(t.curve.rows() == 0);
    const double scale = 1e-3 / (2 * std::numbers::pi * 100);
    return t.level.moments_of([&](double square) { return scale / std::sqrt(square); });
  };
  const double s1 = 22e-9 * 0.2 / std::sqrt(12.), s2 = 33e-9 * second.standard_deviation();
  const double error = 5 / std::sqrt(2. * builds); // five standard errors of a standard deviation, at most
  const histogram::moments apart = spread_of();
  CHECK(near(apart.mean, 55e-9, 5 * s2 * 2 / 55e-9 / std::sqrt(1. * builds)));
  CHECK(near(apart.standard_deviation, std::sqrt(s1 * s1 + s2 * s2), error));
  // Wholly correlated and of one law they add: (22 + 33) nF·σ.
  parts[0].law = second;
  parts[0].group = parts[1].group = "one reel";
  CHECK(near(spread_of().standard_deviation, 55e-9 * second.standard_deviation(), error));
  // Half: 22² + 33² + 2·0.5·22·33. Between two cut normal laws the copula's 0.5 is a little less.
  parts[0].correlation = parts[1].correlation = 0.5;
  const double half = std::sqrt(22. * 22 + 33. * 33 + 22. * 33) * 1e-9 * second.standard_deviation();
  CHECK(near(spread_of().standard_deviation, half, error + 0.01));
  // Every part keeps its own law.
  const study of(make(1, 1), parts, plan_of(0));
  double lowest = 0, highest = 0, squares = 0;
  for (std::uint64_t i = 0; i < 5'000; ++i) {
    const double x = of.deviations(i)[1];
    lowest = std::min(lowest, x);
    highest = std::max(highest, x);
    squares += x * x / 5'000;
  }
  CHECK(lowest >= -0.2);
  CHECK(highest <= 0.2);
  CHECK(near(std::sqrt(squares), second.standard_deviation(), 0.05));
}

TEST_CASE("quantiles of a uniform part are those of the line") {
  const auto make = [](double f) { return ideal_current(1_A) | in_shunt(from_si<resistance>(f)); };
  const std::vector<toleranced_part> parts{
      {find_part("R", make), distribution::uniform({.minus = 0.2, .plus = 0.8})}};
  study_plan plan = plan_of(3);
  plan.with_resonance = false;
  const study_tally t = study(make(1), parts, plan).run(0, 50'000);
  for (const double q : {0.01, 0.1, 0.5, 0.9, 0.99}) {
    CAPTURE(q);
    const double r = 0.8 + q; // five standard errors of a fraction, and a bin of 2^-8 of |H|
    const double allowed = 5 * std::sqrt(q * (1 - q) / 50'000);
    CHECK(std::abs(std::pow(10, t.level_quantile(q).value() / 20) - r) < allowed + r * 0x1p-11);
    for (const decibel d : t.curve_quantile(q))
      CHECK(std::abs(std::pow(10, d.value() / 20) - r) < allowed + r * 0x1p-8);
  }
  CHECK(t.level_quantile(0).value() >= 20 * std::log10(0.8) - 0.005);
  CHECK(t.level_quantile(1).value() <= 20 * std::log10(1.8) + 0.005);
}

TEST_CASE("progress is told, and may end the run") {
  const tests::toleranced_guitar guitar;
  const study of(guitar.whole(), guitar.parts(), plan_of(4));
  study_tally t = of.tally();
  std::vector<std::uint64_t> told;
  const std::uint64_t done = of.run(10, 10'010, t, [&](std::uint64_t n) {
    told.push_back(n);
    return n < 3'000;
  });
  CHECK(done == 3'072);
  CHECK(told == std::vector<std::uint64_t>{1'024, 2'048, 3'072});
  CHECK(t.builds == done);
  CHECK(t == of.run(10, 10 + done));
  told.clear();
  CHECK(of.run(0, 1'500, t, [&](std::uint64_t n) { return told.push_back(n), true; }) == 1'500);
  CHECK(told == std::vector<std::uint64_t>{1'024, 1'500});
  CHECK(of.run(7, 7).builds == 0);
  CHECK(of.run(7, 7).yield() == 0);
  CHECK(of.run(7, 7).peak_quantile(0.5).value() == 0);
}

TEST_CASE("memory does not depend on the number of builds, and a run under way allocates nothing") {
  const tests::toleranced_guitar guitar;
  const study of(guitar.whole(), guitar.parts(), plan_of(16));
  study_tally t = of.tally();
  const auto allocated = [&](std::uint64_t builds) {
    return allocations_of([&] { of.run(0, builds, t, [](std::uint64_t) { return true; }); });
  };
  const long few = allocated(16);
  CHECK(few > 0);
  CHECK(allocated(20'000) == few);
}

TEST_CASE("several resonances, none, and one without a level at dc") {
  // Two peaks of nearly one height: which is higher changes from build to build.
  const auto two = [](double f) {
    return parallel(magnetic_coil{.inductance = 2_H,
                                  .resistance = from_si<resistance>(1e4 * f),
                                  .capacitance = 900_pF} |
                        in_series(1_MOhm),
                    magnetic_coil{.inductance = 0.5_H, .resistance = 7.5_kOhm, .capacitance = 400_pF} |
                        in_series(1_MOhm)) |
           in_shunt(10_MOhm);
  };
  const auto low_cut = [&](double f) { return two(f) | in_series(1_nF) | in_shunt(100_kOhm); };
  const auto dull = [](double f) {
    return ideal_emf(1_V) | in_series(from_si<resistance>(1e4 * f)) | in_shunt(10_nF);
  };
  const auto against_single = [&](const auto& make, bool has_peak) {
    study_plan plan = plan_of(0);
    plan.search.to = 100_kHz;
    const std::vector<toleranced_part> parts{
        {find_part("part", make), distribution::uniform(tolerance::symmetric(0.3))}};
    const study of(make(1), parts, plan);
    study_tally slow = of.tally();
    for (std::uint64_t i = 0; i < 500; ++i) {
      const resonance r = find_resonance(of.build(i), plan.search);
      CHECK(r.has_peak == has_peak);
      if (!r.has_peak) {
        ++slow.without_peak;
        continue;
      }
      slow.peak.add(r.peak.value());
      slow.height.add(std::pow(10, r.height.value() / 10));
    }
    const study_tally fast = of.run(0, 500);
    CHECK(fast.without_peak == slow.without_peak);
    CHECK(moved(fast.peak, slow.peak) <= 1);
    CHECK(moved(fast.height, slow.height) <= 1);
    return fast.peak_quantile(1) / fast.peak_quantile(0);
  };
  CHECK(against_single(two, true) > 1.5); // from one peak to the other
  against_single(low_cut, true);
  against_single(dull, false);
}

TEST_CASE("what is no study is refused") {
  const tests::toleranced_guitar guitar;
  const auto refused = [&](auto change) {
    study_plan plan = plan_of(4);
    std::vector<toleranced_part> parts = guitar.parts();
    change(plan, parts);
    return error_of([&] { static_cast<void>(study(guitar.whole(), parts, plan)); });
  };
  CHECK(refused([](auto& plan, auto&) { plan.hz = {2, 1}; }).find("grid[1] is 1 Hz") == 0);
  CHECK(refused([](auto& plan, auto&) { plan.level_at = 0_Hz; }) ==
        "study_plan.level_at is 0 Hz; allowed: more than 0 Hz");
  CHECK(refused([](auto& plan, auto&) {
          plan.limits.curve_lowest_db = {1, 2};
        }) == "study_limits.curve_lowest_db is 2 entries; allowed: none, or 4, one for each frequency");
  CHECK(refused([](auto& plan, auto&) {
          plan.with_resonance = false;
          plan.limits.peak_lowest = 1_kHz;
        }) == "study_plan.with_resonance is false with limits on resonance or height; allowed: true");
  CHECK(refused([](auto&, auto& parts) { parts[0].correlation = 1.5; }) ==
        "toleranced_part.correlation is 1.5; allowed: 0 to 1");
  CHECK(refused([](auto&, auto& parts) {
          parts[0].part.on[0].slot = 500;
        }).find("slot is 500; allowed: less than") != std::string::npos);
  CHECK(refused([](auto&, auto& parts) {
          parts[1].part.on[0] = {0, 0, 20};
        }).find("change its sign") != std::string::npos);
  CHECK_THROWS_AS(study(ideal_emf(1_V) | in_series(power_law(1_kOhm, 0.5)) | in_shunt(1_nF), {}, plan_of(2)),
                  not_rational);
  // Nothing reaches the output: below all bins.
  const study_tally silent = study(ideal_emf(1_V) | in_series(open_circuit()), {}, plan_of(2)).run(0, 20);
  CHECK(silent.curve.row(1)[silent.curve.bins()] == 20);
  CHECK(silent.without_peak == 20);
  // No parts: every build is the nominal one.
  const study_tally same = study(guitar.whole(), {}, plan_of(4)).run(0, 100);
  CHECK(near(same.peak_quantile(0.5).value(), find_resonance(guitar.whole()).peak.value(), 1e-3));
}
