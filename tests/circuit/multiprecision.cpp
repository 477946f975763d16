// SPDX-License-Identifier: BSL-1.0
// The same programs in 50 digits: how far off the number systems of machine precision are.
#include <doctest/doctest.h>

#include <lodewire/circuit/dual.hpp>

#include "many_digits.hpp"
#include "random_circuit.hpp"
#include "sized_system.hpp"

using namespace lodewire;
using ways::complex;
using ways::digits;
using ways::jw;
using ways::narrow;
using ways::truth;
using ways::wide;

namespace {

struct errors {
  double plain = 0;   ///< beside the response, or a thousandth where it is smaller than that
  double of_size = 0; ///< beside what the terms' size permits
  void add(complex is, complex exact, double condition) {
    const double off = ways::is_finite(is) ? std::abs(is - exact) : 1e300;
    plain = std::max(plain, off / (std::abs(exact) + 1e-3));
    of_size = std::max(of_size, off / (std::abs(exact) * condition));
  }
};

constexpr double frequencies[] = {20, 150, 1e3, 2.5e3, 5e3, 2e4};

void against_truth(std::size_t reactive, int circuits, double polynomial_bound) {
  CAPTURE(reactive);
  ways::circuit_maker make(reactive + 100, {});
  errors point, block, composed;
  int n = 0, polynomials = 0;
  double largest_condition = 0;
  for (int i = 0; i < circuits; ++i) {
    const source s = make(reactive);
    const circuit& c = s.as_circuit();
    const auto values = truth::widened(c);
    evaluator evaluate(c);
    std::vector<transfer_function> h;
    try {
      for (std::size_t k = 0; k < c.emfs.size(); ++k) h.push_back(transfer(s, k));
      ++polynomials;
    } catch (const capacity_exceeded&) {
      h.clear();
    }
    for (const double hz : frequencies) {
      const truth exact(c, values, jw(hz));
      REQUIRE(exact.status == circuit_status::ok);
      const ways::term_sizes size(c, hz);
      for (std::size_t k = 0; k < c.emfs.size(); ++k) {
        const complex expected = narrow(exact.response[k]);
        const double condition = size.response[k] / std::abs(expected);
        largest_condition = std::max(largest_condition, condition);
        point.add(response(s, k, ways::hertz(hz)), expected, condition);
        complex one = 0;
        evaluate.responses(c, {&hz, 1}, ways::only(s, k), {&one, 1});
        block.add(one, expected, condition);
        if (!h.empty()) composed.add(h[k](ways::hertz(hz)), expected, condition);
        ++n;
      }
    }
  }
  MESSAGE(reactive << " reactive parts, " << circuits << " circuits, " << n << " values: point "
                   << point.plain << " (" << point.of_size << " of the terms), block " << block.plain << " ("
                   << block.of_size << "), polynomial of " << polynomials << " circuits " << composed.plain
                   << " (" << composed.of_size << "); largest condition " << largest_condition);
  // No more than a few roundings of the terms that make up E and F·D.
  CHECK(point.of_size <= 1e-15);
  CHECK(block.of_size <= 1e-15);
  CHECK(composed.of_size <= 1e-15);
  CHECK(point.plain <= 1e-13);
  CHECK(block.plain <= 1e-13);
  CHECK(composed.plain <= polynomial_bound);
  CHECK(polynomials > 0);
}

} // namespace

TEST_CASE("5, 12, 20 and 40 reactive parts") {
  against_truth(5, 100, 1e-13);
  against_truth(12, 100, 1e-12);
  against_truth(20, 60, 1e-11);
  against_truth(40, 40, 1e-10);
}

TEST_CASE("power laws") {
  ways::circuit_maker make(9, {.power_laws = true});
  double worst = 0;
  for (int i = 0; i < 60; ++i) {
    const source s = make(8);
    const auto values = truth::widened(s.as_circuit());
    for (const double hz : frequencies) {
      const truth exact(s.as_circuit(), values, jw(hz));
      REQUIRE(exact.status == circuit_status::ok);
      for (std::size_t k = 0; k < s.emf_names().size(); ++k) {
        const complex expected = narrow(exact.response[k]);
        worst = std::max({worst,
                          std::abs(response(s, k, ways::hertz(hz)) - expected) / (std::abs(expected) + 1e-3),
                          std::abs(ways::by_block(s, k, hz) - expected) / (std::abs(expected) + 1e-3)});
      }
    }
  }
  MESSAGE("worst " << worst);
  CHECK(worst <= 1e-13);
}

TEST_CASE("dual derivatives against differences in 50 digits") {
  using number = dual<1>;
  ways::circuit_maker make(11, {});
  double worst_point = 0, worst_polynomial = 0;
  int n = 0;
  for (int i = 0; i < 30; ++i) {
    const source s = make(8);
    const circuit& c = s.as_circuit();
    for (std::size_t at = 0; at < c.values.size(); at += 2) {
      if (c.values[at] == 0) continue;
      auto up = truth::widened(c), down = up;
      const digits step = up[at] * digits("1e-14");
      up[at] += step;
      down[at] -= step;
      std::vector<number> values(c.values.begin(), c.values.end());
      values[at] = number::variable(c.values[at], 0);
      workspace<polynomial_system<number>> room(c.code);
      machine<polynomial_system<number>, number> m(polynomial_system<number>{}, values.data(), room);
      run(c.code, m);
      for (const double hz : {100.0, 3e3}) {
        const truth high(c, up, jw(hz)), low(c, down, jw(hz)), middle(c, truth::widened(c), jw(hz));
        REQUIRE(middle.status == circuit_status::ok);
        workspace<complex_system<number>> point_room(c.code);
        const double w = 2 * std::numbers::pi * hz;
        machine<complex_system<number>, number> p(complex_system<number>({0.0, w}), values.data(),
                                                  point_room);
        run(c.code, p);
        const split_complex<number> x(number(0), number(w / scale::per_second));
        const auto horner = [&](const polynomial<number>& q) {
          split_complex<number> y(number(0));
          for (std::size_t k = q.size; k-- > 0;) y = y * x + split_complex<number>(q.c[k]);
          return y;
        };
        for (std::size_t k = 0; k < c.emfs.size(); ++k) {
          const wide difference = high.response[k] - low.response[k];
          // x·dH/dx, beside itself and H
          const complex exact =
              narrow(wide(difference.re / (2 * step), difference.im / (2 * step))) * c.values[at];
          const double size = std::abs(exact) + std::abs(narrow(middle.response[k])) + 1e-3;
          const auto slope = [&](const split_complex<number>& h) {
            return complex(h.re.gradient[0], h.im.gradient[0]) * c.values[at];
          };
          worst_point = std::max(
              worst_point, std::abs(slope(point_room.emf[k] / p.response_denominator(k)) - exact) / size);
          worst_polynomial = std::max(
              worst_polynomial,
              std::abs(slope(horner(room.emf[k]) / horner(m.response_denominator(k))) - exact) / size);
          ++n;
        }
      }
    }
  }
  MESSAGE(n << " derivatives: point " << worst_point << ", polynomial " << worst_polynomial);
  CHECK(n > 1000);
  CHECK(worst_point <= 1e-13);
  CHECK(worst_polynomial <= 1e-12);
}
