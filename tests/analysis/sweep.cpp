// SPDX-License-Identifier: BSL-1.0
#include <array>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include <lodewire/analysis/sweep.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using complex = std::complex<double>;

namespace {

const magnetic_coil coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 110_pF};

source guitar() { return coil | in_shunt(510_pF) | in_shunt(200_kOhm); }

/// Two unlike EMFs that come out differently.
source two() {
  coil_pair p = humbucking_pair(coil, coil, 0.1);
  p.second.inductance = 3_H;
  p.second.emf = 0.7_V;
  return p.as_series() | in_shunt(400_pF) | in_shunt(330_kOhm);
}

/// One low-pass of second order behind an amplifier of its own: R, L, C in turn.
stage section() { return in_series(6_kOhm) | in_series(2_H) | in_shunt(700_pF) | buffer(1, 10_MOhm, 0_Ohm); }
complex section_alone(double hz) {
  const complex s(0, 2 * std::numbers::pi * hz);
  const complex y = s * 700e-12 + 1 / 10e6;
  return 1.0 / (1.0 + (6e3 + s * 2.0) * y);
}

} // namespace

TEST_CASE("a sweep is the response, point by point") {
  const auto hz = log_grid(20_Hz, 20_kHz, 117); // not a multiple of any block
  const sweep_result r = sweep(guitar(), hz);
  REQUIRE(r.hz == hz);
  REQUIRE(r.response.size() == hz.size());
  const auto db = r.gain_db();
  REQUIRE(db.size() == hz.size());
  const double load = 200e3, l = 2.5, c = 620e-12, ohm = 6e3;
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const complex s(0, 2 * std::numbers::pi * hz[i]);
    const complex h = 1.0 / (1.0 + (ohm + s * l) * (s * c + 1 / load));
    CHECK(near(r.response[i], h, 1e-12));
    CHECK(std::abs(db[i] - 20 * std::log10(std::abs(h))) < 1e-10);
  }
}

TEST_CASE("one point, and many") {
  const std::array<double, 1> one{3930.0737};
  // H(s) of R 6 kΩ, L 2.5 H, C 620 pF, load 200 kΩ peaks there at +7.756637 dB: computed from the formula (M.
  // Zollner, "Physik der Elektrogitarre" §5.5.4, p. 5-62).
  CHECK(std::abs(sweep(guitar(), one).gain_db()[0] - 7.756637) < 0.0000051);
  CHECK(sweep(guitar(), linear_grid(1_kHz, 9_kHz, 10'001)).response.size() == 10'001);
}

TEST_CASE("each EMF alone, all together, weighted") {
  const source s = two();
  const auto hz = log_grid(50_Hz, 15_kHz, 60);
  const sweep_result first = sweep_emf(s, 0, hz), second = sweep_emf(s, 1, hz), both = sweep(s, hz);
  const std::array weights{0.25, -2.0};
  const std::array only_first{0.5};
  const sweep_result weighted = sweep(s, hz, weights), rest_is_one = sweep(s, hz, only_first);
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const frequency f = frequency::from_value(hz[i]);
    const complex a = first.response[i], b = second.response[i];
    const double size = std::abs(a) + std::abs(b);
    CHECK(near(a, response(s, 0, f), 1e-12));
    CHECK(near(b, response(s, 1, f), 1e-12));
    CHECK(std::abs(both.response[i] - (a + b)) < 1e-12 * size);
    CHECK(std::abs(weighted.response[i] - (0.25 * a - 2.0 * b)) < 1e-12 * size);
    CHECK(std::abs(rest_is_one.response[i] - (0.5 * a + b)) < 1e-12 * size);
  }
  CHECK(error_of([&] { (void)sweep_emf(s, 2, hz); }) == "EMF number is 2; allowed: 0 to 1");
}

TEST_CASE("phase goes on past half a turn, and past several") {
  source s = ideal_emf(1_V);
  constexpr int sections = 7;
  for (int i = 0; i < sections; ++i) s = s | section();
  const auto hz = log_grid(20_Hz, 100_kHz, 2000);
  const auto deg = sweep(s, hz).phase_deg();
  REQUIRE(deg.size() == hz.size());
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const double own = std::arg(section_alone(hz[i])) * 180 / std::numbers::pi; // never leaves -180 to 0
    CHECK(own <= 0);
    CHECK(std::abs(deg[i] - sections * own) < 1e-6);
  }
  CHECK(deg.back() < -3 * 360);
  // Upwards too: the inverse network.
  sweep_result inverse = sweep(s, hz);
  for (complex& h : inverse.response) h = 1.0 / h;
  CHECK(near(inverse.phase_deg().back(), -deg.back(), 1e-9));
  CHECK(inverse.phase_deg().back() > 3 * 360);
}

TEST_CASE("group delay is the slope of the phase") {
  const transfer_function h = transfer(guitar());
  const auto hz = log_grid(100_Hz, 20_kHz, 50);
  const auto seconds = group_delay(h, hz);
  REQUIRE(seconds.size() == hz.size());
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const double step = 1e-4 * hz[i];
    const std::array around{hz[i] - step, hz[i] + step};
    const auto deg = sweep(guitar(), around).phase_deg();
    const double slope = -(deg[1] - deg[0]) / 360 / (2 * step);
    CHECK(near(seconds[i], slope, 1e-6));
    // By hand: τ = (1/(Q·ω0))·(1 + x²)/((1 - x²)² + x²/Q²), x = ω/ω0 (computed from the formula).
    const double q = 2.4633925, w0 = 2 * std::numbers::pi * 4102.7296, x = 2 * std::numbers::pi * hz[i] / w0;
    const double tau = (1 + x * x) / (q * w0) / ((1 - x * x) * (1 - x * x) + x * x / (q * q));
    CHECK(near(seconds[i], tau, 2e-6));
  }
  const auto none = group_delay(transfer(ideal_emf(1_V) | in_series(1_kOhm) | in_shunt(1_kOhm)), hz);
  for (const double t : none) CHECK(t == 0);
}

TEST_CASE("impedance over frequency") {
  const auto hz = log_grid(20_Hz, 20_kHz, 33);
  const one_port lossy = parallel(series(6_kOhm, 2.5_H), 620_pF);
  const sweep_result of_part = sweep_impedance(lossy, hz), of_source = sweep_impedance(two(), hz);
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const frequency f = frequency::from_value(hz[i]);
    CHECK(near(of_part.response[i], impedance_at(lossy, f).value(), 1e-12));
    CHECK(near(of_source.response[i], output_impedance(two(), f).value(), 1e-12));
  }
}

TEST_CASE("impedance of a coil beside a capacitor, as a textbook prints it") {
  // T. Kuphaldt, "Lessons in Electric Circuits" II, "Resonance in series-parallel circuits": 1 V, 10 µF
  // beside 100 Ω and 100 mH, source current in mA on 20 points from 100 to 200 Hz; the first nine.
  const auto hz = linear_grid(100_Hz, 200_Hz, 20);
  const sweep_result z = sweep_impedance(parallel(series(100_Ohm, 100_mH), 10_uF), hz);
  const std::array printed{7.387, 7.242, 7.115, 7.007, 6.921, 6.859, 6.823, 6.813, 6.830};
  for (std::size_t i = 0; i < printed.size(); ++i)
    CHECK(std::abs(1e3 / std::abs(z.response[i]) - printed[i]) < 0.00051);
}

TEST_CASE("grids") {
  const auto log = log_grid(20_Hz, 20_kHz, 4);
  REQUIRE(log.size() == 4);
  CHECK(log.front() == 20);
  CHECK(log.back() == 20e3);
  CHECK(near(log[1], 200, 1e-14));
  CHECK(near(log[2], 2000, 1e-14));
  const auto even = linear_grid(100_Hz, 400_Hz, 4);
  REQUIRE(even.size() == 4);
  CHECK(even.front() == 100);
  CHECK(even.back() == 400);
  CHECK(near(even[1], 200, 1e-14));
  for (const auto make : {log_grid, linear_grid}) {
    CHECK(error_of([&] { (void)make(0_Hz, 1_kHz, 5); }) == "grid.from is 0 Hz; allowed: more than 0 Hz");
    CHECK(error_of([&] { (void)make(20_Hz, -1_kHz, 5); }) == "grid.to is -1 kHz; allowed: more than 0 Hz");
    CHECK(error_of([&] { (void)make(1_kHz, 20_Hz, 5); }) ==
          "grid.to is 20 Hz; allowed: more than grid.from, 1 kHz");
    CHECK(error_of([&] { (void)make(20_Hz, 20_kHz, 1); }) == "grid.points is 1; allowed: 2 or more");
  }
}

TEST_CASE("a bad grid is refused everywhere, by the entry at fault") {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN(),
                   infinite = std::numeric_limits<double>::infinity();
  const auto everywhere = [](const std::vector<double>& hz) {
    const source s = two();
    const std::string text = error_of([&] { (void)sweep(s, hz); });
    CHECK(error_of([&] { (void)sweep_emf(s, 0, hz); }) == text);
    CHECK(error_of([&] { (void)sweep_impedance(s, hz); }) == text);
    CHECK(error_of([&] { (void)sweep_impedance(one_port(1_kOhm), hz); }) == text);
    CHECK(error_of([&] { (void)group_delay(transfer(s), hz); }) == text);
    return text;
  };
  CHECK(everywhere({}) == "grid is empty; allowed: one frequency or more");
  CHECK(everywhere({0, 100}) == "grid[0] is 0 Hz; allowed: more than 0 Hz");
  CHECK(everywhere({-50, 100}) == "grid[0] is -50 Hz; allowed: more than 0 Hz");
  CHECK(everywhere({100, 300, 200}) == "grid[2] is 200 Hz; allowed: more than the entry before, 300 Hz");
  CHECK(everywhere({100, 200, 200}) == "grid[2] is 200 Hz; allowed: more than the entry before, 200 Hz");
  CHECK(everywhere({100, -200}) == "grid[1] is -200 Hz; allowed: more than 0 Hz");
  CHECK(everywhere({1000.02, 1000.01}) ==
        "grid[1] is 1.00001 kHz; allowed: more than the entry before, 1.00002 kHz");
  CHECK(everywhere({nan}) == "grid[0] is NaN Hz; allowed: a finite frequency");
  CHECK(everywhere({100, nan, 300}) == "grid[1] is NaN Hz; allowed: a finite frequency");
  CHECK(everywhere({100, 200, infinite}) == "grid[2] is infinity Hz; allowed: a finite frequency");
}

TEST_CASE("sources that contradict each other only after a change are found") {
  source s = parallel(ideal_emf(1_V, "a") | in_series(one_port(10_Ohm).named("r")), ideal_emf(2_V, "b"));
  const std::array hz{100.0, 1000.0};
  CHECK(near(sweep(s, hz).response[0], 2, 1e-14));
  s.assign(s.range("r"), 0_Ohm);
  CHECK_THROWS_AS((void)sweep(s, hz), conflicting_sources);
  CHECK_THROWS_AS((void)sweep_impedance(s, hz), conflicting_sources);
}
