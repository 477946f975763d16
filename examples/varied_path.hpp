// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>
#include <vector>

#include <lodewire/analysis/varied_part.hpp>

#include "calculator.hpp"

/// The parts between a pickup and the amplifier, each as something that may be off.
namespace examples {

struct path_part {
  const char* name;
  std::string nominal;
  lodewire::varied_part part;
};

/// All of them, all controls full up, in the order of the signal.
[[nodiscard]] inline std::vector<path_part> parts_of(const calculator::signal_path& path) {
  using calculator::signal_path;
  using lodewire::rotation;
  std::vector<path_part> parts;
  const auto add = [&](const char* name, const auto& nominal, const auto& change) {
    const auto make = [&](double factor) {
      signal_path off = path;
      change(off, factor);
      return lodewire::source(off.coil) | off.after(rotation(1));
    };
    parts.push_back({name, three_figures(nominal), lodewire::find_part(name, make)});
  };
  add("coil, inductance", path.coil.inductance, [](signal_path& p, double f) { p.coil.inductance *= f; });
  add("coil, resistance", path.coil.resistance, [](signal_path& p, double f) { p.coil.resistance *= f; });
  add("coil, capacitance", path.coil.capacitance, [](signal_path& p, double f) { p.coil.capacitance *= f; });
  add("tone pot", path.tone.total, [](signal_path& p, double f) { p.tone.total *= f; });
  add("tone capacitor", path.tone_capacitor, [](signal_path& p, double f) { p.tone_capacitor *= f; });
  add("volume pot", path.volume.total, [](signal_path& p, double f) { p.volume.total *= f; });
  add("cable", path.lead.length * path.lead.capacitance,
      [](signal_path& p, double f) { p.lead.capacitance *= f; });
  add("input", path.into.resistance, [](signal_path& p, double f) { p.into.resistance *= f; });
  return parts;
}

} // namespace examples
