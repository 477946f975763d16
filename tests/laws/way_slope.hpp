// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/complex_system.hpp>
#include <lodewire/circuit/dual.hpp>

#include "reading.hpp"

namespace laws {

/// The derivative s·d/ds by dual numbers: what is the same circuit has the same derivative.
[[nodiscard]] inline reading read_slopes(const way& by, const circuit& c, double s_times) {
  using ring = dual<1>;
  using system = complex_system<ring>;
  workspace<system> room(c.code);
  reading r;
  r.response.resize(c.emfs.size());
  const auto slope = [](const split_complex<ring>& q) { return complex(q.re.gradient[0], q.im.gradient[0]); };
  for (const complex p : by.points) {
    const complex at = s_times * p;
    split_complex<ring> s(at.real(), at.imag());
    s.re.gradient[0] = at.real();
    s.im.gradient[0] = at.imag();
    machine<system, double> m(system(s), c.values.data(), room);
    run(c.code, m);
    if (m.status() != circuit_status::ok) r.status = m.status();
    // Its quotient forms a/b as a·conj(b)/|b|², which charges the derivative twice.
    const rounding_bound bound(c, at, 2, 4);
    const auto add = [&](std::vector<measured>& to, const split_complex<ring>& q, double off) {
      to.push_back({slope(q), off, std::hypot(q.re.value, q.im.value)});
    };
    add(r.impedance, ring(scale::ohm) * m.n() / m.d(), bound.impedance.slope_off);
    for (std::size_t k = 0; k < m.emfs(); ++k)
      add(r.response[k], room.emf[k] / m.response_denominator(k), bound.response[k].slope_off);
  }
  return r;
}

inline constexpr way by_slopes{"by derivatives", in_plane, true, &read_slopes, true};

} // namespace laws
