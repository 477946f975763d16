// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <complex>
#include <limits>
#include <span>

#include <lodewire/circuit/block_system.hpp>
#include <lodewire/circuit/source.hpp>

namespace lodewire {

/// Evaluates a program directly at many frequencies, nothing composed: the most accurate way (some 1e-14 at 12
/// reactive parts, 1e-13 at 40), and the one that takes power laws. Made once for a program; then every call is
/// `noexcept`, allocates nothing and holds no lock. The values may change between calls (a knob), the program may
/// not. Copy it for another thread. Cost: some 3 to 5 ns a point for five reactive parts.
template <int Width = native_lanes>
class basic_evaluator {
public:
  explicit basic_evaluator(const circuit& c) : room_(c.code) {}

  /// out[i] = Σ w_k·H_k(hz[i]), the sum over EMFs of weight times response; EMFs past the end of `weights` have
  /// weight 1. Every frequency must be more than 0 (limits at dc: `transfer_function`). NaN where ideal sources
  /// contradict each other, 0 where nothing reaches the output. Precondition: out is as long as hz.
  circuit_status responses(const circuit& c, std::span<const double> hz, std::span<const double> weights,
                           std::span<std::complex<double>> out) noexcept {
    return blocks(c, hz, out, [&](const machine_type& m, number& n, number& d) {
      system::set(n, 0);
      bool plain = true;
      for (std::size_t k = 0; k < m.emfs(); ++k)
        plain = plain && (!room_.filtered[k] || weight(weights, k) == 0);
      d = m.d();
      for (std::size_t k = 0; k < m.emfs(); ++k) {
        if (weight(weights, k) == 0) continue;
        if (plain) {
          system::add(n, weight(weights, k), room_.emf[k]);
        } else { // n/d + w·E/(F·D), the D kept for the end
          number& e = room_.emf[k];
          system::scale(e, weight(weights, k));
          quotient(e, room_.filter[k]);
          system::add(n, e);
        }
      }
    });
  }

  /// out[i] = output impedance at hz[i] in ohms, every EMF at rest. Conditions as above.
  circuit_status impedances(const circuit& c, std::span<const double> hz,
                            std::span<std::complex<double>> out) noexcept {
    return blocks(c, hz, out, [](const machine_type& m, number& n, number& d) {
      n = m.n();
      system::scale(n, scale::ohm);
      d = m.d();
    });
  }

private:
  using system = block_system<Width>;
  using number = typename system::number;
  using machine_type = machine<system, double>;

  [[nodiscard]] static double weight(std::span<const double> weights, std::size_t k) noexcept {
    return k < weights.size() ? weights[k] : 1;
  }
  static void quotient(number& x, const number& y) noexcept {
    for (std::size_t g = 0; g < system::groups; ++g) {
      const auto scale = 1 / (y.re[g] * y.re[g] + y.im[g] * y.im[g]);
      const auto re = (x.re[g] * y.re[g] + x.im[g] * y.im[g]) * scale;
      x.im[g] = (x.im[g] * y.re[g] - x.re[g] * y.im[g]) * scale;
      x.re[g] = re;
    }
  }

  template <class Take>
  circuit_status blocks(const circuit& c, std::span<const double> hz, std::span<std::complex<double>> out,
                        const Take& take) noexcept {
    circuit_status status = circuit_status::ok;
    for (std::size_t from = 0; from < hz.size(); from += block_size) {
      const std::size_t count = std::min(block_size, hz.size() - from);
      double padded[block_size];
      for (std::size_t i = 0; i < block_size; ++i) padded[i] = hz[from + std::min(i, count - 1)];
      machine_type m(system(padded), c.values.data(), room_);
      run(c.code, m);
      number n, d;
      take(m, n, d);
      if (m.status() != circuit_status::ok) {
        status = m.status();
        for (std::size_t g = 0; g < system::groups; ++g)
          n.re[g] = n.im[g] = typename system::lane{} + std::numeric_limits<double>::quiet_NaN();
      } else if (!(system::is_zero(n) && system::is_zero(d))) {
        quotient(n, d);
      }
      for (std::size_t i = 0; i < count; ++i) out[from + i] = {system::get(n.re, i), system::get(n.im, i)};
    }
    return status;
  }

  workspace<system> room_;
};

using evaluator = basic_evaluator<>;

} // namespace lodewire
