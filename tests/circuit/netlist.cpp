// SPDX-License-Identifier: BSL-1.0
// The nodal netlist against closed forms, and everything that it refuses.
#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <string>

#include <doctest/doctest.h>

#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/netlist_solver.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"
#include "nodal.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using complex = std::complex<double>;

namespace {

constexpr std::array<double, 4> hz{50, 700, 3e3, 20e3};
complex jw(double f) { return {0, 2 * std::numbers::pi * f}; }
complex par(complex a, complex b) { return a * b / (a + b); }

/// A netlist, solved at one s.
struct solved {
  netlist_solver solver;
  netlist net;
  netlist_workspace room;
  bool ok;
  solved(const netlist& n, complex s)
      : solver(n), net(n), room(solver.make_workspace()), ok(solver.solve(s, room)) {}

  complex v(const char* hot, const char* cold = "ground") {
    return solver.voltage(room, net.node(hot), net.node(cold));
  }
  complex i(const char* branch) { return solver.current(room, net.branch(branch)); }
  complex z(const char* hot, const char* cold = "ground") {
    return solver.impedance(room, net.node(hot), net.node(cold));
  }
  complex h(const char* source, const char* hot, const char* cold = "ground") {
    return solver.transfer(room, net.source(source), net.node(hot), net.node(cold));
  }
};

/// The text of whatever `std::invalid_argument` a call throws.
template <class F>
std::string refused(F f) {
  try {
    f();
  } catch (const std::invalid_argument& error) {
    return error.what();
  }
  return "no error";
}
std::string refused(const netlist& n) {
  return refused([&] { netlist_solver{n}; });
}

std::string numbered(const char* name, std::size_t k) { return std::string(name).append(std::to_string(k)); }

current ampere(double i) { return current::from_value(i); }

} // namespace

TEST_CASE("each kind of branch in closed form") {
  netlist n;
  n.emf("V", 2_V, "in", "ground");
  n.add("R", 10_kOhm, "in", "a");
  n.add("L", 3_H, "a", "b");
  n.add("C", 1_nF, "b", "ground");
  for (const double f : hz) {
    const complex s = jw(f), zr = 1e4, zl = s * 3.0, zc = 1.0 / (s * 1e-9);
    solved at(n, s);
    REQUIRE(at.ok);
    const complex i = 2.0 / (zr + zl + zc);
    CHECK(near(at.v("in"), 2, 1e-15));
    CHECK(near(at.v("b"), i * zc, 1e-13));
    // A rounding of 2 V, times 10 kΩ of admittance over the 3 MΩ that load the node at 50 Hz.
    CHECK(std::abs(at.v("a", "b") - i * zl) <= 2 * 0x1p-53 * 300);
    CHECK(near(at.i("R"), i, 1e-13));
    CHECK(near(at.i("L"), i, 1e-13));
    CHECK(near(at.i("C"), i, 1e-13));
    CHECK(near(at.i("V"), -i, 1e-13)); // it comes out at the hot end
    CHECK(near(at.h("V", "b"), i * zc / 2.0, 1e-13));
    CHECK(near(at.z("b"), par(zr + zl, zc), 1e-13));
    CHECK(near(at.z("a", "b"), par(zl, zr + zc), 1e-13));
    CHECK(std::abs(at.z("in")) == 0); // an ideal EMF at rest is a short
  }
}

TEST_CASE("a one-port of many parts is one branch") {
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("coil", series(5_kOhm, 2_H, parallel(0.5_H, 20_kOhm)), "in", "out");
  n.add("tone", series(100_kOhm, 22_nF), "out", "ground");
  n.add("load", parallel(1_MOhm, 500_pF), "out", "ground");
  CHECK(netlist_solver(n).unknowns() == 3); // two voltages and the EMF's current
  for (const double f : hz) {
    const complex s = jw(f), coil = 5e3 + 2.0 * s + par(0.5 * s, 2e4), tone = 1e5 + 1.0 / (s * 22e-9);
    const complex load = par(1e6, 1.0 / (s * 500e-12)), out = par(tone, load) / (coil + par(tone, load));
    solved at(n, s);
    CHECK(near(at.v("out"), out, 1e-13));
    CHECK(near(at.i("coil"), (1.0 - out) / coil, 1e-13));
    CHECK(near(at.i("tone"), out / tone, 1e-13));
    CHECK(near(at.i("load"), out / load, 1e-13));
  }
}

TEST_CASE("current sources, power laws, filters") {
  netlist n;
  n.current_source("I", ampere(0.002), "a", "b");
  n.add("R", 1_kOhm, "a", "ground");
  n.add("Z", power_law(resistance::from_value(300), 0.5), "b", "ground");
  n.filter("I", 1e-4, 2e-9);
  for (const double f : hz) {
    const complex s = jw(f), shaped = 0.002 / (1.0 + 1e-4 * s + 2e-9 * s * s), z = 300.0 * std::sqrt(s);
    solved at(n, s);
    CHECK(near(at.v("a"), 1e3 * shaped, 1e-13));
    CHECK(near(at.v("b"), -z * shaped, 1e-13));
    CHECK(near(at.i("I"), -shaped, 1e-13));
    CHECK(near(at.i("Z"), -shaped, 1e-13));
    CHECK(near(at.h("I", "a", "b"), (1e3 + z) * shaped / 0.002, 1e-13)); // volts per ampere
    CHECK(near(at.z("a", "b"), 1e3 + z, 1e-13));
  }
}

TEST_CASE("a Wheatstone bridge, which is no tree") {
  const auto bridge = [](double r4) {
    netlist n;
    n.emf("V", 1_V, "in", "ground");
    n.add("R1", 1_kOhm, "in", "a");
    n.add("R2", 2_kOhm, "a", "ground");
    n.add("R3", 3_kOhm, "in", "b");
    n.add("R4", resistance::from_value(r4), "b", "ground");
    n.add("R5", 5_kOhm, "a", "b");
    return n;
  };
  // Thévenin from a to b with R5 away: two dividers behind two parallel pairs.
  const auto expected = [](double r4) {
    const double open = 2.0 / 3 - r4 / (3e3 + r4), behind = 2e3 / 3 + 3e3 * r4 / (3e3 + r4);
    return open / (behind + 5e3);
  };
  solved off(bridge(4e3), jw(1e3)), even(bridge(6e3), jw(1e3));
  CHECK(near(off.i("R5"), expected(4e3), 1e-13));
  CHECK(near(off.v("a", "b"), 5e3 * expected(4e3), 1e-13));
  CHECK(near(off.i("R1"), off.i("R2") + off.i("R5"), 1e-14));
  CHECK(near(-off.i("V"), off.i("R1") + off.i("R3"), 1e-14));
  CHECK(std::abs(even.v("a", "b")) <= 1e-15);
  CHECK(near(even.z("a", "b"), par(5e3, 2e3 / 3 + 2e3), 1e-13));
}

TEST_CASE("delta and wye") {
  // Z_a = Z_ab·Z_ca/(Z_ab + Z_bc + Z_ca), and so on; computed from the formula.
  for (const double f : hz) {
    const complex s = jw(f), ab = 1e3, bc = s * 0.2, ca = 1.0 / (s * 47e-9), sum = ab + bc + ca;
    netlist delta;
    delta.add("ab", 1_kOhm, "a", "b");
    delta.add("bc", 0.2_H, "b", "c");
    delta.add("ca", 47_nF, "c", "a");
    delta.add("far", 1_GOhm, "c", "ground");
    solved at(delta, s);
    const complex a = ab * ca / sum, b = ab * bc / sum, c = bc * ca / sum;
    CHECK(near(at.z("a", "b"), a + b, 1e-12));
    CHECK(near(at.z("b", "c"), b + c, 1e-12));
    CHECK(near(at.z("c", "a"), c + a, 1e-12));
    CHECK(near(at.z("c"), 1e9, 1e-12));
  }
}

TEST_CASE("coils coupled across branches") {
  for (const double k : {-1.0, -0.4, 0.0, 0.3, 1.0})
    for (const double f : hz) {
      const complex s = jw(f);
      const double m = k * std::sqrt(2.0 * 0.5);
      netlist n; // a transformer
      n.emf("V", 1_V, "in", "ground");
      n.add("R1", 1_kOhm, "in", "p");
      n.add("L1", 2_H, "p", "ground");
      n.add("L2", 0.5_H, "q", "ground");
      n.add("R2", 600_Ohm, "q", "ground");
      n.couple("K", k, "L1", "L2");
      solved at(n, s);
      REQUIRE(at.ok);
      const complex bottom = (1e3 + 2.0 * s) * (600.0 + 0.5 * s) - s * s * m * m;
      CHECK(std::abs(at.v("q") - s * m * 600.0 / bottom) <= 1e-13);
      CHECK(near(at.i("L1"), (600.0 + 0.5 * s) / bottom, 1e-12));
      CHECK(near(at.z("in", "p"), par(1e3, 2.0 * s - s * s * m * m / (600.0 + 0.5 * s)), 1e-11));

      netlist row; // in series, aiding and opposing; the coils bring their resistance
      row.add("first", series(1_kOhm, 2_H), "a", "j");
      row.add("second", series(2_kOhm, 0.5_H), "j", "ground");
      row.add("third", series(2_kOhm, 0.5_H), "ground", "b");
      row.add("fourth", series(1_kOhm, 2_H), "a", "b");
      row.couple("K1", k, "first", "second");
      row.couple("K2", k, "fourth", "third");
      solved both(row, s);
      const complex aiding = 3e3 + (2.5 + 2 * m) * s, opposing = 3e3 + (2.5 - 2 * m) * s;
      CHECK(near(both.z("a"), par(aiding, opposing), 1e-11));
    }
}

TEST_CASE("a buffer in a loop: low-pass of second order after Sallen and Key") {
  // H = 1/(1 + s·C2·(R1 + R2) + s²·R1·R2·C1·C2) at gain 1. Sallen, Key, "A practical method of designing RC active
  // filters", 1955; from memory, and computed from the formula.
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("R1", 10_kOhm, "in", "a");
  n.add("R2", 22_kOhm, "a", "b");
  n.add("C1", 10_nF, "a", "out");
  n.add("C2", 2.2_nF, "b", "ground");
  n.buffer("A", 1, {"b", "ground"}, {"out", "ground"});
  for (const double f : hz) {
    const complex s = jw(f);
    solved at(n, s);
    CHECK(near(at.v("out"), 1.0 / (1.0 + s * 2.2e-9 * 32e3 + s * s * 2.2e8 * 22e-18), 1e-13));
    CHECK(std::abs(at.z("out")) <= 1e-10);
    CHECK(near(at.i("A"), at.i("C1"), 1e-12)); // all that leaves C1 goes into the output
  }
}

TEST_CASE("a two-port by its chain matrix is the network that it stands for") {
  // An L of a series R and a shunt C, as the matrix [1 + sRC, R; sC, 1], every entry times a δ that must not show.
  const double r = 4.7e3, c = 3.3e-9, t = 2e-5;
  const chain_matrix m{.a = {1, r * c + t, r * c * t},
                       .b = {r, r * t, 0},
                       .c = {0, c, c * t},
                       .d = {1, t, 0},
                       .delta = {1, t, 0}};
  for (const bool floating : {false, true}) {
    netlist by_matrix, by_parts;
    for (netlist* n : {&by_matrix, &by_parts}) {
      n->emf("V", 1_V, "in", "ground");
      n->add("Rs", 1_kOhm, "in", "a");
      if (floating) n->add("Rf", 330_Ohm, "low", "ground");
      n->add("load", series(0.4_H, 10_kOhm), "b", floating ? "low" : "ground");
    }
    const char* low = floating ? "low" : "ground";
    by_matrix.two_port("T", m, {"a", low}, {"b", low});
    by_parts.add("R", resistance::from_value(r), "a", "b");
    by_parts.add("C", capacitance::from_value(c), "b", low);
    // The matrix takes R before C: seen from port 1 the C lies behind the R.
    for (const double f : hz) {
      solved one(by_matrix, jw(f)), two(by_parts, jw(f));
      CHECK(near(one.v("b", low), two.v("b", low), 1e-12));
      CHECK(near(one.v("b"), two.v("b"), 1e-12));
      CHECK(near(one.z("b", low), two.z("b", low), 1e-12));
      CHECK(near(one.i("Rs"), two.i("Rs"), 1e-12));
      CHECK(near(-one.i("T"), one.i("load"), 1e-12));
    }
  }
}

TEST_CASE("shorts and opens need no special case") {
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("R", 1_kOhm, "in", "a");
  n.add("wire", short_circuit(), "a", "b");
  n.add("lead", 0_H, "b", "c");
  n.add("load", 3_kOhm, "c", "ground");
  n.add("side", 4_kOhm, "b", "ground");
  n.add("nothing", open_circuit(), "a", "ground");
  n.add("no capacitor", 0_F, "in", "c");
  n.add("no loss", parallel(open_circuit(), series(5_kOhm, 0_F)), "in", "c");
  for (const double f : hz) {
    solved at(n, jw(f));
    const complex v = par(3e3, 4e3) / (1e3 + par(3e3, 4e3));
    CHECK(near(at.v("a"), v, 1e-14));
    CHECK(std::abs(at.v("a", "c")) == 0);
    CHECK(near(at.i("wire"), (1.0 - v) / 1e3, 1e-13));
    CHECK(near(at.i("lead"), v / 3e3, 1e-13));
    CHECK(near(at.i("side"), v / 4e3, 1e-13));
    CHECK(at.i("nothing") == 0.0);
    CHECK(at.i("no capacitor") == 0.0);
    CHECK(at.i("no loss") == 0.0);
  }
  // Two wires side by side share the current as two equal resistors would; so do three round a corner.
  n.add("second wire", short_circuit(), "b", "a");
  n.add("around", series(short_circuit(), short_circuit()), "a", "b");
  solved at(n, jw(1e3));
  const complex all = at.i("load") + at.i("side");
  CHECK(near(at.i("wire"), all * 0.4, 1e-13)); // 1 : 1 : 1/2
  CHECK(near(at.i("second wire"), -all * 0.4, 1e-13));
  CHECK(near(at.i("around"), all * 0.2, 1e-13));
  // A shorted part, a shorted coil and its neighbour.
  netlist coil;
  coil.emf("V", 1_V, "in", "ground");
  coil.add("L1", series(1_kOhm, 2_H), "in", "out");
  coil.add("L2", series(2_kOhm, 3_H), "x", "y");
  coil.couple("K", 0.5, "L1", "L2");
  coil.add("jumper", short_circuit(), "y", "x");
  coil.add("tie", 1_MOhm, "x", "ground");
  coil.add("load", 10_kOhm, "out", "ground");
  coil.add("shorted", 10_kOhm, "x", "y");
  for (const double f : hz) {
    const complex s = jw(f), m2 = 0.25 * 6.0 * s * s, z = 1e3 + 2.0 * s - m2 / (2e3 + 3.0 * s);
    solved c(coil, s);
    CHECK(near(c.v("out"), 1e4 / (1e4 + z), 1e-13));
    CHECK(near(c.i("L2"), -c.i("L1") * 0.5 * std::sqrt(6.0) * s / (2e3 + 3.0 * s), 1e-13));
    CHECK(near(c.i("jumper"), c.i("L2"), 1e-13));
    CHECK(c.i("shorted") == 0.0);
  }
}

TEST_CASE("at s = 0, on the real axis, at a natural frequency") {
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("coil", series(2_kOhm, parallel(3_H, 10_kOhm)), "in", "out");
  n.add("bare coil", 1_H, "out", "x");
  n.add("load", 8_kOhm, "x", "ground");
  n.add("C", 1_uF, "x", "ground");
  solved dc(n, 0);
  REQUIRE(dc.ok);
  CHECK(near(dc.v("out"), 0.8, 1e-14));
  CHECK(near(dc.v("x"), 0.8, 1e-14));
  CHECK(near(dc.i("bare coil"), 1e-4, 1e-14));
  CHECK(near(dc.i("coil"), 1e-4, 1e-14));
  CHECK(dc.i("C") == 0.0);
  const double s = 5e3;
  solved real(n, s);
  const double z = 2e3 + 3 * s * 1e4 / (3 * s + 1e4) + s, load = 1 / (1 / 8e3 + s * 1e-6);
  CHECK(near(real.v("x"), load / (z + load), 1e-13));
  // A node that only capacitors hold is free at s = 0 alone.
  netlist ac;
  ac.emf("V", 1_V, "in", "ground");
  ac.add("C1", 1_nF, "in", "out");
  ac.add("C2", 3_nF, "out", "ground");
  CHECK(!solved(ac, 0).ok);
  CHECK(near(solved(ac, jw(1e-3)).v("out"), 0.25, 1e-13));
}

TEST_CASE("whatever is not tied to ground and has no name stays out of the answer") {
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("R", 1_kOhm, "in", "out");
  n.add("load", parallel(1_kOhm, series(1_nF, open_circuit(), 10_kOhm, parallel(1_H, 2_nF))), "out",
        "ground");
  solved at(n, jw(1e3));
  CHECK(near(at.v("out"), 0.5, 1e-15));
  CHECK(near(at.i("load"), 5e-4, 1e-14));
}

TEST_CASE("random meshes against a plain elimination of all nodes and branches") {
  std::uint64_t state = 5;
  const auto dice = [&] { // xorshift
    state ^= state << 13U;
    state ^= state >> 7U;
    state ^= state << 17U;
    return static_cast<double>(state >> 11U) * 0x1p-53;
  };
  const auto spread = [&](double low, double high) { return low * std::pow(high / low, dice()); };
  double worst = 0, worst_current = 0;
  for (int round = 0; round < 300; ++round) {
    const std::size_t nodes = 3 + static_cast<std::size_t>(dice() * 8);
    const complex s = round % 4 == 0 ? complex(spread(1e2, 1e5), spread(1e2, 1e5)) : jw(spread(20, 2e4));
    netlist n;
    nodal plain(nodes);
    const auto name = [](std::size_t k) { return k == 0 ? std::string("ground") : numbered("n", k); };
    std::size_t count = 0;
    const auto put = [&](std::size_t a, std::size_t b) {
      const std::string branch = numbered("z", count++);
      const double r = spread(1, 1e7), l = spread(0.01, 10), c = spread(1e-11, 1e-6);
      switch (static_cast<int>(dice() * 4)) {
      case 0: n.add(branch, resistance::from_value(r), name(a), name(b)); return plain.branch(a, b, r, 0);
      case 1: n.add(branch, inductance::from_value(l), name(a), name(b)); return plain.branch(a, b, s * l, 0);
      case 2:
        n.add(branch, capacitance::from_value(c), name(a), name(b));
        return plain.branch(a, b, 1.0 / (s * c), 0);
      default:
        n.add(branch, series(resistance::from_value(r), inductance::from_value(l)), name(a), name(b));
        return plain.branch(a, b, r + s * l, 0);
      }
    };
    for (std::size_t k = 1; k <= nodes; ++k)
      put(k, static_cast<std::size_t>(dice() * static_cast<double>(k)));
    for (std::size_t k = 0; k < nodes; ++k) {
      const auto a = static_cast<std::size_t>(dice() * static_cast<double>(nodes + 1));
      const auto b = static_cast<std::size_t>(dice() * static_cast<double>(nodes + 1));
      if (a != b) put(a, b);
    }
    n.emf("V", 1_V, "drive", "n1");
    n.add("Rs", 10_kOhm, "drive", name(nodes));
    const std::size_t last = plain.branch(1, nodes, 1e4, -1); // 1 V behind 10 kΩ from n1 to the last
    (void)last;
    const auto v = plain.solve();
    solved at(n, s);
    REQUIRE(at.ok);
    double largest = 0;
    for (const complex& x : v) largest = std::max(largest, std::abs(x));
    for (std::size_t k = 1; k <= nodes; ++k)
      worst = std::max(worst, std::abs(at.v(name(k).c_str()) - v[k]) / largest);
    const complex i = (1.0 + v[1] - v[nodes]) / 1e4;
    worst_current = std::max(worst_current, std::abs(at.i("Rs") - i) * 1e4);
  }
  MESSAGE("voltages " << worst << ", current " << worst_current);
  // 1 kΩ of admittance beside 10 MΩ: four digits, and one or two more near a lossless resonance.
  CHECK(worst <= 1e-10);
  CHECK(worst_current <= 1e-11);
}

TEST_CASE("other rings") {
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("coil", series(5_kOhm, 2_H), "in", "out");
  n.add("load", parallel(1_MOhm, 500_pF), "out", "ground");
  const basic_netlist_solver<long double> solver(n);
  auto room = solver.make_workspace();
  for (const double f : hz) {
    REQUIRE(solver.solve(jw(f), room));
    const std::complex<long double> v = solver.voltage(room, n.node("out"));
    CHECK(near(complex(static_cast<double>(v.real()), static_cast<double>(v.imag())),
               solved(n, jw(f)).v("out"), 1e-14));
  }
}

TEST_CASE("what a netlist refuses, by name") {
  const auto with = [](auto change) {
    netlist n;
    n.emf("V", 1_V, "in", "ground");
    n.add("R", 1_kOhm, "in", "out");
    n.add("L1", 1_H, "out", "ground");
    n.add("L2", 2_H, "out", "ground");
    n.couple("K", 0.5, "L1", "L2");
    const netlist before = n;
    const std::string text = error_of([&] { change(n); });
    CHECK((text == "no error" || n == before)); // nothing is added halfway
    return text;
  };
  using net = netlist&;
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(with([](net) {}) == "no error");
  // A name used twice.
  CHECK(with([](net n) { n.add("R", 1_kOhm, "a", "b"); }) ==
        "branch name is 'R'; allowed: a name that is not in use");
  CHECK(with([](net n) { n.emf("L1", 1_V, "a", "b"); }) ==
        "branch name is 'L1'; allowed: a name that is not in use");
  CHECK(with([](net n) { n.couple("V", 0, "L1", "L2"); }) ==
        "branch name is 'V'; allowed: a name that is not in use");
  CHECK(with([](net n) { n.add("K", 1_kOhm, "a", "b"); }) ==
        "branch name is 'K'; allowed: a name that is not in use");
  CHECK(with([](net n) { n.add("", 1_kOhm, "a", "b"); }) ==
        "branch name is empty; allowed: at least one character");
  CHECK(with([](net n) { n.add("X", 1_kOhm, "", "b"); }) ==
        "X.node is empty; allowed: a name of at least one character");
  // A port to itself.
  CHECK(with([](net n) { n.add("X", 1_kOhm, "a", "a"); }) ==
        "X is connected from 'a' to 'a'; allowed: two different nodes");
  CHECK(with([](net n) { n.emf("X", 1_V, "in", "in"); }) ==
        "X is connected from 'in' to 'in'; allowed: two different nodes");
  CHECK(with([](net n) { n.current_source("X", ampere(1), "ground", "ground"); }) ==
        "X is connected from 'ground' to 'ground'; allowed: two different nodes");
  CHECK(with([](net n) {
          n.buffer("X", 1, {"in", "ground"}, {"out", "out"});
        }) == "X is connected from 'out' to 'out'; allowed: two different nodes");
  CHECK(with([](net n) {
          n.two_port("X", {}, {"in", "in"}, {"out", "ground"});
        }) == "X is connected from 'in' to 'in'; allowed: two different nodes");
  CHECK(with([](net n) { n.pour("X", ideal_emf(1_V) | in_series(1_kOhm), "out", "out"); }) ==
        "X is connected from 'out' to 'out'; allowed: two different nodes");
  // Values.
  CHECK(with([&](net n) { n.emf("X", voltage::from_value(nan), "a", "b"); }) ==
        "X.emf is NaN V; allowed: any finite value");
  CHECK(with([](net n) { n.current_source("X", ampere(open_value), "a", "b"); }) ==
        "X.current is infinity A; allowed: any finite value");
  CHECK(with([&](net n) {
          n.buffer("X", nan, {"a", "b"}, {"c", "d"});
        }) == "X.gain is NaN; allowed: any finite value");
  CHECK(with([&](net n) { n.filter("V", nan, 0); }) == "V.a1 is NaN; allowed: any finite value");
  CHECK(with([&](net n) {
          n.two_port("X", {.a = {nan, 0, 0}}, {"a", "b"}, {"c", "d"});
        }) == "chain_matrix coefficient is NaN; allowed: any finite value");
  CHECK(with([](net n) { n.add("X", resistance::from_value(-5), "a", "b"); }) ==
        "resistance is -5 Ω; allowed: 0 Ω or more");
  // Couplings.
  CHECK(with([](net n) { n.couple("X", 1.01, "L1", "L2"); }) == "X.coupling is 1.01; allowed: -1 to 1");
  CHECK(with([](net n) { n.couple("X", -2, "L1", "L2"); }) == "X.coupling is -2; allowed: -1 to 1");
  CHECK(with([](net n) { n.couple("X", 0.1, "L1", "L1"); }) ==
        "X is from 'L1' to 'L1'; allowed: two different coils");
  CHECK(with([](net n) { n.couple("X", 0.1, "L2", "L1"); }) ==
        "X is from 'L2' to 'L1', which are coupled already; allowed: two coils that are not coupled yet");
  CHECK(with([](net n) { n.couple("X", 0.1, "L1", "R"); }) ==
        "X is at 'R', which has 0 inductances; allowed: a branch with one inductance");
  CHECK(with([](net n) { n.couple("X", 0.1, "L1", "L3"); }) ==
        "branch is 'L3'; allowed: one of 'V', 'R', 'L1', 'L2'");
  // Names that are not there.
  CHECK(with([](net n) { (void)n.node("nowhere"); }) ==
        "node is 'nowhere'; allowed: one of 'ground', 'in', 'out'");
  CHECK(with([](net n) { (void)n.source("R"); }) == "source is 'R'; allowed: one of 'V'");
  CHECK(with([](net n) { n.filter("W", 0, 0); }) == "source is 'W'; allowed: one of 'V'");
}

TEST_CASE("what a solver refuses, by name") {
  CHECK(refused(netlist{}) ==
        "netlist is without ground; allowed: a netlist with a branch to the node 'ground'");
  netlist n;
  n.emf("V", 1_V, "in", "low");
  n.add("R", 1_kOhm, "in", "low");
  CHECK(refused(n) == "netlist is without ground; allowed: a netlist with a branch to the node 'ground'");
  n.add("tie", 1_kOhm, "low", "ground");
  CHECK(refused(n) == "no error");

  // A node that hangs free: alone behind an open, in an island, at a buffer's input, on a current source.
  const std::string free = "' is hanging free; allowed: a path to ground through parts that conduct";
  const auto with = [&](auto change) {
    netlist more = n;
    change(more);
    return refused(more);
  };
  using net = netlist&;
  CHECK(with([](net m) { m.add("X", open_circuit(), "far", "in"); }) == "node 'far" + free);
  CHECK(with([](net m) { m.add("X", 0_F, "far", "in"); }) == "node 'far" + free);
  CHECK(with([](net m) {
          m.add("X", 1_kOhm, "one", "two");
          m.emf("Y", 1_V, "one", "two");
        }) == "node 'one" + free);
  CHECK(with([](net m) { m.buffer("X", 1, {"far", "ground"}, {"out", "ground"}); }) == "node 'far" + free);
  CHECK(with([](net m) { m.current_source("X", ampere(1), "far", "in"); }) == "node 'far" + free);
  CHECK(with([](net m) { // an isolated winding
          m.add("L1", 1_H, "in", "ground");
          m.add("L2", 1_H, "s", "t");
          m.add("R2", 1_kOhm, "s", "t");
          m.couple("K", 0.5, "L1", "L2");
        }) == "node 's" + free);
  // One end at ground and the other open is a voltage like any other.
  CHECK(with([](net m) { m.add("X", 1_kOhm, "far", "in"); }) == "no error");

  // Loops of ideal voltages.
  const std::string loop = "netlist is singular: ideal voltages in a loop; give one of them a resistance: ";
  CHECK(with([](net m) { m.emf("W", 1_V, "in", "low"); }) == loop + "'W', 'V'");
  CHECK(with([](net m) { m.add("wire", short_circuit(), "low", "in"); }) == loop + "'V', 'wire'");
  CHECK(with([](net m) {
          m.emf("W", 1_V, "in", "x");
          m.add("wire", 0_H, "x", "y");
          m.buffer("A", 2, {"in", "ground"}, {"y", "low"});
        }) == loop + "'A', 'V', 'W', 'wire'");
  // What only the numbers tell: a follower that holds its own input, two coils that are one.
  const std::string node = "netlist is singular: no single answer for the voltage of node ";
  CHECK(with([](net m) { // the resistor sees the same voltage at both ends, whatever that is
          m.buffer("A", 1, {"p", "ground"}, {"q", "ground"});
          m.add("X", 1_kOhm, "p", "q");
        }) == node + "'p'");
  CHECK(with([](net m) {
          m.add("L1", 2_H, "in", "ground");
          m.add("L2", 2_H, "in", "ground");
          m.couple("K", 1, "L1", "L2");
        }) == "netlist is singular: no single answer for the current of 'L1', 'L2'");
  // Equal ideal EMFs still leave their currents open.
  try {
    netlist m = n;
    m.emf("W", 1_V, "in", "low");
    netlist_solver{m};
    CHECK(false);
  } catch (const singular_netlist& error) {
    CHECK(error.names() == std::vector<std::string>{"W", "V"});
  }
}
