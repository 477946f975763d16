// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <numbers>
#include <optional>
#include <string>

#include <lodewire/circuit/source.hpp>

namespace lodewire {

/// Where an active pickup's own electronics end the band: a second-order low-pass.
struct band_limit {
  frequency corner{};
  double quality = 0.70710678118654752; ///< 1/√2: maximally flat
  [[nodiscard]] bool operator==(const band_limit&) const = default;
};

/// A pickup with its amplifier: an EMF behind an output resistance, so that cable and input hardly matter but the pots
/// behind it do. About 10 kΩ, 80 µA at 9 V and 25 kΩ pots are common practice, no source. Checked where it becomes a
/// source: resistances and the band limit positive, everything else ≥ 0; throws `invalid_value`.
struct active_pickup {
  lodewire::resistance output_resistance = lodewire::resistance::from_value(10e3);
  voltage emf = voltage::from_value(1);
  std::optional<band_limit> limit{};
  current supply_current{};
  /// What the output presents without a supply; absent: the output resistance.
  std::optional<lodewire::resistance> unpowered_resistance{};
  double voltage_noise = 0; ///< at the output, with its supply, in V/√Hz; 0: not stated
  /// What it picks up of a magnetic hum field, as a coil of that `magnetic_coil::turns_area` would; 0: not stated.
  double turns_area = 0;
  std::string name = "active pickup";

  [[nodiscard]] explicit(false) operator source() const {
    require_not_negative({name, "supply_current"}, supply_current);
    require_not_negative({name, "voltage_noise"}, voltage_noise);
    require_not_negative({name, "turns_area"}, turns_area);
    if (unpowered_resistance) require_positive({name, "unpowered_resistance"}, *unpowered_resistance);
    circuit c;
    emit(c, opcode::emf, {require_not_negative({name, "emf"}, emf).value()});
    c.emfs.push_back(name);
    if (limit) {
      const double t =
          1 / (2 * std::numbers::pi * require_positive({name, "limit.corner"}, limit->corner).value());
      emit(c, opcode::emf_filter, {t / require_positive({name, "limit.quality"}, limit->quality), t * t});
    }
    emit(c, opcode::series_r, {require_positive({name, "output_resistance"}, output_resistance).value()});
    emit(c, opcode::terminals, {}, 0);
    c.terminals.push_back(name);
    return source(std::move(c));
  }

  /// Without a supply: no EMF, but its output still loads what it is joined to. Throws `invalid_value`.
  [[nodiscard]] one_port as_unpowered() const {
    if (unpowered_resistance) return require_positive({name, "unpowered_resistance"}, *unpowered_resistance);
    return require_positive({name, "output_resistance"}, output_resistance);
  }
  [[nodiscard]] bool operator==(const active_pickup&) const = default;
};

} // namespace lodewire
