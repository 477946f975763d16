// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/design/fit_features.hpp>

namespace lodewire {

namespace detail {

/// Slope of ln|Z| over ln f times 90°, which is about what the phase of a network without delay has to be (Bode), and
/// the phase, at the middle of each step; correlated.
struct phase_law {
  double ratio = 0; ///< phase over what the slope says, in the middle
  double agree = 0; ///< correlation of the two
};

[[nodiscard]] inline phase_law compare_phase(const measured_curve& c) {
  double xy = 0, xx = 0, yy = 0;
  // Over a third of an octave or more, so that noise does not make the slope.
  for (std::size_t i = 0, k = 0; i < c.size(); ++i) {
    if (c.hz[i] < 1.26 * c.hz[k]) continue;
    const double slope = std::log(std::abs(c.value[i]) / std::abs(c.value[k])) / std::log(c.hz[i] / c.hz[k]);
    const double x = 90 * slope;
    const double y = (std::arg(c.value[i]) + std::arg(c.value[k])) * 90 / std::numbers::pi;
    xy += x * y;
    xx += x * x;
    yy += y * y;
    k = i;
  }
  if (xx == 0 || yy == 0) return {};
  return {xy / xx, xy / std::sqrt(xx * yy)};
}

} // namespace detail

/// What looks wrong with the impedance of a coil, in words; nothing if all looks well. It only suspects: a factor of 1000
/// in frequency or ohms, radians or degrees mixed up, a phase of the other sign or of no passive part, noise alone.
/// Throws as `require_curve`.
[[nodiscard]] inline std::vector<std::string> find_suspicions(const measured_curve& c) {
  std::vector<std::string> found;
  const curve_features f = find_features(c);
  if (c.kind != curve_kind::ohms) return found;
  const double last_hz = c.hz.back();
  // Coils of 1 to 10 H peak between 1 and 30 kHz; 30 times that on either side.
  if (last_hz < 100)
    found.push_back("the highest frequency is " + engineering(last_hz, "Hz") + ": kHz read as Hz?");
  if (f.low_hz > 100e3)
    found.push_back("the lowest frequency is " + engineering(f.low_hz, "Hz") + ": Hz read as kHz?");
  if (f.peak_ohm < 2e3)
    found.push_back("nowhere more than " + engineering(f.peak_ohm, "Ω") + ": kΩ read as Ω?");
  double least = f.peak_ohm;
  for (const auto& z : c.value) least = std::fmin(least, std::abs(z));
  if (least > 500e3) found.push_back("nowhere less than " + engineering(least, "Ω") + ": Ω read as kΩ?");

  double up = 0, jump = 0; // how often |Z| turns, and by how much it jumps
  for (std::size_t i = 1; i + 1 < c.size(); ++i) {
    const double a = std::log(std::abs(c.value[i] / c.value[i - 1]));
    const double b = std::log(std::abs(c.value[i + 1] / c.value[i]));
    up += a * b < 0;
    jump += std::abs(b - a);
  }
  const double inner = static_cast<double>(c.size()) - 2;
  if (c.size() > 7 && up > 0.4 * inner && jump > 0.2 * inner)
    found.push_back("neighbouring points disagree everywhere: noise?");
  if (c.magnitude_only) return found;

  double widest = 0, beyond = 0;
  for (const auto& z : c.value) {
    const double deg = std::abs(std::arg(z)) * 180 / std::numbers::pi;
    widest = std::fmax(widest, deg);
    beyond += deg > 95;
  }
  const detail::phase_law law = detail::compare_phase(c);
  if (widest < 3.2 && law.agree > 0.6 && law.ratio < 0.06)
    found.push_back("the phase stays within ±" + plain_number(widest, 2) +
                    "° while |Z| changes as if by tens of degrees: radians read as degrees?");
  else if (law.agree < -0.6)
    found.push_back("the phase has the wrong sign: |Z| rises where it lags");
  if (beyond > 0.05 * static_cast<double>(c.size()))
    found.push_back(
        "the phase goes to ±" + plain_number(widest, 3) +
        "°, which no passive part has: degrees read as radians, an offset, or the wrong two channels?");
  return found;
}

} // namespace lodewire
