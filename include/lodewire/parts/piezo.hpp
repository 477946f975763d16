// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>

#include <lodewire/circuit/source.hpp>

namespace lodewire {

/// A piezo pickup: an EMF behind its own capacitance, so whatever resistance it sees makes a high-pass at 1/(2πRC).
/// Checked where it becomes a source: capacitance > 0; throws `invalid_value`.
struct piezo {
  lodewire::capacitance capacitance{};
  voltage emf = voltage::from_value(1);
  std::string name = "piezo";

  [[nodiscard]] explicit(false) operator source() const {
    circuit c;
    emit(c, opcode::emf, {require_not_negative({name, "emf"}, emf).value()});
    c.emfs.push_back(name);
    emit(c, opcode::series_c, {require_positive({name, "capacitance"}, capacitance).value()});
    emit(c, opcode::terminals, {}, 0);
    c.terminals.push_back(name);
    return source(std::move(c));
  }
  [[nodiscard]] bool operator==(const piezo&) const = default;
};

} // namespace lodewire
