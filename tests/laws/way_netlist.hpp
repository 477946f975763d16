// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/netlist_solver.hpp>

#include "../circuit/many_digits.hpp"
#include "reading.hpp"

namespace laws {

/// The values of the EMFs, and currents, in their order.
[[nodiscard]] inline std::vector<double> emf_values(const circuit& c) {
  std::vector<double> values;
  for (const instruction i : c.code)
    for (std::size_t k = 0; k < emf_count(i.op); ++k)
      values.push_back(c.values[i.slot + (i.op == opcode::coil_pair ? 2 + k : 0)]);
  return values;
}

/// The circuit as a netlist, solved for its node voltages with 50 digits: elimination loses as many as the
/// parts that meet at a node differ by, which no law is about. So its numbers are exact beside those of a
/// tree.
[[nodiscard]] inline reading read_netlist(const way& by, const circuit& c, double s_times) {
  circuit named = c;
  for (std::size_t k = 0; k < named.emfs.size(); ++k) named.emfs[k] = "e" + std::to_string(k);
  netlist net;
  if (c.emfs.empty()) {
    net.add("all", one_port(c), "out", "ground");
  } else {
    net.pour("all", source(named), "out", "ground");
  }
  const basic_netlist_solver<ways::digits> solver(net);
  auto room = solver.make_workspace();
  const netlist_node out = net.node("out");
  const auto nearest = [](const split_complex<ways::digits>& z) {
    const complex value(static_cast<double>(z.re), static_cast<double>(z.im));
    return measured{value, 2 * rounding * std::abs(value)};
  };
  const std::vector<double> values = emf_values(c);
  reading r;
  r.response.resize(values.size());
  for (const complex p : by.points) {
    const complex s = s_times * p;
    if (!solver.solve(s, room)) r.status = circuit_status::conflicting_voltages;
    r.impedance.push_back(nearest(solver.impedance(room, out)));
    for (std::size_t k = 0; k < values.size(); ++k)
      r.response[k].push_back(exactly(values[k]) *
                              nearest(solver.transfer(room, net.source("all.e" + std::to_string(k)), out)));
  }
  return r;
}

/// Two on the axis, two in the plane.
inline constexpr complex for_netlists[] = {{0, 5}, {0, 2.3e4}, {2e3, 1.3e4}, {40, 0}};
inline constexpr way by_netlist{"by a netlist", for_netlists, true, &read_netlist};

} // namespace laws
