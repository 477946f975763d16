// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <numbers>
#include <string_view>

#include <lodewire/design/from_meter_resistance.hpp>

/// The wire of a winding: a rough start before anything can be measured.
namespace lodewire {

/// Resistivity of annealed copper at 20 °C: 1/58 Ω·mm²/m (IEC 60028; from memory).
inline constexpr double copper_ohm_metre = 1e-6 / 58;

/// Bare diameter of American wire gauge number n, 0 to 56: 0.005 in · 92^((36-n)/39) (from memory, the standard's formula).
/// Throws `invalid_value`.
[[nodiscard]] inline length awg_diameter(int n) {
  require_within("awg", static_cast<double>(n), 0.0, 56.0);
  return length::from_value(0.005 * 0.0254 * std::pow(92, (36 - n) / 39.0));
}

/// Resistance of a copper wire of that bare diameter, per metre at 20 °C: ρ/(π·d²/4). `conductivity` as in
/// `copper_coefficient`. Throws `invalid_value`.
[[nodiscard]] inline resistance_per_length wire_resistance(length diameter, double conductivity = 1) {
  const double d = require_positive("diameter", diameter).value();
  require_within("conductivity", conductivity, 0.5, 1.1);
  return resistance_per_length::from_value(copper_ohm_metre / conductivity * 4 / (std::numbers::pi * d * d));
}

/// A winding as it is planned or counted, each with its relative standard error.
struct winding_data {
  double turns = 0, turns_error = 0.02; ///< a counter is right; what is wound by hand and weighed is not
  length diameter{};                    ///< of the bare copper
  double diameter_error = 0.015;        ///< it counts twice; wire stretches when it is wound tight
  length mean_turn{};                   ///< of one turn, half way up the winding
  double mean_turn_error = 0.03;
};

struct winding_estimate {
  length wire{};
  resistance at_20{};
  double error = 0; ///< relative standard error of the resistance
};

/// Length of the wire and its resistance at 20 °C. Throws `invalid_value`.
[[nodiscard]] inline winding_estimate estimate_winding(const winding_data& w, double conductivity = 1) {
  require_positive("winding.turns", w.turns);
  require_positive("winding.mean_turn", w.mean_turn);
  for (const double e : {w.turns_error, w.diameter_error, w.mean_turn_error})
    require_within("winding, relative error", e, 0.0, 1.0);
  winding_estimate found;
  found.wire = w.turns * w.mean_turn;
  found.at_20 = found.wire * wire_resistance(w.diameter, conductivity);
  found.error = std::sqrt(w.turns_error * w.turns_error + 4 * w.diameter_error * w.diameter_error +
                          w.mean_turn_error * w.mean_turn_error);
  return found;
}

/// What turns, wire and size do not say.
inline constexpr std::string_view winding_does_not_say =
    "From turns, wire and mean turn comes the resistance of the wire and nothing else: not the inductance "
    "(magnets, pole pieces and the shape of the coil decide it), not the capacitance (how the layers lie), "
    "not the losses, and so neither the resonance nor its height. Measure those.";

} // namespace lodewire
