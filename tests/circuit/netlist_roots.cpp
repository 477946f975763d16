// SPDX-License-Identifier: BSL-1.0
// Exact transfer functions of a netlist by simultaneous iteration alone: what happens when the eigenvalue solver gives
// up. Eigen's solver is not instantiated here.
#include <optional>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include <lodewire/circuit/netlist_transfer.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"
#include "../draws.hpp"
#include "netlist_agreement.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using agreement::gives_up;
using check::near;
using ways::complex;

namespace {

netlist_response response(const netlist& n, const char* from, const char* hot, const char* cold = "ground") {
  return exact_response(n, n.source(from), n.node(hot), n.node(cold), gives_up{});
}

std::string numbered(const char* name, int k) { return std::string(name).append(std::to_string(k)); }

} // namespace

TEST_CASE("a series resonance: poles, zeros, gain in closed form") {
  netlist n;
  n.emf("V", 3_V, "in", "ground");
  n.add("R", 5_kOhm, "in", "a");
  n.add("L", 2_H, "a", "out");
  n.add("C", 500_pF, "out", "ground");
  const netlist_response h = response(n, "V", "out");
  CHECK(h.iterated);
  // 1/(1 + sRC + s²LC)
  const double real = -5e3 / (2 * 2.0), imaginary = std::sqrt(1 / (2.0 * 500e-12) - real * real);
  REQUIRE(h.roots.poles.size() == 2);
  CHECK(h.roots.zeros.empty());
  CHECK(near(h.roots.poles[0], complex(real, h.roots.poles[0].imag() > 0 ? imaginary : -imaginary), 1e-14));
  CHECK(h.roots.poles[1] == std::conj(h.roots.poles[0]));
  CHECK(near(h.roots.gain, 1 / (2.0 * 500e-12), 1e-13));
  CHECK(near(h.function.at(0), 1, 1e-14));
  CHECK(h.function.degree() == 2);
  // Its current's path: the voltage across R has a zero at 0; the impedance at the output as well has one at -R/L.
  const netlist_response across = response(n, "V", "in", "a");
  REQUIRE(across.roots.zeros.size() == 1);
  CHECK(across.roots.zeros[0] == 0.0);
  const netlist_response z = exact_impedance(n, n.node("out"), netlist_ground, gives_up{});
  REQUIRE(z.roots.zeros.size() == 1);
  CHECK(near(z.roots.zeros[0], -2500, 1e-14));
  CHECK(near(z.roots.gain, 1 / 500e-12, 1e-13));
  CHECK(near(z.function.at(0), 5e3, 1e-13));
}

TEST_CASE("zeros on the axis, at zero and in the right half") {
  netlist n; // a bridged T with a notch: twin T of equal arms
  n.emf("V", 1_V, "in", "ground");
  n.add("R1", 10_kOhm, "in", "a");
  n.add("R2", 10_kOhm, "a", "out");
  n.add("C3", 20_nF, "a", "ground");
  n.add("C1", 10_nF, "in", "b");
  n.add("C2", 10_nF, "b", "out");
  n.add("R3", 5_kOhm, "b", "ground");
  const netlist_response notch = response(n, "V", "out");
  // Unloaded: (s² + w²)/(s² + 4·w·s + w²) with w = 1/(RC), a factor s + w of both taken out; computed from the formula.
  const double w = 1e4;
  REQUIRE(notch.roots.zeros.size() == 2);
  REQUIRE(notch.roots.poles.size() == 2);
  CHECK(notch.roots.cancelled == 1);
  for (const complex& z : notch.roots.zeros) CHECK(near(z, complex(0, z.imag() > 0 ? w : -w), 1e-12));
  CHECK(near(notch.roots.poles[0], -w * (2 - std::sqrt(3.0)), 1e-12));
  CHECK(near(notch.roots.poles[1], -w * (2 + std::sqrt(3.0)), 1e-12));

  netlist all; // an all-pass lattice: (w - s)/(w + s)
  all.emf("V", 1_V, "in", "ground");
  all.add("R1", 10_kOhm, "in", "a");
  all.add("C1", 10_nF, "a", "ground");
  all.add("C2", 10_nF, "in", "b");
  all.add("R2", 10_kOhm, "b", "ground");
  const netlist_response pass = response(all, "V", "a", "b");
  for (const double f : {20.0, 1e3, 2e4}) {
    const complex s(0, 2 * std::numbers::pi * f);
    CHECK(near(pass.function(ways::hertz(f)), (w - s) / (w + s), 1e-12));
  }
  bool right = false;
  for (const complex& z : pass.roots.zeros) right = right || near(z, w, 1e-12);
  CHECK(right);

  netlist high; // two coupling capacitors: s² at the bottom
  high.emf("V", 1_V, "in", "ground");
  high.add("C1", 22_nF, "in", "a");
  high.add("R1", 47_kOhm, "a", "ground");
  high.add("C2", 10_nF, "a", "out");
  high.add("R2", 1_MOhm, "out", "ground");
  const netlist_response h = response(high, "V", "out");
  REQUIRE(h.roots.zeros.size() == 2);
  CHECK(h.roots.zeros[0] == 0.0);
  CHECK(h.roots.zeros[1] == 0.0);
  CHECK(h.function.dc_limit().slope == 2);
  CHECK(near(h.function.dc_limit().gain, 22e-9 * 47e3 * 10e-9 * 1e6, 1e-12));
}

TEST_CASE("roots at zero beside others, by iteration alone") {
  // Two coupling capacitors, and a notch from a coil and a capacitor: s²·(s² + 1/(LC)).
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("C1", 22_nF, "in", "a");
  n.add("R1", 47_kOhm, "a", "ground");
  n.add("C2", 10_nF, "a", "b");
  n.add("R2", 1_MOhm, "b", "out");
  n.add("trap", series(2_H, 1_nF), "out", "ground");
  n.add("R3", 220_kOhm, "out", "ground");
  const netlist_response h = exact_response(n, n.source("V"), n.node("out"), netlist_ground, gives_up{});
  CHECK(h.iterated);
  const double w = 1 / std::sqrt(2 * 1e-9);
  REQUIRE(h.roots.zeros.size() == 4);
  CHECK(h.roots.zeros[0] == 0.0);
  CHECK(h.roots.zeros[1] == 0.0);
  CHECK(near(h.roots.zeros[2], complex(0, h.roots.zeros[2].imag() > 0 ? w : -w), 1e-12));
  CHECK(near(h.roots.zeros[3], std::conj(h.roots.zeros[2]), 1e-12));
}

TEST_CASE("a balanced bridge passes nothing, a filter adds its poles, a two-port's δ does not show") {
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("R1", 1_kOhm, "in", "a");
  n.add("C1", 10_nF, "a", "ground");
  n.add("R2", 3_kOhm, "in", "b");
  n.add("C2", parallel(2_nF, series(4_nF, 4_nF)), "b", "ground"); // 4 nF, too much by 0.67
  n.add("across", 10_kOhm, "a", "b");
  CHECK(std::abs(response(n, "V", "a", "b").function(1_kHz)) > 1e-4);
  netlist even;
  even.emf("V", 1_V, "in", "ground");
  even.add("R1", 1_kOhm, "in", "a");
  even.add("C1", 12_nF, "a", "ground");
  even.add("R2", 3_kOhm, "in", "b");
  even.add("C2", 4_nF, "b", "ground");
  even.add("across", 10_kOhm, "a", "b");
  const netlist_response nothing = response(even, "V", "a", "b");
  CHECK(nothing.function.defined());
  CHECK(nothing.function(1_kHz) == 0.0);
  even.filter("V", 1e-4, 2e-9);
  const netlist_response shaped = response(even, "V", "a");
  for (const double f : {20.0, 1e3, 2e4}) {
    const complex s(0, 2 * std::numbers::pi * f);
    CHECK(near(shaped.function(ways::hertz(f)), 1.0 / (1.0 + s * 12e-6) / (1.0 + 1e-4 * s + 2e-9 * s * s),
               1e-12));
  }
  netlist port;
  port.emf("V", 1_V, "in", "ground");
  port.add("R", 1_kOhm, "in", "a");
  port.two_port(
      "T", {.a = {2, 2e-5, 0}, .b = {0, 0, 0}, .c = {0, 0, 0}, .d = {2, 2e-5, 3e-10}, .delta = {1, 1e-5, 0}},
      {"a", "ground"}, {"b", "ground"});
  port.add("C", 10_nF, "b", "ground");
  const netlist_response through = response(port, "V", "b");
  // [Eδ : D'·N : A·D], then 10 nF across.
  for (const double f : {20.0, 1e3, 2e4}) {
    const complex s(0, 2 * std::numbers::pi * f), delta = 1.0 + 1e-5 * s;
    const complex d = 2.0 + 2e-5 * s + 3e-10 * s * s, bottom = 2.0 * delta + s * 1e-8 * 1e3 * d;
    CHECK(near(through.function(ways::hertz(f)), delta / bottom, 1e-12));
  }
  CHECK(through.function.degree() == 3);
}

TEST_CASE("two identical buffered sections: a double pole") {
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("R1", 10_kOhm, "in", "a");
  n.add("C1", 10_nF, "a", "ground");
  n.buffer("A1", 2, {"a", "ground"}, {"b", "ground"});
  n.add("R2", 10_kOhm, "b", "c");
  n.add("C2", 10_nF, "c", "ground");
  n.buffer("A2", 3, {"c", "ground"}, {"out", "ground"});
  const netlist_response h = response(n, "V", "out");
  REQUIRE(h.roots.poles.size() == 2);
  for (const complex& p : h.roots.poles) CHECK(near(p, -1e4, 1e-7)); // half the digits, as any double root
  for (const double f : {20.0, 1e3, 2e4}) {
    const complex one = 1.0 / (1.0 + complex(0, 2 * std::numbers::pi * f) * 1e-4);
    CHECK(near(h.function(ways::hertz(f)), 6.0 * one * one, 1e-7));
  }
}

TEST_CASE("trees of up to 30 reactive parts, without an eigenvalue solver") {
  for (const std::size_t reactive : {5UL, 12UL, 30UL}) {
    const auto t = agreement::over_random_trees(reactive, check::draws(reactive > 20 ? 3 : 15), gives_up{});
    MESSAGE(reactive << " reactive parts: netlist " << t.worst << ", tree " << t.worst_tree);
    CHECK(t.compared >= static_cast<int>(check::draws(3)));
    CHECK(t.iterated == t.compared);
    CHECK(t.worst <= agreement::bound(reactive));
  }
}

TEST_CASE("netlists of everything at once, without an eigenvalue solver") {
  const auto t = agreement::over_random_netlists(1, check::draws(40), gives_up{});
  MESSAGE(t.compared << " functions: worst " << t.worst << ", misfit " << t.worst_misfit);
  CHECK(t.worst <= 1e-6);
}

TEST_CASE("what has no transfer function") {
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("Z", power_law(resistance::from_value(1), 0.5), "in", "out");
  n.add("R", 1_kOhm, "out", "ground");
  CHECK_THROWS_AS((void)response(n, "V", "out"), not_rational);
  netlist ladder;
  ladder.emf("V", 1_V, "n0", "ground");
  for (int k = 0; k < 64; ++k) {
    const std::string from = numbered("n", k), to = numbered("n", k + 1);
    ladder.add(numbered("R", k), 1_kOhm, from, to);
    ladder.add(numbered("C", k), 1_nF, to, "ground");
  }
  CHECK_THROWS_WITH_AS(
      (void)response(ladder, "V", "n64"),
      "transfer_function: the circuit reaches degree 64; allowed: 0 to 63; evaluate its response directly",
      capacity_exceeded);
  netlist loose;
  loose.emf("V", 1_V, "in", "out");
  CHECK_THROWS_AS((void)response(loose, "V", "out"), invalid_value);
}
