// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/stage.hpp>

namespace lodewire {

/// An instrument cable, lumped: half its capacitance at each end of its series R and L where those are given, one
/// shunt capacitance where they are not. At 20 kHz and 6 m a line's chain parameters differ from it by 8.4e-6
/// (docs/validation.md), so nothing is gained by a line. Typical 90 to 160 pF/m; about 100 pF/m is common (Sound on
/// Sound, November 2009). Checked where it becomes a stage: all ≥ 0 and finite; throws `invalid_value`.
struct cable {
  lodewire::length length{};
  capacitance_per_length capacitance{};
  resistance_per_length resistance{}; ///< both conductors
  inductance_per_length inductance{};

  [[nodiscard]] explicit(false) operator stage() const {
    require_not_negative("cable.length", length);
    const lodewire::capacitance c = length * require_not_negative("cable.capacitance", capacitance);
    const lodewire::resistance r = length * require_not_negative("cable.resistance", resistance);
    const lodewire::inductance l = length * require_not_negative("cable.inductance", inductance);
    circuit to;
    if (r.value() == 0 && l.value() == 0) {
      emit(to, opcode::shunt_c, {c.value()});
    } else {
      emit(to, opcode::shunt_c, {c.value() / 2});
      emit(to, opcode::series_r, {r.value()});
      emit(to, opcode::series_l, {l.value()});
      emit(to, opcode::shunt_c, {c.value() / 2});
    }
    return stage(std::move(to));
  }
  [[nodiscard]] bool operator==(const cable&) const = default;
};

} // namespace lodewire
