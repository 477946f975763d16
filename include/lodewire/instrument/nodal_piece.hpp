// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/circuit/program.hpp>

namespace lodewire::detail {

/// A program between two nodes: a pickup, a part, a leg of a control, all that follows.
struct nodal_piece {
  std::string name;
  circuit program; ///< a source or, without EMFs, a one-port
  std::string hot, cold;
};

/// Flux that the main inductances of two pieces share, each by the number of its inductor in that piece.
struct nodal_coupling {
  std::string name;
  std::size_t piece[2] = {0, 0}, inductor[2] = {1, 1};
  double coupling = 0;
};

/// How many primitives an instruction becomes in a netlist.
[[nodiscard]] constexpr std::size_t part_count(opcode op) noexcept {
  switch (op) {
  case opcode::join_series:
  case opcode::join_parallel:
  case opcode::reverse:
  case opcode::emf_filter:
  case opcode::terminals: return 0;
  case opcode::coil_pair: return 3;
  default: return 1;
  }
}

/// A wiring by nodes taken apart.
struct nodal_pieces {
  std::vector<nodal_piece> pieces; ///< the last one is what follows the wiring, from a pair of terminals on
  std::vector<nodal_coupling> couplings;
  std::vector<std::string> sections; ///< names of ranges that are a control's two legs, upper and lower
  std::string out;                   ///< the node at those terminals
  std::string path;                  ///< of the wiring's branches, for complaints
};

/// Name of the node that everything ends on.
inline constexpr std::string_view jack_node = "jack";

} // namespace lodewire::detail
