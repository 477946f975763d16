// SPDX-License-Identifier: BSL-1.0
// A netlist that is prepared is solved without allocation.
#include <complex>

#include <doctest/doctest.h>

#include <lodewire/circuit/netlist_solver.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../counted_new.hpp"
#include "random_circuit.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using ways::complex;

TEST_CASE("the counter counts") {
  const void* volatile seen = nullptr; // or a compiler may leave the allocation out
  CHECK(allocations_of([&] {
          const std::vector<double> v(3);
          seen = v.data();
        }) == 1);
  netlist n;
  n.pour("rig", ways::circuit_maker(5, {})(9), "hot", "ground");
  CHECK(allocations_of([&] { (void)netlist_solver(n).make_workspace(); }) > 10);
}

TEST_CASE("solving, and every result, allocates nothing and cannot throw") {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    netlist n;
    n.pour("rig", ways::circuit_maker(seed, {.power_laws = seed % 2 == 0})(20), "hot", "ground");
    n.add("wire", short_circuit(), "hot", "jack");
    n.add("leak", series(1_MOhm, 100_pF), "jack", "ground");
    n.two_port("T", {.a = {1, 1e-5, 1e-10}, .b = {1e3, 0, 0}}, {"jack", "ground"}, {"far", "ground"});
    n.add("load", 1_MOhm, "far", "ground");
    const netlist_solver solver(n);
    netlist_workspace room = solver.make_workspace();
    const netlist_node hot = n.node("hot"), far = n.node("far");
    const auto branches = n.branches().size();
    const auto sources = n.data().drives.size();
    const complex start = 1;
    static_assert(
        noexcept(solver.solve(start, room))&& noexcept(solver.voltage(room, hot))&& noexcept(solver.current(
            room,
            netlist_branch{}))&& noexcept(solver.impedance(room,
                                                           hot))&& noexcept(solver.transfer(room,
                                                                                            netlist_source{},
                                                                                            hot)));
    complex sum = 0;
    bool ok = true;
    CHECK(allocations_of([&] {
            for (int k = 0; k < 50; ++k) {
              ok = solver.solve(complex(0, 100.0 * std::exp(0.15 * k)), room) && ok;
              sum += solver.voltage(room, hot, far) + solver.impedance(room, hot, far);
              for (std::size_t b = 0; b < branches; ++b) sum += solver.current(room, netlist_branch{b});
              for (std::size_t e = 0; e < sources; ++e) sum += solver.transfer(room, netlist_source{e}, far);
            }
            (void)solver.solve(complex(0, 0), room); // also where there may be no answer
          }) == 0);
    CHECK(ok);
    CHECK(ways::is_finite(sum));
  }
}
