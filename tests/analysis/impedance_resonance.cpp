// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <cmath>

#include <lodewire/analysis/impedance_resonance.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::near;

TEST_CASE("a lossy coil beside a capacitor has three resonances") {
  const one_port z = parallel(series(100_Ohm, 100_mH), 10_uF);

  // Current from 1 V at 20 frequencies from 100 to 200 Hz, in mA. The first nine are printed: T. Kuphaldt, "Lessons in
  // Electric Circuits II", resonance in series-parallel circuits; the others are computed from the formula.
  const double milliamperes[] = {7.387, 7.242, 7.115, 7.007, 6.921, 6.859, 6.823, 6.813, 6.830, 6.874,
                                 6.946, 7.044, 7.167, 7.315, 7.485, 7.676, 7.886, 8.114, 8.358, 8.616};
  for (int i = 0; i < 20; ++i) {
    const double hz = 100 + i * 100. / 19;
    CHECK(std::abs(1e3 / std::abs(impedance_at(z, from_si<frequency>(hz)).value()) - milliamperes[i]) <
          5.1e-4);
  }

  const impedance_resonance found = find_impedance_resonance(z);
  REQUIRE(found.magnitude_peak);
  // True minimum of the current: computed from ω² = ω0²·(√(1 + 2a) - a), a = R²C/L = 1.
  CHECK(near(found.magnitude_peak->value(), 136.1729, 4e-7));
  CHECK(near(found.peak_magnitude.value(), 146.7890, 4e-7));
  CHECK(near(1e3 / found.peak_magnitude.value(), 6.812500, 1e-7));
  REQUIRE(found.natural);
  CHECK(near(found.natural->value(), 159.155, 3e-6)); // printed
  CHECK_FALSE(found.zero_phase);                      // ω² = ω0²·(1 - a) = 0
  CHECK(near(*found.quality, 1, 1e-9));               // √(L/C)/R
}

TEST_CASE("zero phase lies where the formula has it") {
  // a = R²C/L = 0.04: ω² = ω0²·(1 - a); peak at ω0²·(√(1 + 2a) - a).
  const auto found = find_impedance_resonance(parallel(series(20_Ohm, 100_mH), 10_uF));
  const double lc = 1 / (2 * std::numbers::pi * std::sqrt(0.1 * 10e-6));
  CHECK(near(found.zero_phase->value(), lc * std::sqrt(0.96), 1e-10));
  CHECK(near(found.magnitude_peak->value(), lc * std::sqrt(std::sqrt(1.08) - 0.04), 1e-10));
  CHECK(near(found.natural->value(), lc, 1e-10));
}

TEST_CASE("a coil without metal under known load capacitors") {
  // M. Zollner, "Physik der Elektrogitarre", §5.9, fig. 5.9.26, p. 5-111: 4420 Ω, 1125 mH, 43 pF; printed peaks of |Z|
  // with 0, 330, 700, 1030 pF added: 21, 7.7, 5.5, 4.6 kHz. The printed 21 kHz wants 51 pF: 8 pF of fixture.
  struct row {
    double added, printed, allowed, peak, size, q;
  };
  // The last three are computed from the formula.
  const row rows[] = {{0, 21e3, 0.10, 22882.8, 5.92e6, 36.6},
                      {330e-12, 7.7e3, 0.01, 7769.35, 684.58e3, 12.43},
                      {700e-12, 5.5e3, 0.01, 5504.67, 344.77e3, 8.80},
                      {1030e-12, 4.6e3, 0.01, 4580.44, 239.41e3, 7.33}};
  for (const row& x : rows) {
    const auto found =
        find_impedance_resonance(parallel(series(4420_Ohm, 1125_mH), from_si<capacitance>(43e-12 + x.added)));
    CAPTURE(x.added);
    CHECK(near(found.magnitude_peak->value(), x.printed, x.allowed));
    CHECK(near(found.magnitude_peak->value(), x.peak, 2e-6));
    CHECK(near(found.peak_magnitude.value(), x.size, x.added == 0 ? 1e-3 : 2e-5));
    CHECK(near(*found.quality, x.q, 1e-3));
  }
  CHECK(near(4420 / (2 * std::numbers::pi * 1.125), 625.302, 1e-6)); // the corner R/(2πL), printed 625 Hz
}

TEST_CASE("self-resonance of a known inductor") {
  // C. E. LaForest, "Characterizing Magnetic Guitar Pickups", fpgacpu.ca: 100 mH, 210 Ω, 100 kHz; 25.33 pF, Q 299.20.
  const auto found = find_impedance_resonance(parallel(series(210_Ohm, 100_mH), 25.3303_pF));
  CHECK(near(found.natural->value(), 100e3, 1e-6));
  CHECK(near(*found.quality, 299.20, 1e-5));
}

TEST_CASE("a resistor resonates nowhere") {
  const auto found = find_impedance_resonance(one_port(10_kOhm));
  CHECK_FALSE(found.magnitude_peak);
  CHECK_FALSE(found.zero_phase);
  CHECK_FALSE(found.natural);
  CHECK_FALSE(found.quality);
}

TEST_CASE("the three resonances over the whole range of losses") {
  // a = R²C/L: |Z| is highest at ω0²·(√(1 + 2a) - a) while that is positive, the phase crosses zero at ω0²·(1 - a).
  const double l = 2.5, c = 620e-12, w0 = 1 / std::sqrt(l * c);
  for (const double a : {1e-6, 1e-3, 0.05, 0.3, 0.9, 0.999, 1.001, 1.5, 2.2, 2.4, 2.5, 10.0}) {
    CAPTURE(a);
    const double r = std::sqrt(a * l / c);
    const auto found = find_impedance_resonance(
        parallel(series(from_si<resistance>(r), from_si<inductance>(l)), from_si<capacitance>(c)));
    const auto hertz = [&](double square) { return w0 * std::sqrt(square) / (2 * std::numbers::pi); };
    const double peak = std::sqrt(1 + 2 * a) - a; // gone at a = 1 + √2
    CHECK(found.magnitude_peak.has_value() == (peak > 0));
    if (peak > 0) CHECK(near(found.magnitude_peak->value(), hertz(peak), 1e-11));
    CHECK(found.zero_phase.has_value() == (a < 1));
    if (a < 1) CHECK(near(found.zero_phase->value(), hertz(1 - a), 1e-10));
    // Complex poles while Q = 1/√a is more than 1/2.
    CHECK(found.natural.has_value() == (a < 4));
    if (a < 4) {
      CHECK(near(found.natural->value(), hertz(1), 1e-12));
      CHECK(near(*found.quality, 1 / std::sqrt(a), 1e-9));
    }
  }
}

TEST_CASE("what only rounding would call a resonance") {
  // A constant-resistance network: (R + sL) ∥ (R + 1/sC) with R² = L/C is R at every frequency.
  for (const double r : {1e3, 7e3, 33e3}) {
    const double l = 1.3;
    const auto found =
        find_impedance_resonance(parallel(series(from_si<resistance>(r), from_si<inductance>(l)),
                                          series(from_si<resistance>(r), from_si<capacitance>(l / (r * r)))));
    CHECK_FALSE(found.magnitude_peak);
    CHECK_FALSE(found.zero_phase);
    CHECK_FALSE(found.natural);
  }
  // Equal RC sections: a real pole once to fourteen times over.
  const one_port section = parallel(10_kOhm, 10_nF);
  one_port z = section;
  for (int sections = 1; sections <= 14; ++sections) {
    CAPTURE(sections);
    const auto found = find_impedance_resonance(z);
    CHECK_FALSE(found.magnitude_peak);
    CHECK_FALSE(found.zero_phase);
    CHECK_FALSE(found.natural);
    CHECK_FALSE(found.quality);
    z = series(z, section);
  }
  // A coil among them is found all the same.
  const auto coil = find_impedance_resonance(
      series(section, section, series(section, section, parallel(series(6_kOhm, 2.5_H), 120_pF))));
  CHECK(near(coil.natural->value(), 1 / (2 * std::numbers::pi * std::sqrt(2.5 * 120e-12)), 1e-9));
}

TEST_CASE("of a source, every EMF at rest; equal coils in parallel are one") {
  const auto coil = [](const char* name) {
    return ideal_emf(1_V, name) | in_series(series(6_kOhm, 2.5_H)) | in_shunt(120_pF);
  };
  const one_port single = parallel(series(6_kOhm, 2.5_H), 120_pF);
  const auto of_source = find_impedance_resonance(coil("a")), of_port = find_impedance_resonance(single);
  CHECK(near(of_source.magnitude_peak->value(), of_port.magnitude_peak->value(), 1e-13));
  CHECK(near(*of_source.quality, *of_port.quality, 1e-12));
  for (const source& s : {parallel(coil("a"), coil("b")), parallel(coil("a"), coil("b"), coil("c"))}) {
    const auto several = find_impedance_resonance(s);
    const double n = static_cast<double>(s.emf_names().size());
    CHECK(near(several.magnitude_peak->value(), of_port.magnitude_peak->value(), 1e-11));
    CHECK(near(several.peak_magnitude.value(), of_port.peak_magnitude.value() / n, 1e-10));
    CHECK(near(several.natural->value(), of_port.natural->value(), 1e-11));
    CHECK(near(*several.quality, *of_port.quality, 1e-10));
  }
  CHECK_THROWS_AS((void)find_impedance_resonance(single, {.from = 0_Hz}), invalid_value);
  CHECK_THROWS_AS((void)find_impedance_resonance(power_law(1_kOhm, 0.5)), not_rational);
}

TEST_CASE("critical damping is no resonance, whichever way the double pole is rounded") {
  for (const double l : {0.7, 1.3, 2.5, 3.1, 4.9, 6.3})
    for (const double c : {110e-12, 330e-12, 620e-12, 1e-9, 4.7e-9}) {
      CAPTURE(l);
      CAPTURE(c);
      const double r = 2 * std::sqrt(l / c); // Q = 1/2
      const auto found = find_impedance_resonance(
          parallel(series(from_si<resistance>(r), from_si<inductance>(l)), from_si<capacitance>(c)));
      CHECK_FALSE(found.natural);
      CHECK_FALSE(found.quality);
    }
}

TEST_CASE("of two pole pairs the one at the highest peak") {
  // Two parallel circuits in series: each keeps its own poles, 1/(2π√(LC)) and Q = R·√(C/L) (textbook).
  const auto tank = [](double r, double l, double c) {
    return parallel(from_si<resistance>(r), from_si<inductance>(l), from_si<capacitance>(c));
  };
  const auto hertz = [](double l, double c) { return 1 / (2 * std::numbers::pi * std::sqrt(l * c)); };
  for (const bool upper : {false, true}) {
    const auto found = find_impedance_resonance(
        series(tank(upper ? 20e3 : 300e3, 2, 2e-9), tank(upper ? 900e3 : 60e3, 1, 100e-12)));
    CHECK(near(found.natural->value(), upper ? hertz(1, 100e-12) : hertz(2, 2e-9), 1e-11));
    CHECK(near(*found.quality, upper ? 900e3 * std::sqrt(100e-12) : 300e3 * std::sqrt(2e-9 / 2), 1e-9));
  }
}

TEST_CASE("a double real pole with a third one close by is no pole pair") {
  // 1/((s + r)²·(s + 0.9·r)): where the double pole comes apart, it does so by some 1e-7 of itself.
  int apart = 0;
  for (int i = 0; i < 400; ++i) {
    const double r = 1 + 0.01 * i, q = 0.9 * r;
    const std::vector<double> c{r * r * q, r * r + 2 * r * q, q + 2 * r, 1};
    for (const polynomial_root& root : roots(c)) apart += root.value.im > 0;
    const auto found = find_impedance_resonance(
        transfer_function(polynomial<double>(std::vector<double>{1}), polynomial<double>(c)));
    CHECK_FALSE(found.natural);
    CHECK_FALSE(found.quality);
  }
  CHECK(apart > 0); // so the search has had some to turn down
}
