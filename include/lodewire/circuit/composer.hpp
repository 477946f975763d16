// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <span>
#include <string>

#include <lodewire/circuit/degree_system.hpp>
#include <lodewire/circuit/polynomial_system.hpp>
#include <lodewire/circuit/source.hpp>
#include <lodewire/circuit/transfer_function.hpp>

namespace lodewire {

/// Thrown where a transfer function is asked of a circuit that has none in polynomials.
class not_rational : public std::invalid_argument {
public:
  not_rational()
      : std::invalid_argument("transfer_function: the circuit has a power law K·s^α, which is no ratio of "
                              "polynomials; evaluate its response directly") {}
};

/// Thrown where a polynomial would outgrow its storage.
class capacity_exceeded : public std::length_error {
public:
  explicit capacity_exceeded(std::size_t degree)
      : std::length_error("transfer_function: the circuit reaches degree " + std::to_string(degree) +
                          "; allowed: 0 to " + std::to_string(polynomial_capacity - 1) +
                          "; evaluate its response directly") {}
};

/// Composes exact transfer functions from a program. Made once; then composing is `noexcept` and allocates nothing,
/// whatever the values (a knob). Cost: some 0.1 µs for five reactive parts, growing with the square of their number.
class composer {
public:
  /// Room for this program. Throws `not_rational`, `capacity_exceeded`.
  explicit composer(const circuit& c) : room_(c.code) {
    if (std::ranges::any_of(c.code, [](instruction i) { return i.op == opcode::power_law; }))
      throw not_rational();
    const std::size_t degree = highest_degree(c);
    if (degree >= polynomial_capacity) throw capacity_exceeded(degree);
  }

  /// Response to EMF number `emf` times that EMF's value. Not `defined()` where ideal sources contradict each other.
  [[nodiscard]] transfer_function response(const circuit& c, std::size_t emf) noexcept {
    const auto m = composed(c);
    if (m.status() != circuit_status::ok) return {};
    return ratio(room_.emf[emf], m.response_denominator(emf));
  }

  /// Σ w_k·H_k over the EMFs; those past the end of `weights` have weight 1.
  [[nodiscard]] transfer_function response(const circuit& c, std::span<const double> weights) noexcept {
    const auto m = composed(c);
    if (m.status() != circuit_status::ok) return {};
    const auto weight = [&](std::size_t k) { return k < weights.size() ? weights[k] : 1; };
    const auto silent = [&](std::size_t k) { return weight(k) == 0 || system::is_zero(room_.emf[k]); };
    // Sum of w·E/F over the EMFs; those that share one F (most often 1) stay over it.
    polynomial<double> n, f;
    system::set(f, 1);
    for (std::size_t k = 0; k < m.emfs(); ++k) {
      if (silent(k)) continue;
      polynomial<double> over_own;
      std::size_t j = 0;
      while (j < k && (silent(j) || !one_filter(j, k))) ++j;
      if (j < k) continue; // it went with an earlier one
      for (; j < m.emfs(); ++j)
        if (!silent(j) && one_filter(j, k)) system::add(over_own, weight(j), room_.emf[j]);
      system::multiply(n, room_.filter[k]);
      system::add_product(n, over_own, f);
      system::multiply(f, room_.filter[k]);
    }
    return ratio(n, system::product(f, m.d()));
  }

  /// Output impedance in ohms, every EMF at rest.
  [[nodiscard]] transfer_function impedance(const circuit& c) noexcept {
    const auto m = composed(c);
    if (m.status() != circuit_status::ok) return {};
    polynomial<double> ohms = m.n();
    system::scale(ohms, scale::ohm);
    return {ohms, m.d()};
  }

private:
  using system = polynomial_system<double>;

  [[nodiscard]] machine<system, double> composed(const circuit& c) noexcept {
    machine<system, double> m(system{}, c.values.data(), room_);
    run(c.code, m);
    return m;
  }

  [[nodiscard]] bool one_filter(std::size_t j, std::size_t k) const noexcept {
    if (j == k) return true;
    const bool told = room_.filtered[j] && room_.filtered[k] && room_.shares[j] == room_.shares[k];
    return told || std::ranges::equal(room_.filter[j].coefficients(), room_.filter[k].coefficients());
  }

  /// n/d; 0 where nothing reaches the output, though it hang on an open.
  [[nodiscard]] static transfer_function ratio(const polynomial<double>& n,
                                               const polynomial<double>& d) noexcept {
    if (!system::is_zero(n)) return {n, d};
    polynomial<double> zero, one;
    system::set(zero, 0);
    system::set(one, 1);
    return {zero, one};
  }

  [[nodiscard]] static std::size_t highest_degree(const circuit& c) {
    std::size_t highest = 0;
    workspace<degree_system> room(c.code);
    // Values that are neither zero nor open, so that the degree found holds for any.
    const std::vector<double> generic(c.values.size(), 1.0);
    machine<degree_system, double> m(degree_system(&highest), generic.data(), room);
    run(c.code, m);
    std::size_t sum = m.d();
    std::size_t total = 0;
    // A sum over EMFs multiplies all the denominators that differ.
    for (std::size_t k = 0; k < m.emfs(); ++k) {
      if (room.filtered[k] && room.shares[k] == k) sum += room.filter[k];
      total = std::max(total, room.emf[k]);
    }
    return std::max({highest, sum, total + sum - m.d()});
  }

  workspace<system> room_;
};

/// The exact response to EMF number `emf`. Throws `invalid_value`, `not_rational`, `capacity_exceeded`,
/// `conflicting_sources`. Allocates its workspace: for a knob keep a `composer`.
[[nodiscard]] inline transfer_function transfer(const source& s, std::size_t emf) {
  if (emf >= s.emf_names().size())
    throw invalid_value("EMF number", std::to_string(emf),
                        "0 to " + std::to_string(s.emf_names().size() - 1));
  return composer(s.as_circuit()).response(s.as_circuit(), emf);
}

/// The exact coherent sum of the responses to all EMFs. Throws as above.
[[nodiscard]] inline transfer_function transfer(const source& s) {
  return composer(s.as_circuit()).response(s.as_circuit(), std::span<const double>{});
}

/// The exact impedance of a one-port, in ohms. Throws as above.
[[nodiscard]] inline transfer_function impedance_function(const one_port& z) {
  return composer(z.as_circuit()).impedance(z.as_circuit());
}

/// The exact output impedance of a source, in ohms. Throws as above.
[[nodiscard]] inline transfer_function impedance_function(const source& s) {
  return composer(s.as_circuit()).impedance(s.as_circuit());
}

} // namespace lodewire
