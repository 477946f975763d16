// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <span>

#include <lodewire/circuit/composer.hpp>

namespace lodewire {

/// Composes the coherent sum Σ w_k·E_k/(F_k·D) of a program in any number system of polynomials, with values of any
/// kind: dual numbers give the derivative of every coefficient (eq. 31), lanes many builds at once. What `composer` does
/// for doubles. Made once for a program; then `noexcept`, no allocation. Two threads must not share one.
template <class System, class Value>
class ring_composer {
public:
  using number = typename System::number;
  using coefficient = typename System::coefficient;

  /// Room for this program. Throws `not_rational`.
  explicit ring_composer(std::span<const instruction> code) : room_(code) {
    for (const instruction i : code)
      if (i.op == opcode::power_law) throw not_rational();
  }

  /// Composes; EMFs past the end of `weights` have weight 1. A polynomial past the capacity says `overflowed()`.
  circuit_status compose(std::span<const instruction> code, const Value* values,
                         std::span<const double> weights) noexcept {
    machine<System, Value> m(System{}, values, room_);
    run(code, m);
    const auto weight = [&](std::size_t k) { return k < weights.size() ? weights[k] : 1; };
    const auto silent = [&](std::size_t k) { return weight(k) == 0 || System::is_zero(room_.emf[k]); };
    const auto one_filter = [&](std::size_t j, std::size_t k) {
      return j == k || room_.shares[j] == room_.shares[k] || room_.filter[j] == room_.filter[k];
    };
    if (m.emfs() == 1 && room_.shares[0] == room_.no_filter && weight(0) == 1) {
      n_ = &room_.emf[0];
      d_ = &m.d();
      return m.status();
    }
    System::set(f_, coefficient(1));
    System::set(sum_, coefficient(0));
    for (std::size_t k = 0; k < m.emfs(); ++k) {
      if (silent(k)) continue;
      std::size_t j = 0;
      while (j < k && (silent(j) || !one_filter(j, k))) ++j;
      if (j < k) continue; // it went with an earlier one
      System::set(over_own_, coefficient(0));
      for (; j < m.emfs(); ++j)
        if (!silent(j) && one_filter(j, k)) System::add(over_own_, coefficient(weight(j)), room_.emf[j]);
      System::multiply(sum_, room_.filter[k]);
      System::add_product(sum_, over_own_, f_);
      System::multiply(f_, room_.filter[k]);
    }
    System::multiply(f_, m.d());
    n_ = &sum_;
    d_ = &f_;
    return m.status();
  }

  /// Of the last composition, in units of `scale::per_second`; they last until the next.
  [[nodiscard]] const number& numerator() const noexcept { return *n_; }
  [[nodiscard]] const number& denominator() const noexcept { return *d_; }

private:
  workspace<System> room_;
  number sum_, f_, over_own_;
  const number* n_ = &sum_;
  const number* d_ = &f_;
};

} // namespace lodewire
