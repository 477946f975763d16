// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>

#include <lodewire/design/wish.hpp>

/// What alternatives are put in order by.
namespace lodewire::detail {

/// How good: what lies over the limits decides, then the cost.
struct rank_key {
  double over = 0, cost = 0;
};
/// To nine figures: the same overrun in two wirings must not be told apart by its last bits, or the cost would never be
/// looked at.
[[nodiscard]] inline double nine_figures(double x) noexcept {
  if (!(x > 0)) return 0;
  int power = 0;
  const double part = std::frexp(x, &power);
  return std::ldexp(std::round(part * 0x1p30), power - 30);
}
[[nodiscard]] inline rank_key rounded(const rank_key& k) noexcept { return {nine_figures(k.over), k.cost}; }
/// a is worse than b by more than rounding. Nothing over the limits is apart from anything over them.
[[nodiscard]] inline bool is_worse(const rank_key& a, const rank_key& b) noexcept {
  const auto more = [](double x, double y, double relative, double least) {
    return x - y > least + relative * y;
  };
  return more(a.over, b.over, 4e-9, 0) ||
         (!more(b.over, a.over, 4e-9, 0) && more(a.cost, b.cost, 1e-9, 1e-12));
}
[[nodiscard]] inline rank_key operator+(const rank_key& a, const rank_key& b) noexcept {
  return {a.over + b.over, a.cost + b.cost};
}
[[nodiscard]] inline bool less(const rank_key& a, const rank_key& b) noexcept {
  return a.over != b.over ? a.over < b.over : a.cost < b.cost;
}

/// Of one criterion.
[[nodiscard]] inline double overrun_of(const criterion& c, double misfit) noexcept {
  if (!c.limit || !(misfit > *c.limit + 1e-9 * (1 + *c.limit))) return 0;
  const double weight = c.used_weight() > 0 ? c.used_weight() : misfit_unit(c.wants) == "%" ? 0.1 : 1.0;
  return weight * (misfit - *c.limit);
}
[[nodiscard]] inline rank_key key_of(const criterion& c, double misfit) noexcept {
  return {overrun_of(c, misfit), c.used_weight() * misfit};
}

} // namespace lodewire::detail
