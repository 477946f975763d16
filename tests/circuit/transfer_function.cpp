// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <string>

#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/literals.hpp>

#include "ways.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using ways::complex;
using ways::dice;

namespace {

constexpr double two_pi = 2 * std::numbers::pi;

/// Source, R and L in series, C across, a load resistor across.
source loaded_coil(double r, double l, double c, double load) {
  return ideal_emf(1_V) | in_series(series(resistance::from_value(r), inductance::from_value(l))) |
         in_shunt(capacitance::from_value(c)) | in_shunt(resistance::from_value(load));
}

/// A coefficient of s^k in SI.
double in_si(std::span<const double> c, std::size_t k) {
  return k < c.size() ? c[k] * std::pow(scale::per_second, -static_cast<double>(k)) : 0;
}

double decibels(complex h) { return voltage_level(std::abs(h)).value(); }

template <class Call>
std::string error_of(const Call& call) {
  try {
    call();
  } catch (const std::exception& e) {
    return e.what();
  }
  return {};
}

} // namespace

TEST_CASE("a loaded coil is the second-order low-pass of its closed form") {
  // H = K / (1 + s/(Q·ω0) + s²/ω0²), K = RL/(R + RL), ω0² = (1 + R/RL)/(LC), Q = sqrt(LC(1 + R/RL))/(RC + L/RL): the
  // formula for Q as printed in Zollner, Physik der Elektrogitarre, p. 5-62; the numbers are computed from it.
  struct row {
    double r, l, c, load, f0, q, peak, height, k;
  };
  const row rows[] = {
      {6000, 2.5, 620e-12, 1e6, 4054.6491, 6.3485487, 4029.4202, 16.028552, 0.99403579},
      {6000, 2.5, 620e-12, 200e3, 4102.7296, 2.4633925, 3930.0737, 7.756637, 0.97087379},
      {6000, 2.5, 620e-12, 1e6 / 9, 4150.2532, 1.5415353, 3687.8721, 3.785018, 0.94876660},
      {8000, 4.5, 700e-12, 1e6 / 3, 2869.5568, 2.9735270, 2787.2407, 9.384003, 0.97656250},
      {5700, 2.2, 110e-12, 1e6, 10259.984, 5.5184371, 10175.408, 14.822753, 0.99433231},
      {5700, 2.2, 580e-12, 200e3, 4518.5276, 2.5322657, 4338.7883, 7.998807, 0.97228974},
  };
  for (const row& x : rows) {
    CAPTURE(x.f0);
    const transfer_function h = transfer(loaded_coil(x.r, x.l, x.c, x.load));
    REQUIRE(h.numerator().size() == 1);
    REQUIRE(h.denominator().size() == 3);
    const double d0 = in_si(h.denominator(), 0), d1 = in_si(h.denominator(), 1),
                 d2 = in_si(h.denominator(), 2);
    const double w0 = std::sqrt(d0 / d2), q = std::sqrt(d0 * d2) / d1, k = in_si(h.numerator(), 0) / d0;
    CHECK(w0 == doctest::Approx(std::sqrt((1 + x.r / x.load) / (x.l * x.c))).epsilon(1e-14));
    CHECK(q == doctest::Approx(std::sqrt(x.l * x.c * (1 + x.r / x.load)) / (x.r * x.c + x.l / x.load))
                   .epsilon(1e-14));
    CHECK(k == doctest::Approx(x.load / (x.r + x.load)).epsilon(1e-14));
    // All digits that are listed: half a unit of the last one.
    CHECK(std::abs(w0 / two_pi - x.f0) <= (x.f0 < 1e4 ? 5.1e-5 : 5.1e-4));
    CHECK(std::abs(q - x.q) <= 5.1e-8);
    CHECK(std::abs(k - x.k) <= 5.1e-9);
    CHECK(std::abs(decibels(h(ways::hertz(x.peak))) - x.height) <= 6e-7);
    for (const double f : {10.0, x.peak, x.f0, 3 * x.f0}) {
      const complex s(0, two_pi * f);
      const complex expected = k / (1.0 + s / (q * w0) + s * s / (w0 * w0));
      CHECK(std::abs(h(ways::hertz(f)) - expected) <= 2e-14 * std::abs(expected));
    }
  }
  // A published second-order low-pass: 10 µH, 0.1 µF, 70.71 Ω, no series R: f0 159.155 kHz, Q 7.071. Its exact peak of
  // 17.0114 dB at 158.3572 kHz is computed from the formula.
  const transfer_function h = transfer(loaded_coil(0, 10e-6, 0.1e-6, 70.71));
  const auto d = h.denominator();
  CHECK(std::sqrt(in_si(d, 0) / in_si(d, 2)) / two_pi == doctest::Approx(159155).epsilon(1e-5));
  CHECK(std::sqrt(in_si(d, 0) * in_si(d, 2)) / in_si(d, 1) == doctest::Approx(7.071).epsilon(1e-4));
  CHECK(decibels(h(158.3572_kHz)) == doctest::Approx(17.0114).epsilon(3e-6));
}

TEST_CASE("a course problem: forward, and the two capacitances that answer the inverse") {
  // EGB120 assignment (askfilo.com, Analysis of an Electric Guitar Pickup Circuit): 4.5 H and 5.35 kΩ in series, C
  // across, 100 mV. No answers printed; the numbers are computed from the formula.
  const auto out = [](double c, double hz) {
    const source s =
        ideal_emf(100_mV) | in_series(series(4.5_H, 5.35_kOhm)) | in_shunt(capacitance::from_value(c));
    return transfer(s)(ways::hertz(hz));
  };
  const auto degrees = [](complex z) { return std::arg(z) * 180 / std::numbers::pi; };
  CHECK(std::abs(std::abs(out(319e-9, 82.5)) - 92.849e-3) <= 5e-7);
  CHECK(std::abs(degrees(out(319e-9, 82.5)) + 55.225) <= 5e-4);
  CHECK(std::abs(std::abs(out(319e-9, 330)) - 15.958e-3) <= 5e-7);
  CHECK(std::abs(degrees(out(319e-9, 330)) + 145.618) <= 5e-4);
  CHECK(std::abs(std::abs(out(319e-12, 2640)) - 165.102e-3) <= 5e-7);
  CHECK(std::abs(degrees(out(319e-12, 2640)) + 2.679) <= 5e-4);
  CHECK(std::abs(std::abs(out(319e-12, 82.5)) - 100.0385e-3) <= 5e-8);
  CHECK(std::abs(std::abs(out(319e-12, 330)) - 100.6203e-3) <= 5e-8);
  // 165.1 mV at 2640 Hz: two roots.
  const auto solve = [&](double low, double high) {
    const bool rising = std::abs(out(low, 2640)) < 0.1651;
    for (int i = 0; i < 80; ++i) {
      const double middle = (low + high) / 2;
      ((std::abs(out(middle, 2640)) < 0.1651) == rising ? low : high) = middle;
    }
    return low;
  };
  CHECK(std::abs(solve(1e-12, 700e-12) - 318.994e-12) <= 5e-16);
  CHECK(std::abs(solve(900e-12, 5e-9) - 1288.04e-12) <= 5e-15);
}

TEST_CASE("a guitar-sized chain") {
  // 6 kΩ + 2.5 H, across: 120 pF, 250 kΩ, 250 kΩ + 22 nF, 500 pF, 1 MΩ, at 1 kHz; computed from the chain matrices.
  const transfer_function h =
      transfer(ideal_emf(1_V) | in_series(series(6_kOhm, 2.5_H)) | in_shunt(120_pF) | in_shunt(250_kOhm) |
               in_shunt(series(250_kOhm, 22_nF)) | in_shunt(500_pF) | in_shunt(1_MOhm));
  CHECK(std::abs(std::abs(h(1_kHz)) / 0.9953439136 - 1) <= 1e-10);
  CHECK(h.denominator().size() == 4); // L, the three parallel capacitances as one, the tone capacitor
  CHECK(h.numerator().size() == 2);
}

TEST_CASE("humbucker modes") {
  // guitar-letter.de, Das Klang-Mysterium der Humbucker-Modes: 6.16 H, 47.5 pF, 11.8 kΩ; single L/2, 2C, R/2; parallel
  // L/4, 4C, R/4; tone 500 kΩ + 22 nF, volume 500 kΩ, 700 pF, 1 MΩ. The results are computed from the formula.
  struct row {
    double share, peak, height, peak_dark, height_dark, dc;
  };
  for (const row& x : {row{1, 2209.474, 4.7918, 366.163, 2.8237, -0.3022},
                       row{2, 3129.147, 7.8819, 560.440, 5.5626, -0.1524},
                       row{4, 4246.150, 11.1120, 819.686, 8.4311, -0.0765}}) {
    for (const bool dark : {false, true}) {
      const source s = ideal_emf(1_V) |
                       in_series(series(resistance::from_value(11.8e3 / x.share),
                                        inductance::from_value(6.16 / x.share))) |
                       in_shunt(capacitance::from_value(47.5e-12 * x.share)) |
                       in_shunt(series(resistance::from_value(dark ? 0 : 500e3), 22_nF)) |
                       in_shunt(500_kOhm) | in_shunt(700_pF) | in_shunt(1_MOhm);
      const transfer_function h = transfer(s);
      CHECK(std::abs(decibels(h(ways::hertz(dark ? x.peak_dark : x.peak))) -
                     (dark ? x.height_dark : x.height)) <= 5e-5);
      CHECK(h.dc_limit().slope == 0);
      CHECK(std::abs(voltage_level(h.dc_limit().gain).value() - x.dc) <= 5e-5);
    }
  }
}

TEST_CASE("two impedances of a published network") {
  // numerade.com 67512 (question only): the impedance that the source sees at 1.5 kHz, computed from the formula for
  // the tone branch before the volume and on the wiper.
  const one_port cable_and_amplifier = series(1.8_Ohm, parallel(597_pF, 26_MOhm));
  const one_port tone = series(142_kOhm, 46_nF), coil = series(5.8_H, 11.9_kOhm);
  const one_port before =
      series(coil, parallel(tone, series(243_kOhm, parallel(73_kOhm, cable_and_amplifier))));
  const one_port wiper = series(coil, 243_kOhm, parallel(73_kOhm, tone, cable_and_amplifier));
  CHECK(std::abs(impedance_function(before)(1.5_kHz) - complex(108919.37, 51022.20)) <= 0.01);
  CHECK(std::abs(impedance_function(wiper)(1.5_kHz) - complex(299615.12, 42308.67)) <= 0.01);
}

TEST_CASE("the degree is the number of independent reactive parts") {
  const auto degree = [](const source& s) { return transfer(s).degree(); };
  const source e = ideal_emf(1_V) | in_series(1_kOhm);
  CHECK(degree(e) == 0);
  CHECK(degree(e | in_shunt(1_nF)) == 1);
  CHECK(degree(e | in_shunt(1_nF) | in_shunt(2_nF) | in_shunt(parallel(3_nF, 4_nF))) == 1);
  CHECK(degree(e | in_series(1_H) | in_series(2_H) | in_series(series(1_H, 1_H)) | in_shunt(1_kOhm)) == 1);
  CHECK(degree(e | in_series(series(1_nF, 2_nF)) | in_shunt(1_kOhm)) == 1);
  CHECK(degree(e | in_shunt(parallel(1_H, 2_H))) == 1);
  CHECK(degree(e | in_series(1_H) | in_shunt(series(1_nF, 1_kOhm)) | in_shunt(2_nF)) == 3);
  CHECK(degree(e | in_shunt(parallel(series(1_nF, 2_nF), series(3_nF, 4_nF)))) == 1);
  CHECK(degree(e | in_series(parallel(1_H, 1_kOhm)) | in_shunt(1_nF)) == 2);
  source ladder = e;
  for (std::size_t i = 1; i <= 20; ++i) {
    ladder = ladder | in_series(1_H) | in_shunt(1_nF);
    const transfer_function h = transfer(ladder);
    CHECK(h.denominator().size() == 2 * i + 1);
    CHECK(h.numerator().size() == 1);
  }
}

TEST_CASE("a common factor s is cancelled exactly") {
  const auto flat = [](const source& s, double gain) {
    const transfer_function h = transfer(s);
    CHECK(h.numerator().size() == 1);
    CHECK(h.denominator().size() == 1);
    CHECK(std::abs(h(1_kHz) - gain) <= 1e-15);
    CHECK(std::abs(h(0_Hz) - gain) <= 1e-15);
  };
  flat(ideal_emf(1_V) | in_series(22_nF) | in_series(22_nF) | in_shunt(11_nF), 0.5);
  flat(ideal_emf(1_V) | in_series(series(10_nF, 10_nF, 10_nF)) | in_shunt(series(5_nF, 5_nF)), 4.0 / 7);
  flat(ideal_emf(1_V) | in_series(parallel(3_H, 3_H, 3_H)) | in_shunt(1_H), 0.5);
  flat(ideal_emf(1_V) | in_series(1_H) | in_shunt(2_H) | in_shunt(2_H), 0.5);
  // Not only at the end: a long circuit must not carry the powers along.
  using system = polynomial_system<double>;
  const auto sizes = [](const one_port& z) {
    const circuit& c = z.as_circuit();
    workspace<system> room(c.code);
    machine<system, double> m(system{}, c.values.data(), room);
    run(c.code, m);
    return std::pair{m.n().size, m.d().size};
  };
  CHECK(sizes(series(22_nF, 22_nF, 22_nF, 22_nF)) == std::pair<std::size_t, std::size_t>(1, 2));
  CHECK(sizes(parallel(2_H, 3_H, 4_H)) == std::pair<std::size_t, std::size_t>(2, 1));
  CHECK(sizes(series(series(22_nF, 1_kOhm), series(22_nF, 1_kOhm))) ==
        std::pair<std::size_t, std::size_t>(2, 2));
}

TEST_CASE("limits at dc and at high frequency, with their slopes") {
  struct row {
    one_port z;
    double low_gain;
    int low_slope;
    double high_gain;
    int high_slope;
  };
  const row rows[] = {
      {5_kOhm, 5e3, 0, 5e3, 0},
      {2_H, 2, 1, 2, 1},
      {22_nF, 1 / 22e-9, -1, 1 / 22e-9, -1},
      {series(5_kOhm, 2_H), 5e3, 0, 2, 1},
      {series(5_kOhm, 22_nF), 1 / 22e-9, -1, 5e3, 0},
      {parallel(5_kOhm, 2_H), 2, 1, 5e3, 0},
      {parallel(5_kOhm, 22_nF), 5e3, 0, 1 / 22e-9, -1},
      {parallel(2_H, 22_nF), 2, 1, 1 / 22e-9, -1},
      {series(2_H, 22_nF), 1 / 22e-9, -1, 2, 1},
      {short_circuit(), 0, 0, 0, 0},
      {series(22_nF, 22_nF), 2 / 22e-9, -1, 2 / 22e-9, -1},
      {parallel(series(3_kOhm, 1_H), series(6_kOhm, 100_pF)), 3e3, 0, 6e3, 0},
  };
  for (const row& x : rows) {
    const transfer_function z = impedance_function(x.z);
    CHECK(z.dc_limit().gain == doctest::Approx(x.low_gain).epsilon(1e-14));
    CHECK(z.dc_limit().slope == x.low_slope);
    CHECK(z.high_frequency_limit().gain == doctest::Approx(x.high_gain).epsilon(1e-14));
    CHECK(z.high_frequency_limit().slope == x.high_slope);
    if (x.low_slope >= 0)
      CHECK(std::abs(z(0_Hz) - (x.low_slope == 0 ? x.low_gain : 0.0)) <= 1e-14 * std::abs(x.low_gain));
  }
  // A piezo into a resistor: s·CR below, 1 above; a band-pass; the exact low-pass falls with s^-2.
  const transfer_function high = transfer(ideal_emf(1_V) | in_series(15_nF) | in_shunt(1_MOhm));
  CHECK(high.dc_limit().slope == 1);
  CHECK(high.dc_limit().gain == doctest::Approx(15e-3).epsilon(1e-14));
  CHECK(high.high_frequency_limit().slope == 0);
  CHECK(high.high_frequency_limit().gain == doctest::Approx(1).epsilon(1e-14));
  const transfer_function band = transfer(ideal_emf(1_V) | in_series(series(10_nF, 2_H)) | in_shunt(1_kOhm));
  CHECK(band.dc_limit().slope == 1);
  CHECK(band.dc_limit().gain == doctest::Approx(1e-5).epsilon(1e-14));
  CHECK(band.high_frequency_limit().slope == -1);
  CHECK(band.high_frequency_limit().gain == doctest::Approx(500).epsilon(1e-14));
  const transfer_function low = transfer(loaded_coil(6e3, 2.5, 620e-12, 200e3));
  CHECK(low.high_frequency_limit().slope == -2);
  CHECK(low.high_frequency_limit().gain == doctest::Approx(1 / (2.5 * 620e-12)).epsilon(1e-14));
  CHECK(low.dc_limit().gain == doctest::Approx(200e3 / 206e3).epsilon(1e-14));
}

TEST_CASE("group delay: closed form, and the derivative of the phase") {
  // RC: τ/(1 + ω²τ²), textbook
  const transfer_function rc = transfer(ideal_emf(1_V) | in_series(10_kOhm) | in_shunt(10_nF));
  for (const double f : {0.0, 1.0, 100.0, 1591.549, 1e5}) {
    const double t = 1e-4, w = two_pi * f;
    CHECK(rc.group_delay(ways::hertz(f)).value() == doctest::Approx(t / (1 + w * w * t * t)).epsilon(1e-13));
  }
  const transfer_function flat = transfer(ideal_emf(1_V) | in_series(10_kOhm) | in_shunt(10_kOhm));
  CHECK(flat.group_delay(1_kHz).value() == 0);
  const transfer_function guitar =
      transfer(ideal_emf(1_V) | in_series(series(6_kOhm, 2.5_H)) | in_shunt(120_pF) |
               in_shunt(series(250_kOhm, 22_nF)) | in_series(parallel(120_kOhm, 1_nF)) | in_shunt(130_kOhm) |
               in_shunt(500_pF));
  double worst = 0;
  for (double f = 20; f < 2e4; f *= 1.3) {
    const double step = 1e-5 * f;
    const double turn = std::arg(guitar(ways::hertz(f + step)) / guitar(ways::hertz(f - step)));
    const double numeric = -turn / (two_pi * 2 * step);
    worst = std::max(worst, std::abs(guitar.group_delay(ways::hertz(f)).value() - numeric) / 1e-4);
  }
  MESSAGE("group delay off the numeric derivative by " << worst << " of 0.1 ms");
  CHECK(worst <= 1e-6);
}

namespace {

/// Of a degree, with roots all over the left half plane (for zeros: all over the plane), real ones and pairs.
polynomial<double> random_polynomial(dice& d, std::size_t degree, bool anywhere) {
  polynomial<double> p;
  p.size = 1;
  p.c[0] = d.between(0.5, 2);
  const auto times = [&](std::initializer_list<double> q) {
    polynomial<double> f, r;
    f.size = q.size();
    std::copy(q.begin(), q.end(), f.c);
    polynomial_system<double>::add_product(r, p, f);
    p = r;
  };
  while (p.size <= degree) {
    const double w = d.spread(0.01, 20), sign = anywhere && d() < 0.5 ? -1 : 1;
    if (p.size == degree || d() < 0.3) {
      times({w, sign});
    } else {
      times({1, sign * d.between(0.05, 1.9) / w, 1 / (w * w)});
    }
  }
  return p;
}

struct exact {
  std::complex<long double> value;
  double condition; ///< how much larger the terms are than the sum
};
exact horner(std::span<const double> c, long double w) {
  std::complex<long double> y = 0;
  long double size = 0;
  for (std::size_t k = c.size(); k-- > 0;) {
    y = y * std::complex<long double>(0, w) + static_cast<long double>(c[k]);
    size = size * w + std::abs(static_cast<long double>(c[k]));
  }
  return {y, static_cast<double>(size / std::abs(y))};
}

template <int Width>
double worst_of_kernel(std::uint64_t seed) {
  dice d(seed);
  double worst = 0;
  for (std::size_t degree = 0; degree <= 20; ++degree)
    for (const std::size_t other : {degree, degree / 2, std::size_t{0}}) {
      const transfer_function h(random_polynomial(d, other, true), random_polynomial(d, degree, false));
      REQUIRE(h.denominator().size() == degree + 1);
      REQUIRE(h.numerator().size() == other + 1);
      REQUIRE(h.degree() == degree);
      std::vector<double> hz(37), re(37), im(37);
      for (double& f : hz) f = d.spread(20, 5e4);
      h.evaluate<Width>(hz, re, im);
      for (std::size_t i = 0; i < hz.size(); ++i) {
        const long double w = 2 * std::numbers::pi_v<long double> * static_cast<long double>(hz[i]) /
                              static_cast<long double>(scale::per_second);
        const exact n = horner(h.numerator(), w), q = horner(h.denominator(), w);
        const std::complex<long double> is(static_cast<long double>(re[i]), static_cast<long double>(im[i]));
        const std::complex<long double> off = is * q.value / n.value - 1.0L;
        // Both the rounding of the evaluation and that of the frequency count with the terms' size.
        const double bound = (n.condition + q.condition) * static_cast<double>(degree + 1);
        worst = std::max(worst, static_cast<double>(std::abs(off)) / bound);
      }
    }
  return worst;
}

} // namespace

TEST_CASE("the kernel of each degree from 0 to 20 and each width against long double") {
  const double one = worst_of_kernel<1>(1), two = worst_of_kernel<2>(1),
               native = worst_of_kernel<native_lanes>(1);
  MESSAGE("worst, of (degree + 1) and the terms' size: " << one << ", " << two << ", " << native);
  CHECK(one <= 4e-16);
  CHECK(two <= 4e-16);
  CHECK(native <= 4e-16);
}

TEST_CASE("spans of any length say what single points say") {
  dice d(5);
  for (const std::size_t degree : {0U, 1U, 4U, 8U, 9U, 13U}) {
    const transfer_function h(random_polynomial(d, degree, true), random_polynomial(d, degree, false));
    for (const std::size_t length : {0U, 1U, 2U, 3U, 5U, 31U, 32U, 33U, 64U, 65U, 1024U}) {
      std::vector<double> hz(length), re(length + 1, -7.0), im(length + 1, -7.0);
      std::vector<complex> out(length + 1, complex(-7, -7));
      for (double& f : hz) f = d.spread(1, 1e5);
      h.evaluate(hz, std::span(re).first(length), std::span(im).first(length));
      h.evaluate(hz, std::span(out).first(length));
      CHECK(re[length] == -7); // nothing is written past the end
      CHECK(im[length] == -7);
      CHECK(out[length] == complex(-7, -7));
      for (std::size_t i = 0; i < length; ++i) {
        const complex point = h(ways::hertz(hz[i]));
        const double size = std::abs(point) + 1e-3;
        REQUIRE(std::abs(complex(re[i], im[i]) - point) <= 1e-12 * size);
        REQUIRE(std::abs(out[i] - point) <= 1e-12 * size);
        REQUIRE(std::abs(h.at({0, two_pi * hz[i]}) - point) <= 1e-12 * size);
      }
    }
  }
}

TEST_CASE("anywhere in the plane a transfer function is what the point machine computes there") {
  const source s = ideal_emf(1_V) | in_series(series(6_kOhm, 2.5_H)) | in_shunt(120_pF) |
                   in_shunt(series(250_kOhm, 22_nF)) | in_series(parallel(120_kOhm, 1_nF)) |
                   in_shunt(130_kOhm) | in_shunt(500_pF);
  const transfer_function h = transfer(s), z = impedance_function(s);
  for (const complex at :
       {complex(100, 0), complex(1e4, 2e4), complex(-50, 3e3), complex(0, -8e3), complex(3e5, 1)}) {
    const auto point = ways::at(s.as_circuit(), at);
    CHECK(std::abs(h.at(at) - point.response[0]) <= 1e-13 * std::abs(point.response[0]));
    CHECK(std::abs(z.at(at) - point.impedance) <= 1e-13 * std::abs(point.impedance));
  }
}

TEST_CASE("what has no polynomial is refused by name, what outgrows the storage by number") {
  const source lossy = ideal_emf(1_V) | in_series(power_law(1_kOhm, 0.5));
  CHECK_THROWS_AS((void)transfer(lossy), not_rational);
  CHECK_THROWS_AS((void)composer(lossy.as_circuit()), not_rational);
  CHECK(error_of([&] { (void)transfer(lossy); }).find("power law") != std::string::npos);
  CHECK_THROWS_AS((void)impedance_function(power_law(1_kOhm, 0.5)), not_rational);

  source ladder = ideal_emf(1_V);
  for (int i = 0; i < 31; ++i) ladder = ladder | in_series(1_H) | in_shunt(1_nF);
  CHECK(transfer(ladder).degree() == 62);
  CHECK(transfer(ladder | in_series(1_H) | in_shunt(1_kOhm)).degree() == 63);
  const source over = ladder | in_series(1_H) | in_shunt(1_nF);
  CHECK_THROWS_AS((void)transfer(over), capacity_exceeded);
  const std::string text = error_of([&] { (void)transfer(over); });
  CAPTURE(text);
  CHECK(text.find("degree 64") != std::string::npos);
  CHECK(text.find("0 to 63") != std::string::npos);
}

TEST_CASE("forty reactive parts: dc to 20 kHz beside the direct evaluation") {
  source s = ideal_emf(1_V) | in_series(5_kOhm);
  dice d(3);
  for (int i = 0; i < 20; ++i) {
    const double l = d.spread(0.05, 0.5), r = d.spread(100, 1e3), c = d.spread(2e-11, 2e-10);
    s = s | in_series(series(inductance::from_value(l), resistance::from_value(r))) |
        in_shunt(parallel(capacitance::from_value(c), 2_MOhm));
  }
  const transfer_function h = transfer(s);
  CHECK(h.degree() == 40);
  double worst = 0;
  for (double f = 20; f < 2e4; f *= 1.1) {
    const complex direct = response(s, ways::hertz(f));
    worst = std::max(worst, std::abs(h(ways::hertz(f)) - direct) / std::abs(direct));
  }
  MESSAGE("worst at 40 reactive parts: " << worst);
  CHECK(worst <= 1e-11);
}

TEST_CASE("EMFs behind one preamplifier share a denominator") {
  // Six coils, each with a winding capacitance, in three pairs, a tone control, a preamplifier, a volume: six times
  // the one denominator would not fit.
  const auto coil = [](const char* name, double l) {
    return ideal_emf(1_V, name) | in_series(series(6_kOhm, inductance::from_value(l))) | in_shunt(100_pF);
  };
  const source s = parallel(series(coil("a", 2), coil("b", 2.1)), series(coil("c", 2.5), coil("d", 2.6)),
                            series(coil("e", 3), coil("f", 3.1))) |
                   in_shunt(series(250_kOhm, 22_nF)) | in_shunt(500_kOhm) |
                   buffer(2, parallel(1_MOhm, 20_pF), series(1_kOhm, 10_uF)) | in_series(10_kOhm) |
                   in_shunt(500_pF);
  const transfer_function sum = transfer(s);
  // Six windings, three junctions and the common node, the tone capacitor; nothing drains what lies between the
  // coupling capacitor and the cable, so these two make one.
  CHECK(sum.degree() == 12);
  for (const double f : {30.0, 800.0, 5e3, 2e4}) {
    const complex expected = response(s, ways::hertz(f));
    CHECK(std::abs(sum(ways::hertz(f)) - expected) <= 1e-12 * std::abs(expected));
    for (std::size_t k = 0; k < 6; ++k) {
      const complex one = response(s, k, ways::hertz(f));
      CHECK(std::abs(transfer(s, k)(ways::hertz(f)) - one) <= 1e-12 * std::abs(one));
    }
  }
  // Two groups behind amplifiers of their own, mixed, and once more amplified; one EMF low-passed besides.
  const auto active = [&](const char* a, const char* b, double l) {
    return series(coil(a, l), coil(b, 2 * l)) | buffer(1, parallel(1_MOhm, 50_pF), 10_kOhm);
  };
  circuit mixed = (parallel(active("a", "b", 1), active("c", "d", 2)) | in_shunt(25_kOhm) |
                   buffer(3, 100_kOhm, 100_Ohm) | in_shunt(10_nF))
                      .as_circuit();
  for (int which = 0; which < 4; ++which) {
    if (which > 0) emit(mixed, opcode::emf_filter, {1e-5 * which, 0}, static_cast<std::uint8_t>(which));
    const source m(mixed);
    const transfer_function h = transfer(m);
    for (const double f : {30.0, 800.0, 5e3, 2e4}) {
      const complex expected = response(m, ways::hertz(f));
      CHECK(std::abs(h(ways::hertz(f)) - expected) <= 1e-12 * std::abs(expected));
      for (const std::vector<double>& w : {std::vector<double>{0, 1, 0, 2}, {1, 1, -1, 0}}) {
        complex weighted = 0;
        for (std::size_t k = 0; k < 4; ++k) weighted += w[k] * response(m, k, ways::hertz(f));
        CHECK(std::abs(composer(mixed).response(mixed, w)(ways::hertz(f)) - weighted) <=
              1e-12 * std::abs(expected));
      }
    }
    if (which == 0) CHECK(h.degree() == 8 + 1); // two groups of four, the last capacitor
  }
}

TEST_CASE("a transfer function as a value") {
  const transfer_function none;
  CHECK(!none.defined());
  CHECK(none.degree() == 0);
  CHECK(is_nan(none(1_kHz).real()));
  const transfer_function a = transfer(loaded_coil(6e3, 2.5, 620e-12, 200e3));
  transfer_function b = a;
  CHECK(a == b);
  b = transfer(loaded_coil(6e3, 2.5, 621e-12, 200e3));
  CHECK(!(a == b));
  CHECK(!(a == none));
  // Zero, and what reaches no output.
  const transfer_function zero = transfer(ideal_emf(1_V) | in_series(1_kOhm) | in_shunt(0_Ohm));
  CHECK(zero.defined());
  CHECK(zero.numerator().empty());
  CHECK(zero(1_kHz) == 0.0);
  CHECK(zero.dc_limit().gain == 0);
  CHECK(zero.high_frequency_limit().gain == 0);
  // Scaled so that the largest coefficient of the denominator lies in [1, 2), whatever the circuit.
  dice d(9);
  for (int i = 0; i < 100; ++i) {
    const transfer_function h = transfer(
        loaded_coil(d.spread(1e-3, 1e6), d.spread(1e-6, 1e3), d.spread(1e-14, 1e-3), d.spread(1, 1e9)));
    double largest = 0;
    for (const double c : h.denominator()) largest = std::max(largest, std::abs(c));
    CHECK(largest >= 1);
    CHECK(largest < 2);
  }
  // A power of s that both share goes; leading zeros go.
  polynomial<double> n(std::vector<double>{0, 0, 3, 0}), q(std::vector<double>{0, 0, 0, 4, 5, 0, 0});
  const transfer_function h(n, q);
  CHECK(std::vector<double>(h.numerator().begin(), h.numerator().end()) == std::vector<double>{0.75});
  CHECK(std::vector<double>(h.denominator().begin(), h.denominator().end()) ==
        std::vector<double>{0, 1, 1.25});
  CHECK(h.dc_limit().slope == -1);
}

TEST_CASE("capacitive amplifiers one behind the other cost no degree") {
  // 15 nF into 20 pF, seventy times: a capacitive divider at every frequency (computed from the formula).
  source s = ideal_emf(1_V) | in_series(15_nF);
  for (int i = 0; i < 70; ++i) s = s | buffer(1, 20_pF, 15_nF);
  const transfer_function h = transfer(s);
  CHECK(h.degree() == 0);
  const double expected = std::pow(15 / 15.02, 70);
  for (const double f : {0.0, 20.0, 2e4}) CHECK(std::abs(h(ways::hertz(f)) - expected) <= 1e-12 * expected);
  CHECK(std::abs(response(s, 1_kHz) - expected) <= 1e-12 * expected);
}

TEST_CASE("an open across is not there: no coefficient of it either") {
  using system = polynomial_system<double>;
  const auto run_of = [](const one_port& z) {
    const circuit& c = z.as_circuit();
    workspace<system> room(c.code);
    machine<system, double> m(system{}, c.values.data(), room);
    run(c.code, m);
    return std::pair{m.n(), m.d()};
  };
  for (const one_port& z : {one_port(2_H), series(2_H, 5_kOhm), series(2_H, 22_nF)})
    CHECK(run_of(parallel(z, open_circuit())) == run_of(z));
}

TEST_CASE("coefficients far from one") {
  // Each section multiplies by some 2^14; n of them side by side are an nth of one.
  source s = ideal_emf(1_V) | in_series(1_MOhm);
  for (int n = 1; n <= 12; ++n) {
    s = s | in_shunt(series(10_MOhm, 100_nF));
    const transfer_function h = transfer(s), z = impedance_function(s);
    for (const double f : {0.1, 20.0, 2e4}) {
      const complex shunt = (10e6 + 1.0 / complex(0, two_pi * f * 100e-9)) / static_cast<double>(n);
      const complex divided = shunt / (1e6 + shunt);
      CHECK(std::abs(h(ways::hertz(f)) - divided) <= 1e-13 * std::abs(divided));
      CHECK(std::abs(z(ways::hertz(f)) - 1e6 * divided) <= 1e-13 * std::abs(1e6 * divided));
    }
  }
}

TEST_CASE("an integrator: the response has a pole at s = 0 that the impedance has not") {
  // V1 = t·s·(V2 + R·I2): V2 = E/(t·s), and R behind it.
  const source s = ideal_emf(1_V) | chain_matrix{.a = {0, 1e-3, 0}, .b = {0, 2, 0}, .d = {0, 1e-3, 0}};
  const transfer_function h = transfer(s), z = impedance_function(s);
  CHECK(h.dc_limit().slope == -1);
  CHECK(h.dc_limit().gain == doctest::Approx(1e3).epsilon(1e-14));
  for (const double f : {0.1, 50.0, 1e4}) {
    const complex expected = 1.0 / complex(0, 1e-3 * two_pi * f);
    CHECK(std::abs(h(ways::hertz(f)) - expected) <= 1e-14 * std::abs(expected));
    CHECK(std::abs(response(s, 0, ways::hertz(f)) - expected) <= 1e-14 * std::abs(expected));
    CHECK(std::abs(z(ways::hertz(f)) - 2e3) <= 1e-11);
  }
}

TEST_CASE("the highest degree that fits is computed, not only counted") {
  source ladder = ideal_emf(1_V) | in_series(1_kOhm);
  for (int i = 0; i < 31; ++i) ladder = ladder | in_series(1_H) | in_shunt(1_nF);
  ladder = ladder | in_series(1_H) | in_shunt(1_kOhm);
  const transfer_function h = transfer(ladder);
  REQUIRE(h.degree() == 63);
  for (const double f : {1.0, 30.0, 300.0}) {
    const complex expected = response(ladder, 0, ways::hertz(f));
    CHECK(std::abs(h(ways::hertz(f)) - expected) <= 1e-11 * std::abs(expected));
  }
}

TEST_CASE("a short that is taken away may outgrow the storage: no result, until it is back") {
  source s = ideal_emf(1_V);
  for (int i = 0; i < 31; ++i) s = s | in_series(1_H) | in_shunt(1_nF);
  s = s | in_shunt(one_port(0_Ohm).named("short")) | in_series(1_H) | in_shunt(1_nF);
  const value_range shorted = s.range("short");
  composer compose(s.as_circuit());
  CHECK(compose.response(s.as_circuit(), 0).numerator().empty());
  CHECK(compose.impedance(s.as_circuit()).degree() == 2);
  s.assign(shorted, 1_kOhm);
  CHECK(!compose.response(s.as_circuit(), 0).defined());
  CHECK(!compose.response(s.as_circuit(), std::span<const double>{}).defined());
  CHECK(!compose.impedance(s.as_circuit()).defined());
  CHECK(compose.status() == circuit_status::ok);
  CHECK(is_nan(compose.impedance(s.as_circuit())(1_kHz).real()));
  s.assign(shorted, 0_Ohm);
  CHECK(compose.response(s.as_circuit(), 0).defined());
  CHECK(compose.impedance(s.as_circuit()).degree() == 2);
}

TEST_CASE("nothing over a power of s, and limits of what is not defined") {
  const transfer_function zero(polynomial<double>{}, polynomial<double>(std::vector<double>{0, 0, 4}));
  CHECK(zero.defined());
  CHECK(zero.numerator().empty());
  CHECK(zero.degree() == 0);
  CHECK(zero(0_Hz) == 0.0);
  const transfer_function none;
  CHECK(none.dc_limit().gain == 0);
  CHECK(none.dc_limit().slope == 0);
  CHECK(none.high_frequency_limit().gain == 0);
  CHECK(none.high_frequency_limit().slope == 0);
}

TEST_CASE("two EMFs with low-passes of their own but alike share them in the sum") {
  const auto coil = [](const char* name, double l, double corner) {
    circuit c = ideal_emf(1_V, name).as_circuit();
    emit(c, opcode::emf_filter, {corner, 0});
    return source(c) | in_series(series(6_kOhm, inductance::from_value(l))) | in_shunt(120_pF);
  };
  const source alike = parallel(coil("a", 2, 1e-5), coil("b", 3, 1e-5)) | in_shunt(500_pF);
  const source unlike = parallel(coil("a", 2, 1e-5), coil("b", 3, 2e-5)) | in_shunt(500_pF);
  CHECK(transfer(alike).degree() == 3 + 1); // two windings and one node, one low-pass
  CHECK(transfer(unlike).degree() == 3 + 2);
  for (const source& s : {alike, unlike})
    for (const double f : {50.0, 3e3, 2e4}) {
      const complex sum = response(s, 0, ways::hertz(f)) + response(s, 1, ways::hertz(f));
      CHECK(std::abs(transfer(s)(ways::hertz(f)) - sum) <= 1e-13 * std::abs(sum));
    }
}

TEST_CASE("an impedance that outgrows the storage is refused as a response is") {
  source ladder = ideal_emf(1_V);
  for (int i = 0; i < 31; ++i) ladder = ladder | in_series(1_H) | in_shunt(1_nF);
  ladder = ladder | in_series(1_H) | in_shunt(1_kOhm);
  CHECK(impedance_function(ladder).degree() == 63);
  CHECK_THROWS_AS((void)impedance_function(ladder | in_series(1_H)),
                  capacity_exceeded); // N alone has degree 64
}

TEST_CASE("an impedance whose numerator is the longer one") {
  const transfer_function z = impedance_function(series(5_kOhm, 2_H, 22_nF)); // N has degree 2, D has 1
  CHECK(z.degree() == 2);
  CHECK(z.numerator().size() == 3);
  CHECK(z.denominator().size() == 2);
  std::vector<double> hz{20, 440, 3e3, 2e4, 5e4};
  std::vector<complex> out(hz.size());
  z.evaluate(hz, out);
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const complex s(0, two_pi * hz[i]), expected = 5e3 + 2.0 * s + 1.0 / (22e-9 * s);
    CHECK(std::abs(out[i] - expected) <= 1e-14 * std::abs(expected) + 1e-14 * std::abs(2.0 * s));
  }
}
