// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include <lodewire/instrument/lookup.hpp>
#include <lodewire/instrument/wiring.hpp>
#include <lodewire/parts/active_pickup.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/piezo.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/parts/supply.hpp>

namespace lodewire {

/// Any of the pickups that lodewire knows. Its `name` finds it in a wiring.
using pickup = std::variant<magnetic_coil, coil_pair, active_pickup, piezo>;

[[nodiscard]] inline const std::string& name_of(const pickup& p) noexcept {
  return *std::visit([](const auto& part) { return &part.name; }, p);
}

/// A shaft with one section or more on it, and where it stands.
struct control {
  std::string name{};
  std::vector<potentiometer> sections{}; ///< one or more; their own names are not used
  rotation at = rotation(1);
  [[nodiscard]] bool operator==(const control&) const = default;
};

/// A position of the selector.
struct position {
  std::string name{};
  wiring wired{};
  [[nodiscard]] bool operator==(const position&) const = default;
};

/// What the jack is plugged into.
struct destination {
  std::string name = "amplifier";
  cable lead{.length = length::from_value(3), .capacitance = capacitance_per_length::from_value(100e-12)};
  input into{};
  double voltage_noise = 0; ///< e_n of the input in V/√Hz
  double current_noise = 0; ///< i_n of the input in A/√Hz
  [[nodiscard]] bool operator==(const destination&) const = default;
};

/// An instrument as it is built: pickups, controls, the wiring in every position of its selector, its supply. A plain
/// value; nothing in it is checked before it is composed (`compose`, `require_sound`).
struct instrument {
  std::string name = "instrument";
  std::vector<pickup> pickups{};
  std::vector<control> controls{};
  std::vector<position> circuits{}; ///< wirings that positions share, by name
  std::vector<position> positions{};
  std::vector<wiring_step> output{}; ///< follows in every position, up to the jack
  std::optional<onboard_supply> supply{};
  [[nodiscard]] bool operator==(const instrument&) const = default;
};

/// A section of a control by number.
struct control_section {
  std::size_t control = 0, section = 0;
};

/// How a section is called in a wiring and in a composed circuit: the control's name, with `.1`, `.2` behind it where
/// it has more than one.
[[nodiscard]] inline std::string section_name(const control& of, std::size_t section) {
  return of.sections.size() < 2 ? of.name : of.name + "." + std::to_string(section + 1);
}

/// The section of that name. Throws `invalid_value` at `path`.
[[nodiscard]] inline control_section find_section(const instrument& of, std::string_view name,
                                                  std::string_view path = "control") {
  std::string known;
  for (std::size_t c = 0; c < of.controls.size(); ++c)
    for (std::size_t s = 0; s < of.controls[c].sections.size(); ++s) {
      const std::string called = section_name(of.controls[c], s);
      if (called == name) return {c, s};
      known.append(known.empty() ? "'" : ", '").append(called).append("'");
    }
  throw invalid_value(path, std::string("'").append(name).append("'"),
                      known.empty() ? "nothing: this instrument has no control" : known);
}

/// Numbers by name; `invalid_value` that lists the names.
[[nodiscard]] inline std::size_t find_position(const instrument& of, std::string_view name) {
  return detail::find_named(of.positions, name, "position");
}
[[nodiscard]] inline std::size_t find_control(const instrument& of, std::string_view name) {
  return detail::find_named(of.controls, name, "control");
}
[[nodiscard]] inline std::size_t find_pickup(const instrument& of, std::string_view name) {
  return detail::find_named(of.pickups, name, "pickup");
}

} // namespace lodewire
