// SPDX-License-Identifier: BSL-1.0
// The sections themselves: what goes in and out, and handing them to another thread.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <thread>
#include <type_traits>
#include <vector>

#include <lodewire/digital/design.hpp>
#include <lodewire/digital/latest_value.hpp>
#include <lodewire/digital/moving_filter.hpp>
#include <lodewire/lodewire.hpp>

#include "../check.hpp"
#include "../counted_new.hpp"
#include "signals.hpp"

using namespace lodewire;
using namespace lodewire::literals;

static_assert(std::is_trivially_copyable_v<cascade>);
static_assert(std::is_trivially_copyable_v<moving_filter>);
static_assert(std::is_trivially_copyable_v<basic_moving_filter<8, 4, 1>>);
static_assert(noexcept(std::declval<cascade&>().process(std::span<float>())));
static_assert(noexcept(std::declval<cascade&>().process(std::span<const double>(), std::span<double>())));
static_assert(noexcept(std::declval<cascade&>().reset()));
static_assert(noexcept(std::declval<moving_filter&>().process(std::span<double>())));
static_assert(noexcept(std::declval<moving_filter&>().rewrite(value_range{}, 0, 0.)));
static_assert(cascade::latency() == 0);
static_assert(moving_filter::latency() == 0);

namespace {

const source& pickup_circuit() {
  static const source s = magnetic_coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 120_pF} |
                          in_shunt(series(250_kOhm, 22_nF)) | in_series(20_kOhm) | in_shunt(500_pF) |
                          in_shunt(200_kOhm);
  return s;
}

} // namespace

TEST_CASE("a cascade is what its difference equations say, in place or not, double or float") {
  const cascade filter = bilinear(transfer(pickup_circuit()), 48_kHz).filter;
  const std::vector<double> in = digital_test::noise(1000, 1);
  const std::vector<double> wanted = digital_test::reference_output(filter, in);
  cascade to_another = filter, in_place = filter, by_ones = filter, in_float = filter;
  std::vector<double> out(in.size()), block = in, ones = in;
  std::vector<float> few(in.begin(), in.end());
  to_another.process(std::span<const double>(in), std::span<double>(out));
  in_place.process(std::span<double>(block));
  for (double& x : ones) by_ones.process(std::span<double>(&x, 1));
  in_float.process(std::span<float>(few));
  double worst = 0, worst_float = 0;
  for (std::size_t i = 0; i < in.size(); ++i) {
    worst = std::fmax(worst, std::abs(out[i] - wanted[i]));
    worst_float = std::fmax(worst_float, std::abs(static_cast<double>(few[i]) - out[i]));
  }
  CHECK(worst < 1e-14);
  CHECK(worst_float < 2e-7); // the rounding of input and output: nothing inside is float
  CHECK(block == out);
  CHECK(ones == out);

  in_place.reset();
  block = in;
  in_place.process(std::span<double>(block));
  CHECK(block == out);
}

TEST_CASE("ten sections, more than one run of them") {
  std::vector<second_order_section> many(10, {0.9, 0.1, 0, 0.05, -0.1});
  cascade filter{many};
  CHECK(filter.sections().size() == 10);
  std::vector<double> x = digital_test::noise(300, 2), y = x;
  filter.process(std::span<double>(x));
  for (const second_order_section& s : many) {
    cascade one{std::span(&s, 1)};
    one.process(std::span<double>(y));
  }
  for (std::size_t i = 0; i < x.size(); ++i) CHECK(std::abs(x[i] - y[i]) < 1e-14);
  CHECK_THROWS_AS(cascade{std::vector<second_order_section>(25)}, std::length_error);
  many[3].b1 = std::numeric_limits<double>::quiet_NaN();
  CHECK(check::error_of([&] { (void)cascade{many}; }).starts_with("second_order_section coefficient is NaN"));
}

TEST_CASE("NaN, infinite and enormous samples are silence, and leave nothing behind") {
  const double bad[] = {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity(),
                        -std::numeric_limits<double>::infinity(), 1e300, -1e31};
  const auto try_filter = [&](auto filter) {
    auto clean = filter;
    std::vector<double> x = digital_test::noise(500, 3), y = x;
    std::vector<float> f(x.begin(), x.end());
    for (std::size_t k = 0; k < 5; ++k) {
      x[40 + 50 * k] = bad[k];
      y[40 + 50 * k] = 0;
      f[40 + 50 * k] = static_cast<float>(k < 3 ? bad[k] : 3e38);
    }
    auto in_float = filter;
    filter.process(std::span<double>(x));
    clean.process(std::span<double>(y));
    in_float.process(std::span<float>(f));
    CHECK(x == y);
    for (std::size_t i = 0; i < f.size(); ++i) CHECK(std::abs(static_cast<double>(f[i]) - y[i]) < 1e-6);
  };
  try_filter(bilinear(transfer(pickup_circuit()), 48_kHz).filter);
  try_filter(moving_filter(pickup_circuit(), 48_kHz, std::initializer_list<value_range>{}));
}

TEST_CASE("a tail ends in zeros, not in denormal numbers") {
  const auto try_filter = [](auto filter) {
    std::vector<double> x(20000);
    x[0] = 1;
    filter.process(std::span<double>(x));
    std::size_t denormal = 0, silent = 0;
    for (const double v : x) {
      denormal += v != 0 && std::abs(v) < std::numeric_limits<double>::min() ? 1U : 0U;
      silent += v == 0 ? 1U : 0U;
    }
    CHECK(denormal == 0);
    CHECK(silent > 1000);
    x.assign(2000, 1e-310); // nor do denormal samples enter
    filter.process(std::span<double>(x));
    CHECK(std::all_of(x.begin(), x.end(), [](double v) { return v == 0; }));
  };
  const source quick =
      magnetic_coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 620_pF} | in_shunt(200_kOhm);
  try_filter(bilinear(transfer(quick), 48_kHz).filter);
  try_filter(magnitude_matched(transfer(quick), 48_kHz).filter);
  try_filter(moving_filter(quick, 48_kHz, std::initializer_list<value_range>{}));
}

TEST_CASE("what runs while music plays allocates nothing") {
  const potentiometer volume{.total = 500_kOhm, .name = "volume"};
  const source s = pickup_circuit() | volume.as_divider(rotation(0.5)) | in_shunt(300_pF);
  const value_range at = s.range("volume");
  cascade fixed = magnitude_matched(transfer(s), 48_kHz).filter;
  moving_filter moving(s, 48_kHz, {at});
  std::vector<double> x = digital_test::noise(333, 4);
  std::vector<float> f(x.begin(), x.end());
  CHECK(allocations_of([&] {
          fixed.process(std::span<double>(x));
          fixed.process(std::span<float>(f));
          for (int k = 0; k <= 10; ++k) {
            const potentiometer_legs legs = volume.legs(rotation(k / 10.));
            moving.rewrite(at, 0, legs.upper.value());
            moving.rewrite(at, 1, legs.lower.value());
            moving.process(std::span<double>(x));
            moving.process(std::span<float>(f));
          }
          fixed.reset();
          moving.reset();
        }) == 0);
}

TEST_CASE("the latest value crosses from one thread to another whole") {
  struct knobs {
    int number[16];
  };
  latest_value<knobs> box{knobs{}};
  CHECK(!box.take());
  constexpr int last = 20000;
  std::thread writer([&box] {
    knobs k{};
    for (int i = 1; i <= last; ++i) {
      for (int& n : k.number) n = i;
      box.publish(k);
    }
  });
  int before = 0, torn = 0, back = 0;
  while (before != last) {
    if (!box.take()) {
      std::this_thread::yield();
      continue;
    }
    const knobs& k = box.value();
    for (const int n : k.number) torn += n == k.number[0] ? 0 : 1;
    back += k.number[0] > before ? 0 : 1;
    before = k.number[0];
  }
  writer.join();
  CHECK(torn == 0);
  CHECK(back == 0);
  CHECK(!box.take());
}
