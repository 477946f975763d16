// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <complex>
#include <limits>
#include <span>

#include <lodewire/circuit/block_machine.hpp>
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
    return summed(c, hz, out, [weights](std::size_t k) { return k < weights.size() ? weights[k] : 1; });
  }

  /// out[i] = H_emf(hz[i]), the response to one EMF alone. Conditions as above; emf must be there.
  circuit_status responses_to(const circuit& c, std::size_t emf, std::span<const double> hz,
                              std::span<std::complex<double>> out) noexcept {
    return summed(c, hz, out, [emf](std::size_t k) { return k == emf ? 1. : 0.; });
  }

  /// out[i] = output impedance at hz[i] in ohms, every EMF at rest. Conditions as above.
  circuit_status impedances(const circuit& c, std::span<const double> hz,
                            std::span<std::complex<double>> out) noexcept {
    return blocks(hz, out, [&](const system& at, number& n, number& d) {
      const machine_type m = ran(c, at);
      n = m.n();
      system::scale(n, scale::ohm);
      d = m.d();
      return m.status();
    });
  }

  /// out[i] = the load in ohms that the source behind terminal pair number `terminals` sees at hz[i]: everything that
  /// follows and everything that is joined to it, other sources at rest (eq. 15). Conditions as above.
  circuit_status loads(const circuit& c, std::size_t terminals, std::span<const double> hz,
                       std::span<std::complex<double>> out) noexcept {
    return blocks(hz, out, [&](const system& at, number& n, number& d) {
      const auto probed = [&](bool as_current, number& seen) {
        machine_type m(at, c.values.data(), room_);
        m.probe(static_cast<std::uint8_t>(terminals), as_current);
        run(c.code, m);
        seen = m.probed();
        return m.status();
      };
      const circuit_status met = probed(false, n);
      system::scale(n, scale::ohm);
      const circuit_status met_too = probed(true, d);
      return met == circuit_status::ok ? met_too : met;
    });
  }

private:
  using system = block_system<Width>;
  using number = typename system::number;
  using machine_type = block_machine<Width>;

  [[nodiscard]] machine_type ran(const circuit& c, const system& at) noexcept {
    machine_type m(at, c.values.data(), room_);
    m.run_joined(c.code);
    return m;
  }

  static void quotient(number& x, const number& y) noexcept {
    for (std::size_t g = 0; g < system::groups; ++g) {
      const auto scale = 1 / (y.re[g] * y.re[g] + y.im[g] * y.im[g]);
      const auto re = (x.re[g] * y.re[g] + x.im[g] * y.im[g]) * scale;
      x.im[g] = (x.im[g] * y.re[g] - x.re[g] * y.im[g]) * scale;
      x.re[g] = re;
    }
  }

  template <class Weight>
  circuit_status summed(const circuit& c, std::span<const double> hz, std::span<std::complex<double>> out,
                        const Weight& weight) noexcept {
    return blocks(hz, out, [&](const system& at, number& n, number& d) {
      const machine_type m = ran(c, at);
      system::set(n, 0);
      bool plain = true;
      for (std::size_t k = 0; k < m.emfs(); ++k)
        plain = plain && (room_.shares[k] == room_.no_filter || weight(k) == 0);
      d = m.d();
      for (std::size_t k = 0; k < m.emfs(); ++k) {
        if (weight(k) == 0) continue;
        if (plain) {
          system::add(n, weight(k), room_.emf[k]);
        } else { // n/d + w·E/(F·D), the D kept for the end
          number& e = room_.emf[k];
          system::scale(e, weight(k));
          quotient(e, room_.filter[k]);
          system::add(n, e);
        }
      }
      return m.status();
    });
  }

  template <class Compute>
  circuit_status blocks(std::span<const double> hz, std::span<std::complex<double>> out,
                        const Compute& compute) noexcept {
    circuit_status status = circuit_status::ok;
    for (std::size_t from = 0; from < hz.size(); from += block_size) {
      const std::size_t count = (std::min)(block_size, hz.size() - from);
      double padded[block_size];
      for (std::size_t i = 0; i < block_size; ++i) padded[i] = hz[from + (std::min)(i, count - 1)];
      number n, d;
      const circuit_status met = compute(system(padded), n, d);
      if (met != circuit_status::ok) {
        status = met;
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
