// SPDX-License-Identifier: BSL-1.0
// The derivative of every coefficient of the transfer function with respect to all ten parts at once, by dual numbers.
#include <algorithm>
#include <cmath>
#include <vector>

#include <benchmark/benchmark.h>

#include <lodewire/circuit/composer.hpp>
#include <lodewire/circuit/dual.hpp>
#include <lodewire/circuit/ring_composer.hpp>

#include "agreement.hpp"
#include "instruments.hpp"

namespace {

using namespace bench;
using namespace lodewire;

constexpr std::size_t parts = 10;
using ring = dual<parts>;
using dual_polynomials = polynomial_system<ring>;

/// The program over dual numbers: every value but the EMF is a variable.
struct dual_composer {
  source rig;
  std::vector<ring> values;
  ring_composer<dual_polynomials, ring> composing;

  explicit dual_composer(const source& s) : rig(s), composing(s.as_circuit().code) {
    const circuit& c = rig.as_circuit();
    if (c.values.size() != parts + 1 || c.code[0].op != opcode::emf || c.code[0].slot != 0)
      throw std::logic_error("The five-part circuit has not ten parts");
    values.emplace_back(c.values[0]);
    for (std::size_t k = 0; k < parts; ++k) values.push_back(ring::variable(c.values[k + 1], k));
  }
  /// E and D of E/D.
  void operator()(polynomial<ring>& e, polynomial<ring>& d) {
    composing.compose(rig.as_circuit().code, values.data(), {});
    e = composing.numerator();
    d = composing.denominator();
  }
};

void time_sensitivities(benchmark::State& state) {
  dual_composer compose(instrument(which::five));
  polynomial<ring> e, d;
  for (auto _ : state) {
    compose(e, d);
    benchmark::DoNotOptimize(&e);
    benchmark::DoNotOptimize(&d);
    benchmark::ClobberMemory();
  }
}

/// Each coefficient is of degree one in each part (or its inverse), so a step of the part shows the slope to second
/// order: largest difference, of the largest slope of that coefficient in ln(part).
double from_steps() {
  const source rig = instrument(which::five);
  dual_composer compose(rig);
  polynomial<ring> e, d;
  compose(e, d);
  double largest = 0;
  for (std::size_t k = 0; k < parts; ++k) {
    polynomial<ring> moved[2][2];
    constexpr double step = 1e-4;
    for (int up = 0; up < 2; ++up) {
      dual_composer other(rig);
      other.values[k + 1].value *= up == 1 ? 1 + step : 1 - step;
      other(moved[up][0], moved[up][1]);
    }
    for (int which_one = 0; which_one < 2; ++which_one) {
      const polynomial<ring>& p = which_one == 0 ? e : d;
      for (std::size_t j = 0; j < p.size; ++j) {
        const double value = compose.values[k + 1].value;
        const double slope = p.c[j].gradient[k] * value;
        const double seen = (moved[1][which_one].c[j].value - moved[0][which_one].c[j].value) / (2 * step);
        double scale = 0;
        for (std::size_t i = 0; i < parts; ++i)
          scale = std::max(scale, std::abs(p.c[j].gradient[i] * compose.values[i + 1].value));
        if (scale > 0) largest = std::max(largest, std::abs(seen - slope) / scale);
      }
    }
  }
  return largest;
}

const at_start rows([] {
  benchmark::RegisterBenchmark("sensitivities/five", time_sensitivities);
  agreements().push_back({"sensitivities/five, by steps", 1e-7, from_steps});
});

} // namespace
