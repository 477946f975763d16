// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>
#include <vector>

#include <lodewire/circuit/netlist_checks.hpp>
#include <lodewire/circuit/netlist_edge.hpp>
#include <lodewire/quantity/requirement.hpp>

namespace lodewire::detail {

/// What a netlist is solved as (eq. 27): shorts have merged their nodes; branches in series through a node without a
/// name, and branches in parallel, are one; what leads nowhere is gone. The unknowns are the voltages of the nodes that
/// are left and the currents of those branches whose N can vanish or is small. Checks the netlist as it goes.
/// Real: the ring of the values. Cost: some microseconds for a guitar's circuit; allocates.
template <class Real>
class netlist_reduction {
public:
  using edge = netlist_edge<Real>;
  using system = polynomial_system<Real>;

  /// Merges as long as no polynomial exceeds `degree_limit`: 1 keeps the equations linear in s. Throws `invalid_value`
  /// for a netlist without ground and for a named node that hangs free, `singular_netlist` for a loop of ideal
  /// voltages. `variable`: primitives that are not merged with others, resistors of neither 0 Ω nor an open.
  template <class Netlist>
  netlist_reduction(const Netlist& net, std::size_t degree_limit, std::span<const std::size_t> variable = {})
      : limit_{degree_limit}, nodes_(net.data().nodes), row_(net.data().nodes, nowhere),
        edge_of_part(net.data().parts.size(), nowhere) {
    const netlist_data& data = net.data();
    require_ground(data);
    require_no_voltage_loop(net);
    for (const netlist_part& p : data.parts)
      if (is_short(p)) nodes_.unite(p.hot, p.cold);
    kept_.assign(data.nodes, 0);
    keep(0);
    for (const auto& n : net.nodes()) keep(n.at);
    for (std::size_t k = 0; k < data.parts.size(); ++k) place(data, k);
    for (const std::size_t k : variable) edges[edge_of_part[k]].variable = true;
    for (const netlist_coupling& c : data.couplings) {
      const std::size_t e[2] = {edge_of_part[c.part[0]], edge_of_part[c.part[1]]};
      if (c.mutual == 0 || e[0] == nowhere || e[1] == nowhere) continue;
      edges[e[0]].coupled = edges[e[1]].coupled = true;
    }
    while (merge_once()) {
    }
    for (const netlist_coupling& c : data.couplings) {
      const placed a = placed_in(edge_of_part[c.part[0]]), b = placed_in(edge_of_part[c.part[1]]);
      if (c.mutual == 0 || a.edge == nowhere || b.edge == nowhere) continue;
      mutuals.push_back({a.edge, b.edge, static_cast<Real>(c.mutual) * Real(a.sign * b.sign / scale::henry)});
    }
    tie_islands(net);
    number_unknowns();
  }

  std::vector<std::size_t> buffers; ///< the primitives that are buffers
  std::vector<std::size_t>
      two_ports; ///< and two-ports; the currents at port 1 and 2 of number k are the unknowns
                 ///< first_port_current + 2k and one more
  std::size_t first_port_current = 0;
  std::vector<edge> edges;
  std::vector<std::size_t> top; ///< the edges that are left
  /// Mutual inductance between the currents of two of them, or of one with itself.
  struct mutual {
    std::size_t a, b;
    Real m;
  };
  std::vector<mutual> mutuals;
  std::size_t unknowns = 0;

  /// The unknown that is a node's voltage; `nowhere`: it is 0 V.
  [[nodiscard]] std::size_t row(std::size_t node) const noexcept { return row_[nodes_.find(node)]; }

private:
  struct placed {
    std::size_t edge;
    int sign;
  };
  /// Where an edge has ended, and which way round; `nowhere` if that carries no current.
  [[nodiscard]] placed placed_in(std::size_t at) const noexcept {
    int sign = 1;
    if (at == nowhere) return {nowhere, 1};
    for (; edges[at].parent != nowhere; at = edges[at].parent) sign *= edges[at].sign;
    return {edges[at].absent ? nowhere : at, sign};
  }
  static constexpr double low_impedance = 1e3 / scale::ohm; ///< what counts as small between two nodes

  static void require_ground(const netlist_data& data) {
    for (const netlist_part& p : data.parts)
      if (p.hot == 0 || p.cold == 0) return;
    throw invalid_value("netlist", "without ground", "a netlist with a branch to the node 'ground'");
  }
  void keep(std::size_t node) noexcept { kept_[nodes_.find(node)] = 1; }

  void place(const netlist_data& data, std::size_t k) {
    const netlist_part& p = data.parts[k];
    if (is_short(p)) return;
    if (p.kind == netlist_kind::current_source || p.kind == netlist_kind::two_port) {
      keep(p.hot);
      keep(p.cold);
    }
    if (p.kind == netlist_kind::buffer || p.kind == netlist_kind::two_port) {
      keep(p.in_hot);
      keep(p.in_cold);
    }
    if (p.kind == netlist_kind::two_port) two_ports.push_back(k);
    if (p.kind == netlist_kind::current_source || p.kind == netlist_kind::two_port) return;
    std::size_t from = p.index;
    if (p.kind == netlist_kind::buffer) {
      from = data.drives.size() + buffers.size();
      buffers.push_back(k);
    }
    edge_of_part[k] = edges.size();
    edge& e = edges.emplace_back(edge_of<Real>(p, from));
    e.hot = nodes_.find(p.hot);
    e.cold = nodes_.find(p.cold);
  }

  /// Whether the two can become one without a polynomial of too high a degree.
  [[nodiscard]] bool fits(const edge& x, const edge& y, bool series) const noexcept {
    if (x.is_power || y.is_power || x.is_loop() || y.is_loop() || x.variable || y.variable) return false;
    const bool coupled = x.coupled || y.coupled;
    if (series ? coupled && (x.d.size > 1 || y.d.size > 1) : coupled || x.is_ideal() || y.is_ideal())
      return false;
    const auto degree = [](const auto& p, const auto& q) {
      return p.size + q.size == 0 ? 0 : p.size + q.size - 2;
    };
    std::size_t highest = (std::max)(degree(x.n, y.d), degree(x.d, y.n));
    highest = (std::max)(highest, series ? degree(x.d, y.d) : degree(x.n, y.n));
    for (const auto& from : x.drives) highest = (std::max)(highest, degree(from.e, series ? y.d : y.n));
    for (const auto& from : y.drives) highest = (std::max)(highest, degree(from.e, series ? x.d : x.n));
    return highest <= limit_;
  }

  void merge(std::size_t a, std::size_t b, std::size_t middle) {
    edge z = joined(edges[a], edges[b], middle);
    edges[a].parent = edges[b].parent = edges.size();
    edges[a].other = b;
    edges[b].other = a;
    edges.push_back(std::move(z));
  }

  bool merge_once() {
    std::vector<std::vector<std::size_t>> at(row_.size());
    for (std::size_t k = 0; k < edges.size(); ++k) {
      if (!edges[k].is_top() || edges[k].is_loop()) continue;
      for (const std::size_t j : at[edges[k].hot])
        if (edges[j].hot + edges[j].cold == edges[k].hot + edges[k].cold && fits(edges[j], edges[k], false)) {
          merge(j, k, nowhere);
          return true;
        }
      at[edges[k].hot].push_back(k);
      at[edges[k].cold].push_back(k);
    }
    for (std::size_t node = 0; node < at.size(); ++node) {
      if (kept_[node]) continue;
      if (at[node].size() == 1) {
        edges[at[node][0]].absent = true;
        return true;
      }
      if (at[node].size() == 2 && fits(edges[at[node][0]], edges[at[node][1]], true)) {
        merge(at[node][0], at[node][1], node);
        return true;
      }
    }
    return false;
  }

  /// Parts of the circuit that nothing ties to ground: an error where a user named a node there; else one of their
  /// nodes is as good as ground, since no voltage between the two can be asked for.
  template <class Netlist>
  void tie_islands(const Netlist& net) {
    merged_sets joined_nodes(row_.size());
    for (const edge& e : edges)
      if (e.is_top()) joined_nodes.unite(e.hot, e.cold);
    for (const std::size_t k : two_ports) {
      const netlist_part& p = net.data().parts[k];
      joined_nodes.unite(nodes_.find(p.hot), nodes_.find(p.cold));
      joined_nodes.unite(nodes_.find(p.in_hot), nodes_.find(p.in_cold));
    }
    for (const auto& n : net.nodes())
      if (!n.poured && joined_nodes.find(nodes_.find(n.at)) != 0)
        throw invalid_value("node '" + n.name + "'", "hanging free",
                            "a path to ground through parts that conduct");
    std::vector<std::size_t> degree(row_.size());
    for (const edge& e : edges)
      if (e.is_top()) {
        ++degree[e.hot];
        ++degree[e.cold];
      }
    // Few neighbours first: elimination then fills in less.
    std::vector<std::size_t> order;
    for (std::size_t node = 1; node < row_.size(); ++node)
      if (nodes_.find(node) == node && joined_nodes.find(node) != node && (degree[node] > 0 || kept_[node]))
        order.push_back(node);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return degree[a] < degree[b]; });
    for (const std::size_t node : order) row_[node] = unknowns++;
  }

  void number_unknowns() {
    for (std::size_t k = 0; k < edges.size(); ++k) {
      if (!edges[k].is_top()) continue;
      top.push_back(k);
      if (keeps_current(edges[k])) edges[k].current = unknowns++;
    }
    first_port_current = unknowns;
    unknowns += 2 * two_ports.size();
  }

  [[nodiscard]] bool keeps_current(const edge& e) const {
    if (e.is_ideal() || e.coupled || (e.variable && !e.is_loop())) return true;
    if (e.is_loop()) return false;
    if (!e.is_power && (e.n.c[0] == Real(0) || (limit_ == 1 && e.n.size > 1))) return true;
    if (row_[e.hot] == nowhere || row_[e.cold] == nowhere) return false;
    if (limit_ == 1 && e.d.size > 1) return true; // small at high s, which the count of finite roots needs
    // Between two nodes a small impedance in an admittance matrix would cost digits.
    for (const double w : {0x1p-7, 0x1p-2, 0x1p3}) { // 20 Hz to 21 kHz
      const auto size = [w](const polynomial<Real>& p) {
        double re = 0, im = 0;
        for (std::size_t k = p.size; k-- > 0;) {
          const double was = re;
          re = static_cast<double>(p.c[k]) - im * w;
          im = was * w;
        }
        return std::sqrt(re * re + im * im);
      };
      const double n = e.is_power ? static_cast<double>(e.power_k) *
                                        std::pow(w * scale::per_second, static_cast<double>(e.power_alpha))
                                  : size(e.n);
      if (n < low_impedance * size(e.d)) return true;
    }
    return false;
  }

  std::size_t limit_;
  merged_sets nodes_;
  std::vector<std::size_t> row_;
  std::vector<char> kept_;

public:
  std::vector<std::size_t> edge_of_part; ///< `nowhere`: a short, a current source, a two-port
};

} // namespace lodewire::detail
