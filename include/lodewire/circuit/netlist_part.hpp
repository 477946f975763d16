// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

/// What a `netlist` is made of: handles for its users, primitives for those that read it (the expansion of a program,
/// the reduction).
namespace lodewire {

/// Handles of one netlist: `netlist::node`, `branch` and `source` give them by name. Cost: an integer each.
enum class netlist_node : std::size_t {};
enum class netlist_branch : std::size_t {};
enum class netlist_source : std::size_t {};

/// The node named "ground"; every netlist has it.
inline constexpr netlist_node netlist_ground{0};

/// The two nodes of a port, by name.
struct node_pair {
  std::string_view hot, cold;
};

enum class netlist_kind : std::uint8_t {
  resistor,       ///< R in Ω; 0 is a short, `open_value` an open
  inductor,       ///< L in H
  capacitor,      ///< C in F
  power_law,      ///< K·s^α
  emf,            ///< v(hot) - v(cold) = e
  current_source, ///< i out of hot
  buffer,         ///< v(hot) - v(cold) = gain·(v(in hot) - v(in cold))
  two_port,       ///< chain matrix from (in hot, in cold) to (hot, cold)
};

/// One primitive between two nodes; its current runs from hot to cold inside it.
struct netlist_part {
  netlist_kind kind{};
  std::size_t hot = 0, cold = 0;
  double value = 0;                    ///< R, L, C, K, e, i or gain, in coherent SI
  double exponent = 0;                 ///< of a power law
  std::size_t in_hot = 0, in_cold = 0; ///< of a buffer or a two-port
  std::size_t index = 0;               ///< of its source, or of its chain matrix
  [[nodiscard]] bool operator==(const netlist_part&) const = default;
};

/// A mutual inductance M in H between the currents of two primitives.
struct netlist_coupling {
  std::size_t part[2] = {0, 0};
  double mutual = 0;
  [[nodiscard]] bool operator==(const netlist_coupling&) const = default;
};

/// An EMF or a current source; what it drives is over Π(1 + a1·s + a2·s²).
struct netlist_drive {
  std::string name;
  std::size_t part = 0;
  std::vector<std::array<double, 2>> filters;
  [[nodiscard]] bool operator==(const netlist_drive&) const = default;
};

/// The primitives without the names of nodes and branches. Node 0 is ground.
struct netlist_data {
  std::size_t nodes = 1;
  std::vector<netlist_part> parts;
  std::vector<netlist_coupling> couplings;
  std::vector<netlist_drive> drives;
  std::vector<std::array<double, 15>>
      matrices; ///< A, B, C, D, δ, each a0, a1, a2, as `opcode::chain` has them
  [[nodiscard]] bool operator==(const netlist_data&) const = default;
};

namespace detail {

/// No node, no edge, no unknown.
inline constexpr std::size_t nowhere = static_cast<std::size_t>(-1);

} // namespace detail

} // namespace lodewire
