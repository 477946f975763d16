// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include <lodewire/circuit/one_port.hpp>

namespace lodewire {

/// What is between the plates.
enum class dielectric : std::uint8_t {
  polyester,                ///< PET
  polypropylene,            ///< PP
  polyethylene_naphthalate, ///< PEN
  polyphenylene_sulfide,    ///< PPS
  ceramic_class_1,          ///< NP0
  ceramic_class_2,          ///< X7R
  tantalum,
};

/// tan δ at 1, 10 and 100 kHz and 23 °C: the limits of a film-capacitor maker's table (wima.de, "Dissipation factor";
/// docs/validation.md). The last two kinds are given at 1 kHz only and keep that value.
[[nodiscard]] inline std::array<double, 3> loss_limits(dielectric kind) noexcept {
  switch (kind) {
  case dielectric::polyester: return {0.008, 0.015, 0.030};
  case dielectric::polypropylene: return {0.0005, 0.0008, 0.0025};
  case dielectric::polyethylene_naphthalate: return {0.008, 0.015, 0.030};
  case dielectric::polyphenylene_sulfide: return {0.002, 0.0025, 0.005};
  case dielectric::ceramic_class_1: return {0.001, 0.001, 0.001};
  case dielectric::ceramic_class_2: return {0.025, 0.025, 0.025};
  case dielectric::tantalum: break;
  }
  return {0.08, 0.08, 0.08};
}

/// tan δ at f, between the points of `loss_limits` in equal ratios, constant outside 1 to 100 kHz. Throws
/// `invalid_value` for a frequency that is not positive.
[[nodiscard]] inline double loss_tangent(dielectric kind, frequency f) {
  const auto table = loss_limits(kind);
  const double decades = std::log10(require_positive("loss_tangent.f", f).value() / 1e3);
  if (!(decades > 0)) return table[0];
  if (!(decades < 2)) return table[2];
  const std::size_t low = decades < 1 ? 0 : 1;
  const double part = decades - static_cast<double>(low);
  return table[low] * std::pow(table[low + 1] / table[low], part);
}

/// A capacitor with its loss as a series resistance tan δ/(2πfC), exact at the frequency where tan δ is stated.
/// Checked where it becomes a one-port: all ≥ 0; throws `invalid_value`.
struct capacitor {
  lodewire::capacitance capacitance{};
  double loss_tangent = 0;
  frequency stated_at = frequency::from_value(1e3);

  /// tan δ/(2πfC); 0 for a capacitance of 0.
  [[nodiscard]] resistance series_resistance() const {
    require_not_negative("capacitor.capacitance", capacitance);
    require_not_negative("capacitor.loss_tangent", loss_tangent);
    require_positive("capacitor.stated_at", stated_at);
    if (capacitance.value() == 0) return {};
    return resistance::from_value(loss_tangent /
                                  (2 * std::numbers::pi * stated_at.value() * capacitance.value()));
  }
  [[nodiscard]] explicit(false) operator one_port() const {
    const resistance esr = series_resistance();
    circuit c;
    emit(c, opcode::capacitor, {capacitance.value()});
    if (esr.value() > 0) emit(c, opcode::series_r, {esr.value()});
    return one_port(std::move(c));
  }
  [[nodiscard]] bool operator==(const capacitor&) const = default;
};

/// A capacitor of a kind, with that kind's loss limit at f.
[[nodiscard]] inline capacitor capacitor_of(dielectric kind, capacitance c,
                                            frequency f = frequency::from_value(1e3)) {
  return {.capacitance = c, .loss_tangent = loss_tangent(kind, f), .stated_at = f};
}

} // namespace lodewire
