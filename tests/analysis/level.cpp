// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <complex>
#include <limits>
#include <string>

#include <doctest/doctest.h>

#include <lodewire/analysis/level.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;

namespace {

bool close(decibel ours, double theirs, double within) { return std::abs(ours.value() - theirs) <= within; }

/// EMFs of 3 V and 4 V in series: 7 V coherent, 5 V as a power sum.
source three_four() { return series(ideal_emf(3_V, "three"), ideal_emf(4_V, "four")); }

} // namespace

TEST_CASE("per EMF, coherent and power sum") {
  // Computed from the formula.
  const source s = three_four();
  for (const frequency& f : {20_Hz, 1_kHz}) {
    CHECK(close(level(s, 0, f), 20 * std::log10(3), 1e-12));
    CHECK(close(level(s, 1, f), 20 * std::log10(4), 1e-12));
    CHECK(close(level(s, f), 20 * std::log10(7), 1e-12));
    CHECK(close(power_sum_level(s, f), 20 * std::log10(5), 1e-12));
  }
  // Equal ones: +6.02 dB in phase, +3.01 dB without any relation.
  const source equal = series(ideal_emf(1_V), ideal_emf(1_V));
  CHECK(close(level(equal), 6.0206, 1e-5));
  CHECK(close(power_sum_level(equal), 3.0103, 1e-5));
  // Ten EMFs.
  source ten = ideal_emf(1_V);
  for (int i = 1; i < 10; ++i) ten = series(ten, ideal_emf(1_V));
  CHECK(close(level(ten), 20, 1e-12));
  CHECK(close(power_sum_level(ten), 10, 1e-12));
}

TEST_CASE("opposite EMFs cancel in the coherent sum only") {
  const source s = series(ideal_emf(1_V), reversed(ideal_emf(1_V)));
  const double nothing = level(s).value();
  CHECK(!is_finite(nothing)); // minus infinity
  CHECK(std::signbit(nothing));
  CHECK(close(power_sum_level(s), 3.0103, 1e-5));
  const magnetic_coil coil{.inductance = 2.5_H, .resistance = 4_kOhm, .capacitance = 60_pF};
  const source turned = humbucking_pair(coil, coil, 0.1).as_series_out_of_phase();
  CHECK(level(turned).value() < -200);
  CHECK(std::abs(level(turned, 0).value()) < 0.2);
  CHECK(close(power_sum_level(turned), 3.0103, 0.02));
}

TEST_CASE("the level when nothing is said is that at 100 Hz") {
  const source high_pass = ideal_emf(1_V) | in_series(15.91549431_nF) | in_shunt(100_kOhm); // 100 Hz
  CHECK(low_level_frequency == 100_Hz);
  CHECK(close(level(high_pass), -3.0103, 1e-4));
  CHECK(close(level(high_pass, 0), -3.0103, 1e-4));
  CHECK(close(power_sum_level(high_pass), -3.0103, 1e-4));
  CHECK(close(level(high_pass, 10_kHz), 0, 1e-3));
}

TEST_CASE("a divider's level") {
  // 25 kΩ behind 10 kΩ: -2.923 dB; 250 kΩ: -0.341 dB (computed from the formula).
  CHECK(close(level(ideal_emf(1_V) | in_series(10_kOhm) | in_shunt(25_kOhm)), -2.923, 0.00051));
  CHECK(close(level(ideal_emf(1_V) | in_series(10_kOhm) | in_shunt(250_kOhm)), -0.341, 0.00051));
}

TEST_CASE("what is refused") {
  const source s = three_four();
  CHECK(error_of([&] { (void)level(s, 2); }) == "EMF number is 2; allowed: 0 to 1");
  CHECK(error_of([&] { (void)level(s, 0_Hz); }) == "frequency is 0 Hz; allowed: more than 0 Hz");
  CHECK(error_of([&] { (void)level(s, 0, -1_kHz); }) == "frequency is -1 kHz; allowed: more than 0 Hz");
  CHECK(error_of([&] { (void)power_sum_level(s, 0_Hz); }) == "frequency is 0 Hz; allowed: more than 0 Hz");
  CHECK(error_of([&] { (void)level(s, frequency::from_value(std::numeric_limits<double>::quiet_NaN())); }) ==
        "frequency is NaN Hz; allowed: more than 0 Hz");
}
