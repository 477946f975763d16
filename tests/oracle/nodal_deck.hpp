// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <stdexcept>
#include <string>
#include <vector>

#include <lodewire/instrument/compose_position.hpp>

#include "answers.hpp"
#include "deck.hpp"

namespace oracle {

/// A position by nodes as the lines of a SPICE deck: its netlist's R, L, C, EMFs and flux between inductors, each knob's
/// legs as they stand. No buffer, chain matrix or pair with flux of its own. Written as `deck` writes a tree.
class nodal_deck {
public:
  explicit nodal_deck(const lodewire::nodal_circuit& of) : parent_(of.as_netlist().data().nodes) {
    const lodewire::netlist_data& net = of.as_netlist().data();
    for (std::size_t n = 0; n < parent_.size(); ++n) parent_[n] = n;
    std::vector<double> value;
    for (const lodewire::netlist_part& p : net.parts) value.push_back(p.value);
    const auto legs = of.legs();
    for (std::size_t k = 0; k < legs.size(); ++k) value[of.leg_part(k)] = legs[k].ohms;
    const auto is_short = [&](std::size_t k) {
      return net.parts[k].kind == lodewire::netlist_kind::resistor && value[k] == 0;
    };
    for (std::size_t k = 0; k < value.size(); ++k)
      if (is_short(k)) merge(net.parts[k].hot, net.parts[k].cold);
    out_ = root(static_cast<std::size_t>(of.jack()));
    for (std::size_t k = 0; k < value.size(); ++k)
      if (!is_short(k)) add(net.parts[k], value[k], k);
    for (const lodewire::netlist_coupling& c : net.couplings) {
      const double l1 = value[c.part[0]], l2 = value[c.part[1]];
      lines_.push_back("k" + std::to_string(c.part[0]) + "x" + std::to_string(c.part[1]) + " l" +
                       std::to_string(c.part[0]) + " l" + std::to_string(c.part[1]) + " " +
                       digits(c.mutual / std::sqrt(l1 * l2)));
    }
    lines_.push_back("iout 0 out dc 0 ac 0");
    lines_.insert(lines_.end(), {".options noopac pivrel=1", ".end"});
  }

  [[nodiscard]] std::vector<std::string> lines() const { return lines_; }
  [[nodiscard]] bool shorted() const { return out_ == 0; }
  [[nodiscard]] const std::string& emf_name(std::size_t k) const { return emfs_[k]; }
  [[nodiscard]] double emf_value(std::size_t k) const { return emf_values_[k]; }
  [[nodiscard]] std::size_t emfs() const { return emfs_.size(); }

private:
  static constexpr double small = 1e3; ///< resistors up to this are by their current, Ω

  [[nodiscard]] static std::string digits(double v) {
    char text[32];
    return {text, std::to_chars(std::begin(text), std::end(text), v).ptr};
  }
  [[nodiscard]] std::size_t root(std::size_t n) const {
    while (parent_[n] != n) n = parent_[n];
    return n;
  }
  void merge(std::size_t a, std::size_t b) {
    const std::size_t ra = root(a), rb = root(b);
    parent_[std::max(ra, rb)] = std::min(ra, rb);
  }
  [[nodiscard]] std::string spelled(std::size_t n) const {
    return root(n) == 0 ? "0" : root(n) == out_ ? "out" : "n" + std::to_string(root(n));
  }
  void add(const lodewire::netlist_part& p, double v, std::size_t k) {
    using enum lodewire::netlist_kind;
    const std::string number = std::to_string(k), a = spelled(p.hot), b = spelled(p.cold);
    const std::string ends = " " + a + " " + b + " ";
    if (p.kind == current_source || (p.kind == capacitor && v == 0) || lodewire::is_open(v)) return;
    if (p.kind == emf) {
      emfs_.push_back("vemf" + number);
      emf_values_.push_back(v);
      lines_.push_back("vemf" + number + ends + "dc 0 ac 0");
    } else if (a == b) {
      return;
    } else if (p.kind == resistor && v <= small) {
      lines_.push_back("v" + number + " " + a + " s" + number + " 0");
      lines_.push_back("h" + number + " s" + number + " " + b + " v" + number + " " + digits(v / deck::unit));
    } else if (p.kind == resistor || p.kind == inductor) {
      lines_.push_back((p.kind == resistor ? "r" : "l") + number + ends + digits(v / deck::unit));
    } else if (p.kind == capacitor) {
      lines_.push_back("c" + number + ends + digits(v * deck::unit));
    } else {
      throw std::invalid_argument("nodal_deck: a part that is no R, L, C or EMF");
    }
  }

  std::vector<std::size_t> parent_;
  std::size_t out_ = 0;
  std::vector<std::string> lines_{"a position by nodes"}, emfs_;
  std::vector<double> emf_values_;
};

/// What the nodal solver says of such a position in numbers of kind Real.
template <class Real>
[[nodiscard]] answers by_nodes(const lodewire::nodal_circuit& of, std::span<const double> hz) {
  std::vector<std::size_t> variable;
  for (std::size_t k = 0; k < of.legs().size(); ++k) variable.push_back(of.leg_part(k));
  lodewire::basic_netlist_solver<Real> solver(of.as_netlist(), variable);
  for (std::size_t k = 0; k < variable.size(); ++k) solver.set_resistance(k, of.legs()[k].ohms);
  auto room = solver.make_workspace();
  const lodewire::netlist_data& net = of.as_netlist().data();
  answers a;
  for (const double f : hz) {
    const Real w = 2 * std::numbers::pi_v<Real> * static_cast<Real>(f);
    if (!solver.solve(lodewire::split_complex<Real>(Real(0), w), room))
      throw std::runtime_error("no single answer");
    for (std::size_t k = 0; k < net.drives.size(); ++k)
      if (net.parts[net.drives[k].part].kind == lodewire::netlist_kind::emf)
        a.values.push_back(net.parts[net.drives[k].part].value *
                           complex(solver.transfer(room, lodewire::netlist_source{k}, of.jack())));
    a.values.push_back(complex(solver.voltage(room, of.jack())));
    a.values.push_back(complex(solver.impedance(room, of.jack())));
  }
  return a;
}

} // namespace oracle
