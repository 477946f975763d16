// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <complex>
#include <vector>

#include <lodewire/circuit/roots.hpp>
#include <lodewire/circuit/scale.hpp>
#include <lodewire/circuit/transfer_function.hpp>

namespace lodewire {

/// H(s) = gain·Π(s - z)/Π(s - p): zeros and poles in 1/s, sorted by magnitude, complex ones as conjugate pairs.
/// The quality of a complex pole pair p is |p|/(2·|Re p|). A resonance of a response is a maximum of |H|
/// (`find_resonance`), not an entry of this list.
struct pole_zero_form {
  std::vector<std::complex<double>> zeros;
  std::vector<std::complex<double>> poles;
  double gain = 0;           ///< of the leading terms
  std::size_t cancelled = 0; ///< matched pole–zero pairs taken out (equal coils leave them)
};

namespace detail {

/// Roots in scaled units, each with its bound, less the matched pairs.
struct unmatched_roots {
  std::vector<polynomial_root> zeros, poles;
  std::size_t cancelled = 0;
};
[[nodiscard]] inline unmatched_roots find_unmatched_roots(const transfer_function& h) {
  unmatched_roots found;
  if (!h.defined() || h.numerator().empty()) return found;
  found.zeros = roots(h.numerator());
  found.poles = roots(h.denominator());
  auto& [zeros, poles, cancelled] = found;
  for (auto z = zeros.begin(); z != zeros.end();) {
    auto best = poles.end();
    double nearest = 0;
    for (auto p = poles.begin(); p != poles.end(); ++p) {
      const double away = magnitude(z->value - p->value);
      const double size = magnitude(p->value);
      // Four roundings at least; a cluster's bound may be large, but never counts beyond 1e-5.
      const double allowed =
          (std::min)((std::max)(z->uncertainty + p->uncertainty, 4 * 0x1p-52 * size), 1e-5 * size);
      if (away <= allowed && (best == poles.end() || away < nearest)) {
        best = p;
        nearest = away;
      }
    }
    if (best == poles.end()) {
      ++z;
      continue;
    }
    // A cluster of zeros is known by its sum: what this one was off, its neighbour is off the other way.
    const auto error = z->value - best->value;
    for (auto other = zeros.begin(); other != zeros.end(); ++other) {
      if (other == z || magnitude(other->value - z->value) > z->uncertainty + other->uncertainty) continue;
      other->value = other->value + error;
      break;
    }
    poles.erase(best);
    z = zeros.erase(z);
    ++cancelled;
  }
  return found;
}

} // namespace detail

/// Zeros and poles, less the matched pairs: a zero that lies within the bounds of both roots of a pole, and within
/// 1e-5 of its magnitude. No linear algebra. Cost: microseconds up to degree 12.
[[nodiscard]] inline pole_zero_form factorise(const transfer_function& h) {
  pole_zero_form form;
  if (!h.defined() || h.numerator().empty()) return form;
  const auto [zeros, poles, cancelled] = detail::find_unmatched_roots(h);
  form.cancelled = cancelled;
  const auto in_si = [](const polynomial_root& r) { return to_standard(scale::per_second * r.value); };
  std::transform(zeros.begin(), zeros.end(), std::back_inserter(form.zeros), in_si);
  std::transform(poles.begin(), poles.end(), std::back_inserter(form.poles), in_si);
  form.gain = h.high_frequency_limit().gain;
  return form;
}

} // namespace lodewire
