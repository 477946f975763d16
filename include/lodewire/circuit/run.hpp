// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <span>

#include <lodewire/circuit/program.hpp>

namespace lodewire {

/// Reads a program to a machine, one call an instruction. Every reader of a circuit is such a machine: the
/// homogeneous one that computes it, the netlist, a printed schematic. Cost: a jump an instruction.
template <class Machine>
constexpr void run(std::span<const instruction> code, Machine& m) noexcept(noexcept(m.reverse())) {
  for (const instruction i : code) {
    switch (i.op) {
    case opcode::emf: m.emf(i.slot); break;
    case opcode::current_source: m.current_source(i.slot); break;
    case opcode::resistor: m.resistor(i.slot); break;
    case opcode::inductor: m.inductor(i.slot); break;
    case opcode::capacitor: m.capacitor(i.slot); break;
    case opcode::power_law: m.power_law(i.slot); break;
    case opcode::series_r: m.series_r(i.slot); break;
    case opcode::series_l: m.series_l(i.slot); break;
    case opcode::series_c: m.series_c(i.slot); break;
    case opcode::shunt_r: m.shunt_r(i.slot); break;
    case opcode::shunt_l: m.shunt_l(i.slot); break;
    case opcode::shunt_c: m.shunt_c(i.slot); break;
    case opcode::join_series: m.join_series(); break;
    case opcode::join_parallel: m.join_parallel(); break;
    case opcode::reverse: m.reverse(); break;
    case opcode::emf_filter: m.emf_filter(i.slot, i.mode); break;
    case opcode::buffer: m.buffer(i.slot); break;
    case opcode::chain: m.chain(i.slot); break;
    case opcode::coil_pair: m.coil_pair(i.slot, static_cast<pair_output>(i.mode)); break;
    case opcode::terminals: m.terminals(i.mode); break;
    }
  }
}

} // namespace lodewire
