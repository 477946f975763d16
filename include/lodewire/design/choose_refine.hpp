// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

#include <boost/math/tools/minima.hpp>

#include <lodewire/quantity/finite.hpp>

/// The least value of a function of a few variables, without derivatives: misfits have kinks.
namespace lodewire::detail {

/// Nelder and Mead, Computer Journal 7 (1965) 308, started with `step` in each variable and kept inside the box. Ends
/// when the simplex is smaller than 1e-7 in every variable, or after 400 evaluations a variable.
template <class F>
[[nodiscard]] std::vector<double>
least_in_box(F f, std::vector<double> start, const std::vector<double>& step, const std::vector<double>& low,
             const std::vector<double>& high) {
  const std::size_t n = start.size();
  struct vertex {
    std::vector<double> x;
    double f;
  };
  const auto made = [&](std::vector<double> x) {
    for (std::size_t i = 0; i < n; ++i) x[i] = (std::min)((std::max)(x[i], low[i]), high[i]);
    const double value = f(x);
    return vertex{std::move(x), value};
  };
  std::vector<vertex> s{made(start)};
  for (std::size_t i = 0; i < n; ++i) {
    std::vector<double> x = start;
    x[i] += x[i] + step[i] > high[i] ? -step[i] : step[i];
    s.push_back(made(std::move(x)));
  }
  const auto better = [](const vertex& a, const vertex& b) { return a.f < b.f; };
  for (std::size_t round = 0; round < 200 * n; ++round) {
    std::sort(s.begin(), s.end(), better);
    double size = 0;
    for (std::size_t i = 0; i < n; ++i) size = (std::max)(size, std::abs(s[n].x[i] - s[0].x[i]));
    if (size < 1e-7) break;
    std::vector<double> middle(n, 0);
    for (std::size_t k = 0; k < n; ++k)
      for (std::size_t i = 0; i < n; ++i) middle[i] += s[k].x[i] / static_cast<double>(n);
    const auto along = [&](double t) {
      std::vector<double> x(n);
      for (std::size_t i = 0; i < n; ++i) x[i] = middle[i] + t * (s[n].x[i] - middle[i]);
      return made(std::move(x));
    };
    vertex next = along(-1);
    if (next.f < s[0].f) {
      vertex further = along(-2);
      if (further.f < next.f) next = std::move(further);
    } else if (!(next.f < s[n - 1].f)) {
      next = next.f < s[n].f ? along(-0.5) : along(0.5);
    }
    if (next.f < s[n].f) {
      s[n] = std::move(next);
      continue;
    }
    for (std::size_t k = 1; k <= n; ++k) {
      std::vector<double> x = s[k].x;
      for (std::size_t i = 0; i < n; ++i) x[i] = (x[i] + s[0].x[i]) / 2;
      s[k] = made(std::move(x));
    }
  }
  return std::min_element(s.begin(), s.end(), better)->x;
}

/// The same; with one variable by Brent's method between the steps on either side.
template <class F>
[[nodiscard]] std::vector<double> refined(F f, const std::vector<double>& start,
                                          const std::vector<double>& step, const std::vector<double>& low,
                                          const std::vector<double>& high) {
  if (start.size() > 1) return least_in_box(f, start, step, low, high);
  std::vector<double> x = start;
  const auto of_one = [&](double u) {
    x[0] = u;
    return f(x);
  };
  std::uintmax_t rounds = 100;
  const double from = (std::max)(start[0] - step[0], low[0]), to = (std::min)(start[0] + step[0], high[0]);
  const auto [at, value] = boost::math::tools::brent_find_minima(of_one, from, to, 30, rounds);
  return value < of_one(start[0]) ? std::vector<double>{at} : start;
}

} // namespace lodewire::detail
