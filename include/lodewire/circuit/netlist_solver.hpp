// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <complex>
#include <concepts>
#include <limits>
#include <span>
#include <string>
#include <type_traits>
#include <vector>

#include <lodewire/circuit/complex_system.hpp>
#include <lodewire/circuit/netlist.hpp>
#include <lodewire/circuit/netlist_elimination.hpp>
#include <lodewire/circuit/netlist_flow.hpp>
#include <lodewire/circuit/netlist_plan.hpp>
#include <lodewire/circuit/netlist_reduction.hpp>

namespace lodewire {

/// The room that solving a netlist needs, and its last solution. Made by the solver, for one thread at a time.
template <class Real>
struct basic_netlist_workspace {
  using number = split_complex<Real>;
  detail::netlist_elimination<Real> matrix;
  std::vector<number> d, n, over_n; ///< of each branch at s
  std::vector<number> shaped;       ///< 1/Π(1 + a1·s + a2·s²) of each source
  std::vector<number> solution;     ///< every source at its own value
  std::vector<number> seen;         ///< share of each equation in one voltage
  std::size_t seen_hot = detail::nowhere, seen_cold = detail::nowhere;
  number s;
};

/// Solves a netlist at one complex frequency after another (docs/theory.md, eq. 26 and 27). Made once: it checks the
/// netlist, reduces it and lays out its equations; it holds the values that the netlist had then. Everything after
/// `make_workspace` is `noexcept` and allocates nothing; several threads may share a solver, each with a workspace.
/// The constructor throws `invalid_value` for a netlist without ground or with a node that hangs free, and
/// `singular_netlist`, each with the names. Cost: some 2 µs a point for a guitar's circuit, growing with the cube of the
/// unknowns. Real: double, or any ring that has a `std::numeric_limits` (long double, 50 digits).
/// `variable`: primitives (numbers in `netlist::data`) whose resistance `set_resistance` may change later: resistors,
/// neither 0 Ω nor an open in the netlist. Each stays alone and costs an unknown.
template <class Real>
class basic_netlist_solver {
public:
  using number = split_complex<Real>;
  using workspace = basic_netlist_workspace<Real>;
  /// What results come in.
  using result = std::conditional_t<std::is_floating_point_v<Real>, std::complex<Real>, number>;

  explicit basic_netlist_solver(const netlist& net, std::span<const std::size_t> variable = {})
      : data_{net.data()}, reduced_((require_variable(net, variable), net), merged_degree, variable),
        plan_(reduced_, data_) {
    for (const auto& b : net.branches()) {
      starts_.push_back(flows_.size());
      const auto flows = detail::flow_of_branch(data_, b);
      flows_.insert(flows_.end(), flows.begin(), flows.end());
    }
    starts_.push_back(flows_.size());
    require_solvable(net);
    for (const std::size_t part : variable)
      variable_.push_back(plan_.branch_of_edge[reduced_.edge_of_part[part]]);
  }

  /// Another resistance in Ω for number `which` of the variable ones, 0 and `open_value` included; no allocation, no
  /// check. For whoever has the solver alone. What is solved already stays as it was. 0 Ω counts as 1 nΩ and an open as
  /// 1e23 Ω, so that shorts in a loop and a node behind an open keep an answer.
  void set_resistance(std::size_t which, double ohms) noexcept {
    const std::size_t k = variable_[which];
    if (k == detail::nowhere) return; // it leads nowhere
    const auto& b = plan_.branches[k];
    const bool open = is_open(ohms);
    const double least = 1e-9;
    plan_.coefficients[b.n.first] =
        open ? Real(1) : static_cast<Real>((ohms > least ? ohms : least) / scale::ohm);
    plan_.coefficients[b.d.first] = Real(open ? 0x1p-60 : 1.0);
  }

  [[nodiscard]] workspace make_workspace() const {
    workspace room;
    room.matrix = detail::netlist_elimination<Real>(plan_.unknowns);
    room.d.resize(plan_.branches.size());
    room.n = room.over_n = room.d;
    room.shaped.resize(data_.drives.size());
    room.solution.resize(plan_.unknowns);
    room.seen = room.solution;
    return room;
  }
  /// How many equations are left after the reduction.
  [[nodiscard]] std::size_t unknowns() const noexcept { return plan_.unknowns; }

  /// Solves for s, in 1/s. False where there is no single answer at this s (a capacitor's end at s = 0, a pole): then
  /// the results have no meaning.
  bool solve(const std::complex<double>& s, workspace& room) const noexcept {
    return solve(number(static_cast<Real>(s.real()), static_cast<Real>(s.imag())), room);
  }
  template <std::same_as<number> Number>
  bool solve(const Number& s, workspace& room) const noexcept {
    return assemble(s, room) && finish(room, room.matrix.factor());
  }

  /// v(hot) - v(cold) with every source at its own value.
  [[nodiscard]] result voltage(const workspace& room, netlist_node hot,
                               netlist_node cold = netlist_ground) const noexcept {
    return out(at(room.solution, row(hot)) - at(room.solution, row(cold)));
  }
  /// Current into a branch at its first node, in A, with every source at its own value.
  [[nodiscard]] result current(const workspace& room, netlist_branch branch) const noexcept {
    const auto k = static_cast<std::size_t>(branch);
    number sum{};
    for (std::size_t j = starts_[k]; j < starts_[k + 1]; ++j)
      sum = sum + static_cast<Real>(flows_[j].weight / scale::ohm) * of_part(room, flows_[j]);
    return out(sum);
  }
  /// What a source between the two nodes would see, in Ω, every source at rest.
  [[nodiscard]] result impedance(workspace& room, netlist_node hot,
                                 netlist_node cold = netlist_ground) const noexcept {
    look_at(room, hot, cold);
    return out(static_cast<Real>(scale::ohm) * (at(room.seen, row(hot)) - at(room.seen, row(cold))));
  }
  /// v(hot) - v(cold) for 1 V (1 A) of one source, its filter included, the others at rest. Times the EMF's value it is
  /// what `response` gives for the same tree.
  [[nodiscard]] result transfer(workspace& room, netlist_source source, netlist_node hot,
                                netlist_node cold = netlist_ground) const noexcept {
    look_at(room, hot, cold);
    const auto k = static_cast<std::size_t>(source);
    number sum{};
    plan_.excite(k, values{*this, room},
                 [&](std::size_t row, const number& x) { sum = sum + x * at(room.seen, row); });
    return out(sum * room.shaped[k] * number(unit_of(k)));
  }

private:
  static void require_variable(const netlist& net, std::span<const std::size_t> variable) {
    for (const std::size_t k : variable)
      if (k >= net.data().parts.size() || net.data().parts[k].kind != netlist_kind::resistor ||
          net.data().parts[k].value == 0 || is_open(net.data().parts[k].value))
        throw invalid_value("variable part", std::to_string(k),
                            "the number of a resistor, neither 0 Ω nor an open");
  }

  /// Polynomials of a merged branch: a coil, a tone control. More would cost digits.
  static constexpr std::size_t merged_degree = 6;

  /// What `netlist_plan` asks for, at one s.
  struct values {
    const basic_netlist_solver& solver;
    const workspace& room;
    [[nodiscard]] number one() const noexcept { return number(Real(1)); }
    [[nodiscard]] const number& d(std::size_t branch) const noexcept { return room.d[branch]; }
    [[nodiscard]] const number& n(std::size_t branch) const noexcept { return room.n[branch]; }
    [[nodiscard]] number y(std::size_t branch) const noexcept { return room.d[branch] * room.over_n[branch]; }
    [[nodiscard]] number e(const typename detail::netlist_plan<Real>::poly& p) const noexcept {
      return solver.at_s(solver.plan_.coefficients.data() + p.first, p.size, room.s);
    }
    [[nodiscard]] number e_over_n(const typename detail::netlist_plan<Real>::poly& p,
                                  std::size_t branch) const noexcept {
      return e(p) * room.over_n[branch];
    }
    [[nodiscard]] number sm(const Real& m, std::size_t branch) const noexcept {
      return m * (room.s * room.d[branch]);
    }
  };

  [[nodiscard]] static result out(const number& x) noexcept {
    if constexpr (std::is_floating_point_v<Real>) {
      return {x.re, x.im};
    } else {
      return x;
    }
  }
  [[nodiscard]] static number at(const std::vector<number>& x, std::size_t row) noexcept {
    return row == detail::nowhere ? number{} : x[row];
  }
  [[nodiscard]] std::size_t row(netlist_node node) const noexcept {
    return reduced_.row(static_cast<std::size_t>(node));
  }
  [[nodiscard]] static number at_s(const Real* c, std::size_t size, const number& s) noexcept {
    number y{};
    for (std::size_t k = size; k-- > 0;) y = y * s + number(c[k]);
    return y;
  }
  /// Volts, or amperes in units of 1 V/`scale::ohm`.
  [[nodiscard]] Real unit_of(std::size_t source) const noexcept {
    return Real(data_.parts[data_.drives[source].part].kind == netlist_kind::emf ? 1 : scale::ohm);
  }
  [[nodiscard]] Real value_of(std::size_t source) const noexcept {
    return static_cast<Real>(data_.parts[data_.drives[source].part].value) * unit_of(source);
  }

  bool assemble(const number& s, workspace& room) const noexcept {
    room.s = Real(1 / scale::per_second) * s;
    room.seen_hot = room.seen_cold = detail::nowhere;
    bool defined = true;
    for (std::size_t k = 0; k < plan_.branches.size(); ++k) {
      const auto& b = plan_.branches[k];
      room.d[k] = at_s(plan_.coefficients.data() + b.d.first, b.d.size, room.s);
      room.n[k] = at_s(plan_.coefficients.data() + b.n.first, b.n.size, room.s);
      if (b.is_power) complex_system<Real>(s).power(room.n[k], b.k, b.alpha);
      if (b.current != detail::nowhere) continue;
      if (squared_magnitude(room.n[k]) > Real(0)) {
        room.over_n[k] = number(Real(1)) / room.n[k];
      } else {
        defined = false;
      }
    }
    for (std::size_t k = 0; k < data_.drives.size(); ++k) {
      room.shaped[k] = number(Real(1));
      for (const auto& f : data_.drives[k].filters) {
        const Real c[3] = {Real(1), static_cast<Real>(f[0]) * Real(scale::per_second),
                           static_cast<Real>(f[1]) * Real(scale::per_second * scale::per_second)};
        const number low_pass = at_s(c, 3, room.s);
        if (!(squared_magnitude(low_pass) > Real(0))) return false;
        room.shaped[k] = room.shaped[k] / low_pass;
      }
    }
    if (!defined) return false;
    auto& m = room.matrix;
    m.clear();
    plan_.stamp(values{*this, room},
                [&](std::size_t row, std::size_t column, const number& x) { m.add(row, column, x); });
    plan_.stamp_two_ports(
        [&](std::size_t row, std::size_t column, const Real& a0, const Real& a1, const Real& a2) {
          const Real c[3] = {a0, a1, a2};
          m.add(row, column, at_s(c, 3, room.s));
        });
    return true;
  }

  bool finish(workspace& room, std::size_t without_pivot) const noexcept {
    if (without_pivot != detail::nowhere) return false;
    for (number& x : room.solution) x = number{};
    for (std::size_t k = 0; k < data_.drives.size(); ++k) {
      const number u = value_of(k) * room.shaped[k];
      plan_.excite(k, values{*this, room}, [&](std::size_t row, const number& x) {
        if (row != detail::nowhere) room.solution[row] = room.solution[row] + u * x;
      });
    }
    room.matrix.solve(room.solution);
    return true;
  }

  /// How v(hot) - v(cold) follows from the right-hand sides; kept until the next pair or the next s.
  void look_at(workspace& room, netlist_node hot, netlist_node cold) const noexcept {
    const auto a = static_cast<std::size_t>(hot), b = static_cast<std::size_t>(cold);
    if (room.seen_hot == a && room.seen_cold == b) return;
    room.seen_hot = a;
    room.seen_cold = b;
    for (number& x : room.seen) x = number{};
    if (row(hot) != detail::nowhere) room.seen[row(hot)] = number(Real(1));
    if (row(cold) != detail::nowhere) room.seen[row(cold)] = room.seen[row(cold)] - number(Real(1));
    room.matrix.solve_transposed(room.seen);
  }

  // -- currents --------------------------------------------------------------------------------------------
  using edge = detail::netlist_edge<Real>;

  [[nodiscard]] number value(const polynomial<Real>& p, const workspace& room) const noexcept {
    return at_s(p.c, p.size, room.s);
  }
  /// Σ E_k·u_k of an edge.
  [[nodiscard]] number driven(const edge& e, const workspace& room) const noexcept {
    number sum{};
    for (const auto& from : e.drives) {
      number u{};
      if (from.from < data_.drives.size()) {
        u = value_of(from.from) * room.shaped[from.from];
      } else {
        const netlist_part& p = data_.parts[reduced_.buffers[from.from - data_.drives.size()]];
        u = at(room.solution, reduced_.row(p.in_hot)) - at(room.solution, reduced_.row(p.in_cold));
      }
      sum = sum + u * value(from.e, room);
    }
    return sum;
  }
  [[nodiscard]] number impedance_part(const edge& e, const workspace& room) const noexcept {
    number n = value(e.n, room);
    if (e.is_power) complex_system<Real>(Real(scale::per_second) * room.s).power(n, e.power_k, e.power_alpha);
    return n;
  }
  [[nodiscard]] number of_edge(const workspace& room, std::size_t k) const noexcept {
    const edge& e = reduced_.edges[k];
    if (e.absent) return {};
    if (e.parent == detail::nowhere) {
      if (e.current != detail::nowhere) return room.solution[e.current];
      const number v = at(room.solution, reduced_.row(e.hot)) - at(room.solution, reduced_.row(e.cold));
      return (value(e.d, room) * v - driven(e, room)) / impedance_part(e, room);
    }
    const number through = of_edge(room, e.parent);
    const Real sign(e.sign);
    if (e.how == edge::join::series) return sign * through;
    // Two in parallel share the current (eq. 28); no N is divided by, so a coil may be a short at s = 0.
    const edge& o = reduced_.edges[e.other];
    const number shared = value(o.n, room) * through + Real(o.sign) * driven(o, room);
    const number mine = value(e.d, room) * shared - sign * (driven(e, room) * value(o.d, room));
    return sign * mine / value(reduced_.edges[e.parent].d, room);
  }
  /// In units of 1 V/`scale::ohm`.
  [[nodiscard]] number of_part(const workspace& room, const detail::netlist_flow& f) const noexcept {
    const netlist_part& p = data_.parts[f.part];
    if (p.kind == netlist_kind::current_source) return -value_of(p.index) * room.shaped[p.index];
    if (p.kind == netlist_kind::two_port) {
      std::size_t k = 0;
      while (reduced_.two_ports[k] != f.part) ++k;
      const std::size_t at = plan_.two_ports[k].current;
      return f.port_1 ? room.solution[at] : -room.solution[at + 1];
    }
    return of_edge(room, reduced_.edge_of_part[f.part]);
  }

  // -- the check -------------------------------------------------------------------------------------------
  /// Tries two frequencies of no meaning; singular at both is singular at all.
  void require_solvable(const netlist& net) const {
    workspace room = make_workspace();
    const Real least = Real(64) * std::numeric_limits<Real>::epsilon();
    const double tried[2][2] = {{9123.5, 23011.25}, {1770.75, 6402.5}};
    for (const auto& s : tried) {
      if (!assemble(number(Real(s[0]), Real(s[1])), room)) continue;
      const std::size_t column = room.matrix.factor(least);
      if (column == detail::nowhere) return;
      if (&s == &tried[0]) continue;
      refuse(net, room.matrix.unseen(column));
    }
  }
  [[noreturn]] void refuse(const netlist& net, const std::vector<number>& unseen) const {
    const auto part_of = [&](std::size_t row) {
      return row == detail::nowhere ? Real(0) : Real(squared_magnitude(unseen[row]));
    };
    std::vector<std::string> names;
    const netlist::named_node* worst = nullptr;
    for (const auto& n : net.nodes())
      if (part_of(reduced_.row(n.at)) >
          (worst == nullptr ? Real(1e-20) : part_of(reduced_.row(worst->at)) * Real(1.01)))
        worst = &n;
    if (worst != nullptr) throw singular_netlist("no single answer for the voltage of node", {worst->name});
    Real largest(0);
    for (std::size_t k = 0; k < unseen.size(); ++k) largest = part_of(k) > largest ? part_of(k) : largest;
    for (std::size_t p = 0; p < data_.parts.size(); ++p) {
      std::size_t k = reduced_.edge_of_part[p];
      for (; k != detail::nowhere && reduced_.edges[k].parent != detail::nowhere;)
        k = reduced_.edges[k].parent;
      if (k == detail::nowhere || !(part_of(reduced_.edges[k].current) > largest * Real(0.01))) continue;
      const std::string& name = detail::name_of_part(net, p);
      if (names.empty() || names.back() != name) names.push_back(name);
    }
    throw singular_netlist("no single answer for the current of", names);
  }

  netlist_data data_;
  detail::netlist_reduction<Real> reduced_;
  detail::netlist_plan<Real> plan_;
  std::vector<detail::netlist_flow> flows_; ///< of every branch
  std::vector<std::size_t> starts_;
  std::vector<std::size_t> variable_; ///< numbers of their branches in the plan
};

using netlist_solver = basic_netlist_solver<double>;
using netlist_workspace = basic_netlist_workspace<double>;

} // namespace lodewire
