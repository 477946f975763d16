// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <complex>
#include <string>

#include <lodewire/circuit/evaluator.hpp>

/// One number at one frequency, for whoever asks once. For curves see analysis/sweep.hpp, for knobs `evaluator` and
/// `composer`: these functions make room for a whole block of frequencies at every call (under a microsecond for five
/// reactive parts).
namespace lodewire {

namespace detail {

/// One of the evaluator's results at one frequency.
template <class Ask>
[[nodiscard]] std::complex<double> ask_at(frequency f, const Ask& ask) {
  const double hz = require_positive("frequency", f).value();
  std::complex<double> result;
  require_no_conflict(ask(std::span(&hz, 1), std::span(&result, 1)));
  return result;
}

} // namespace detail

/// Response to EMF number `emf` at f, times that EMF's own value: volts for a coil whose EMF is in volts. Throws
/// `invalid_value` for a frequency that is not positive or a number past the last EMF, `conflicting_sources`.
[[nodiscard]] inline std::complex<double> response(const source& s, std::size_t emf, frequency f) {
  const circuit& c = s.as_circuit();
  s.require_emf(emf);
  return detail::ask_at(f, [&](auto hz, auto out) { return evaluator(c).responses_to(c, emf, hz, out); });
}

/// Coherent sum of the responses to every EMF at f (all in phase, each with its own value). Throws as above.
[[nodiscard]] inline std::complex<double> response(const source& s, frequency f) {
  const circuit& c = s.as_circuit();
  const std::span<const double> every;
  return detail::ask_at(f, [&](auto hz, auto out) { return evaluator(c).responses(c, hz, every, out); });
}

namespace detail {

[[nodiscard]] inline impedance impedance_of(const circuit& c, frequency f) {
  return impedance::from_value(
      ask_at(f, [&](auto hz, auto out) { return evaluator(c).impedances(c, hz, out); }));
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
  return impedance::from_value(
      detail::ask_at(f, [&](auto hz, auto out) { return evaluator(c).loads(c, terminals, hz, out); }));
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
