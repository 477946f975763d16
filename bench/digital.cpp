// SPDX-License-Identifier: BSL-1.0
// What a sample costs: the cascade beside one written by hand, the filter whose knobs move beside the cascade. A row
// is a block of 32 samples, one channel, one core. Compare the rows with each other, not with another machine.
// "times real time" is samples per second over 48,000; "bytes" is one instance.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <vector>

#include <benchmark/benchmark.h>

#include <lodewire/digital/design.hpp>
#include <lodewire/digital/moving_filter.hpp>
#include <lodewire/digital/rewiring.hpp>
#include <lodewire/lodewire.hpp>

#include "agreement.hpp"

namespace {

using namespace lodewire;
using namespace lodewire::literals;

constexpr std::size_t block = 32;

const potentiometer volume{.total = 250_kOhm, .law = audio_taper, .name = "volume"};
const potentiometer tone{.total = 250_kOhm, .law = audio_taper, .name = "tone"};

/// One coil with its iron, tone, volume, cable, input: degree 5.
source single_coil() {
  return magnetic_coil{
             .inductance = 2.2_H, .resistance = 6_kOhm, .capacitance = 120_pF, .eddy = {{{0.5_H, 20_kOhm}}}} |
         in_shunt(series(tone.as_rheostat(rotation(0.5), lugs::one_two), 22_nF)) |
         volume.as_divider(rotation(0.7)) | cable{.length = 6_m, .capacitance = 100_pF_per_m} |
         input{.resistance = 1_MOhm, .capacitance = 30_pF};
}

/// A coupled pair of such coils.
source humbucker() {
  magnetic_coil first{.inductance = 1.65_H,
                      .resistance = 3.8_kOhm,
                      .capacitance = 90_pF,
                      .eddy = {{{0.25_H, 70_kOhm}}},
                      .name = "slug"};
  magnetic_coil second = first; // no two coils are alike, and alike they would need fewer sections
  second.inductance = 1.75_H;
  second.eddy[0].resistance = 60_kOhm;
  second.name = "screw";
  return humbucking_pair(first, second, 0.08).as_series() |
         in_shunt(series(tone.as_rheostat(rotation(0.5), lugs::one_two), 22_nF)) |
         volume.as_divider(rotation(0.7)) | cable{.length = 6_m, .capacitance = 100_pF_per_m} |
         input{.resistance = 1_MOhm, .capacitance = 105_pF, .stopper = 68_kOhm};
}

const std::vector<double>& noise() {
  static const std::vector<double> x = [] {
    std::vector<double> v(block);
    unsigned state = 1;
    for (double& s : v) s = static_cast<double>((state = state * 1664525U + 1013904223U) >> 8U) * 0x1p-23 - 1;
    return v;
  }();
  return x;
}

/// Runs `work` on blocks of samples, and says how often real time that is.
template <class Sample, class Work>
void measure(benchmark::State& state, std::size_t bytes, const Work& work) {
  std::vector<Sample> x(block);
  for (auto _ : state) {
    for (std::size_t i = 0; i < block; ++i) x[i] = static_cast<Sample>(noise()[i]);
    work(std::span<Sample>(x));
    benchmark::DoNotOptimize(x.data());
    benchmark::ClobberMemory();
  }
  const auto samples = static_cast<double>(state.iterations()) * static_cast<double>(block);
  state.counters["times_real_time"] = benchmark::Counter(samples / 48e3, benchmark::Counter::kIsRate);
  state.counters["ns_a_sample"] =
      benchmark::Counter(samples / 1e9, benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
  state.counters["bytes"] = static_cast<double>(bytes);
}

struct biquad {
  double b0, b1, b2, a1, a2, s1 = 0, s2 = 0;
};

/// What a program has without lodewire: a loop over samples and sections.
[[gnu::noinline]] void cascade_by_hand(std::span<biquad> sections, std::span<double> x) {
  for (double& v : x) {
    double in = v;
    for (biquad& s : sections) {
      const double out = s.b0 * in + s.s1;
      s.s1 = s.b1 * in - s.a1 * out + s.s2;
      s.s2 = s.b2 * in - s.a2 * out;
      in = out;
    }
    v = in;
  }
}

std::vector<biquad> sections_of(const source& s) {
  std::vector<biquad> sections;
  for (const second_order_section& q : bilinear(transfer(s), 48_kHz).filter.sections())
    sections.push_back({q.b0, q.b1, q.b2, q.a1, q.a2});
  return sections;
}

void by_hand(benchmark::State& state, const source& s) {
  std::vector<biquad> sections = sections_of(s);
  measure<double>(state, sections.size() * sizeof(biquad),
                  [&](std::span<double> x) { cascade_by_hand(sections, x); });
}
template <class Sample>
void fixed(benchmark::State& state, const source& s) {
  cascade filter = bilinear(transfer(s), 48_kHz).filter;
  measure<Sample>(state, sizeof filter, [&](std::span<Sample> x) { filter.process(x); });
}

/// `change`: a turn of the volume control before each block.
template <class Filter>
void moving(benchmark::State& state, const source& s, bool change) {
  const value_range at = s.range("volume");
  Filter filter(s, 48_kHz, {at, s.range("tone")});
  std::vector<potentiometer_legs> legs;
  for (int k = 0; k < 64; ++k) legs.push_back(volume.legs(rotation(k / 63.)));
  std::size_t turned = 0;
  measure<double>(state, sizeof filter, [&](std::span<double> x) {
    if (change) {
      const potentiometer_legs& now = legs[++turned % legs.size()];
      filter.rewrite(at, 0, now.upper.value());
      filter.rewrite(at, 1, now.lower.value());
    }
    filter.process(x);
  });
}
using room_for_a_coil = basic_moving_filter<8, 4, 1>;

/// Setting up allocates; it is not for the audio thread.
template <class Make>
void setting_up(benchmark::State& state, const Make& make) {
  for (auto _ : state) {
    auto made = make();
    benchmark::DoNotOptimize(&made);
    benchmark::ClobberMemory();
  }
}

/// A block of noise through both.
double by_hand_and_ours(const source& s) {
  std::vector<double> x = noise(), y = noise();
  std::vector<biquad> sections = sections_of(s);
  cascade filter = bilinear(transfer(s), 48_kHz).filter;
  cascade_by_hand(sections, x);
  filter.process(std::span<double>(y));
  double worst = 0;
  for (std::size_t i = 0; i < block; ++i) worst = std::max(worst, std::abs(x[i] - y[i]));
  return worst;
}

const bench::at_start rows([] {
  const auto row = [](const char* name, const auto& run) { benchmark::RegisterBenchmark(name, run); };
  row("digital_copy/block", [](benchmark::State& s) { measure<double>(s, 0, [](std::span<double>) {}); });
  row("digital_by_hand/coil", [](benchmark::State& s) { by_hand(s, single_coil()); });
  row("digital_by_hand/pair", [](benchmark::State& s) { by_hand(s, humbucker()); });
  row("digital_fixed/coil", [](benchmark::State& s) { fixed<double>(s, single_coil()); });
  row("digital_fixed/coil_float", [](benchmark::State& s) { fixed<float>(s, single_coil()); });
  row("digital_fixed/pair", [](benchmark::State& s) { fixed<double>(s, humbucker()); });
  row("digital_still/coil", [](benchmark::State& s) { moving<room_for_a_coil>(s, single_coil(), false); });
  row("digital_moving/coil", [](benchmark::State& s) { moving<room_for_a_coil>(s, single_coil(), true); });
  row("digital_moving/coil_roomy",
      [](benchmark::State& s) { moving<moving_filter>(s, single_coil(), true); });
  row("digital_still/pair", [](benchmark::State& s) { moving<moving_filter>(s, humbucker(), false); });
  row("digital_moving/pair", [](benchmark::State& s) { moving<moving_filter>(s, humbucker(), true); });
  row("digital_set_up/bilinear", [](benchmark::State& s) {
    setting_up(s, [h = transfer(single_coil())] { return bilinear(h, 48_kHz); });
  });
  row("digital_set_up/matched", [](benchmark::State& s) {
    setting_up(s, [h = transfer(single_coil())] { return magnitude_matched(h, 48_kHz); });
  });
  row("digital_set_up/moving", [](benchmark::State& s) {
    setting_up(s, [of = humbucker()] {
      return moving_filter(of, 48_kHz, {of.range("volume"), of.range("tone")});
    });
  });
  row("digital_set_up/rewiring", [](benchmark::State& s) {
    setting_up(s, [from = single_coil(), to = single_coil() | in_shunt(300_pF)] {
      return design_rewiring(from, to, 48_kHz);
    });
  });
  bench::agreements().push_back(
      {"digital_fixed/by_hand", 1e-14, [] { return by_hand_and_ours(humbucker()); }});
});

} // namespace
