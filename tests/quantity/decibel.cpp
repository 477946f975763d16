// SPDX-License-Identifier: BSL-1.0
// Levels and ratios.
#include <doctest/doctest.h>

#include <bit>
#include <cmath>
#include <cstdint>

#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/finite.hpp>
#include <lodewire/quantity/literals.hpp>

using namespace lodewire;
using namespace lodewire::literals;

TEST_CASE("voltage levels") {
  // 20·log10 of a potentiometer's mid value: computed from the formula.
  CHECK(std::abs(voltage_level(0.10).value() - -20.00) < 0.005);
  CHECK(std::abs(voltage_level(0.15).value() - -16.48) < 0.005);
  CHECK(std::abs(voltage_level(0.20).value() - -13.98) < 0.005);
  CHECK(std::abs(voltage_level(0.30).value() - -10.46) < 0.005);
  CHECK(voltage_level(1) == 0_dB);
  CHECK(voltage_level(10).value() == doctest::Approx(20).epsilon(1e-15));
  CHECK(voltage_level(2).value() ==
        doctest::Approx(6.020599913279624).epsilon(1e-15)); // 20·log10 2, by the formula
  // A reversed coil is as loud.
  CHECK(voltage_level(-0.5) == voltage_level(0.5));
}

TEST_CASE("power levels") {
  CHECK(power_level(1) == 0_dB);
  CHECK(power_level(100).value() == doctest::Approx(20).epsilon(1e-15));
  CHECK(power_level(0.5).value() ==
        doctest::Approx(-3.010299956639812).epsilon(1e-15)); // 10·log10 ½, by the formula
  // Half the voltage is a quarter of the power.
  CHECK(power_level(0.25).value() == doctest::Approx(voltage_level(0.5).value()).epsilon(1e-15));
}

TEST_CASE("silence is minus infinity decibels, and comes back as zero") {
  const volatile double nothing = 0;
  for (const decibel level : {voltage_level(nothing), power_level(nothing)})
    CHECK(std::bit_cast<std::uint64_t>(level.value()) == 0xfff0'0000'0000'0000U);
  CHECK(voltage_ratio(voltage_level(nothing)) == 0);
  CHECK(power_ratio(power_level(nothing)) == 0);
}

TEST_CASE("there and back") {
  for (double level = -180; level <= 60; level += 0.37) {
    CHECK(voltage_level(voltage_ratio(decibel{level})).value() == doctest::Approx(level).epsilon(1e-13));
    CHECK(power_level(power_ratio(decibel{level})).value() == doctest::Approx(level).epsilon(1e-13));
  }
  CHECK(voltage_ratio(-20_dB) == doctest::Approx(0.1).epsilon(1e-15));
  CHECK(power_ratio(-20_dB) == doctest::Approx(0.01).epsilon(1e-15));
  CHECK(voltage_ratio(0_dB) == 1);
}

TEST_CASE("levels add where ratios multiply") {
  const decibel sum = voltage_level(0.3) + voltage_level(0.7),
                difference = voltage_level(0.3) - voltage_level(0.7);
  CHECK(voltage_ratio(sum) == doctest::Approx(0.3 * 0.7).epsilon(1e-14));
  CHECK(voltage_ratio(difference) == doctest::Approx(0.3 / 0.7).epsilon(1e-14));
  CHECK(3_dB + 4_dB == 7_dB);
  CHECK(3_dB - 4_dB == -1_dB);
  CHECK(-(3_dB) == -3_dB);
  CHECK(+(3_dB) == 3_dB);
  CHECK(decibel{} == 0_dB);
  CHECK(-3_dB < 0_dB);
  CHECK(-3_dB > -6_dB);
  CHECK(-3_dB <= -3_dB);
  CHECK(-3_dB != -6_dB);
}
