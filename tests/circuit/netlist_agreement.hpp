// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <optional>
#include <vector>

#include <lodewire/circuit/netlist_transfer.hpp>

#include "random_circuit.hpp"
#include "random_netlist.hpp"

/// Exact transfer functions of poured trees beside the trees, for any eigenvalue solver.
namespace agreement {

/// An eigenvalue solver that does not converge.
struct gives_up {
  std::optional<std::vector<std::complex<double>>> operator()(const lodewire::detail::netlist_pencil&) const {
    return std::nullopt;
  }
};

struct tally {
  double worst = 0; ///< of the netlist's function from the tree evaluated directly, of the largest response
  double worst_tree = 0;   ///< of the tree's own polynomial
  double worst_misfit = 0; ///< as the responses state it
  int compared = 0, iterated = 0;
};

/// What a degree allows: a function's coefficients lose digits with its degree, tree or netlist (transfer_function.hpp).
inline double bound(std::size_t reactive) { return reactive <= 12 ? 1e-11 : reactive <= 30 ? 1e-10 : 1e-9; }

template <class Eigenvalues>
tally over_random_trees(std::size_t reactive, std::uint64_t seeds, const Eigenvalues& eigenvalues) {
  using namespace lodewire;
  tally t;
  for (std::uint64_t seed = 1; seed <= seeds; ++seed) {
    const source s = ways::circuit_maker(seed, {})(reactive);
    netlist n;
    n.pour("rig", s, "hot", "ground");
    const netlist_response r =
        exact_response(n, netlist_source{0}, n.node("hot"), netlist_ground, eigenvalues);
    ++t.compared;
    t.iterated += r.iterated ? 1 : 0;
    transfer_function tree;
    try {
      tree = transfer(s, 0);
    } catch (const capacity_exceeded&) { // a tree counts its degree before it cancels
    }
    const double e = n.data().parts[n.data().drives[0].part].value;
    double largest = 0, off = 0, off_tree = 0;
    for (int k = 0; k < 30; ++k) {
      const double hz = 20 * std::pow(1000, k / 29.0);
      const ways::complex direct = ways::at(s.as_circuit(), {0, 2 * std::numbers::pi * hz}).response[0];
      largest = std::max(largest, std::abs(direct));
      off = std::max(off, std::abs(e * r.function(ways::hertz(hz)) - direct));
      if (tree.defined()) off_tree = std::max(off_tree, std::abs(tree(ways::hertz(hz)) - direct));
    }
    t.worst = std::max(t.worst, off / largest);
    t.worst_tree = std::max(t.worst_tree, off_tree / largest);
  }
  return t;
}

/// Two responses and an impedance of each, at 30 frequencies beside the direct solution, relative to the largest of them.
template <class Eigenvalues>
tally over_random_netlists(std::uint64_t first, std::uint64_t count, const Eigenvalues& eigenvalues) {
  using namespace lodewire;
  tally t;
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    const netlist n = netlists::maker(seed, false)();
    const netlist_solver solver(n);
    auto room = solver.make_workspace();
    const netlist_source source{seed % n.data().drives.size()};
    const auto compare = [&](const netlist_response& r, const auto& directly) {
      double largest = 0, off = 0, reach = 0;
      for (int k = 0; k < 30; ++k) {
        const double hz = 20 * std::pow(1000, k / 29.0);
        if (!solver.solve({0, 2 * std::numbers::pi * hz}, room)) continue;
        const ways::complex direct = directly(n.node("n1"), true);
        for (const auto& node : n.nodes())
          reach = std::max(reach, std::abs(ways::complex(directly(netlist_node{node.at}, false))));
        largest = std::max(largest, std::abs(direct));
        off = std::max(off, std::abs(r.function(ways::hertz(hz)) - direct));
      }
      ++t.compared;
      t.iterated += r.iterated ? 1 : 0;
      // Where nothing arrives, what the direct solution says is a rounding of what is elsewhere: 1e-6 of this is 1e-12 of it.
      t.worst = std::max(t.worst, off / (r.function.numerator().empty() ? 1e-6 * reach : largest));
      t.worst_misfit = std::max(t.worst_misfit, r.misfit);
    };
    for (const char* name : {"n1", "n3"})
      compare(exact_response(n, source, n.node(name), netlist_ground, eigenvalues),
              [&](netlist_node at, bool wanted) {
                return solver.transfer(room, source, wanted ? n.node(name) : at);
              });
    compare(exact_impedance(n, n.node("n2"), n.node("n4"), eigenvalues),
            [&](netlist_node, bool) { return solver.impedance(room, n.node("n2"), n.node("n4")); });
  }
  return t;
}

} // namespace agreement
