// SPDX-License-Identifier: BSL-1.0
// Evaluating and turning a knob allocate nothing: the allocator is replaced and counts.
#include <doctest/doctest.h>

#include <cstdlib>
#include <new>
#include <vector>

#include <lodewire/lodewire.hpp>

namespace {

std::size_t allocations = 0;

void* counted(std::size_t size) {
  ++allocations;
  if (void* p = std::malloc(size == 0 ? 1 : size)) return p;
  throw std::bad_alloc();
}
void* counted(std::size_t size, std::size_t alignment) {
  ++allocations;
  if (void* p = std::aligned_alloc(alignment, (size + alignment - 1) / alignment * alignment)) return p;
  throw std::bad_alloc();
}

} // namespace

void* operator new(std::size_t size) { return counted(size); }
void* operator new(std::size_t size, std::align_val_t a) {
  return counted(size, static_cast<std::size_t>(a));
}
void operator delete(void* p) noexcept { std::free(p); }
void operator delete(void* p, std::size_t) noexcept { std::free(p); }
void operator delete(void* p, std::align_val_t) noexcept { std::free(p); }
void operator delete(void* p, std::size_t, std::align_val_t) noexcept { std::free(p); }

using namespace lodewire;
using namespace lodewire::literals;

TEST_CASE("knob, composition, evaluation and resonance allocate nothing") {
  const auto coil = magnetic_coil{.inductance = 3.1_H, .resistance = 7.4_kOhm, .capacitance = 110_pF};
  const auto pair = humbucking_pair(coil, coil, 0.1);
  const potentiometer volume{.total = 250_kOhm, .law = audio_taper, .name = "volume"};
  const potentiometer tone{.total = 250_kOhm, .law = audio_taper, .name = "tone"};
  source rig = parallel(coil, pair.as_series()) |
               in_shunt(series(tone.as_rheostat(knob(5), lugs::one_two), 22_nF)) |
               volume.as_divider(knob(7), {.bleed = series(150_kOhm, 1_nF)}) |
               buffer(2.0, parallel(1_MOhm, 20_pF), 1_kOhm) |
               cable{.length = 6_m, .capacitance = 95_pF_per_m} | input{.resistance = 1_MOhm};
  const auto volume_range = rig.range("volume");
  const auto tone_range = rig.range("tone");
  const auto hz = log_grid(20_Hz, 20_kHz, 500);
  std::vector<std::complex<double>> curve(hz.size());
  std::vector<double> re(hz.size()), im(hz.size());
  evaluator direct(rig.as_circuit());
  composer compose(rig.as_circuit());
  transfer_function h, z;
  resonance peak;

  CHECK(allocations > 0); // the counter counts
  const std::size_t before = allocations;
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
  CHECK(allocations == before);
  CHECK(h.defined());
  CHECK(peak.level.value() > -200);
}

// And none of it throws.
static_assert(noexcept(std::declval<const potentiometer&>().turn(std::declval<source&>(), value_range{},
                                                                 knob(1))) ==
              false); // knob(1) itself may throw ...
static_assert(noexcept(std::declval<const potentiometer&>().turn(
    std::declval<source&>(), value_range{}, std::declval<rotation>()))); // ... turning does not
static_assert(noexcept(std::declval<source&>().rewrite({}, 0, 1.0)));
static_assert(noexcept(std::declval<composer&>().response(std::declval<const circuit&>(), std::size_t{0})));
static_assert(noexcept(std::declval<composer&>().impedance(std::declval<const circuit&>())));
static_assert(noexcept(std::declval<evaluator&>().responses(std::declval<const circuit&>(), {}, {}, {})));
static_assert(
    noexcept(std::declval<const transfer_function&>()(std::declval<frequency>())) ||
    !std::is_nothrow_copy_constructible_v<frequency>); // Boost's quantity does not promise its own copy
static_assert(std::is_trivially_destructible_v<transfer_function>);
