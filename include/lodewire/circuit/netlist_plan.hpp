// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cstddef>
#include <utility>
#include <vector>

#include <lodewire/circuit/netlist_part.hpp>
#include <lodewire/circuit/polynomial.hpp>
#include <lodewire/circuit/scale.hpp>

namespace lodewire::detail {

/// The equations of a reduced netlist in one flat list: which row and column each coefficient goes to. Rows of nodes
/// are the currents out of them (Kirchhoff), rows of branches are D·v - N·i = E (eq. 26).
template <class Real>
struct netlist_plan {
  /// Coefficients in `coefficients`, by rising power of s.
  struct poly {
    std::size_t first = 0, size = 0;
  };
  struct branch {
    std::size_t a, b,
        current; ///< rows of its nodes, and its own; `nowhere`: ground; i = (D·v - E)/N is not unknown
    poly n, d;
    bool is_power;
    Real k, alpha;
  };
  /// What drives a branch: a source, or the voltage at a buffer's input.
  struct drive {
    std::size_t source, branch;
    poly e;
    std::size_t in_hot, in_cold;
  };
  struct injection {
    std::size_t source, hot, cold;
  };
  struct mutual {
    std::size_t a, b; ///< branches
    Real m;
  };
  struct two_port {
    std::size_t in_hot, in_cold, hot, cold, current;
    std::array<Real, 15> m;
  };

  std::size_t unknowns = 0;
  std::vector<Real> coefficients;
  std::vector<branch> branches;
  std::vector<std::size_t> branch_of_edge; ///< `nowhere` for what is no branch
  std::vector<drive> sources, controls;
  std::vector<injection> injections;
  std::vector<mutual> mutuals;
  std::vector<two_port> two_ports;

  netlist_plan() = default;
  template <class Reduction>
  netlist_plan(const Reduction& r, const netlist_data& data) : unknowns{r.unknowns} {
    auto& number = branch_of_edge;
    number.assign(r.edges.size(), nowhere);
    for (const std::size_t k : r.top) {
      const auto& e = r.edges[k];
      if (e.is_loop() && e.current == nowhere) continue; // shorted: it drives nothing but itself
      number[k] = branches.size();
      branches.push_back({r.row(e.hot), r.row(e.cold), e.current, flat(e.n), flat(e.d), e.is_power, e.power_k,
                          e.power_alpha});
      for (const auto& from : e.drives) {
        if (from.from < data.drives.size()) {
          sources.push_back({from.from, number[k], flat(from.e), nowhere, nowhere});
        } else {
          const netlist_part& p = data.parts[r.buffers[from.from - data.drives.size()]];
          controls.push_back({nowhere, number[k], flat(from.e), r.row(p.in_hot), r.row(p.in_cold)});
        }
      }
    }
    for (const auto& m : r.mutuals) mutuals.push_back({number[m.a], number[m.b], m.m});
    for (std::size_t k = 0; k < data.drives.size(); ++k) {
      const netlist_part& p = data.parts[data.drives[k].part];
      if (p.kind == netlist_kind::current_source) injections.push_back({k, r.row(p.hot), r.row(p.cold)});
    }
    for (std::size_t k = 0; k < r.two_ports.size(); ++k) {
      const netlist_part& p = data.parts[r.two_ports[k]];
      two_port t{
          r.row(p.in_hot), r.row(p.in_cold), r.row(p.hot), r.row(p.cold), r.first_port_current + 2 * k, {}};
      for (std::size_t q = 0; q < 5; ++q) { // A, B, C, D, δ in units of s and of impedance
        double unit = q == 1 ? 1 / scale::ohm : q == 2 ? scale::ohm : 1;
        for (std::size_t j = 0; j < 3; ++j, unit *= scale::per_second)
          t.m[3 * q + j] = static_cast<Real>(data.matrices[p.index][3 * q + j]) * Real(unit);
      }
      two_ports.push_back(t);
    }
  }

  /// Adds all entries but those of two-ports by `add(row, column, value)`. `v` gives the values: `one()`, `d(branch)`,
  /// `n(branch)`, `y(branch)` = D/N, `e(poly)`, `e_over_n(poly, branch)`, `sm(m, branch)` = s·m·D.
  template <class Values, class Add>
  void stamp(const Values& v, const Add& add) const {
    for (std::size_t k = 0; k < branches.size(); ++k) {
      const branch& b = branches[k];
      if (b.current != nowhere) {
        add(b.a, b.current, v.one());
        add(b.b, b.current, -v.one());
        const auto d = v.d(k);
        add(b.current, b.a, d);
        add(b.current, b.b, -d);
        add(b.current, b.current, -v.n(k));
      } else {
        const auto y = v.y(k);
        add(b.a, b.a, y);
        add(b.b, b.b, y);
        add(b.a, b.b, -y);
        add(b.b, b.a, -y);
      }
    }
    for (const drive& c : controls) {
      const branch& b = branches[c.branch];
      if (b.current != nowhere) {
        const auto e = v.e(c.e);
        add(b.current, c.in_hot, -e);
        add(b.current, c.in_cold, e);
      } else {
        const auto g = v.e_over_n(c.e, c.branch);
        add(b.a, c.in_hot, -g);
        add(b.a, c.in_cold, g);
        add(b.b, c.in_hot, g);
        add(b.b, c.in_cold, -g);
      }
    }
    for (const mutual& m : mutuals) {
      add(branches[m.a].current, branches[m.b].current, -v.sm(m.m, m.a));
      add(branches[m.b].current, branches[m.a].current, -v.sm(m.m, m.b));
    }
    for (const two_port& t : two_ports) { // the current into port 1, and the one out of port 2
      add(t.in_hot, t.current, v.one());
      add(t.in_cold, t.current, -v.one());
      add(t.hot, t.current + 1, -v.one());
      add(t.cold, t.current + 1, v.one());
    }
  }

  /// Adds the two equations of each two-port, δ·V1 = A·V2 + B·I2 and δ·I1 = C·V2 + D·I2, by
  /// `add(row, column, a0, a1, a2)`.
  template <class Add>
  void stamp_two_ports(const Add& add) const {
    for (const two_port& t : two_ports) {
      const auto put = [&](std::size_t row, std::size_t column, std::size_t q, int sign) {
        add(row, column, Real(sign) * t.m[3 * q], Real(sign) * t.m[3 * q + 1], Real(sign) * t.m[3 * q + 2]);
      };
      put(t.current, t.in_hot, 4, 1);
      put(t.current, t.in_cold, 4, -1);
      put(t.current, t.hot, 0, -1);
      put(t.current, t.cold, 0, 1);
      put(t.current, t.current + 1, 1, -1);
      put(t.current + 1, t.current, 4, 1);
      put(t.current + 1, t.hot, 2, -1);
      put(t.current + 1, t.cold, 2, 1);
      put(t.current + 1, t.current + 1, 3, -1);
    }
  }

  /// Adds what one source of unit value puts on the right-hand side, by `add(row, value)`.
  template <class Values, class Add>
  void excite(std::size_t source, const Values& v, const Add& add) const {
    for (const drive& s : sources) {
      if (s.source != source) continue;
      const branch& b = branches[s.branch];
      if (b.current != nowhere) {
        add(b.current, v.e(s.e));
      } else {
        const auto i = v.e_over_n(s.e, s.branch);
        add(b.a, i);
        add(b.b, -i);
      }
    }
    for (const injection& s : injections) {
      if (s.source != source) continue;
      add(s.hot, v.one());
      add(s.cold, -v.one());
    }
  }

private:
  poly flat(const polynomial<Real>& p) {
    const poly at{coefficients.size(), p.size};
    coefficients.insert(coefficients.end(), p.c, p.c + p.size);
    return at;
  }
};

} // namespace lodewire::detail
