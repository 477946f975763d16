// SPDX-License-Identifier: BSL-1.0
// The load that a source sees, in closed form and against networks written out by hand.
#include <doctest/doctest.h>

#include <optional>
#include <string>

#include <lodewire/quantity/literals.hpp>

#include "nodal.hpp"
#include "ways.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using ways::complex;
using ways::dice;

namespace {

constexpr double hz[] = {30, 440, 3e3, 2e4};

/// A coil with its terminals marked, and the impedance that it turns to the rest.
source pickup(const std::string& name, double henries = 2.5) {
  circuit c;
  emit(c, opcode::emf, {1.0});
  c.emfs.push_back(name);
  emit(c, opcode::series_r, {6e3});
  emit(c, opcode::series_l, {henries});
  emit(c, opcode::shunt_c, {120e-12});
  emit(c, opcode::terminals);
  c.terminals.push_back(name);
  return source(c);
}
complex s_at(double f) { return {0, 2 * std::numbers::pi * f}; }
complex z_of(double f, double henries = 2.5) {
  return 1.0 / (1.0 / (6e3 + s_at(f) * henries) + s_at(f) * 120e-12);
}
complex seen(const source& s, const char* name, double f) {
  return load_seen(s, s.terminals(name), ways::hertz(f)).value();
}
complex par(complex a, complex b) { return a * b / (a + b); }

bool close(complex is, complex expected, double bound = 1e-13) {
  return ways::is_finite(is) && std::abs(is - expected) <= bound * std::abs(expected);
}

} // namespace

TEST_CASE("one pickup with tone, volume, cable and input") {
  const source s = pickup("p") | in_shunt(series(250_kOhm, 22_nF)) | in_series(100_kOhm) |
                   in_shunt(150_kOhm) | in_shunt(500_pF) | in_shunt(1_MOhm);
  for (const double f : hz) {
    const complex w = s_at(f);
    const complex tone = 250e3 + 1.0 / (w * 22e-9);
    const complex volume = 100e3 + 1.0 / (1 / 150e3 + w * 500e-12 + 1e-6);
    CHECK(close(seen(s, "p", f), par(tone, volume)));
  }
}

TEST_CASE("two pickups: in parallel each sees the other, in series the other is in the way") {
  const source a = pickup("a"), b = pickup("b", 4);
  const stage load = in_shunt(500_kOhm) | in_shunt(700_pF);
  for (const double f : hz) {
    const complex rest = 1.0 / (1 / 500e3 + s_at(f) * 700e-12);
    for (const source& s : {parallel(a, b) | load, parallel(b, a) | load, parallel(a, reversed(b)) | load}) {
      CHECK(close(seen(s, "a", f), par(rest, z_of(f, 4))));
      CHECK(close(seen(s, "b", f), par(rest, z_of(f))));
    }
    for (const source& s :
         {series(a, b) | load, series(b, a) | load, reversed(series(reversed(a), b)) | load}) {
      CHECK(close(seen(s, "a", f), rest + z_of(f, 4)));
      CHECK(close(seen(s, "b", f), rest + z_of(f)));
    }
    // Each behind a volume of its own.
    const source two =
        parallel(a | in_series(50_kOhm) | in_shunt(200_kOhm), b | in_series(10_kOhm) | in_shunt(240_kOhm)) |
        load;
    const complex za = par(z_of(f) + 50e3, 200e3), zb = par(z_of(f, 4) + 10e3, 240e3);
    CHECK(close(seen(two, "a", f), 50e3 + par(200e3, par(zb, rest))));
    CHECK(close(seen(two, "b", f), 10e3 + par(240e3, par(za, rest))));
    // Passive parts that come first on the stack change nothing.
    CHECK(close(seen(parallel(10_kOhm, a), "a", f), 10e3));
    CHECK(close(seen(series(10_kOhm, a) | load, "a", f), 10e3 + rest));
    CHECK(close(seen(parallel(series(10_kOhm, 1_nF), a) | load, "a", f), par(10e3 + 1e9 / s_at(f), rest)));
  }
}

TEST_CASE("nothing, a conductor, opens and shorts on the way") {
  const source a = pickup("a"), b = pickup("b");
  for (const double f : hz) {
    CHECK(!ways::is_finite(seen(a, "a", f)));
    CHECK(seen(a | in_shunt(short_circuit()), "a", f) == 0.0);
    CHECK(!ways::is_finite(seen(a | in_series(open_circuit()), "a", f)));
    CHECK(!ways::is_finite(seen(a | in_series(0_F) | in_shunt(1_kOhm), "a", f)));
    CHECK(close(seen(a | in_shunt(10_kOhm) | in_series(open_circuit()) | in_shunt(3_Ohm), "a", f), 10e3));
    CHECK(close(seen(a | in_shunt(10_kOhm) | in_series(series(0_F, 1_H)) | in_shunt(3_Ohm), "a", f), 10e3));
    CHECK(close(seen(a | in_series(250_kOhm) | in_shunt(short_circuit()) | in_shunt(700_pF), "a", f), 250e3));
    CHECK(close(seen(a | in_series(250_kOhm) | in_shunt(series(0_Ohm, 0_H)) | in_shunt(700_pF), "a", f),
                250e3));
    CHECK(close(seen(a | in_series(250_kOhm) | in_shunt(0_H) | in_series(open_circuit()), "a", f), 250e3));
    CHECK(close(seen(a | in_shunt(10_kOhm) | in_series(open_circuit()) | in_shunt(0_Ohm), "a", f), 10e3));
    // Twice the same end.
    CHECK(
        close(seen(a | in_series(9_kOhm) | in_shunt(0_Ohm) | in_shunt(0_Ohm) | in_shunt(0_H), "a", f), 9e3));
    CHECK(close(
        seen(a | in_shunt(9_kOhm) | in_series(0_F) | in_series(0_F) | in_series(open_circuit()), "a", f),
        9e3));

    // Two volumes at zero, joined: each pickup still sees its own track.
    const source a0 = a | in_series(250_kOhm) | in_shunt(0_Ohm),
                 b0 = b | in_series(500_kOhm) | in_shunt(0_Ohm);
    const source both = parallel(a0, b0) | in_series(68_kOhm) | in_shunt(700_pF);
    CHECK(close(seen(both, "a", f), 250e3));
    CHECK(close(seen(both, "b", f), 500e3));
    CHECK(close(seen(parallel(b0, a0), "a", f), 250e3));
    // One at zero and the other at full: the one at full sees a short.
    CHECK(std::abs(seen(parallel(a0, b), "b", f)) == 0.0);
    CHECK(std::abs(seen(parallel(b, a0), "b", f)) == 0.0);
    CHECK(close(seen(parallel(b, a0), "a", f), 250e3));
    // Two open switches in series, one open switch.
    const source ax = a | in_shunt(1_MOhm) | in_series(open_circuit()), bx = b | in_series(open_circuit());
    CHECK(close(seen(series(ax, bx) | in_shunt(1_nF), "a", f), 1e6));
    CHECK(!ways::is_finite(seen(series(ax, bx) | in_shunt(1_nF), "b", f)));
    CHECK(!ways::is_finite(seen(series(ax, b) | in_shunt(1_nF), "b", f)));
    CHECK(!ways::is_finite(seen(series(b, ax) | in_shunt(1_nF), "b", f)));
    CHECK(close(seen(parallel(ax, b) | in_shunt(1_nF), "a", f), 1e6));
    CHECK(close(seen(parallel(ax, b) | in_shunt(1_nF), "b", f), 1e9 / s_at(f)));
    // A pickup in series with one at zero, and across a wire.
    CHECK(close(seen(series(a0, b) | in_shunt(1_MOhm), "b", f), 1e6));
    CHECK(close(seen(series(b, a0) | in_shunt(1_MOhm), "b", f), 1e6));
    CHECK(close(seen(series(a, short_circuit()) | in_shunt(1_MOhm), "a", f), 1e6));
    CHECK(close(seen(parallel(a | in_series(1_kOhm), short_circuit()) | in_shunt(1_MOhm), "a", f), 1e3));
  }
}

TEST_CASE("behind a buffer nothing is seen but its input") {
  const source a = pickup("a"), b = pickup("b");
  const one_port input = parallel(1_MOhm, 20_pF);
  for (const double f : hz) {
    const complex zi = 1.0 / (1e-6 + s_at(f) * 20e-12);
    for (const one_port& output : {one_port(1_kOhm), short_circuit(), open_circuit()}) {
      CHECK(close(seen(a | buffer(2, input, output), "a", f), zi));
      CHECK(close(seen(a | in_shunt(500_kOhm) | buffer(2, input, output), "a", f), par(zi, 500e3)));
      CHECK(close(seen(a | buffer(2, input, output) | in_series(10_kOhm) | in_shunt(0_Ohm), "a", f), zi));
      CHECK(close(seen(a | buffer(2, input, output) | in_series(0_F), "a", f), zi));
      CHECK(close(seen(a | buffer(2, input, output) | in_shunt(22_nF) | buffer(3, 10_kOhm, 1_kOhm), "a", f),
                  zi));
      CHECK(close(seen(a | buffer(0, input, output) | in_shunt(22_nF), "a", f), zi));
    }
    // A buffered pickup beside a plain one: the plain one sees the buffer's output.
    const source mixed = parallel(a | buffer(1, input, 10_kOhm), b) | in_shunt(1_MOhm);
    CHECK(close(seen(mixed, "a", f), zi));
    CHECK(close(seen(mixed, "b", f), par(10e3, 1e6)));
    CHECK(close(seen(parallel(b, a | buffer(1, input, 10_kOhm)) | in_shunt(1_MOhm), "b", f), par(10e3, 1e6)));
    CHECK(close(seen(a | buffer(1, open_circuit(), 1_kOhm) | in_shunt(1_nF), "a", f), 0) == false);
    CHECK(!ways::is_finite(seen(a | buffer(1, open_circuit(), 1_kOhm), "a", f)));
    CHECK(std::abs(seen(a | buffer(1, short_circuit(), 1_kOhm), "a", f)) == 0.0);
  }
}

TEST_CASE("through a chain matrix, a reversal, and a low-pass on the EMF") {
  // [A n + B d : C n + D d]
  const chain_matrix m{
      .a = {2, 1e-5, 0}, .b = {3e3, 0.2, 0}, .c = {1e-5, 2e-10, 0}, .d = {1.5, 0, 1e-10}, .delta = {7, 0, 0}};
  for (const double f : hz) {
    const complex w = s_at(f), load = 1.0 / (1e-5 + w * 1e-9);
    const complex a = 2.0 + 1e-5 * w, b = 3e3 + 0.2 * w, c = 1e-5 + 2e-10 * w, d = 1.5 + 1e-10 * w * w;
    const source s = pickup("p") | m | in_shunt(parallel(100_kOhm, 1_nF));
    CHECK(close(seen(s, "p", f), (a * load + b) / (c * load + d)));
    circuit filtered = reversed(s).as_circuit();
    emit(filtered, opcode::emf_filter, {1e-4, 0});
    CHECK(close(seen(source(filtered), "p", f), (a * load + b) / (c * load + d)));
  }
  // An EMF that is filtered before its terminals, as a shaded coil's is.
  circuit shaded;
  emit(shaded, opcode::emf, {1.0});
  shaded.emfs.push_back("p");
  emit(shaded, opcode::emf_filter, {1e-4, 1e-9});
  emit(shaded, opcode::series_r, {6e3});
  emit(shaded, opcode::terminals);
  shaded.terminals.push_back("p");
  CHECK(close(seen(source(shaded) | in_shunt(1_nF), "p", 440), 1e9 / s_at(440)));
}

TEST_CASE("several EMFs behind one terminal pair, terminals behind terminals") {
  circuit c = series(pickup("a"), pickup("b", 4)).as_circuit();
  emit(c, opcode::terminals, {}, 2);
  c.terminals.push_back("both");
  const source s = source(c) | in_shunt(47_kOhm);
  for (const double f : hz) {
    CHECK(close(seen(s, "both", f), 47e3));
    CHECK(close(seen(s, "a", f), 47e3 + z_of(f, 4)));
    CHECK(close(seen(s, "b", f), 47e3 + z_of(f)));
  }
  CHECK_THROWS_AS((void)load_seen(s, 3, 1_kHz), invalid_value);
  CHECK_THROWS_AS((void)load_seen(s, 0, 0_Hz), invalid_value);
  CHECK_THROWS_AS((void)load_seen(ideal_emf(1_V), 0, 1_kHz), invalid_value);
}

TEST_CASE("a published network, once as a textbook draws it and once with the tone on the wiper") {
  // Question (no answer printed) at numerade.com 67512: pickup 5.8 H and 11.9 kΩ; volume 243 kΩ and 73 kΩ; tone
  // 142 kΩ and 46 nF; cable 1.8 Ω, 597 pF; amplifier 26 MΩ; 1.5 kHz. The impedances that the EMF sees are computed
  // from the formula.
  const auto emf = [] {
    circuit c;
    emit(c, opcode::emf, {1.0});
    c.emfs.push_back("emf");
    emit(c, opcode::terminals);
    c.terminals.push_back("emf");
    return source(c) | in_series(series(5.8_H, 11.9_kOhm));
  }();
  const one_port tone = series(142_kOhm, 46_nF);
  const stage end = in_series(1.8_Ohm) | in_shunt(parallel(597_pF, 26_MOhm));
  const source before = emf | in_shunt(tone) | in_series(243_kOhm) | in_shunt(73_kOhm) | end;
  const source wiper = emf | in_series(243_kOhm) | in_shunt(73_kOhm) | in_shunt(tone) | end;
  CHECK(close(seen(before, "emf", 1500), {108919.37, 51022.20}, 1e-7));
  CHECK(close(seen(wiper, "emf", 1500), {299615.12, 42308.67}, 1e-7));
  CHECK(std::abs(seen(before, "emf", 1500)) == doctest::Approx(120277.6).epsilon(1e-6));
  CHECK(std::arg(seen(wiper, "emf", 1500)) * 180 / std::numbers::pi == doctest::Approx(8.0376).epsilon(1e-5));
}

namespace {

/// Draws a circuit as a program, and the same as a network, step by step.
class twin {
public:
  twin(dice& d, complex s, bool with_ends) : d_{d}, s_{s}, ends_{with_ends} {}

  /// A source between two nodes of the network. Leaf number `without` is left out of it, `driven` has an EMF.
  source grow(int depth) {
    const std::size_t kind = depth == 0 ? 0 : 1 + d_.below(6);
    plan_.push_back(kind);
    switch (kind) {
    case 0: {
      const double r = d_.spread(1e3, 2e4), l = d_.spread(0.5, 8), c = d_.spread(5e-11, 5e-10);
      draws_.push_back(r + s_ * l);
      draws_.push_back(1.0 / (s_ * c));
      const std::string name = std::to_string(leaves_++);
      circuit p;
      emit(p, opcode::emf, {1.0});
      p.emfs.push_back(name);
      emit(p, opcode::series_r, {r});
      emit(p, opcode::series_l, {l});
      emit(p, opcode::shunt_c, {c});
      emit(p, opcode::terminals);
      p.terminals.push_back(name);
      return source(p);
    }
    case 1: {
      const source a = grow(depth - 1);
      return series(a, grow(depth - 1));
    }
    case 2: {
      const source a = grow(depth - 1);
      return parallel(a, grow(depth - 1));
    }
    case 3: {
      const source a = grow(depth - 1);
      return a | in_series(part());
    }
    case 4: {
      const source a = grow(depth - 1);
      return a | in_shunt(part());
    }
    case 5: {
      const source a = grow(depth - 1);
      return reversed(a);
    }
    default: {
      const source a = grow(depth - 1);
      const double gain = d_.between(-3, 3), out = d_.spread(100, 1e4);
      const one_port in = part(false); // at an open input the network has no answer of its own
      draws_.push_back(gain);
      draws_.push_back(out);
      return a | buffer(gain, in, resistance::from_value(out));
    }
    }
  }

  /// The network: leaf `without` replaced by 1 A into its terminals (its voltage is the load), or leaf `driven` with
  /// its EMF, or 1 A into the output.
  struct answer {
    complex output, terminals;
  };
  [[nodiscard]] answer solve(std::optional<std::size_t> without, std::optional<std::size_t> driven,
                             bool inject) {
    at_plan_ = at_draw_ = at_leaf_ = 0;
    nodal net;
    const std::size_t hot = net.node();
    std::size_t plus = 0, minus = 0;
    build(net, hot, 0, without, driven, plus, minus);
    if (inject) net.inject(hot, 1);
    const std::vector<complex> v = net.solve();
    return {v[hot], v[plus] - v[minus]};
  }
  [[nodiscard]] std::size_t leaves() const { return leaves_; }

private:
  one_port part(bool may_be_open = true) {
    const std::size_t kind = d_.below(ends_ ? (may_be_open ? 7 : 6) : 5);
    const double r = d_.spread(1e3, 1e6), l = d_.spread(0.1, 5), c = d_.spread(5e-11, 5e-8);
    if (kind == 5) {
      draws_.push_back(0);
      return short_circuit();
    }
    if (kind == 6) {
      draws_.push_back(open);
      return open_circuit();
    }
    const std::pair<one_port, complex> some[] = {
        {resistance::from_value(r), r},
        {capacitance::from_value(c), 1.0 / (s_ * c)},
        {inductance::from_value(l), s_ * l},
        {series(resistance::from_value(r), capacitance::from_value(c)), r + 1.0 / (s_ * c)},
        {parallel(resistance::from_value(r), capacitance::from_value(c)), 1.0 / (1 / r + s_ * c)}};
    draws_.push_back(some[kind].second);
    return some[kind].first;
  }

  void build(nodal& net, std::size_t a, std::size_t b, std::optional<std::size_t> without,
             std::optional<std::size_t> driven, std::size_t& plus, std::size_t& minus) {
    const double tiny = ends_ ? 1e-7 : 0;
    const auto place = [&](std::size_t x, std::size_t y, complex z) {
      if (z != open) net.branch(x, y, z + tiny, 0);
    };
    const auto within = [&](std::size_t x, std::size_t y) { build(net, x, y, without, driven, plus, minus); };
    if (ends_) net.admittance(a, b, 1e-22); // what hangs in the air has no voltage of its own, by rule
    switch (plan_[at_plan_++]) {
    case 0: {
      const std::size_t leaf = at_leaf_++;
      const complex z = draws_[at_draw_++], c = draws_[at_draw_++];
      if (leaf == without) {
        net.inject(a, 1);
        net.inject(b, -1);
        plus = a;
        minus = b;
        net.admittance(a, b, 1e-22);
        return;
      }
      net.branch(a, b, z, leaf == driven ? 1 : 0);
      net.impedance(a, b, c);
      return;
    }
    case 1: {
      // The first of two in series is the lower one, as the plan has it; which one does not matter to either load.
      const std::size_t m = net.node();
      within(m, b);
      within(a, m);
      return;
    }
    case 2:
      within(a, b);
      within(a, b);
      return;
    case 3: {
      const std::size_t m = net.node();
      within(m, b);
      place(a, m, draws_[at_draw_++]);
      return;
    }
    case 4:
      within(a, b);
      place(a, b, draws_[at_draw_++]);
      return;
    case 5: within(b, a); return;
    default: {
      const std::size_t m = net.node();
      within(m, b);
      place(m, b, draws_[at_draw_++]);
      const double gain = draws_[at_draw_++].real();
      net.amplifier(a, b, m, gain, draws_[at_draw_++]);
      return;
    }
    }
  }

  static constexpr complex open{-1, -1};
  dice& d_;
  complex s_;
  bool ends_;
  std::vector<std::size_t> plan_;
  std::vector<complex> draws_;
  std::size_t leaves_ = 0, at_plan_ = 0, at_draw_ = 0, at_leaf_ = 0;
};

struct tally {
  double worst = 0;
  int finite = 0, none = 0;
  void add(complex is, complex expected, double floor) {
    if (std::abs(expected) > 1e12) {
      ++none;
      if (ways::is_finite(is) && std::abs(is) < 1e12) worst = 1e300;
      return;
    }
    ++finite;
    worst =
        std::max(worst, ways::is_finite(is) ? std::abs(is - expected) / (std::abs(expected) + floor) : 1e300);
  }
};

} // namespace

TEST_CASE("random circuits: loads, responses and output impedances as the network has them") {
  dice d(7);
  tally load, response_, impedance_;
  for (int i = 0; i < 400; ++i) {
    const double f = d.spread(20, 2e4);
    twin t(d, s_at(f), false);
    const source s = t.grow(4);
    for (std::size_t k = 0; k < t.leaves(); ++k) {
      load.add(load_seen(s, k, ways::hertz(f)).value(), t.solve(k, {}, false).terminals, 1);
      response_.add(response(s, k, ways::hertz(f)), t.solve({}, k, false).output, 1e-3);
    }
    impedance_.add(output_impedance(s, ways::hertz(f)).value(), t.solve({}, {}, true).output, 1);
  }
  MESSAGE("loads: worst " << load.worst << " of " << load.finite << "; responses: " << response_.worst
                          << " of " << response_.finite << "; impedances: " << impedance_.worst);
  CHECK(load.finite > 1000);
  CHECK(load.none > 10);
  CHECK(load.worst <= 1e-13);
  CHECK(response_.worst <= 1e-13);
  CHECK(impedance_.worst <= 1e-13);
}

TEST_CASE("random circuits with shorts and opens anywhere") {
  dice d(8);
  tally load, response_, impedance_;
  int composed = 0;
  for (int i = 0; i < 600; ++i) {
    const double f = d.spread(20, 2e4);
    twin t(d, s_at(f), true);
    const source s = t.grow(4);
    const complex z = t.solve({}, {}, true).output;
    for (std::size_t k = 0; k < t.leaves(); ++k) {
      CAPTURE(i);
      load.add(load_seen(s, k, ways::hertz(f)).value(), t.solve(k, {}, false).terminals, 1e3);
      const complex h = std::abs(z) > 1e12 ? 0 : t.solve({}, k, false).output; // 0 V at an open end, by rule
      response_.add(response(s, k, ways::hertz(f)), h, 1);
      response_.add(ways::by_block(s, k, f), h, 1);
      try {
        response_.add(ways::by_transfer(s, k, f), h, 1);
        ++composed;
      } catch (const capacity_exceeded&) { // some of these have sixteen coils
      }
    }
    impedance_.add(output_impedance(s, ways::hertz(f)).value(), z, 1e3);
  }
  MESSAGE("loads: worst " << load.worst << " of " << load.finite << ", none " << load.none
                          << "; responses: " << response_.worst << " of " << response_.finite
                          << "; impedances: " << impedance_.worst << " of " << impedance_.finite << ", none "
                          << impedance_.none);
  CHECK(composed > 1000);
  CHECK(load.none > 100);
  CHECK(impedance_.none > 20);
  CHECK(load.worst <= 1e-6);
  CHECK(response_.worst <= 1e-6);
  CHECK(impedance_.worst <= 1e-6);
}

TEST_CASE("a long way behind the terminals: numbers far from one leave the load as it is") {
  // Each section multiplies both answers by some 2^8 to 2^17, past the 2^80 at which an evaluation takes a power of two
  // out; the resistor in front lets one answer get there first. n sections side by side are an nth of one.
  source s = pickup("p") | in_series(100_MOhm);
  for (int n = 1; n <= 28; ++n) {
    s = s | in_shunt(series(10_MOhm, 100_nF));
    for (const double f : hz)
      CHECK(close(seen(s, "p", f), 100e6 + (10e6 + 1.0 / (s_at(f) * 100e-9)) / static_cast<double>(n)));
  }
}

TEST_CASE("ideal sources beside a pickup are at rest, and contradict nobody") {
  const source a = pickup("a"), e = ideal_emf(1_V, "e"), i = ideal_current(1_mA, "i");
  const source stiff = pickup("b") | buffer(1, 1_MOhm, short_circuit());
  for (const double f : hz) {
    for (const source& s : {parallel(a, e), parallel(e, a), parallel(a, stiff), parallel(stiff, a)})
      CHECK(seen(s, "a", f) == 0.0);
    for (const source& s : {parallel(a | in_series(1_kOhm), e), parallel(e, a | in_series(1_kOhm))})
      CHECK(close(seen(s, "a", f), 1e3));
    for (const source& s : {series(a, e) | in_shunt(1_kOhm), series(e, a) | in_shunt(1_kOhm)})
      CHECK(close(seen(s, "a", f), 1e3));
    for (const source& s : {series(a, e) | in_shunt(0_Ohm), series(e, a) | in_shunt(0_H),
                            series(a, e) | buffer(1, short_circuit(), 1_kOhm)})
      CHECK(std::abs(seen(s, "a", f)) == 0.0);
    for (const source& s :
         {series(a, i) | in_shunt(1_kOhm), series(i, a) | in_shunt(1_kOhm),
          parallel(a, i) | in_series(open_circuit()), parallel(i, a) | buffer(1, open_circuit(), 1_kOhm)})
      CHECK(!ways::is_finite(seen(s, "a", f)));
    // Two that do contradict each other are refused here as they are elsewhere.
    CHECK_THROWS_AS((void)seen(parallel(a, e, ideal_emf(2_V, "f")), "a", f), conflicting_sources);
    CHECK_THROWS_AS((void)seen(parallel(ideal_emf(2_V, "f"), e, a), "a", f), conflicting_sources);
    CHECK_THROWS_AS((void)seen(series(a, i, ideal_current(2_mA, "f")), "a", f), conflicting_sources);
  }
}
