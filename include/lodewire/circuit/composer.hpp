// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <span>
#include <string>

#include <lodewire/circuit/polynomial_system.hpp>
#include <lodewire/circuit/ring_composer.hpp>
#include <lodewire/circuit/source.hpp>
#include <lodewire/circuit/transfer_function.hpp>

namespace lodewire {

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
  explicit composer(const circuit& c) : ring_(c.code) {
    compose(c, {});
    const std::size_t size =
        (std::max)({ring_.numerator().size, ring_.denominator().size, ring_.impedance().n.size});
    if (size > polynomial_capacity) throw capacity_exceeded(size - 1);
  }

  /// What the last composition met.
  [[nodiscard]] circuit_status status() const noexcept { return status_; }

  /// Response to EMF number `emf` times that EMF's value. Not `defined()` where ideal sources contradict each other
  /// (see `status`), or where a value that was zero grew the degree past the storage.
  [[nodiscard]] transfer_function response(const circuit& c, std::size_t emf) noexcept {
    status_ = ring_.compose_one(c.code, c.values.data(), emf);
    return ratio();
  }

  /// Σ w_k·H_k over the EMFs; those past the end of `weights` have weight 1. Not `defined()` as above.
  [[nodiscard]] transfer_function response(const circuit& c, std::span<const double> weights) noexcept {
    compose(c, weights);
    return ratio();
  }

  /// Output impedance in ohms, every EMF at rest.
  [[nodiscard]] transfer_function impedance(const circuit& c) noexcept {
    compose(c, {});
    auto [n, d] = ring_.impedance();
    system::scale(n, scale::ohm);
    if (status_ != circuit_status::ok || n.overflowed() || d.overflowed()) return {};
    return {n, d};
  }

private:
  using system = polynomial_system<double>;

  void compose(const circuit& c, std::span<const double> weights) noexcept {
    status_ = ring_.compose(c.code, c.values.data(), weights);
  }

  /// n/d; 0 where nothing reaches the output, though it hang on an open.
  [[nodiscard]] transfer_function ratio() const noexcept {
    const polynomial<double>&n = ring_.numerator(), &d = ring_.denominator();
    if (status_ != circuit_status::ok || n.overflowed() || d.overflowed()) return {};
    if (!system::is_zero(n)) return {n, d};
    polynomial<double> none, one;
    system::set(one, 1);
    return {none, one};
  }

  ring_composer<system, double> ring_;
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
