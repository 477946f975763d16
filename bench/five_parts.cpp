// SPDX-License-Identifier: BSL-1.0
// Pickup, tone, volume with a bypass capacitor, cable, input: five reactive parts at 1024 frequencies, by lodewire
// and by what a program would do without it, in one run. Compare the rows with each other, not with another machine.
#include <algorithm>
#include <complex>
#include <numbers>
#include <vector>

#include <benchmark/benchmark.h>

#include <lodewire/lodewire.hpp>

namespace {

using namespace lodewire;
using namespace lodewire::literals;

constexpr std::size_t points = 1024;

struct values {
  double coil_r = 6000, coil_l = 2.5, coil_c = 120e-12;
  double tone_r = 250e3, tone_c = 22e-9;
  double upper = 60e3, lower = 190e3, bypass = 680e-12;
  double cable_c = 600e-12, input_r = 1e6;
};

source instrument() {
  const values v;
  return magnetic_coil{.inductance = from_si<inductance>(v.coil_l),
                       .resistance = from_si<resistance>(v.coil_r),
                       .capacitance = from_si<capacitance>(v.coil_c)} |
         in_shunt(series(from_si<resistance>(v.tone_r), from_si<capacitance>(v.tone_c))) |
         in_series(parallel(from_si<resistance>(v.upper), from_si<capacitance>(v.bypass))) |
         in_shunt(from_si<resistance>(v.lower)) | in_shunt(from_si<capacitance>(v.cable_c)) |
         in_shunt(from_si<resistance>(v.input_r));
}

const std::vector<double>& grid() {
  static const auto hz = log_grid(20_Hz, 20_kHz, points);
  return hz;
}

void lodewire_compose_and_evaluate(benchmark::State& state) {
  const source rig = instrument();
  composer compose(rig.as_circuit());
  std::vector<double> re(points), im(points);
  for (auto _ : state) {
    const transfer_function h = compose.response(rig.as_circuit(), std::size_t{0});
    h.evaluate(grid(), re, im);
    benchmark::DoNotOptimize(re.data());
    benchmark::ClobberMemory();
  }
}
BENCHMARK(lodewire_compose_and_evaluate);

void lodewire_compose(benchmark::State& state) {
  const source rig = instrument();
  composer compose(rig.as_circuit());
  for (auto _ : state) {
    auto h = compose.response(rig.as_circuit(), std::size_t{0});
    benchmark::DoNotOptimize(h);
  }
}
BENCHMARK(lodewire_compose);

void lodewire_evaluate(benchmark::State& state) {
  const transfer_function h = transfer(instrument());
  std::vector<double> re(points), im(points);
  for (auto _ : state) {
    h.evaluate(grid(), re, im);
    benchmark::DoNotOptimize(re.data());
    benchmark::ClobberMemory();
  }
}
BENCHMARK(lodewire_evaluate);

void lodewire_direct(benchmark::State& state) {
  const source rig = instrument();
  evaluator direct(rig.as_circuit());
  std::vector<std::complex<double>> out(points);
  for (auto _ : state) {
    direct.responses(rig.as_circuit(), grid(), {}, out);
    benchmark::DoNotOptimize(out.data());
    benchmark::ClobberMemory();
  }
}
BENCHMARK(lodewire_direct);

void lodewire_find_resonance(benchmark::State& state) {
  const transfer_function h = transfer(instrument());
  for (auto _ : state) {
    auto r = find_resonance(h);
    benchmark::DoNotOptimize(r);
  }
}
BENCHMARK(lodewire_find_resonance);

/// Impedances with std::complex, as a textbook writes them.
void plain_complex(benchmark::State& state) {
  const values v;
  std::vector<std::complex<double>> out(points);
  for (auto _ : state) {
    for (std::size_t i = 0; i < points; ++i) {
      using c = std::complex<double>;
      const c s(0, 2 * std::numbers::pi * grid()[i]);
      const auto beside = [](c a, c b) { return a * b / (a + b); };
      const c load = beside(beside(v.lower, v.input_r), 1.0 / (s * v.cable_c));
      const c control = beside(v.upper, 1.0 / (s * v.bypass)) + load;
      const c tone = v.tone_r + 1.0 / (s * v.tone_c);
      const c all = beside(beside(control, tone), 1.0 / (s * v.coil_c));
      out[i] = all / (all + v.coil_r + s * v.coil_l) * load / control;
    }
    benchmark::DoNotOptimize(out.data());
    benchmark::ClobberMemory();
  }
}
BENCHMARK(plain_complex);

/// The bare polynomial ratio that all of this comes down to, as a loop that the compiler vectorises or not.
void bare_ratio(benchmark::State& state) {
  const transfer_function h = transfer(instrument());
  double n[8] = {}, d[8] = {};
  std::copy(h.numerator().begin(), h.numerator().end(), n);
  std::copy(h.denominator().begin(), h.denominator().end(), d);
  std::vector<double> re(points), im(points);
  const double* hz = grid().data();
  for (auto _ : state) {
    double* __restrict const out_re = re.data();
    double* __restrict const out_im = im.data();
    for (std::size_t i = 0; i < points; ++i) {
      const double w = hz[i] * (2 * std::numbers::pi / scale::per_second), x = -w * w;
      const double nr = (n[4] * x + n[2]) * x + n[0], ni = w * (n[3] * x + n[1]);
      const double dr = (d[4] * x + d[2]) * x + d[0], di = w * ((d[5] * x + d[3]) * x + d[1]);
      const double inverse = 1 / (dr * dr + di * di);
      out_re[i] = (nr * dr + ni * di) * inverse;
      out_im[i] = (ni * dr - nr * di) * inverse;
    }
    benchmark::DoNotOptimize(re.data());
    benchmark::ClobberMemory();
  }
}
BENCHMARK(bare_ratio);

} // namespace
