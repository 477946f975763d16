// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <span>
#include <string>

#include <lodewire/circuit/polynomial_system.hpp>
#include <lodewire/circuit/source.hpp>
#include <lodewire/circuit/stepping_machine.hpp>
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
  explicit capacity_exceeded(std::size_t degree) : std::length_error(text(degree)) {}

private:
  [[nodiscard, gnu::noinline]] static std::string text(std::size_t degree) {
    std::string s = "transfer_function: the circuit reaches degree ";
    s.append(plain_number(static_cast<double>(degree))).append("; allowed: 0 to ");
    s.append(plain_number(polynomial_capacity - 1.0)).append("; evaluate its response directly");
    return s;
  }
};

/// Composes exact transfer functions from a program. Made once; then composing is `noexcept` and allocates nothing,
/// whatever the values (a knob). Cost: some 0.1 µs for five reactive parts, growing with the square of their number.
class composer {
public:
  /// Room for this program. Throws `not_rational`, `capacity_exceeded` (with the values that it has now).
  explicit composer(const circuit& c) : room_(c.code), steps_(steps_of(c.code)) {
    for (const instruction i : c.code)
      if (i.op == opcode::power_law) throw not_rational();
    const auto m = composed(c);
    const fraction sum = sum_of(m, {});
    const std::size_t size = (std::max)({sum.n.size, sum.d.size, m.n().size});
    if (size > polynomial_capacity) throw capacity_exceeded(size - 1);
  }

  /// What the last composition met.
  [[nodiscard]] circuit_status status() const noexcept { return status_; }

  /// Response to EMF number `emf` times that EMF's value. Not `defined()` where ideal sources contradict each other
  /// (see `status`), or where a value that was zero grew the degree past the storage.
  [[nodiscard]] transfer_function response(const circuit& c, std::size_t emf) noexcept {
    const auto m = composed(c);
    return ratio({room_.emf[emf], m.response_denominator(emf)});
  }

  /// Σ w_k·H_k over the EMFs; those past the end of `weights` have weight 1. Not `defined()` as above.
  [[nodiscard]] transfer_function response(const circuit& c, std::span<const double> weights) noexcept {
    return ratio(sum_of(composed(c), weights));
  }

  /// Output impedance in ohms, every EMF at rest.
  [[nodiscard]] transfer_function impedance(const circuit& c) noexcept {
    const auto m = composed(c);
    fraction ohms{m.n(), m.d()};
    system::scale(ohms.n, scale::ohm);
    if (status_ != circuit_status::ok || ohms.n.overflowed() || ohms.d.overflowed()) return {};
    return {ohms.n, ohms.d};
  }

private:
  using system = polynomial_system<double>;
  using machine_type = stepping_machine<system, double>;
  struct fraction {
    polynomial<double> n, d;
  };

  [[nodiscard]] machine_type composed(const circuit& c) noexcept {
    machine_type m(system{}, c.values.data(), room_);
    m.run_steps(steps_, c.code);
    status_ = m.status();
    return m;
  }

  /// Sum of w·E/F over the EMFs, over D; those that share one F (most often 1) stay over it.
  [[nodiscard]] fraction sum_of(const machine_type& m, std::span<const double> weights) noexcept {
    const auto weight = [&](std::size_t k) { return k < weights.size() ? weights[k] : 1; };
    const auto silent = [&](std::size_t k) { return weight(k) == 0 || system::is_zero(room_.emf[k]); };
    fraction sum;
    polynomial<double> f;
    system::set(f, 1);
    for (std::size_t k = 0; k < m.emfs(); ++k) {
      if (silent(k)) continue;
      polynomial<double> over_own;
      std::size_t j = 0;
      while (j < k && (silent(j) || !one_filter(j, k))) ++j;
      if (j < k) continue; // it went with an earlier one
      for (; j < m.emfs(); ++j)
        if (!silent(j) && one_filter(j, k)) system::add(over_own, weight(j), room_.emf[j]);
      system::multiply(sum.n, room_.filter[k]);
      system::add_product(sum.n, over_own, f);
      system::multiply(f, room_.filter[k]);
    }
    sum.d = system::product(f, m.d());
    return sum;
  }

  [[nodiscard]] bool one_filter(std::size_t j, std::size_t k) const noexcept {
    return j == k || room_.shares[j] == room_.shares[k] || room_.filter[j] == room_.filter[k];
  }

  /// n/d; 0 where nothing reaches the output, though it hang on an open.
  [[nodiscard]] transfer_function ratio(const fraction& of) const noexcept {
    if (status_ != circuit_status::ok || of.n.overflowed() || of.d.overflowed()) return {};
    if (!system::is_zero(of.n)) return {of.n, of.d};
    fraction nothing;
    system::set(nothing.d, 1);
    return {nothing.n, nothing.d};
  }

  workspace<system> room_;
  std::vector<step> steps_;
  circuit_status status_ = circuit_status::ok;
};

namespace detail {

/// Composes once, and refuses what has no meaning.
template <class Compose>
[[nodiscard]] transfer_function composed_once(const circuit& c, const Compose& compose) {
  composer composing(c);
  const transfer_function h = compose(composing);
  require_no_conflict(composing.status());
  return h;
}

} // namespace detail

/// The exact response to EMF number `emf`. Throws `invalid_value`, `not_rational`, `capacity_exceeded`,
/// `conflicting_sources`. Allocates its workspace: for a knob keep a `composer`.
[[nodiscard]] inline transfer_function transfer(const source& s, std::size_t emf) {
  s.require_emf(emf);
  const circuit& c = s.as_circuit();
  return detail::composed_once(c, [&](composer& k) { return k.response(c, emf); });
}

/// The exact coherent sum of the responses to all EMFs. Throws as above.
[[nodiscard]] inline transfer_function transfer(const source& s) {
  const circuit& c = s.as_circuit();
  return detail::composed_once(c, [&](composer& k) { return k.response(c, std::span<const double>{}); });
}

namespace detail {

[[nodiscard]] inline transfer_function composed_impedance(const circuit& c) {
  return composed_once(c, [&](composer& k) { return k.impedance(c); });
}

} // namespace detail

/// The exact impedance of a one-port, in ohms. Throws as above.
[[nodiscard]] inline transfer_function impedance_function(const one_port& z) {
  return detail::composed_impedance(z.as_circuit());
}

/// The exact output impedance of a source, in ohms. Throws as above.
[[nodiscard]] inline transfer_function impedance_function(const source& s) {
  return detail::composed_impedance(s.as_circuit());
}

} // namespace lodewire
