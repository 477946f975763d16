// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>

namespace lodewire {

/// The number system that keeps only the degree of a polynomial: evaluating a program in it tells, before anything
/// is composed, how many coefficients the largest polynomial on the way can have, whatever the values.
class degree_system {
public:
  using coefficient = double;
  using number = std::size_t;

  constexpr explicit degree_system(std::size_t* highest) noexcept : highest_{highest} {}

  static constexpr double as_coefficient(double v, double) noexcept { return v; }
  static constexpr void set(number& x, double) noexcept { x = 0; }
  static constexpr void scale(number&, double) noexcept {}
  constexpr void scale_s(number& x, double) const noexcept { x = seen(x + 1); }
  constexpr void add(number& y, number x) const noexcept { y = seen(y > x ? y : x); }
  constexpr void add(number& y, double, number x) const noexcept { add(y, x); }
  constexpr void add_s(number& y, double, number x) const noexcept { add(y, x + 1); }
  constexpr void multiply(number& y, number x) const noexcept { y = seen(y + x); }
  constexpr void multiply_sum(number& y, number b, number x, number d) const noexcept {
    y = seen(y + b > x + d ? y + b : x + d);
  }
  [[nodiscard]] constexpr number product(number x, number y) const noexcept { return seen(x + y); }
  [[nodiscard]] static constexpr bool is_zero(number) noexcept { return false; }
  static constexpr void common_factor(number&, number&, number*, std::size_t) noexcept {}

private:
  constexpr number seen(number degree) const noexcept {
    if (degree > *highest_) *highest_ = degree;
    return degree;
  }
  std::size_t* highest_;
};

} // namespace lodewire
