// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <optional>
#include <vector>

#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/active_pickup.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/preferred.hpp>

namespace load_match {

/// A pickup with electronics (a resistance is all that it shows) or, with an inductance, a coil.
struct pickup_model {
  lodewire::resistance resistance{};
  std::optional<lodewire::inductance> inductance{};
  lodewire::capacitance capacitance{};

  [[nodiscard]] bool is_coil() const { return inductance.has_value(); }

  [[nodiscard]] lodewire::source as_source() const {
    if (!inductance) return lodewire::active_pickup{.output_resistance = resistance, .name = "pickup"};
    return lodewire::magnetic_coil{
        .inductance = *inductance, .resistance = resistance, .capacitance = capacitance, .name = "pickup"};
  }
};

/// A tone control: a variable resistance and a capacitor in series, to ground.
struct tone_parts {
  lodewire::resistance pot{};
  lodewire::capacitance capacitor{};
};

/// What is there and what is wanted. The values are those of the demo: a two-pickup semi-hollow guitar with 500 kΩ
/// controls, whose owner fits one active pickup at the neck; the humbucking pickup at the bridge is passive.
struct request {
  bool is_demo = true; ///< nothing was asked for on the command line
  pickup_model pickup{.resistance = lodewire::resistance::from_value(10e3)};
  lodewire::resistance wanted = lodewire::resistance::from_value(25e3);
  /// None: the pickup is wired straight to the jack.
  std::optional<lodewire::potentiometer> pot =
      lodewire::potentiometer{.total = lodewire::resistance::from_value(500e3), .law = lodewire::audio_taper};
  std::optional<tone_parts> tone =
      tone_parts{lodewire::resistance::from_value(500e3), lodewire::capacitance::from_value(22e-9)};
  lodewire::capacitance cable = lodewire::capacitance::from_value(600e-12);
  lodewire::resistance input = lodewire::resistance::from_value(1e6);
  double resistor_tolerance = 0.05;
  std::vector<lodewire::e_series> series{lodewire::e_series::e12, lodewire::e_series::e24,
                                         lodewire::e_series::e96};
  std::vector<lodewire::resistance> on_hand{
      lodewire::resistance::from_value(10e3), lodewire::resistance::from_value(22e3),
      lodewire::resistance::from_value(27e3), lodewire::resistance::from_value(33e3),
      lodewire::resistance::from_value(47e3)};
  /// The resistor to look at; none: the best of the first series.
  std::optional<lodewire::resistance> resistor{};
  bool has_straight = true; ///< is the next one asked about? It is the demo's, not one of the user's
  /// The passive pickup that is wired straight to the jack, and the pot that it misses.
  pickup_model straight{lodewire::resistance::from_value(8e3), lodewire::inductance::from_value(4.4),
                        lodewire::capacitance::from_value(120e-12)};
  lodewire::resistance missing = lodewire::resistance::from_value(500e3);

  /// All that lies behind the controls.
  [[nodiscard]] lodewire::stage outside() const {
    return lodewire::in_shunt(cable) | lodewire::stage(lodewire::input{.resistance = input});
  }
};

} // namespace load_match
