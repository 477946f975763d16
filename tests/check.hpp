// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <numbers>
#include <string>

#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/units.hpp>

/// What many tests ask for.
namespace check {

/// Relative nearness; doctest's own compares small values absolutely.
[[nodiscard]] inline bool near(double ours, double theirs, double relative) {
  return std::abs(ours - theirs) <= relative * std::abs(theirs);
}
[[nodiscard]] inline bool near(std::complex<double> ours, std::complex<double> theirs, double relative) {
  return std::abs(ours - theirs) <= relative * std::abs(theirs);
}

/// The text of the `invalid_value` that a call throws.
template <class F>
[[nodiscard]] std::string error_of(F f) {
  try {
    f();
  } catch (const lodewire::invalid_value& error) {
    return error.what();
  }
  return "no error";
}

/// jω of a frequency.
[[nodiscard]] inline std::complex<double> s_at(lodewire::frequency f) {
  return {0, 2 * std::numbers::pi * f.value()};
}

} // namespace check
