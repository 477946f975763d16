// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/stage.hpp>

namespace lodewire {

/// What the cable ends in: a resistance to ground, then an optional stopper resistor into an input capacitance. The
/// response is the voltage behind the stopper. Amplifiers: 220 kΩ to 1 MΩ; valve amplifiers 1 MΩ with 68 kΩ a jack
/// (docs/validation.md). Checked where it becomes a stage: resistance > 0, the others ≥ 0; throws `invalid_value`.
struct input {
  lodewire::resistance resistance = lodewire::resistance::from_value(1e6);
  lodewire::capacitance capacitance{};
  lodewire::resistance stopper{};

  [[nodiscard]] explicit(false) operator stage() const {
    require_positive("input.resistance", resistance);
    require_not_negative("input.stopper", stopper);
    require_not_negative("input.capacitance", capacitance);
    circuit to;
    emit(to, opcode::shunt_r, {resistance.value()});
    if (stopper.value() > 0) emit(to, opcode::series_r, {stopper.value()});
    if (capacitance.value() > 0) emit(to, opcode::shunt_c, {capacitance.value()});
    return stage(std::move(to));
  }
  [[nodiscard]] bool operator==(const input&) const = default;
};

/// Input capacitance of an inverting stage of gain -A: C_gk + C_ga·(1 + A), since the far plate of C_ga moves A volts
/// the other way (M. Blencowe, "Grid stopper", valvewizard.co.uk). A ≥ 0; throws `invalid_value`.
[[nodiscard]] inline capacitance miller_capacitance(capacitance to_cathode, capacitance to_anode,
                                                    double gain) {
  require_not_negative("miller_capacitance.to_cathode", to_cathode);
  require_not_negative("miller_capacitance.to_anode", to_anode);
  return to_cathode + to_anode * (1.0 + require_not_negative("miller_capacitance.gain", gain));
}

} // namespace lodewire
