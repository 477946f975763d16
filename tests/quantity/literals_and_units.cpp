// SPDX-License-Identifier: BSL-1.0
// Literals against the plain numbers of C++, names and symbols of units, and how units combine.
#include <doctest/doctest.h>

#include <charconv>
#include <string>
#include <type_traits>

#include <lodewire/quantity/literals.hpp>

using namespace lodewire;
using namespace lodewire::literals;

TEST_CASE("each literal, integer and decimal, is the nearest double in coherent SI") {
  CHECK((100_mOhm).value() == 0.1);
  CHECK((1.5_mOhm).value() == 1.5e-3);
  CHECK((470_Ohm).value() == 470);
  CHECK((2.2_Ohm).value() == 2.2);
  CHECK((500_kOhm).value() == 500e3);
  CHECK((4.7_kOhm).value() == 4700);
  CHECK((1_MOhm).value() == 1e6);
  CHECK((2.2_MOhm).value() == 2.2e6);
  CHECK((1_GOhm).value() == 1e9);
  CHECK((1.5_GOhm).value() == 1.5e9);
  CHECK((2_siemens).value() == 2);
  CHECK((0.5_siemens).value() == 0.5);
  CHECK((2_mS).value() == 2e-3);
  CHECK((1.1_mS).value() == 1.1e-3);
  CHECK((2_uS).value() == 2e-6);
  CHECK((1.1_uS).value() == 1.1e-6);
  CHECK((3_H).value() == 3);
  CHECK((3.1_H).value() == 3.1);
  CHECK((470_mH).value() == 0.47);
  CHECK((2.2_mH).value() == 2.2e-3);
  CHECK((22_uH).value() == 22e-6);
  CHECK((2.2_uH).value() == 2.2e-6);
  CHECK((22_nH).value() == 22e-9);
  CHECK((2.2_nH).value() == 2.2e-9);
  CHECK((1_F).value() == 1);
  CHECK((0.1_F).value() == 0.1);
  CHECK((1_uF).value() == 1e-6);
  CHECK((0.022_uF).value() == 22e-9);
  CHECK((22_nF).value() == 22e-9);
  CHECK((4.7_nF).value() == 4.7e-9);
  CHECK((110_pF).value() == 110e-12);
  CHECK((3.3_pF).value() == 3.3e-12);
  CHECK((440_Hz).value() == 440);
  CHECK((82.4_Hz).value() == 82.4);
  CHECK((5_kHz).value() == 5e3);
  CHECK((4.5_kHz).value() == 4500);
  CHECK((1_MHz).value() == 1e6);
  CHECK((1.2_MHz).value() == 1.2e6);
  CHECK((2_s).value() == 2);
  CHECK((0.1_s).value() == 0.1);
  CHECK((10_ms).value() == 10e-3);
  CHECK((1.5_ms).value() == 1.5e-3);
  CHECK((10_us).value() == 10e-6);
  CHECK((1.5_us).value() == 1.5e-6);
  CHECK((2_hours).value() == 7200);
  CHECK((0.5_hours).value() == 1800);
  CHECK((9_V).value() == 9);
  CHECK((8.4_V).value() == 8.4);
  CHECK((100_mV).value() == 0.1);
  CHECK((1.5_mV).value() == 1.5e-3);
  CHECK((20_uV).value() == 20e-6);
  CHECK((1.5_uV).value() == 1.5e-6);
  CHECK((1_A).value() == 1);
  CHECK((0.3_A).value() == 0.3);
  CHECK((2_mA).value() == 2e-3);
  CHECK((1.5_mA).value() == 1.5e-3);
  CHECK((300_uA).value() == 300e-6);
  CHECK((1.5_uA).value() == 1.5e-6);
  CHECK((5_nA).value() == 5e-9);
  CHECK((1.5_nA).value() == 1.5e-9);
  CHECK((2_W).value() == 2);
  CHECK((0.5_W).value() == 0.5);
  CHECK((250_mW).value() == 0.25);
  CHECK((1.5_mW).value() == 1.5e-3);
  CHECK((6_m).value() == 6);
  CHECK((5.5_m).value() == 5.5);
  CHECK((30_cm).value() == 0.3);
  CHECK((2.5_cm).value() == 2.5e-2);
  CHECK((3_mm).value() == 3e-3);
  CHECK((2.5_mm).value() == 2.5e-3);
  CHECK((500_mAh).value() == 1800);
  CHECK((0.5_mAh).value() == 1.8);
  CHECK((290_K).value() == 290);
  CHECK((293.15_K).value() == 293.15);
  CHECK((95_pF_per_m).value() == 95e-12);
  CHECK((98.4_pF_per_m).value() == 98.4e-12);
  CHECK((1_nF_per_m).value() == 1e-9);
  CHECK((0.1_nF_per_m).value() == 0.1e-9);
  CHECK((1_Ohm_per_m).value() == 1);
  CHECK((0.1_Ohm_per_m).value() == 0.1);
  CHECK((40_mOhm_per_m).value() == 0.04);
  CHECK((1.5_mOhm_per_m).value() == 1.5e-3);
  CHECK((1_uH_per_m).value() == 1e-6);
  CHECK((0.3_uH_per_m).value() == 0.3e-6);
  CHECK((300_nH_per_m).value() == 300e-9);
  CHECK((1.5_nH_per_m).value() == 1.5e-9);
  CHECK((6_dB).value() == 6);
  CHECK((-0.5_dB).value() == -0.5);
}

TEST_CASE("literals round once") {
  // Decimals that a product or quotient in extended precision rounds to the neighbour, and C++ numbers of the same value.
  CHECK((29.1_pF).value() == 29.1e-12);
  CHECK((58.2_pF).value() == 58.2e-12);
  CHECK((116.4_pF).value() == 116.4e-12);
  CHECK((14.55_pF).value() == 14.55e-12);
  CHECK((1557_pF).value() == 1557e-12);
  CHECK((232.8_pF).value() == 232.8e-12);
  CHECK((52.1_nF).value() == 52.1e-9);
  CHECK((104.2_nF).value() == 104.2e-9);
  CHECK((1.557_nF).value() == 1.557e-9);
  CHECK((208.4_nF).value() == 208.4e-9);
  CHECK((2455_nF).value() == 2455e-9);
  CHECK((26.05_nF).value() == 26.05e-9);
  CHECK((86.7_uF).value() == 86.7e-6);
  CHECK((173.4_uF).value() == 173.4e-6);
  CHECK((2877_uF).value() == 2877e-6);
  CHECK((346.8_uF).value() == 346.8e-6);
  CHECK((43.35_uF).value() == 43.35e-6);
  CHECK((5.547_uF).value() == 5.547e-6);
  CHECK((2.877_mH).value() == 2.877e-3);
  CHECK((5.754_mH).value() == 5.754e-3);
  int different = 0;
  for (unsigned n = 0; n < 10'000; ++n)
    for (int power = -12; power <= 9; ++power) {
      const std::string text = std::to_string(n), exact = text + "e" + std::to_string(power);
      double nearest = 0;
      std::from_chars(exact.data(), exact.data() + exact.size(), nearest);
      different += detail::literal_value(text.c_str(), 1, power) != nearest;
    }
  CHECK(different == 0);
  // Signs and spellings that C++ allows.
  CHECK((1'000_kOhm).value() == 1e6);
  CHECK((1.5e3_Hz).value() == 1500);
  CHECK((15E-1_Hz).value() == 1.5);
  CHECK((2e+3_Hz).value() == 2000);
  CHECK((.5_mH).value() == 0.5e-3);
  CHECK((5._mH).value() == 5e-3);
  CHECK((0_pF).value() == 0);
  CHECK((000022_nF).value() == 22e-9);
  // More digits or a greater power than a double holds: to the last bit or two.
  CHECK((3.141592653589793_H).value() == 3.141592653589793);
  CHECK((9007.199254740993_kHz).value() == doctest::Approx(9007199.254740993).epsilon(1e-15));
  CHECK((1e-30_F).value() == doctest::Approx(1e-30).epsilon(1e-15));
  CHECK((1e25_Hz).value() == doctest::Approx(1e25).epsilon(1e-15));
}

TEST_CASE("literals are constant expressions") {
  static_assert(500_kOhm == from_si<resistance>(500e3));
  static_assert(22_nF == from_si<capacitance>(22e-9));
  static_assert(3.1_H > 3_H);
  static_assert(-3_dB < 0_dB);
}

TEST_CASE("from_si is the inverse of value()") {
  CHECK(from_si<resistance>(7400.0) == 7.4_kOhm);
  CHECK(from_si<capacitance_per_length>(95e-12) == 95_pF_per_m);
  CHECK(from_si<impedance>({1, 2}).value() == std::complex<double>{1, 2});
  CHECK(from_si<admittance>({1, 2}).value() == std::complex<double>{1, 2});
}

TEST_CASE("the names are Boost's own types, and units combine") {
  static_assert(std::is_same_v<resistance, boost::units::quantity<boost::units::si::resistance, double>>);
  static_assert(std::is_same_v<capacitance, boost::units::quantity<boost::units::si::capacitance, double>>);
  const duration time_constant = 100_kOhm * 1_nF;
  CHECK(time_constant / 1_us == doctest::Approx(100).epsilon(1e-14));
  const duration other = 3_H / 1_kOhm;
  CHECK(other / 1_ms == doctest::Approx(3).epsilon(1e-14));
  const capacitance cable = 95_pF_per_m * 6_m;
  CHECK(cable / 1_pF == doctest::Approx(570).epsilon(1e-14));
  const resistance screen = 40_mOhm_per_m * 6_m;
  CHECK(screen / 1_mOhm == doctest::Approx(240).epsilon(1e-14));
  const inductance line = 300_nH_per_m * 6_m;
  CHECK(line / 1_nH == doctest::Approx(1800).epsilon(1e-14));
  const voltage drop = 2_mA * 1_kOhm;
  CHECK(drop / 1_V == doctest::Approx(2).epsilon(1e-14));
  const power heat = drop * 2_mA;
  CHECK(heat / 1_mW == doctest::Approx(4).epsilon(1e-14));
  const conductance load = 1.0 / 1_MOhm;
  CHECK(load / 1_uS == doctest::Approx(1).epsilon(1e-14));
  const duration life = 500_mAh / 1_mA;
  CHECK(life / 1_hours == doctest::Approx(500).epsilon(1e-14));
  CHECK(1.0 / 10_ms / 1_Hz == doctest::Approx(100).epsilon(1e-14));
}

TEST_CASE("symbols") {
  CHECK(unit_symbol<si::resistance> == "Ω");
  CHECK(unit_symbol<si::conductance> == "S");
  CHECK(unit_symbol<si::inductance> == "H");
  CHECK(unit_symbol<si::capacitance> == "F");
  CHECK(unit_symbol<si::frequency> == "Hz");
  CHECK(unit_symbol<si::time> == "s");
  CHECK(unit_symbol<si::electric_potential> == "V");
  CHECK(unit_symbol<si::current> == "A");
  CHECK(unit_symbol<si::power> == "W");
  CHECK(unit_symbol<si::length> == "m");
  CHECK(unit_symbol<si::electric_charge> == "C");
  CHECK(unit_symbol<si::temperature> == "K");
  CHECK(unit_symbol<capacitance_per_length::unit_type> == "F/m");
  CHECK(unit_symbol<resistance_per_length::unit_type> == "Ω/m");
  CHECK(unit_symbol<inductance_per_length::unit_type> == "H/m");
  CHECK(unit_symbol<impedance::unit_type> == "Ω");
  CHECK(unit_symbol<decltype(1_H * 1_H)::unit_type>.empty());
}
