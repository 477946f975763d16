// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <span>
#include <vector>

#include <lodewire/analysis/power_response.hpp>
#include <lodewire/analysis/resonance.hpp>
#include <lodewire/analysis/varied_part.hpp>
#include <lodewire/circuit/complex_system.hpp>
#include <lodewire/circuit/dual.hpp>
#include <lodewire/circuit/ring_composer.hpp>

/// Exact derivatives with respect to every part at once, by dual numbers: no step, no differences. A slope is that with
/// respect to the part's deviation x as a fraction of its nominal value (`varied_part`): of ln f it is per cent of f per
/// per cent of the part.
namespace lodewire {

/// Of a response: dH/dx of each part.
struct response_sensitivity {
  std::complex<double> response;
  std::vector<std::complex<double>> slope;
};

/// Of a level: decibels per unit of x; a hundredth of it is decibels per per cent.
struct level_sensitivity {
  decibel level{};
  std::vector<double> slope_db;
};

/// Of the resonance of a response. The lists are empty where there is no peak; `quality` also where the peak does not rise
/// above the low-frequency level.
struct resonance_sensitivity {
  resonance at;
  std::vector<double> peak;      ///< d ln f/dx: per cent per per cent
  std::vector<double> height_db; ///< decibels per unit of x
  std::vector<double> quality;   ///< d ln Q/dx: per cent per per cent
};

namespace detail {

/// Parts taken at once; the last place is for x = ω².
inline constexpr std::size_t parts_at_once = 7;
using part_dual = dual<parts_at_once + 1>;

/// The values of a circuit with the derivatives by up to `parts_at_once` parts.
[[nodiscard]] inline std::vector<part_dual> dual_values(const circuit& c,
                                                        std::span<const varied_part> parts) {
  std::vector<part_dual> values(c.values.begin(), c.values.end());
  for (std::size_t p = 0; p < parts.size(); ++p)
    for (const varied_part::effect& e : parts[p].on)
      values[e.slot].gradient[p] += e.slope + e.power * c.values[e.slot];
  return values;
}

/// Calls take(parts of a batch, number of the first) batch by batch.
template <class Take>
void in_batches(const circuit& c, std::span<const varied_part> parts, const Take& take) {
  for (const varied_part& p : parts) require_part(c, p);
  for (std::size_t from = 0; from < parts.size(); from += parts_at_once)
    take(parts.subspan(from, (std::min)(parts_at_once, parts.size() - from)), from);
}

/// |P(jω)|² and its derivative by x = ω², of a polynomial with dual coefficients at a dual x (eq. 32).
struct dual_square {
  part_dual value, slope;
  dual_square(const polynomial<part_dual>& p, const part_dual& x) {
    part_dual part[2], by_x[2]; // even, odd; in -x
    for (std::size_t k = p.stored(); k-- > 0;) {
      by_x[k % 2] = -(by_x[k % 2] * x) - part[k % 2];
      part[k % 2] = p.c[k] - part[k % 2] * x;
    }
    value = part[0] * part[0] + x * part[1] * part[1];
    slope = part_dual(2) * (part[0] * by_x[0] + x * part[1] * by_x[1]) + part[1] * part[1];
  }
};

/// A polynomial's lowest coefficient that is not 0.
[[nodiscard]] inline part_dual lowest_coefficient(const polynomial<part_dual>& p) noexcept {
  for (const part_dual& c : p.coefficients())
    if (c.value != 0) return c;
  return part_dual(0);
}

} // namespace detail

/// Of the coherent sum of the responses at f, in any circuit (power laws too). EMFs past the end of `weights` count 1.
/// Throws `invalid_value` for a frequency that is not positive, a part that moves no value of this circuit;
/// `conflicting_sources`. Cost: a few microseconds for seven parts.
[[nodiscard]] inline response_sensitivity find_response_sensitivity(const source& s,
                                                                    std::span<const varied_part> parts,
                                                                    frequency f,
                                                                    std::span<const double> weights = {}) {
  using detail::part_dual;
  using system = complex_system<part_dual>;
  const circuit& c = s.as_circuit();
  const double omega = 2 * std::numbers::pi * require_positive("frequency", f).value();
  response_sensitivity found;
  const auto take = [&](std::span<const varied_part> some, std::size_t) {
    const auto values = detail::dual_values(c, some);
    workspace<system> room(c.code);
    machine<system, part_dual> m(system({part_dual(0), part_dual(omega)}), values.data(), room);
    run(c.code, m);
    require_no_conflict(m.status());
    split_complex<part_dual> sum;
    for (std::size_t k = 0; k < m.emfs(); ++k) {
      const double weight = k < weights.size() ? weights[k] : 1;
      if (weight == 0 || system::is_zero(room.emf[k])) continue;
      sum = sum + part_dual(weight) * (room.emf[k] / m.response_denominator(k));
    }
    found.response = {sum.re.value, sum.im.value};
    for (std::size_t p = 0; p < some.size(); ++p)
      found.slope.emplace_back(sum.re.gradient[p], sum.im.gradient[p]);
  };
  detail::in_batches(c, parts, take);
  if (parts.empty()) take({}, 0);
  return found;
}

/// Of its level in dB re 1 V. Throws as above, and `invalid_value` where nothing reaches the output.
[[nodiscard]] inline level_sensitivity find_level_sensitivity(const source& s,
                                                              std::span<const varied_part> parts, frequency f,
                                                              std::span<const double> weights = {}) {
  const response_sensitivity r = find_response_sensitivity(s, parts, f, weights);
  if (r.response == 0.0) throw invalid_value("response", "0", "one with a level");
  level_sensitivity found{voltage_level(std::abs(r.response)), {}};
  for (const std::complex<double>& dh : r.slope) // d ln|H| = Re(dH/H)
    found.slope_db.push_back(20 / std::numbers::ln10 * (dh / r.response).real());
  return found;
}

/// Of the resonance of the coherent sum: frequency, height and Q as `find_resonance` defines them. The frequency moves as
/// the zero of d ln|H|²/dω² does (eq. 33). EMFs past the end of `weights` count 1. Throws as above and as `transfer`.
[[nodiscard]] inline resonance_sensitivity find_resonance_sensitivity(const source& s,
                                                                      std::span<const varied_part> parts,
                                                                      const resonance_search& where = {},
                                                                      std::span<const double> weights = {}) {
  using detail::part_dual, detail::dual_square;
  constexpr std::size_t by_x = detail::parts_at_once;
  const circuit& c = s.as_circuit();
  resonance_sensitivity found;
  found.at =
      find_resonance(detail::composed_once(c, [&](composer& k) { return k.response(c, weights); }), where);
  if (!found.at.has_peak) return found;
  ring_composer<polynomial_system<part_dual>, part_dual> compose(c.code);
  detail::in_batches(c, parts, [&](std::span<const varied_part> some, std::size_t) {
    const auto values = detail::dual_values(c, some);
    compose.compose(c.code, values.data(), weights);
    const auto &n = compose.numerator(), &d = compose.denominator();
    part_dual x = part_dual::variable(detail::power_response::square_of(found.at.peak.value()), by_x);
    for (int step = 0; step < 3; ++step) { // to the last place, then the derivatives at it
      const dual_square a(n, x), b(d, x);
      const part_dual slope = a.slope / a.value - b.slope / b.value;
      if (step < 2) {
        x.value -= slope.value / slope.gradient[by_x];
        continue;
      }
      for (std::size_t p = 0; p < by_x; ++p) x.gradient[p] = -slope.gradient[p] / slope.gradient[by_x];
      x.gradient[by_x] = 0;
    }
    const auto level_at = [&](const part_dual& at) {
      return dual_square(n, at).value / dual_square(d, at).value;
    };
    part_dual base;
    if (found.at.reference.value() > 0) {
      base = level_at(part_dual(detail::power_response::square_of(found.at.reference.value())));
    } else {
      base = detail::lowest_coefficient(n) / detail::lowest_coefficient(d);
      base = base * base;
    }
    const part_dual ratio = level_at(x) / base, height = log(ratio);
    for (std::size_t p = 0; p < some.size(); ++p) {
      found.peak.push_back(x.gradient[p] / (2 * x.value));
      found.height_db.push_back(10 / std::numbers::ln10 * height.gradient[p]);
    }
    if (!(ratio.value > 1)) return;
    const part_dual quality =
        part_dual(0.5) * log((ratio + sqrt(ratio * (ratio - part_dual(1)))) / part_dual(2));
    for (std::size_t p = 0; p < some.size(); ++p) found.quality.push_back(quality.gradient[p]);
  });
  return found;
}

} // namespace lodewire
