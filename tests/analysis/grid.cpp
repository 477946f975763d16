// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <string>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;

TEST_CASE("equal ratios and equal steps, both ends exact, always rising") {
  for (const std::size_t points : {2U, 3U, 20U, 500U, 100000U}) {
    const auto log = log_grid(20_Hz, 20_kHz, points), linear = linear_grid(20_Hz, 20_kHz, points);
    CHECK(log.size() == points);
    CHECK(linear.size() == points);
    for (const auto& grid : {log, linear}) {
      CHECK(grid.front() == 20.0);
      CHECK(grid.back() == 20e3);
      bool rising = true;
      for (std::size_t i = 1; i < points; ++i) rising = rising && grid[i] > grid[i - 1];
      CHECK(rising);
      CHECK_NOTHROW(detail::require_grid(grid));
    }
    double worst_ratio = 0, worst_step = 0;
    const double n = static_cast<double>(points - 1), ratio = std::pow(1000.0, 1 / n), step = 19980 / n;
    for (std::size_t i = 1; i < points; ++i) {
      worst_ratio = std::max(worst_ratio, std::abs(log[i] / log[i - 1] / ratio - 1));
      worst_step = std::max(worst_step, std::abs(linear[i] - linear[i - 1] - step) / 20e3);
    }
    CHECK(worst_ratio <= 1e-14);
    CHECK(worst_step <= 1e-15);
  }
  // 100, 1000, 10000: a decade is a decade.
  const auto decades = log_grid(100_Hz, 10_kHz, 3);
  CHECK(near(decades[1], 1000, 1e-15));
  // The grid of a textbook's table: 20 points from 100 to 200 Hz, printed 105.3, 110.5, 115.8 (T. Kuphaldt, Lessons in
  // Electric Circuits II, resonance in series-parallel circuits).
  const auto table = linear_grid(100_Hz, 200_Hz, 20);
  CHECK(std::abs(table[1] - 105.3) <= 0.05);
  CHECK(std::abs(table[2] - 110.5) <= 0.05);
  CHECK(std::abs(table[3] - 115.8) <= 0.05);
}

TEST_CASE("grids that are none are refused by name") {
  const double nan = std::numeric_limits<double>::quiet_NaN(),
               infinity = std::numeric_limits<double>::infinity();
  for (const auto grid : {&log_grid, &linear_grid}) {
    CHECK(error_of([&] { (void)grid(0_Hz, 1_kHz, 5); }) == "grid.from is 0 Hz; allowed: more than 0 Hz");
    CHECK(error_of([&] { (void)grid(-1.0 * 5_Hz, 1_kHz, 5); }) ==
          "grid.from is -5 Hz; allowed: more than 0 Hz");
    CHECK(error_of([&] { (void)grid(1_kHz, 20_Hz, 5); }) ==
          "grid.to is 20 Hz; allowed: more than grid.from, 1 kHz");
    CHECK(error_of([&] { (void)grid(1_kHz, 1_kHz, 5); }) != "no error");
    CHECK(error_of([&] { (void)grid(20_Hz, 1_kHz, 1); }) == "grid.points is 1; allowed: 2 or more");
    CHECK(error_of([&] { (void)grid(20_Hz, 1_kHz, 0); }) == "grid.points is 0; allowed: 2 or more");
    for (const double bad : {nan, infinity, -infinity}) {
      CHECK(error_of([&] { (void)grid(from_si<frequency>(bad), 1_kHz, 5); }) != "no error");
      CHECK(error_of([&] { (void)grid(20_Hz, from_si<frequency>(bad), 5); }) != "no error");
    }
  }
}

TEST_CASE("a grid that was given is checked entry by entry") {
  using list = std::vector<double>;
  const auto error = [](const list& hz) { return error_of([&] { detail::require_grid(hz); }); };
  CHECK(error({1}) == "no error");
  CHECK(error({1e-3, 1, 2}) == "no error");
  CHECK(error({}) == "grid is empty; allowed: one frequency or more");
  CHECK(error({20, 30, 30}) == "grid[2] is 30 Hz; allowed: more than the entry before, 30 Hz");
  CHECK(error({20, 30, 25}) == "grid[2] is 25 Hz; allowed: more than the entry before, 30 Hz");
  CHECK(error({0, 1}) == "grid[0] is 0 Hz; allowed: more than 0 Hz");
  CHECK(error({-3, 1}) == "grid[0] is -3 Hz; allowed: more than 0 Hz");
  const double nan = std::numeric_limits<double>::quiet_NaN(),
               infinity = std::numeric_limits<double>::infinity();
  CHECK(error({1, infinity}).substr(0, 19) == "grid[1] is infinity");
  CHECK(error({infinity}).substr(0, 19) == "grid[0] is infinity");
  CHECK(error({1, nan}).substr(0, 14) == "grid[1] is NaN");
  CHECK(error({nan}).substr(0, 14) == "grid[0] is NaN");
}
