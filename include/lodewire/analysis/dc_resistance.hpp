// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/response.hpp>

namespace lodewire {

namespace detail {

/// The circuit at dc: inductances are shorts, capacitances are opens, and of a two-port the constant terms stay.
[[nodiscard]] inline circuit at_dc(circuit c) {
  for (instruction& i : c.code) {
    double* const v = c.values.data() + i.slot;
    switch (i.op) {
    case opcode::inductor:
    case opcode::capacitor:
    case opcode::series_l:
    case opcode::series_c:
    case opcode::shunt_l:
    case opcode::shunt_c: v[0] = 0; break;
    case opcode::power_law: // K·s^α: a short for α > 0, an open for α < 0
      i.op = opcode::resistor;
      if (v[1] > 0) v[0] = 0;
      if (v[1] < 0) v[0] = open_value;
      break;
    case opcode::coil_pair: v[0] = v[1] = 0; break;
    case opcode::chain:
      for (int entry = 0; entry < 5; ++entry) v[3 * entry + 1] = v[3 * entry + 2] = 0;
      break;
    default: break;
    }
  }
  return c;
}

[[nodiscard]] inline resistance resistance_at_dc(const circuit& c) {
  const double ohms = impedance_of(at_dc(c), frequency::from_value(1e3)).value().real();
  return resistance::from_value(is_finite(ohms) ? ohms : open_value);
}

} // namespace detail

/// What an ohmmeter reads between the two leads of a source at rest: winding resistances, potentiometers and resistors
/// as wired. `open_value` where nothing conducts. Throws `conflicting_sources`. Cost: one evaluation.
[[nodiscard]] inline resistance dc_resistance(const source& s) {
  return detail::resistance_at_dc(s.as_circuit());
}

/// Of a one-port.
[[nodiscard]] inline resistance dc_resistance(const one_port& z) {
  return detail::resistance_at_dc(z.as_circuit());
}

} // namespace lodewire
