// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>

#include <lodewire/circuit/netlist_solver.hpp>

#include "answers.hpp"
#include "tracked.hpp"

namespace oracle {

/// The program poured into a nodal netlist and solved there in numbers of kind Real. rounding: where to put, for each
/// value, the bound of its rounding error that `tracked` numbers carry. Refused: an output that hangs free, an ideal
/// output that is shorted.
template <class Real>
[[nodiscard]] answers by_netlist(const lodewire::source& s, std::span<const double> hz,
                                 std::vector<double>* rounding = nullptr,
                                 const Real& two_pi = Real(2 * std::numbers::pi)) {
  lodewire::circuit c = s.as_circuit();
  for (std::size_t k = 0; k < c.emfs.size(); ++k) c.emfs[k] = std::to_string(k);
  std::vector<double> e;
  for (const lodewire::instruction i : c.code)
    for (std::size_t k = 0; k < lodewire::emf_count(i.op); ++k)
      e.push_back(c.values[i.slot + k + (i.op == lodewire::opcode::coil_pair ? 2U : 0U)]);

  answers a;
  const auto put = [&](const auto& z, double weight) {
    if constexpr (requires { z.re; }) {
      a.values.push_back(weight * complex(static_cast<double>(z.re), static_cast<double>(z.im)));
      if constexpr (std::is_same_v<Real, tracked>)
        if (rounding != nullptr)
          rounding->push_back(0x1p-53 * std::abs(weight) * std::hypot(z.re.error, z.im.error));
    } else {
      a.values.push_back(weight * complex(z));
    }
  };
  try {
    lodewire::netlist net;
    net.pour("tree", lodewire::source(c), "out", "ground");
    const lodewire::basic_netlist_solver<Real> solver(net);
    auto room = solver.make_workspace();
    const lodewire::netlist_node out = net.node("out");
    for (const double f : hz) {
      const Real w = two_pi * static_cast<Real>(f);
      if (!solver.solve(lodewire::split_complex<Real>(Real(0), w), room))
        throw std::runtime_error("no single answer");
      for (std::size_t k = 0; k < e.size(); ++k)
        put(solver.transfer(room, net.source("tree." + std::to_string(k)), out), e[k]);
      put(solver.voltage(room, out), 1);
      put(solver.impedance(room, out), 1);
    }
  } catch (const lodewire::singular_netlist& error) {
    a.conflict = true;
    // An ideal output that is shorted, though nothing comes out of it: the tree says 0 V.
    for (const std::string& name : error.names()) a.refused = a.refused || name.starts_with("tree.A");
  } catch (const lodewire::invalid_value&) {
    a.refused = true;
  }
  return a;
}

} // namespace oracle
