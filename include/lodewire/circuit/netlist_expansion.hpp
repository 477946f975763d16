// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <utility>
#include <vector>

#include <lodewire/circuit/netlist_part.hpp>
#include <lodewire/circuit/run.hpp>

namespace lodewire::detail {

/// The machine (circuit/run.hpp) that expands a program into primitives between nodes. Its stack holds pairs of nodes;
/// a join merges nodes, so that they are numbered only at the end. Cost: linear in the program.
class netlist_expansion {
public:
  /// A terminal pair that the program marks.
  struct mark {
    std::size_t hot, cold;
  };

  /// Appends the expansion of `c` between two nodes of `to`. The parts come in the order of the program, the EMFs under
  /// the program's names. `c` must be well formed (a `source`, a `one_port`).
  netlist_expansion(const circuit& c, netlist_data& to, std::size_t hot, std::size_t cold) : c_{c}, to_{to} {
    run(std::span<const instruction>(c.code), *this);
    const std::size_t top_hot = find(stack_.back().hot), top_cold = find(stack_.back().cold);
    std::vector<std::size_t> number(parent_.size());
    for (std::size_t k = 0; k < parent_.size(); ++k)
      if (find(k) == k) number[k] = k == top_hot ? hot : k == top_cold ? cold : to_.nodes++;
    const auto final = [&](std::size_t& at) { at = number[find(at)]; };
    for (netlist_part& p : parts_) {
      final(p.hot);
      final(p.cold);
      if (p.kind == netlist_kind::buffer || p.kind == netlist_kind::two_port) {
        final(p.in_hot);
        final(p.in_cold);
      }
      to_.parts.push_back(p);
    }
    for (mark& m : marks_) {
      final(m.hot);
      final(m.cold);
    }
  }

  [[nodiscard]] const std::vector<mark>& marks() const noexcept { return marks_; }

  // -- what run() calls --------------------------------------------------------------------------------------
  void emf(std::uint16_t at) { push_source(netlist_kind::emf, c_.values[at]); }
  void current_source(std::uint16_t at) { push_source(netlist_kind::current_source, c_.values[at]); }
  void resistor(std::uint16_t at) { push(netlist_kind::resistor, at); }
  void inductor(std::uint16_t at) { push(netlist_kind::inductor, at); }
  void capacitor(std::uint16_t at) { push(netlist_kind::capacitor, at); }
  void power_law(std::uint16_t at) {
    push(netlist_kind::power_law, at);
    parts_.back().exponent = c_.values[at + 1U];
  }
  void series_r(std::uint16_t at) { in_series(netlist_kind::resistor, at); }
  void series_l(std::uint16_t at) { in_series(netlist_kind::inductor, at); }
  void series_c(std::uint16_t at) { in_series(netlist_kind::capacitor, at); }
  void shunt_r(std::uint16_t at) { across(netlist_kind::resistor, c_.values[at]); }
  void shunt_l(std::uint16_t at) { across(netlist_kind::inductor, c_.values[at]); }
  void shunt_c(std::uint16_t at) { across(netlist_kind::capacitor, c_.values[at]); }
  void join_series() { // the second one on top of the first
    const entry b = pop();
    unite(stack_.back().hot, b.cold);
    stack_.back().hot = b.hot;
  }
  void join_parallel() {
    const entry b = pop();
    unite(stack_.back().hot, b.hot);
    unite(stack_.back().cold, b.cold);
  }
  void reverse() { std::swap(stack_.back().hot, stack_.back().cold); }
  void emf_filter(std::uint16_t at, std::uint8_t which) {
    for (std::size_t k = stack_.back().first, n = 1; k < to_.drives.size(); ++k, ++n)
      if (which == 0 || which == n) to_.drives[k].filters.push_back({c_.values[at], c_.values[at + 1U]});
  }
  void buffer(std::uint16_t at) {
    const entry out = pop();
    const entry in = pop();
    entry& t = stack_.back();
    unite(t.hot, in.hot);
    unite(t.cold, in.cold);
    put({netlist_kind::buffer, out.cold, t.cold, c_.values[at], 0, t.hot, t.cold, 0});
    t.hot = out.hot;
  }
  void chain(std::uint16_t at) {
    entry& t = stack_.back();
    const std::size_t out = node();
    put({netlist_kind::two_port, out, t.cold, 0, 0, t.hot, t.cold, to_.matrices.size()});
    auto& m = to_.matrices.emplace_back();
    for (std::size_t k = 0; k < m.size(); ++k) m[k] = c_.values[at + k];
    t.hot = out;
  }
  void coil_pair(std::uint16_t at, pair_output output) {
    const entry shunt[2] = {stack_[stack_.size() - 2], stack_[stack_.size() - 1]};
    const entry winding[2] = {stack_[stack_.size() - 4], stack_[stack_.size() - 3]};
    stack_.resize(stack_.size() - 4);
    entry coil[2];
    std::size_t emf_part[2] = {};
    for (std::size_t k = 0; k < 2;
         ++k) { // from cold: the EMF, which couples, then the winding; its shunt across
      push_source(netlist_kind::emf, c_.values[at + 2U + k]);
      emf_part[k] = to_.parts.size() + parts_.size() - 1;
      coil[k] = pop();
      unite(coil[k].hot, winding[k].cold);
      coil[k].hot = winding[k].hot;
      unite(coil[k].hot, shunt[k].hot);
      unite(coil[k].cold, shunt[k].cold);
    }
    to_.couplings.push_back({{emf_part[0], emf_part[1]}, c_.values[at]});
    const double between = c_.values[at + 1U];
    entry top = coil[0];
    if (output == pair_output::parallel) {
      unite(top.hot, coil[1].hot);
      unite(top.cold, coil[1].cold);
    } else {
      unite(top.hot, coil[1].cold);
    }
    if (output == pair_output::series) top.hot = coil[1].hot;
    stack_.push_back(top);
    put({netlist_kind::capacitor, coil[1].hot, coil[0].cold, between});
  }
  void terminals(std::uint8_t) { marks_.push_back({stack_.back().hot, stack_.back().cold}); }

private:
  struct entry {
    std::size_t hot, cold, first; ///< `first`: number of its first EMF among all
  };

  std::size_t node() {
    parent_.push_back(parent_.size());
    return parent_.size() - 1;
  }
  std::size_t find(std::size_t k) noexcept {
    while (parent_[k] != k) k = parent_[k] = parent_[parent_[k]];
    return k;
  }
  void unite(std::size_t a, std::size_t b) noexcept { parent_[find(b)] = find(a); }
  entry pop() {
    const entry e = stack_.back();
    stack_.pop_back();
    return e;
  }
  void put(const netlist_part& p) { parts_.push_back(p); }
  void push(netlist_kind kind, std::size_t at) {
    const std::size_t hot = node(), cold = node();
    stack_.push_back({hot, cold, to_.drives.size()});
    put({kind, hot, cold, c_.values[at]});
  }
  void push_source(netlist_kind kind, double value) {
    const std::size_t hot = node(), cold = node();
    stack_.push_back({hot, cold, to_.drives.size()});
    put({kind, hot, cold, value, 0, 0, 0, to_.drives.size()});
    to_.drives.push_back({c_.emfs[emfs_++], to_.parts.size() + parts_.size() - 1, {}});
  }
  void in_series(netlist_kind kind, std::size_t at) {
    const std::size_t hot = node();
    put({kind, hot, stack_.back().hot, c_.values[at]});
    stack_.back().hot = hot;
  }
  void across(netlist_kind kind, double value) { put({kind, stack_.back().hot, stack_.back().cold, value}); }

  const circuit& c_;
  netlist_data& to_;
  std::vector<std::size_t> parent_;
  std::vector<entry> stack_;
  std::vector<netlist_part> parts_;
  std::vector<mark> marks_;
  std::size_t emfs_ = 0;
};

} // namespace lodewire::detail
