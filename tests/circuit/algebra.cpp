// SPDX-License-Identifier: BSL-1.0
// Each rule of the algebra against plain complex arithmetic, on the jω axis and off it.
#include <doctest/doctest.h>

#include <lodewire/quantity/literals.hpp>

#include "ways.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using ways::complex;
using ways::dice;

namespace {

/// A part, or a small network, and its impedance by plain arithmetic.
struct known {
  one_port part;
  complex z;
};
known random_part(dice& d, complex s, int depth = 2) {
  const std::size_t kind = d.below(depth > 0 ? 5 : 3);
  if (kind == 0) {
    const double r = d.spread(10, 1e6);
    return {resistance::from_value(r), r};
  }
  if (kind == 1) {
    const double l = d.spread(1e-3, 10);
    return {inductance::from_value(l), s * l};
  }
  if (kind == 2) {
    const double c = d.spread(1e-11, 1e-7);
    return {capacitance::from_value(c), 1.0 / (s * c)};
  }
  const known a = random_part(d, s, depth - 1), b = random_part(d, s, depth - 1);
  if (kind == 3) return {series(a.part, b.part), a.z + b.z};
  return {parallel(a.part, b.part), a.z * b.z / (a.z + b.z)};
}

/// A source with its open-circuit voltage for each EMF, and its output impedance.
struct known_source {
  source s;
  std::vector<complex> e;
  complex z;
};
known_source random_source(dice& d, complex s) {
  const known a = random_part(d, s), b = random_part(d, s);
  const double e = d.between(-2, 2);
  return {ideal_emf(voltage::from_value(e)) | in_series(a.part) | in_shunt(b.part),
          {e * b.z / (a.z + b.z)},
          a.z * b.z / (a.z + b.z)};
}

/// Points on the axis, in the right half of the plane and in the left one, away from the negative real axis where the
/// poles of small networks lie.
constexpr complex plane[] = {{0, 1},        {0, 600},      {0, 2.7e3},     {0, 2e4},
                             {0, 4e6},      {800, 1.5e4},  {1e4, 0},       {3e5, -2e5},
                             {5e3, -1.9e4}, {-200, 1.1e4}, {-3e3, -1.7e4}, {0, -9.9e3}};

/// The largest relative error seen, over all points and circuits of a case.
struct worst_error {
  double value = 0;
  void add(complex is, complex expected) {
    value = std::max(value, ways::is_finite(is) ? std::abs(is - expected) / std::abs(expected) : 1e300);
  }
};

/// Runs `check(dice, s, worst)` over the plane and 200 draws each; gives the largest error.
template <class Check>
double over_the_plane(std::uint64_t seed, const Check& check) {
  dice d(seed);
  worst_error worst;
  for (const complex s : plane)
    for (int i = 0; i < 200; ++i) check(d, s, worst);
  return worst.value;
}

} // namespace

TEST_CASE("one-ports: R, L, C, series, parallel") {
  CHECK(over_the_plane(1, [](dice& d, complex s, worst_error& worst) {
          const double r = d.spread(1e-3, 1e9), l = d.spread(1e-6, 1e3), c = d.spread(1e-13, 1e-3);
          worst.add(ways::at(one_port(resistance::from_value(r)).as_circuit(), s).impedance, r);
          worst.add(ways::at(one_port(inductance::from_value(l)).as_circuit(), s).impedance, s * l);
          worst.add(ways::at(one_port(capacitance::from_value(c)).as_circuit(), s).impedance, 1.0 / (s * c));
        }) <= 1e-15);
  const double nested = over_the_plane(2, [](dice& d, complex s, worst_error& worst) {
    const known a = random_part(d, s, 4);
    worst.add(ways::at(a.part.as_circuit(), s).impedance, a.z);
  });
  const double joined = over_the_plane(3, [](dice& d, complex s, worst_error& worst) {
    const known a = random_part(d, s), b = random_part(d, s), c = random_part(d, s);
    worst.add(ways::at(series(a.part, b.part, c.part).as_circuit(), s).impedance, a.z + b.z + c.z);
    worst.add(ways::at(parallel(a.part, b.part, c.part).as_circuit(), s).impedance,
              1.0 / (1.0 / a.z + 1.0 / b.z + 1.0 / c.z));
  });
  MESSAGE("nested " << nested << ", joined " << joined);
  CHECK(nested <= 1e-13);
  CHECK(joined <= 1e-13);
}

TEST_CASE("Z = K·s^α is the principal power") {
  const double worst = over_the_plane(4, [](dice& d, complex s, worst_error& out) {
    const double k = d.spread(1, 1e6), alpha = d.between(-1, 1);
    const one_port z = power_law(resistance::from_value(k), alpha);
    out.add(ways::at(z.as_circuit(), s).impedance, k * std::pow(s, alpha));
    out.add(ways::at(series(z, 1_kOhm).as_circuit(), s).impedance, k * std::pow(s, alpha) + 1e3);
  });
  MESSAGE("worst " << worst);
  CHECK(worst <= 1e-13);
  for (const double f : {20.0, 3e3}) { // the block's own power, on the axis
    const double w = 2 * std::numbers::pi * f;
    for (const double alpha : {-1.0, -0.98, -0.5, 0.0, 0.4, 1.0}) {
      const source s = ideal_emf(1_V) | in_series(power_law(20_Ohm, alpha)) | in_shunt(1_kOhm);
      const complex z = 20.0 * std::pow(complex(0, w), alpha);
      CHECK(std::abs(ways::by_block(s, 0, f) - 1e3 / (1e3 + z)) <= 1e-14);
      CHECK(std::abs(response(s, 0, ways::hertz(f)) - 1e3 / (1e3 + z)) <= 1e-14);
    }
  }
  // α = 1 is an inductance, α = -1 a capacitance, α = 0 a resistance.
  for (const complex s : plane) {
    const auto z = [&](const one_port& p) { return ways::at(p.as_circuit(), s).impedance; };
    CHECK(std::abs(z(power_law(2_Ohm, 1)) - z(2_H)) <= 1e-14 * std::abs(z(2_H)));
    CHECK(std::abs(z(power_law(1e9_Ohm, -1)) - z(1_nF)) <= 1e-14 * std::abs(z(1_nF)));
    CHECK(std::abs(z(power_law(5_Ohm, 0)) - 5.0) <= 1e-14);
  }
}

TEST_CASE("a source with a part in series, and with one across") {
  const double worst = over_the_plane(5, [](dice& d, complex s, worst_error& out) {
    const known_source from = random_source(d, s);
    const known part = random_part(d, s);
    const auto in_line = ways::at((from.s | in_series(part.part)).as_circuit(), s);
    out.add(in_line.response[0], from.e[0]);
    out.add(in_line.impedance, from.z + part.z);
    const auto across = ways::at((from.s | in_shunt(part.part)).as_circuit(), s);
    out.add(across.response[0], from.e[0] * part.z / (from.z + part.z));
    out.add(across.impedance, from.z * part.z / (from.z + part.z));
  });
  MESSAGE("worst " << worst);
  CHECK(worst <= 1e-13);
}

TEST_CASE("two and three sources in series and in parallel, one reversed") {
  const double worst = over_the_plane(6, [](dice& d, complex s, worst_error& out) {
    const known_source a = random_source(d, s), b = random_source(d, s), c = random_source(d, s);
    const auto row = ways::at(series(a.s, reversed(b.s), c.s).as_circuit(), s);
    out.add(row.response[0], a.e[0]);
    out.add(row.response[1], -b.e[0]);
    out.add(row.response[2], c.e[0]);
    out.add(row.impedance, a.z + b.z + c.z);
    const complex z = 1.0 / (1.0 / a.z + 1.0 / b.z + 1.0 / c.z);
    const auto node = ways::at(parallel(a.s, reversed(b.s), c.s).as_circuit(), s);
    out.add(node.response[0], a.e[0] * z / a.z);
    out.add(node.response[1], -b.e[0] * z / b.z);
    out.add(node.response[2], c.e[0] * z / c.z);
    out.add(node.impedance, z);
    const auto turned = ways::at(reversed(series(a.s, reversed(b.s))).as_circuit(), s);
    out.add(turned.response[0], -a.e[0]);
    out.add(turned.response[1], b.e[0]);
    out.add(turned.impedance, a.z + b.z);
  });
  MESSAGE("worst " << worst);
  CHECK(worst <= 1e-13);
}

TEST_CASE("a buffer: loads what comes before, passes nothing of it on") {
  const double worst = over_the_plane(7, [](dice& d, complex s, worst_error& out) {
    const known_source a = random_source(d, s), b = random_source(d, s);
    const known in = random_part(d, s), to = random_part(d, s), load = random_part(d, s);
    const double gain = d.between(-20, 20);
    const auto r = ways::at((series(a.s, b.s) | buffer(gain, in.part, to.part)).as_circuit(), s);
    const complex divided = gain * in.z / (a.z + b.z + in.z);
    out.add(r.response[0], a.e[0] * divided);
    out.add(r.response[1], b.e[0] * divided);
    out.add(r.impedance, to.z);
    // A buffered one beside a plain one, then a second buffer.
    const auto mixed = ways::at(
        (parallel(a.s | buffer(gain, in.part, to.part), b.s) | buffer(2, load.part, in.part)).as_circuit(),
        s);
    const complex node = to.z * b.z / (to.z + b.z);
    const complex behind = 2.0 * load.z / (node + load.z);
    out.add(mixed.response[0], gain * a.e[0] * in.z / (a.z + in.z) * node / to.z * behind);
    out.add(mixed.response[1], b.e[0] * node / b.z * behind);
    out.add(mixed.impedance, in.z);
  });
  MESSAGE("worst " << worst);
  CHECK(worst <= 1e-13);
}

TEST_CASE("a low-pass on the EMFs alone: all, or one") {
  const double worst = over_the_plane(8, [](dice& d, complex s, worst_error& out) {
    const known_source a = random_source(d, s), b = random_source(d, s);
    const double a1 = d.spread(1e-6, 1e-3), a2 = d.spread(1e-12, 1e-8);
    const complex h = 1.0 / (1.0 + a1 * s + a2 * s * s);
    for (int which = 0; which <= 2; ++which) {
      circuit c = series(a.s, b.s).as_circuit();
      emit(c, opcode::emf_filter, {a1, a2}, static_cast<std::uint8_t>(which));
      const auto r = ways::at(c, s);
      out.add(r.response[0], a.e[0] * (which == 2 ? 1.0 : h));
      out.add(r.response[1], b.e[0] * (which == 1 ? 1.0 : h));
      out.add(r.impedance, a.z + b.z);
    }
    // Twice over, and only on the entry that it stands on.
    circuit twice = b.s.as_circuit();
    emit(twice, opcode::emf_filter, {a1, 0});
    emit(twice, opcode::emf_filter, {0, a2});
    const auto r = ways::at(series(a.s, source(twice)).as_circuit(), s);
    out.add(r.response[0], a.e[0]);
    out.add(r.response[1], b.e[0] / ((1.0 + a1 * s) * (1.0 + a2 * s * s)));
  });
  MESSAGE("worst " << worst);
  CHECK(worst <= 1e-13);
}

TEST_CASE("a two-port by its chain matrix over a common denominator") {
  const double worst = over_the_plane(9, [](dice& d, complex s, worst_error& out) {
    const known_source from = random_source(d, s);
    const auto draw = [&](double size) {
      return quadratic{size * d.between(0.2, 1), size * d.between(0.2, 1) * 1e-4,
                       size * d.between(0.2, 1) * 1e-8};
    };
    const chain_matrix m{.a = draw(1), .b = draw(1e4), .c = draw(1e-5), .d = draw(1), .delta = draw(3)};
    const auto value = [&](const quadratic& q) { return q.a0 + q.a1 * s + q.a2 * s * s; };
    const auto r = ways::at((from.s | m).as_circuit(), s);
    const complex below = value(m.a) + value(m.c) * from.z;
    out.add(r.response[0], from.e[0] * value(m.delta) / below);
    out.add(r.impedance, (value(m.b) + value(m.d) * from.z) / below);
  });
  MESSAGE("worst " << worst);
  CHECK(worst <= 1e-13);
}

TEST_CASE("the chain matrices of simple two-ports are the stages themselves") {
  // Series Z = [[1, Z], [0, 1]], shunt Y = [[1, 0], [Y, 1]], I2 out of port 2: K. Whites, EE481 lecture 20.
  const double r = 6e3, l = 2.5, c = 620e-12;
  const std::pair<stage, stage> same[] = {
      {chain_matrix{}, stage{}},
      {chain_matrix{.b = {r, l, 0}}, in_series(series(6_kOhm, 2.5_H))},
      {chain_matrix{.c = {1 / r, c, 0}}, in_shunt(parallel(6_kOhm, 620_pF))},
      // a series capacitor and a shunt coil need the denominator
      {chain_matrix{.a = {0, c, 0}, .b = {1, 0, 0}, .d = {0, c, 0}, .delta = {0, c, 0}}, in_series(620_pF)},
      {chain_matrix{.a = {0, l, 0}, .c = {1, 0, 0}, .d = {0, l, 0}, .delta = {0, l, 0}}, in_shunt(2.5_H)},
      {chain_matrix{.a = {4, 0, 0}, .b = {2e3, 0, 0}, .c = {2e-3, 0, 0}, .d = {2, 0, 0}, .delta = {2, 0, 0}},
       stage(in_series(1_kOhm) | in_shunt(1_kOhm))},
      // nominal π of Z = R, Y = sC: A = D = 1 + YZ/2, B = Z, C = Y(1 + YZ/4) (engineeringdevotion.com, long lines)
      {chain_matrix{
           .a = {1, r * c / 2, 0}, .b = {r, 0, 0}, .c = {0, c, r * c * c / 4}, .d = {1, r * c / 2, 0}},
       in_shunt(310_pF) | in_series(6_kOhm) | in_shunt(310_pF)},
      // nominal T of the same: C = Y, B = Z(1 + YZ/4)
      {chain_matrix{
           .a = {1, r * c / 2, 0}, .b = {r, r * r * c / 4, 0}, .c = {0, c, 0}, .d = {1, r * c / 2, 0}},
       in_series(3_kOhm) | in_shunt(620_pF) | in_series(3_kOhm)},
  };
  const source voltage = ideal_emf(1_V) | in_series(2_kOhm) | in_shunt(100_pF);
  for (const auto& [matrix, plain] : same)
    for (const complex s : plane) {
      const auto a = ways::at((voltage | matrix | in_shunt(1_MOhm)).as_circuit(), s);
      const auto b = ways::at((voltage | plain | in_shunt(1_MOhm)).as_circuit(), s);
      CHECK(std::abs(a.response[0] - b.response[0]) <= 1e-13 * std::abs(b.response[0]));
      CHECK(std::abs(a.impedance - b.impedance) <= 1e-13 * std::abs(b.impedance));
    }
  // An ideal transformer, and a gyrator, which makes a current source of an ideal voltage.
  const source turned =
      ideal_emf(3_V) | in_series(90_Ohm) | chain_matrix{.a = {3, 0, 0}, .d = {1.0 / 3, 0, 0}};
  CHECK(std::abs(response(turned, 0, 1_kHz) - 1.0) <= 1e-15);
  CHECK(std::abs(output_impedance(turned, 1_kHz).value() - 10.0) <= 1e-14);
  const source gyrated =
      ideal_emf(3_V) | chain_matrix{.a = {}, .b = {50, 0, 0}, .c = {0.02, 0, 0}, .d = {}} | in_shunt(100_Ohm);
  CHECK(std::abs(response(gyrated, 0, 1_kHz) - 6.0) <= 1e-14);
  CHECK(std::abs(output_impedance(gyrated, 1_kHz).value() - 100.0) <= 1e-13);
}

namespace {
/// A, B, C, D of a stage at f, by driving it with an ideal voltage and with an ideal current.
struct chain_values {
  complex a, b, c, d;
  chain_values(const stage& st, frequency f) {
    const source by_voltage = ideal_emf(1_V) | st, by_current = ideal_current(1_A) | st;
    a = 1.0 / response(by_voltage, 0, f);
    b = output_impedance(by_voltage, f).value() * a;
    c = 1.0 / response(by_current, 0, f);
    d = output_impedance(by_current, f).value() * c;
  }
};
} // namespace

TEST_CASE("a guitar-sized chain at 1 kHz") {
  // 6 kΩ + 2.5 H, then across: 120 pF, 250 kΩ, 250 kΩ + 22 nF, 500 pF, 1 MΩ. Computed from the formula (product of
  // the chain matrices).
  const stage guitar = in_series(series(6_kOhm, 2.5_H)) | in_shunt(120_pF) | in_shunt(250_kOhm) |
                       in_shunt(series(250_kOhm, 22_nF)) | in_shunt(500_pF) | in_shunt(1_MOhm);
  const chain_values m(guitar, 1_kHz);
  const auto close = [](complex is, complex expected) {
    return std::abs(is - expected) / std::abs(expected);
  };
  CHECK(close(m.a, {0.9909717122, 0.1653864628}) <= 1e-10);
  CHECK(close(m.b, {6000, 15707.96327}) <= 1e-9);
  CHECK(close(m.c, {8.996653342e-6, 4.011227097e-6}) <= 1e-9);
  CHECK(close(m.d, 1) <= 1e-14);
  CHECK(close(m.a * m.d - m.b * m.c, 1) <= 1e-14); // reciprocity
  const source s = ideal_emf(1_V) | guitar;
  const complex h = response(s, 0, 1_kHz);
  CHECK(std::abs(h) == doctest::Approx(0.9953439136).epsilon(1e-10));
  CHECK(std::arg(h) * 180 / std::numbers::pi == doctest::Approx(-9.4749516).epsilon(1e-8));
  CHECK(ways::responses(s, 0, 1000).off(h) <= 1e-15);
  CHECK(ways::impedances(s, 1000).off({8464.33943, 14438.43042}) <= 1e-9 * 16736);
}

TEST_CASE("a line by the numbers of its chain matrix") {
  // z = j0.5 Ω/km, y = j5.0 µS/km, 400 km (doubtnut.com): Zc = 316.22 Ω; B printed j186.92 Ω from a rounded γ. A line
  // is no polynomial, so its values at one frequency stand in: A = D = cosh γl, B = Zc·sinh γl, C = sinh γl / Zc, of
  // which A = 0.80657841, B = j186.93081 Ω, C = j1.8693081 mS are computed from the formula.
  const double zc = std::sqrt(0.5 / 5e-6), angle = std::sqrt(0.5 * 5e-6) * 400, w = 2 * std::numbers::pi * 50;
  CHECK(zc == doctest::Approx(316.2278).epsilon(1e-6));
  const double a = std::cos(angle), b = zc * std::sin(angle), c = std::sin(angle) / zc;
  const stage line = chain_matrix{.a = {a, 0, 0}, .b = {0, b / w, 0}, .c = {0, c / w, 0}, .d = {a, 0, 0}};
  const chain_values m(line, 50_Hz);
  CHECK(std::abs(m.a - 0.80657841) <= 5e-9);
  CHECK(std::abs(m.b - complex(0, 186.93081)) <= 5e-6);
  CHECK(std::abs(m.b - complex(0, 186.92)) <= 0.02); // as printed
  CHECK(std::abs(m.c - complex(0, 1.8693081e-3)) <= 5e-11);
  CHECK(std::abs(m.a * m.d - m.b * m.c - 1.0) <= 1e-14);
  // A matched line does not change the impedance, and delays.
  const source matched = ideal_emf(1_V) | in_series(resistance::from_value(zc)) | line;
  CHECK(std::abs(output_impedance(matched, 50_Hz).value() - zc) <= 1e-12 * zc);
  CHECK(std::abs(response(matched, 0, 50_Hz) - std::polar(1.0, -angle)) <= 1e-14);
}

TEST_CASE("Millman") {
  // Kuphaldt, Lessons in Electric Circuits (electronicsteacher.com, Millman's theorem): 28 V through 4 Ω, 0 V through
  // 2 Ω, 7 V through 1 Ω: 8 V; both reversed: -8 V. Norton currents 7 A, 0 A, 7 A.
  const source a = ideal_emf(28_V, "28 V") | in_series(4_Ohm);
  const source b = ideal_emf(0_V, "0 V") | in_series(2_Ohm);
  const source c = ideal_emf(7_V, "7 V") | in_series(1_Ohm);
  const source node = parallel(a, b, c);
  for (const double f : {1.0, 440.0, 1e5}) {
    CHECK(std::abs(response(node, ways::hertz(f)) - 8.0) <= 1e-14);
    CHECK(std::abs(transfer(node)(ways::hertz(f)) - 8.0) <= 1e-14);
    CHECK(ways::responses(node, 0, f).off(4) <= 1e-14); // 7 A into 4/7 Ω
    CHECK(ways::responses(node, 1, f).off(0) == 0);
    CHECK(ways::responses(node, 2, f).off(4) <= 1e-14);
    CHECK(ways::impedances(node, f).off(4.0 / 7) <= 1e-15);
    CHECK(std::abs(response(parallel(reversed(a), b, reversed(c)), ways::hertz(f)) + 8.0) <= 1e-14);
    CHECK(std::abs(response(reversed(node), ways::hertz(f)) + 8.0) <= 1e-14);
    // The same by Norton: 7 A, 0 A, 7 A, each across its resistance.
    const source norton =
        parallel(ideal_current(7_A, "a") | in_shunt(4_Ohm), 2_Ohm, ideal_current(7_A, "c"), 1_Ohm);
    CHECK(std::abs(response(norton, ways::hertz(f)) - 8.0) <= 1e-14);
    CHECK(ways::impedances(norton, f).off(4.0 / 7) <= 1e-15);
    // The order does not matter.
    CHECK(std::abs(response(parallel(c, parallel(b, a)), ways::hertz(f)) - 8.0) <= 1e-14);
  }
  // electricalandelectronicsengineering.com, Millman's theorem: 6.27 V behind 2.72 Ω into 3 Ω: 1.09 A (cut, not
  // rounded: 1.096).
  const source loaded = ideal_emf(6.27_V) | in_series(2.72_Ohm) | in_shunt(3_Ohm);
  CHECK(std::floor(std::abs(response(loaded, 1_Hz)) / 3 * 100) / 100 == doctest::Approx(1.09));
}

TEST_CASE("delta and wye") {
  // yourelectrichome.com 2011/05: delta 5, 10, 15 Ω is wye 1.67, 5, 2.5 Ω; equal delta 18 Ω is wye 6 Ω.
  struct pair {
    double ab, bc, ca; ///< delta
    double a, b, c;    ///< wye
  };
  for (const pair& p : {pair{5, 10, 15, 2.5, 5.0 / 3, 5}, pair{18, 18, 18, 6, 6, 6}}) {
    const auto ohm = [](double r) { return one_port(resistance::from_value(r)); };
    const auto z = [](const one_port& x) { return impedance_at(x, 1_kHz).value(); };
    CHECK(std::abs(z(parallel(ohm(p.ab), series(ohm(p.bc), ohm(p.ca)))) - (p.a + p.b)) <= 1e-14 * p.ab);
    CHECK(std::abs(z(parallel(ohm(p.bc), series(ohm(p.ca), ohm(p.ab)))) - (p.b + p.c)) <= 1e-14 * p.bc);
    CHECK(std::abs(z(parallel(ohm(p.ca), series(ohm(p.ab), ohm(p.bc)))) - (p.c + p.a)) <= 1e-14 * p.ca);
    // As two-ports from a to b over c.
    const stage delta = in_shunt(ohm(p.ca)) | in_series(ohm(p.ab)) | in_shunt(ohm(p.bc));
    const stage wye = in_series(ohm(p.a)) | in_shunt(ohm(p.c)) | in_series(ohm(p.b));
    const source from = ideal_emf(1_V) | in_series(series(3_Ohm, 2_mH)) | in_shunt(10_uF);
    for (const complex s : plane) {
      const auto d = ways::at((from | delta | in_shunt(7_Ohm)).as_circuit(), s);
      const auto y = ways::at((from | wye | in_shunt(7_Ohm)).as_circuit(), s);
      CHECK(std::abs(d.response[0] - y.response[0]) <= 1e-13 * std::abs(y.response[0]));
      CHECK(std::abs(d.impedance - y.impedance) <= 1e-13 * std::abs(y.impedance));
    }
  }
}

TEST_CASE("laws: associative, commutative, reversal, superposition") {
  const double worst = over_the_plane(10, [](dice& d, complex s, worst_error& out) {
    const known_source a = random_source(d, s), b = random_source(d, s);
    const known p = random_part(d, s), q = random_part(d, s);
    const auto same = [&](const source& x, const source& y) {
      const auto l = ways::at(x.as_circuit(), s), r = ways::at(y.as_circuit(), s);
      for (std::size_t k = 0; k < l.response.size(); ++k) out.add(l.response[k], r.response[k]);
      out.add(l.impedance, r.impedance);
    };
    same(a.s | in_series(p.part) | in_series(q.part), a.s | in_series(series(q.part, p.part)));
    same(a.s | in_shunt(p.part) | in_shunt(q.part), a.s | in_shunt(parallel(q.part, p.part)));
    same(series(a.s, p.part), a.s | in_series(p.part));
    same(series(p.part, a.s), a.s | in_series(p.part));
    same(parallel(a.s, p.part), a.s | in_shunt(p.part));
    same(parallel(p.part, a.s), a.s | in_shunt(p.part));
    same(series(series(a.s, b.s), p.part), series(a.s, series(b.s, p.part)));
    same(parallel(parallel(a.s, b.s), p.part), parallel(a.s, parallel(b.s, p.part)));
    same(reversed(reversed(a.s)), a.s);
    same(reversed(series(a.s, b.s)), series(reversed(a.s), reversed(b.s)));
    same(reversed(parallel(a.s, b.s)), parallel(reversed(a.s), reversed(b.s)));
    same(reversed(a.s) | in_series(p.part) | in_shunt(q.part),
         reversed(a.s | in_series(p.part) | in_shunt(q.part)));
    // Thévenin and Norton.
    same(ideal_emf(2_V) | in_series(1_kOhm) | in_shunt(p.part),
         ideal_current(2_mA) | in_shunt(1_kOhm) | in_shunt(p.part));
  });
  MESSAGE("worst " << worst);
  CHECK(worst <= 1e-13);
  const source s = ideal_emf(1_V) | in_series(1_kOhm);
  const stage p = in_shunt(1_nF), q = in_series(2_H), r = in_shunt(500_kOhm);
  CHECK((s | p | q | r) == (s | (p | q | r)));
  CHECK(((p | q) | r) == (p | (q | r)));
  CHECK((s | stage{}) == s);
}

TEST_CASE("several EMFs: each, the plain sum, a weighted sum, weights that end early") {
  source s = parallel(ideal_emf(1_V, "a") | in_series(6_kOhm) | in_series(2_H),
                      series(ideal_emf(2_V, "b") | in_series(5_kOhm),
                             reversed(ideal_emf(0.5_V, "c") | buffer(3, 1_MOhm, 1_kOhm))) |
                          in_series(3_H)) |
             in_shunt(500_pF);
  for (const double f : {50.0, 1e3, 7e3}) {
    complex each[3], sum = 0;
    for (std::size_t k = 0; k < 3; ++k) sum += each[k] = response(s, k, ways::hertz(f));
    const double size = std::abs(each[0]) + std::abs(each[1]) + std::abs(each[2]);
    CHECK(std::abs(response(s, ways::hertz(f)) - sum) <= 1e-15 * size);
    for (std::size_t k = 0; k < 3; ++k) CHECK(ways::responses(s, k, f).off(each[k]) <= 1e-14 * size);
    evaluator evaluate(s.as_circuit());
    composer compose(s.as_circuit());
    const std::vector<double> choices[] = {{}, {0.5}, {0, 1}, {-1, 2}, {1, 0, -3}, {0, 0, 0}, {1, 1, 1}};
    for (const std::vector<double>& w : choices) {
      CAPTURE(w.size());
      complex expected = 0, block = 0;
      for (std::size_t k = 0; k < 3; ++k) expected += (k < w.size() ? w[k] : 1) * each[k];
      evaluate.responses(s.as_circuit(), {&f, 1}, w, {&block, 1});
      CHECK(std::abs(block - expected) <= 1e-14 * size);
      CHECK(std::abs(compose.response(s.as_circuit(), w)(ways::hertz(f)) - expected) <= 1e-14 * size);
    }
    CHECK(std::abs(transfer(s)(ways::hertz(f)) - sum) <= 1e-14 * size);
  }
  CHECK_THROWS_AS((void)response(s, 3, 1_kHz), invalid_value);
  CHECK_THROWS_AS((void)transfer(s, 3), invalid_value);
  CHECK_THROWS_AS((void)response(s, 0, 0_Hz), invalid_value);
  CHECK_THROWS_AS((void)response(s, 0, -1_Hz), invalid_value);
  CHECK_THROWS_AS((void)output_impedance(s, 0_Hz), invalid_value);
  CHECK_THROWS_AS((void)impedance_at(1_kOhm, 0_Hz), invalid_value);
}

TEST_CASE("27 kΩ beside 500 kΩ") {
  // 13.5e9/527e3, computed from the formula.
  CHECK(impedance_at(parallel(27_kOhm, 500_kOhm), 1_kHz).value().real() ==
        doctest::Approx(25616.698292220114));
}

TEST_CASE("weights where no buffer and no low-pass parts the EMFs") {
  const source s = series(ideal_emf(1_V, "a") | in_series(series(6_kOhm, 2_H)) | in_shunt(120_pF),
                          ideal_emf(-2_V, "b") | in_series(series(5_kOhm, 3_H)) | in_shunt(90_pF)) |
                   in_shunt(500_pF);
  for (const double f : {50.0, 3e3}) {
    const complex a = response(s, 0, ways::hertz(f)), b = response(s, 1, ways::hertz(f));
    const std::pair<std::vector<double>, complex> rows[] = {
        {{}, a + b}, {{0.5}, 0.5 * a + b}, {{-3, 0.25}, -3.0 * a + 0.25 * b}, {{0, 2}, 2.0 * b}};
    evaluator evaluate(s.as_circuit());
    composer compose(s.as_circuit());
    for (const auto& [weights, expected] : rows) {
      complex block = 0;
      evaluate.responses(s.as_circuit(), {&f, 1}, weights, {&block, 1});
      CHECK(std::abs(block - expected) <= 1e-14 * std::abs(expected));
      const complex composed = compose.response(s.as_circuit(), weights)(ways::hertz(f));
      CHECK(std::abs(composed - expected) <= 1e-13 * std::abs(expected));
    }
  }
}
