// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <span>
#include <string>
#include <vector>

#include <lodewire/analysis/impedance_resonance.hpp>
#include <lodewire/design/fit_solver.hpp>
#include <lodewire/parts/magnetic_coil.hpp>

/// A coil from a multimeter and its resonances with known capacitors across it.
namespace lodewire {

/// A lossy coil's resonances lie apart: which one was read?
enum class resonance_reading : std::uint8_t {
  highest_impedance, ///< |Z| highest: voltage highest behind a large resistor
  zero_phase,        ///< Z resistive
  response,          ///< output highest with a driving coil's flux, or a string's
};

/// One of them, with a capacitor across the coil.
struct loaded_resonance {
  capacitance added{};
  frequency at{};
  double spread = 0.005; ///< relative standard deviation of the frequency
};

struct resonance_set_up {
  resonance_reading read = resonance_reading::highest_impedance;
  resistance winding{}; ///< by multimeter, at the temperature of the measurement
  stage fixture{};      ///< what else hangs there: a probe, controls
  /// The losses of a coil like this one, from an impedance curve: of it only the eddy branches count (their share of the
  /// inductance and their corners R/(2πL)) and the loss across the winding.
  std::optional<magnetic_coil> losses{};
};

struct coil_from_resonances {
  magnetic_coil coil{};
  double inductance_error =
      0; ///< relative standard error of the low-frequency inductance, by the readings' spread
  double capacitance_error = 0;
  std::vector<double> residuals{}; ///< a reading: model/read - 1
  /// Without `losses`: what C may be when eddy currents take up to 70 % of the inductance away in the useful band
  /// (GITEC note on M. Zollner's talk, 2020). Both ends are the value itself where the losses are given.
  capacitance lowest{}, highest{};
  std::string note{}; ///< which peak is meant, and what the result is worth
};

namespace detail {

/// Where the peak lies that is meant; 0 where there is none.
[[nodiscard]] inline double resonance_of(const magnetic_coil& coil, const resonance_set_up& s,
                                         capacitance added) {
  const source loaded = source(coil) | s.fixture | in_shunt(one_port(added));
  if (s.read == resonance_reading::response) {
    const resonance r = find_resonance(transfer(loaded));
    return r.has_peak ? r.peak.value() : 0;
  }
  const impedance_resonance z = find_impedance_resonance(loaded);
  const auto& f = s.read == resonance_reading::zero_phase ? z.zero_phase : z.magnitude_peak;
  return f ? f->value() : 0;
}

/// A coil of that low-frequency inductance with the eddy branches in proportion.
[[nodiscard]] inline magnetic_coil scaled_coil(const resonance_set_up& s, double l, double c) {
  magnetic_coil coil;
  coil.resistance = s.winding;
  coil.capacitance = capacitance::from_value(c);
  coil.inductance = inductance::from_value(l);
  if (!s.losses) return coil;
  const double factor = l / s.losses->low_frequency_inductance().value();
  coil.inductance = s.losses->inductance * factor;
  for (std::size_t b = 0; b < 2; ++b)
    coil.eddy[b] = {s.losses->eddy[b].inductance * factor, s.losses->eddy[b].resistance * factor};
  coil.parallel_loss = s.losses->parallel_loss;
  return coil;
}

[[nodiscard]] inline coil_from_resonances fit_resonances(std::span<const loaded_resonance> readings,
                                                         const resonance_set_up& s) {
  // 1/ω² = L·C + L·C_added, a straight line, is right without losses: the start.
  double n = 0, x = 0, y = 0, xx = 0, xy = 0;
  for (const loaded_resonance& r : readings) {
    const double omega = 2 * std::numbers::pi * r.at.value(), a = r.added.value(), b = 1 / (omega * omega);
    n += 1;
    x += a;
    y += b;
    xx += a * a;
    xy += a * b;
  }
  const double slope = (n * xy - x * y) / (n * xx - x * x), first = (y - slope * x) / n;
  if (!(slope > 0))
    throw invalid_value("readings", "a resonance that does not fall as capacitance is added",
                        "falling ones: is each capacitor with its own reading?");
  const double start = std::fmax(first / slope, 0.02 * x / n);
  const auto residual = [&](std::span<const double> at, std::span<double> out) {
    for (std::size_t i = 0; i < readings.size(); ++i) {
      const double f = resonance_of(scaled_coil(s, std::exp(at[0]), std::exp(at[1])), s, readings[i].added);
      out[i] = f > 0 ? std::log(f / readings[i].at.value()) / readings[i].spread : 1e3;
    }
  };
  const std::array low{std::log(1e-4), std::log(1e-14)}, high{std::log(1e3), std::log(1e-7)};
  const least_squares found =
      minimise(residual_ref(residual), readings.size(), {std::log(slope), std::log(start)}, low, high);
  coil_from_resonances c;
  c.coil = scaled_coil(s, std::exp(found.x[0]), std::exp(found.x[1]));
  c.lowest = c.highest = c.coil.capacitance;
  for (std::size_t i = 0; i < readings.size(); ++i)
    c.residuals.push_back(std::exp(found.residual[i] * readings[i].spread) - 1);
  const fit_matrix& j = found.jacobian;
  double a = 0, b = 0, d = 0;
  for (std::size_t i = 0; i < j.rows; ++i) {
    a += j(i, 0) * j(i, 0);
    b += j(i, 0) * j(i, 1);
    d += j(i, 1) * j(i, 1);
  }
  const double det = a * d - b * b;
  c.inductance_error = det > 0 ? std::sqrt(d / det) : 1e3;
  c.capacitance_error = det > 0 ? std::sqrt(a / det) : 1e3;
  return c;
}

} // namespace detail

/// L and C from two or more resonances with known capacitors added (0 F is one), fitted through the coil's losses.
/// Eddy currents make the inductance at a high resonance smaller than at a low one, which the plain formula takes for
/// less capacitance. Without `losses` the answer is that of the plain coil, and says between which bounds C lies.
/// Throws `invalid_value` for fewer than two different capacitors, a value that is none, resonances that do not fall.
/// Cost: some milliseconds.
[[nodiscard]] inline coil_from_resonances coil_by_resonances(std::span<const loaded_resonance> readings,
                                                             const resonance_set_up& s) {
  require_not_negative("winding", s.winding);
  bool differ = false;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    const std::string name = "readings[" + std::to_string(i) + "]";
    require_not_negative({name, "added"}, readings[i].added);
    require_positive({name, "at"}, readings[i].at);
    require_positive({name, "spread"}, readings[i].spread);
    differ = differ || readings[i].added != readings[0].added;
  }
  if (!differ)
    throw invalid_value("readings", std::to_string(readings.size()) + " with one capacitor",
                        "two or more, with different capacitors added");
  coil_from_resonances found = detail::fit_resonances(readings, s);
  const char* const which = s.read == resonance_reading::zero_phase          ? "zero phase of the impedance"
                            : s.read == resonance_reading::highest_impedance ? "the highest |Z|"
                                                                             : "the highest response";
  found.note = std::string("resonance: ") + which;
  if (s.losses) {
    found.note += "; fitted through the losses given: right as far as they are this coil's";
    return found;
  }
  double first = readings[0].at.value(), last = first, spread = 0.01;
  for (const loaded_resonance& r : readings) {
    first = std::fmin(first, r.at.value());
    last = std::fmax(last, r.at.value());
    spread = std::fmax(spread, 3 * r.spread);
  }
  for (const double r : found.residuals) spread = std::fmax(spread, std::abs(r));
  for (const double share : {0.2, 0.4, 0.55, 0.7})
    for (int step = 0; step <= 6; ++step) {
      const double corner = 0.5 * first * std::pow(4 * last / first, step / 6.0);
      resonance_set_up lossy = s;
      magnetic_coil like;
      like.inductance = inductance::from_value(1 - share);
      like.eddy[0] = {inductance::from_value(share),
                      resistance::from_value(2 * std::numbers::pi * corner * share)};
      lossy.losses = like;
      const coil_from_resonances other = detail::fit_resonances(readings, lossy);
      double worst = 0;
      for (const double r : other.residuals) worst = std::fmax(worst, std::abs(r));
      if (worst > spread) continue; // no such coil has these resonances
      found.lowest = (std::min)(found.lowest, other.coil.capacitance);
      found.highest = (std::max)(found.highest, other.coil.capacitance);
    }
  found.note += "; the plain coil: with metal near the winding C is a bound and no value (" +
                engineering(found.lowest, 3) + " to " + engineering(found.highest, 3) +
                "), until there are data above the resonance";
  return found;
}

} // namespace lodewire
