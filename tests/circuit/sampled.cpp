// SPDX-License-Identifier: BSL-1.0
// Many builds at once, and duals: the same polynomials as the composer's, build by build.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <vector>

#include <lodewire/circuit/dual.hpp>
#include <lodewire/circuit/ring_composer.hpp>
#include <lodewire/circuit/sampled_system.hpp>
#include <lodewire/quantity/literals.hpp>

#include "random_circuit.hpp"

using namespace lodewire;
using namespace lodewire::literals;

namespace {

/// The greatest difference of coefficients, of the largest in the same polynomial, once the denominator is scaled as in
/// `transfer_function`.
double off(const transfer_function& expected, const transfer_function& got) {
  if (!expected.defined() || !got.defined()) return expected.defined() == got.defined() ? 0 : 1;
  if (expected.numerator().empty()) return got.numerator().empty() ? 0 : 1; // over anything
  const auto of = [](std::span<const double> a, std::span<const double> b) {
    double largest = 0, worst = 0;
    for (std::size_t k = 0; k < std::max(a.size(), b.size()); ++k) {
      const double x = k < a.size() ? a[k] : 0, y = k < b.size() ? b[k] : 0;
      largest = std::max(largest, std::abs(x));
      worst = std::max(worst, std::abs(x - y));
    }
    return largest > 0 ? worst / largest : worst;
  };
  return std::max(of(expected.numerator(), got.numerator()), of(expected.denominator(), got.denominator()));
}

template <int Width>
double against_composer(const source& s, std::uint64_t seed, std::span<const double> weights) {
  using value = sampled_value<Width>;
  const circuit& c = s.as_circuit();
  std::vector<circuit> builds(build_block, c);
  std::vector<value> values;
  for (std::size_t k = 0; k < c.values.size(); ++k) {
    value v(c.values[k]);
    for (std::size_t b = 0; b < build_block; ++b) {
      seed = seed * 6364136223846793005U + 1442695040888963407U;
      const double factor = 0.8 + 0.4 * static_cast<double>(seed >> 40U) * 0x1p-24;
      if (c.values[k] != 0 && is_finite(c.values[k])) v.v[b] *= factor;
      builds[b].values[k] = v.v[b];
    }
    values.push_back(v);
  }
  const auto composing = std::make_unique<ring_composer<sampled_system<Width>, value>>(c.code);
  REQUIRE(composing->compose(c.code, values.data(), weights) == circuit_status::ok);
  double worst = 0;
  for (std::size_t b = 0; b < build_block; ++b) {
    polynomial<double> n, d;
    const auto pick = [b](polynomial<double>& to, const polynomial<value>& from) {
      to.size = from.size;
      for (std::size_t k = 0; k < from.stored(); ++k) to.c[k] = from.c[k].v[b];
    };
    pick(n, composing->numerator());
    pick(d, composing->denominator());
    worst = std::max(worst, off(composer(builds[b]).response(builds[b], weights), transfer_function(n, d)));
  }
  return worst;
}

} // namespace

TEST_CASE("random circuits of every kind of part, at any width") {
  ways::circuit_maker make(7, {});
  double worst = 0;
  for (std::size_t i = 0; i < 60; ++i) {
    CAPTURE(i);
    const source s = make(3 + i % 8);
    std::vector<double> weights;
    if (i % 3 == 1) weights.assign(s.emf_names().size(), 0.5);
    if (i % 3 == 2) weights = {0, -1};
    worst = std::max(worst, against_composer<native_lanes>(s, i, weights));
    if (i % 10 == 0) {
      worst = std::max(worst, against_composer<1>(s, i, weights));
      worst = std::max(worst, against_composer<4>(s, i, weights));
    }
  }
  MESSAGE("off by at most " << worst);
  CHECK(worst < 1e-12);
}

TEST_CASE("absent parts, shorts, common factors and drift") {
  const source coil = ideal_emf(1_V) | in_series(6_kOhm) | in_series(3_H);
  CHECK(against_composer<native_lanes>(coil | in_shunt(from_si<resistance>(0)), 1, {}) == 0);
  CHECK(against_composer<native_lanes>(coil | in_series(open_circuit()) | in_shunt(1_nF), 2, {}) == 0);
  CHECK(against_composer<native_lanes>(coil | in_shunt(series(one_port(1_nF), one_port(2_nF))), 3, {}) <
        1e-14);
  CHECK(against_composer<native_lanes>(coil | in_series(1_nF) | in_series(2_nF) | in_shunt(1_MOhm), 4, {}) <
        1e-14);
  CHECK(against_composer<native_lanes>(coil | in_shunt(parallel(one_port(1_H), one_port(2_H))), 5, {}) <
        1e-14);
  source drifting = coil;
  for (int i = 0; i < 20; ++i) drifting = drifting | in_shunt(1_H) | in_series(10_MOhm);
  CHECK(against_composer<native_lanes>(drifting | in_shunt(1_kOhm), 6, {}) < 1e-13);
}

TEST_CASE("past the storage it says so, and a power law is refused") {
  source s = ideal_emf(1_V);
  for (int i = 0; i < 40; ++i) s = s | in_series(1_H) | in_shunt(1_nF);
  using value = sampled_value<native_lanes>;
  const circuit& c = s.as_circuit();
  std::vector<value> values;
  for (const double v : c.values) values.emplace_back(v);
  const auto composing = std::make_unique<ring_composer<sampled_system<native_lanes>, value>>(c.code);
  static_cast<void>(composing->compose(c.code, values.data(), {}));
  CHECK(composing->denominator().overflowed());
  const source lossy = ideal_emf(1_V) | in_series(power_law(1_kOhm, 0.5)) | in_shunt(1_nF);
  CHECK_THROWS_AS((ring_composer<sampled_system<1>, sampled_value<1>>(lossy.as_circuit().code)),
                  not_rational);
}

TEST_CASE("duals carry the composer's polynomials, and their derivatives are those of the coefficients") {
  // Euler: of degree 1 in all values of one kind together; here each value by a step of 2^-20 against its dual.
  const source s = ideal_emf(1_V) | in_series(6_kOhm) | in_series(3_H) | in_shunt(500_pF) |
                   in_shunt(series(250_kOhm, 22_nF)) | in_shunt(1_MOhm);
  const circuit& c = s.as_circuit();
  using ring = dual<8>;
  std::vector<ring> values(c.values.begin(), c.values.end());
  REQUIRE(values.size() <= 8);
  for (std::size_t k = 0; k < values.size(); ++k) values[k].gradient[k] = values[k].value; // of ln value
  ring_composer<polynomial_system<ring>, ring> composing(c.code);
  REQUIRE(composing.compose(c.code, values.data(), {}) == circuit_status::ok);
  const auto& n = composing.numerator();
  const auto& d = composing.denominator();
  for (std::size_t k = 0; k < values.size(); ++k) {
    std::vector<ring> up = values, down = values;
    up[k].value *= 1 + 0x1p-20;
    down[k].value *= 1 - 0x1p-20;
    ring_composer<polynomial_system<ring>, ring> above(c.code), below(c.code);
    static_cast<void>(above.compose(c.code, up.data(), {}));
    static_cast<void>(below.compose(c.code, down.data(), {}));
    REQUIRE(above.denominator().size == d.size);
    for (std::size_t i = 0; i < d.size; ++i) {
      const double slope = (above.denominator().c[i].value - below.denominator().c[i].value) * 0x1p19;
      CHECK(std::abs(d.c[i].gradient[k] - slope) <= 1e-8 * std::abs(d.c[i].value));
    }
    for (std::size_t i = 0; i < n.size; ++i) {
      const double slope = (above.numerator().c[i].value - below.numerator().c[i].value) * 0x1p19;
      CHECK(std::abs(n.c[i].gradient[k] - slope) <= 1e-8 * std::abs(n.c[i].value));
    }
  }
}
