// SPDX-License-Identifier: BSL-1.0
// The rules for [0 : 0]: shorts in parallel, opens in series, knobs at both ends. Every case goes through the three
// number systems that a user meets.
#include <doctest/doctest.h>

#include <string>

#include <lodewire/quantity/literals.hpp>

#include "ways.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using ways::complex;
using ways::impedances;
using ways::responses;

namespace {

const one_port shorted = short_circuit();
const one_port opened = open_circuit();
constexpr double hz[] = {20, 440, 3e3, 1e6};

source coil(double e = 1, const char* name = "coil") {
  return ideal_emf(voltage::from_value(e), name) | in_series(series(6_kOhm, 2.5_H)) | in_shunt(120_pF);
}

bool is_short(const one_port& z) {
  for (const double f : hz)
    if (!(impedances(z, f).off(0) == 0)) return false;
  return true;
}
bool is_open_circuit(const one_port& z) {
  for (const double f : hz)
    if (!impedances(z, f).open()) return false;
  return true;
}
/// No voltage from any EMF.
bool is_silent(const source& s) {
  for (const double f : hz)
    for (std::size_t k = 0; k < s.emf_names().size(); ++k)
      if (!(responses(s, k, f).off(0) == 0)) return false;
  return true;
}
bool behaves_like(const source& s, const source& other, double bound = 1e-14) {
  for (const double f : hz) {
    for (std::size_t k = 0; k < s.emf_names().size(); ++k) {
      const complex expected = response(other, k, ways::hertz(f));
      if (!(responses(s, k, f).off(expected) <= bound * (std::abs(expected) + 1e-3))) return false;
    }
    const complex z = output_impedance(other, ways::hertz(f)).value();
    if (!(impedances(s, f).off(z) <= bound * std::abs(z))) return false;
  }
  return true;
}

/// What every way to a result says about the source; they must agree.
template <class Make>
std::string conflict_of(const Make& make) {
  const source s = make();
  const auto said = [](const auto& ask) -> std::string {
    try {
      (void)ask();
    } catch (const conflicting_sources& e) {
      return e.what();
    }
    return {};
  };
  const std::string first = said([&] { return response(s, 1_kHz); });
  CHECK(said([&] { return response(s, 0, 50_Hz); }) == first);
  CHECK(said([&] { return output_impedance(s, 1_kHz); }) == first);
  CHECK(said([&] { return transfer(s); }) == first);
  CHECK(said([&] { return transfer(s, 0); }) == first);
  CHECK(said([&] { return impedance_function(s); }) == first);
  return first;
}
const std::string voltages = conflicting_sources(circuit_status::conflicting_voltages).what();
const std::string currents = conflicting_sources(circuit_status::conflicting_currents).what();

} // namespace

TEST_CASE("shorts and opens among one-ports") {
  for (const one_port& zero : {shorted, one_port(0_Ohm), one_port(0_H), parallel(0_H, 1_kOhm),
                               parallel(0_Ohm, 1_nF), series(0_H, 0_Ohm)}) {
    CHECK(is_short(zero));
    CHECK(is_short(parallel(zero, shorted)));
    CHECK(is_short(parallel(shorted, zero, zero)));
    CHECK(is_short(parallel(opened, zero)));
    CHECK(is_short(parallel(zero, 0_F)));
    CHECK(is_short(parallel(2_H, zero)));
    CHECK(is_short(series(zero, shorted)));
    CHECK(is_open_circuit(series(zero, opened)));
    CHECK(is_open_circuit(series(opened, zero)));
    CHECK(is_short(parallel(series(opened, zero), zero)));
    CHECK(is_short(parallel(zero, zero, series(1_kOhm, zero), series(zero, opened))));
  }
  for (const one_port& none :
       {opened, one_port(0_F), series(0_F, 1_kOhm), series(1_H, opened), parallel(0_F, opened)}) {
    CHECK(is_open_circuit(none));
    CHECK(is_open_circuit(series(none, none)));
    CHECK(is_open_circuit(series(opened, none, none)));
    CHECK(is_open_circuit(series(2_H, none)));
    CHECK(is_open_circuit(parallel(none, opened)));
    CHECK(is_open_circuit(parallel(none, none)));
    CHECK(is_open_circuit(series(none, shorted)));
    for (const double f : hz) {
      CHECK(impedances(parallel(none, 1_kOhm), f).off(1e3) <= 1e-13 * 1e3);
      CHECK(impedances(parallel(1_kOhm, none), f).off(1e3) <= 1e-13 * 1e3);
      CHECK(impedances(parallel(series(none, none), series(1_kOhm, shorted)), f).off(1e3) <= 1e-13 * 1e3);
    }
  }
}

TEST_CASE("shorts and opens behind a source, and what follows them") {
  const source dead = coil() | in_shunt(shorted);
  CHECK(is_silent(dead));
  CHECK(impedances(dead, 440).off(0) == 0);
  CHECK(is_silent(dead | in_shunt(shorted)));
  CHECK(is_silent(dead | in_shunt(0_H) | in_shunt(parallel(0_Ohm, 1_nF))));
  CHECK(impedances(dead | in_series(2_kOhm), 440).off(2e3) <= 1e-13 * 2e3);
  CHECK(is_silent(dead | in_series(2_kOhm) | in_shunt(1_nF)));

  for (const one_port& none : {opened, one_port(0_F), series(0_F, 1_kOhm), series(opened, 1_H)}) {
    const source cut = coil() | in_series(none);
    CHECK(is_silent(cut));
    CHECK(impedances(cut, 440).open());
    CHECK(is_silent(cut | in_series(none)));
    CHECK(is_silent(cut | in_series(1_kOhm) | in_series(1_nF) | in_series(1_H)));
    CHECK(impedances(cut | in_series(1_kOhm) | in_series(none), 440).open());
    CHECK(is_silent(cut | in_shunt(5_kOhm)));
    CHECK(impedances(cut | in_shunt(5_kOhm), 440).off(5e3) <= 1e-13 * 5e3);
    CHECK(impedances(cut | in_shunt(shorted), 440).off(0) == 0);
    CHECK(is_silent(cut | in_shunt(shorted) | in_series(none) | in_shunt(none)));
    CHECK(impedances(dead | in_series(none) | in_shunt(1_kOhm), 440).off(1e3) <= 1e-13 * 1e3);
  }
  CHECK(
      behaves_like(coil() | in_shunt(opened) | in_series(shorted) | in_series(0_H) | in_shunt(0_F), coil()));
}

TEST_CASE("sources whose knobs are at their ends, joined") {
  const source neck = coil(1, "neck"), bridge = coil(2, "bridge");
  const source neck_off = neck | in_series(250_kOhm) | in_shunt(shorted);
  const source bridge_off = bridge | in_shunt(shorted);
  CHECK(is_silent(parallel(neck_off, bridge_off)));
  CHECK(impedances(parallel(neck_off, bridge_off), 440).off(0) == 0);
  CHECK(is_silent(parallel(neck, bridge_off)));
  CHECK(is_silent(parallel(bridge_off, neck)));
  CHECK(is_silent(series(neck_off, bridge_off)));
  CHECK(is_silent(parallel(neck_off, bridge_off, coil(1, "middle"))));
  CHECK(behaves_like(parallel(neck_off, bridge_off) | in_series(1_kOhm) | in_shunt(700_pF),
                     parallel(neck_off, bridge_off | in_series(resistance::from_value(1e-6))) |
                         in_series(1_kOhm) | in_shunt(700_pF),
                     1e-8));
  // In series the one at zero is a wire.
  for (const double f : hz) {
    const complex alone = response(bridge, ways::hertz(f));
    CHECK(responses(series(neck_off, bridge), 1, f).off(alone) <= 1e-14 * std::abs(alone));
    CHECK(responses(series(bridge, neck_off), 0, f).off(alone) <= 1e-14 * std::abs(alone));
    CHECK(responses(series(neck_off, bridge), 0, f).off(0) == 0);
  }
  // Opens: in series nothing is heard, in parallel the other one is alone.
  const source neck_cut = neck | in_series(opened), bridge_cut = bridge | in_series(0_F);
  CHECK(is_silent(series(neck_cut, bridge_cut)));
  CHECK(impedances(series(neck_cut, bridge_cut), 440).open());
  CHECK(is_silent(series(neck_cut, bridge)));
  CHECK(is_silent(series(bridge, neck_cut)));
  CHECK(is_silent(parallel(neck_cut, bridge_cut)));
  CHECK(impedances(parallel(neck_cut, bridge_cut), 440).open());
  CHECK(impedances(parallel(neck_cut, bridge_cut) | in_shunt(1_kOhm), 440).off(1e3) <= 1e-10);
  for (const double f : hz) {
    const complex alone = response(bridge, ways::hertz(f));
    CHECK(responses(parallel(neck_cut, bridge), 1, f).off(alone) <= 1e-14 * std::abs(alone));
    CHECK(responses(parallel(bridge, neck_cut), 0, f).off(alone) <= 1e-14 * std::abs(alone));
  }
  CHECK(is_silent(parallel(neck_off, bridge_cut)));
  CHECK(is_silent(series(neck_off, bridge_cut)));
  CHECK(is_silent(reversed(parallel(neck_off, bridge_off))));
}

TEST_CASE("ideal sources that contradict each other are refused by name") {
  const source e = ideal_emf(1_V, "e"), f = ideal_emf(2_V, "f");
  const source i = ideal_current(1_mA, "i"), j = ideal_current(2_mA, "j");
  CHECK(conflict_of([&] { return e | in_shunt(shorted); }) == voltages);
  CHECK(conflict_of([&] { return e | in_shunt(0_H); }) == voltages);
  CHECK(conflict_of([&] { return e | in_shunt(series(0_Ohm, 0_H)); }) == voltages);
  CHECK(conflict_of([&] { return parallel(e, f); }) == voltages);
  CHECK(conflict_of([&] { return parallel(e, e); }) == voltages); // each EMF counts with the other at rest
  CHECK(conflict_of([&] { return parallel(e, shorted); }) == voltages);
  CHECK(conflict_of([&] { return parallel(shorted, e); }) == voltages);
  CHECK(conflict_of([&] { return parallel(coil(), shorted, e); }) == voltages);
  CHECK(conflict_of([&] { return series(i, j); }) == currents);
  CHECK(conflict_of([&] { return i | in_series(opened); }) == currents);
  CHECK(conflict_of([&] { return i | in_series(0_F); }) == currents);
  CHECK(conflict_of([&] { return i | in_series(series(0_F, 1_H)); }) == currents);
  CHECK(conflict_of([&] { return series(opened, i); }) == currents);
  CHECK(conflict_of([&] { return e | buffer(1, shorted, 1_kOhm); }) == voltages);
  CHECK(conflict_of([&] { return i | buffer(1, opened, 1_kOhm); }) == currents);
  CHECK(conflict_of([&] { return i | buffer(1, series(0_F, 1_kOhm), 1_kOhm); }) == currents);
  // A conflict that a later short or open hides is one all the same.
  CHECK(conflict_of([&] { return parallel(e, f) | in_series(1_kOhm) | in_shunt(shorted); }) == voltages);

  for (const auto& fine :
       {e | in_shunt(1_Ohm), parallel(e, i), series(e, i), series(e, f), parallel(i, j), parallel(e, 1_kOhm),
        series(i, 1_kOhm), parallel(ideal_emf(0_V, "z"), shorted),
        parallel(ideal_emf(0_V, "z"), ideal_emf(0_V, "y")), series(ideal_current(0_A, "z"), opened),
        i | in_shunt(shorted), e | in_series(opened)})
    CHECK(conflict_of([&] { return fine; }).empty());
  CHECK(voltages.find("ideal voltages in parallel") != std::string::npos);
  CHECK(currents.find("ideal currents in series") != std::string::npos);
  CHECK(is_silent(i | in_shunt(shorted)));
  CHECK(is_silent(parallel(ideal_emf(0_V, "z"), ideal_emf(0_V, "y"))));
  // Next to an ideal voltage nothing in parallel matters; next to an ideal current nothing in series does.
  for (const double hertz : hz) {
    CHECK(responses(parallel(e, coil(), i), 0, hertz).off(1) <= 1e-15);
    CHECK(responses(parallel(e, coil(), i), 1, hertz).off(0) == 0);
    CHECK(responses(parallel(e, coil(), i), 2, hertz).off(0) == 0);
    const source driven = series(coil(), i, e) | in_shunt(3_kOhm);
    CHECK(responses(driven, 0, hertz).off(0) == 0);
    CHECK(responses(driven, 1, hertz).off(3) <= 1e-14);
    CHECK(responses(driven, 2, hertz).off(0) == 0);
  }
}

TEST_CASE("a buffer between opens and shorts") {
  // Nothing reaches an input behind an open, whatever the input is.
  const source cut = coil() | in_series(opened);
  for (const one_port& input : {one_port(1_MOhm), opened, one_port(0_F), shorted, one_port(10_pF)}) {
    const source behind = cut | buffer(2, input, 1_kOhm);
    CHECK(is_silent(behind));
    CHECK(is_silent(behind | in_shunt(500_pF)));
    CHECK(is_silent(behind | in_series(opened) | buffer(3, opened, shorted)));
    CHECK(impedances(behind, 440).off(1e3) <= 1e-10);
  }
  // Nothing passes an input at zero, whatever the source.
  for (const source& s : {coil(), coil() | in_shunt(shorted), cut}) {
    CHECK(is_silent(s | buffer(2, shorted, 1_kOhm)));
    CHECK(is_silent(s | in_shunt(shorted) | buffer(2, 0_H, shorted)));
    CHECK(is_silent(s | in_shunt(shorted) | buffer(2, 1_MOhm, shorted)));
  }
  CHECK(is_silent(coil() | buffer(0, 1_MOhm, 1_kOhm)));
  CHECK(is_silent(coil() | buffer(1, 1_MOhm, opened)));
  CHECK(impedances(coil() | buffer(1, 1_MOhm, opened), 440).open());
  // An open input does not load.
  for (const double f : hz) {
    const complex free = response(coil(), ways::hertz(f));
    CHECK(responses(coil() | buffer(1, opened, shorted), 0, f).off(free) <= 1e-14 * std::abs(free));
  }
  // A buffered and a plain source together, one of them off: block and polynomial divide by both denominators.
  const source both = series(cut | buffer(2, opened, 1_kOhm), coil(1, "other"));
  for (const double f : hz) {
    const complex alone = response(coil(), ways::hertz(f));
    CHECK(responses(both, 1, f).off(alone) <= 1e-14 * std::abs(alone));
    CHECK(responses(both, 0, f).off(0) == 0);
    complex sum = 0;
    evaluator evaluate(both.as_circuit());
    evaluate.responses(both.as_circuit(), {&f, 1}, {}, {&sum, 1});
    CHECK(ways::is_finite(sum));
    CHECK(std::abs(sum - alone) <= 1e-14 * std::abs(alone));
    CHECK(std::abs(transfer(both)(ways::hertz(f)) - alone) <= 1e-14 * std::abs(alone));
  }
}

TEST_CASE("series capacitors and parallel coils at any s") {
  for (const double f : {1e-6, 1e-3, 1.0, 440.0, 1e6, 1e9}) {
    CAPTURE(f);
    const double w = 2 * std::numbers::pi * f;
    CHECK(impedances(series(22_nF, 47_nF), f).off({0, -1 / (w * (22e-9 * 47.0 / 69))}) <=
          1e-14 / (w * 14.9855e-9));
    CHECK(impedances(parallel(2_H, 3_H, 6_H), f).off({0, w}) <= 1e-14 * w);
    const source s = ideal_emf(1_V) | in_series(22_nF) | in_series(22_nF) | in_shunt(11_nF);
    CHECK(responses(s, 0, f).off(0.5) <= 1e-14);
    const source l = ideal_current(1_A) | in_shunt(2_H) | in_shunt(2_H);
    CHECK(responses(l, 0, f).off({0, w}) <= 1e-14 * w);
  }
}

TEST_CASE("a conflict made by a rewritten value: NaN and a status, no crash, and it goes away again") {
  source s = series(ideal_emf(1_V, "ideal") | in_shunt(one_port(10_kOhm).named("r")), coil(1, "coil")) |
             in_shunt(1_MOhm);
  const source before = s;
  evaluator evaluate(s.as_circuit());
  composer compose(s.as_circuit());
  std::vector<double> grid(70);
  for (std::size_t i = 0; i < grid.size(); ++i) grid[i] = 50 * static_cast<double>(i + 1);
  std::vector<complex> out(grid.size());
  CHECK(evaluate.responses(s.as_circuit(), grid, {}, out) == circuit_status::ok);
  CHECK(compose.response(s.as_circuit(), 0).defined());

  s.rewrite(s.range("r"), 0, 0);
  CHECK(evaluate.responses(s.as_circuit(), grid, {}, out) == circuit_status::conflicting_voltages);
  for (const complex z : out) CHECK((is_nan(z.real()) && is_nan(z.imag())));
  CHECK(evaluate.impedances(s.as_circuit(), grid, out) == circuit_status::conflicting_voltages);
  for (const complex z : out) CHECK((is_nan(z.real()) && is_nan(z.imag())));
  CHECK(!compose.response(s.as_circuit(), 0).defined());
  CHECK(!compose.response(s.as_circuit(), std::span<const double>{}).defined());
  CHECK(!compose.impedance(s.as_circuit()).defined());
  CHECK_THROWS_AS((void)response(s, 0, 1_kHz), conflicting_sources);
  CHECK_THROWS_AS((void)output_impedance(s, 1_kHz), conflicting_sources);
  CHECK_THROWS_AS((void)transfer(s), conflicting_sources);
  CHECK_THROWS_AS((void)transfer(s, 1), conflicting_sources);
  CHECK_THROWS_AS((void)impedance_function(s), conflicting_sources);

  s.rewrite(s.range("r"), 0, open_value);
  CHECK(evaluate.responses(s.as_circuit(), grid, {}, out) == circuit_status::ok);
  for (std::size_t i = 0; i < grid.size(); ++i) {
    const complex expected = response(before, ways::hertz(grid[i])); // across an ideal EMF it never mattered
    CHECK(std::abs(out[i] - expected) <= 1e-14 * std::abs(expected));
  }
  s.rewrite(s.range("r"), 0, 10e3);
  CHECK(s == before);
}

TEST_CASE("knobs swept through both ends: two volumes and a tone, values rewritten in place") {
  // Volume: upper leg in series, lower leg across. Tone: a rheostat and a capacitor across.
  const auto circuit_of = [](double e1, double e2) {
    const auto leg = [](const char* name) { return one_port(1_kOhm).named(name); };
    return parallel(coil(e1, "neck") | in_series(leg("u1")) | in_shunt(leg("l1")),
                    coil(e2, "bridge") | in_series(leg("u2")) | in_shunt(leg("l2"))) |
           in_shunt(series(leg("tone"), 22_nF)) | in_shunt(500_pF) | in_shunt(1_MOhm);
  };
  source s = circuit_of(1, -1);
  source nearly = s; // the ends replaced by almost nothing and almost no connection
  evaluator evaluate(s.as_circuit());
  composer compose(s.as_circuit());
  const double legs[] = {0, 2, 125e3, 250e3, open_value};
  const auto near = [](double r) { return r == 0 ? 1e-7 : is_open(r) ? 1e17 : r; };
  int points = 0;
  double worst = 0, worst_near = 0;
  for (const double u1 : legs)
    for (const double l1 : legs)
      for (const double u2 : legs)
        for (const double l2 : legs)
          for (const double tone : {0.0, 250e3, open_value}) {
            const std::pair<const char*, double> now[] = {
                {"u1", u1}, {"l1", l1}, {"u2", u2}, {"l2", l2}, {"tone", tone}};
            for (const auto& [name, r] : now) {
              s.rewrite(s.range(name), 0, r);
              nearly.rewrite(nearly.range(name), 0, near(r));
            }
            CAPTURE(u1);
            CAPTURE(l1);
            CAPTURE(u2);
            CAPTURE(l2);
            CAPTURE(tone);
            for (std::size_t k = 0; k < 2; ++k) {
              const double f[] = {80, 2e3};
              complex block[2];
              REQUIRE(evaluate.responses(s.as_circuit(), f, ways::only(s, k), block) == circuit_status::ok);
              const transfer_function h = compose.response(s.as_circuit(), k);
              REQUIRE(h.defined());
              for (int i = 0; i < 2; ++i) {
                const complex point = response(s, k, ways::hertz(f[i])), poly = h(ways::hertz(f[i]));
                REQUIRE(ways::is_finite(point));
                REQUIRE(ways::is_finite(block[i]));
                REQUIRE(ways::is_finite(poly));
                worst = std::max({worst, std::abs(point - block[i]), std::abs(point - poly)});
                worst_near = std::max(worst_near, std::abs(point - response(nearly, k, ways::hertz(f[i]))));
                ++points;
              }
            }
          }
  MESSAGE(points << " points; number systems differ by " << worst << ", exact ends from near ends by "
                 << worst_near);
  CHECK(points == 5 * 5 * 5 * 5 * 3 * 4);
  CHECK(worst <= 1e-13);
  CHECK(worst_near <= 1e-8);
}
