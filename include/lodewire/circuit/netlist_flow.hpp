// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include <lodewire/circuit/netlist_checks.hpp>

namespace lodewire::detail {

/// Some share of a primitive's current: of a two-port, at port 1 or else out of port 2.
struct netlist_flow {
  std::size_t part = 0;
  bool port_1 = false;
  double weight = 0;
};

/// The current that leaves a node into primitives `first` to `last`, as a sum over them.
inline void add_outflow(const netlist_data& data, std::size_t node, std::size_t first, std::size_t last,
                        double weight, std::vector<netlist_flow>& to) {
  for (std::size_t k = first; k < last; ++k) {
    const netlist_part& p = data.parts[k];
    const bool two_port = p.kind == netlist_kind::two_port;
    const int out = (p.hot == node ? 1 : 0) - (p.cold == node ? 1 : 0);
    const int in = two_port ? (p.in_hot == node ? 1 : 0) - (p.in_cold == node ? 1 : 0) : 0;
    if (out != 0) to.push_back({k, false, weight * out});
    if (in != 0) to.push_back({k, true, weight * in});
  }
}

/// The current of a short as a sum over what else hangs on the nodes that shorts join: Kirchhoff. Where shorts form a
/// loop it is the limit for one and the same small resistance in each. Cost: the cube of the number of those nodes.
[[nodiscard]] inline std::vector<netlist_flow> flow_of_short(const netlist_data& data, std::size_t part) {
  merged_sets sets(data.nodes);
  for (std::size_t k = 0; k < data.parts.size(); ++k)
    if (is_short(data.parts[k])) sets.unite(data.parts[k].hot, data.parts[k].cold);
  const std::size_t own = sets.find(data.parts[part].hot);
  std::vector<std::size_t> nodes, place(data.nodes, nowhere);
  for (std::size_t node = 0; node < data.nodes; ++node)
    if (sets.find(node) == own) {
      place[node] = nodes.size();
      nodes.push_back(node);
    }
  // Potentials x for 1 A that enters at its hot end and leaves at its cold end, 1 S in each short; the last node at 0.
  const std::size_t n = nodes.size() - 1;
  std::vector<std::vector<double>> a(n, std::vector<double>(n + 1));
  const auto add = [&](std::size_t row, std::size_t column, double x) {
    if (row < n && (column < n || column == n + 1)) a[row][column < n ? column : n] += x;
  };
  for (const netlist_part& p : data.parts) {
    if (!is_short(p) || place[p.hot] == nowhere) continue;
    const std::size_t i = place[p.hot], j = place[p.cold];
    add(i, i, 1);
    add(j, j, 1);
    add(i, j, -1);
    add(j, i, -1);
  }
  add(place[data.parts[part].hot], n + 1, 1);
  add(place[data.parts[part].cold], n + 1, -1);
  for (std::size_t k = 0; k < n; ++k) { // a Laplacian needs no row exchange
    for (std::size_t r = 0; r < n; ++r) {
      if (r == k) continue;
      const double f = a[r][k] / a[k][k];
      for (std::size_t c = k; c <= n; ++c) a[r][c] -= f * a[k][c];
    }
  }
  std::vector<netlist_flow> flows, all;
  for (std::size_t k = 0; k < n; ++k)
    add_outflow(data, nodes[k], 0, data.parts.size(), -a[k][n] / a[k][k], all);
  for (const netlist_flow& f : all)
    if (!is_short(data.parts[f.part]) && f.weight != 0) flows.push_back(f);
  return flows;
}

/// The current into a branch at its first node.
template <class Branch>
[[nodiscard]] std::vector<netlist_flow> flow_of_branch(const netlist_data& data, const Branch& b) {
  std::vector<netlist_flow> direct, flows;
  add_outflow(data, b.hot, b.first, b.first + b.count, 1, direct);
  for (const netlist_flow& f : direct) {
    if (!is_short(data.parts[f.part])) {
      flows.push_back(f);
      continue;
    }
    for (netlist_flow through : flow_of_short(data, f.part)) {
      through.weight *= f.weight;
      flows.push_back(through);
    }
  }
  return flows;
}

} // namespace lodewire::detail
