// SPDX-License-Identifier: BSL-1.0
// How parts are spread: quantiles against published ones, moments against closed forms.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <vector>

#include <boost/math/distributions/normal.hpp>

#include <lodewire/analysis/distribution.hpp>

#include "../check.hpp"

using namespace lodewire;
using check::error_of;
using check::near;

namespace {

struct moments {
  double mean = 0, deviation = 0, lowest = 1e300, highest = -1e300;
};

/// Over every 2^16th word, each in the middle of its stratum.
moments of(const distribution& d) {
  moments m;
  double squares = 0, last = -1e300;
  int falls = 0;
  constexpr double n = 0x1p16;
  for (std::uint64_t i = 0; i < 0x10000; ++i) {
    const double x = d.sample(static_cast<std::uint32_t>(i << 16U | 0x8000U));
    m.mean += x / n;
    squares += x * x / n;
    falls += x < last;
    last = x;
  }
  CHECK(falls == 0);
  m.deviation = std::sqrt(squares - m.mean * m.mean);
  m.lowest = d.sample(0);
  m.highest = d.sample(0xffffffffU);
  return m;
}

} // namespace

TEST_CASE("published normal quantiles") {
  // M. J. Wichura, Applied Statistics 37 (1988): test values of PPND16 (from memory).
  CHECK(near(normal_quantile(0.25), -0.6744897501960817, 1e-15));
  CHECK(near(normal_quantile(0.001), -3.090232306167814, 1e-15));
  CHECK(near(normal_quantile(1e-20), -9.262340089798408, 1e-15));
  // Abramowitz and Stegun, "Handbook of mathematical functions", ch. 26: 5 decimals (from memory).
  CHECK(std::abs(normal_quantile(0.95) - 1.64485) < 5e-6);
  CHECK(std::abs(normal_quantile(0.975) - 1.95996) < 5e-6);
  CHECK(std::abs(normal_quantile(0.99) - 2.32635) < 5e-6);
  CHECK(std::abs(normal_quantile(0.995) - 2.57583) < 5e-6);
  CHECK(normal_quantile(0.5) == 0);
  const boost::math::normal reference;
  double worst = 0;
  for (double p = 1e-300; p < 1; p = p < 0.4 ? p * 1.7 : p + 0.0137) {
    const double exact = boost::math::quantile(reference, p);
    worst = std::max(worst, std::abs(normal_quantile(p) - exact) / std::max(std::abs(exact), 0.1));
    const double back = normal_fraction(normal_quantile(p));
    CHECK(near(back, p, 1e-12));
  }
  MESSAGE("normal_quantile is off by at most " << worst);
  CHECK(worst < 5e-15);
  CHECK(near(normal_density(1.5), boost::math::pdf(reference, 1.5), 1e-14));
  CHECK(error_of([] { static_cast<void>(normal_quantile(0)); }) ==
        "normal_quantile.p is 0; allowed: more than 0, less than 1");
}

TEST_CASE("uniform") {
  const auto d = distribution::uniform({.minus = 0.2, .plus = 0.8});
  const moments m = of(d);
  CHECK(near(m.mean, 0.3, 1e-9));
  CHECK(near(d.mean(), 0.3, 1e-14));
  CHECK(near(m.deviation, 1 / std::sqrt(12.), 1e-8)); // width/√12
  CHECK(near(d.standard_deviation(), 1 / std::sqrt(12.), 1e-14));
  CHECK(near(d.sample(0x3fffffffU), 0.05, 1e-8));
  CHECK(m.lowest >= -0.2);
  CHECK(m.highest <= 0.8);
  CHECK(near(m.lowest, -0.2, 1e-8));
  CHECK(near(m.highest, 0.8, 1e-8));
}

TEST_CASE("normal, cut at the tolerance") {
  for (const double k : {1.0, 2.0, 3.0, 4.5, 8.0}) {
    CAPTURE(k);
    const auto d = distribution::normal(tolerance::symmetric(0.1), k);
    const double sigma = 0.1 / k;
    double worst = 0;
    const boost::math::normal reference;
    const double end = boost::math::cdf(reference, -k);
    for (std::uint64_t i = 0; i < 200'000; ++i) {
      const auto word = static_cast<std::uint32_t>(i * 0x9e3779b97f4a7c15U >> 32U);
      const double u = (word + 0.5) * 0x1p-32;
      // The lower half's quantile, mirrored: the upper tail has no digits left near 1.
      const double lower = boost::math::quantile(reference, end + std::fmin(u, 1 - u) * (1 - 2 * end));
      worst = std::max(worst, std::abs(d.sample(word) / sigma - (u < 0.5 ? lower : -lower)));
    }
    CHECK(worst < 1e-6);
    const moments m = of(d);
    // Of a normal distribution cut at ±k: 1 - 2k·φ(k)/(2Φ(k) - 1) (N. L. Johnson, S. Kotz, "Continuous univariate
    // distributions 1", ch. 13, truncated normal; from memory).
    const double variance = 1 - 2 * k * boost::math::pdf(reference, k) / (1 - 2 * end);
    CHECK(near(d.standard_deviation(), sigma * std::sqrt(variance), 1e-13));
    CHECK(near(m.deviation, d.standard_deviation(), 1e-3)); // the strata of the tails are wide
    CHECK(std::abs(m.mean) < 1e-9);
    CHECK(m.lowest >= -0.1);
    CHECK(m.highest <= 0.1);
    CHECK(near(m.highest, 0.1, k < 4 ? 1e-5 : 0.3));
  }
  CHECK(distribution::normal({.minus = 0.2, .plus = 0.8}).mean() == doctest::Approx(0.3));
}

TEST_CASE("the rest of sorted parts has two humps") {
  const auto d = distribution::sorted(tolerance::symmetric(0.1), 0.05, 2);
  const moments m = of(d);
  CHECK(std::abs(m.mean) < 1e-9);
  CHECK(near(m.deviation, d.standard_deviation(), 1e-6));
  int inside = 0, outside = 0;
  for (std::uint64_t i = 0; i < 0x10000; ++i) {
    const double x = std::abs(d.sample(static_cast<std::uint32_t>(i << 16U)));
    inside += x < 0.05 - 1e-8;
    outside += x > 0.1;
  }
  CHECK(inside == 0);
  CHECK(outside == 0);
  // Half of each hump lies within the quantile of (Φ(-2) + Φ(-1))/2 (computed from the formula).
  CHECK(near(d.sample(0xbfffffffU), -0.05 * normal_quantile((normal_fraction(-2) + normal_fraction(-1)) / 2),
             1e-6));
}

TEST_CASE("a measured list") {
  const auto d = distribution::measured({0.03, -0.02, 0.01, 0.01});
  CHECK(d.lowest() == -0.02);
  CHECK(d.highest() == 0.03);
  CHECK(near(d.mean(), 0.0075, 1e-14));
  CHECK(near(d.standard_deviation(), std::sqrt(3.1875e-4), 1e-12)); // of these four numbers
  int count[3] = {};
  for (std::uint64_t i = 0; i < 0x10000; ++i) {
    const double x = d.sample(static_cast<std::uint32_t>(i << 16U));
    ++count[x < 0 ? 0 : x < 0.02 ? 1 : 2];
  }
  CHECK(count[0] == 0x4000);
  CHECK(count[1] == 0x8000);
  CHECK(count[2] == 0x4000);
}

TEST_CASE("what is no distribution is refused") {
  CHECK(error_of([] { static_cast<void>(distribution::uniform({.minus = 1, .plus = 0})); }) ==
        "tolerance.minus is 1; allowed: 0 or more, less than 1");
  CHECK(error_of([] { static_cast<void>(distribution::uniform({.minus = 0, .plus = -0.1})); }) ==
        "tolerance.plus is -0.1; allowed: 0 or more");
  CHECK(error_of([] { static_cast<void>(distribution::normal(tolerance::symmetric(0.1), 9)); }) ==
        "distribution.sigmas is 9; allowed: more than 0, up to 8");
  CHECK(error_of([] { static_cast<void>(distribution::sorted(tolerance::symmetric(0.1), 0.1)); }) ==
        "distribution.inner is 0.1; allowed: 0 or more, less than half the width of the limits, 0.1");
  CHECK(error_of([] { static_cast<void>(distribution::measured({})); }) ==
        "distribution.measured is an empty list; allowed: one deviation or more");
  CHECK(error_of([] {
          static_cast<void>(distribution::measured({0.1, -1}));
        }) == "distribution.measured is -1; allowed: finite and more than -1");
}
