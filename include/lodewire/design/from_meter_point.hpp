// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/units.hpp>

/// One reading, one value: the plain formulas, which hold without eddy currents.
namespace lodewire {

/// L = R/(2πf): f is where a coil of no capacitance and all the resistance of its circuit is 3.01 dB down. Throws
/// `invalid_value`.
[[nodiscard]] inline inductance inductance_from_corner(resistance total, frequency corner) {
  return inductance::from_value(require_positive("total", total).value() /
                                (2 * std::numbers::pi * require_positive("corner", corner).value()));
}

/// C = 1/((2πf)²·L): what resonates with L at f. Throws `invalid_value`.
[[nodiscard]] inline capacitance capacitance_at_resonance(inductance l, frequency f) {
  const double omega = 2 * std::numbers::pi * require_positive("f", f).value();
  return capacitance::from_value(1 / (omega * omega * require_positive("l", l).value()));
}

/// 2πf·L/R. Throws `invalid_value`.
[[nodiscard]] inline double series_quality(inductance l, resistance r, frequency f) {
  return 2 * std::numbers::pi * require_positive("f", f).value() * require_positive("l", l).value() /
         require_positive("r", r).value();
}

/// Every C across the output of R and L in series that gives |V2/V1| = gain at f, in rising order: the two roots of
/// (ω⁴L² + ω²R²)·C² - 2ω²L·C + 1 - 1/gain² = 0 that are positive. Above a gain of 1 there are two, one on either side of
/// the resonance, and a reading at one frequency cannot say which; below it one; none beyond the highest gain that the
/// losses allow. Throws `invalid_value`.
[[nodiscard]] inline std::vector<capacitance> capacitances_from_gain(inductance l, resistance r, frequency f,
                                                                     double gain) {
  const double omega = 2 * std::numbers::pi * require_positive("f", f).value();
  const double x = omega * require_positive("l", l).value(); // in units of ωC from here
  const double ohm = require_not_negative("r", r).value();
  require_positive("gain", gain);
  const double a = x * x + ohm * ohm, c = 1 - 1 / (gain * gain), square = x * x - a * c;
  std::vector<capacitance> found;
  if (square < 0) return found;
  const double root = std::sqrt(square);
  // The larger one without cancellation, the other from their product.
  const double upper = (x + root) / a, lower = c / (x + root);
  if (lower > 0 && root > 0) found.push_back(capacitance::from_value(lower / omega));
  found.push_back(capacitance::from_value(upper / omega));
  return found;
}

} // namespace lodewire
