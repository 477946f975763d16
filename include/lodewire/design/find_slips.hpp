// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <type_traits>
#include <vector>

#include <lodewire/design/finding.hpp>

/// Findings on values that no such part has: most often a prefix was forgotten. The ranges are common practice, no
/// source, and wide.
namespace lodewire::detail {

inline void find_slips(const instrument& of, const destination& into, std::vector<finding>& to) {
  const auto look = [&](const std::string& about, const char* what, const auto& value, double low,
                        double high) {
    const double v = value.value();
    if (v == 0 || (v >= low && v <= high)) return;
    using quantity = std::remove_cvref_t<decltype(value)>;
    to.push_back({finding_kind::implausible_value,
                  {},
                  about,
                  v,
                  std::string(unit_of(value)),
                  in_quotes(about) + " has " + what + " of " + engineering(value, 3) + "; such parts have " +
                      engineering(quantity::from_value(low), 2) + " to " +
                      engineering(quantity::from_value(high), 2) + ".",
                  "Look at the prefix of the value."});
  };
  const auto coil = [&](const magnetic_coil& c, const std::string& name) {
    look(name, "an inductance", c.low_frequency_inductance(), 1e-3, 50);
    look(name, "a winding capacitance", c.capacitance, 1e-12, 2e-9);
    // Copper: thousands of turns of hair-thin wire have some kilohms for each henry.
    const double henry = c.low_frequency_inductance().value();
    if (henry >= 0.05) look(name, "a wire resistance", c.resistance, 200 * henry, 40e3 * henry);
  };
  for (const pickup& p : of.pickups) {
    if (const auto* one = std::get_if<magnetic_coil>(&p)) coil(*one, one->name);
    if (const auto* pair = std::get_if<coil_pair>(&p))
      for (const magnetic_coil* half : {&pair->first, &pair->second})
        coil(*half, pair->name + "." + half->name);
    if (const auto* active = std::get_if<active_pickup>(&p))
      look(active->name, "an output resistance", active->output_resistance, 10, 200e3);
    if (const auto* crystal = std::get_if<piezo>(&p))
      look(crystal->name, "a capacitance", crystal->capacitance, 50e-12, 100e-9);
  }
  for (const control& c : of.controls)
    for (std::size_t s = 0; s < c.sections.size(); ++s)
      look(section_name(c, s), "a track", c.sections[s].total, 1e3, 10e6);
  look(into.name, "a cable", into.lead.length, 0.1, 50);
  look(into.name, "an input resistance", into.into.resistance, 500, 100e6);
}

} // namespace lodewire::detail
