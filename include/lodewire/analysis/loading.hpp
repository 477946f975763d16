// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string_view>

#include <lodewire/circuit/response.hpp>

namespace lodewire {

/// Where a load is stated when nothing else is said.
inline constexpr frequency load_frequency = frequency::from_value(1000);

/// The load that one pickup sees, two ways, at one frequency and at the knob positions that the circuit is in.
struct loading {
  impedance control_alone; ///< the volume control by itself, nothing behind it
  impedance
      everything; ///< all that the circuit has: own lead, tone branch, other pickups at rest, cable, input
  frequency at;
};

/// Both loads of the pickup of that name. `control` is the volume control as wired. Throws `invalid_value` for an
/// unknown name or a frequency that is not positive.
[[nodiscard]] inline loading load_on(const source& s, std::string_view name, const stage& control,
                                     frequency f = load_frequency) {
  return {input_impedance(control, f), load_seen(s, s.terminals(name), f), f};
}

} // namespace lodewire
