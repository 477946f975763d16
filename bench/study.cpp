// SPDX-License-Identifier: BSL-1.0
// A tolerance study at 64 frequencies, beside the bare evaluation of one transfer function at as many points. A row is
// 1024 builds.
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <benchmark/benchmark.h>

#include <lodewire/analysis/study.hpp>

#include "agreement.hpp"
#include "instruments.hpp"

namespace {

using namespace bench;
using namespace lodewire;

constexpr std::size_t curve_points = 64;
constexpr std::uint64_t builds = 1024;

std::vector<double> curve_grid() {
  return log_grid(frequency::from_value(20), frequency::from_value(20e3), curve_points);
}

/// A value of the five-part circuit that is off, normal within its tolerance.
toleranced_part off(double& (*which_value)(circuit_values&), double within) {
  const auto make = [which_value](double factor) {
    circuit_values v = typical_values();
    which_value(v) *= factor;
    return instrument(which::five, v);
  };
  return {find_part("value", make), distribution::normal(tolerance::symmetric(within))};
}

/// The five reactive parts; with the resistances, all ten values.
std::vector<toleranced_part> parts_off(bool all) {
  using v = circuit_values;
  std::vector<toleranced_part> parts{
      off([](v& c) -> double& { return c.pickups[0].coils[0].l; }, 0.05),
      off([](v& c) -> double& { return c.pickups[0].coils[0].c; }, 0.2),
      off([](v& c) -> double& { return c.pickups[0].tone_c; }, 0.1),
      off([](v& c) -> double& { return c.pickups[0].bypass; }, 0.1),
      off([](v& c) -> double& { return c.cable_c; }, 0.1),
  };
  if (!all) return parts;
  for (const auto which_value :
       {+[](v& c) -> double& { return c.pickups[0].coils[0].r; },
        +[](v& c) -> double& { return c.pickups[0].tone_r; },
        +[](v& c) -> double& { return c.pickups[0].upper; },
        +[](v& c) -> double& { return c.pickups[0].lower; }, +[](v& c) -> double& { return c.input_r; }})
    parts.push_back(off(which_value, 0.1));
  return parts;
}

study five_parts_study(bool with_resonance, bool all) {
  study_plan plan;
  plan.hz = curve_grid();
  plan.with_resonance = with_resonance;
  return {instrument(which::five), parts_off(all), plan};
}

void time_evaluation(benchmark::State& state) {
  const transfer_function h = transfer(instrument(which::five));
  const std::vector<double> hz = curve_grid();
  std::vector<double> re(curve_points), im(curve_points);
  for (auto _ : state)
    for (std::uint64_t i = 0; i < builds; ++i) {
      h.evaluate(hz, re, im);
      benchmark::DoNotOptimize(re.data());
      benchmark::DoNotOptimize(im.data());
      benchmark::ClobberMemory();
    }
}

/// Successive builds into one tally, so that its pages are there, as in a run of a million.
void time_study(benchmark::State& state, bool with_resonance, bool all) {
  const study of = five_parts_study(with_resonance, all);
  study_tally tally = of.tally();
  std::uint64_t next = 0;
  for (auto _ : state) next += of.run(next, next + builds, tally, [](std::uint64_t) { return true; });
  benchmark::DoNotOptimize(tally.builds);
}

/// Each build composed, evaluated and searched by itself: the share of counts that lie in another bin.
double from_single_builds() {
  const study of = five_parts_study(true, true);
  const study_tally ours = of.run(0, builds);
  study_tally single = of.tally();
  for (std::uint64_t i = 0; i < builds; ++i) {
    const transfer_function h = transfer(of.build(i));
    for (std::size_t r = 0; r < curve_points; ++r)
      single.curve.add(std::norm(h(frequency::from_value(of.plan().hz[r]))), r);
    const resonance found = find_resonance(h);
    if (!found.has_peak) continue;
    single.peak.add(found.peak.value());
    single.height.add(power_ratio(found.height));
  }
  double moved = 0, all = 0;
  for (const auto& [a, b] :
       {std::pair{&ours.curve, &single.curve}, {&ours.peak, &single.peak}, {&ours.height, &single.height}})
    for (std::size_t r = 0; r < a->rows(); ++r)
      for (std::size_t i = 0; i < a->bins() + 2; ++i) {
        all += static_cast<double>(b->row(r)[i]);
        moved += std::abs(static_cast<double>(a->row(r)[i]) - static_cast<double>(b->row(r)[i])) / 2;
      }
  return all > 0 ? moved / all : HUGE_VAL;
}

const at_start rows([] {
  benchmark::RegisterBenchmark("study_evaluate/five", time_evaluation);
  const auto add = [](const char* name, bool with_resonance, bool all) {
    benchmark::RegisterBenchmark(name, [=](benchmark::State& s) { time_study(s, with_resonance, all); });
  };
  add("study_curve/five", false, false);
  add("study_resonance/five", true, false);
  add("study_curve_all_values/five", false, true);
  add("study_resonance_all_values/five", true, true);
  agreements().push_back({"study/five, one build at a time", 1e-4, from_single_builds});
});

} // namespace
