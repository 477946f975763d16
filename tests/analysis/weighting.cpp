// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <limits>

#include <lodewire/analysis/weighting.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using enum frequency_weighting;

namespace {

double a_db(double hz) { return weighting_level(a, frequency::from_value(hz)).value(); }

/// The exact frequency of the n-th third of an octave from 1 kHz.
double exact(int n) { return 1000 * std::pow(10.0, n / 10.0); }

} // namespace

TEST_CASE("the table of the A-weighting, at its exact frequencies") {
  // IEC 61672-1, frequency weighting A from 10 Hz to 20 kHz, as printed at lichtbeeldgeluid.nl/geluid/tabellen.
  const std::array printed{-70.4, -63.4, -56.7, -50.5, -44.7, -39.4, -34.6, -30.2, -26.2, -22.5, -19.1, -16.1,
                           -13.4, -10.9, -8.6,  -6.6,  -4.8,  -3.2,  -1.9,  -0.8,  0.0,   0.6,   1.0,   1.2,
                           1.3,   1.2,   1.0,   0.5,   -0.1,  -1.1,  -2.5,  -4.3,  -6.6,  -9.3};
  static_assert(printed.size() == 34);
  for (int n = -20; n <= 13; ++n) {
    CAPTURE(n);
    CHECK(std::abs(a_db(exact(n)) - printed[static_cast<std::size_t>(n + 20)]) <= 0.05);
  }
  // The printed frequencies are nominal: 12.5 Hz stands for 12.589 Hz, and does not have its level.
  CHECK(std::abs(a_db(12.5) - a_db(exact(-19))) > 0.1);
}

TEST_CASE("three decimals of the A-weighting") {
  // Computed from the formula of IEC 61672-1.
  struct row {
    int n;
    double db;
  };
  for (const row& r : {row{-15, -39.440}, row{-12, -26.194}, row{-9, -16.098}, row{-6, -8.630},
                       row{-3, -3.233}, row{3, 1.200}, row{6, 0.970}, row{9, -1.111}, row{12, -6.603}}) {
    CAPTURE(r.n);
    CHECK(std::abs(a_db(exact(r.n)) - r.db) <= 0.00051);
  }
  // Before it is normalised, 1 kHz stands at -1.99966 dB (computed from the formula; the standard prints -2.000).
  CHECK(std::abs(voltage_level(detail::a_weighting_reference).value() + 1.99966) <= 5e-6);
  CHECK(std::abs(a_db(1000)) <= 1e-14);
}

TEST_CASE("the poles follow from what the standard defines them by") {
  // From memory: half power at 10^1.5 Hz and 10^3.9 Hz for the double poles, 10^2.45 Hz for the single ones.
  const double fr = 1000, low = std::pow(10.0, 1.5), high = std::pow(10.0, 3.9), fa = std::pow(10.0, 2.45);
  const double d = std::sqrt(0.5), product = low * low * high * high;
  const double b = (fr * fr + product / (fr * fr) - d * (low * low + high * high)) / (1 - d);
  const double f1 = std::sqrt((-b - std::sqrt(b * b - 4 * product)) / 2),
               f4 = std::sqrt((-b + std::sqrt(b * b - 4 * product)) / 2);
  const double f2 = (3 - std::sqrt(5.0)) / 2 * fa, f3 = (3 + std::sqrt(5.0)) / 2 * fa;
  const auto shape = [&](double f) {
    const double x = f * f;
    return f4 * f4 * x * x / ((x + f1 * f1) * std::sqrt((x + f2 * f2) * (x + f3 * f3)) * (x + f4 * f4));
  };
  for (double hz = 1; hz < 1e6; hz *= 1.3)
    CHECK(check::near(detail::a_weighting_shape(hz), shape(hz), 2e-7)); // poles of eight digits
}

TEST_CASE("far from the ear's range, and no weighting") {
  // 80 dB a decade below (four zeros at 0), -40 above (two poles over the zeros).
  CHECK(std::abs(a_db(1e-3) - a_db(1e-4) - 80) < 1e-6);
  CHECK(std::abs(a_db(1e8) - a_db(1e9) - 40) < 1e-6);
  CHECK(weighting_ratio(a, frequency::from_value(1e-300)) >= 0);
  CHECK(weighting_ratio(a, frequency::from_value(1e300)) >= 0);
  CHECK(weighting_ratio(a, frequency::from_value(1e-300)) < 1e-200);
  CHECK(weighting_ratio(a, frequency::from_value(1e300)) < 1e-80);
  for (const frequency& f : {1_Hz, 1_kHz, 20_kHz}) {
    CHECK(weighting_ratio(z, f) == 1);
    CHECK(weighting_level(z, f) == 0_dB);
  }
}

TEST_CASE("a frequency that is none is refused") {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN(),
                   infinity = std::numeric_limits<double>::infinity();
  for (const auto which : {z, a}) {
    CHECK(error_of([&] { (void)weighting_level(which, 0_Hz); }) ==
          "frequency is 0 Hz; allowed: more than 0 Hz");
    CHECK(error_of([&] { (void)weighting_ratio(which, -1.0 * 5_Hz); }) ==
          "frequency is -5 Hz; allowed: more than 0 Hz");
    for (const double bad : {nan, infinity, -infinity})
      CHECK(error_of([&] { (void)weighting_ratio(which, frequency::from_value(bad)); }) != "no error");
  }
}
