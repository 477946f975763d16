// SPDX-License-Identifier: BSL-1.0
// The whole algebra runs in constant expressions: every opcode, in points and in polynomials, and what it refuses.
#include <lodewire/circuit/complex_system.hpp>
#include <lodewire/circuit/dual.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/machine.hpp>
#include <lodewire/circuit/polynomial_system.hpp>
#include <lodewire/quantity/literals.hpp>

using namespace lodewire;
using namespace lodewire::literals;

namespace {

struct result {
  split_complex<double> response[3]{};
  split_complex<double> impedance{};
  circuit_status status{};
};

constexpr result at(const circuit& c, double omega) {
  using system = complex_system<double>;
  workspace<system> room(c.code);
  machine<system, double> m(system({0.0, omega}), c.values.data(), room);
  run(c.code, m);
  result r;
  r.status = m.status();
  for (std::size_t k = 0; k < m.emfs() && k < 3; ++k) r.response[k] = room.emf[k] / m.response_denominator(k);
  r.impedance = scale::ohm * m.n() / m.d();
  return r;
}

constexpr bool near(double is, double expected) {
  const double off = is - expected, size = expected < 0 ? -expected : expected;
  return (off < 0 ? -off : off) <= 1e-13 * (size + 1);
}
constexpr bool near(const split_complex<double>& is, double re, double im) {
  return near(is.re, re) && near(is.im, im);
}

// One-ports: 27 kΩ beside 500 kΩ is 25.6166983 kΩ (13.5e9/527e3, computed from the formula).
constexpr double beside = at(parallel(27_kOhm, 500_kOhm).as_circuit(), 1).impedance.re;
static_assert(near(beside, 13.5e9 / 527e3));
static_assert(beside > 25616.69829 && beside < 25616.69830);
static_assert(near(at(series(3_kOhm, 2_H).as_circuit(), 500).impedance, 3e3, 1e3));
static_assert(near(at(series(short_circuit(), 1_uF).as_circuit(), 1e3).impedance, 0, -1e3));
static_assert(near(at(parallel(open_circuit(), 1_uF, 0_F).as_circuit(), 1e3).impedance, 0, -1e3));

// A source holds names, and std::string in constant expressions does not work in the oldest compilers that lodewire
// supports; its program does. So the typed stages go behind an EMF without a name.
constexpr circuit driven(double volts, const stage& st) {
  circuit c;
  emit(c, opcode::emf, {volts});
  append(c, st.as_circuit());
  return c;
}
constexpr result behind(double volts, const stage& st, double omega = 1) {
  return at(driven(volts, st), omega);
}

static_assert(near(behind(3, in_series(1_kOhm) | in_shunt(2_kOhm)).response[0], 2, 0));
static_assert(near(behind(2, in_series(1_H) | in_shunt(1_kOhm), 1e3).response[0], 1, -1));
static_assert(near(behind(2, in_series(1_uF) | in_shunt(1_kOhm), 1e3).response[0], 1, 1));
static_assert(near(behind(2, in_series(1_kOhm) | in_shunt(1_uF), 1e3).response[0], 1, -1));
static_assert(near(behind(2, in_series(1_kOhm) | in_shunt(1_H), 1e3).response[0], 1, 1));
static_assert(near(
    behind(2, in_series(parallel(2_kOhm, 2_kOhm)) | in_shunt(series(500_Ohm, 500_Ohm))).response[0], 1, 0));
static_assert(near(behind(2, in_series(1_kOhm) | buffer(3, 1_kOhm, 5_kOhm)).response[0], 3, 0));
static_assert(near(behind(2, in_series(1_kOhm) | buffer(3, 1_kOhm, 5_kOhm)).impedance, 5e3, 0));
static_assert(near(behind(2, chain_matrix{.a = {4, 0, 0}, .delta = {2, 0, 0}}).response[0], 1, 0));
static_assert(behind(1, in_shunt(short_circuit())).status == circuit_status::conflicting_voltages);
static_assert(behind(1, in_series(1_kOhm) | in_shunt(short_circuit())).status == circuit_status::ok);

// Millman: 28 V through 4 Ω, 0 V through 2 Ω, 7 V through 1 Ω is 8 V (Kuphaldt, Lessons in Electric Circuits).
constexpr result millman() {
  circuit c = driven(28, in_series(4_Ohm));
  append(c, driven(0, in_series(2_Ohm)));
  emit(c, opcode::join_parallel);
  append(c, driven(7, in_series(1_Ohm)));
  emit(c, opcode::join_parallel);
  return at(c, 1);
}
static_assert(near(millman().response[0].re + millman().response[1].re + millman().response[2].re, 8));
static_assert(near(millman().impedance, 4.0 / 7, 0));

// The opcodes that no typed face has.
constexpr result by_opcode() {
  circuit c;
  for (int i = 0; i < 2; ++i) append(c, series(1_kOhm, 1_H).as_circuit());
  for (int i = 0; i < 2; ++i) append(c, open_circuit().as_circuit());
  emit(c, opcode::coil_pair, {0.5, 0, 1, 1});
  emit(c, opcode::emf_filter, {1e-3, 0}, 1);
  emit(c, opcode::terminals);
  emit(c, opcode::reverse);
  emit(c, opcode::current_source, {0});
  emit(c, opcode::join_parallel);
  return at(c, 1e3);
}
static_assert(near(by_opcode().response[0], -0.5, 0.5));
static_assert(near(by_opcode().response[1], -1, 0));
static_assert(near(by_opcode().impedance, 2e3, 3e3));

// Polynomials and dual numbers: 1/(1 + sRC) and its derivative with respect to R.
constexpr bool polynomials() {
  using number = dual<1>;
  using system = polynomial_system<number>;
  const circuit c = driven(1, in_series(10_kOhm) | in_shunt(10_nF));
  std::vector<number> values;
  for (const double v : c.values) values.push_back(v);
  values[1] = number::variable(10e3, 0);
  workspace<system> room(c.code);
  machine<system, number> m(system{}, values.data(), room);
  run(c.code, m);
  const auto& d = m.d();
  return room.emf[0].size == 1 && d.size == 2 &&
         near(d.c[1].value / d.c[0].value, 1e-4 * scale::per_second) &&
         near(d.c[1].gradient[0] / d.c[0].value, 1e-8 * scale::per_second);
}
static_assert(polynomials());

// A program that reads past its stack is no constant expression, and throws at run time.
constexpr bool well_formed(opcode op) {
  circuit c;
  emit(c, opcode::resistor, {1.0});
  emit(c, op, {1.0});
  detail::require_well_formed(c, 0, "test");
  return true;
}
template <opcode Op>
concept WellFormed = requires {
  typename std::bool_constant<well_formed(Op)>;
};
static_assert(WellFormed<opcode::series_r>);
static_assert(!WellFormed<opcode::buffer>);      // wants three entries
static_assert(!WellFormed<opcode::join_series>); // wants two
static_assert(!WellFormed<opcode::resistor>);    // leaves two

} // namespace
