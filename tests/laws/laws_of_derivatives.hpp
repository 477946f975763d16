// SPDX-License-Identifier: BSL-1.0
#pragma once

#include "drawn.hpp"
#include "verdict.hpp"
#include "way_slope.hpp"

/// Derivatives with respect to values, by dual numbers, against what needs no difference quotient.
namespace laws {

/// The numbers of a circuit at s and their derivatives along the direction in which its values move: the
/// impedance first, then the response to each EMF.
struct varied {
  std::vector<measured> value, slope;

  varied(const circuit& c, const std::vector<dual<1>>& values, complex s) {
    using ring = dual<1>;
    using system = complex_system<ring>;
    workspace<system> room(c.code);
    machine<system, ring> m(system({s.real(), s.imag()}), values.data(), room);
    run(c.code, m);
    const rounding_bound bound(c, values, s, false, 2, 4);
    const auto add = [this](const split_complex<ring>& q, const rounding_bound::bound& b) {
      value.push_back({{q.re.value, q.im.value}, b.off});
      slope.push_back({{q.re.gradient[0], q.im.gradient[0]}, b.slope_off, std::abs(value.back().value)});
    };
    add(ring(scale::ohm) * m.n() / m.d(), bound.impedance);
    for (std::size_t k = 0; k < m.emfs(); ++k)
      add(room.emf[k] / m.response_denominator(k), bound.response[k]);
  }
};

[[nodiscard]] inline std::vector<dual<1>> at_rest(const circuit& c) {
  return {c.values.begin(), c.values.end()};
}

/// Euler's theorem, twice. In all impedances Z is of degree 1 and H of degree 0: Σ R·∂Z/∂R + L·∂Z/∂L -
/// C·∂Z/∂C = Z. And all reactances together act as s does: Σ L·∂/∂L + C·∂/∂C = s·d/ds.
inline void euler(verdict& v, const drawn& a) {
  const auto moved = [&](const circuit& to, double factor) { // as `scaled` moves them, at a factor of one
    std::vector<dual<1>> values = at_rest(a.what);
    for (std::size_t k = 0; k < values.size(); ++k)
      if (const double x = values[k].value; x != 0 && !is_open(x))
        values[k].gradient[0] = x * std::log(to.values[k] / x) / std::log(factor);
    return values;
  };
  const auto impedances = moved(scaled(a.what, 2, 1), 2), reactances = moved(scaled(a.what, 1, 0.5), 2);
  const reading by_s = by_slopes(a.what);
  for (std::size_t i = 0; i < by_slopes.points.size(); ++i) {
    const varied z(a.what, impedances, by_slopes.points[i]), x(a.what, reactances, by_slopes.points[i]);
    for (std::size_t k = 0; k < z.value.size(); ++k) {
      v.same(z.slope[k], k == 0 ? z.value[0] : measured{0, 0}, "all impedances");
      v.same(x.slope[k], k == 0 ? by_s.impedance[i] : by_s.response[k - 1][i], "all reactances");
    }
  }
}

/// In each value v Z and H are fractions (a + b·v)/(c + d·v), for which ((f(x) - f(y))/(x - y))² =
/// f'(x)·f'(y): the derivatives at two values against the difference of the numbers there, without a limit.
/// Only a mutual inductance, which enters by its square, and an exponent are none of this kind.
inline void fractions(verdict& v, const drawn& a) {
  std::vector<bool> seen(a.what.values.size());
  for (const instruction i : a.what.code)
    for (std::size_t k = 0; k < value_count(i.op); ++k) {
      const std::size_t slot = i.slot + k;
      const double x = a.what.values[slot];
      if (seen[slot] || x == 0 || is_open(x)) continue;
      seen[slot] = true;
      if ((i.op == opcode::coil_pair && k == 0) || (i.op == opcode::power_law && k == 1)) continue;
      std::vector<dual<1>> here = at_rest(a.what), there = here;
      const double y = 1.75 * x;
      here[slot] = dual<1>::variable(x, 0);
      there[slot] = dual<1>::variable(y, 0);
      for (const complex s : {on_axis[2], in_plane[6]}) {
        const varied f(a.what, here, s), g(a.what, there, s);
        for (std::size_t q = 0; q < f.value.size(); ++q) {
          const measured step = (f.value[q] - g.value[q]) / exactly(x - y);
          measured product = f.slope[q] * g.slope[q];
          product.beside = std::abs(f.value[q].value * g.value[q].value / (x * y));
          v.same(step * step, product, "value of " + std::to_string(static_cast<int>(i.op)));
        }
      }
    }
}

/// The circuit with a resistance of zero in series with EMF `emf`, and the slot of that resistance; EMF
/// filters, which show in no impedance, left out.
struct opened_branch {
  circuit c;
  std::size_t slot = 0;
  opened_branch(const circuit& from, std::size_t emf) : c{from} {
    c.code.clear();
    std::vector<std::size_t> ends; // of each entry on the stack: where its last instruction lies in c.code
    std::size_t count = 0, at = c.code.size();
    for (const instruction i : from.code) {
      if (i.op == opcode::emf_filter) continue;
      const int effect = stack_effect(i.op);
      const std::size_t takes = i.op == opcode::coil_pair ? 4
                                : effect == 1             ? 0
                                                          : static_cast<std::size_t>(1 - effect);
      const std::size_t first = ends.size() - takes;
      c.code.push_back(i);
      if (emf >= count && emf < count + emf_count(i.op))
        at = i.op == opcode::coil_pair ? ends[first + emf - count] + 1 : c.code.size();
      count += emf_count(i.op);
      ends.resize(first);
      ends.push_back(c.code.size() - 1);
    }
    slot = c.values.size();
    c.values.push_back(0);
    c.code.insert(c.code.begin() + static_cast<std::ptrdiff_t>(at),
                  {opcode::series_r, 0, static_cast<std::uint16_t>(slot)});
  }
};

/// Reciprocity of a source. A current at the output drives as much of itself through a branch as an EMF in
/// that branch brings to the output: H_k = e_k·I_k/I. And a resistance r in the branch changes the output
/// impedance by ∂Z/∂r = (I_k/I)² (Cohn's theorem; from memory), so ∂Z/∂r·e_k² = H_k².
inline void reciprocity_of_a_source(verdict& v, const drawn& a) {
  if (!a.known.reciprocal || has(a.what, opcode::buffer) || has(a.what, opcode::current_source)) return;
  std::size_t count = 0;
  for (const instruction i : a.what.code)
    for (std::size_t of = 0; of < emf_count(i.op); ++of, ++count) {
      const double e = a.what.values[i.slot + (i.op == opcode::coil_pair ? 2 + of : 0)];
      const opened_branch branch(a.what, count);
      std::vector<dual<1>> values = at_rest(branch.c);
      values[branch.slot].gradient[0] = 1;
      for (const complex s : in_plane) {
        const varied at(branch.c, values, s);
        measured h2 = at.value[1 + count] * at.value[1 + count], dz = at.slope[0] * exactly(e * e);
        h2.beside = e * e;
        v.same(h2, dz);
      }
    }
}

} // namespace laws
