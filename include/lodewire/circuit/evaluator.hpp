// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <complex>
#include <limits>
#include <span>
#include <vector>

#include <lodewire/circuit/block_system.hpp>
#include <lodewire/circuit/source.hpp>
#include <lodewire/circuit/stepping_machine.hpp>

namespace lodewire {

/// Evaluates a program directly at many frequencies, nothing composed: the most accurate way (some 1e-14 at 12
/// reactive parts, 1e-13 at 40), and the one that takes power laws. Made once for a program; then every call is
/// `noexcept`, allocates nothing and holds no lock. The values may change between calls (a knob), the program may
/// not. Copy it for another thread. Cost: some 3 to 5 ns a point for five reactive parts.
template <int Width = native_lanes>
class basic_evaluator {
public:
  explicit basic_evaluator(const circuit& c) : room_(c.code), steps_(steps_of(c.code)) {}

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
    return blocks(hz, out, [&](const system& at) -> fraction {
      const machine_type m = ran(c, at);
      number& n = room_.stack[0].n;
      at.scale(n, scale::ohm);
      return {m.status(), &n, &m.d()};
    });
  }

  /// out[i] = the load in ohms that the source behind terminal pair number `terminals` sees at hz[i]: everything that
  /// follows and everything that is joined to it, other sources at rest (eq. 15). Conditions as above.
  circuit_status loads(const circuit& c, std::size_t terminals, std::span<const double> hz,
                       std::span<std::complex<double>> out) noexcept {
    number n, d;
    return blocks(hz, out, [&](const system& at) -> fraction {
      const auto probed = [&](bool as_current, number& seen) {
        machine_type m(at, c.values.data(), room_);
        m.probe(static_cast<std::uint8_t>(terminals), as_current);
        run(c.code, m);
        seen = m.probed();
        return m.status();
      };
      const circuit_status met = probed(false, n);
      at.scale(n, scale::ohm);
      const circuit_status met_too = probed(true, d);
      return {met == circuit_status::ok ? met_too : met, &n, &d};
    });
  }

private:
  using system = block_system<Width>;
  using number = typename system::number;
  using machine_type = stepping_machine<system, double>;
  struct fraction {
    circuit_status status;
    const number *n, *d;
  };

  [[nodiscard]] machine_type ran(const circuit& c, const system& at) noexcept {
    machine_type m(at, c.values.data(), room_);
    m.run_steps(steps_, c.code);
    return m;
  }

  /// Σ w·E/F over D; the sum takes the place of the first E.
  template <class Weight>
  circuit_status summed(const circuit& c, std::span<const double> hz, std::span<std::complex<double>> out,
                        const Weight& weight) noexcept {
    return blocks(hz, out, [&](const system& at) -> fraction {
      const machine_type m = ran(c, at);
      number* sum = nullptr;
      for (std::size_t k = 0; k < m.emfs(); ++k) {
        if (weight(k) == 0) continue;
        number& e = room_.emf[k];
        if (weight(k) != 1) at.scale(e, weight(k));
        if (room_.shares[k] != room_.no_filter) at.divide(e, room_.filter[k]);
        if (sum == nullptr) {
          sum = &e;
        } else {
          at.add(*sum, e);
        }
      }
      if (sum == nullptr) {
        sum = &room_.seen;
        at.set(*sum, 0);
      }
      return {m.status(), sum, &m.d()};
    });
  }

  template <class Compute>
  circuit_status blocks(std::span<const double> hz, std::span<std::complex<double>> out,
                        const Compute& compute) noexcept {
    circuit_status status = circuit_status::ok;
    for (std::size_t from = 0; from < hz.size(); from += block_size) {
      const std::size_t count = (std::min)(block_size, hz.size() - from);
      const system at(hz.subspan(from, count));
      const auto to = out.subspan(from, count);
      const fraction f = compute(at);
      constexpr double nan = std::numeric_limits<double>::quiet_NaN();
      if (f.status != circuit_status::ok) {
        status = f.status;
        std::fill(to.begin(), to.end(), std::complex<double>(nan, nan));
      } else if (at.is_zero(*f.n) && at.is_zero(*f.d)) {
        std::fill(to.begin(), to.end(), std::complex<double>(0));
      } else {
        at.quotient(*f.n, *f.d, to);
      }
    }
    return status;
  }

  workspace<system> room_;
  std::vector<step> steps_;
};

using evaluator = basic_evaluator<>;

} // namespace lodewire
