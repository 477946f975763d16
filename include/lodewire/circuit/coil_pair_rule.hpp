// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/pair_output.hpp>

namespace lodewire {

/// A pair of one-port coordinates [n : d].
template <class Number>
struct homogeneous_pair {
  Number n, d;
};

/// Two coupled windings with a shunt across each and a capacitance between their far ends (eq. 14): windings
/// [n1 : d1], [n2 : d2], shunts [p1 : q1], [p2 : q2]. With m = sM, c = sC and Δ = n1·n2 - m²·d1·d2 the pair is a 2×2
/// immittance in which every entry is a polynomial: nothing is divided. Writes N and D of the chosen output and
/// multiplies the EMFs by their shares; true where Δ is zero. Cost: some thirty products.
template <class System>
[[gnu::noinline]] constexpr bool
apply_coil_pair(const System& sys, const homogeneous_pair<typename System::number>& winding1,
                const homogeneous_pair<typename System::number>& winding2,
                const homogeneous_pair<typename System::number>& shunt1,
                const homogeneous_pair<typename System::number>& shunt2,
                const typename System::coefficient& mutual, const typename System::coefficient& between,
                pair_output output, homogeneous_pair<typename System::number>& out,
                typename System::number& e1, typename System::number& e2) noexcept {
  using number = typename System::number;
  using coefficient = typename System::coefficient;
  const auto times = [&sys](const number& x, const number& y) { return sys.product(x, y); };
  const auto plus = [&sys](number x, const number& y) {
    sys.add(x, y);
    return x;
  };
  const auto minus = [&sys](number x, const number& y) {
    sys.add(x, coefficient(-1), y);
    return x;
  };
  const auto by_s = [&sys](const coefficient& k, number x) {
    sys.scale_s(x, k);
    return x;
  };

  const number d12 = times(winding1.d, winding2.d);
  const number p12 = times(shunt1.n, shunt2.n);
  const number m = by_s(mutual, d12);              // m·d1·d2
  const number z1 = times(winding1.n, winding2.d); // z1·d1·d2
  const number z2 = times(winding2.n, winding1.d);
  const number delta = minus(times(winding1.n, winding2.n), by_s(mutual, m)); // Δ·d1·d2
  const number y1 = times(shunt1.d, shunt2.n);                                // y1·p1·p2
  const number y2 = times(shunt2.d, shunt1.n);
  const number sum = plus(plus(z1, z2), plus(m, m));                      // z1 + z2 + 2m
  const number loops = plus(times(p12, sum), times(plus(y1, y2), delta)); // impedance of both in series
  // Determinant of the loaded pair, common to the series and the single output.
  const auto determinant = [&] {
    const number both_shunts = times(times(shunt1.d, shunt2.d), delta);
    return plus(plus(plus(times(p12, d12), times(y1, z1)), plus(times(y2, z2), both_shunts)),
                by_s(between, loops));
  };
  if (output == pair_output::series) {
    out.n = loops;
    out.d = determinant();
    sys.multiply(e1, minus(plus(times(p12, d12), times(y2, z2)), times(y1, m)));
    sys.multiply(e2, minus(plus(times(p12, d12), times(y1, z1)), times(y2, m)));
  } else if (output == pair_output::first) {
    out.n = plus(times(p12, z1), times(plus(y2, by_s(between, p12)), delta));
    out.d = determinant();
    sys.multiply(e1, plus(plus(times(p12, d12), times(y2, z2)), by_s(between, times(p12, plus(z2, m)))));
    sys.multiply(e2, plus(times(y2, m), by_s(between, times(p12, plus(m, z1)))));
    sys.scale(e2, coefficient(-1));
  } else {
    out.n = times(p12, delta);
    out.d = plus(times(p12, minus(sum, plus(plus(m, m), plus(m, m)))),
                 times(plus(plus(y1, y2), by_s(between, p12)), delta));
    sys.multiply(e1, times(p12, minus(z2, m)));
    sys.multiply(e2, times(p12, minus(z1, m)));
  }
  return sys.is_zero(delta);
}

} // namespace lodewire
