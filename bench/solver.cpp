// SPDX-License-Identifier: BSL-1.0
// The circuits' curves by the general-purpose circuit solver: its ac analysis alone, at the same 1024 points.
#include <charconv>

#include <ngspice/sharedspice.h>

#include <lodewire/circuit/evaluator.hpp>

#include "agreement.hpp"
#include "instruments.hpp"
#include "spice.hpp"

namespace {

using namespace bench;

/// Lines of a deck: a letter and a number for a name, the nodes, the value.
struct deck {
  std::vector<std::string> lines{"a circuit"};
  int count = 0;

  void add(char kind, const std::string& a, const std::string& b, double value) {
    char digits[32];
    char* const end = std::to_chars(std::begin(digits), std::end(digits), value).ptr;
    lines.push_back(kind + std::to_string(++count) + " " + a + " " + b + (kind == 'v' ? " dc 0 ac " : " ") +
                    std::string(digits, end));
  }
};

template <class Shape>
void write(deck& d, const circuit_values& v) {
  const std::string wiper = Shape::master ? "wiper" : "out";
  for (std::size_t k = 0; k < Shape::pickups; ++k) {
    const pickup_values& p = v.pickups[k];
    const auto node = [k](const char* name) { return name + std::to_string(k); };
    std::string low = "0";
    for (std::size_t j = 0; j < Shape::coils; ++j) {
      const coil_values& c = p.coils[j];
      const auto inner = [&](const char* name) { return node(name) + "_" + std::to_string(j); };
      const std::string hot = j + 1 < Shape::coils ? node("middle") : node("pickup");
      const std::string main = Shape::eddy ? inner("c") : hot;
      d.add('v', inner("a"), low, 1);
      d.add('r', inner("a"), inner("b"), c.r);
      d.add('l', inner("b"), main, c.l);
      if (Shape::eddy) d.add('l', main, hot, c.eddy_l), d.add('r', main, hot, c.eddy_r);
      d.add('c', hot, low, c.c);
      low = hot;
    }
    if (Shape::lead) d.add('c', node("pickup"), "0", p.lead_c);
    d.add('r', node("pickup"), node("tone"), p.tone_r);
    d.add('c', node("tone"), "0", p.tone_c);
    d.add('r', node("pickup"), wiper, p.upper);
    d.add('c', node("pickup"), wiper, p.bypass);
    d.add('r', wiper, "0", p.lower);
  }
  d.add('c', wiper, "0", v.cable_c);
  if (Shape::master) {
    d.add('r', wiper, "master", v.master_r);
    d.add('c', "master", "0", v.master_c);
    d.add('c', wiper, "out", v.coupling_c);
  }
  d.add('r', "out", "0", v.input_r);
  if (Shape::input_c) d.add('c', "out", "0", v.input_c);
}

/// Only the output is kept: no other voltage is in the task.
spice solver(which circuit) {
  deck d;
  with_shape(circuit, [&]<class Shape>(Shape) { write<Shape>(d, typical_values()); });
  for (const char* line : {".save v(out)", ".ac dec 341 20 20000", ".end"}) d.lines.push_back(line);
  return spice(d.lines);
}

const at_start rows([] {
  for (const which circuit : every_circuit) {
    const std::string name = std::string("ngspice/") + name_of[static_cast<int>(circuit)];
    benchmark::RegisterBenchmark(name.c_str(), [circuit](benchmark::State& s) { solver(circuit).time(s); });
    agreements().push_back(
        {name, 1e-9, [circuit] {
           spice solve = solver(circuit);
           solve.run();
           const lodewire::source rig = instrument(circuit);
           std::vector<std::complex<double>> ours(points);
           lodewire::evaluator(rig.as_circuit()).responses(rig.as_circuit(), grid(), {}, ours);
           const auto out = solve.output(points);
           solve.forget();
           return largest_difference(out, ours);
         }});
  }
});

} // namespace
