// SPDX-License-Identifier: BSL-1.0
// The same circuits in every number system of machine precision. Against 50 digits: multiprecision.cpp.
#include <doctest/doctest.h>

#include <lodewire/circuit/dual.hpp>
#include <lodewire/quantity/literals.hpp>

#include "random_circuit.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using ways::complex;
using ways::dice;

namespace {

constexpr double two_pi = 2 * std::numbers::pi;

std::vector<double> some_frequencies(std::size_t n) {
  std::vector<double> hz(n);
  for (std::size_t i = 0; i < n; ++i)
    hz[i] = 20 * std::pow(1000.0, static_cast<double>(i) / static_cast<double>(n));
  return hz;
}

/// |a - b| beside the size of the responses of this circuit: where coils oppose each other the parts set the scale.
double distance(complex a, complex b, double size) {
  return ways::is_finite(a) && ways::is_finite(b) ? std::abs(a - b) / (std::abs(b) + size) : 1e300;
}

template <int Width>
std::vector<complex> block(const source& s, std::span<const double> hz, std::span<const double> weights) {
  basic_evaluator<Width> evaluate(s.as_circuit());
  std::vector<complex> out(hz.size());
  CHECK(evaluate.responses(s.as_circuit(), hz, weights, out) == circuit_status::ok);
  return out;
}

/// Every EMF's response and the impedance at one s, in any ring.
template <class C>
struct in_ring {
  std::vector<split_complex<C>> response;
  split_complex<C> impedance;
  template <class Value>
  in_ring(const circuit& c, const std::vector<Value>& values, const split_complex<C>& s) {
    using system = complex_system<C>;
    workspace<system> room(c.code);
    machine<system, Value> m(system(s), values.data(), room);
    run(c.code, m);
    REQUIRE(m.status() == circuit_status::ok);
    for (std::size_t k = 0; k < m.emfs(); ++k) response.push_back(room.emf[k] / m.response_denominator(k));
    impedance = C(scale::ohm) * m.n() / m.d();
  }
};

} // namespace

TEST_CASE("blocks of frequencies at every width, and the point machine") {
  ways::circuit_maker make(1, {.power_laws = true});
  const std::vector<double> hz = some_frequencies(139); // two whole blocks and a rest
  double worst[3] = {}, impedance_worst = 0;
  for (int i = 0; i < 60; ++i) {
    const source s = make(static_cast<std::size_t>(4 + i % 20));
    const std::size_t n = s.emf_names().size();
    for (std::size_t k = 0; k < n; ++k) {
      const auto w = ways::only(s, k);
      const auto one = block<1>(s, hz, w), two = block<2>(s, hz, w), native = block<native_lanes>(s, hz, w);
      for (std::size_t f = 0; f < hz.size(); ++f) {
        const complex point = ways::at(s.as_circuit(), complex(0, two_pi * hz[f])).response[k];
        worst[0] = std::max(worst[0], distance(one[f], point, 1e-3));
        worst[1] = std::max(worst[1], distance(two[f], point, 1e-3));
        worst[2] = std::max(worst[2], distance(native[f], point, 1e-3));
      }
    }
    std::vector<complex> z(hz.size());
    evaluator(s.as_circuit()).impedances(s.as_circuit(), hz, z);
    for (std::size_t f = 0; f < hz.size(); ++f)
      impedance_worst = std::max(
          impedance_worst, distance(z[f], ways::at(s.as_circuit(), complex(0, two_pi * hz[f])).impedance, 1));
  }
  MESSAGE("width 1: " << worst[0] << ", 2: " << worst[1] << ", " << native_lanes << ": " << worst[2]
                      << "; impedance " << impedance_worst);
  for (const double w : worst) CHECK(w <= 1e-13);
  CHECK(impedance_worst <= 1e-13);
}

TEST_CASE("every length of a span, every order of frequencies") {
  ways::circuit_maker make(2, {});
  const source s = make(9);
  dice d(1);
  evaluator evaluate(s.as_circuit());
  for (const std::size_t n : {0U, 1U, 2U, 5U, 63U, 64U, 65U, 129U, 1024U}) {
    std::vector<double> hz(n);
    for (double& f : hz) f = d.spread(0.01, 1e6); // not sorted, and far apart within one block
    std::vector<complex> out(n + 1, complex(-7, -7));
    evaluate.responses(s.as_circuit(), hz, {}, std::span(out).first(n));
    CHECK(out[n] == complex(-7, -7));
    for (std::size_t i = 0; i < n; ++i) {
      const complex point = response(s, ways::hertz(hz[i]));
      REQUIRE(distance(out[i], point, 1e-6) <= 1e-12);
    }
  }
}

TEST_CASE("parts that are taken together, at both ends of their values: blocks and polynomials") {
  const std::vector<double> hz = some_frequencies(33);
  for (const double r : {0.0, 47e3, open_value})
    for (const double c : {0.0, 22e-9})
      for (const double l : {0.0, 3.0}) {
        CAPTURE(r);
        CAPTURE(c);
        CAPTURE(l);
        source s = ideal_emf(1_V) | in_series(5_kOhm) |
                   in_series(series(one_port(1_Ohm).named("r1"), one_port(1_H).named("l"))) |
                   in_shunt(300_kOhm) | in_shunt(one_port(1_Ohm).named("r2")) |
                   in_shunt(one_port(1_nF).named("c2")) | in_shunt(one_port(1_nF).named("c3")) |
                   in_shunt(one_port(1_Ohm).named("r3")) |
                   in_shunt(series(one_port(1_Ohm).named("r4"), one_port(1_nF).named("c4"))) |
                   in_series(parallel(one_port(1_Ohm).named("r5"), one_port(1_nF).named("c5"))) |
                   in_series(series(one_port(1_Ohm).named("r6"), one_port(1_H).named("l2"))) |
                   in_shunt(one_port(1_Ohm).named("r7")) | in_shunt(100_pF);
        for (const char* chosen : {"r1", "r2", "r3", "r4", "r5", "r6", "r7"}) {
          CAPTURE(chosen);
          source one = s;
          for (const char* name : {"r1", "r2", "r3", "r4", "r5", "r6", "r7"})
            one.rewrite(one.range(name), 0, std::string(name) == chosen ? r : 82e3);
          for (const char* name : {"c2", "c3", "c4", "c5"}) one.rewrite(one.range(name), 0, c);
          for (const char* name : {"l", "l2"}) one.rewrite(one.range(name), 0, l);
          const transfer_function exact = transfer(one);
          const auto found = block<native_lanes>(one, hz, {});
          for (std::size_t i = 0; i < hz.size(); ++i) {
            const complex point = ways::at(one.as_circuit(), complex(0, two_pi * hz[i])).response[0];
            if (std::abs(point) == 0) {
              REQUIRE(found[i] == complex(0));
              REQUIRE(exact(ways::hertz(hz[i])) == complex(0));
            } else {
              REQUIRE(distance(found[i], point, 0) <= 1e-13);
              REQUIRE(distance(exact(ways::hertz(hz[i])), point, 0) <= 1e-11);
            }
          }
        }
      }
}

TEST_CASE("very long ladders neither overflow nor vanish, 1 Hz and 1 MHz in one block") {
  source s = ideal_emf(1_V) | in_series(100_Ohm);
  for (int i = 0; i < 150; ++i) s = s | in_series(series(10_mH, 10_Ohm)) | in_shunt(20_pF);
  const double hz[] = {1, 20, 1e3, 2e4, 1e6};
  complex out[5];
  evaluator(s.as_circuit()).responses(s.as_circuit(), hz, {}, out);
  for (int i = 0; i < 5; ++i) {
    const complex point = response(s, ways::hertz(hz[i]));
    CHECK(ways::is_finite(point));
    CHECK(distance(out[i], point, 0) <= 1e-10);
    const in_ring<float> single(s.as_circuit(), s.as_circuit().values,
                                {0, static_cast<float>(two_pi * hz[i])});
    CHECK(is_finite(single.response[0].re));
    CHECK(is_finite(single.impedance.re));
  }
}

TEST_CASE("single precision") {
  ways::circuit_maker make(3, {.power_laws = true});
  double worst = 0, worst_z = 0;
  for (int i = 0; i < 300; ++i) {
    const source s = make(static_cast<std::size_t>(4 + i % 20));
    for (const double hz : {20.0, 440.0, 3e3, 2e4}) {
      const double w = static_cast<double>(static_cast<float>(two_pi * hz));
      const in_ring<float> single(s.as_circuit(), s.as_circuit().values, {0, static_cast<float>(w)});
      const in_ring<double> full(s.as_circuit(), s.as_circuit().values, {0, w});
      for (std::size_t k = 0; k < full.response.size(); ++k)
        worst = std::max(worst, distance({static_cast<double>(single.response[k].re),
                                          static_cast<double>(single.response[k].im)},
                                         to_standard(full.response[k]), 1e-3));
      worst_z = std::max(worst_z, distance({static_cast<double>(single.impedance.re),
                                            static_cast<double>(single.impedance.im)},
                                           to_standard(full.impedance), 1));
    }
  }
  MESSAGE("responses " << worst << ", impedances " << worst_z);
  CHECK(worst <= 5e-5);
  CHECK(worst_z <= 5e-5);
}

TEST_CASE("the composed polynomial") {
  for (const std::size_t reactive : {5U, 12U, 20U}) {
    ways::circuit_maker make(reactive, {});
    double worst = 0;
    int n = 0;
    for (int i = 0; i < 60; ++i) {
      const source s = make(reactive);
      for (std::size_t k = 0; k < s.emf_names().size(); ++k)
        for (const double hz : {20.0, 440.0, 3e3, 2e4}) {
          try {
            worst = std::max(
                worst, distance(transfer(s, k)(ways::hertz(hz)), response(s, k, ways::hertz(hz)), 1e-3));
            ++n;
          } catch (const capacity_exceeded&) {
          }
        }
    }
    MESSAGE(reactive << " reactive parts: worst " << worst << " of " << n);
    CHECK(n > 400);
    CHECK(worst <= (reactive <= 12 ? 1e-12 : 1e-11));
  }
}

TEST_CASE("dual numbers: closed forms of a loaded coil") {
  // H = 1/(1 + Z·Y), Z = R + sL, Y = sC + 1/RL: dH/dx = -H²·d(Z·Y)/dx.
  const double r = 6e3, l = 2.5, c = 620e-12, load = 200e3;
  const source s =
      ideal_emf(1_V) | in_series(6_kOhm) | in_series(2.5_H) | in_shunt(620_pF) | in_shunt(200_kOhm);
  std::vector<dual<4>> values;
  for (const double v : s.as_circuit().values) values.push_back(v);
  for (std::size_t i = 0; i < 4; ++i) values[i + 1] = dual<4>::variable(values[i + 1].value, i);
  for (const double hz : {50.0, 1e3, 4e3, 2e4}) {
    const complex w(0, two_pi * hz), z = r + w * l, y = w * c + 1 / load, h = 1.0 / (1.0 + z * y);
    const complex expected[] = {-h * h * y, -h * h * w * y, -h * h * z * w, h * h * z / (load * load)};
    const in_ring<dual<4>> is(s.as_circuit(), values, {0.0, two_pi * hz});
    CHECK(std::abs(complex(is.response[0].re.value, is.response[0].im.value) - h) <= 1e-14 * std::abs(h));
    for (std::size_t i = 0; i < 4; ++i) {
      const complex slope(is.response[0].re.gradient[i], is.response[0].im.gradient[i]);
      CHECK(std::abs(slope - expected[i]) <= 1e-13 * std::abs(expected[i]));
    }
  }
}

TEST_CASE("dual numbers in a point and in a polynomial say the same") {
  constexpr std::size_t many = 5;
  using number = dual<many>;
  ways::circuit_maker make(4, {});
  dice d(2);
  double worst = 0;
  for (int i = 0; i < 60; ++i) {
    const source s = make(8);
    const circuit& c = s.as_circuit();
    std::vector<number> values;
    for (const double v : c.values) values.push_back(v);
    for (std::size_t k = 0; k < many; ++k) {
      const std::size_t at = d.below(values.size());
      values[at] = number::variable(values[at].value, k); // the derivative is with respect to the last of two
    }
    using system = polynomial_system<number>;
    workspace<system> room(c.code);
    machine<system, number> m(system{}, values.data(), room);
    run(c.code, m);
    for (const double hz : {60.0, 1e3, 9e3}) {
      const in_ring<number> point(c, values, {0.0, two_pi * hz});
      const split_complex<number> x(number(0), number(two_pi * hz / scale::per_second));
      const auto at = [&](const polynomial<number>& p) {
        split_complex<number> y(number(0));
        for (std::size_t k = p.size; k-- > 0;) y = y * x + split_complex<number>(p.c[k]);
        return y;
      };
      for (std::size_t k = 0; k < m.emfs(); ++k) {
        const auto h = at(room.emf[k]) / at(m.response_denominator(k));
        for (std::size_t g = 0; g < many; ++g) {
          const complex a(h.re.gradient[g], h.im.gradient[g]);
          const complex b(point.response[k].re.gradient[g], point.response[k].im.gradient[g]);
          // Relative to x, beside the derivative and the response.
          double value = 1;
          for (const number& v : values)
            if (v.gradient[g] != 0) value = std::abs(v.value);
          const double size = std::abs(b) * value + std::hypot(h.re.value, h.im.value) + 1e-3;
          worst = std::max(worst, std::abs(a - b) * value / size);
        }
      }
    }
  }
  MESSAGE("worst " << worst);
  CHECK(worst <= 1e-11);
}

TEST_CASE("a knob at its end has a derivative") {
  // Shunt at 0 Ω behind Rs: V = R/(Rs + R), dV/dR = 1/Rs; a coil of 0 H the same with s.
  using number = dual<1>;
  circuit c = (ideal_emf(1_V) | in_series(10_kOhm)).as_circuit();
  emit(c, opcode::shunt_r, {0.0});
  std::vector<number> values(c.values.begin(), c.values.end());
  values[2] = number::variable(0, 0);
  const split_complex<number> s(number(0), number(1000));
  const in_ring<number> at_zero(c, values, s);
  CHECK(at_zero.response[0].re.value == 0);
  CHECK(at_zero.response[0].re.gradient[0] == doctest::Approx(1e-4).epsilon(1e-14));
  CHECK(at_zero.impedance.re.value == 0);
  CHECK(at_zero.impedance.re.gradient[0] == doctest::Approx(1).epsilon(1e-14));
  c.code.back().op = opcode::shunt_l;
  const in_ring<number> coil(c, values, s);
  CHECK(coil.response[0].im.value == 0);
  CHECK(coil.response[0].im.gradient[0] == doctest::Approx(0.1).epsilon(1e-14));
  c.code.back().op = opcode::series_r;
  const in_ring<number> wire(c, values, s);
  CHECK(wire.impedance.re.value == doctest::Approx(1e4).epsilon(1e-14));
  CHECK(wire.impedance.re.gradient[0] == doctest::Approx(1).epsilon(1e-14));
  // A zero that is a constant is a short, derivatives elsewhere or not.
  c.code.back().op = opcode::shunt_r;
  values[2] = 0;
  values[1] = number::variable(1e4, 0);
  const in_ring<number> shorted(c, values, s);
  CHECK(shorted.response[0].re.value == 0);
  CHECK(shorted.response[0].re.gradient[0] == 0);
}

TEST_CASE("dual arithmetic: every function and operator against its derivative") {
  using number = dual<2>;
  const number x = number::variable(1.7, 0), y = number::variable(-0.6, 1);
  const auto is = [](const number& n, double v, double dx, double dy) {
    return std::abs(n.value - v) <= 1e-15 * (1 + std::abs(v)) &&
           std::abs(n.gradient[0] - dx) <= 1e-15 * (1 + std::abs(dx)) &&
           std::abs(n.gradient[1] - dy) <= 1e-15 * (1 + std::abs(dy));
  };
  CHECK(is(x + y, 1.1, 1, 1));
  CHECK(is(x - y, 2.3, 1, -1));
  CHECK(is(-x, -1.7, -1, 0));
  CHECK(is(x * y, -1.02, -0.6, 1.7));
  CHECK(is(x / y, 1.7 / -0.6, 1 / -0.6, -1.7 / 0.36));
  CHECK(is(exp(x * y), std::exp(-1.02), -0.6 * std::exp(-1.02), 1.7 * std::exp(-1.02)));
  CHECK(is(log(x), std::log(1.7), 1 / 1.7, 0));
  CHECK(is(sin(y), std::sin(-0.6), 0, std::cos(-0.6)));
  CHECK(is(cos(y), std::cos(-0.6), 0, -std::sin(-0.6)));
  CHECK(is(sqrt(x), std::sqrt(1.7), 0.5 / std::sqrt(1.7), 0));
  const double r2 = 1.7 * 1.7 + 0.36;
  CHECK(is(atan2(y, x), std::atan2(-0.6, 1.7), 0.6 / r2, 1.7 / r2));
  CHECK(is(2.0 * x + 1.0, 4.4, 2, 0));
  CHECK(x > y);
  CHECK(y < x);
  CHECK(!(x == number(1.7))); // a value that varies is not the constant
  CHECK(number(1.7) == number(1.7));
  CHECK_THROWS_AS((void)number::variable(1, 2), std::out_of_range);
  CHECK(varies(x));
  CHECK(!varies(number(0)));
  CHECK(leading(x) == 1.7);
}
