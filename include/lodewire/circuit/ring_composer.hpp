// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <span>
#include <stdexcept>
#include <type_traits>
#include <vector>

#include <lodewire/circuit/stepping_machine.hpp>

namespace lodewire {

/// Thrown where a transfer function is asked of a circuit that has none in polynomials.
class not_rational : public std::invalid_argument {
public:
  not_rational()
      : std::invalid_argument("transfer_function: the circuit has a power law K·s^α, which is no ratio of "
                              "polynomials; evaluate its response directly") {}
};

/// Composes the coherent sum Σ w_k·E_k/(F_k·D) of a program in any number system of polynomials, with values of any
/// kind: dual numbers give the derivative of every coefficient (eq. 31), lanes many builds at once;
/// `composer` is made of the one for doubles. Made once for a program; then `noexcept`, no allocation. Two threads must not share one.
template <class System, class Value>
class ring_composer {
public:
  using number = typename System::number;
  using coefficient = typename System::coefficient;

  /// Room for this program. Throws `not_rational`.
  explicit ring_composer(std::span<const instruction> code) : room_(code), steps_(steps_of(code)) {
    for (const instruction i : code)
      if (i.op == opcode::power_law) throw not_rational();
  }

  /// Composes; EMFs past the end of `weights` have weight 1. A polynomial past the capacity says `overflowed()`.
  circuit_status compose(std::span<const instruction> code, const Value* values,
                         std::span<const double> weights) noexcept {
    return weighted(code, values, [weights](std::size_t k) { return k < weights.size() ? weights[k] : 1; });
  }
  /// The response to EMF number `emf` alone.
  circuit_status compose_one(std::span<const instruction> code, const Value* values,
                             std::size_t emf) noexcept {
    return weighted(code, values, [emf](std::size_t k) { return k == emf ? 1. : 0.; });
  }

  /// Of the last composition, in units of `scale::per_second`; they last until the next.
  [[nodiscard]] const number& numerator() const noexcept { return *n_; }
  [[nodiscard]] const number& denominator() const noexcept { return *d_; }
  /// Output impedance of the last composition, in units of `scale::ohm`.
  [[nodiscard]] const homogeneous_pair<number>& impedance() const noexcept { return room_.stack[0]; }

private:
  static constexpr bool by_steps = requires(number & x, coefficient c) { System::scale_linear(x, c); };
  using machine_type = std::conditional_t<by_steps, stepping_machine<System, Value>, machine<System, Value>>;

  template <class Weight>
  circuit_status weighted(std::span<const instruction> code, const Value* values,
                          const Weight& weight) noexcept {
    machine_type m(System{}, values, room_);
    if constexpr (by_steps) {
      m.run_steps(steps_, code);
    } else {
      run(code, m);
    }
    d_ = &m.d();
    const auto silent = [&](std::size_t k) { return weight(k) == 0 || System::is_zero(room_.emf[k]); };
    std::size_t heard = 0, last = 0;
    for (std::size_t k = 0; k < m.emfs(); ++k)
      if (!silent(k)) {
        ++heard;
        last = k;
      }
    if (heard == 1 && room_.shares[last] == room_.no_filter && weight(last) == 1) {
      n_ = &room_.emf[last];
      return m.status();
    }
    n_ = &sum_;
    System::set(sum_, coefficient(0));
    if (heard > 0) add_up(m.emfs(), weight, silent);
    return m.status();
  }

  /// Sum of w·E/F over the EMFs, over D; those that share one F (most often 1) stay over it.
  void add_up(std::size_t emfs, const auto& weight, const auto& silent) noexcept {
    System::set(f_, coefficient(1));
    for (std::size_t k = 0; k < emfs; ++k) {
      if (silent(k)) continue;
      std::size_t j = 0;
      while (j < k && (silent(j) || !one_filter(j, k))) ++j;
      if (j < k) continue; // it went with an earlier one
      System::set(over_own_, coefficient(0));
      for (; j < emfs; ++j)
        if (!silent(j) && one_filter(j, k)) System::add(over_own_, coefficient(weight(j)), room_.emf[j]);
      System::multiply(sum_, room_.filter[k]);
      System::add_product(sum_, over_own_, f_);
      System::multiply(f_, room_.filter[k]);
    }
    System::multiply(f_, *d_);
    d_ = &f_;
  }
  [[nodiscard]] bool one_filter(std::size_t j, std::size_t k) const noexcept {
    return j == k || room_.shares[j] == room_.shares[k] || room_.filter[j] == room_.filter[k];
  }

  workspace<System> room_;
  std::vector<step> steps_;
  number sum_, f_, over_own_;
  const number* n_ = &sum_;
  const number* d_ = &f_;
};

} // namespace lodewire
