// SPDX-License-Identifier: BSL-1.0
// The coupled pair, opcode by hand, against a nodal calculation of the same network.
#include <doctest/doctest.h>

#include <array>
#include <optional>

#include <lodewire/quantity/literals.hpp>

#include "nodal.hpp"
#include "ways.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using ways::complex;
using ways::dice;

namespace {

/// One of the four operands: the one-port, and its impedance (none: open).
struct operand {
  one_port part;
  std::optional<complex> z;
};

struct pair_case {
  operand winding[2], shunt[2];
  double mutual = 0, between = 0;
  double e[2] = {1, 1};

  [[nodiscard]] circuit program(pair_output output) const {
    circuit c;
    for (const operand* o : {&winding[0], &winding[1], &shunt[0], &shunt[1]}) append(c, o->part.as_circuit());
    emit(c, opcode::coil_pair, {mutual, between, e[0], e[1]}, static_cast<std::uint8_t>(output));
    c.emfs = {"first", "second"};
    return c;
  }

  /// Response to each EMF, and the impedance. `tiny`: ohms for a short, and siemens that tie a floating node down.
  [[nodiscard]] std::array<complex, 3> by_nodes(pair_output output, complex s, double tiny) const {
    // The first winding goes from ground to node 1. In series the second one goes on from there to node 2, the hot
    // end; for one coil alone node 1 is hot; in parallel the second one, too, goes from ground to node 1.
    const bool parallel = output == pair_output::parallel;
    const std::size_t from = parallel ? 0 : 1, to = parallel ? 1 : 2;
    const std::size_t hot = output == pair_output::series ? 2 : 1;
    std::array<complex, 3> result;
    for (std::size_t what = 0; what < 3; ++what) {
      nodal net(parallel ? 1 : 2);
      const std::size_t plus[2] = {1, to}, minus[2] = {0, from};
      std::size_t branch[2] = {};
      for (std::size_t k = 0; k < 2; ++k) {
        if (winding[k].z)
          branch[k] = net.branch(plus[k], minus[k], *winding[k].z + tiny, k == what ? e[k] : 0);
        if (shunt[k].z) net.branch(plus[k], minus[k], *shunt[k].z + tiny, 0);
        net.admittance(plus[k], 0, 1e-24);
      }
      if (winding[0].z && winding[1].z) net.mutual(branch[0], branch[1], s * mutual);
      net.admittance(to, 0, s * between);
      if (what == 2) net.inject(hot, 1);
      result[what] = net.solve()[hot];
    }
    return result;
  }
};

struct coil {
  operand winding, shunt;
  double inductance = 0;
};

coil random_coil(dice& d, complex s, int eddies) {
  coil c{{resistance::from_value(0), 0.0}, {capacitance::from_value(0), std::nullopt}};
  const double r = d.spread(500, 2e4);
  c.inductance = d.spread(0.1, 10);
  one_port w = series(resistance::from_value(r), inductance::from_value(c.inductance));
  complex z = r + s * c.inductance;
  for (int i = 0; i < eddies; ++i) {
    const double le = d.spread(0.1, 2), re = d.spread(1e3, 1e5);
    w = series(w, parallel(inductance::from_value(le), resistance::from_value(re)));
    z += s * le * re / (s * le + re);
  }
  c.winding = {w, z};
  const double cap = d.spread(20e-12, 500e-12), loss = d.spread(1e5, 1e7);
  switch (d.below(5)) {
  case 0: c.shunt = {capacitance::from_value(cap), 1.0 / (s * cap)}; break;
  case 1:
    c.shunt = {parallel(capacitance::from_value(cap), resistance::from_value(loss)),
               1.0 / (s * cap + 1 / loss)};
    break;
  case 2: c.shunt = {resistance::from_value(loss), loss}; break;
  case 3: c.shunt = {open_circuit(), std::nullopt}; break;
  default: c.shunt = {short_circuit(), 0.0}; break;
  }
  return c;
}

constexpr pair_output outputs[] = {pair_output::series, pair_output::parallel, pair_output::first};

} // namespace

TEST_CASE("random pairs: all outputs, eddy windings, any shunt, k from -1 to 1") {
  dice d(1);
  double worst[3] = {};
  int shorted_shunts = 0;
  for (int i = 0; i < 3000; ++i) {
    const complex s(i % 3 == 0 ? d.spread(100, 1e5) : 0, 2 * std::numbers::pi * d.spread(20, 2e4));
    const coil a = random_coil(d, s, static_cast<int>(d.below(3)));
    const coil b = random_coil(d, s, static_cast<int>(d.below(3)));
    const double k = i % 10 == 0 ? 1 : i % 10 == 1 ? -1 : i % 10 == 2 ? 0 : d.between(-1, 1);
    pair_case p{{a.winding, b.winding}, {a.shunt, b.shunt}};
    p.mutual = k * std::sqrt(a.inductance * b.inductance);
    p.between = i % 2 == 0 ? 0 : d.spread(1e-12, 1e-9);
    p.e[0] = d.between(-2, 2);
    p.e[1] = d.between(-2, 2);
    shorted_shunts += a.shunt.z && *a.shunt.z == 0.0;
    for (const pair_output output : outputs) {
      const auto expected = p.by_nodes(output, s, 0);
      const auto is = ways::at(p.program(output), s);
      REQUIRE(is.status == circuit_status::ok);
      double& off = worst[static_cast<std::size_t>(output)];
      for (std::size_t e = 0; e < 2; ++e) {
        REQUIRE(ways::is_finite(is.response[e]));
        // Where the two windings nearly cancel, the voltages that do so set the scale.
        const double scale = std::abs(expected[e]) + 1e-3 * std::abs(p.e[e]);
        off = std::max(off, std::abs(is.response[e] - expected[e]) / scale);
      }
      REQUIRE(ways::is_finite(is.impedance));
      off = std::max(off, std::abs(is.impedance - expected[2]) / (std::abs(expected[2]) + 1));
    }
  }
  MESSAGE("worst: series " << worst[0] << ", parallel " << worst[1] << ", first " << worst[2]);
  CHECK(shorted_shunts > 300);
  for (const double off : worst) CHECK(off <= 1e-13);
}

TEST_CASE("pairs in closed form") {
  const auto pair_of = [](double k, pair_output output, double e2 = 1) {
    circuit c;
    append(c, series(6_kOhm, 2_H).as_circuit());
    append(c, series(6_kOhm, 2_H).as_circuit());
    append(c, open_circuit().as_circuit());
    append(c, open_circuit().as_circuit());
    emit(c, opcode::coil_pair, {2 * k, 0, 1, e2}, static_cast<std::uint8_t>(output));
    c.emfs = {"a", "b"};
    return source(c);
  };
  for (const double f : {50.0, 1e3, 1e4})
    for (const double k : {-1.0, -0.4, 0.0, 0.3, 1.0}) {
      const double w = 2 * std::numbers::pi * f;
      // In series R and 2(1 + k)L, in parallel R/2 and (1 + k)L/2, one alone R and L.
      const source row = pair_of(k, pair_output::series);
      CHECK(ways::impedances(row, f).off({12e3, w * 4 * (1 + k)}) <= 1e-12 * (12e3 + w * 4));
      const source node = pair_of(k, pair_output::parallel);
      CHECK(ways::impedances(node, f).off({3e3, w * (1 + k)}) <= 1e-10 * (3e3 + w));
      const source alone = pair_of(k, pair_output::first);
      CHECK(ways::impedances(alone, f).off({6e3, w * 2}) <= 1e-12 * (6e3 + w * 2));
      CHECK(std::abs(response(row, ways::hertz(f)) - 2.0) <= 1e-13);
      CHECK(std::abs(response(node, ways::hertz(f)) - 1.0) <= 1e-11);
      CHECK(ways::responses(alone, 0, f).off(1) <= 1e-13);
      CHECK(ways::responses(alone, 1, f).off(0) <= 1e-13);
      // Equal and opposite cancels to nothing.
      CHECK(std::abs(response(pair_of(k, pair_output::series, -1), ways::hertz(f))) <= 1e-13);
      CHECK(std::abs(response(pair_of(k, pair_output::parallel, -1), ways::hertz(f))) <= 1e-11);
    }
}

TEST_CASE("without coupling and without capacitance between, a pair is two coils joined") {
  const auto half = [](double e, const char* name) {
    return ideal_emf(voltage::from_value(e), name) | in_series(series(6_kOhm, 2_H)) |
           in_shunt(parallel(90_pF, 2_MOhm));
  };
  circuit c;
  for (int i = 0; i < 2; ++i) append(c, series(6_kOhm, 2_H).as_circuit());
  for (int i = 0; i < 2; ++i) append(c, parallel(90_pF, 2_MOhm).as_circuit());
  emit(c, opcode::coil_pair, {0, 0, 1, -0.5});
  c.emfs = {"a", "b"};
  for (const auto& [mode, same] :
       {std::pair{pair_output::series, series(half(1, "a"), half(-0.5, "b"))},
        std::pair{pair_output::parallel, parallel(half(1, "a"), half(-0.5, "b"))}}) {
    c.code.back().mode = static_cast<std::uint8_t>(mode);
    const source s(c);
    for (const double f : {50.0, 3e3, 2e4}) {
      for (std::size_t k = 0; k < 2; ++k)
        CHECK(ways::responses(s, k, f).off(response(same, k, ways::hertz(f))) <=
              1e-12 * std::abs(response(same, k, ways::hertz(f))));
      const complex z = output_impedance(same, ways::hertz(f)).value();
      CHECK(ways::impedances(s, f).off(z) <= 1e-12 * std::abs(z));
    }
  }
}

TEST_CASE("every combination of ordinary, shorted and open windings and shunts") {
  const complex s(0, 2 * std::numbers::pi * 1234);
  const operand windings[] = {{series(6_kOhm, 2_H), 6e3 + s * 2.0},
                              {series(5_kOhm, 1.5_H), 5e3 + s * 1.5},
                              {short_circuit(), 0.0},
                              {open_circuit(), std::nullopt}};
  const operand shunts[] = {{parallel(100_pF, 1_MOhm), 1.0 / (s * 100e-12 + 1e-6)},
                            {short_circuit(), 0.0},
                            {open_circuit(), std::nullopt}};
  const auto is_short = [](const operand& o) { return o.z && *o.z == 0.0; };
  int conflicts = 0, opens = 0, shorts = 0, ordinary = 0;
  for (const operand& w1 : {windings[0], windings[2], windings[3]})
    for (const operand& w2 : {windings[1], windings[2], windings[3]})
      for (const operand& p1 : shunts)
        for (const operand& p2 : shunts)
          for (const double between : {0.0, 50e-12})
            for (const bool heard : {true, false})
              for (const pair_output output : outputs) {
                pair_case p{{w1, w2}, {p1, p2}};
                p.between = between;
                if (w1.part == windings[0].part && w2.part == windings[1].part) p.mutual = 0.3;
                p.e[0] = heard ? 1 : 0;
                p.e[1] = heard ? -0.7 : 0;
                const auto is = ways::at(p.program(output), s);
                const auto number = [&](const operand& o) { return o.z ? std::abs(*o.z) : -1.0; };
                CAPTURE(number(w1));
                CAPTURE(number(w2));
                CAPTURE(number(p1));
                CAPTURE(number(p2));
                CAPTURE(between);
                CAPTURE(static_cast<int>(output));
                // An ideal EMF (a winding without impedance) with a short across it, or with another such winding.
                const bool par = output == pair_output::parallel;
                const bool contradiction =
                    (is_short(w1) && (is_short(p1) || (par && (is_short(p2) || is_short(w2))))) ||
                    (is_short(w2) && (is_short(p2) || (par && is_short(p1))));
                if (heard && contradiction) {
                  CHECK(is.status == circuit_status::conflicting_voltages);
                  ++conflicts;
                  continue;
                }
                REQUIRE(is.status == circuit_status::ok);
                auto expected = p.by_nodes(output, s, 1e-7);
                const bool open = std::abs(expected[2]) > 1e12;
                if (open) expected[0] = expected[1] = 0; // at a terminal that hangs in the air: 0 V, by rule
                evaluator evaluate(p.program(output));
                const double f = 1234;
                complex block[2] = {-1, -1}, z = -1;
                for (std::size_t k = 0; k < 2; ++k) {
                  const double only[2] = {k == 0 ? 1.0 : 0.0, k == 1 ? 1.0 : 0.0};
                  evaluate.responses(p.program(output), {&f, 1}, only, {&block[k], 1});
                  CHECK(std::abs(block[k] - expected[k]) <= 1e-8);
                  const transfer_function h = composer(p.program(output)).response(p.program(output), k);
                  REQUIRE(h.defined());
                  CHECK(std::abs(h(ways::hertz(f)) - expected[k]) <= 1e-8);
                }
                evaluate.impedances(p.program(output), {&f, 1}, {&z, 1});
                if (open) {
                  CHECK(!ways::is_finite(z));
                  CHECK(!ways::is_finite(is.impedance));
                  ++opens;
                } else {
                  CHECK(std::abs(z - expected[2]) <= 1e-8 * std::abs(expected[2]) + 1e-6);
                  CHECK(std::abs(is.impedance - expected[2]) <= 1e-8 * std::abs(expected[2]) + 1e-6);
                  ++(std::abs(expected[2]) < 1e-3 ? shorts : ordinary);
                }
              }
  MESSAGE(conflicts << " conflicts, " << opens << " opens, " << shorts << " shorts, " << ordinary
                    << " others");
  CHECK(conflicts > 50);
  CHECK(opens > 10);
  CHECK(shorts > 50);
}

TEST_CASE("the pair's polynomial has the degree of its independent reactive parts") {
  circuit c;
  append(c, series(6_kOhm, 2_H).as_circuit());
  append(c, series(5_kOhm, 3_H).as_circuit());
  append(c, one_port(100_pF).as_circuit());
  append(c, one_port(80_pF).as_circuit());
  emit(c, opcode::coil_pair, {1.5, 50e-12, 1, 1});
  c.emfs = {"a", "b"};
  const source s(c);
  // Two windings, two nodes with capacitance: four states; the third capacitance closes a loop and adds none.
  CHECK(transfer(s).denominator().size() == 5);
  for (const double f : {20.0, 1e3, 2e4})
    CHECK(std::abs(transfer(s)(ways::hertz(f)) - response(s, ways::hertz(f))) <=
          1e-13 * std::abs(response(s, ways::hertz(f))));
}

TEST_CASE("two coils that do not resist, fully coupled, in parallel") {
  circuit c;
  for (int i = 0; i < 2; ++i) append(c, one_port(2_H).as_circuit());
  for (int i = 0; i < 2; ++i) append(c, one_port(100_pF).as_circuit());
  emit(c, opcode::coil_pair, {2, 0, 1, 1}, static_cast<std::uint8_t>(pair_output::parallel));
  c.emfs = {"a", "b"};
  // Their circulating current has no bound for either EMF alone: a contradiction, not a number.
  const complex w(0, 5e3);
  CHECK(ways::at(c, w).status == circuit_status::conflicting_voltages);
  CHECK(!composer(c).response(c, 0).defined());
  c.values[4] = 1.9; // M: a little leakage decides it
  CHECK(ways::at(c, w).status == circuit_status::ok);
  // A quarter of both and twice M, beside both capacitances.
  const complex coils = w * (2.0 + 1.9) / 2.0;
  CHECK(std::abs(ways::at(c, w).impedance - 1.0 / (1.0 / coils + w * 200e-12)) <= 1e-12 * std::abs(coils));
}
