// SPDX-License-Identifier: BSL-1.0
// What runs while music plays allocates nothing and cannot throw.
#include <doctest/doctest.h>

#include <type_traits>
#include <utility>

#include <lodewire/circuit/dual.hpp>
#include <lodewire/lodewire.hpp>

#include "../counted_new.hpp"
#include "random_circuit.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using ways::complex;

namespace {

using doubles = std::span<const double>;
static_assert(noexcept(std::declval<evaluator&>().responses(std::declval<const circuit&>(), doubles{},
                                                            doubles{}, std::span<complex>{})));
static_assert(noexcept(std::declval<evaluator&>().impedances(std::declval<const circuit&>(), doubles{},
                                                             std::span<complex>{})));
static_assert(noexcept(std::declval<composer&>().response(std::declval<const circuit&>(), std::size_t{})));
static_assert(noexcept(std::declval<composer&>().response(std::declval<const circuit&>(), doubles{})));
static_assert(noexcept(std::declval<composer&>().impedance(std::declval<const circuit&>())));
static_assert(noexcept(std::declval<const transfer_function&>().evaluate(doubles{}, std::span<double>{},
                                                                         std::span<double>{})));
static_assert(noexcept(std::declval<const transfer_function&>().evaluate(doubles{}, std::span<complex>{})));
static_assert(noexcept(std::declval<const transfer_function&>().at(std::declval<const complex&>())));
// The functions cannot throw; that the copy of a Boost quantity is not declared so is not theirs to change.
static_assert(std::is_same_v<decltype(&transfer_function::operator()),
                             complex (transfer_function::*)(frequency) const noexcept>);
static_assert(std::is_same_v<decltype(&transfer_function::group_delay),
                             duration (transfer_function::*)(frequency) const noexcept>);
static_assert(noexcept(std::declval<const transfer_function&>().dc_limit()));
static_assert(noexcept(std::declval<const transfer_function&>().high_frequency_limit()));
static_assert(noexcept(std::declval<source&>().rewrite(value_range{}, std::size_t{}, 0.0)));
static_assert(noexcept(std::declval<const potentiometer&>().turn(
    std::declval<source&>(), value_range{}, std::declval<rotation>()))); // turning cannot throw ...
static_assert(!noexcept(knob(1)));                                       // ... the rotation itself can
static_assert(std::is_nothrow_copy_constructible_v<transfer_function>);
static_assert(std::is_nothrow_copy_assignable_v<transfer_function>);
static_assert(std::is_trivially_destructible_v<transfer_function>);
static_assert(std::is_nothrow_move_constructible_v<source>);
static_assert(std::is_nothrow_move_assignable_v<source>);

} // namespace

TEST_CASE("the counter counts") {
  const void* volatile seen = nullptr; // or a compiler may leave the allocation out
  CHECK(allocations_of([&] {
          const std::vector<double> v(3);
          seen = v.data();
        }) == 1);
  CHECK(allocations_of([] { (void)transfer(ideal_emf(1_V) | in_series(1_kOhm)); }) > 3);
  struct alignas(64) wide {
    double x[8];
  };
  CHECK(allocations_of([&] {
          const std::vector<wide> v(2);
          seen = v.data();
        }) == 1);
}

TEST_CASE("a guitar's knobs turned while it is evaluated") {
  const auto coil = magnetic_coil{.inductance = 3.1_H, .resistance = 7.4_kOhm, .capacitance = 110_pF};
  const auto pair = humbucking_pair(coil, coil, 0.1);
  const potentiometer volume{.total = 250_kOhm, .law = audio_taper, .name = "volume"};
  const potentiometer tone{.total = 250_kOhm, .law = audio_taper, .name = "tone"};
  source rig = parallel(coil, pair.as_series()) |
               in_shunt(series(tone.as_rheostat(knob(5), lugs::one_two), 22_nF)) |
               volume.as_divider(knob(7), {.bleed = series(150_kOhm, 1_nF)}) |
               buffer(2.0, parallel(1_MOhm, 20_pF), 1_kOhm) |
               cable{.length = 6_m, .capacitance = 95_pF_per_m} | input{.resistance = 1_MOhm};
  const auto volume_range = rig.range("volume"), tone_range = rig.range("tone");
  const auto hz = log_grid(20_Hz, 20_kHz, 500);
  std::vector<complex> curve(hz.size());
  std::vector<double> re(hz.size()), im(hz.size());
  evaluator direct(rig.as_circuit());
  composer compose(rig.as_circuit());
  transfer_function h, z;
  resonance peak;
  CHECK(allocations_of([&] {
          for (int k = 0; k <= 10; ++k) {
            volume.turn(rig, volume_range, knob(k));
            tone.turn(rig, tone_range, knob(10 - k));
            direct.responses(rig.as_circuit(), hz, {}, curve);
            direct.impedances(rig.as_circuit(), hz, curve);
            h = compose.response(rig.as_circuit(), std::size_t{1});
            h = compose.response(rig.as_circuit(), std::span<const double>{});
            z = compose.impedance(rig.as_circuit());
            h.evaluate(hz, re, im);
            h.evaluate(hz, curve);
            peak = find_resonance(h);
          }
        }) == 0);
  CHECK(h.defined());
  CHECK(peak.level.value() > -200);
}

TEST_CASE("evaluating, composing, turning a knob, finding a resonance: nothing is allocated") {
  for (const bool lossy : {false, true}) {
    ways::circuit_maker make(5, {.power_laws = lossy});
    for (int i = 0; i < 20; ++i) {
      source s = make(9);
      const circuit& c = s.as_circuit();
      evaluator evaluate(c);
      std::vector<double> hz(1000), re(1000), im(1000), weights(c.emfs.size(), 0.5);
      for (std::size_t k = 0; k < hz.size(); ++k) hz[k] = 20 + 19 * static_cast<double>(k);
      std::vector<complex> out(1000);
      CHECK(allocations_of([&] { evaluate.responses(c, hz, weights, out); }) == 0);
      CHECK(allocations_of([&] { evaluate.responses(c, hz, {}, out); }) == 0);
      CHECK(allocations_of([&] { evaluate.impedances(c, hz, out); }) == 0);
      const value_range first{0, static_cast<std::uint16_t>(c.values.size())};
      CHECK(allocations_of([&] {
              for (std::size_t k = 0; k < c.values.size(); ++k) {
                const double was = c.values[k];
                for (const double x : {0.0, open_value, was}) {
                  s.rewrite(first, k, x); // also where it makes nonsense: no exception, no allocation
                  evaluate.responses(c, std::span(hz).first(40), weights, out);
                }
              }
            }) == 0);
      if (lossy) continue;
      composer compose(c);
      transfer_function h, z;
      CHECK(allocations_of([&] { h = compose.response(c, weights); }) == 0);
      CHECK(allocations_of([&] { h = compose.response(c, 0); }) == 0);
      CHECK(allocations_of([&] { z = compose.impedance(c); }) == 0);
      CHECK(allocations_of([&] { h.evaluate(hz, re, im); }) == 0);
      CHECK(allocations_of([&] { h.evaluate(hz, out); }) == 0);
      CHECK(allocations_of(
                [&] { re[0] = h.group_delay(1_kHz).value() + std::abs(h(1_kHz)) + h.dc_limit().gain; }) == 0);
      CHECK(allocations_of([&] { re[0] = find_resonance(h).peak.value(); }) == 0);
      CHECK(allocations_of([&] {
              for (std::size_t k = 0; k < c.values.size(); ++k) {
                const double was = c.values[k];
                for (const double x : {0.0, open_value, was}) {
                  s.rewrite(first, k, x);
                  h = compose.response(c, weights);
                }
              }
            }) == 0);
    }
  }
}

TEST_CASE("a machine over dual numbers allocates nothing once its room is there") {
  const source s = ways::circuit_maker(6, {})(9);
  const circuit& c = s.as_circuit();
  std::vector<dual<6>> values(c.values.begin(), c.values.end());
  using system = polynomial_system<dual<6>>;
  workspace<system> room(c.code);
  CHECK(allocations_of([&] {
          machine<system, dual<6>> m(system{}, values.data(), room);
          run(c.code, m);
        }) == 0);
}
