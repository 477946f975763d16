// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <vector>

#include <lodewire/analysis/study_plan.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/quantity/literals.hpp>

namespace tests {

/// Pickup, tone, volume with a bypass capacitor, cable, input; five reactive parts and two potentiometers that are off.
/// All values are invented.
struct toleranced_guitar {
  struct factors {
    double coil_l = 1, coil_c = 1, tone_c = 1, bypass = 1, cable = 1, tone_r = 1, volume = 1;
  };

  [[nodiscard]] static lodewire::source whole(const factors& f) {
    using namespace lodewire;
    const auto ohm = [](double v) { return from_si<resistance>(v); };
    const auto farad = [](double v) { return from_si<capacitance>(v); };
    return magnetic_coil{.inductance = from_si<inductance>(2.5 * f.coil_l),
                         .resistance = ohm(6e3),
                         .capacitance = farad(120e-12 * f.coil_c)} |
           in_shunt(series(ohm(250e3 * f.tone_r), farad(22e-9 * f.tone_c))) |
           in_series(parallel(ohm(60e3 * f.volume), farad(680e-12 * f.bypass))) |
           in_shunt(ohm(190e3 * f.volume)) | in_shunt(farad(600e-12 * f.cable)) | in_shunt(ohm(1e6));
  }
  [[nodiscard]] static lodewire::source whole() { return whole(factors{}); }

  /// `scale` narrows all spreads.
  [[nodiscard]] static std::vector<lodewire::toleranced_part> parts(double scale = 1) {
    using namespace lodewire;
    const auto part = [](const char* name, double factors::*which) {
      return find_part(name, [which](double f) {
        factors all;
        all.*which = f;
        return whole(all);
      });
    };
    const auto within = [scale](double x) { return tolerance::symmetric(scale * x); };
    return {{part("coil L", &factors::coil_l), distribution::normal(within(0.05))},
            {part("coil C", &factors::coil_c), distribution::uniform(within(0.2))},
            {part("tone C", &factors::tone_c), distribution::sorted(within(0.1), 0.05 * scale)},
            {part("bypass", &factors::bypass),
             distribution::measured({-0.08 * scale, -0.03 * scale, 0.02 * scale, 0.04 * scale})},
            {part("cable", &factors::cable), distribution::normal(within(0.1), 2)},
            {part("tone pot", &factors::tone_r), distribution::normal(within(0.2)), "pots", 0.6},
            {part("volume pot", &factors::volume), distribution::normal(within(0.2)), "pots", 0.6}};
  }
};

} // namespace tests
