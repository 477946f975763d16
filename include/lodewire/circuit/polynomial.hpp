// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <span>

#include <lodewire/circuit/leading.hpp>

namespace lodewire {

/// The most coefficients that a polynomial of this library holds: degree 63.
inline constexpr std::size_t polynomial_capacity = 64;

/// A polynomial in s with inline storage: Σ c[k]·s^k, k < size. A zero polynomial has size 0. Coefficients past
/// `size` hold nothing. A result that does not fit keeps its `size`, more than the capacity, and no coefficients
/// (`overflowed`); whatever is computed from it overflows too. C: double or a dual number. Copying costs the
/// coefficients in use.
template <class C, std::size_t Capacity = polynomial_capacity>
struct polynomial {
  std::size_t size;
  C c[Capacity];

  constexpr polynomial() noexcept : size(0) {} // NOLINT: coefficients are written when they come into use
  constexpr polynomial(const polynomial& other) noexcept { *this = other; } // NOLINT: as above
  [[gnu::noinline]] constexpr polynomial& operator=(const polynomial& other) noexcept {
    size = other.size;
    for (std::size_t k = 0; k < other.stored(); ++k) c[k] = other.c[k];
    return *this;
  }
  constexpr explicit polynomial(std::span<const C> coefficients) noexcept : size(coefficients.size()) {
    for (std::size_t k = 0; k < size; ++k) c[k] = coefficients[k];
  }

  [[nodiscard]] constexpr bool overflowed() const noexcept { return size > Capacity; }
  /// How many coefficients there are: `size`, or none after an overflow.
  [[nodiscard]] constexpr std::size_t stored() const noexcept { return overflowed() ? 0 : size; }
  [[nodiscard]] constexpr std::span<const C> coefficients() const noexcept { return {c, stored()}; }

  [[nodiscard]] friend constexpr bool operator==(const polynomial& a, const polynomial& b) noexcept {
    if (a.size != b.size) return false;
    for (std::size_t k = 0; k < a.stored(); ++k)
      if (!(a.c[k] == b.c[k])) return false;
    return true;
  }

  /// Drops leading coefficients that are exactly zero.
  constexpr void trim() noexcept {
    while (stored() > 0 && c[size - 1] == C(0)) --size;
  }
};

namespace detail {

/// Takes out of N, D and every E each factor s that all of them share exactly. IsZero: of a coefficient.
template <class C, class IsZero>
constexpr void cancel_common_s(polynomial<C>& n, polynomial<C>& d, polynomial<C>* emf, std::size_t count,
                               const IsZero& is_zero) noexcept {
  const auto shares_s = [&](const polynomial<C>& x) {
    return x.size == 0 || (!x.overflowed() && is_zero(x.c[0]));
  };
  const auto divide_by_s = [](polynomial<C>& x) {
    if (x.size == 0) return;
    for (std::size_t k = 1; k < x.size; ++k) x.c[k - 1] = x.c[k];
    --x.size;
  };
  for (;;) {
    bool all = n.size + d.size > 0 && shares_s(n) && shares_s(d);
    for (std::size_t k = 0; all && k < count; ++k) all = shares_s(emf[k]);
    if (!all) return;
    divide_by_s(n);
    divide_by_s(d);
    for (std::size_t k = 0; k < count; ++k) divide_by_s(emf[k]);
  }
}

/// The largest magnitude of a coefficient of either.
template <class C>
[[nodiscard]] constexpr double largest_coefficient(const polynomial<C>& n, const polynomial<C>& d) noexcept {
  double largest = 0;
  for (const polynomial<C>* x : {&n, &d})
    for (std::size_t k = 0; k < x->stored(); ++k) {
      const double a = leading(x->c[k]);
      largest = a > largest ? a : (-a > largest ? -a : largest);
    }
  return largest;
}

} // namespace detail

} // namespace lodewire
