// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <numbers>
#include <span>
#include <string>
#include <vector>

#include <lodewire/instrument/compose_position.hpp>

/// Hum has two roads. A magnetic field induces a voltage in every coil, with the sign of connection × winding, while
/// the string's has connection × winding × magnet: coils can cancel the one and add the other. An electric field drives
/// a current into whatever is hot, and no arrangement of coils cancels that; a low source impedance does.
namespace lodewire {

/// What an EMF of a composed position stands for.
struct emf_role {
  std::string emf;
  double string = 0; ///< the value in the circuit: volts from the string, with its sign
  double hum = 0;    ///< relative EMF from a magnetic hum field, with its sign: hum sense × turns-area
};

/// The roles of every EMF of an instrument's pickups. The product with the leads swapped is the circuit's business.
[[nodiscard]] inline std::vector<emf_role> emf_roles(const instrument& of) {
  std::vector<emf_role> roles;
  const auto coil = [&](std::string name, const magnetic_coil& c) {
    roles.push_back({std::move(name), c.signed_emf(), c.hum_sign() * c.turns_area});
  };
  for (const pickup& p : of.pickups) {
    if (const auto* one = std::get_if<magnetic_coil>(&p)) coil(one->name, *one);
    if (const auto* pair = std::get_if<coil_pair>(&p))
      for (const magnetic_coil* half : {&pair->first, &pair->second})
        coil(pair->name + "." + half->name, *half);
    if (const auto* active = std::get_if<active_pickup>(&p))
      roles.push_back({active->name, active->emf.value(), active->turns_area});
    if (const auto* crystal = std::get_if<piezo>(&p))
      roles.push_back({crystal->name, crystal->emf.value(), 0});
  }
  return roles;
}

/// For the EMFs of a composed position, in its order, the weights that turn string EMFs into those of a hum field of
/// 1 V for a coil of turns-area 1. Throws `invalid_value` for a pickup that has hum but no EMF to scale. A coil whose
/// leads a mode has swapped turns string and hum alike, so the weight stays.
[[nodiscard]] inline std::vector<double> hum_weights(std::span<const std::string> emf_names,
                                                     std::span<const emf_role> roles) {
  std::vector<double> weights;
  for (const std::string& name : emf_names) {
    double weight = 0;
    for (const emf_role& r : roles) {
      if (r.emf != name || r.hum == 0) continue;
      if (r.string == 0) throw invalid_value(name + ".emf", "0 V", "more than 0 V where hum is asked for");
      weight = r.hum / r.string;
    }
    weights.push_back(weight);
  }
  return weights;
}
[[nodiscard]] inline std::vector<double> hum_weights(const source& s, std::span<const emf_role> roles) {
  return hum_weights(s.emf_names(), roles);
}

/// Magnetic hum at the output of a composed position (docs/theory.md, eq. 25).
struct magnetic_hum {
  double output = 0;             ///< volts out for a field that induces 1 V in a coil of turns-area 1
  double without_cancelling = 0; ///< the same if every coil's share added up
};

/// At frequency f, of a `source` or a `composed_position`. Throws as `response` and `hum_weights`.
template <class Composed>
[[nodiscard]] magnetic_hum find_magnetic_hum(const Composed& s, std::span<const emf_role> roles,
                                             frequency f) {
  const std::vector<double> weights = hum_weights(s.emf_names(), roles);
  std::complex<double> sum = 0;
  magnetic_hum hum;
  for (std::size_t k = 0; k < weights.size(); ++k) {
    if (weights[k] == 0) continue;
    const std::complex<double> share = response(s, k, f) * weights[k];
    sum += share;
    hum.without_cancelling += std::abs(share);
  }
  hum.output = std::abs(sum);
  return hum;
}

/// The current that the mains drive through a stray capacitance: 2πf·C·V. 1 pF, 230 V and 50 Hz: 72 nA.
[[nodiscard]] inline current stray_current(capacitance c, voltage mains, frequency f) {
  require_not_negative("stray.capacitance", c);
  require_not_negative("stray.mains", mains);
  return current::from_value(2 * std::numbers::pi * require_positive("stray.frequency", f).value() *
                             c.value() * mains.value());
}

/// Volts at the output for a current into a point of a position (a pickup's name, a named point or node, "jack"), all
/// else as given. Throws `invalid_value`.
[[nodiscard]] inline voltage electric_hum(const instrument& of, std::size_t position,
                                          std::span<const rotation> knobs, const stage& into,
                                          const std::string& point, current i, frequency f) {
  const composed_position s = compose_position(of, position, knobs, {.inject_at = point}, into);
  return voltage::from_value(std::abs(response(s, s.emf("injected"), f)) * i.value());
}

} // namespace lodewire
