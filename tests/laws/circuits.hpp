// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <optional>

#include <lodewire/circuit/join.hpp>

/// Circuits made from circuits, whatever they are: a one-port has no EMF.
namespace laws {

using namespace lodewire; // in these tests only

/// `series` or `parallel` of the library, for the types that the circuits have.
template <class Join>
[[nodiscard]] circuit joined(const Join& join, const circuit& a, const circuit& b) {
  if (a.emfs.empty() && b.emfs.empty()) return join(one_port(a), one_port(b)).as_circuit();
  if (a.emfs.empty()) return join(one_port(a), source(b)).as_circuit();
  if (b.emfs.empty()) return join(source(a), one_port(b)).as_circuit();
  return join(source(a), source(b)).as_circuit();
}
[[nodiscard]] inline circuit in_line(const circuit& a, const circuit& b) {
  return joined([](const auto&... p) { return series(p...); }, a, b);
}
[[nodiscard]] inline circuit side_by_side(const circuit& a, const circuit& b) {
  return joined([](const auto&... p) { return parallel(p...); }, a, b);
}

/// The circuit behind a stage, and with its leads swapped.
[[nodiscard]] inline circuit behind(const circuit& from, const stage& st) {
  return (source(from) | st).as_circuit();
}
[[nodiscard]] inline circuit turned(const circuit& from) { return reversed(source(from)).as_circuit(); }
[[nodiscard]] inline circuit emf_behind(const circuit& z, double e = 1) {
  return (ideal_emf(voltage::from_value(e)) | in_series(one_port(z))).as_circuit();
}
[[nodiscard]] inline stage across(const circuit& z) { return in_shunt(one_port(z)); }
[[nodiscard]] inline stage in_lead(const circuit& z) { return in_series(one_port(z)); }
/// Two of them turn a Thévenin equivalent into a Norton one and back: what comes out of one is the
/// short-circuit current times r, behind r² times the admittance.
[[nodiscard]] inline stage gyrator(double r) {
  return chain_matrix{.a = {}, .b = {r, 0, 0}, .c = {1 / r, 0, 0}, .d = {}};
}

[[nodiscard]] inline bool has(const circuit& c, opcode op) {
  for (const instruction i : c.code)
    if (i.op == op) return true;
  return false;
}

/// Calls change(op, k, v) for value k of each instruction; each slot once, though several may read it.
template <class Change>
[[nodiscard]] circuit with_values(circuit c, const Change& change) {
  std::vector<bool> done(c.values.size());
  for (const instruction i : c.code)
    for (std::size_t k = 0; k < value_count(i.op); ++k) {
      if (done[i.slot + k]) continue;
      done[i.slot + k] = true;
      change(i.op, k, c.values[i.slot + k]);
    }
  return c;
}

/// Every impedance times `z`, and at every frequency what was at that frequency over `f`.
[[nodiscard]] inline circuit scaled(const circuit& from, double z, double f) {
  return with_values(from, [&](opcode op, std::size_t k, double& v) {
    using enum opcode;
    switch (op) {
    case current_source: v /= z; break;
    case resistor:
    case series_r:
    case shunt_r:
      if (!is_open(v)) v *= z;
      break;
    case inductor:
    case series_l:
    case shunt_l: v *= z / f; break;
    case capacitor:
    case series_c:
    case shunt_c: v /= z * f; break;
    case power_law:
      if (k == 0) v *= z * std::pow(f, -*(&v + 1)); // the exponent lies behind K
      break;
    case emf_filter: v /= k == 0 ? f : f * f; break;
    case coil_pair: v *= k == 0 ? z / f : k == 1 ? 1 / (z * f) : 1; break;
    case chain:
      v *= (k / 3 == 1 ? z : k / 3 == 2 ? 1 / z : 1) * std::pow(f, -static_cast<double>(k % 3));
      break;
    default: break;
    }
  });
}

/// The dual: series for parallel, L = R0²·C, R for R0²/R, and for each EMF a current e/R0. None where a part
/// has no dual among the instructions: a buffer, which senses a voltage, and a coil pair.
[[nodiscard]] inline std::optional<circuit> dual_of(const circuit& from, double r0) {
  using enum opcode;
  if (has(from, buffer) || has(from, coil_pair)) return std::nullopt;
  const double r2 = r0 * r0;
  circuit c = from;
  for (instruction& i : c.code) {
    double* const v = c.values.data() + i.slot;
    const auto resistance = [&] { *v = *v == 0 ? open_value : is_open(*v) ? 0 : r2 / *v; };
    switch (i.op) {
    case emf: i.op = current_source, *v /= r0; break;
    case current_source: i.op = emf, *v *= r0; break;
    case resistor: resistance(); break;
    case series_r: i.op = shunt_r, resistance(); break;
    case shunt_r: i.op = series_r, resistance(); break;
    case inductor: i.op = capacitor, *v /= r2; break;
    case capacitor: i.op = inductor, *v *= r2; break;
    case series_l: i.op = shunt_c, *v /= r2; break;
    case shunt_c: i.op = series_l, *v *= r2; break;
    case series_c: i.op = shunt_l, *v *= r2; break;
    case shunt_l: i.op = series_c, *v /= r2; break;
    case power_law: v[0] = r2 / v[0], v[1] = -v[1]; break;
    case join_series: i.op = join_parallel; break;
    case join_parallel: i.op = join_series; break;
    case chain:
      for (std::size_t k = 0; k < 3; ++k) {
        std::swap(v[k], v[9 + k]);     // A, D
        std::swap(v[3 + k], v[6 + k]); // B, C
        v[3 + k] *= r2, v[6 + k] /= r2;
      }
      break;
    default: break;
    }
  }
  return c;
}

} // namespace laws
