// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <complex>
#include <cstdint>
#include <limits>
#include <numbers>
#include <span>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/noise.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/active_pickup.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using complex = std::complex<double>;
constexpr auto a_weighted = frequency_weighting::a;

namespace {

constexpr double four_kt = 4 * 1.380649e-23 * 300;

voltage_noise_density volts(double v) { return voltage_noise_density::from_value(v); }
current_noise_density amperes(double v) { return current_noise_density::from_value(v); }

const noise_contribution& part(const noise_spectrum& s, const std::string& name) {
  for (const noise_contribution& c : s.contributions)
    if (c.name == name) return c;
  FAIL("no contribution '", name, "'");
  return s.contributions.front();
}

std::vector<std::string> names(const noise_spectrum& s) {
  std::vector<std::string> all;
  for (const noise_contribution& c : s.contributions) all.push_back(c.name);
  return all;
}

/// The total is the power sum of what it is made of, everywhere.
void check_sum(const noise_spectrum& s) {
  REQUIRE(s.density.size() == s.hz.size());
  for (std::size_t i = 0; i < s.hz.size(); ++i) {
    double sum = 0;
    for (const noise_contribution& c : s.contributions) {
      REQUIRE(c.density.size() == s.hz.size());
      sum += c.density[i] * c.density[i];
    }
    CHECK(near(s.density[i], std::sqrt(sum), 1e-14));
  }
}

double microvolts(const noise_spectrum& s, frequency_weighting w = frequency_weighting::z) {
  return integrated_noise(s, {}, w).value() * 1e6;
}

const magnetic_coil coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 120_pF};

} // namespace

TEST_CASE("thermal noise of a resistance") {
  static_assert(boltzmann_constant == 1.380649e-23); // exact: SI, 2019
  const auto nanovolts = [](resistance r, temperature t) { return thermal_density(r, t).value() * 1e9; };
  // Computed from the formula √(4kTR).
  CHECK(near(nanovolts(1_kOhm, 300_K), 4.070354776, 2e-10));
  CHECK(near(nanovolts(10_kOhm, 300_K), 12.8716, 4e-6));
  CHECK(near(nanovolts(1_kOhm, 290_K), 4.001941, 2e-7));
  CHECK(near(nanovolts(1_kOhm, 293.15_K), 4.023617, 2e-7));
  CHECK(near(nanovolts(1_kOhm, 298.15_K), 4.057785, 2e-7));
  CHECK(thermal_density(1_kOhm) == thermal_density(1_kOhm, 300_K));
  CHECK(thermal_density(0_Ohm).value() == 0);
  CHECK(thermal_density(1_kOhm, 0_K).value() == 0);
  CHECK(error_of([] { (void)thermal_density(-1_kOhm); }) == "resistance is -1 kΩ; allowed: 0 Ω or more");
  CHECK(error_of([] { (void)thermal_density(1_kOhm, -1.0 * 3_K); }) ==
        "temperature is -3 K; allowed: 0 K or more");
}

TEST_CASE("thermal noise over a band") {
  // 100 kΩ, 1 MHz, 300 K: 40.69 µV printed, with k = 1.38e-23 J/K (tutorialsweb.com); 40.7035 µV computed from the
  // formula with the exact k.
  const auto hz = log_grid(1_Hz, 2_MHz, 101);
  const noise_spectrum s = noise(one_port(100_kOhm), hz);
  const double uv = integrated_noise(s, {500_kHz, 1.5_MHz}).value() * 1e6;
  CHECK(near(uv, 40.7035, 2e-6));
  CHECK(std::abs(uv * std::sqrt(1.38e-23 / boltzmann_constant) - 40.69) <= 0.0051);
}

TEST_CASE("kT/C, whatever the resistance, and the noise bandwidth") {
  // 1 pF at 300 K: √(kT/C) = 64.3580 µV rms (computed from the formula).
  for (const resistance& r : {1_kOhm, 47_kOhm, 10_MOhm}) {
    const double corner = 1 / (2 * std::numbers::pi * r.value() * 1e-12);
    const auto hz =
        log_grid(frequency::from_value(corner * 1e-7), frequency::from_value(corner * 1e7), 32 * 14 + 1);
    const noise_spectrum s = noise(parallel(r, 1_pF), hz);
    const noise_band band{frequency::from_value(hz.front()), frequency::from_value(hz.back())};
    const double uv = integrated_noise(s, band).value() * 1e6;
    CHECK(near(uv, 64.3580, 2e-6));
    // As wide as a rectangle of π/2·f_c.
    const double flat = thermal_density(r).value() * 1e6;
    CHECK(near(uv, flat * std::sqrt(noise_bandwidth(frequency::from_value(corner)).value()), 2e-6));
  }
  CHECK(near(noise_bandwidth(1_kHz).value(), 1570.796327, 3e-10));
  CHECK(error_of([] { (void)noise_bandwidth(0_Hz); }) == "corner is 0 Hz; allowed: more than 0 Hz");
}

TEST_CASE("a coil with its load, unweighted and A-weighted") {
  // 6 kΩ + 2.5 H beside 620 pF and 200 kΩ, 300 K: computed from 4kT·Re Z by the trapezoidal rule in steps of 0.1 Hz.
  const one_port z = parallel(series(6_kOhm, 2.5_H), 620_pF, 200_kOhm);
  const std::array at{1000.0};
  CHECK(near(noise(z, at).density[0] * 1e9, 11.37685, 5e-7));
  for (const std::size_t decade : {32U, 64U, 333U}) {
    const noise_spectrum s = noise(z, log_grid(20_Hz, 20_kHz, 3 * decade + 1));
    CHECK(near(microvolts(s), 2.52928, 2.1e-6));
    CHECK(near(microvolts(s, a_weighted), 2.67771, 2.1e-6));
  }
  // On an even grid as well, and as a source whose EMF is at rest.
  const source s = coil | in_shunt(500_pF) | in_shunt(200_kOhm);
  const noise_spectrum even = noise(s, linear_grid(20_Hz, 20_kHz, 2000));
  CHECK(near(microvolts(even), 2.52928, 2.1e-6));
  CHECK(near(microvolts(even, a_weighted), 2.67771, 2.1e-6));
  CHECK(names(even) == std::vector<std::string>{"output: thermal"});
}

TEST_CASE("a buffer does not silence what is before it") {
  const auto hz = log_grid(20_Hz, 20_kHz, 301);
  const source s = coil | buffer(1, 1_MOhm, 1_kOhm);
  const noise_spectrum n = noise(s, hz);
  check_sum(n);
  CHECK(names(n) == std::vector<std::string>{"buffer 1: thermal", "output: thermal"});
  // By hand: 4kT·Re of R + sL beside C and 1 MΩ, then 4kT·1 kΩ on top.
  std::vector<double> before, after;
  for (const double f : hz) {
    const complex jw(0, 2 * std::numbers::pi * f);
    const double re = (1.0 / (1.0 / (6e3 + jw * 2.5) + jw * 120e-12 + 1e-6)).real();
    before.push_back(std::sqrt(four_kt * re));
    after.push_back(std::sqrt(four_kt * (re + 1e3)));
  }
  for (std::size_t i = 0; i < hz.size(); ++i) {
    CHECK(near(n.density[i], after[i], 1e-12));
    CHECK(near(n.contributions[0].density[i], before[i], 1e-12));
  }
  // 5.72 µV come from before the buffer, 5.75 with its output resistance; the output alone would say 0.58 µV.
  CHECK(std::abs(integrated_noise(n.contributions[0].density, hz).value() * 1e6 - 5.7) < 0.05);
  CHECK(std::abs(integrated_noise(n.contributions[0].density, hz).value() * 1e6 - 5.7244) < 0.0001);
  CHECK(std::abs(microvolts(n) - 5.7532) < 0.0001);
  CHECK(std::abs(integrated_noise(n.contributions[1].density, hz).value() * 1e6 - 0.6) < 0.05);
}

TEST_CASE("e_n and i_n of buffers and of the input, an active pickup, the stopper") {
  const auto hz = log_grid(20_Hz, 20_kHz, 40);
  const source s = coil | buffer(-3, parallel(1_MOhm, 10_pF), 1_kOhm) |
                   cable{.length = 6_m, .capacitance = 95_pF_per_m} |
                   input{.resistance = 1_MOhm, .capacitance = 100_pF, .stopper = 68_kOhm};
  noise_setup setup{.temperature = 290_K};
  setup.buffers = {{.e_n = volts(18e-9), .i_n = amperes(0.5e-12), .name = "preamp"}};
  setup.input = {.e_n = volts(4e-9), .i_n = amperes(2e-13)};
  const noise_spectrum n = noise(s, hz, setup);
  check_sum(n);
  CHECK(names(n) == std::vector<std::string>{"preamp: thermal", "preamp: e_n", "preamp: i_n",
                                             "output: thermal", "input: e_n", "input: i_n"});
  const double kt4 = four_kt * 290 / 300;
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const complex jw(0, 2 * std::numbers::pi * hz[i]);
    const complex node = 1.0 / (1.0 / (6e3 + jw * 2.5) + jw * 130e-12 + 1e-6);
    const complex lead = 1.0 / (1e-3 + jw * 570e-12 + 1e-6); // 1 kΩ, cable, 1 MΩ
    const complex stopped = (lead + 68e3) / (1.0 + (lead + 68e3) * jw * 100e-12);
    const double t = 3 * std::abs(lead * 1e-3 / (1.0 + (lead + 68e3) * jw * 100e-12));
    CHECK(near(part(n, "preamp: thermal").density[i], t * std::sqrt(kt4 * node.real()), 1e-11));
    CHECK(near(part(n, "preamp: e_n").density[i], t * 18e-9, 1e-11));
    CHECK(near(part(n, "preamp: i_n").density[i], t * 0.5e-12 * std::abs(node), 1e-11));
    CHECK(near(part(n, "output: thermal").density[i], std::sqrt(kt4 * stopped.real()), 1e-11));
    CHECK(near(part(n, "input: e_n").density[i], 4e-9, 1e-15));
    CHECK(near(part(n, "input: i_n").density[i], 2e-13 * std::abs(stopped), 1e-11));
  }
  // A stopper into no capacitance adds its own 4kTR and nothing else.
  const source bare = coil | input{}, stopper = coil | input{.stopper = 68_kOhm};
  const noise_spectrum without = noise(bare, hz), with = noise(stopper, hz);
  for (std::size_t i = 0; i < hz.size(); ++i)
    CHECK(near(std::pow(with.density[i], 2) - std::pow(without.density[i], 2), four_kt * 68e3, 1e-11));
}

TEST_CASE("an active pickup's own noise goes the way of its EMF") {
  const auto hz = log_grid(20_Hz, 40_kHz, 30);
  const band_limit limit{.corner = 12_kHz, .quality = 0.9};
  for (const voltage& e : {1_V, 0_V, 250_mV}) { // the EMF's own value is the signal's, not the noise's
    const active_pickup pickup{.emf = e, .limit = limit};
    const source s = parallel(pickup, coil) | in_shunt(25_kOhm) | in_shunt(600_pF);
    const noise_spectrum n = noise(s, hz, {.emfs = {{.emf = "active pickup", .density = volts(30e-9)}}});
    check_sum(n);
    const source unit = parallel(active_pickup{.limit = limit}, coil) | in_shunt(25_kOhm) | in_shunt(600_pF);
    for (std::size_t i = 0; i < hz.size(); ++i) {
      const frequency f = frequency::from_value(hz[i]);
      CHECK(near(part(n, "active pickup: own").density[i], 30e-9 * std::abs(response(unit, 0, f)), 1e-12));
      const double thermal = std::sqrt(four_kt * output_impedance(s, f).value().real());
      CHECK(near(part(n, "output: thermal").density[i], thermal, 1e-12));
    }
  }
}

TEST_CASE("two buffers in a row") {
  const auto hz = log_grid(20_Hz, 20_kHz, 25);
  const source s = coil | buffer(5, 1_MOhm, 10_kOhm) | in_shunt(10_nF) | buffer(0.5, 22_kOhm, 600_Ohm);
  noise_setup setup;
  setup.buffers = {{.e_n = volts(7e-9)}, {.e_n = volts(9e-9), .i_n = amperes(1e-12)}};
  const noise_spectrum n = noise(s, hz, setup);
  check_sum(n);
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const complex jw(0, 2 * std::numbers::pi * hz[i]);
    const complex first = 1.0 / (1.0 / (6e3 + jw * 2.5) + jw * 120e-12 + 1e-6);
    const complex second = 1.0 / (1 / 10e3 + 1 / 22e3 + jw * 10e-9);
    const double to_second = std::norm(5.0 * second / 10e3);
    const double square = to_second * (four_kt * first.real() + 7e-9 * 7e-9) + four_kt * second.real() +
                          9e-9 * 9e-9 + 1e-24 * std::norm(second);
    CHECK(near(n.density[i], std::sqrt(0.25 * square + four_kt * 600), 1e-12));
  }
}

namespace {

/// The same circuit twice: as a user writes it, and with every resistor, e_n and i_n an EMF (or a current) of its own.
struct twins {
  circuit plain, spelled;
  std::vector<double> squares;          ///< of the density of each EMF of `spelled`
  std::vector<amplifier_noise> buffers; ///< in the order of `plain`
};

class twin_maker {
public:
  twin_maker(std::uint64_t seed, bool buffers) : state_{seed}, buffers_{buffers} {}

  twins operator()(int depth) {
    if (depth == 0) return coil();
    if (chance() < 0.45) {
      twins a = (*this)(depth - 1), b = (*this)(depth - 1);
      append(a.plain, b.plain);
      append(a.spelled, b.spelled);
      a.squares.insert(a.squares.end(), b.squares.begin(), b.squares.end());
      a.buffers.insert(a.buffers.end(), b.buffers.begin(), b.buffers.end());
      both(a, chance() < 0.5 ? opcode::join_series : opcode::join_parallel);
      return step(std::move(a));
    }
    twins t = step((*this)(depth - 1));
    if (buffers_ && chance() < 0.6) t = buffered(std::move(t));
    return step(std::move(t));
  }

private:
  /// 0 to 1 (splitmix64).
  double chance() {
    std::uint64_t z = (state_ += 0x9e3779b97f4a7c15U);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
    return static_cast<double>((z ^ (z >> 31)) >> 11) * 0x1p-53;
  }
  double spread(double low, double high) { return low * std::pow(high / low, chance()); }

  static void both(twins& t, opcode op) {
    emit(t.plain, op);
    emit(t.spelled, op);
  }
  static void both(twins& t, opcode op, double v) {
    emit(t.plain, op, {v});
    emit(t.spelled, op, {v});
  }
  static void spell(twins& t, opcode op, double square) {
    emit(t.spelled, op, {1});
    t.spelled.emfs.emplace_back();
    t.squares.push_back(square);
  }
  static void series_r(twins& t, double r) {
    emit(t.plain, opcode::series_r, {r});
    spell_series_r(t, r);
  }
  static void spell_series_r(twins& t, double r) {
    emit(t.spelled, opcode::series_r, {r});
    spell(t, opcode::emf, four_kt * r);
    emit(t.spelled, opcode::join_series);
  }
  static void spell_shunt_r(twins& t, double r) {
    emit(t.spelled, opcode::resistor, {r});
    spell(t, opcode::emf, four_kt * r);
    emit(t.spelled, opcode::join_series);
    emit(t.spelled, opcode::join_parallel);
  }

  twins coil() {
    twins t;
    both(t, opcode::emf, 1);
    t.plain.emfs.emplace_back();
    t.spelled.emfs.emplace_back();
    t.squares.push_back(0);
    both(t, opcode::series_l, spread(0.5, 8));
    series_r(t, spread(1e3, 2e4));
    both(t, opcode::shunt_c, spread(2e-11, 4e-10));
    return t;
  }
  twins step(twins t) {
    const double kind = chance() * 7;
    if (kind < 1) {
      series_r(t, spread(100, 2e5));
    } else if (kind < 2) {
      const double r = spread(1e4, 2e6);
      emit(t.plain, opcode::shunt_r, {r});
      spell_shunt_r(t, r);
    } else if (kind < 3) {
      both(t, opcode::shunt_c, spread(5e-11, 2e-9));
    } else if (kind < 4) { // a resistor and a capacitor across: a one-port of its own
      const double r = spread(1e3, 5e5), c = spread(1e-9, 1e-7);
      both(t, opcode::resistor, r);
      spell(t, opcode::emf, four_kt * r);
      emit(t.spelled, opcode::join_series);
      both(t, opcode::series_c, c);
      both(t, opcode::join_parallel);
    } else if (kind < 5) { // a resistor beside a capacitor in series
      const double r = spread(1e4, 3e5), c = spread(1e-10, 3e-9);
      both(t, opcode::capacitor, c);
      emit(t.plain, opcode::shunt_r, {r});
      spell_shunt_r(t, r);
      both(t, opcode::join_series);
    } else if (kind < 6) {
      both(t, opcode::series_c, spread(1e-9, 1e-6));
    } else {
      both(t, opcode::reverse);
    }
    return t;
  }
  /// Spelled out, the input lies across the source, the buffer is ideal, its output resistance is in series.
  twins buffered(twins t) {
    const double in = spread(1e5, 2e6), c = spread(1e-11, 1e-10), out = spread(100, 2e4),
                 gain = 8 * chance() - 4;
    const double e_n = spread(1e-9, 1e-7), i_n = spread(1e-14, 1e-12);
    emit(t.plain, opcode::resistor, {in});
    emit(t.plain, opcode::shunt_c, {c});
    emit(t.plain, opcode::resistor, {out});
    emit(t.plain, opcode::buffer, {gain});
    t.buffers.push_back({.e_n = volts(e_n), .i_n = amperes(i_n)});

    spell_shunt_r(t, in);
    emit(t.spelled, opcode::shunt_c, {c});
    spell(t, opcode::current_source, i_n * i_n);
    emit(t.spelled, opcode::join_parallel);
    spell(t, opcode::emf, e_n * e_n);
    emit(t.spelled, opcode::join_series);
    emit(t.spelled, opcode::resistor, {open_value});
    emit(t.spelled, opcode::resistor, {0});
    emit(t.spelled, opcode::buffer, {gain});
    spell_series_r(t, out);
    return t;
  }

  std::uint64_t state_;
  bool buffers_;
};

/// The largest relative difference between the noise sum and the sum over every resistor, e_n and i_n.
double worst_difference(const twins& t, const std::vector<double>& hz, noise_spectrum& n) {
  n = noise(source(t.plain), hz, {.buffers = t.buffers});
  std::vector<double> square(hz.size());
  std::vector<complex> h(hz.size());
  evaluator each(t.spelled);
  for (std::size_t k = 0; k < t.squares.size(); ++k) {
    REQUIRE(each.responses_to(t.spelled, k, hz, h) == circuit_status::ok);
    for (std::size_t i = 0; i < hz.size(); ++i) square[i] += t.squares[k] * std::norm(h[i]);
  }
  double worst = 0;
  for (std::size_t i = 0; i < hz.size(); ++i)
    worst = std::fmax(worst, std::abs(n.density[i] * n.density[i] / square[i] - 1));
  return worst;
}

} // namespace

TEST_CASE("every resistor as a source of its own comes to 4kT·Re Z") {
  const auto hz = log_grid(20_Hz, 20_kHz, 16);
  double worst = 0;
  std::size_t resistors = 0;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    const twins t = twin_maker(seed, false)(5);
    noise_spectrum n;
    worst = std::fmax(worst, worst_difference(t, hz, n));
    resistors += t.squares.size();
    // No buffers: one contribution, which is Nyquist's.
    REQUIRE(names(n) == std::vector<std::string>{"output: thermal"});
    for (std::size_t i = 0; i < hz.size(); ++i) {
      const double re = output_impedance(source(t.plain), frequency::from_value(hz[i])).value().real();
      CHECK(near(n.density[i], std::sqrt(four_kt * re), 1e-12));
    }
  }
  CHECK(worst <= 1e-10);
  CHECK(resistors > 1000);
}

TEST_CASE("with buffers on every branch, every source comes to the noise sum") {
  const auto hz = log_grid(20_Hz, 20_kHz, 16);
  double worst = 0;
  std::size_t buffers = 0, joined = 0;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    const twins t = twin_maker(seed, true)(6);
    noise_spectrum n;
    worst = std::fmax(worst, worst_difference(t, hz, n));
    check_sum(n);
    CHECK(n.contributions.size() == 3 * t.buffers.size() + 1);
    buffers += t.buffers.size();
    joined += t.plain.emfs.size() > 1 && t.buffers.size() > 1;
  }
  CHECK(worst <= 1e-10);
  CHECK(buffers > 200);
  CHECK(joined > 30);
}

TEST_CASE("a coil pair's windings come to 4kT·Re Z of the pair, however it is wired") {
  // Lossless shunts: all noise is the windings', and goes the way of their EMFs.
  const magnetic_coil first{.inductance = 2_H, .resistance = 5_kOhm, .capacitance = 90_pF, .name = "first"},
      second{.inductance = 3_H,
             .resistance = 7_kOhm,
             .capacitance = 60_pF,
             .eddy = {eddy_branch{0.4_H, 20_kOhm}},
             .name = "second"};
  const coil_pair pair = [&] {
    coil_pair p = humbucking_pair(first, second, 0.3);
    p.between = 30_pF;
    return p;
  }();
  const auto hz = log_grid(20_Hz, 20_kHz, 20);
  for (const source& s : {pair.as_series(), pair.as_parallel(), pair.as_series_out_of_phase(),
                          pair.as_single(which_coil::first, idle_coil::open())}) {
    const source loaded = s | in_shunt(470_pF);
    const noise_spectrum n = noise(loaded, hz);
    const noise_setup one{.emfs = {{"pickup.first", volts(1e-9)}}};
    for (std::size_t i = 0; i < hz.size(); ++i) {
      const frequency f = frequency::from_value(hz[i]);
      const double square = four_kt * (std::norm(response(loaded, loaded.emf("pickup.first"), f)) * 5e3 +
                                       std::norm(response(loaded, loaded.emf("pickup.second"), f)) *
                                           impedance_at(second.winding_impedance(), f).value().real());
      CHECK(near(n.density[i], std::sqrt(square), 1e-10));
      // The EMF of one coil of the pair can have a density as well.
      CHECK(near(part(noise(loaded, hz, one), "pickup.first: own").density[i],
                 1e-9 * std::abs(response(loaded, loaded.emf("pickup.first"), f)), 1e-12));
    }
  }
}

TEST_CASE("an EMF's low-pass filters that EMF, not the thermal noise, and keeps to its EMF behind a buffer") {
  const auto hz = log_grid(20_Hz, 20_kHz, 20);
  magnetic_coil shaded = coil;
  shaded.emf_corner = 3_kHz;
  const noise_spectrum with_corner = noise(source(shaded), hz), without = noise(source(coil), hz);
  for (std::size_t i = 0; i < hz.size();
       ++i) // the filter stands between the coil's parts: another order of rounding
    CHECK(near(with_corner.density[i], without.density[i], 1e-14));

  // Two buffered coils in series with a third EMF, which alone is filtered: number 3 of the top, 5 with noise EMFs.
  const source left = coil | buffer(2, 1_MOhm, 1_kOhm), right = coil | buffer(3, 1_MOhm, 2_kOhm);
  const source last = ideal_emf(0.5_V, "last") | in_series(5_kOhm);
  const source joined = series(left, right, last) | in_shunt(100_kOhm);
  circuit c = joined.as_circuit();
  emit(c, opcode::emf_filter, {1e-4, 0}, 3);
  const source filtered(c);
  const noise_setup setup{.emfs = {{"last", volts(1e-8)}}};
  const noise_spectrum n = noise(filtered, hz, setup), plain = noise(joined, hz, setup);
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const frequency f = frequency::from_value(hz[i]);
    CHECK(near(part(n, "last: own").density[i], 2e-8 * std::abs(response(filtered, 2, f)), 1e-12));
    for (const char* other : {"buffer 1: thermal", "buffer 2: thermal", "output: thermal"})
      CHECK(near(part(n, other).density[i], part(plain, other).density[i], 1e-12));
  }
  // The same inside a branch that is joined behind another buffered one.
  circuit inner = series(right, last).as_circuit();
  emit(inner, opcode::emf_filter, {1e-4, 0}, 2);
  const source nested = series(left, source(inner)) | in_shunt(100_kOhm);
  const noise_spectrum within = noise(nested, hz, setup);
  for (const char* each : {"last: own", "buffer 1: thermal", "buffer 2: thermal", "output: thermal"})
    for (std::size_t i = 0; i < hz.size(); ++i)
      CHECK(near(part(within, each).density[i], part(n, each).density[i], 1e-12));
  // Without a number it is the amplifier's band, and filters what the buffer brings too.
  circuit narrow = (coil | buffer(1, 1_MOhm, 1_kOhm)).as_circuit();
  emit(narrow, opcode::emf_filter, {1e-4, 0});
  const noise_spectrum limited = noise(source(narrow), hz),
                       wide = noise(coil | buffer(1, 1_MOhm, 1_kOhm), hz);
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const double gain = 1 / std::sqrt(1 + std::pow(2 * std::numbers::pi * hz[i] * 1e-4, 2));
    CHECK(near(part(limited, "buffer 1: thermal").density[i],
               gain * part(wide, "buffer 1: thermal").density[i], 1e-12));
    CHECK(near(part(limited, "output: thermal").density[i], part(wide, "output: thermal").density[i], 1e-12));
  }
}

TEST_CASE("chain matrices: passive ones keep Nyquist's law, an active one is refused") {
  const auto hz = log_grid(20_Hz, 20_kHz, 20);
  const chain_matrix series_part{.b = {1e3, 0.2, 0}}, shunt_part{.c = {1e-5, 1e-9, 0}};
  const noise_spectrum parts = noise(
                           coil | in_series(series(1_kOhm, 0.2_H)) | in_shunt(parallel(100_kOhm, 1_nF)), hz),
                       matrices = noise(coil | series_part | shunt_part, hz);
  for (std::size_t i = 0; i < hz.size(); ++i) CHECK(near(matrices.density[i], parts.density[i], 1e-12));
  // 10 kΩ and 1 nF in series across, over the denominator 1 + sRC.
  const chain_matrix branch{.a = {1, 1e-5, 0}, .c = {0, 1e-9, 0}, .d = {1, 1e-5, 0}, .delta = {1, 1e-5, 0}};
  const noise_spectrum across = noise(coil | in_shunt(series(10_kOhm, 1_nF)), hz),
                       same = noise(coil | branch, hz);
  for (std::size_t i = 0; i < hz.size(); ++i) CHECK(near(same.density[i], across.density[i], 1e-12));
  // 1 MΩ in series, then 10 kΩ across, in one matrix: passive by little.
  const chain_matrix divider{.a = {101, 0, 0}, .b = {1e6, 0, 0}, .c = {1e-4, 0, 0}};
  const noise_spectrum divided = noise(coil | divider, hz),
                       by_parts = noise(coil | in_series(1_MOhm) | in_shunt(10_kOhm), hz);
  for (std::size_t i = 0; i < hz.size(); ++i) CHECK(near(divided.density[i], by_parts.density[i], 1e-12));
  // An ideal 1:10 transformer: ten times the noise. A gyrator, passive but not reciprocal, turns Z into r²/Z.
  const chain_matrix transformer{.a = {0.1, 0, 0}, .d = {10, 0, 0}},
      gyrator{.a = {}, .b = {5e4, 0, 0}, .c = {2e-5, 0, 0}, .d = {}};
  const noise_spectrum bare = noise(source(coil), hz), up = noise(coil | transformer, hz),
                       turned = noise(coil | gyrator, hz);
  for (std::size_t i = 0; i < hz.size(); ++i) {
    const complex z = output_impedance(source(coil), frequency::from_value(hz[i])).value();
    CHECK(near(up.density[i], 10 * bare.density[i], 1e-12));
    CHECK(near(turned.density[i], std::sqrt(four_kt * (2.5e9 / z).real()), 1e-12));
  }
  const chain_matrix amplifier{.a = {0.1, 0, 0}, .d = {}}; // gain 10, draws no current, no output impedance
  const chain_matrix negative{.b = {-100, 0, 0}};
  for (const chain_matrix& m : {amplifier, negative})
    CHECK(error_of([&] { (void)noise(coil | m, hz); }) ==
          "chain_matrix is active at 20 Hz; allowed: a passive one (an active one has noise of its own: "
          "write it as a "
          "buffer)");
}

TEST_CASE("the ends of the range: no loss, no noise; nothing connected, no answer") {
  const std::array hz{100.0, 1000.0};
  CHECK(noise(parallel(2.5_H, 620_pF), hz).density[0] == 0);
  CHECK(noise(short_circuit(), hz).density[1] == 0);
  CHECK(noise(coil | in_shunt(0_Ohm), hz).density[1] == 0);
  CHECK(noise(coil | buffer(0, 1_MOhm, 0_Ohm), hz).density[1] == 0);
  CHECK(noise(source(coil), hz, {.temperature = 0_K}).density[1] == 0);
  // A muted buffer still has its output resistance; a shorted source leaves e_n.
  CHECK(near(noise(coil | buffer(0, 1_MOhm, 1_kOhm), hz).density[1], thermal_density(1_kOhm).value(), 1e-14));
  const noise_setup noisy{.buffers = {{.e_n = volts(1e-8), .i_n = amperes(1e-12)}}};
  CHECK(near(noise(coil | in_shunt(0_Ohm) | buffer(2, 1_MOhm, 0_Ohm), hz, noisy).density[1], 2e-8, 1e-14));
  // A power law of a quarter turn: Re Z = K·ω^½·cos 45°.
  const double re = 10 * std::sqrt(2 * std::numbers::pi * 1000) * std::sqrt(0.5);
  CHECK(near(noise(power_law(10_Ohm, 0.5), hz).density[1], std::sqrt(four_kt * re), 1e-12));

  CHECK(
      error_of([&] { (void)noise(open_circuit(), hz); }) ==
      "resistance at the output at 100 Hz is infinity Ω; allowed: a finite one (nothing is connected there)");
  CHECK(error_of([&] {
          (void)noise(coil | in_series(open_circuit()) | buffer(1, open_circuit(), 0_Ohm), hz);
        }) == "resistance at the input of buffer 1 at 100 Hz is infinity Ω; allowed: a finite one (nothing "
              "is connected "
              "there)");
  CHECK_THROWS_AS((void)noise(parallel(ideal_emf(1_V), ideal_emf(2_V)), hz), conflicting_sources);
  CHECK_THROWS_AS((void)noise(coil | buffer(1, 1_MOhm, 0_Ohm) | in_shunt(0_Ohm), hz), conflicting_sources);
  circuit negative = source(coil).as_circuit();
  emit(negative, opcode::series_r, {-1e6});
  CHECK(error_of([&] { (void)noise(source(negative), hz); }).substr(0, 36) ==
        "resistance at the output at 100 Hz i");
  CHECK(error_of([&] { (void)noise(source(negative), hz); }).find("not passive") != std::string::npos);
}

TEST_CASE("a setup that does not fit is refused by name") {
  const std::array hz{100.0, 1000.0};
  const source s = coil | buffer(1, 1_MOhm, 1_kOhm);
  const auto error = [&](const noise_setup& setup) { return error_of([&] { (void)noise(s, hz, setup); }); };
  CHECK(error({}) == "no error");
  CHECK(error({.temperature = -1.0 * 5_K}) == "noise_setup.temperature is -5 K; allowed: 0 K or more");
  CHECK(error({.buffers = {{}, {}}}) ==
        "noise_setup.buffers is 2 entries; allowed: 1 or fewer, one for each buffer of the circuit");
  CHECK(error({.buffers = {{.e_n = volts(-5e-9)}}}) == "buffer 1.e_n is -5 nV/√Hz; allowed: 0 V/√Hz or more");
  CHECK(error({.buffers = {{.i_n = amperes(-1e-12), .name = "preamp"}}}) ==
        "preamp.i_n is -1 pA/√Hz; allowed: 0 A/√Hz or more");
  CHECK(error({.emfs = {{"bridge", volts(1e-9)}}}) == "EMF is 'bridge'; allowed: one of 'coil'");
  CHECK(error({.emfs = {{"coil", volts(-1e-6)}}}) ==
        "noise_setup.emfs['coil'].density is -1 µV/√Hz; allowed: 0 V/√Hz or more");
  CHECK(error({.input = {.i_n = amperes(-2e-12)}}) == "input.i_n is -2 pA/√Hz; allowed: 0 A/√Hz or more");
  for (const double bad :
       {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    CHECK(error({.temperature = temperature::from_value(bad)}) != "no error");
    CHECK(error({.buffers = {{.e_n = volts(bad)}}}) != "no error");
    CHECK(error({.emfs = {{"coil", volts(bad)}}}) != "no error");
    CHECK(error({.input = {.e_n = volts(bad)}}) != "no error");
  }
  const std::array falling{1000.0, 100.0};
  CHECK(error_of([&] { (void)noise(s, falling); }) ==
        "grid[1] is 100 Hz; allowed: more than the entry before, 1 kHz");
  CHECK(error_of([&] { (void)noise(s, {}); }) == "grid is empty; allowed: one frequency or more");
  // A buffer inside something that stands for an impedance.
  circuit active = one_port(1_kOhm).as_circuit();
  append(active, buffer(1, 1_MOhm, 1_kOhm).as_circuit());
  CHECK(error_of([&] { (void)noise(coil | buffer(1, one_port(active), 1_kOhm), hz); }) ==
        "circuit is one with a buffer inside an impedance of a buffer or coil pair; allowed: one whose "
        "buffers lie on the way of a source");
  circuit pair;
  append(pair, active);
  for (int i = 0; i < 3; ++i) append(pair, one_port(10_kOhm).as_circuit());
  emit(pair, opcode::coil_pair, {0, 0, 1, 1});
  pair.emfs = {"first", "second"};
  CHECK(error_of([&] { (void)noise(source(pair), hz); }).substr(0, 30) == "circuit is one with a buffer i");
  // The number that a filter keeps of its EMF ends at 255, noise EMFs included.
  const auto filtered_behind = [&](int buffers) {
    source chain = ideal_emf(1_V, "first");
    for (int i = 0; i < buffers; ++i) chain = chain | buffer(1, 1_MOhm, 1_kOhm);
    circuit c = series(chain, ideal_emf(1_V, "last")).as_circuit();
    emit(c, opcode::emf_filter, {1e-4, 0}, 2);
    return source(c);
  };
  CHECK_NOTHROW((void)noise(filtered_behind(253), hz));
  CHECK_THROWS_AS((void)noise(filtered_behind(254), hz), std::length_error);
}

TEST_CASE("integration is right to 1e-4 with ten points a decade for each unit of Q") {
  // Against a grid that is twenty times as fine.
  for (const double q : {0.7, 2.0, 3.3, 5.0, 8.0, 13.0, 20.0, 50.0}) {
    CAPTURE(q);
    const resistance r = resistance::from_value(std::sqrt(2.5 / 620e-12) / q);
    const one_port z = parallel(series(r, 2.5_H), 620_pF);
    const auto rms = [&](double decade, frequency from, frequency_weighting w) {
      const double decades = std::log10(20e3 / from.value());
      return microvolts(noise(z, log_grid(from, 20_kHz, static_cast<std::size_t>(decade * decades) + 2)), w);
    };
    for (const auto w : {frequency_weighting::z, a_weighted}) {
      const double fine = rms(200 * std::fmax(q, 3.2), 20_Hz, w);
      for (const frequency& from : {20_Hz, 19.8_Hz, 19.5_Hz}) // the peak lies elsewhere between two points
        CHECK(near(rms(10 * std::fmax(q, 3.2), from, w), fine, 1e-4));
    }
  }
}

TEST_CASE("a sharp resonance over all frequencies is kT/C") {
  // 15 kΩ + 2.5 H beside 620 pF: Q = 4.2. √(kT/C) computed from the formula; below 1e-4 Hz and above 1e9 Hz lies
  // less than 1e-8 of it.
  const auto hz = log_grid(frequency::from_value(1e-4), frequency::from_value(1e9), 64 * 13 + 1);
  const noise_spectrum s = noise(parallel(series(15_kOhm, 2.5_H), 620_pF), hz);
  const double v = integrated_noise(s, {frequency::from_value(1e-4), frequency::from_value(1e9)}).value();
  CHECK(near(v, std::sqrt(boltzmann_constant * 300 / 620e-12), 1e-6));
}

TEST_CASE("integration over part of a grid, and over coarse ones") {
  const auto hz = log_grid(10_Hz, 50_kHz, 200);
  const std::vector<double> white(hz.size(), 3e-9);
  const auto rms = [&](frequency from, frequency to) {
    return integrated_noise(white, hz, {from, to}).value();
  };
  for (const auto& [from, to] : {std::pair{10.0, 50e3}, {20.0, 20e3}, {1e3, 1.001e3}, {11.0, 12.0}})
    CHECK(
        near(rms(frequency::from_value(from), frequency::from_value(to)), 3e-9 * std::sqrt(to - from), 1e-9));
  CHECK(rms(1_kHz, 1_kHz) == 0);
  // Bands add as powers.
  const double low = rms(20_Hz, 777_Hz), high = rms(777_Hz, 20_kHz), all = rms(20_Hz, 20_kHz);
  CHECK(near(low * low + high * high, all * all, 1e-12));
  // Two or three points of a density that is constant, or a square that is linear in ln f.
  const std::array two{100.0, 200.0}, flat{2e-9, 2e-9};
  CHECK(near(integrated_noise(flat, two, {100_Hz, 200_Hz}).value(), 2e-9 * 10, 1e-9));
  const std::array three{100.0, 150.0, 200.0};
  std::array<double, 3> rising{};
  for (std::size_t i = 0; i < 3; ++i) rising[i] = std::sqrt(std::log(three[i]));
  const double exact = 200 * std::log(200.0) - 200 - (100 * std::log(100.0) - 100); // ∫ ln f df
  CHECK(near(integrated_noise(rising, three, {100_Hz, 200_Hz}).value(), std::sqrt(exact), 1e-9));
}

TEST_CASE("integration of what does not fit is refused by name") {
  const std::array hz{20.0, 200.0, 20e3}, s{1.0, 1.0, 1.0};
  const auto error = [](std::span<const double> density, std::span<const double> grid, noise_band band = {}) {
    return error_of([&] { (void)integrated_noise(density, grid, band); });
  };
  CHECK(error(s, hz) == "no error");
  CHECK(error(std::span(s).first(2), hz) == "density is 2 entries; allowed: 3, one for each frequency");
  CHECK(error(std::span(s).first(1), std::span(hz).first(1)) == "grid.points is 1; allowed: 2 or more");
  CHECK(error({}, {}) == "grid is empty; allowed: one frequency or more");
  CHECK(error(s, hz, {.from = 10_Hz}) == "noise_band.from is 10 Hz; allowed: 20 Hz to 20 kHz");
  CHECK(error(s, hz, {.to = 22_kHz}) == "noise_band.to is 22 kHz; allowed: 20 Hz to 20 kHz");
  CHECK(error(s, hz, {1_kHz, 500_Hz}) == "noise_band.to is 500 Hz; allowed: 1 kHz to 20 kHz");
  const double nan = std::numeric_limits<double>::quiet_NaN(),
               infinity = std::numeric_limits<double>::infinity();
  CHECK(error(s, hz, {.from = frequency::from_value(nan)}) != "no error");
  CHECK(error(std::array{1.0, nan, 1.0}, hz) == "density[1] is NaN V/√Hz; allowed: 0 V/√Hz or more");
  CHECK(error(std::array{1.0, 1.0, infinity}, hz) ==
        "density[2] is infinity V/√Hz; allowed: 0 V/√Hz or more");
  CHECK(error(std::array{-1.0, 1.0, 1.0}, hz) == "density[0] is -1 V/√Hz; allowed: 0 V/√Hz or more");
}
