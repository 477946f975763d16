// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/circuit/source.hpp>

/// Which values of a composed circuit a part stands behind, and how they follow when the part is off.
namespace lodewire {

/// A part as the values see it. With x its deviation from its nominal value, as a fraction, and others' effects on the
/// same value beside it (eq. 30):
///
///     value = (nominal + Σ slope·x)·Π (1 + x)^power
struct varied_part {
  struct effect {
    std::uint16_t slot = 0;
    double power = 1; ///< 1: the value is the part's own, or in proportion to it; 1/2: M of a coil of this L
    double slope = 0; ///< SI; for a value in which something else is added
  };
  std::string name;
  std::vector<effect> on;
};

/// The part of that name in a composed circuit: all its values move in proportion (a named one-port; both legs of a
/// potentiometer; an end resistance moves with them). Throws `invalid_value` that lists the names.
[[nodiscard]] inline varied_part named_part(const source& s, std::string_view name) {
  const value_range range = s.range(name);
  varied_part part{std::string(name), {}};
  for (std::uint16_t k = 0; k < range.count; ++k) {
    const auto slot = static_cast<std::uint16_t>(range.first + k);
    const double value = s.as_circuit().values[slot];
    if (is_finite(value) && value != 0) part.on.push_back({slot});
  }
  return part;
}

/// Any figure of any part, told by what it changes: `make(factor)` composes the circuit with that figure times the
/// factor, and the values that move are read off. So `[&](double f) { auto c = coil; c.inductance *= f; return c | rest; }`
/// is the inductance of that coil; two coils changed together are one part. Throws `invalid_value` where the program
/// itself changes, nothing moves, or a value follows neither a power of the factor nor a straight line (from -10 %
/// to +10 %, within 1e-9).
template <class Make>
[[nodiscard]] varied_part find_part(std::string name, const Make& make) {
  constexpr double step = 0.1;
  const circuit at = source(make(1.0)).as_circuit(), above = source(make(1 + step)).as_circuit(),
                below = source(make(1 - step)).as_circuit();
  varied_part part{std::move(name), {}};
  const std::string who = "varied_part '" + part.name + "'";
  if (at.code != above.code || at.code != below.code)
    throw invalid_value(who, "one that changes the circuit's program", "one that changes its values only");
  for (std::size_t k = 0; k < at.values.size(); ++k) {
    const double v = at.values[k], up = above.values[k], down = below.values[k];
    const auto bits = [](double x) { return std::bit_cast<std::uint64_t>(x); };
    if (bits(v) == bits(up) && bits(v) == bits(down)) continue;
    if (!is_finite(v) || !is_finite(up) || !is_finite(down))
      throw invalid_value(who, "one that opens or closes a branch", "one that changes finite values");
    const auto slot = static_cast<std::uint16_t>(k);
    const double allowed = 1e-9 * std::abs(up - down);
    double exponent = v * up > 0 ? std::log(up / v) / std::log1p(step) : 0;
    if (std::abs(exponent - std::round(2 * exponent) / 2) < 1e-8) exponent = std::round(2 * exponent) / 2;
    if (exponent != 0 && std::abs(v * std::pow(1 - step, exponent) - down) <= allowed) {
      part.on.push_back({slot, exponent, 0});
    } else if (std::abs(up + down - 2 * v) <= allowed) {
      part.on.push_back({slot, 0, (up - down) / (2 * step)});
    } else {
      throw invalid_value(who, "one that a value follows along a curve",
                          "one that every value follows by a power or along a straight line");
    }
  }
  if (part.on.empty()) throw invalid_value(who, "one that changes no value", "one that changes some value");
  return part;
}

namespace detail {

/// Refuses a part that reads past the values, or moves one that is absent (0 or open): its absence is the circuit's.
inline void require_part(const circuit& c, const varied_part& part) {
  const std::string who = "varied_part '" + part.name + "'";
  for (const varied_part::effect& e : part.on) {
    if (e.slot >= c.values.size())
      throw invalid_value(who + " slot", std::to_string(e.slot),
                          "less than " + std::to_string(c.values.size()));
    if (!is_finite(c.values[e.slot]) || c.values[e.slot] == 0)
      throw invalid_value(who, "one that moves a value that is absent (0 or open)", "one that moves a value");
    require_finite({who, "slope"}, e.slope);
    require_finite({who, "power"}, e.power);
  }
}

} // namespace detail

} // namespace lodewire
