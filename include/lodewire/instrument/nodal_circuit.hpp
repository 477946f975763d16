// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <complex>
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/circuit/netlist_solver.hpp>
#include <lodewire/instrument/nodal_piece.hpp>

namespace lodewire {

namespace detail {

/// Pieces poured into a netlist, their legs of controls as resistors that may change.
struct nodal_net {
  struct leg {
    std::string section;
    bool lower = false;
    double ohms = 0;
  };
  netlist net;
  std::vector<leg> legs;
  std::vector<std::size_t> leg_parts; ///< their primitives
  std::vector<std::string> emfs;
  std::vector<std::size_t> sources; ///< of each EMF
  std::vector<std::string>
      marks; ///< of each piece: the node of its first terminals, ".cold" behind it the other

  /// Adds a piece. `sections`: the names of ranges that are a control's two legs, upper and lower.
  void add(const nodal_piece& p, std::span<const std::string> sections) {
    circuit c = p.program;
    std::size_t part = net.data().parts.size();
    for (const instruction i : c.code) {
      for (const named_range& r : c.ranges) {
        if (value_count(i.op) != 1 || i.slot < r.range.first || i.slot >= r.range.first + r.range.count)
          continue;
        if (std::find(sections.begin(), sections.end(), r.name) == sections.end()) continue;
        legs.push_back({r.name, i.slot > r.range.first, c.values[i.slot]});
        leg_parts.push_back(part);
      }
      part += part_count(i.op);
    }
    for (const named_range& r : c.ranges) // neither a short nor an open while the netlist is laid out
      if (std::find(sections.begin(), sections.end(), r.name) != sections.end())
        std::fill_n(c.values.begin() + r.range.first, r.range.count, scale::ohm);
    for (std::size_t k = 0; k < c.emfs.size(); ++k) {
      if (c.emfs[k].empty()) continue; // the 0 A that stand for the wiring in what follows it
      emfs.push_back(c.emfs[k]);
      sources.push_back(net.data().drives.size() + k);
    }
    const std::size_t terminals = c.terminals.size();
    if (c.emfs.empty()) {
      net.add(p.name, one_port(std::move(c)), p.hot, p.cold);
    } else {
      net.pour(p.name, source(std::move(c)), p.hot, p.cold);
    }
    marks.emplace_back(terminals > 0 ? net.nodes()[net.nodes().size() - 2 * terminals].name : std::string());
  }

  [[nodiscard]] netlist_solver solver() const {
    netlist_solver s(net, leg_parts);
    for (std::size_t k = 0; k < legs.size(); ++k) s.set_resistance(k, legs[k].ohms);
    return s;
  }
};

} // namespace detail

/// A position whose wiring goes by its nodes, composed: a netlist, its solver, and the names by which things are found.
/// A plain value. What is asked of a `source` is asked of it: responses by EMF, impedances, loads, what a meter reads.
/// After `make_workspace`, solving and turning allocate nothing and are `noexcept`; each thread needs a workspace, and
/// `turn` needs the circuit alone. Throws where it is made as `netlist_solver`.
class nodal_circuit {
public:
  /// `pieces`: the last one is what follows the wiring, from a pair of terminals on; `out`: the node that they are on.
  nodal_circuit(std::vector<detail::nodal_piece> pieces, std::vector<detail::nodal_coupling> couplings,
                std::vector<std::string> sections, std::string out)
      : pieces_{std::move(pieces)}, couplings_{std::move(couplings)}, sections_{std::move(sections)},
        out_{std::move(out)}, built_{net_of(pieces_)}, solver_{built_.solver()}, jack_{built_.net.node(
                                                                                     detail::jack_node)} {}

  [[nodiscard]] std::span<const std::string> emf_names() const noexcept { return built_.emfs; }
  [[nodiscard]] std::vector<std::string> terminals() const {
    std::vector<std::string> names;
    for (std::size_t p = 0; p + 1 < pieces_.size(); ++p)
      names.insert(names.end(), pieces_[p].program.terminals.begin(), pieces_[p].program.terminals.end());
    return names;
  }
  /// The sections of controls that are wired in.
  [[nodiscard]] std::span<const std::string> sections() const noexcept { return sections_; }
  /// The legs of those sections, between their nodes: whose, which and what they are now.
  [[nodiscard]] std::span<const detail::nodal_net::leg> legs() const noexcept { return built_.legs; }
  /// The number of a leg's primitive; the netlist itself holds none of their values.
  [[nodiscard]] std::size_t leg_part(std::size_t leg) const noexcept { return built_.leg_parts[leg]; }
  [[nodiscard]] const netlist& as_netlist() const noexcept { return built_.net; }
  [[nodiscard]] const netlist_solver& solver() const noexcept { return solver_; }
  [[nodiscard]] netlist_node jack() const noexcept { return jack_; }
  [[nodiscard]] std::span<const detail::nodal_piece> pieces() const noexcept { return pieces_; }

  /// Another value for leg number `leg` (`legs`), in Ω.
  void turn(std::size_t leg, double ohms) noexcept {
    built_.legs[leg].ohms = ohms;
    solver_.set_resistance(leg, ohms);
  }

  [[nodiscard]] netlist_workspace make_workspace() const { return solver_.make_workspace(); }

  /// Σ w_k·H_k at s in 1/s; EMFs past the end of `weights` have weight 1. NaN where there is no single answer.
  [[nodiscard]] std::complex<double> response(std::complex<double> s, std::span<const double> weights,
                                              netlist_workspace& room) const noexcept {
    if (!solver_.solve(s, room)) return undefined;
    std::complex<double> sum = 0;
    const std::size_t emfs = emf_names().size();
    for (std::size_t k = 0; k < emfs; ++k) {
      const double w = k < weights.size() ? weights[k] : 1, e = value_of(k);
      if (w != 0 && e != 0) sum += w * e * solver_.transfer(room, netlist_source{built_.sources[k]}, jack_);
    }
    return sum;
  }
  /// Response to one EMF, times that EMF's value.
  [[nodiscard]] std::complex<double> response_to(std::complex<double> s, std::size_t emf,
                                                 netlist_workspace& room) const noexcept {
    if (!solver_.solve(s, room)) return undefined;
    return value_of(emf) * solver_.transfer(room, netlist_source{built_.sources[emf]}, jack_);
  }
  /// Output impedance in Ω, every EMF at rest.
  [[nodiscard]] std::complex<double> impedance(std::complex<double> s,
                                               netlist_workspace& room) const noexcept {
    return solver_.solve(s, room) ? solver_.impedance(room, jack_) : undefined;
  }

  /// The load in Ω that the source behind a pickup's terminals sees at s, other EMFs at rest: the impedance between
  /// these terminals without what is behind them. Infinite where it sees nothing. Throws `invalid_value` for an unknown
  /// name. Cost: builds a netlist.
  [[nodiscard]] std::complex<double> load_seen(std::string_view of_pickup, std::complex<double> s) const {
    const std::vector<std::string> known = terminals();
    (void)find_name("terminal pair", known, of_pickup);
    std::vector<detail::nodal_piece> pieces = pieces_;
    std::size_t marked = 0;
    for (std::size_t p = 0; p + 1 < pieces.size(); ++p) {
      const auto& names = pieces[p].program.terminals;
      if (std::find(names.begin(), names.end(), of_pickup) == names.end()) continue;
      pieces[p].program = without_source(pieces[p].program);
      marked = p;
    }
    detail::nodal_net built = net_of(pieces, marked);
    take_legs(built);
    const netlist_solver solver = built.solver();
    auto room = solver.make_workspace();
    if (!solver.solve(s, room)) return undefined;
    const std::string& at = built.marks[marked];
    const std::complex<double> z = solver.impedance(room, built.net.node(at), built.net.node(at + ".cold"));
    return std::abs(z) > nothing_ohms / 1e3 ? std::complex<double>(open_value) : z;
  }

  /// What an ohmmeter reads at the end; `open_value` for nothing. `at_dc` makes of a program what is left of it at dc.
  /// Cost: builds a netlist.
  template <class AtDc>
  [[nodiscard]] resistance dc_resistance(const AtDc& at_dc) const {
    std::vector<detail::nodal_piece> pieces = pieces_;
    for (detail::nodal_piece& p : pieces) p.program = at_dc(std::move(p.program));
    detail::nodal_net built = net_of(pieces, every_piece);
    take_legs(built);
    const std::size_t nodes = built.net.nodes().size();
    for (std::size_t k = 1; k < nodes; ++k) // what hangs on capacitors only would have no answer
      if (const auto n = built.net.nodes()[k]; !n.poured)
        built.net.add("leak " + std::to_string(k), resistance::from_value(nothing_ohms), n.name, "ground");
    const netlist_solver solver = built.solver();
    auto room = solver.make_workspace();
    if (!solver.solve(std::complex<double>(1e3), room)) return resistance::from_value(open_value);
    const double ohms = solver.impedance(room, built.net.node(detail::jack_node)).real();
    return resistance::from_value(ohms < nothing_ohms / 1e3 ? ohms : open_value);
  }

  /// The netlist of these pieces in place of its own: what noise is asked of. Throws as the constructor.
  [[nodiscard]] detail::nodal_net with_pieces(std::span<const detail::nodal_piece> pieces) const {
    detail::nodal_net to = net_of(pieces);
    take_legs(to);
    return to;
  }
  /// The value of EMF number k, V.
  [[nodiscard]] double value_of(std::size_t k) const noexcept {
    const netlist_data& data = built_.net.data();
    return data.parts[data.drives[built_.sources[k]].part].value;
  }

private:
  /// Beside every part of an instrument it is nothing.
  static constexpr double nothing_ohms = 1e18;
  static constexpr std::size_t every_piece = detail::nowhere - 1;
  static constexpr std::complex<double> undefined{std::numeric_limits<double>::quiet_NaN(), 0};

  /// `without`: a piece whose flux does not count; past the last: none's does.
  [[nodiscard]] detail::nodal_net net_of(std::span<const detail::nodal_piece> pieces,
                                         std::size_t without = detail::nowhere) const {
    detail::nodal_net to;
    for (const detail::nodal_piece& p : pieces) to.add(p, sections_);
    to.net.add("out", resistance{}, out_, to.marks.back());
    for (const detail::nodal_coupling& c : couplings_) {
      if (without == every_piece || c.piece[0] == without || c.piece[1] == without) continue;
      const auto coil = [&](int k) { return pieces[c.piece[k]].name + ".L" + std::to_string(c.inductor[k]); };
      to.net.couple(c.name, c.coupling, coil(0), coil(1));
    }
    return to;
  }

  /// The knobs as they are now; pieces keep what they were made with.
  void take_legs(detail::nodal_net& to) const noexcept {
    for (std::size_t k = 0; k < to.legs.size(); ++k) to.legs[k].ohms = built_.legs[k].ohms;
  }

  /// A pickup's program with nothing behind its terminals; what follows them stays.
  [[nodiscard]] static circuit without_source(const circuit& c) {
    const auto mark = std::find_if(c.code.begin(), c.code.end(),
                                   [](const instruction& i) { return i.op == opcode::terminals; });
    circuit rest;
    rest.values = c.values;
    emit(rest, opcode::current_source, {0.0});
    emit(rest, opcode::shunt_r, {nothing_ohms}); // or a node with nothing else would hang free
    emit(rest, opcode::terminals, {}, 0);
    rest.code.insert(rest.code.end(), mark + 1, c.code.end());
    rest.emfs = {"nothing"};
    rest.terminals = {"pickup"};
    return rest;
  }

  std::vector<detail::nodal_piece> pieces_;
  std::vector<detail::nodal_coupling> couplings_;
  std::vector<std::string> sections_;
  std::string out_;
  detail::nodal_net built_;
  netlist_solver solver_;
  netlist_node jack_;
};

} // namespace lodewire
