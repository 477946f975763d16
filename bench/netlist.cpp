// SPDX-License-Identifier: BSL-1.0
// A netlist of 12 nodes that is no tree: two pickups whose coils couple, their controls, a wire on the wrong lug.
#include <ngspice/sharedspice.h>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/circuit/netlist.hpp>
#include <lodewire/circuit/netlist_solver.hpp>
#include <lodewire/circuit/netlist_transfer.hpp>
#include <lodewire/quantity/literals.hpp>

#include "agreement.hpp"
#include "spice.hpp"

namespace {

using namespace bench;
using namespace lodewire;
using namespace lodewire::literals;

constexpr std::size_t points = 1000; ///< 333 in a decade

struct part {
  const char* name; ///< the first letter says what it is, as in a deck
  const char* hot;
  const char* cold;
  double value;
};
constexpr double coupling = 0.03;
constexpr part parts[] = {
    {"v1", "1", "0", 1},        {"r1", "1", "2", 7.2e3},
    {"l1", "2", "3", 3.4},      {"c1", "3", "0", 130e-12},
    {"r2", "3", "4", 250e3},                            // tone
    {"c2", "4", "0", 22e-9},    {"r3", "3", "5", 40e3}, // volume with a bypass
    {"c3", "3", "5", 680e-12},  {"r4", "5", "0", 210e3},
    {"r5", "6", "0", 8.1e3}, // the second pickup, at rest
    {"l2", "6", "7", 4.2},      {"c4", "7", "0", 110e-12},
    {"r6", "7", "8", 250e3},    {"c5", "8", "0", 22e-9},
    {"r7", "7", "9", 90e3},     {"c6", "7", "9", 470e-12},
    {"r8", "9", "0", 160e3},    {"r9", "5", "10", 1},     // switch contacts
    {"r10", "9", "10", 1},      {"r11", "4", "9", 3.3e3}, // the wrong wire
    {"r12", "10", "11", 12},                              // cable
    {"c7", "11", "0", 700e-12}, {"c8", "11", "out", 22e-9},
    {"r13", "out", "0", 1e6},   {"c9", "out", "0", 90e-12},
};

netlist circuit_of_parts() {
  netlist n;
  const auto node = [](const char* name) { return std::string_view(name) == "0" ? "ground" : name; };
  for (const part& p : parts) {
    const auto add = [&](const one_port& z) { n.add(p.name, z, node(p.hot), node(p.cold)); };
    if (*p.name == 'v') n.emf(p.name, voltage::from_value(p.value), node(p.hot), node(p.cold));
    if (*p.name == 'r') add(resistance::from_value(p.value));
    if (*p.name == 'l') add(inductance::from_value(p.value));
    if (*p.name == 'c') add(capacitance::from_value(p.value));
  }
  n.couple("k1", coupling, "l1", "l2");
  return n;
}

spice solver() {
  std::vector<std::string> lines{"a circuit"};
  for (const part& p : parts)
    lines.push_back(std::string(p.name) + " " + p.hot + " " + p.cold + (*p.name == 'v' ? " dc 0 ac " : " ") +
                    plain_number(p.value, 17));
  lines.push_back("k1 l1 l2 " + plain_number(coupling, 17));
  for (const char* line : {".save v(out)", ".ac dec 333 20 20000", ".end"}) lines.push_back(line);
  return spice(lines);
}

const std::vector<double>& hertz() {
  static const auto hz = log_grid(20_Hz, 20_kHz, points);
  return hz;
}

transfer_function exact() {
  const netlist n = circuit_of_parts();
  return exact_response(n, n.source("v1"), n.node("out")).function;
}

struct by_points {
  netlist net = circuit_of_parts();
  netlist_solver solve{net};
  netlist_workspace room = solve.make_workspace();
  netlist_node out = net.node("out");
  std::vector<std::complex<double>> curve = std::vector<std::complex<double>>(points);

  void operator()() {
    for (std::size_t i = 0; i < points; ++i) {
      const bool solved = solve.solve({0, 2 * std::numbers::pi * hertz()[i]}, room);
      curve[i] = solved ? solve.voltage(room, out) : std::complex<double>(HUGE_VAL);
    }
  }
};

void time_function(benchmark::State& state) {
  const transfer_function h = exact();
  std::vector<double> re(points), im(points);
  for (auto _ : state) {
    h.evaluate(hertz(), re, im);
    benchmark::DoNotOptimize(re.data());
    benchmark::DoNotOptimize(im.data());
    benchmark::ClobberMemory();
  }
}

void time_points(benchmark::State& state) {
  by_points run;
  for (auto _ : state) {
    run();
    benchmark::DoNotOptimize(run.curve.data());
    benchmark::ClobberMemory();
  }
}

void time_compose(benchmark::State& state) {
  for (auto _ : state) {
    transfer_function h = exact();
    benchmark::DoNotOptimize(&h);
  }
}

const at_start rows([] {
  using benchmark::RegisterBenchmark;
  RegisterBenchmark("netlist_function/twelve_nodes", time_function);
  RegisterBenchmark("netlist_points/twelve_nodes", time_points);
  RegisterBenchmark("netlist_compose/twelve_nodes", time_compose);
  RegisterBenchmark("ngspice/twelve_nodes", [](benchmark::State& s) { solver().time(s); });

  const auto against_solver = [](std::span<const std::complex<double>> ours) {
    spice solve = solver();
    solve.run();
    const auto out = solve.output(points);
    solve.forget();
    return largest_difference(ours, out);
  };
  agreements().push_back({"netlist_points/twelve_nodes", 1e-9, [=] {
                            by_points run;
                            run();
                            return against_solver(run.curve);
                          }});
  agreements().push_back({"netlist_function/twelve_nodes", 1e-9, [=] {
                            std::vector<std::complex<double>> out(points);
                            exact().evaluate(hertz(), out);
                            return against_solver(out);
                          }});
});

} // namespace
