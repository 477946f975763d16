// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <span>

namespace lodewire {

/// The most coefficients that a polynomial of this library holds: degree 63.
inline constexpr std::size_t polynomial_capacity = 64;

/// A polynomial in s with inline storage: Σ c[k]·s^k, k < size. A zero polynomial has size 0. Coefficients past
/// `size` hold nothing. C: double or a dual number. Copying costs the coefficients in use. Whoever multiplies sees
/// to it that the product fits (a composer counts before it starts).
template <class C, std::size_t Capacity = polynomial_capacity>
struct polynomial {
  std::size_t size;
  C c[Capacity];

  constexpr polynomial() noexcept : size(0) {} // NOLINT: coefficients are written when they come into use
  [[gnu::noinline]] constexpr polynomial(const polynomial& other) noexcept : size(other.size) {
    for (std::size_t k = 0; k < size; ++k) c[k] = other.c[k];
  }
  [[gnu::noinline]] constexpr polynomial& operator=(const polynomial& other) noexcept {
    size = other.size;
    for (std::size_t k = 0; k < size; ++k) c[k] = other.c[k];
    return *this;
  }
  constexpr explicit polynomial(std::span<const C> coefficients) noexcept : size(coefficients.size()) {
    for (std::size_t k = 0; k < size; ++k) c[k] = coefficients[k];
  }

  [[nodiscard]] constexpr std::span<const C> coefficients() const noexcept { return {c, size}; }

  /// Drops leading coefficients that are exactly zero.
  constexpr void trim() noexcept {
    while (size > 0 && c[size - 1] == C(0)) --size;
  }
};

} // namespace lodewire
