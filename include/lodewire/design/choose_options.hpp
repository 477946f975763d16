// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/choose_types.hpp>
#include <lodewire/design/ready_place.hpp>

/// The places of a problem with every value in them.
namespace lodewire::detail {

/// a·b, or the most that fits.
[[nodiscard]] inline std::uint64_t times(std::uint64_t a, std::uint64_t b) noexcept {
  return b != 0 && a > UINT64_MAX / b ? UINT64_MAX : a * b;
}

[[nodiscard]] inline std::vector<value_candidate> candidates_of(const values_from& from, stock_kind kind,
                                                                const drawer& stock, std::size_t grid,
                                                                const std::string& path) {
  std::vector<value_candidate> all;
  const double tolerance =
      from.tolerance.value_or(from.is == values_from::kind::series ? nominal_tolerance(from.series).plus : 0);
  require_tolerance(path + ".tolerance", tolerance);
  const auto require_range = [&] {
    require_value(path + ".low", kind, from.low);
    require_value(path + ".high", kind, from.high);
    if (from.high < from.low)
      throw invalid_value(path + ".high", engineering(from.high, unit_of(kind), 6),
                          engineering(from.low, unit_of(kind), 6) + " (low) or more");
  };
  switch (from.is) {
  case values_from::kind::list:
    for (const double v : from.values) {
      require_value(path + ".values", kind, v);
      all.push_back({v, tolerance, no_stock});
    }
    break;
  case values_from::kind::series:
    require_range();
    for (const auto& r :
         all_in_range(from.series, resistance::from_value(from.low), resistance::from_value(from.high)))
      all.push_back({r.value(), tolerance, no_stock});
    break;
  case values_from::kind::drawer:
    require_drawer(stock);
    for (std::size_t i = 0; i < stock.parts.size(); ++i) {
      const stock_part& p = stock.parts[i];
      if (p.is == kind && p.value >= from.low && p.value <= from.high)
        all.push_back({p.value, p.tolerance, i});
    }
    break;
  case values_from::kind::any:
    require_range();
    if (grid < 2) throw invalid_value("choose_settings.grid", std::to_string(grid), "2 or more");
    for (std::size_t i = 0; i < grid; ++i) {
      const double part = static_cast<double>(i) / static_cast<double>(grid - 1);
      all.push_back({from.low * std::exp(part * std::log(from.high / from.low)), tolerance, no_stock});
    }
    break;
  }
  if (all.empty())
    throw invalid_value(path,
                        from.is == values_from::kind::drawer ? "from a drawer that has none"
                        : from.is == values_from::kind::list ? "an empty list"
                                                             : "a range without a value",
                        std::string("one ").append(name_of(kind)).append(" or more"));
  return all;
}

/// A potentiometer of the drawer brings its law: one way for each law in it.
inline void add_ways(ready_place& to, const way& w, std::size_t number, const drawer& stock, std::size_t grid,
                     const std::string& path) {
  require_way(w, path);
  const auto add = [&](ready_way ready) {
    ready.first = to.size;
    for (const auto& list : ready.parts) ready.size *= list.size();
    to.size += ready.size;
    to.ways.push_back(std::move(ready));
  };
  ready_way ready{w, number, {}, 0, 1};
  for (std::size_t k = 0; k < w.parts.size(); ++k) {
    const bool pot = w.is == way::kind::another_pot && w.parts[k].is == values_from::kind::drawer;
    ready.parts.push_back(candidates_of(w.parts[k], pot ? stock_kind::potentiometer : w.parts[k].of, stock,
                                        grid, path + ".parts[" + std::to_string(k) + "]"));
  }
  const bool with_laws =
      w.is == way::kind::another_pot && w.parts[0].is == values_from::kind::drawer && !w.law;
  if (!with_laws) return add(std::move(ready));
  std::vector<value_candidate> rest = std::move(ready.parts[0]);
  while (!rest.empty()) {
    ready_way of_law{w, number, {{}}, 0, 1};
    of_law.what.law = stock.parts[rest.front().stock].law;
    std::vector<value_candidate> others;
    for (const value_candidate& c : rest)
      (stock.parts[c.stock].law == *of_law.what.law ? of_law.parts[0] : others).push_back(c);
    add(std::move(of_law));
    rest = std::move(others);
  }
}

[[nodiscard]] inline std::vector<ready_place> ready_places(const choice_problem& problem, const drawer& stock,
                                                           std::size_t grid) {
  if (problem.places.empty()) throw invalid_value("places", "an empty list", "one place or more");
  std::vector<ready_place> all;
  for (std::size_t p = 0; p < problem.places.size(); ++p) {
    const std::string path = "places[" + std::to_string(p) + "]";
    const place& from = problem.places[p];
    if (from.ways.empty()) throw invalid_value(path + ".ways", "an empty list", "one way or more");
    ready_place to{from.name.empty() ? path : from.name, {}, 0};
    for (const ready_place& other : all)
      if (other.name == to.name)
        throw invalid_value(path + ".name", "'" + to.name + "' a second time", "names that differ");
    for (std::size_t w = 0; w < from.ways.size(); ++w)
      add_ways(to, from.ways[w], w, stock, grid, path + ".ways[" + std::to_string(w) + "]");
    all.push_back(std::move(to));
  }
  return all;
}

} // namespace lodewire::detail
