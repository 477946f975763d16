// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <numbers>
#include <string>
#include <vector>

#include <lodewire/circuit/pole_zero.hpp>
#include <lodewire/digital/deviation.hpp>

namespace lodewire {

/// Thrown for a response that no stable causal filter has: a pole that is not in the left half plane, more zeros than
/// poles where a design has no room for them, or a transfer function that is not defined.
class not_realisable : public std::invalid_argument {
public:
  explicit not_realisable(const std::string& what) : std::invalid_argument(what) {}
};

namespace detail {

/// An analogue response by its zeros and poles in 1/s and its value at one real point, so that no product overflows.
struct analogue_form {
  std::vector<std::complex<double>> zeros, poles;
  double reference = 0; ///< H(`at_reference`)
  static constexpr double at_reference = scale::per_second;

  [[nodiscard]] std::complex<double> at(std::complex<double> s) const noexcept {
    std::complex<double> h = reference;
    for (std::size_t k = 0; k < zeros.size() || k < poles.size(); ++k) {
      if (k < zeros.size()) h *= (s - zeros[k]) / (at_reference - zeros[k]);
      if (k < poles.size()) h *= (at_reference - poles[k]) / (s - poles[k]);
    }
    return h;
  }
  [[nodiscard]] double size_at(double hz) const noexcept {
    return std::abs(at({0, 2 * std::numbers::pi * hz}));
  }
};

[[nodiscard]] inline std::string pole_text(std::complex<double> p) {
  return "the pole at " + plain_number(p.real()) + (p.imag() < 0 ? " - j" : " + j") +
         plain_number(std::abs(p.imag())) + " 1/s";
}

/// Throws `not_realisable` unless every pole lies in the left half plane.
inline void require_stable(const std::vector<std::complex<double>>& poles, const char* whose) {
  for (const auto& p : poles)
    if (!(p.real() < 0))
      throw not_realisable(std::string(whose) + " is not stable: " + pole_text(p) +
                           " is not in the left half plane; give the circuit a resistance there");
}

/// Zeros, poles and level. Throws `not_realisable` for one that is not defined.
[[nodiscard]] inline analogue_form factored(const transfer_function& h, const char* whose) {
  if (!h.defined())
    throw not_realisable(std::string(whose) + " is not defined: ideal sources contradict each other");
  pole_zero_form roots = factorise(h);
  return {std::move(roots.zeros), std::move(roots.poles),
          h.numerator().empty() ? 0. : h.at({analogue_form::at_reference, 0}).real()};
}

/// The frequency of the largest |H| between two frequencies, if it lies inside and above both ends by 0.001 dB at
/// least. `size`: |H| by frequency in Hz. Cost: some 500 evaluations.
template <class Size>
[[nodiscard]] std::optional<frequency> find_peak(const Size& size, double low, double high) {
  constexpr int points = 400;
  const double step = std::pow(high / low, 1. / points);
  int best = 0;
  double most = -1;
  for (int k = 0; k <= points; ++k)
    if (const double x = size(low * std::pow(step, k)); x > most) {
      most = x;
      best = k;
    }
  if (best == 0 || best == points || !(most > 1.0001151 * size(low)) || !(most > 1.0001151 * size(high)))
    return std::nullopt;
  double a = low * std::pow(step, best - 1), b = low * std::pow(step, best + 1);
  for (int round = 0; round < 60; ++round) { // golden section
    const double c = b - 0.6180339887498949 * (b - a), d = a + 0.6180339887498949 * (b - a);
    if (size(c) < size(d)) {
      a = c;
    } else {
      b = d;
    }
  }
  return frequency::from_value((a + b) / 2);
}

} // namespace detail

} // namespace lodewire
