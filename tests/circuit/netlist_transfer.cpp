// SPDX-License-Identifier: BSL-1.0
// The one unit that instantiates Eigen's generalised eigenvalue solver: kept small, it takes long to compile.
#include <doctest/doctest.h>

#include <lodewire/circuit/netlist_transfer.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"
#include "../draws.hpp"
#include "netlist_agreement.hpp"

using namespace lodewire;
using namespace lodewire::literals;

TEST_CASE("trees of up to 40 reactive parts; where the solver gives up, iteration takes its place") {
  for (const std::size_t reactive : {5UL, 12UL, 20UL, 30UL, 40UL}) {
    const auto t =
        agreement::over_random_trees(reactive, check::draws(reactive > 20 ? 8 : 30), qz_eigenvalues{});
    MESSAGE(reactive << " reactive parts: netlist " << t.worst << ", tree " << t.worst_tree << ", iterated "
                     << t.iterated << " of " << t.compared);
    CHECK(t.worst <= agreement::bound(reactive));
    CHECK(t.iterated * 2 <= t.compared); // the fallback is the exception
  }
}

TEST_CASE("netlists of everything at once: each function as the direct solution has it") {
  const auto t = agreement::over_random_netlists(1, check::draws(150), qz_eigenvalues{});
  MESSAGE(t.compared << " functions: worst " << t.worst << ", misfit " << t.worst_misfit << ", iterated "
                     << t.iterated);
  CHECK(t.worst <= 1e-6);
  CHECK(t.iterated * 10 <= t.compared);
  // Two and three zeros at zero (g++'s netlists): rounding drowns the innermost circle; eigenvalues that are zero come out
  // as 3e-7.
  for (const std::uint64_t seed : {118U, 244U})
    CHECK(agreement::over_random_netlists(seed, 1, qz_eigenvalues{}).worst <= 1e-6);
}

TEST_CASE("a zero on one of two equal poles, which are known to half the digits, is cancelled") {
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("R1", 10_kOhm, "in", "a");
  n.add("C1", 10_nF, "a", "ground");
  n.buffer("A1", 1, {"a", "ground"}, {"b", "ground"});
  n.add("R2", 10_kOhm, "b", "c");
  n.add("C2", 10_nF, "c", "ground");
  n.buffer("A2", 1, {"c", "ground"}, {"d", "ground"});
  n.add("lead", parallel(10_kOhm, 10_nF), "d", "out"); // (s + 1e4)/(s + 2e4)
  n.add("R4", 10_kOhm, "out", "ground");
  const netlist_response h = exact_response(n, n.source("V"), n.node("out"));
  CHECK(h.roots.cancelled == 1);
  CHECK(h.roots.zeros.empty());
  REQUIRE(h.roots.poles.size() == 2);
  CHECK(check::near(h.roots.poles[0], -1e4, 1e-7));
  CHECK(check::near(h.roots.poles[1], -2e4, 1e-12));
}

TEST_CASE("a root that is nothing but rounding of the determinant is left out") {
  // This tree's numerator is of degree 12; its determinant rounds to one of degree 13 with a root at 1e11/s or more.
  netlist n;
  n.pour("rig", ways::circuit_maker(15, {})(20), "hot", "ground");
  const netlist_response r = exact_response(n, netlist_source{0}, n.node("hot"));
  CHECK(r.roots.zeros.size() == 12);
  CHECK(r.roots.poles.size() == 20);
  CHECK(std::abs(r.roots.zeros.back()) < 1e6);
}

TEST_CASE("a bridge, which no tree has, against its direct solution; both ways to the eigenvalues") {
  netlist n;
  n.emf("V", 1_V, "in", "ground");
  n.add("neck", series(7_kOhm, 2.5_H), "in", "a");
  n.add("C1", 120_pF, "a", "ground");
  n.add("bridge", series(8_kOhm, 3_H), "in", "b");
  n.add("C2", 90_pF, "b", "ground");
  n.couple("flux", -0.2, "neck", "bridge");
  n.add("across", series(47_kOhm, 1_nF), "a", "b");
  n.add("R1", 250_kOhm, "a", "out");
  n.add("R2", 100_kOhm, "b", "out");
  n.add("load", parallel(1_MOhm, 600_pF), "out", "ground");
  const netlist_response by_qz = exact_response(n, n.source("V"), n.node("out"));
  const netlist_response by_iteration =
      exact_response(n, n.source("V"), n.node("out"), netlist_ground, agreement::gives_up{});
  CHECK(!by_qz.iterated);
  CHECK(by_iteration.iterated);
  CHECK(by_qz.roots.poles.size() == 6);
  REQUIRE(by_qz.roots.poles.size() == by_iteration.roots.poles.size());
  REQUIRE(by_qz.roots.zeros.size() == by_iteration.roots.zeros.size());
  for (std::size_t k = 0; k < by_qz.roots.poles.size(); ++k) // a pair may come in either order
    CHECK(std::abs(std::abs(by_qz.roots.poles[k]) - std::abs(by_iteration.roots.poles[k])) <=
          1e-12 * std::abs(by_qz.roots.poles[k]));
  netlist_solver solver(n);
  auto room = solver.make_workspace();
  const transfer_function z = exact_impedance(n, n.node("a"), n.node("b")).function;
  for (const double f : {20.0, 440.0, 3e3, 2e4}) {
    REQUIRE(solver.solve({0, 2 * std::numbers::pi * f}, room));
    const auto h = solver.transfer(room, n.source("V"), n.node("out"));
    CHECK(std::abs(by_qz.function(ways::hertz(f)) - h) <= 1e-12);
    const auto seen = solver.impedance(room, n.node("a"), n.node("b"));
    CHECK(std::abs(z(ways::hertz(f)) - seen) <= 1e-12 * std::abs(seen));
  }
}
