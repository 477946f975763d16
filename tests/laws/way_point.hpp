// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/complex_system.hpp>

#include "reading.hpp"

namespace laws {

/// One complex number at one s, anywhere in the plane.
[[nodiscard]] inline reading read_points(const way& by, const circuit& c, double s_times) {
  using system = complex_system<double>;
  workspace<system> room(c.code);
  reading r;
  r.response.resize(c.emfs.size());
  for (const complex p : by.points) {
    const complex s = s_times * p;
    machine<system, double> m(system({s.real(), s.imag()}), c.values.data(), room);
    run(c.code, m);
    if (m.status() != circuit_status::ok) r.status = m.status();
    const rounding_bound bound(c, s);
    r.impedance.push_back({to_standard(scale::ohm * m.n() / m.d()), bound.impedance.off});
    for (std::size_t k = 0; k < m.emfs(); ++k)
      r.response[k].push_back({to_standard(room.emf[k] / m.response_denominator(k)), bound.response[k].off});
  }
  return r;
}

inline constexpr way at_points{"at points of the plane", in_plane, true, &read_points};

} // namespace laws
