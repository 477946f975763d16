// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <memory>
#include <numbers>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include <lodewire/analysis/dc_resistance.hpp>
#include <lodewire/analysis/level.hpp>
#include <lodewire/analysis/resonance.hpp>
#include <lodewire/analysis/sweep.hpp>
#include <lodewire/instrument/nodal_circuit.hpp>

namespace lodewire {

namespace detail {

/// jω in 1/s.
[[nodiscard]] inline std::complex<double> on_axis(double hz) noexcept {
  return {0, 2 * std::numbers::pi * hz};
}

/// The same as `find_resonance` for a response that can only be asked point by point, h(s) with s in 1/s: the maximum
/// where dH/ds, from a circle of eight points round s (Cauchy; right to 1e-9 at Q below 100), makes the slope of |H|
/// vanish. Cost: some 300 points. No allocation where h makes none.
template <class H>
[[nodiscard]] resonance find_resonance_pointwise(const H& h, const resonance_search& where = {}) {
  require_search(where);
  const auto at = [&](double hz) { return h(on_axis(hz)); };
  const auto power = [&](double hz) { return std::norm(at(hz)); };
  const auto slope = [&](double hz) {
    const std::complex<double> s = on_axis(hz);
    const double radius = std::abs(s) / 512;
    std::complex<double> sum = 0;
    for (int k = 0; k < 8; ++k) {
      const std::complex<double> turn = std::polar(1.0, k * std::numbers::pi / 4);
      sum += std::conj(turn) * h(s + radius * turn);
    }
    // d|H|²/dω = 2·Re(H*·j·H')
    return (std::conj(at(hz)) * std::complex<double>(0, 1) * sum).real();
  };

  resonance found;
  // Far below every corner of a guitar; two points tell a level from a slope.
  const double low = power(1e-5), lower = power(1e-6);
  double base = lower;
  if (!(std::abs(low - lower) <= 1e-6 * low) || !(lower > 0)) {
    found.reference = where.reference;
    base = power(where.reference.value());
  }
  if (!is_finite(base))
    throw invalid_value("response", "undefined", "one of a circuit without contradictions");
  found.level = power_level(base);

  const double step = std::pow(10, 1.0 / 32), first = where.from.value(), last = where.to.value();
  double top = 0, peak = first;
  double before = first, middle = std::fmin(first * step, last);
  double p_before = power(before), p_middle = power(middle);
  while (middle < last) {
    const double next = std::fmin(middle * step, last), p_next = power(next);
    if (p_middle > p_before && p_middle >= p_next) {
      const double here = bracketed_root(slope, before, next), height = power(here);
      const double fall = height - std::fmin(p_before, p_next);
      if (height > top && fall > 1e-11 * height) {
        top = height;
        peak = here;
      }
    }
    before = middle;
    p_before = p_middle;
    middle = next;
    p_middle = p_next;
  }
  if (top > 0) {
    found.has_peak = true;
    found.peak = frequency::from_value(peak);
    const double ratio = top / base;
    found.height = power_level(ratio);
    if (ratio > 1) found.quality = std::sqrt((ratio + std::sqrt(ratio * (ratio - 1))) / 2);
  }
  const auto over_edge = [&](double hz) { return power(hz) / base - 0.5; };
  for (double hz = peak, over = over_edge(hz); hz < last;) {
    const double next = std::fmin(hz * step, last), then = over_edge(next);
    if (over >= 0 && then < 0) {
      found.edge = frequency::from_value(bracketed_root(over_edge, hz, next));
      break;
    }
    hz = next;
    over = then;
  }
  return found;
}

} // namespace detail

/// A position as it is composed, whether its wiring is a tree or goes by nodes: what is asked of it is the same. A plain
/// value whose copies share what they hold. Its questions are free functions, as those of a `source`.
class composed_position {
public:
  explicit composed_position(source tree) : of_(std::make_shared<const whole>(std::move(tree))) {}
  explicit composed_position(nodal_circuit nodes) : of_(std::make_shared<const whole>(std::move(nodes))) {}

  /// One of the two is there.
  [[nodiscard]] const source* tree() const noexcept { return std::get_if<source>(of_.get()); }
  [[nodiscard]] const nodal_circuit* nodes() const noexcept { return std::get_if<nodal_circuit>(of_.get()); }

  [[nodiscard]] std::span<const std::string> emf_names() const noexcept {
    return tree() ? tree()->emf_names() : nodes()->emf_names();
  }
  /// Number of the EMF of that name. Throws `invalid_value` that lists the names.
  [[nodiscard]] std::size_t emf(std::string_view name) const {
    const auto names = emf_names();
    return find_name("EMF", {names.begin(), names.end()}, name);
  }
  /// The pickups that are wired in.
  [[nodiscard]] std::vector<std::string> pickups() const {
    return tree() ? tree()->as_circuit().terminals : nodes()->terminals();
  }
  /// The names of the values that can be found again: sections of controls, named parts of a tree.
  [[nodiscard]] std::vector<std::string> ranges() const {
    if (!tree()) return {nodes()->sections().begin(), nodes()->sections().end()};
    std::vector<std::string> names;
    for (const named_range& r : tree()->as_circuit().ranges) names.push_back(r.name);
    return names;
  }

private:
  using whole = std::variant<source, nodal_circuit>;
  std::shared_ptr<const whole> of_;
};

namespace detail {

/// One number of a wiring by nodes, in a room of its own.
template <class Ask>
[[nodiscard]] std::complex<double> ask_nodes(const nodal_circuit& of, frequency f, const Ask& ask) {
  auto room = of.make_workspace();
  return ask(on_axis(require_positive("frequency", f).value()), room);
}

} // namespace detail

/// Response to EMF number `emf` at f, times its value. Throws as of a `source`.
[[nodiscard]] inline std::complex<double> response(const composed_position& of, std::size_t emf,
                                                   frequency f) {
  if (of.tree()) return response(*of.tree(), emf, f);
  if (emf >= of.emf_names().size())
    throw invalid_value("EMF number", std::to_string(emf),
                        "0 to " + std::to_string(of.emf_names().size() - 1));
  return detail::ask_nodes(*of.nodes(), f,
                           [&](auto s, auto& room) { return of.nodes()->response_to(s, emf, room); });
}
/// The coherent sum of all EMFs.
[[nodiscard]] inline std::complex<double> response(const composed_position& of, frequency f) {
  if (of.tree()) return response(*of.tree(), f);
  return detail::ask_nodes(*of.nodes(), f,
                           [&](auto s, auto& room) { return of.nodes()->response(s, {}, room); });
}
[[nodiscard]] inline decibel level(const composed_position& of, frequency f = low_level_frequency) {
  return voltage_level(std::abs(response(of, f)));
}
/// What drives the cable, or all that follows.
[[nodiscard]] inline impedance output_impedance(const composed_position& of, frequency f) {
  if (of.tree()) return output_impedance(*of.tree(), f);
  return impedance::from_value(
      detail::ask_nodes(*of.nodes(), f, [&](auto s, auto& room) { return of.nodes()->impedance(s, room); }));
}
/// The load that a pickup sees. Throws `invalid_value` for one that is not wired in.
[[nodiscard]] inline impedance load_seen(const composed_position& of, std::string_view of_pickup,
                                         frequency f) {
  if (of.tree()) return load_seen(*of.tree(), of.tree()->terminals(of_pickup), f);
  return impedance::from_value(
      of.nodes()->load_seen(of_pickup, detail::on_axis(require_positive("frequency", f).value())));
}
/// What an ohmmeter reads.
[[nodiscard]] inline resistance dc_resistance(const composed_position& of) {
  return of.tree() ? dc_resistance(*of.tree()) : of.nodes()->dc_resistance(detail::at_dc);
}

/// The response of a composed position over frequency, Σ w_k·H_k over its EMFs: the exact transfer function of a tree;
/// by nodes, the solution at each frequency. A plain value.
class response_curve {
public:
  /// EMFs past the end of `weights` have weight 1. Throws as `transfer` does for a tree.
  explicit response_curve(const composed_position& of, std::vector<double> weights = {})
      : of_(of), weights_(std::move(weights)) {
    if (!of.tree()) return;
    const circuit& c = of.tree()->as_circuit();
    exact_ = detail::composed_once(
        c, [&](composer& k) { return k.response(c, std::span<const double>(weights_)); });
  }

  /// At f, not negative for a tree, more than 0 by nodes. NaN where there is no single answer.
  [[nodiscard]] std::complex<double> operator()(frequency f) const {
    if (of_.tree()) return exact_(f);
    auto room = of_.nodes()->make_workspace();
    return of_.nodes()->response(detail::on_axis(f.value()), weights_, room);
  }
  /// Its resonance. Throws `invalid_value` as `find_resonance` of a transfer function. Cost: by nodes, milliseconds.
  [[nodiscard]] resonance peak(const resonance_search& where = {}) const {
    if (of_.tree()) return find_resonance(exact_, where);
    auto room = of_.nodes()->make_workspace();
    return detail::find_resonance_pointwise(
        [&](std::complex<double> s) { return of_.nodes()->response(s, weights_, room); }, where);
  }

private:
  composed_position of_;
  std::vector<double> weights_;
  transfer_function exact_;
};

/// The resonance of the coherent sum of all EMFs. Throws as above.
[[nodiscard]] inline resonance find_resonance(const response_curve& h, const resonance_search& where = {}) {
  return h.peak(where);
}
[[nodiscard]] inline resonance find_resonance(const composed_position& of,
                                              const resonance_search& where = {}) {
  return response_curve(of).peak(where);
}

/// Responses over a grid in Hz, as `sweep` of a source: each point is solved.
[[nodiscard]] inline sweep_result sweep(const composed_position& of, std::span<const double> hz,
                                        std::span<const double> weights = {}) {
  if (of.tree()) return sweep(*of.tree(), hz, weights);
  detail::require_grid(hz);
  sweep_result result{{hz.begin(), hz.end()}, {}};
  auto room = of.nodes()->make_workspace();
  for (const double f : hz)
    result.response.push_back(of.nodes()->response(detail::on_axis(f), weights, room));
  return result;
}

} // namespace lodewire
