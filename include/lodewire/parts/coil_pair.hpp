// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/magnetic_coil.hpp>

namespace lodewire {

/// What the coil that is not listened to does: hangs open by its far end, is shorted, or has a resistor across it.
class idle_coil {
public:
  [[nodiscard]] static idle_coil open() { return idle_coil(std::nullopt); }
  [[nodiscard]] static idle_coil shorted() { return idle_coil(resistance{}); }
  /// A partial split. Throws `invalid_value` for a negative value.
  [[nodiscard]] static idle_coil bypassed(resistance r) {
    return idle_coil(require_not_negative("idle_coil.bypassed", r));
  }
  [[nodiscard]] const std::optional<resistance>& across() const noexcept { return across_; }

private:
  explicit idle_coil(std::optional<resistance> r) : across_{r} {}
  std::optional<resistance> across_;
};

enum class which_coil : std::uint8_t { first, second };

/// Two coils that share flux: a humbucking pickup's, side by side or stacked. The pair is a 2×2 immittance in which
/// each coil carries its own capacitance, so leakage and resonance come out right where ±2M on one inductance would
/// not (docs/theory.md, eq. 14 and 21). From ground: the first coil, the junction, the second coil, the hot end.
/// M = ±k·√(L1·L2) of the main inductances. Its sign follows from how the coils are wound and connected: k > 0 aids in
/// the usual hum-cancelling series connection of coils side by side, and is negative for stacked coils.
/// Checked where it becomes a source; throws `invalid_value`: -1 ≤ k ≤ 1, the coils as in `magnetic_coil`, and the
/// screened lead belongs to the pair, not to a coil.
struct coil_pair {
  magnetic_coil first{.name = "first coil"};
  magnetic_coil second{
      .winding = winding_sense::counterclockwise, .magnet = magnet_sense::south_up, .name = "second coil"};
  double coupling = 0;             ///< k
  lodewire::capacitance between{}; ///< between the ends that are outermost in series: ground and hot end
  screened_lead lead{};
  std::string name = "pickup";

  /// Both in series.
  [[nodiscard]] source as_series() const { return wired(first, second, pair_output::series, std::nullopt); }
  /// Both in parallel: the second one's start moves from the junction to ground.
  [[nodiscard]] source as_parallel() const {
    return wired(first, second, pair_output::parallel, std::nullopt);
  }
  /// In series with the second coil's leads swapped.
  [[nodiscard]] source as_series_out_of_phase() const {
    return wired(first, reversed(second), pair_output::series, std::nullopt);
  }
  /// In parallel with the second coil's leads swapped.
  [[nodiscard]] source as_parallel_out_of_phase() const {
    return wired(first, reversed(second), pair_output::parallel, std::nullopt);
  }
  /// One coil heard, the other idle.
  [[nodiscard]] source as_single(which_coil heard, const idle_coil& idle) const {
    const magnetic_coil& loud = heard == which_coil::first ? first : second;
    const magnetic_coil& other = heard == which_coil::first ? second : first;
    return wired(loud, other, idle.across() ? pair_output::series : pair_output::first, idle.across());
  }
  [[nodiscard]] bool operator==(const coil_pair&) const = default;

private:
  [[nodiscard]] source wired(const magnetic_coil& low, const magnetic_coil& high, pair_output output,
                             std::optional<resistance> bypass) const {
    require_within({name, "coupling"}, coupling, -1.0, 1.0);
    require_not_negative({name, "between"}, between);
    require_not_negative({name, "lead.length"}, lead.length);
    require_not_negative({name, "lead.capacitance"}, lead.capacitance);
    for (const magnetic_coil* coil : {&low, &high})
      if (coil->lead_capacitance().value() != 0)
        throw invalid_value(name + "." + coil->name + ".lead", engineering(coil->lead_capacitance()),
                            "0 F: the lead is the pair's");

    // Capacitance at the junction lies across the low coil.
    one_port low_shunt = low.winding_shunt();
    one_port high_shunt = high.winding_shunt();
    capacitance at_hot{};
    if (output == pair_output::parallel) {
      at_hot = low.hot_to_ground() + high.hot_to_ground();
    } else {
      const capacitance junction = low.hot_to_ground() + high.cold_to_ground();
      if (junction.value() > 0) low_shunt = parallel(low_shunt, junction);
      at_hot = high.hot_to_ground();
    }
    if (bypass) high_shunt = parallel(high_shunt, *bypass);

    // Side by side, flux that leaves one coil returns through the other: opposite hum senses aid.
    const double aiding = -low.hum_sign() * high.hum_sign();
    const double mutual = aiding * coupling * std::sqrt(low.inductance.value() * high.inductance.value());
    // The far end of a hanging coil sees its ground capacitance where the pair's own one lies.
    double far_end = between.value();
    if (output == pair_output::first) far_end += std::exchange(at_hot, capacitance{}).value();

    circuit c;
    for (const one_port& part : {low.winding_impedance(), high.winding_impedance(), low_shunt, high_shunt})
      append(c, part.as_circuit());
    emit(c, opcode::coil_pair, {mutual, far_end, low.signed_emf(), high.signed_emf()},
         static_cast<std::uint8_t>(output));
    c.emfs = {name + "." + low.name, name + "." + high.name};
    if (low.emf_corner) emit(c, opcode::emf_filter, {low.emf_time_constant(), 0}, 1);
    if (high.emf_corner) emit(c, opcode::emf_filter, {high.emf_time_constant(), 0}, 2);
    if (at_hot.value() > 0) emit(c, opcode::shunt_c, {at_hot.value()});
    emit(c, opcode::terminals, {}, 0);
    c.terminals.push_back(name);
    if (lead.total().value() > 0) emit(c, opcode::shunt_c, {lead.total().value()});
    return source(std::move(c));
  }
};

/// A hum-cancelling pair: the second coil wound the other way under the other pole, whatever its members say.
[[nodiscard]] inline coil_pair humbucking_pair(magnetic_coil first, magnetic_coil second, double coupling) {
  const auto turned = [](auto sense) { return static_cast<decltype(sense)>(-static_cast<int>(sense)); };
  second.winding = turned(first.winding);
  second.magnet = turned(first.magnet);
  return coil_pair{.first = std::move(first), .second = std::move(second), .coupling = coupling};
}

} // namespace lodewire
