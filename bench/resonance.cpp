// SPDX-License-Identifier: BSL-1.0
// Frequency, height and Q of the resonance from the transfer function.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <benchmark/benchmark.h>

#include <lodewire/analysis/resonance.hpp>

#include "agreement.hpp"
#include "instruments.hpp"

namespace {

using namespace bench;
using namespace lodewire;

void time_resonance(benchmark::State& state, which circuit) {
  const transfer_function h = transfer(instrument(circuit));
  for (auto _ : state) {
    resonance r = find_resonance(h);
    benchmark::DoNotOptimize(&r);
    benchmark::ClobberMemory();
  }
}

/// |H|² and its derivative with respect to x = ω², both over the polynomials' unit, in long double.
struct power {
  long double value, slope;
};
power power_at(const transfer_function& h, long double x) {
  const auto of = [x](std::span<const double> c) {
    long double even = 0, odd = 0, even_slope = 0, odd_slope = 0;
    for (std::size_t k = c.size(); k-- > 0;) {
      long double& sum = k % 2 == 0 ? even : odd;
      long double& slope = k % 2 == 0 ? even_slope : odd_slope;
      slope = -(slope * x + sum);
      sum = static_cast<long double>(c[k]) - sum * x;
    }
    return power{even * even + x * odd * odd, 2 * even * even_slope + odd * odd + 2 * x * odd * odd_slope};
  };
  const power n = of(h.numerator()), d = of(h.denominator());
  return {n.value / d.value, (n.slope * d.value - n.value * d.slope) / (d.value * d.value)};
}

/// The maximum by bisection of the slope in long double; frequency, height and Q against it.
double from_bisection() {
  const transfer_function h = transfer(instrument(which::five));
  const resonance r = find_resonance(h);
  if (!r.has_peak) return HUGE_VAL;
  const long double unit =
      static_cast<long double>(scale::per_second) / (2 * std::numbers::pi_v<long double>);
  const auto square = [unit](long double hz) { return hz / unit * (hz / unit); };
  const auto wide = [](double x) { return static_cast<long double>(x); };
  long double low = square(wide(r.peak.value()) * 0.99L), high = square(wide(r.peak.value()) * 1.01L);
  if (!(power_at(h, low).slope > 0) || !(power_at(h, high).slope < 0)) return HUGE_VAL;
  for (int k = 0; k < 100; ++k) {
    const long double middle = (low + high) / 2;
    (power_at(h, middle).slope > 0 ? low : high) = middle;
  }
  const long double peak = std::sqrt(low) * unit;
  const long double ratio = power_at(h, low).value / power_at(h, 0).value;
  const long double height = 10 * std::log10(ratio);
  const long double q = std::sqrt((ratio + std::sqrt(ratio * (ratio - 1))) / 2);
  const auto off = [wide](double a, long double b) { return static_cast<double>(std::abs(wide(a) - b) / b); };
  return std::max({off(r.peak.value(), peak), off(r.height.value(), height), off(r.quality, q)});
}

const at_start rows([] {
  for (const which circuit : {which::five, which::ten})
    benchmark::RegisterBenchmark((std::string("resonance/") + name_of[static_cast<int>(circuit)]).c_str(),
                                 [circuit](benchmark::State& s) { time_resonance(s, circuit); });
  agreements().push_back({"resonance/five, by bisection", 1e-9, from_bisection});
});

} // namespace
