// SPDX-License-Identifier: BSL-1.0
// The corners of the tolerances, and which part's tolerance matters.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include <lodewire/analysis/variance_share.hpp>
#include <lodewire/analysis/worst_case.hpp>

#include "../check.hpp"
#include "toleranced_guitar.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;

namespace {

study_plan plan_of(std::vector<double> hz) {
  study_plan plan;
  plan.hz = std::move(hz);
  return plan;
}

std::vector<varied_part> bare(const std::vector<toleranced_part>& from) {
  std::vector<varied_part> parts;
  for (const toleranced_part& p : from) parts.push_back(p.part);
  return parts;
}

} // namespace

TEST_CASE("every corner of seven parts against one circuit each") {
  const tests::toleranced_guitar guitar;
  const study of(guitar.whole(), guitar.parts(), plan_of({200, 2e3, 4e3, 9e3}));
  const worst_case found = find_worst_case(of);
  CHECK(found.corners == 128);
  CHECK(found.every_corner);
  CHECK(!found.any_without_peak);
  std::vector<double> lowest(5, 1e300), highest(5, -1e300);
  double peak[2] = {1e300, 0}, height[2] = {1e300, -1e300};
  for (unsigned corner = 0; corner < 128; ++corner) {
    std::vector<double> x;
    for (std::size_t p = 0; p < 7; ++p) {
      const distribution& law = of.parts()[p].law;
      x.push_back(corner >> p & 1U ? law.highest() : law.lowest());
    }
    const source s = of.with(x);
    for (std::size_t r = 0; r < 5; ++r) {
      const double db = level(s, r < 4 ? frequency::from_value(of.plan().hz[r]) : of.plan().level_at).value();
      lowest[r] = std::min(lowest[r], db);
      highest[r] = std::max(highest[r], db);
    }
    const resonance at = find_resonance(s);
    peak[0] = std::min(peak[0], at.peak.value());
    peak[1] = std::max(peak[1], at.peak.value());
    height[0] = std::min(height[0], at.height.value());
    height[1] = std::max(height[1], at.height.value());
  }
  for (std::size_t r = 0; r < 4; ++r) {
    CHECK(std::abs(found.curve[r].lowest.value() - lowest[r]) < 1e-11);
    CHECK(std::abs(found.curve[r].highest.value() - highest[r]) < 1e-11);
  }
  CHECK(std::abs(found.level.lowest.value() - lowest[4]) < 1e-11);
  CHECK(std::abs(found.level.highest.value() - highest[4]) < 1e-11);
  CHECK(near(found.peak.lowest.value(), peak[0], 1e-10));
  CHECK(near(found.peak.highest.value(), peak[1], 1e-10));
  CHECK(std::abs(found.height.lowest.value() - height[0]) < 1e-10);
  CHECK(std::abs(found.height.highest.value() - height[1]) < 1e-10);
  // No build of a study lies outside, but for a bin's width.
  const study_tally t = of.run(0, 20'000);
  CHECK(t.peak_quantile(0) >= found.peak.lowest * 0.999);
  CHECK(t.peak_quantile(1) <= found.peak.highest * 1.001);
  CHECK(t.level_quantile(0).value() >= found.level.lowest.value() - 0.005);
  CHECK(t.level_quantile(1).value() <= found.level.highest.value() + 0.005);
}

TEST_CASE("parts that share all of their deviation turn together") {
  const tests::toleranced_guitar guitar;
  std::vector<toleranced_part> parts = guitar.parts();
  parts[5].correlation = parts[6].correlation = 1;
  const study of(guitar.whole(), parts, plan_of({1e3}));
  const worst_case found = find_worst_case(of);
  CHECK(found.corners == 64);
  CHECK(found.level.highest.value() <=
        find_worst_case(study(guitar.whole(), guitar.parts(), plan_of({1e3}))).level.highest.value());
}

TEST_CASE("more than 20 parts: monotone ones by their slopes, against one part of the same total") {
  // 24 capacitors of 1/24 each are one capacitor, all at one end at the extremes.
  constexpr std::size_t count = 24;
  const auto many = [&](std::size_t which, double f) {
    source s = ideal_emf(1_V) | in_series(7_kOhm) | in_series(3_H);
    for (std::size_t k = 0; k < count; ++k)
      s = s | in_shunt(from_si<capacitance>(480e-12 / count * (k == which ? f : 1)));
    return s | in_shunt(300_kOhm);
  };
  const auto single = [](double f) {
    return ideal_emf(1_V) | in_series(7_kOhm) | in_series(3_H) | in_shunt(from_si<capacitance>(480e-12 * f)) |
           in_shunt(300_kOhm);
  };
  const auto law = distribution::uniform({.minus = 0.1, .plus = 0.2});
  std::vector<toleranced_part> parts;
  for (std::size_t k = 0; k < count; ++k)
    parts.push_back({find_part("C" + std::to_string(k), [&](double f) { return many(k, f); }), law});
  study_plan plan = plan_of({1e3, 20e3});
  const worst_case by_slopes = find_worst_case(study(many(count, 1), parts, plan));
  const worst_case by_corners =
      find_worst_case(study(single(1), {{find_part("C", [&](double f) { return single(f); }), law}}, plan));
  CHECK(!by_slopes.every_corner);
  CHECK(by_slopes.corners == 10); // two for each of two frequencies, level, peak and height
  CHECK(by_corners.corners == 2);
  for (std::size_t r = 0; r < 2; ++r) {
    CHECK(std::abs(by_slopes.curve[r].lowest.value() - by_corners.curve[r].lowest.value()) < 1e-10);
    CHECK(std::abs(by_slopes.curve[r].highest.value() - by_corners.curve[r].highest.value()) < 1e-10);
  }
  CHECK(near(by_slopes.peak.lowest.value(), by_corners.peak.lowest.value(), 1e-10));
  CHECK(near(by_slopes.peak.highest.value(), by_corners.peak.highest.value(), 1e-10));
  CHECK(std::abs(by_slopes.height.lowest.value() - by_corners.height.lowest.value()) < 1e-9);
  CHECK(std::abs(by_slopes.height.highest.value() - by_corners.height.highest.value()) < 1e-9);
  // On the flank of the resonance each of them first raises and then lowers the level: none has one direction.
  plan.hz = {find_resonance(single(1)).peak.value()};
  CHECK(error_of([&] { static_cast<void>(find_worst_case(study(many(count, 1), parts, plan))); }) ==
        "worst case is 24 parts without one direction; allowed: up to 20");
}

TEST_CASE("variance shares: sum to 1, and their deviation is the study's") {
  const tests::toleranced_guitar guitar;
  // A quarter of the spreads, so that what is left out, of second order, is a sixteenth: under half a per cent.
  std::vector<toleranced_part> parts = guitar.parts(0.25);
  for (const double correlation : {0.0, 0.6, 1.0}) {
    CAPTURE(correlation);
    parts[5].correlation = parts[6].correlation = correlation;
    const auto slopes = find_resonance_sensitivity(guitar.whole(), bare(parts));
    const variance_shares of_peak = find_variance_shares(slopes.peak, parts);
    CHECK(near(std::accumulate(of_peak.share.begin(), of_peak.share.end(), 0.0), 1, 1e-12));
    CHECK(std::max_element(of_peak.share.begin(), of_peak.share.end()) - of_peak.share.begin() ==
          6); // the volume control
    const variance_shares of_height = find_variance_shares(slopes.height_db, parts);
    const study_tally t = study(guitar.whole(), parts, plan_of({})).run(0, 40'000);
    // 40 000 builds give a standard deviation to 0.35 %.
    const double peak = t.peak.moments_of([](double hz) { return std::log(hz); }).standard_deviation;
    CHECK(near(of_peak.standard_deviation, peak, 0.015));
    const double height =
        t.height.moments_of([](double x) { return power_level(x).value(); }).standard_deviation;
    CHECK(near(of_height.standard_deviation, height, 0.015));
  }
  CHECK(error_of([&] { static_cast<void>(find_variance_shares(std::vector<double>{1}, parts)); }) ==
        "variance_shares.slopes is 1 entries; allowed: 7, one for each part");
  // Two equal independent parts share alike; tied together and working against each other they cancel.
  std::vector<toleranced_part> two(2, {{"a", {}}, distribution::uniform(tolerance::symmetric(0.1))});
  CHECK(near(find_variance_shares(std::vector<double>{1, 1}, two).share[0], 0.5, 1e-14));
  CHECK(near(find_variance_shares(std::vector<double>{1, 1}, two).standard_deviation, 0.2 / std::sqrt(6.),
             1e-12));
  two[0].group = two[1].group = "reel";
  CHECK(find_variance_shares(std::vector<double>{1, -1}, two).standard_deviation < 1e-15);
}
