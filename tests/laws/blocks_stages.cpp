// SPDX-License-Identifier: BSL-1.0
// Laws of stages and loads, in blocks of frequencies.
#include <lodewire/circuit/response.hpp>

#include "laws_of_stages.hpp"
#include "way_block.hpp"

using namespace laws;

namespace {

/// What a stage presents at its input, with what rounding may do to the two probes.
measured load_of(const stage& st, frequency f) {
  circuit probe;
  emit(probe, opcode::emf, {1.0});
  emit(probe, opcode::terminals, {}, 0);
  append(probe, st.as_circuit());
  bounded seen[2];
  for (const bool as_current : {false, true}) {
    workspace<bounded_system> room(probe.code);
    machine<bounded_system, double> m(bounded_system({0, 2 * std::numbers::pi * f.value()}, false),
                                      probe.values.data(), room);
    m.probe(0, as_current);
    run(probe.code, m);
    seen[as_current] = m.probed();
  }
  const complex value = input_impedance(st, f).value();
  const double size = std::hypot(seen[1].z.re, seen[1].z.im);
  if (!(size > 0)) return {0, 1e300}; // it presents nothing
  return {value, 2 * rounding * (scale::ohm * seen[0].error + std::abs(value) * seen[1].error) / size +
                     8 * rounding * std::abs(value)};
}

} // namespace

TEST_CASE("formulas of stages") { test_laws_of_stages(in_blocks, formulas_of_stages, 1); }
TEST_CASE("distribution of a load") { test_distribution(in_blocks); }
TEST_CASE("ways through") { test_ways_through(in_blocks); }
TEST_CASE("what a stage presents") {
  // A source of impedance z gives it e·Z_in/(z + Z_in), and it passes a fixed part of that on: H·(z + Z_in)
  // is the same for every z. A stage that leaves its input open is left out.
  verdict v("what a stage presents");
  const draw first(0), second(1);
  for (const drawn_stage& st : first.stages)
    for (const complex s : on_axis) {
      const frequency f = ways::hertz(s.imag() / (2 * std::numbers::pi));
      const measured z_in = load_of(st.what, f);
      if (!(z_in.off < 1e290)) continue;
      way here = in_blocks;
      here.points = {&s, 1};
      for (const drawn& a : first.one_ports)
        for (const drawn& b : second.one_ports) {
          v.about(st.name + " behind " + a.name + ", " + b.name);
          const auto product = [&](const circuit& z) {
            return here(behind(emf_behind(z), st.what)).response[0][0] * (here(z).impedance[0] + z_in);
          };
          v.same(product(a.what), product(b.what));
        }
    }
  v.report();
}
