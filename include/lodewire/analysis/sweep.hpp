// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <numbers>
#include <span>
#include <vector>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/circuit/composer.hpp>
#include <lodewire/circuit/evaluator.hpp>
#include <lodewire/quantity/decibel.hpp>

namespace lodewire {

/// A response over frequency: one entry a point in every list.
struct sweep_result {
  std::vector<double> hz;
  std::vector<std::complex<double>> response; ///< volts out (EMFs in volts), or ohms for an impedance

  /// 20·log10|H| in dB.
  [[nodiscard]] std::vector<double> gain_db() const {
    std::vector<double> db;
    db.reserve(response.size());
    for (const auto& h : response) db.push_back(voltage_level(std::abs(h)).value());
    return db;
  }
  /// Phase in degrees, continuous: it follows the curve past ±180°.
  [[nodiscard]] std::vector<double> phase_deg() const {
    std::vector<double> deg;
    deg.reserve(response.size());
    double turns = 0, last = 0;
    for (const auto& h : response) {
      const double raw = std::arg(h) * 180 / std::numbers::pi;
      if (!deg.empty()) turns -= std::round((raw + 360 * turns - last) / 360);
      last = raw + 360 * turns;
      deg.push_back(last);
    }
    return deg;
  }
};

namespace detail {

template <class Ask>
[[nodiscard]] sweep_result swept(std::span<const double> hz, const Ask& ask) {
  require_grid(hz);
  sweep_result result{{hz.begin(), hz.end()}, std::vector<std::complex<double>>(hz.size())};
  require_no_conflict(ask(std::span(result.response)));
  return result;
}

} // namespace detail

/// The coherent sum of the responses over a grid in Hz, evaluated directly. EMF k counts with `weights[k]`; those past
/// the end count 1. Throws `invalid_value` for a grid that is empty, not positive or not rising,
/// `conflicting_sources`.
[[nodiscard]] inline sweep_result sweep(const source& s, std::span<const double> hz,
                                        std::span<const double> weights = {}) {
  const circuit& c = s.as_circuit();
  return detail::swept(hz, [&](auto out) { return evaluator(c).responses(c, hz, weights, out); });
}

/// The response to one EMF alone. Throws as above, and `invalid_value` for a number past the last EMF.
[[nodiscard]] inline sweep_result sweep_emf(const source& s, std::size_t emf, std::span<const double> hz) {
  s.require_emf(emf);
  const circuit& c = s.as_circuit();
  return detail::swept(hz, [&](auto out) { return evaluator(c).responses_to(c, emf, hz, out); });
}

namespace detail {

/// N/D of a circuit over a grid, in ohms.
[[nodiscard]] inline sweep_result swept_impedance(const circuit& c, std::span<const double> hz) {
  return swept(hz, [&](auto out) { return evaluator(c).impedances(c, hz, out); });
}

} // namespace detail

/// The impedance of a one-port over a grid, in ohms. Throws as above.
[[nodiscard]] inline sweep_result sweep_impedance(const one_port& z, std::span<const double> hz) {
  return detail::swept_impedance(z.as_circuit(), hz);
}

/// The output impedance of a source over a grid, in ohms, every EMF at rest. Throws as above.
[[nodiscard]] inline sweep_result sweep_impedance(const source& s, std::span<const double> hz) {
  return detail::swept_impedance(s.as_circuit(), hz);
}

/// Group delay -dφ/dω in seconds over a grid in Hz, exact, from the transfer function. Throws `invalid_value` as above.
[[nodiscard]] inline std::vector<double> group_delay(const transfer_function& h, std::span<const double> hz) {
  detail::require_grid(hz);
  std::vector<double> seconds;
  seconds.reserve(hz.size());
  for (const double f : hz) seconds.push_back(h.group_delay(frequency::from_value(f)).value());
  return seconds;
}

} // namespace lodewire
