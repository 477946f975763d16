// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>

#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/units.hpp>

/// What a multimeter says of a winding: copper, at the temperature of the day.
namespace lodewire {

/// Temperature coefficient of annealed copper at 20 °C, per kelvin (IEC 60028).
inline constexpr double copper_coefficient_at_20 = 0.00393;

/// Relative change of resistance per kelvin at a temperature in °C: 1/(1/(α20·C) + (t - 20)), with the conductivity C of
/// the wire relative to annealed copper: 0.98 for thin wire of 0.01 to 0.26 mm, 0.93 for tinned wire (handbook of a
/// resistance meter). Throws `invalid_value` for t outside -100 to 300 °C, C outside 0.5 to 1.1.
[[nodiscard]] inline double copper_coefficient(double celsius, double conductivity = 1) {
  require_within("celsius", celsius, -100.0, 300.0);
  require_within("conductivity", conductivity, 0.5, 1.1);
  return 1 / (1 / (copper_coefficient_at_20 * conductivity) + (celsius - 20));
}

/// R(to)/R(from) of a copper wire between two temperatures in °C. Throws as above.
[[nodiscard]] inline double copper_ratio(double from_celsius, double to_celsius, double conductivity = 1) {
  require_within("celsius", to_celsius, -100.0, 300.0);
  return 1 + copper_coefficient(from_celsius, conductivity) * (to_celsius - from_celsius);
}

/// A reading and how far to trust it.
struct meter_resistance {
  resistance value{};
  double error = 0; ///< relative standard error
};

/// A multimeter's reading of a winding at a room's temperature, brought to 20 °C. The error adds the meter's own, as a
/// relative standard error, and that of the temperature in kelvin. Throws `invalid_value`.
[[nodiscard]] inline meter_resistance
resistance_at_20(resistance shown, double celsius, double meter_error = 0.005, double temperature_error = 2) {
  require_positive("shown", shown);
  require_not_negative("meter_error", meter_error);
  require_not_negative("temperature_error", temperature_error);
  const double by_temperature = copper_coefficient(celsius) * temperature_error;
  return {resistance::from_value(shown.value() * copper_ratio(celsius, 20)),
          std::sqrt(meter_error * meter_error + by_temperature * by_temperature)};
}

} // namespace lodewire
