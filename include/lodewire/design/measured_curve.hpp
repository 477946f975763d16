// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <numbers>
#include <string>
#include <vector>

#include <lodewire/quantity/requirement.hpp>

/// What an instrument measured over frequency, and how far to trust each point.
namespace lodewire {

enum class curve_kind : std::uint8_t {
  ohms,  ///< an impedance
  ratio, ///< of voltages: a response
};

/// A measured curve: one entry a point in every list.
struct measured_curve {
  std::string name = "curve";
  curve_kind kind = curve_kind::ohms;
  std::vector<double> hz{};
  std::vector<std::complex<double>> value{}; ///< ohms, or a ratio
  /// Relative standard deviation of each of real and imaginary part (of value/truth); empty: alike for all.
  std::vector<double> spread{};
  bool magnitude_only = false; ///< no phase was measured

  [[nodiscard]] std::size_t size() const noexcept { return hz.size(); }
};

namespace detail {

[[noreturn, gnu::cold, gnu::noinline]] inline void
refuse_point(const measured_curve& c, std::size_t i, const std::string& what, const std::string& allowed) {
  throw invalid_value(c.name + ", point " + std::to_string(i + 1) + " of " + std::to_string(c.size()), what,
                      allowed);
}

} // namespace detail

/// The curve, if a model can be fitted to it. Throws `invalid_value` that names the curve and the point, counted from
/// 1: too few points, lists of unlike length, a NaN, a frequency that is not positive, that stands before a lower
/// one or comes twice, a value of nothing.
inline const measured_curve& require_curve(const measured_curve& c, std::size_t fewest = 3) {
  if (c.size() < fewest)
    throw invalid_value(c.name, std::to_string(c.size()) + " points", std::to_string(fewest) + " or more");
  if (c.value.size() != c.size() || (!c.spread.empty() && c.spread.size() != c.size()))
    throw invalid_value(c.name, "lists of unlike length", "one value, and one spread or none, a frequency");
  for (std::size_t i = 0; i < c.size(); ++i) {
    if (!is_finite(c.hz[i]) || !(c.hz[i] > 0))
      detail::refuse_point(c, i, engineering(c.hz[i], "Hz", 6), "more than 0 Hz, and finite");
    const double re = c.value[i].real(), im = c.value[i].imag();
    if (!is_finite(re) || !is_finite(im)) detail::refuse_point(c, i, "not a number", "any finite value");
    if (re == 0 && im == 0) detail::refuse_point(c, i, "0", "a value that is not 0");
    if (!c.spread.empty() && (!is_finite(c.spread[i]) || !(c.spread[i] > 0)))
      detail::refuse_point(c, i, "a spread of " + plain_number(c.spread[i]), "a spread of more than 0");
    if (i == 0) continue;
    if (c.hz[i] == c.hz[i - 1])
      detail::refuse_point(c, i, "a second one at " + engineering(c.hz[i], "Hz", 6), "each frequency once");
    if (c.hz[i] < c.hz[i - 1])
      detail::refuse_point(c, i,
                           engineering(c.hz[i], "Hz", 6) + " after " + engineering(c.hz[i - 1], "Hz", 6),
                           "rising frequencies");
  }
  return c;
}

/// How far a model lies from what was measured.
struct curve_misfit {
  double rms = 0, max = 0; ///< of |model/measured - 1|, amount and angle together
};

/// Complex relative error of a model. Precondition: lists of one length.
[[nodiscard]] inline curve_misfit misfit_of(const std::vector<std::complex<double>>& model,
                                            const std::vector<std::complex<double>>& measured) {
  curve_misfit e;
  for (std::size_t i = 0; i < measured.size(); ++i) {
    const double x = std::abs(model[i] / measured[i] - 1.0);
    e.rms += x * x / static_cast<double>(measured.size());
    e.max = std::fmax(e.max, x);
  }
  e.rms = std::sqrt(e.rms);
  return e;
}

/// An impedance without what hung beside it while it was measured, the input of an instrument: 1/(1/Z - Y), with Y in S,
/// one a point. The relative spread grows as Z does. Throws `invalid_value` for a list of another length.
[[nodiscard]] inline measured_curve without_shunt(measured_curve z,
                                                  const std::vector<std::complex<double>>& siemens) {
  if (siemens.size() != z.size())
    throw invalid_value("siemens", std::to_string(siemens.size()) + " long", "one entry a point");
  if (z.spread.empty()) z.spread.assign(z.size(), 1.0);
  for (std::size_t i = 0; i < z.size(); ++i) {
    const std::complex<double> factor = 1.0 / (1.0 - siemens[i] * z.value[i]);
    z.value[i] *= factor;
    z.spread[i] *= std::abs(factor);
  }
  return z;
}

} // namespace lodewire
