// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <concepts>

#include <lodewire/circuit/one_port.hpp>

namespace lodewire {

/// What may follow `|`: a part of the way from coil to amplifier, from two terminals to two. It can be composed
/// before a source is there.
class stage {
public:
  /// Nothing in between.
  constexpr stage() = default;
  /// From a program that takes one entry and leaves one. Throws `std::invalid_argument` otherwise.
  constexpr explicit stage(circuit program) : circuit_(std::move(program)) {
    detail::require_well_formed(circuit_, 1, "stage");
  }
  [[nodiscard]] constexpr const circuit& as_circuit() const noexcept { return circuit_; }
  [[nodiscard]] bool operator==(const stage&) const = default;

private:
  circuit circuit_;
};

/// Whatever can follow `|`: a cable, an input, a wired potentiometer.
template <class T>
concept Stage = std::convertible_to<T, stage>;

/// A one-port in the hot lead (eq. 6).
[[nodiscard]] constexpr stage in_series(const one_port& z) {
  circuit c;
  detail::join(c, z.as_circuit(), opcode::join_series);
  return stage(std::move(c));
}

/// A one-port from the hot lead to ground (eq. 7).
[[nodiscard]] constexpr stage in_shunt(const one_port& z) {
  circuit c;
  detail::join(c, z.as_circuit(), opcode::join_parallel);
  return stage(std::move(c));
}

/// An amplifier stage: its input loads what comes before, its output is a new source of `gain` times the voltage at
/// the input, behind `output`; nothing of the old side passes (eq. 12). Throws `invalid_value` for a gain that is
/// not finite.
[[nodiscard]] constexpr stage buffer(double gain, const one_port& input, const one_port& output) {
  require_finite("buffer.gain", gain);
  circuit c;
  append(c, input.as_circuit());
  append(c, output.as_circuit());
  emit(c, opcode::buffer, {gain});
  return stage(std::move(c));
}

/// a0 + a1·s + a2·s², in SI.
struct quadratic {
  double a0 = 0, a1 = 0, a2 = 0;
};

/// A two-port by its chain matrix: V1 = A·V2 + B·I2, I1 = C·V2 + D·I2, I2 out of port 2, every entry over the common
/// denominator δ: V1 = (A·V2 + B·I2)/δ (eq. 11). A is a ratio, B in Ω, C in S, D a ratio.
struct chain_matrix {
  quadratic a{1, 0, 0}, b{}, c{}, d{1, 0, 0}, delta{1, 0, 0};

  /// As a stage. Throws `invalid_value` for a coefficient that is not finite.
  constexpr explicit(false) operator stage() const {
    circuit to;
    for (const quadratic& q : {a, b, c, d, delta})
      for (const double x : {q.a0, q.a1, q.a2}) require_finite("chain_matrix coefficient", x);
    emit(to, opcode::chain,
         {a.a0, a.a1, a.a2, b.a0, b.a1, b.a2, c.a0, c.a1, c.a2, d.a0, d.a1, d.a2, delta.a0, delta.a1,
          delta.a2});
    return stage(std::move(to));
  }
};

/// First one, then the other.
[[nodiscard]] constexpr stage operator|(const stage& first, const stage& second) {
  circuit c = first.as_circuit();
  append(c, second.as_circuit());
  return stage(std::move(c));
}

} // namespace lodewire
