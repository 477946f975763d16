// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/circuit/netlist_expansion.hpp>
#include <lodewire/circuit/source.hpp>

namespace lodewire {

/// A circuit by its nodes: for what is no tree (a bridge, coils coupled across branches, a wrong wire on the bench).
/// Every branch has a name and runs between two named nodes; a node is there as soon as it is named, ground is the
/// node "ground". A plain value; `netlist_solver` computes it, `transfer` (netlist_transfer.hpp) gives its exact
/// transfer functions. Currents run into a branch at its first node ('hot') and out of it at its second.
/// Every function that adds throws `invalid_value`, and then adds nothing: a name that is in use or empty, both ends
/// on one node, a value that is no value. Cost: linear in what is added, and a search for the names.
class netlist {
public:
  /// A one-port: a part, or parts in series and parallel. Its inner nodes have no names.
  netlist_branch add(std::string_view name, const one_port& z, std::string_view hot, std::string_view cold) {
    require_free(name);
    require_port(name, hot, cold);
    const std::size_t first = data_.parts.size(), a = node_of(hot), b = node_of(cold);
    detail::netlist_expansion(z.as_circuit(), data_, a, b);
    return enter(name, first, a, b);
  }

  /// An ideal EMF: v(hot) - v(cold) = e. At rest it is a short.
  netlist_branch emf(std::string_view name, voltage e, std::string_view hot, std::string_view cold) {
    require_finite({name, "emf"}, e);
    return add_drive(name, netlist_kind::emf, e.value(), hot, cold);
  }

  /// An ideal current source, which drives its current out of `hot` into the circuit. At rest it is an open.
  netlist_branch current_source(std::string_view name, current i, std::string_view hot,
                                std::string_view cold) {
    require_finite({name, "current"}, i);
    return add_drive(name, netlist_kind::current_source, i.value(), hot, cold);
  }

  /// An ideal amplifier: v(out) = gain·v(in), without input current and output impedance (give it branches for those).
  netlist_branch buffer(std::string_view name, double gain, node_pair in, node_pair out) {
    require_free(name);
    require_finite({name, "gain"}, gain);
    require_port(name, in.hot, in.cold);
    require_port(name, out.hot, out.cold);
    return enter_two_port(name, netlist_kind::buffer, gain, in, out);
  }

  /// A two-port by its chain matrix; its branch current is the one that comes out of port 2, counted inwards.
  netlist_branch two_port(std::string_view name, const chain_matrix& matrix, node_pair in, node_pair out) {
    require_free(name);
    require_port(name, in.hot, in.cold);
    require_port(name, out.hot, out.cold);
    const stage checked = matrix;
    auto& m = data_.matrices.emplace_back();
    std::copy(checked.as_circuit().values.begin(), checked.as_circuit().values.end(), m.begin());
    return enter_two_port(name, netlist_kind::two_port, 0, in, out);
  }

  /// Flux that two coils share: M = k·√(L1·L2), -1 ≤ k ≤ 1, aiding where both currents enter at the hot ends. Each
  /// branch must hold one inductance, beside whatever else (a coil with its resistance).
  void couple(std::string_view name, double k, std::string_view coil1, std::string_view coil2) {
    require_free(name);
    require_within({name, "coupling"}, k, -1.0, 1.0);
    const std::size_t one = inductor_in(name, coil1), two = inductor_in(name, coil2);
    if (one == two)
      throw invalid_value(name, "from " + quoted(coil1) + " to " + quoted(coil2), "two different coils");
    for (const netlist_coupling& c : data_.couplings)
      if (std::minmax(c.part[0], c.part[1]) == std::minmax(one, two))
        throw invalid_value(name,
                            "from " + quoted(coil1) + " to " + quoted(coil2) + ", which are coupled already",
                            "two coils that are not coupled yet");
    coupling_names_.emplace_back(name);
    data_.couplings.push_back({{one, two}, k * std::sqrt(data_.parts[one].value * data_.parts[two].value)});
  }

  /// Low-pass of a source alone: what it drives is over 1 + a1·s + a2·s² (eq. 13), a1 in s, a2 in s².
  void filter(std::string_view source_name, double a1, double a2) {
    const auto at = static_cast<std::size_t>(source(source_name));
    require_finite({source_name, "a1"}, a1);
    require_finite({source_name, "a2"}, a2);
    data_.drives[at].filters.push_back({a1, a2});
  }

  /// Pours a whole tree in, expanded to primitives, its hot end on one node and its cold end on another. It is one
  /// branch by that name, and each primitive one of its own: "name.R1", "name.L1", "name.L2", "name.C1" in the order
  /// of the program (Z: power law, A: buffer, T: two-port), each EMF "name.<EMF>". A terminal pair makes its two
  /// nodes known as "name.<terminals>" and "name.<terminals>.cold", so that a wrong wire can be put there. A name
  /// that comes twice in the program is followed by " 2" and so on.
  netlist_branch pour(std::string_view name, const lodewire::source& s, std::string_view hot,
                      std::string_view cold) {
    require_free(name);
    require_port(name, hot, cold);
    const circuit& c = s.as_circuit();
    const std::size_t first = data_.parts.size(), a = node_of(hot), b = node_of(cold);
    const detail::netlist_expansion poured(c, data_, a, b);
    const netlist_branch whole = enter(name, first, a, b);
    std::size_t count[256] = {};
    for (std::size_t k = first; k < data_.parts.size(); ++k) {
      const netlist_part& p = data_.parts[k];
      std::string own = std::string(name).append(".");
      if (p.kind == netlist_kind::emf || p.kind == netlist_kind::current_source) {
        own = unused(own.append(data_.drives[p.index].name),
                     [this](const std::string& n) { return is_used(n); });
        data_.drives[p.index].name = own;
      } else {
        const char letter = "RLCZ__AT"[static_cast<std::size_t>(p.kind)];
        own += letter;
        own += std::to_string(++count[static_cast<unsigned char>(letter)]);
        own = unused(own, [this](const std::string& n) { return is_used(n); });
      }
      branches_.push_back({own, k, 1, p.hot, p.cold});
    }
    for (std::size_t k = 0; k < c.terminals.size(); ++k) {
      const std::string own = unused(std::string(name).append(".").append(c.terminals[k]),
                                     [this](const auto& n) { return has_node(n) || has_node(n + ".cold"); });
      nodes_.push_back({own, poured.marks()[k].hot, true});
      nodes_.push_back({own + ".cold", poured.marks()[k].cold, true});
    }
    return whole;
  }

  /// Handles by name. Throw `invalid_value` that lists the names that are there.
  [[nodiscard]] netlist_node node(std::string_view name) const {
    return netlist_node{nodes_[find_name("node", names_of(nodes_), name)].at};
  }
  [[nodiscard]] netlist_branch branch(std::string_view name) const {
    return netlist_branch{find_name("branch", names_of(branches_), name)};
  }
  [[nodiscard]] netlist_source source(std::string_view name) const {
    return netlist_source{find_name("source", names_of(data_.drives), name)};
  }

  // -- for the solver --------------------------------------------------------------------------------------
  /// A name of a node, and whether a user gave it or it came with a poured circuit.
  struct named_node {
    std::string name;
    std::size_t at = 0;
    bool poured = false;
    [[nodiscard]] bool operator==(const named_node&) const = default;
  };
  /// A branch: a run of primitives between two nodes.
  struct named_branch {
    std::string name;
    std::size_t first = 0, count = 0;
    std::size_t hot = 0, cold = 0;
    [[nodiscard]] bool operator==(const named_branch&) const = default;
  };
  [[nodiscard]] const netlist_data& data() const noexcept { return data_; }
  [[nodiscard]] const std::vector<named_node>& nodes() const noexcept { return nodes_; }
  [[nodiscard]] const std::vector<named_branch>& branches() const noexcept { return branches_; }
  [[nodiscard]] bool operator==(const netlist&) const = default;

private:
  template <class List>
  [[nodiscard]] static std::vector<std::string> names_of(const List& list) {
    std::vector<std::string> names;
    for (const auto& entry : list) names.push_back(entry.name);
    return names;
  }
  [[nodiscard]] static std::string quoted(std::string_view name) {
    return std::string("'").append(name).append("'");
  }
  template <class Taken>
  [[nodiscard]] static std::string unused(const std::string& name, const Taken& taken) {
    std::string own = name;
    for (std::size_t k = 2; taken(own); ++k) own = name + " " + std::to_string(k);
    return own;
  }
  [[nodiscard]] bool has_node(std::string_view name) const { return known_node(name) < data_.nodes; }
  [[nodiscard]] bool is_used(std::string_view name) const {
    return std::any_of(branches_.begin(), branches_.end(), [&](const auto& b) { return b.name == name; }) ||
           std::find(coupling_names_.begin(), coupling_names_.end(), name) != coupling_names_.end();
  }
  void require_free(std::string_view name) const {
    if (name.empty()) throw invalid_value("branch name", "empty", "at least one character");
    if (is_used(name)) throw invalid_value("branch name", quoted(name), "a name that is not in use");
  }
  void require_port(std::string_view name, std::string_view hot, std::string_view cold) const {
    if (hot.empty() || cold.empty())
      throw invalid_value(std::string(name).append(".node"), "empty", "a name of at least one character");
    const std::size_t a = known_node(hot), b = known_node(cold);
    if (hot == cold || (a == b && a < data_.nodes))
      throw invalid_value(name, "connected from " + quoted(hot) + " to " + quoted(cold),
                          "two different nodes");
  }
  /// The number of a node, or one past the last.
  [[nodiscard]] std::size_t known_node(std::string_view name) const noexcept {
    for (const named_node& n : nodes_)
      if (n.name == name) return n.at;
    return data_.nodes;
  }
  std::size_t node_of(std::string_view name) {
    const std::size_t known = known_node(name);
    if (known < data_.nodes) return known;
    nodes_.push_back({std::string(name), data_.nodes, false});
    return data_.nodes++;
  }
  netlist_branch enter(std::string_view name, std::size_t first, std::size_t hot, std::size_t cold) {
    branches_.push_back({std::string(name), first, data_.parts.size() - first, hot, cold});
    return netlist_branch{branches_.size() - 1};
  }
  netlist_branch add_drive(std::string_view name, netlist_kind kind, double value, std::string_view hot,
                           std::string_view cold) {
    require_free(name);
    require_port(name, hot, cold);
    const std::size_t part = data_.parts.size(), a = node_of(hot), b = node_of(cold);
    data_.parts.push_back({kind, a, b, value, 0, 0, 0, data_.drives.size()});
    data_.drives.push_back({std::string(name), part, {}});
    return enter(name, part, a, b);
  }
  netlist_branch enter_two_port(std::string_view name, netlist_kind kind, double value, node_pair in,
                                node_pair out) {
    const std::size_t part = data_.parts.size(), c = node_of(in.hot), d = node_of(in.cold);
    const std::size_t a = node_of(out.hot), b = node_of(out.cold);
    data_.parts.push_back(
        {kind, a, b, value, 0, c, d, kind == netlist_kind::two_port ? data_.matrices.size() - 1 : 0});
    return enter(name, part, a, b);
  }
  [[nodiscard]] std::size_t inductor_in(std::string_view coupling, std::string_view coil) const {
    const named_branch& b = branches_[static_cast<std::size_t>(branch(coil))];
    std::size_t at = 0, found = 0;
    for (std::size_t k = b.first; k < b.first + b.count; ++k)
      if (data_.parts[k].kind == netlist_kind::inductor && ++found == 1) at = k;
    if (found != 1)
      throw invalid_value(coupling,
                          "at " + quoted(coil) + ", which has " + std::to_string(found) + " inductances",
                          "a branch with one inductance");
    return at;
  }

  netlist_data data_;
  std::vector<named_node> nodes_{{"ground", 0, false}};
  std::vector<named_branch> branches_;
  std::vector<std::string> coupling_names_;
};

} // namespace lodewire
