// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <numeric>
#include <stdexcept>
#include <string>
#include <vector>

#include <lodewire/circuit/netlist_part.hpp>

namespace lodewire {

/// Thrown for a netlist that has no single answer: ideal voltages in a loop, or equations that contradict each other
/// or say one thing twice at every frequency. The text names the loop or the node where it can be known.
class singular_netlist : public std::invalid_argument {
public:
  /// `what`: the complaint; `names`: the branches of the loop, or the node.
  singular_netlist(const std::string& what, std::vector<std::string> names)
      : std::invalid_argument(text(what, names)), names_{std::move(names)} {}
  [[nodiscard]] const std::vector<std::string>& names() const noexcept { return names_; }

private:
  [[nodiscard]] static std::string text(const std::string& what, const std::vector<std::string>& names) {
    std::string s = "netlist is singular: " + what;
    for (std::size_t k = 0; k < names.size(); ++k)
      s.append(k == 0 ? " '" : ", '").append(names[k]).append("'");
    return s;
  }
  std::vector<std::string> names_;
};

namespace detail {

/// Sets of numbers that are merged as they turn out to be one.
class merged_sets {
public:
  explicit merged_sets(std::size_t count) : parent_(count) { std::iota(parent_.begin(), parent_.end(), 0U); }
  [[nodiscard]] std::size_t find(std::size_t k) const noexcept {
    while (parent_[k] != k) k = parent_[k];
    return k;
  }
  /// False if they were one already. The lower number stands for both.
  bool unite(std::size_t a, std::size_t b) noexcept {
    a = find(a);
    b = find(b);
    if (a == b) return false;
    parent_[(std::max)(a, b)] = (std::min)(a, b);
    return true;
  }

private:
  std::vector<std::size_t> parent_;
};

/// The branch that a primitive belongs to; the smallest one, where a poured circuit names both.
template <class Netlist>
[[nodiscard]] const std::string& name_of_part(const Netlist& net, std::size_t part) {
  const typename Netlist::named_branch* best = nullptr;
  for (const auto& b : net.branches())
    if (part >= b.first && part < b.first + b.count && (best == nullptr || b.count < best->count)) best = &b;
  return best->name;
}

/// A resistor or an inductor of nothing.
[[nodiscard]] inline bool is_short(const netlist_part& p) noexcept {
  return (p.kind == netlist_kind::resistor || p.kind == netlist_kind::inductor) && p.value == 0;
}

/// Throws `singular_netlist` with the names of a loop of EMFs, buffers and shorts that has an EMF or a buffer in it.
template <class Netlist>
void require_no_voltage_loop(const Netlist& net) {
  const netlist_data& data = net.data();
  std::vector<char> coupled(data.parts.size());
  for (const netlist_coupling& c : data.couplings)
    if (c.mutual != 0) coupled[c.part[0]] = coupled[c.part[1]] = 1;
  merged_sets held(data.nodes);
  std::vector<std::size_t> accepted;
  for (const bool shorts : {true, false})
    for (std::size_t k = 0; k < data.parts.size(); ++k) {
      const netlist_part& p = data.parts[k];
      const bool source = p.kind == netlist_kind::emf || p.kind == netlist_kind::buffer;
      if (coupled[k] || (shorts ? !is_short(p) : !source)) continue;
      if (held.unite(p.hot, p.cold)) {
        accepted.push_back(k);
      } else if (!shorts) { // from hot to cold through those that were there
        std::vector<std::size_t> by(data.nodes, nowhere), queue{p.hot};
        for (std::size_t at = 0; at < queue.size(); ++at)
          for (const std::size_t j : accepted) {
            const netlist_part& q = data.parts[j];
            if (q.hot != queue[at] && q.cold != queue[at]) continue;
            const std::size_t next = q.hot == queue[at] ? q.cold : q.hot;
            if (next == p.hot || by[next] != nowhere) continue;
            by[next] = j;
            queue.push_back(next);
          }
        std::vector<std::string> names{name_of_part(net, k)};
        for (std::size_t at = p.cold; at != p.hot;) {
          const netlist_part& q = data.parts[by[at]];
          if (names.back() != name_of_part(net, by[at])) names.push_back(name_of_part(net, by[at]));
          at = q.hot == at ? q.cold : q.hot;
        }
        throw singular_netlist("ideal voltages in a loop; give one of them a resistance:", names);
      }
    }
}

} // namespace detail

} // namespace lodewire
