// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <span>
#include <string>
#include <vector>

#include <lodewire/design/fit_features.hpp>
#include <lodewire/design/fit_result.hpp>

/// A coil as unknowns of a fit, and the values found as a coil.
namespace lodewire {

/// Which values of a coil are sought: R, L, C always; one or two eddy branches and a loss across the winding if said.
struct coil_unknowns {
  std::size_t branches = 1; ///< 0 to 2
  bool parallel_loss = true;

  [[nodiscard]] std::size_t count() const noexcept { return 3 + 2 * branches + (parallel_loss ? 1 : 0); }

  /// Appends them, named `<name> R`, `L`, `C`, `L1`, `R1`, `L2`, `R2`, `Rp`, sought within what coils have, from a
  /// coil that looks like the curve (`starting_coils`). Throws `invalid_value` for more than two branches.
  void append_to(std::vector<fit_unknown>& to, const std::string& name, const magnetic_coil& start) const {
    require_within("coil_unknowns.branches", static_cast<double>(branches), 0.0, 2.0);
    const auto put = [&](const char* part, const char* unit, double low, double high, double from) {
      to.push_back({name + " " + part, unit, low, high, std::fmin(std::fmax(from, low), high)});
    };
    put("R", "Ω", 1, 1e6, start.resistance.value());
    put("L", "H", 1e-4, 1e3, start.inductance.value());
    put("C", "F", 1e-13, 1e-6, start.capacitance.value());
    for (std::size_t b = 0; b < branches; ++b) {
      const std::string number = std::to_string(b + 1);
      put(("L" + number).c_str(), "H", 1e-5, 1e3, start.eddy[b].inductance.value());
      put(("R" + number).c_str(), "Ω", 1, 1e9, start.eddy[b].resistance.value());
    }
    if (parallel_loss) put("Rp", "Ω", 1e3, 1e10, start.parallel_loss ? start.parallel_loss->value() : 1e6);
  }

  /// The coil whose values begin at p[first].
  [[nodiscard]] magnetic_coil coil(std::span<const double> p, std::size_t first = 0) const {
    magnetic_coil c;
    c.resistance = resistance::from_value(p[first]);
    c.inductance = inductance::from_value(p[first + 1]);
    c.capacitance = capacitance::from_value(p[first + 2]);
    std::size_t at = first + 3;
    for (std::size_t b = 0; b < branches; ++b, at += 2)
      c.eddy[b] = {inductance::from_value(p[at]), resistance::from_value(p[at + 1])};
    if (parallel_loss) c.parallel_loss = resistance::from_value(p[at]);
    return c;
  }
};

} // namespace lodewire
