// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <complex>
#include <numbers>
#include <string>

#include <lodewire/circuit/source.hpp>

/// One number at one frequency, for whoever asks once. For curves see analysis/sweep.hpp, for knobs `evaluator` and
/// `composer`: these functions make a workspace at every call.
namespace lodewire {

namespace detail {

using point_system = complex_system<double>;
using point_machine = machine<point_system, double>;

[[nodiscard]] inline point_system system_at(frequency f) {
  return point_system({0.0, 2 * std::numbers::pi * require_positive("frequency", f).value()});
}

} // namespace detail

/// Response to EMF number `emf` at f, times that EMF's own value: volts for a coil whose EMF is in volts. Throws
/// `invalid_value` for a frequency that is not positive or a number past the last EMF, `conflicting_sources`.
[[nodiscard]] inline std::complex<double> response(const source& s, std::size_t emf, frequency f) {
  const circuit& c = s.as_circuit();
  if (emf >= c.emfs.size())
    throw invalid_value("EMF number", std::to_string(emf), "0 to " + std::to_string(c.emfs.size() - 1));
  workspace<detail::point_system> room(c.code);
  detail::point_machine m(detail::system_at(f), c.values.data(), room);
  run(c.code, m);
  if (m.status() != circuit_status::ok) throw conflicting_sources(m.status());
  const auto denominator = m.response_denominator(emf);
  if (detail::point_system::is_zero(room.emf[emf])) return 0;
  return to_standard(room.emf[emf] / denominator);
}

/// Coherent sum of the responses to every EMF at f (all in phase, each with its own value).
[[nodiscard]] inline std::complex<double> response(const source& s, frequency f) {
  std::complex<double> sum = 0;
  for (std::size_t k = 0; k < s.emf_names().size(); ++k) sum += response(s, k, f);
  return sum;
}

namespace detail {

[[nodiscard]] inline impedance impedance_of(const circuit& c, frequency f) {
  workspace<point_system> room(c.code);
  point_machine m(system_at(f), c.values.data(), room);
  run(c.code, m);
  if (m.status() != circuit_status::ok) throw conflicting_sources(m.status());
  return impedance::from_value(to_standard(scale::ohm * m.n() / m.d()));
}

} // namespace detail

/// Impedance of a one-port at f; not finite for an open. Throws `invalid_value` for a frequency that is not positive.
[[nodiscard]] inline impedance impedance_at(const one_port& z, frequency f) {
  return detail::impedance_of(z.as_circuit(), f);
}

/// Output impedance of a source at f, every EMF at rest. Throws as `response` does.
[[nodiscard]] inline impedance output_impedance(const source& s, frequency f) {
  return detail::impedance_of(s.as_circuit(), f);
}

/// The load that the source behind terminal pair number `terminals` sees at f: everything that follows and everything
/// that is joined to it, other sources at rest (eq. 15). Not finite where it sees nothing. Throws as `response`.
[[nodiscard]] inline impedance load_seen(const source& s, std::size_t terminals, frequency f) {
  const circuit& c = s.as_circuit();
  if (terminals >= c.terminals.size())
    throw invalid_value("terminal pair", std::to_string(terminals),
                        c.terminals.empty() ? "nothing: this circuit marks none"
                                            : "0 to " + std::to_string(c.terminals.size() - 1));
  split_complex<double> seen[2];
  for (const bool as_current : {false, true}) {
    workspace<detail::point_system> room(c.code);
    detail::point_machine m(detail::system_at(f), c.values.data(), room);
    m.probe(static_cast<std::uint8_t>(terminals), as_current);
    run(c.code, m);
    seen[as_current] = m.probed();
  }
  return impedance::from_value(to_standard(scale::ohm * seen[0] / seen[1]));
}

/// What a stage presents to whatever drives it at f, its output left open: a volume control alone, or everything up to
/// the amplifier. Throws `invalid_value`.
[[nodiscard]] inline impedance input_impedance(const stage& s, frequency f) {
  circuit probe;
  emit(probe, opcode::emf, {1.0});
  emit(probe, opcode::series_r,
       {scale::ohm}); // never seen; it keeps a short in the stage from being a conflict
  emit(probe, opcode::terminals, {}, 0);
  probe.emfs = {"probe"};
  probe.terminals = {"probe"};
  append(probe, s.as_circuit());
  return load_seen(source(std::move(probe)), 0, f);
}

} // namespace lodewire
