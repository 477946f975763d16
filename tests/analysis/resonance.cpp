// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <span>
#include <sstream>
#include <string>

#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::near;

namespace {

source loaded_coil(double r, double l, double c, double load) {
  return ideal_emf(1_V) | in_series(from_si<resistance>(r)) | in_series(from_si<inductance>(l)) |
         in_shunt(from_si<capacitance>(c)) | in_shunt(from_si<resistance>(load));
}

std::string error_of(const resonance_search& where) {
  try {
    (void)find_resonance(loaded_coil(6000, 2.5, 620e-12, 1e6), where);
  } catch (const invalid_value& e) {
    return e.what();
  }
  return "no error";
}

} // namespace

TEST_CASE("coil, capacitance and load: peak, height and Q by the closed form") {
  // The Q formula is printed in M. Zollner, "Physik der Elektrogitarre", §5.5.4, p. 5-62; the numbers are computed from
  // the formula: Q = √(LC(1 + R/RL))/(RC + L/RL), f_pk = f0·√(1 - 1/(2Q²)), |H|pk = K·Q/√(1 - 1/(4Q²)).
  struct row {
    double r, l, c, load, q, peak, db, k;
  };
  const row rows[] = {
      {6000, 2.5, 620e-12, 1e6, 6.3485487, 4029.4202, 16.028552, 0.99403579},
      {6000, 2.5, 620e-12, 200e3, 2.4633925, 3930.0737, 7.756637, 0.97087379},
      {6000, 2.5, 620e-12, 111.111111e3, 1.5415353, 3687.8721, 3.785018, 0.94876660},
      {8000, 4.5, 700e-12, 333.333333e3, 2.9735270, 2787.2407, 9.384003, 0.97656250},
      {5700, 2.2, 110e-12, 1e6, 5.5184371, 10175.408, 14.822753, 0.99433231},
      {5700, 2.2, 580e-12, 200e3, 2.5322657, 4338.7883, 7.998807, 0.97228974},
  };
  for (const row& x : rows) {
    CAPTURE(x.peak);
    const resonance found = find_resonance(loaded_coil(x.r, x.l, x.c, x.load));
    REQUIRE(found.has_peak);
    CHECK(near(found.peak.value(), x.peak, 5e-8)); // eight digits are given
    CHECK(near(found.quality, x.q, 2e-8));
    CHECK(near((found.height + found.level).value(), x.db, 1e-7));
    CHECK(near(voltage_ratio(found.level), x.k, 1e-8));
    CHECK(found.reference.value() == 0);
    // Against the formula itself, to rounding.
    const double k = x.load / (x.r + x.load), w0 = std::sqrt((1 + x.r / x.load) / (x.l * x.c));
    const double q = std::sqrt(x.l * x.c * (1 + x.r / x.load)) / (x.r * x.c + x.l / x.load);
    CHECK(near(found.peak.value(), w0 / (2 * std::numbers::pi) * std::sqrt(1 - 1 / (2 * q * q)), 1e-10));
    CHECK(near(found.quality, q, 1e-10));
    CHECK(near(voltage_ratio(found.height + found.level), k * q / std::sqrt(1 - 1 / (4 * q * q)), 1e-10));
    // The -3 dB edge: u = (f/f0)² solves u² + (1/Q² - 2)·u - 1 = 0.
    const double b = 1 / (q * q) - 2, u = (-b + std::sqrt(b * b + 4)) / 2;
    REQUIRE(found.edge);
    CHECK(near(found.edge->value(), w0 / (2 * std::numbers::pi) * std::sqrt(u), 1e-10));
  }
  // A published second-order low-pass page: 10 µH, 0.1 µF, 70.71 Ω, no series R: f0 159.155 kHz, Q 7.071; the exact
  // peak, 17.0114 dB at 158.3572 kHz, is computed from the formula.
  const auto page =
      find_resonance(ideal_emf(1_V) | in_series(10_uH) | in_shunt(100_nF) | in_shunt(70.71_Ohm));
  CHECK(near(page.quality, 7.071, 1e-6));
  CHECK(near(page.peak.value(), 158.3572e3, 1e-6));
  CHECK(near(page.height.value(), 17.0114, 1e-5));
}

TEST_CASE("the three ways to wire a two-coil pickup, tone control up and down") {
  // Circuit values: "Das Klang-Mysterium der Humbucker-Modes", guitar-letter.de. Results computed from the formula.
  struct row {
    double part, tone, peak, db, dc;
  };
  const row rows[] = {
      {1, 500e3, 2209.474, 4.7918, -0.3022},  {1, 0, 366.163, 2.8237, -0.3022},
      {2, 500e3, 3129.147, 7.8819, -0.1524},  {2, 0, 560.440, 5.5626, -0.1524},
      {4, 500e3, 4246.150, 11.1120, -0.0765}, {4, 0, 819.686, 8.4311, -0.0765},
  };
  for (const row& x : rows) {
    CAPTURE(x.part);
    CAPTURE(x.tone);
    const auto rig = ideal_emf(1_V) | in_series(series(11.8_kOhm / x.part, 6.16_H / x.part)) |
                     in_shunt(47.5_pF * x.part) | in_shunt(series(from_si<resistance>(x.tone), 22_nF)) |
                     in_shunt(500_kOhm) | in_shunt(700_pF) | in_shunt(1_MOhm);
    const resonance found = find_resonance(rig);
    CHECK(near(found.peak.value(), x.peak, 2e-6));
    CHECK(std::abs((found.height + found.level).value() - x.db) < 6e-5);
    CHECK(std::abs(found.level.value() - x.dc) < 6e-5);
  }
}

TEST_CASE("no peak: it says so and gives the edge") {
  const resonance rc = find_resonance(ideal_emf(1_V) | in_series(10_kOhm) | in_shunt(600_pF));
  CHECK_FALSE(rc.has_peak);
  CHECK(rc.quality == 0);
  REQUIRE(rc.edge);
  CHECK(near(rc.edge->value(), 26525.823848649, 1e-11)); // 1/(2πRC)
  CHECK(to_text(rc) == "no peak; -3 dB at 26.53 kHz");
  CHECK(to_text(find_resonance(ideal_emf(1_V) | in_series(10_kOhm) | in_shunt(10_kOhm))) ==
        "no peak; no -3 dB edge in the band");
  // A coil that its load overdamps: Q below 1/√2 has no peak.
  CHECK_FALSE(find_resonance(loaded_coil(6000, 2.5, 620e-12, 25e3)).has_peak);
}

TEST_CASE("sharp, double and high-pass responses") {
  // Q of ten thousand: √(L/C)/R.
  const auto sharp = find_resonance(ideal_emf(1_V) | in_series(series(6.25_Ohm, 2.5_H)) | in_shunt(640_pF));
  REQUIRE(sharp.has_peak);
  CHECK(near(sharp.quality, std::sqrt(2.5 / 640e-12) / 6.25, 1e-6));
  CHECK(near(sharp.peak.value(), 1 / (2 * std::numbers::pi * std::sqrt(2.5 * 640e-12)), 1e-8));

  // Two peaks far apart: the higher one is reported, whichever comes first.
  const auto tank = [](inductance l, resistance r) { return parallel(l, 100_nF, r); };
  const auto low =
      find_resonance(ideal_current(1_mA) | in_shunt(series(tank(1_H, 100_kOhm), tank(1_mH, 10_kOhm))));
  CHECK(near(low.peak.value(), 503.292, 1e-3));
  const auto high =
      find_resonance(ideal_current(1_mA) | in_shunt(series(tank(1_H, 10_kOhm), tank(1_mH, 100_kOhm))));
  CHECK(near(high.peak.value(), 15915.49, 1e-3));

  // No level at dc: the level comes from the stated reference.
  const auto piezo_like =
      find_resonance(ideal_emf(1_V) | in_series(15_nF) | in_shunt(1_MOhm), {.reference = 1_kHz});
  CHECK(piezo_like.reference == 1_kHz);
  CHECK(std::abs(piezo_like.level.value()) < 1e-3);
}

TEST_CASE("text and bad bands") {
  std::ostringstream out;
  out << find_resonance(loaded_coil(6000, 2.5, 620e-12, 200e3));
  CHECK(out.str() == "3.93 kHz, 8.01 dB over the low-frequency level, Q 2.46; -3 dB at 6.188 kHz");
  CHECK(error_of({.from = 0_Hz}) == "resonance_search.from is 0 Hz; allowed: more than 0 Hz");
  CHECK(error_of({.from = 1_kHz, .to = 500_Hz}) ==
        "resonance_search.to is 500 Hz; allowed: more than resonance_search.from, 1 kHz");
  CHECK(error_of({.reference = -1.0 * 100_Hz}) ==
        "resonance_search.reference is -100 Hz; allowed: more than 0 Hz");
  CHECK_THROWS_AS((void)find_resonance(transfer_function{}), invalid_value);
}

TEST_CASE("flat responses have no peak, whatever the rounding of their slope does") {
  // Dividers whose two halves have one time constant: exactly flat.
  for (const double r : {1e3, 120e3, 333e3})
    for (const double ratio : {0.1, 1.0, 13.0 / 12, 7.7}) {
      CAPTURE(r);
      CAPTURE(ratio);
      const auto ohm = [](double x) { return from_si<resistance>(x); };
      const auto by_capacitors =
          find_resonance(ideal_emf(1_V) | in_series(parallel(ohm(r), 1_nF)) |
                         in_shunt(parallel(ohm(r * ratio), from_si<capacitance>(1e-9 / ratio))));
      CHECK_FALSE(by_capacitors.has_peak);
      CHECK_FALSE(by_capacitors.edge);
      CHECK(near(voltage_ratio(by_capacitors.level), ratio / (1 + ratio), 1e-13));
      CHECK_FALSE(find_resonance(ideal_emf(1_V) | in_series(series(ohm(r), 2_H)) |
                                 in_shunt(series(ohm(r * ratio), from_si<inductance>(2 * ratio))))
                      .has_peak);
    }
  // Flat above a corner far below the band.
  for (const capacitance& c : {15_nF, 100_uF, 1_F})
    CHECK_FALSE(find_resonance(ideal_emf(1_V) | in_series(c) | in_shunt(10_GOhm)).has_peak);
  CHECK_FALSE(find_resonance(ideal_emf(1_V) | in_series(series(6_kOhm, 2_H))).has_peak); // nothing loads it
}

TEST_CASE("no peak: the edge by the closed forms of first and second order") {
  for (const double tau : {1e-3, 1e-5, 3e-7}) {
    const auto found =
        find_resonance(ideal_emf(1_V) | in_series(10_kOhm) | in_shunt(from_si<capacitance>(tau / 1e4)));
    CHECK_FALSE(found.has_peak);
    REQUIRE(found.edge);
    CHECK(near(found.edge->value(), 1 / (2 * std::numbers::pi * tau), 1e-12));
    // There the response is 3.0103 dB down: half the power.
    const auto h = transfer(ideal_emf(1_V) | in_series(10_kOhm) | in_shunt(from_si<capacitance>(tau / 1e4)));
    CHECK(near(voltage_level(std::abs(h(*found.edge))).value(), -3.010299956639812, 1e-11));
  }
  // On both sides of Q = 1/√2: u = (f/f0)², u² + (1/Q² - 2)·u - 1 = 0 at the edge.
  int peaks = 0;
  for (double load = 20e3; load < 60e3; load *= 1.02) {
    const double r = 6000, l = 2.5, c = 620e-12;
    const double w0 = std::sqrt((1 + r / load) / (l * c));
    const double q = std::sqrt(l * c * (1 + r / load)) / (r * c + l / load);
    const double b = 1 / (q * q) - 2, u = (-b + std::sqrt(b * b + 4)) / 2;
    const auto found = find_resonance(loaded_coil(r, l, c, load));
    CAPTURE(q);
    REQUIRE(found.edge);
    CHECK(near(found.edge->value(), w0 / (2 * std::numbers::pi) * std::sqrt(u), 1e-12));
    if (std::abs(q - std::sqrt(0.5)) > 1e-3) CHECK(found.has_peak == (q > std::sqrt(0.5)));
    peaks += found.has_peak;
    if (found.has_peak) CHECK(near(found.quality, q, 1e-7)); // a height of almost nothing says little of Q
  }
  CHECK(peaks > 10);
}

TEST_CASE("peaks of any sharpness, anywhere in the band") {
  double worst_frequency = 0, worst_quality = 0;
  for (double q = 0.8; q < 2e6; q *= 1.7)
    for (double f0 = 40; f0 < 3e5; f0 *= 1.237) {
      const double l = 1, w0 = 2 * std::numbers::pi * f0, c = 1 / (l * w0 * w0), r = w0 * l / q;
      const auto found =
          find_resonance(ideal_emf(1_V) | in_series(series(from_si<resistance>(r), from_si<inductance>(l))) |
                         in_shunt(from_si<capacitance>(c)));
      CAPTURE(q);
      CAPTURE(f0);
      REQUIRE(found.has_peak);
      worst_frequency =
          std::max(worst_frequency, std::abs(found.peak.value() / (f0 * std::sqrt(1 - 1 / (2 * q * q))) - 1));
      worst_quality = std::max(worst_quality, std::abs(found.quality / q - 1));
    }
  MESSAGE("frequency off by " << worst_frequency << ", Q by " << worst_quality);
  CHECK(worst_frequency <= 1e-12);
  CHECK(worst_quality <= 1e-12);
}

TEST_CASE("of several peaks the highest, at the ends of the band none") {
  // Two coils behind buffers with resonances of their own, in series: heights by direct search.
  const auto branch = [](double l, double r, const char* name) {
    return ideal_emf(1_V, name) | in_series(series(from_si<resistance>(r), from_si<inductance>(l))) |
           in_shunt(200_pF) | buffer(1, open_circuit(), 0_Ohm);
  };
  for (const double r : {8e3, 20e3, 50e3}) {
    const source s = series(branch(8, 20e3, "low"), branch(1, r, "high"));
    const transfer_function h = transfer(s);
    double best = 0, at = 0;
    for (double f = 100; f < 5e4; f *= 1.0001)
      if (const double m = std::abs(h(from_si<frequency>(f))); m > best) {
        best = m;
        at = f;
      }
    const auto found = find_resonance(h);
    CHECK(near(found.peak.value(), at, 1.2e-4));
    CHECK(near(voltage_ratio(found.height + found.level), best, 1e-6));
    CHECK(voltage_ratio(found.height + found.level) >= best);
  }
  // A band that cuts the peak off holds no maximum, but the edge; a band above it neither.
  const source s = loaded_coil(6000, 2.5, 620e-12, 1e6); // peak at 4029 Hz
  CHECK_FALSE(find_resonance(s, {.from = 10_Hz, .to = 4_kHz}).has_peak);
  CHECK(find_resonance(s, {.from = 4_kHz, .to = 5_kHz}).has_peak);
  CHECK_FALSE(find_resonance(s, {.from = 4.1_kHz, .to = 1_MHz}).has_peak);
  CHECK(find_resonance(s, {.from = 4.1_kHz, .to = 1_MHz}).edge.has_value());
  CHECK_FALSE(find_resonance(s, {.from = 10_Hz, .to = 5_kHz}).edge.has_value());
  CHECK_FALSE(find_resonance(s, {.from = 20_kHz, .to = 30_kHz}).edge.has_value());
}

TEST_CASE("a silent source, a resonance below the level, a band-pass") {
  const auto silent = find_resonance(ideal_emf(1_V) | in_series(1_kOhm) | in_shunt(0_Ohm));
  CHECK_FALSE(silent.has_peak);
  CHECK_FALSE(silent.edge);
  CHECK(silent.quality == 0);
  // A shunt trap lifts the response above itself, but never over the level at dc.
  const auto trap = find_resonance(ideal_emf(1_V) | in_series(10_kOhm) | in_shunt(series(1_kOhm, 100_nF)) |
                                   in_shunt(series(100_Ohm, parallel(1_H, 1_nF))));
  CHECK(trap.has_peak);
  CHECK(trap.height.value() < 100);
  // A tank driven by a current: level from the reference, the peak at 1/(2π√(LC)).
  const auto tank =
      find_resonance(ideal_current(1_mA) | in_shunt(parallel(1_H, 1_nF, 100_kOhm)), {.reference = 500_Hz});
  REQUIRE(tank.has_peak);
  CHECK(tank.reference == 500_Hz);
  CHECK(near(tank.peak.value(), 1 / (2 * std::numbers::pi * std::sqrt(1e-9)), 1e-11));
  CHECK(near(voltage_ratio(tank.height + tank.level), 100, 1e-12)); // 1 mA into 100 kΩ
}

TEST_CASE("every bad band is refused") {
  const double nan = std::numeric_limits<double>::quiet_NaN(),
               infinity = std::numeric_limits<double>::infinity();
  for (const double bad : {nan, infinity, -infinity, 0.0, -5.0}) {
    const frequency f = from_si<frequency>(bad);
    CHECK(error_of({.from = f}) != "no error");
    CHECK(error_of({.to = f}) != "no error");
    CHECK(error_of({.reference = f}) != "no error");
  }
  CHECK(error_of({.from = 1_kHz, .to = 1_kHz}) != "no error");
}

TEST_CASE("a bracketed root is found to the last digits in few steps") {
  struct row {
    double power, level, low, high;
  };
  // x^p = level; at high powers one end stays put unless its weight is halved.
  for (const row& r : {row{3, 2, 1, 2}, row{12, 0.5, 0, 1.5}, row{0.25, 1.5, 0, 10}}) {
    CAPTURE(r.power);
    int asked = 0;
    const auto f = [&](double x) {
      ++asked;
      return std::pow(x, r.power) - r.level;
    };
    const double root = std::pow(r.level, 1 / r.power);
    CHECK(near(lodewire::detail::bracketed_root(f, r.low, r.high), root, 1e-14));
    CHECK(asked <= 30); // halving alone takes some fifty
    CHECK(near(lodewire::detail::bracketed_root(f, r.high, r.low), root, 1e-14));
  }
}

TEST_CASE("a peak anywhere in the band, after a shelf that falls: the scan goes on from where it stood") {
  // The scan takes a decade of frequency at a time, from 10 Hz on: 1.03 kHz lies just behind such a step, and 100 Hz, the
  // step before, where the response falls.
  for (double hz = 400; hz < 12e3; hz *= 1.013) {
    CAPTURE(hz);
    const double w = 2 * std::numbers::pi / scale::per_second, w0 = w * hz, q = 5;
    const double n[2] = {1, 1 / (w * 300)};
    const double b = 1 / (w * 100), c1 = 1 / (q * w0), c2 = 1 / (w0 * w0);
    const double d[4] = {1, b + c1, c2 + b * c1, b * c2};
    const resonance r = find_resonance(transfer_function(polynomial<double>(std::span<const double>(n)),
                                                         polynomial<double>(std::span<const double>(d))));
    REQUIRE(r.has_peak);
    CHECK(std::abs(r.peak.value() / hz - 1) < 0.03); // a little off by the shelf and the damping
  }
}
