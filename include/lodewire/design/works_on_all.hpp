// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include <lodewire/instrument/roles.hpp>

/// Which controls work on everything that a position sounds.
namespace lodewire::detail {

/// What treble is judged at.
inline constexpr frequency treble_frequency = frequency::from_value(5000);

/// The nodes that are reached from the pickups, through branches that `passes` says yes to, without going over ground or
/// the node `without`.
template <class Passes>
[[nodiscard]] std::vector<std::string> nodes_from_pickups(const std::vector<wiring_branch>& branches,
                                                          const std::string& without, const Passes& passes) {
  std::vector<std::string> reached;
  const auto reach = [&](const std::string& node) {
    if (node.empty() || node == ground_node || node == without ||
        std::find(reached.begin(), reached.end(), node) != reached.end())
      return;
    reached.push_back(node);
  };
  for (const wiring_branch& b : branches)
    if (b.is == wiring_branch::kind::pickup)
      for (const std::string& node : b.between) reach(node);
  for (std::size_t k = 0; k < reached.size(); ++k)
    for (const wiring_branch& b : branches) {
      if (b.is == wiring_branch::kind::coupled || !passes(b)) continue;
      const std::string from = reached[k]; // the list may move
      if (std::find(b.between.begin(), b.between.end(), from) != b.between.end())
        for (const std::string& node : b.between) reach(node);
    }
  return reached;
}

/// In a wiring by nodes: a divider or a rheostat that every way from the pickups to the output leads through, or a
/// network to ground from a node that every way leads over.
[[nodiscard]] inline bool works_on_all(const std::vector<wiring_branch>& branches, const std::string& out,
                                       const control& c) {
  const auto cuts = [&](const std::string& without, const auto& passes) {
    if (without == out) return true;
    const auto reached = nodes_from_pickups(branches, without, passes);
    return std::find(reached.begin(), reached.end(), out) == reached.end();
  };
  const auto any = [](const wiring_branch&) { return true; };
  for (const wiring_branch& b : branches) {
    bool here = is_branch_of(b, c);
    if (b.is == wiring_branch::kind::part)
      for_each_network_in(b.part, [&](const network& n) { here = here || is_rheostat_of(n, c); });
    if (!here) continue;
    if (cuts({}, [&](const wiring_branch& other) { return &other != &b; })) return true;
    // To ground: with two nodes, the other one is the one that counts.
    if (b.between.size() != 2 && nodes_at_lugs(b) != 2) continue;
    for (const std::string& node : b.between)
      if (!node.empty() && node != ground_node &&
          std::find(b.between.begin(), b.between.end(), ground_node) != b.between.end() && cuts(node, any))
        return true;
  }
  return false;
}

/// True where a control works on everything that a position sounds: a volume control of one of several pickups does not,
/// and is not to be judged by the level of all.
[[nodiscard]] inline bool works_on_all(const instrument& of, const wiring& w, const control& c) {
  bool here = w.is == wiring::kind::nodes && works_on_all(w.branches, w.out, c);
  for (const wiring_step& step : w.then) {
    here = here || is_volume_of(step, c);
    for_each_network(step, [&](const network& n) { here = here || is_rheostat_of(n, c); });
  }
  if (here || w.of.size() > 1) return here;
  return w.is == wiring::kind::circuit &&
         works_on_all(of, of.circuits[find_named(of.circuits, w.name, "circuit")].wired, c);
}
[[nodiscard]] inline bool works_on_all(const instrument& of, std::size_t p, const control& c) {
  wiring all = of.positions[p].wired;
  all.then.insert(all.then.end(), of.output.begin(), of.output.end());
  return works_on_all(of, all, c);
}

} // namespace lodewire::detail
