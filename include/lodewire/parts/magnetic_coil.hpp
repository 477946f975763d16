// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <string>

#include <lodewire/circuit/source.hpp>

namespace lodewire {

/// The loss that iron and brass near a coil bring: part of the inductance with a resistance across it, in series with
/// the rest. Low frequencies see all of the inductance, high ones lose this part of it.
struct eddy_branch {
  lodewire::inductance inductance{}; ///< 0: no such branch
  lodewire::resistance resistance{}; ///< across it
  [[nodiscard]] bool operator==(const eddy_branch&) const = default;
};

/// A pickup's own screened lead. It belongs to the pickup but does not change when coils are split or paralleled.
struct screened_lead {
  lodewire::length length{};
  capacitance_per_length capacitance{};

  /// Total capacitance, hot to screen.
  [[nodiscard]] lodewire::capacitance total() const { return length * capacitance; }
  [[nodiscard]] bool operator==(const screened_lead&) const = default;
};

enum class winding_sense : std::int8_t { clockwise = 1, counterclockwise = -1 };
enum class magnet_sense : std::int8_t { north_up = 1, south_up = -1 };
/// Which end of the winding is the hot one.
enum class coil_connection : std::int8_t { normal = 1, reversed = -1 };
/// What the metal cover, or the braid round the coil, is soldered to.
enum class cover_bond : std::uint8_t { ground, start, end };

/// A magnetic pickup's coil: its EMF behind R + sL + Σ(sL_i ∥ R_i), with the winding's capacitance across that
/// (docs/theory.md, eq. 20). The start of the winding is its grounded end unless the connection is reversed.
/// Checked where it becomes a source: inductance > 0, everything else ≥ 0 and finite; throws `invalid_value` that
/// names the member. Typical: 1 to 10 H, 80 to 200 pF (H. Lemme, "Pickup-Geheimnisse").
struct magnetic_coil {
  lodewire::inductance
      inductance{}; ///< what high frequencies still see; all of it where there is no eddy branch
  lodewire::resistance resistance{};   ///< of the wire, at dc
  lodewire::capacitance capacitance{}; ///< across the winding
  lodewire::capacitance start_to_ground{};
  lodewire::capacitance end_to_ground{};
  std::array<eddy_branch, 2> eddy{};
  std::optional<lodewire::resistance> parallel_loss{}; ///< across the winding
  voltage emf = voltage::from_value(1);
  /// First-order low-pass of the EMF itself: eddy currents shade the flux too, which no impedance shows.
  std::optional<frequency> emf_corner{};
  double turns_area = 1; ///< relative; what a magnetic hum field induces is in proportion
  winding_sense winding = winding_sense::clockwise;
  magnet_sense magnet = magnet_sense::north_up;
  coil_connection connection = coil_connection::normal;
  cover_bond cover = cover_bond::ground;
  screened_lead lead{};
  std::string name = "coil";

  /// Sign of the string's EMF at the hot end: connection × winding × magnet.
  [[nodiscard]] int string_sign() const noexcept { return hum_sign() * static_cast<int>(magnet); }
  /// Sign of a magnetic hum field's EMF at the hot end: connection × winding.
  [[nodiscard]] int hum_sign() const noexcept {
    return static_cast<int>(connection) * static_cast<int>(winding);
  }
  /// True when the cover or braid hangs on the hot end: it then hums to the touch and its capacitance loads the coil.
  [[nodiscard]] bool cover_is_hot() const noexcept {
    return cover == (connection == coil_connection::normal ? cover_bond::end : cover_bond::start);
  }
  /// A sentence for the bench where the wiring asks for one.
  [[nodiscard]] std::optional<std::string> caution() const {
    if (!cover_is_hot()) return std::nullopt;
    return name + ": the cover or braid is joined to the hot end of the winding; part it from the winding "
                  "and ground "
                  "it on its own before the leads are swapped";
  }
  /// Low-frequency inductance: the main one and every eddy branch.
  [[nodiscard]] lodewire::inductance low_frequency_inductance() const {
    return inductance + eddy[0].inductance + eddy[1].inductance;
  }

  /// R + sL + Σ(sL_i ∥ R_i), without capacitance. Throws `invalid_value`.
  [[nodiscard]] one_port winding_impedance() const {
    circuit z;
    emit(z, opcode::resistor, {require_not_negative({name, "resistance"}, resistance).value()});
    emit(z, opcode::series_l, {require_positive({name, "inductance"}, inductance).value()});
    for (const eddy_branch& branch : eddy) {
      const bool first = &branch == &eddy[0];
      require_not_negative({name, first ? "eddy[0].inductance" : "eddy[1].inductance"}, branch.inductance);
      if (branch.inductance.value() == 0) continue;
      require_positive({name, first ? "eddy[0].resistance" : "eddy[1].resistance"}, branch.resistance);
      emit(z, opcode::inductor, {branch.inductance.value()});
      emit(z, opcode::shunt_r, {branch.resistance.value()});
      emit(z, opcode::join_series);
    }
    return one_port(std::move(z));
  }
  /// Capacitance across the winding beside its loss. Throws `invalid_value`.
  [[nodiscard]] one_port winding_shunt() const {
    circuit c;
    emit(c, opcode::capacitor, {require_not_negative({name, "capacitance"}, capacitance).value()});
    if (parallel_loss)
      emit(c, opcode::shunt_r, {require_positive({name, "parallel_loss"}, *parallel_loss).value()});
    return one_port(std::move(c));
  }
  /// Capacitance to ground of the end that is hot, and of the other one.
  [[nodiscard]] lodewire::capacitance hot_to_ground() const {
    require_not_negative({name, "start_to_ground"}, start_to_ground);
    require_not_negative({name, "end_to_ground"}, end_to_ground);
    return connection == coil_connection::normal ? end_to_ground : start_to_ground;
  }
  [[nodiscard]] lodewire::capacitance cold_to_ground() const {
    return start_to_ground + end_to_ground - hot_to_ground();
  }
  /// EMF with the string's sign. Throws `invalid_value`.
  [[nodiscard]] double signed_emf() const {
    require_not_negative({name, "turns_area"}, turns_area);
    return string_sign() * require_not_negative({name, "emf"}, emf).value();
  }
  /// a1 of the EMF's low-pass 1/(1 + a1·s), 0 without one. Throws `invalid_value`.
  [[nodiscard]] double emf_time_constant() const {
    if (!emf_corner) return 0;
    return 1 / (2 * std::numbers::pi * require_positive({name, "emf_corner"}, *emf_corner).value());
  }
  /// Capacitance of the lead. Throws `invalid_value`.
  [[nodiscard]] lodewire::capacitance lead_capacitance() const {
    require_not_negative({name, "lead.length"}, lead.length);
    require_not_negative({name, "lead.capacitance"}, lead.capacitance);
    return lead.total();
  }

  /// The coil with one end grounded, its terminals (named like the coil), its lead.
  [[nodiscard]] explicit(false) operator source() const {
    circuit c;
    emit(c, opcode::emf, {signed_emf()});
    c.emfs.push_back(name);
    if (emf_corner) emit(c, opcode::emf_filter, {emf_time_constant(), 0});
    detail::join(c, winding_impedance().as_circuit(), opcode::join_series);
    detail::join(c, winding_shunt().as_circuit(), opcode::join_parallel);
    if (hot_to_ground().value() > 0) emit(c, opcode::shunt_c, {hot_to_ground().value()});
    emit(c, opcode::terminals, {}, static_cast<std::uint8_t>(c.terminals.size()));
    c.terminals.push_back(name);
    if (lead_capacitance().value() > 0) emit(c, opcode::shunt_c, {lead_capacitance().value()});
    return source(std::move(c));
  }
  [[nodiscard]] bool operator==(const magnetic_coil&) const = default;
};

/// The coil with its leads swapped: its EMF turns, its capacitances to ground stay where they are on the winding, and
/// so does its cover (`cover_is_hot`). Use this for a coil; `reversed(source)` turns only the signal.
[[nodiscard]] inline magnetic_coil reversed(magnetic_coil coil) {
  coil.connection =
      coil.connection == coil_connection::normal ? coil_connection::reversed : coil_connection::normal;
  return coil;
}

} // namespace lodewire
