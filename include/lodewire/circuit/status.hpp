// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>
#include <stdexcept>

namespace lodewire {

/// What an evaluation met on its way.
enum class circuit_status : std::uint8_t {
  ok,
  conflicting_voltages, ///< unlike ideal voltages joined in parallel (a short across an ideal EMF is one case)
  conflicting_currents, ///< unlike ideal currents joined in series
};

/// Thrown when ideal sources contradict each other: unlike voltages in parallel, unlike currents in series. Only the
/// values tell, and they may be rewritten, so it is thrown where a result is asked for.
class conflicting_sources : public std::invalid_argument {
public:
  explicit conflicting_sources(circuit_status what)
      : std::invalid_argument(what == circuit_status::conflicting_voltages
                                  ? "ideal voltages in parallel (or a short across an ideal EMF): give "
                                    "one of them a resistance"
                                  : "ideal currents in series (or an open in series with an ideal "
                                    "current source): give one of them a parallel resistance") {}
};

/// Throws `conflicting_sources` unless `met` is ok.
constexpr void require_no_conflict(circuit_status met) {
  if (met != circuit_status::ok) throw conflicting_sources(met);
}

} // namespace lodewire
