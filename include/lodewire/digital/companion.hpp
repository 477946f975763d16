// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <span>
#include <string>
#include <vector>

#include <lodewire/circuit/netlist_expansion.hpp>
#include <lodewire/circuit/scale.hpp>
#include <lodewire/circuit/source.hpp>
#include <lodewire/circuit/status.hpp>
#include <lodewire/digital/analogue_form.hpp>
#include <lodewire/digital/dense_elimination.hpp>

namespace lodewire::detail {

/// A circuit for one implicit Euler step of length h: every capacitor is its voltage behind h/C, every inductor its
/// current beside L/h, every resistor that will move a reference resistance with a source of its own (eq. 53). What is
/// left are resistors and sources, solved once for each of them. States are √C·v and √L·i, so that half the sum of
/// their squares is the energy stored. Made when a circuit is set up, never for a knob. Cost: the cube of the number of
/// parts; some 0.1 ms.
class companion {
public:
  /// What a resistor that moves is referred to, Ω.
  static constexpr double reference = scale::ohm;

  /// `moving`: the slots of the values that will be rewritten, all of resistors. Throws `invalid_value` for others,
  /// `not_realisable` for a power law or a chain matrix.
  companion(const circuit& c, std::span<const std::size_t> moving) {
    require_realisable(c, moving);
    circuit marked = c; // a resistance that cannot be is how its part is found again
    for (const std::size_t slot : moving) marked.values[slot] = -1. - static_cast<double>(slot);
    net_.nodes = 2;
    netlist_expansion(marked, net_, 1, 0);
    for (const netlist_drive& d : net_.drives) drive_parts_.push_back(d.part);
    control_.assign(net_.parts.size(), nowhere);
    build_filters();
    for (std::size_t k = 0; k < net_.parts.size(); ++k) {
      const netlist_part& p = net_.parts[k];
      if (p.kind == netlist_kind::resistor && p.value < 0) {
        ports_.push_back(k);
        port_slots_.push_back(static_cast<std::size_t>(-1. - p.value));
      }
    }
    find_series();
    find_states();
  }

  [[nodiscard]] std::size_t states() const noexcept { return states_.size(); }
  [[nodiscard]] std::size_t inputs() const noexcept { return drive_parts_.size(); }
  /// The slot of the value that each port takes.
  [[nodiscard]] std::span<const std::size_t> ports() const noexcept { return port_slots_; }

  /// The step's response to each source: column by column states, inputs, ports; in each column the rows states,
  /// output, port voltages. Throws `conflicting_sources`.
  [[nodiscard]] std::vector<double> step(double h) const {
    const std::size_t nodes = net_.nodes - 1, parts = net_.parts.size();
    const std::size_t columns = states() + inputs() + ports_.size();
    dense_elimination a(nodes + parts, columns);
    const auto at_node = [&](std::size_t row, std::size_t node, double x) {
      if (node != 0) a.at(row, node - 1) += x;
    };
    for (std::size_t k = 0; k < parts; ++k) {
      const netlist_part& p = net_.parts[k];
      const std::size_t row = nodes + k;
      if (absent(p)) {
        a.at(row, row) = 1;
        continue;
      }
      if (p.hot != 0) a.at(p.hot - 1, row) += 1; // what leaves a node, in units of 1/scale::ohm A
      if (p.cold != 0) a.at(p.cold - 1, row) -= 1;
      const std::size_t input = input_of(k);
      if (p.kind == netlist_kind::current_source) { // out of hot
        a.at(row, row) = 1;
        if (input != nowhere && control_[k] == nowhere)
          a.right(row, states() + input) = -p.value * scale::ohm;
        at_node(row, control_[k], p.value * scale::ohm);
        continue;
      }
      at_node(row, p.hot, 1);
      at_node(row, p.cold, -1);
      const part_state& s = part_states_[k];
      const double unit = s.state == nowhere ? 0 : s.sign / std::sqrt(states_[s.state]);
      switch (p.kind) {
      case netlist_kind::resistor: a.at(row, row) -= p.value < 0 ? 1 : p.value / scale::ohm; break;
      case netlist_kind::inductor:
        a.at(row, row) -= p.value / h / scale::ohm;
        if (s.state != nowhere) a.right(row, s.state) -= p.value / h * unit;
        break;
      case netlist_kind::capacitor:
        a.at(row, row) -= h / p.value / scale::ohm;
        a.right(row, s.state) += unit;
        break;
      case netlist_kind::buffer:
        at_node(row, p.in_hot, -p.value);
        at_node(row, p.in_cold, p.value);
        break;
      default: // an EMF
        if (control_[k] != nowhere) {
          at_node(row, control_[k], -p.value);
        } else if (input != nowhere) {
          a.right(row, states() + input) += p.value;
        }
        break;
      }
    }
    for (const netlist_coupling& c : net_.couplings) // v = M·di/dt of the other one
      for (std::size_t k = 0; k < 2 && c.mutual != 0; ++k) {
        const std::size_t row = nodes + c.part[k], other = c.part[1 - k];
        const part_state& s = part_states_[other];
        a.at(row, nodes + other) -= c.mutual / h / scale::ohm;
        a.right(row, s.state) -= c.mutual / h * s.sign / std::sqrt(states_[s.state]);
      }
    for (std::size_t k = 0; k < ports_.size(); ++k) a.right(nodes + ports_[k], states() + inputs() + k) += 1;
    if (!a.solve()) throw conflicting_sources(circuit_status::conflicting_voltages);

    const std::size_t rows = states() + 1 + ports_.size();
    std::vector<double> out(rows * columns);
    const auto across = [&](const netlist_part& p, std::size_t column) {
      return (p.hot != 0 ? a.result(p.hot - 1, column) : 0) -
             (p.cold != 0 ? a.result(p.cold - 1, column) : 0);
    };
    for (std::size_t column = 0; column < columns; ++column) {
      double* const to = out.data() + column * rows;
      for (std::size_t k = 0; k < parts; ++k) {
        const part_state& s = part_states_[k];
        if (s.state == nowhere) continue;
        const double x = net_.parts[k].kind == netlist_kind::capacitor
                             ? across(net_.parts[k], column)
                             : a.result(nodes + k, column) / scale::ohm;
        to[s.state] = s.sign * x * std::sqrt(states_[s.state]);
      }
      to[states()] = a.result(0, column);
      for (std::size_t k = 0; k < ports_.size(); ++k)
        to[states() + 1 + k] = across(net_.parts[ports_[k]], column);
    }
    return out;
  }

private:
  struct part_state {
    std::size_t state = nowhere;
    double sign = 1;
  };
  struct series_place {
    std::size_t group = nowhere;
    double sign = 1;
  };

  static void require_realisable(const circuit& c, std::span<const std::size_t> moving) {
    for (const instruction i : c.code) {
      if (i.op == opcode::power_law)
        throw not_realisable(
            "the circuit has a power law K·s^α, which no step from sample to sample follows; put "
            "resistors, coils and capacitors in its place");
      if (i.op == opcode::chain)
        throw not_realisable(
            "the circuit has a chain matrix, of which no states are known; put its parts in its "
            "place");
      const bool resistor = i.op == opcode::resistor || i.op == opcode::series_r || i.op == opcode::shunt_r;
      for (const std::size_t slot : moving)
        if (!resistor && slot >= i.slot && slot < i.slot + value_count(i.op))
          throw invalid_value("a value that moves", "no resistance", "ranges of resistors (potentiometers)");
    }
  }

  /// Nothing flows there, whatever the voltage.
  [[nodiscard]] static bool absent(const netlist_part& p) noexcept {
    return (p.kind == netlist_kind::capacitor && p.value == 0) ||
           (p.kind == netlist_kind::resistor && is_open(p.value));
  }
  [[nodiscard]] std::size_t input_of(std::size_t part) const noexcept {
    for (std::size_t k = 0; k < drive_parts_.size(); ++k)
      if (drive_parts_[k] == part) return k;
    return nowhere;
  }

  /// What filters an EMF becomes a resistor, a coil and a capacitor behind a source of their own: 1/(1 + a1·s + a2·s²).
  void build_filters() {
    constexpr double farad = 1e-9; // any value will do
    const auto put = [this](netlist_kind kind, std::size_t hot, std::size_t cold, double value,
                            std::size_t in_hot = 0) {
      net_.parts.push_back({kind, hot, cold, value, 0, in_hot, 0, 0});
      control_.push_back(nowhere);
    };
    for (std::size_t k = 0; k < net_.drives.size(); ++k) {
      const netlist_drive& d = net_.drives[k];
      if (d.filters.empty()) continue;
      std::size_t at = net_.nodes++;
      drive_parts_[k] = net_.parts.size();
      put(netlist_kind::emf, at, 0, 1);
      for (const auto& [a1, a2] : d.filters) {
        const std::size_t copy = net_.nodes, middle = copy + 1, end = copy + 2;
        net_.nodes += 3;
        put(netlist_kind::buffer, copy, 0, 1, at);
        put(netlist_kind::resistor, copy, middle, a1 / farad);
        put(netlist_kind::inductor, middle, end, a2 / farad);
        put(netlist_kind::capacitor, end, 0, farad);
        at = end;
      }
      control_[d.part] = at;
    }
  }

  /// Parts that nodes without a branching join carry one current, so that they share one state.
  void find_series() {
    std::vector<std::vector<std::size_t>> at_node(net_.nodes);
    std::vector<bool> tapped(net_.nodes);
    tapped[0] = tapped[1] = true;
    for (std::size_t k = 0; k < net_.parts.size(); ++k) {
      const netlist_part& p = net_.parts[k];
      if (absent(p)) continue;
      at_node[p.hot].push_back(k);
      at_node[p.cold].push_back(k);
    }
    series_.assign(net_.parts.size(), {});
    for (std::size_t k = 0, groups = 0; k < net_.parts.size(); ++k) {
      if (series_[k].group != nowhere) continue;
      series_[k] = {groups, 1};
      std::vector<std::size_t> queue{k};
      for (std::size_t done = 0; done < queue.size(); ++done) {
        const std::size_t from = queue[done];
        for (const bool at_hot : {true, false}) {
          const std::size_t node = at_hot ? net_.parts[from].hot : net_.parts[from].cold;
          if (tapped[node] || at_node[node].size() != 2) continue;
          const std::size_t next = at_node[node][at_node[node][0] == from ? 1 : 0];
          if (series_[next].group != nowhere) continue;
          const bool next_at_hot = net_.parts[next].hot == node;
          series_[next] = {groups, at_hot == next_at_hot ? -series_[from].sign : series_[from].sign};
          queue.push_back(next);
        }
      }
      ++groups;
    }
  }

  /// One state for all inductance that a current runs through, one for all capacitance between two nodes.
  void find_states() {
    part_states_.assign(net_.parts.size(), {});
    const auto join = [&](std::size_t part, double amount, auto same) {
      for (std::size_t k = 0; k < part; ++k)
        if (part_states_[k].state != nowhere && same(k)) {
          part_states_[part].state = part_states_[k].state;
          states_[part_states_[k].state] += amount;
          return;
        }
      part_states_[part].state = states_.size();
      states_.push_back(amount);
    };
    std::vector<bool> coupled(net_.parts.size());
    for (const netlist_coupling& c : net_.couplings)
      if (c.mutual != 0) coupled[c.part[0]] = coupled[c.part[1]] = true;
    for (std::size_t k = 0; k < net_.parts.size(); ++k) {
      const netlist_part& p = net_.parts[k];
      if (p.kind == netlist_kind::inductor && p.value > 0) {
        join(k, p.value, [&](std::size_t j) {
          return net_.parts[j].kind != netlist_kind::capacitor && series_[j].group == series_[k].group;
        });
        part_states_[k].sign = series_[k].sign;
      } else if (p.kind == netlist_kind::capacitor && p.value > 0) {
        join(k, p.value, [&](std::size_t j) {
          const netlist_part& q = net_.parts[j];
          return q.kind == netlist_kind::capacitor &&
                 std::minmax(p.hot, p.cold) == std::minmax(q.hot, q.cold);
        });
        part_states_[k].sign = p.hot < p.cold ? 1 : -1;
      } else if (coupled[k]) { // the inductance in series with it gives the scale
        join(k, 0, [&](std::size_t j) {
          return net_.parts[j].kind != netlist_kind::capacitor && series_[j].group == series_[k].group;
        });
        part_states_[k].sign = series_[k].sign;
      }
    }
    for (double& s : states_)
      if (!(s > 0)) s = 1; // a coupled winding without inductance of its own: any scale will do
  }

  netlist_data net_;
  std::vector<std::size_t> drive_parts_, control_; ///< where an input acts; the node that an EMF follows
  std::vector<std::size_t> ports_, port_slots_;
  std::vector<series_place> series_;
  std::vector<part_state> part_states_;
  std::vector<double> states_; ///< C in F or L in H
};

} // namespace lodewire::detail
