// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/response.hpp>
#include <lodewire/design/measured_curve.hpp>

/// Impedance from a voltage divider: the way to measure a coil with a generator and two inputs.
namespace lodewire {

/// Generator, reference resistor, and the coil from there to ground; channel 1 before the resistor, channel 2 at the
/// coil.
struct measured_divider {
  lodewire::resistance reference{}; ///< between the channels
  /// Of the generator: 0 where channel 1 is measured at its terminals; else what stands before them.
  lodewire::resistance generator{};
  /// What hangs at the coil by measuring: channel 2's `input{.resistance = 1_MOhm, .capacitance = 24_pF}`, a probe,
  /// any stage; none if not given.
  stage input{};
};

/// Z = R·H/(1 - H) with H = V2/V1 (docs/theory.md, eq. 44), the input taken away. An error of H comes through 1/|1 - H|
/// times as large (eq. 45): that goes into the spread, so that points near H = 1 weigh less. Give H its own `spread`
/// where it is known. Throws `invalid_value` for H = 1, a reference that is not positive.
[[nodiscard]] inline measured_curve impedance_from_divider(const measured_curve& ratio,
                                                           const measured_divider& by) {
  require_curve(ratio, 1);
  if (ratio.kind != curve_kind::ratio)
    throw invalid_value(ratio.name, "an impedance", "a voltage ratio V2/V1");
  if (ratio.magnitude_only) throw invalid_value(ratio.name, "without phase", "a ratio with its phase");
  const double r = require_positive("divider.reference", by.reference).value() +
                   require_not_negative("divider.generator", by.generator).value();
  measured_curve z = ratio;
  z.kind = curve_kind::ohms;
  if (z.spread.empty()) z.spread.assign(z.size(), 1.0);
  const bool loaded = !by.input.as_circuit().code.empty();
  std::vector<std::complex<double>> shunt(z.size());
  for (std::size_t i = 0; i < z.size(); ++i) {
    const std::complex<double> drop = 1.0 - ratio.value[i];
    if (std::abs(drop) < 1e-9)
      detail::refuse_point(ratio, i, "a ratio of 1", "some voltage across the reference resistor");
    z.value[i] = r * ratio.value[i] / drop;
    z.spread[i] /= std::abs(drop);
    if (loaded) shunt[i] = 1.0 / input_impedance(by.input, frequency::from_value(z.hz[i])).value();
  }
  return loaded ? without_shunt(std::move(z), shunt) : z;
}

} // namespace lodewire
