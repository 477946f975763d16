// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/parts/potentiometer.hpp>

#include "../circuit/ways.hpp"

/// Circuits drawn at random from what lies on a bench: pickups and other sources, their controls, joins, amplifiers,
/// cables. Values are log-uniform; potentiometers stand anywhere from end to end and often at an end; now and then a
/// part is a short or an open. One seed makes one circuit.
namespace oracle {

/// Coils and capacitors of a program that are not 0; a chain matrix counts by its degree.
[[nodiscard]] inline std::size_t reactive_parts(const lodewire::circuit& c) {
  std::size_t n = 0;
  for (const lodewire::instruction i : c.code) {
    const auto is = [&](std::size_t k) { return c.values[i.slot + k] != 0; };
    switch (i.op) {
      using enum lodewire::opcode;
    case inductor:
    case capacitor:
    case series_l:
    case series_c:
    case shunt_l:
    case shunt_c: n += is(0) ? 1U : 0U; break;
    case coil_pair: n += is(1) ? 1U : 0U; break;
    case chain: {
      std::size_t degree = 0;
      for (std::size_t k = 0; k < 15; ++k)
        if (is(k)) degree = std::max(degree, k % 3);
      n += degree;
      break;
    }
    default: break;
    }
  }
  return n;
}

class bench {
public:
  explicit bench(std::uint64_t seed) : d_{scrambled(seed)} {}

  /// A circuit of at most this many reactive parts, as a rule of just so many.
  [[nodiscard]] lodewire::source draw(std::size_t reactive) {
    left_ = reactive;
    const bool twins = odds(0.05);
    lodewire::source s = branches(twins ? reactive / 2 : reactive - reactive / 3);
    if (twins) s = beside_its_twin(s);
    for (std::size_t steps = 0; left_ > 0 || steps < 2; ++steps) s = s | step();
    return s;
  }
  /// One of 1 to `most` reactive parts.
  [[nodiscard]] lodewire::source draw_up_to(std::size_t most) { return draw(1 + d_.below(most)); }

  /// From 20 Hz to 20 kHz, both with the ends and in equal ratios in between.
  [[nodiscard]] std::vector<double> frequencies(std::size_t count) {
    std::vector<double> hz{20, 2e4};
    while (hz.size() < count) hz.push_back(d_.spread(20, 2e4));
    return hz;
  }

private:
  using source = lodewire::source;
  using stage = lodewire::stage;
  using one_port = lodewire::one_port;

  // Neighbouring seeds of `dice` give one stream, shifted.
  [[nodiscard]] static std::uint64_t scrambled(std::uint64_t z) {
    z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U + 0x632be59bd9b4e019U;
    z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
    return z ^ (z >> 31U);
  }
  [[nodiscard]] bool odds(double chance) { return d_() < chance; }
  void spend(std::size_t n) { left_ -= std::min(left_, n); }

  // -- values ----------------------------------------------------------------------------------------------
  [[nodiscard]] lodewire::resistance ohm(double low = 1, double high = 2.2e7) {
    return lodewire::resistance::from_value(d_.spread(low, high));
  }
  [[nodiscard]] lodewire::inductance henry(double low = 1e-3, double high = 20) {
    spend(1);
    return lodewire::inductance::from_value(d_.spread(low, high));
  }
  [[nodiscard]] lodewire::capacitance farad(double low = 1e-12, double high = 1e-5) {
    spend(1);
    return lodewire::capacitance::from_value(d_.spread(low, high));
  }
  [[nodiscard]] lodewire::rotation turned() {
    const double at = d_(), near = d_.spread(1e-4, 0.1);
    if (at < 0.15) return lodewire::rotation(0);
    if (at < 0.3) return lodewire::rotation(1);
    if (at < 0.4) return lodewire::rotation(near);
    if (at < 0.5) return lodewire::rotation(1 - near);
    return lodewire::rotation(d_());
  }

  // -- one-ports -------------------------------------------------------------------------------------------
  [[nodiscard]] one_port part() {
    if (odds(0.05)) { // a fault or a wire
      switch (d_.below(4)) {
      case 0: return lodewire::short_circuit();
      case 1: return lodewire::open_circuit();
      case 2: return lodewire::inductance{};
      default: return lodewire::capacitance{};
      }
    }
    const std::size_t kind = left_ > 0 ? d_.below(3) : 0;
    if (kind == 1) return henry();
    if (kind == 2) return farad();
    return ohm();
  }
  /// Parts in series and in parallel, nested.
  [[nodiscard]] one_port network(int depth) {
    if (depth == 0 || odds(0.5)) return part();
    const one_port a = network(depth - 1), b = network(depth - 1);
    return odds(0.5) ? series(a, b) : parallel(a, b);
  }
  /// A resistance and a capacitor in series or in parallel, the usual values.
  [[nodiscard]] one_port usual_rc(bool in_series) {
    const one_port r = ohm(1e3, 1e6);
    if (left_ == 0) return r;
    const one_port c = farad(5e-11, 1e-7);
    return in_series ? series(r, c) : parallel(r, c);
  }
  [[nodiscard]] lodewire::potentiometer pot() {
    lodewire::potentiometer p{.total = ohm(1e4, 2.5e6)};
    if (odds(0.5)) p.law = lodewire::audio_taper;
    if (odds(0.35)) p.end_resistance = lodewire::resistance{};
    p.cut_at_full = odds(0.2);
    return p;
  }

  // -- sources ---------------------------------------------------------------------------------------------
  [[nodiscard]] lodewire::magnetic_coil winding(std::size_t left) {
    lodewire::magnetic_coil coil{.inductance = henry(0.3, 12), .resistance = ohm(500, 3e4)};
    coil.emf = lodewire::voltage::from_value(d_.between(0.2, 2));
    if (odds(0.5)) coil.magnet = lodewire::magnet_sense::south_up;
    if (left > 1 && odds(0.8)) coil.capacitance = farad(1e-11, 5e-10);
    if (left > 2 && odds(0.4)) coil.eddy[0] = {.inductance = henry(0.05, 3), .resistance = ohm(1e3, 3e5)};
    if (odds(0.3)) coil.parallel_loss = ohm(5e4, 5e6);
    if (odds(0.2)) coil.emf_corner = lodewire::frequency::from_value(d_.spread(1e3, 1e5));
    return coil;
  }
  [[nodiscard]] source pickup() {
    const std::size_t left = left_;
    const double kind = d_();
    if (kind < 0.25 && left >= 4) {
      lodewire::coil_pair pair{.first = winding(left / 2), .second = winding(left / 2)};
      pair.first.name = "coil 1";
      pair.second.name = "coil 2";
      pair.coupling = odds(0.3) ? 0 : d_.between(-0.95, 0.95);
      if (left_ > 0 && odds(0.3)) pair.between = farad(1e-12, 2e-10);
      switch (d_.below(7)) {
      case 0:
      case 1: return pair.as_series();
      case 2: return pair.as_parallel();
      case 3: return pair.as_series_out_of_phase();
      case 4: return pair.as_parallel_out_of_phase();
      case 5: return pair.as_single(lodewire::which_coil::second, lodewire::idle_coil::shorted());
      default: return pair.as_single(lodewire::which_coil::first, lodewire::idle_coil::open());
      }
    }
    if (kind < 0.33 && left >= 1) { // a slab that pushes charge
      const one_port c = farad(1e-10, 1e-7), r = ohm(1e5, 2.2e7);
      return lodewire::ideal_current(lodewire::current::from_value(d_.spread(1e-8, 1e-5))) |
             in_shunt(parallel(c, r));
    }
    if (kind < 0.43 || left == 0) { // an amplifier's output
      const one_port r = ohm(10, 3e4);
      return lodewire::ideal_emf(lodewire::voltage::from_value(d_.between(-2, 2))) | in_series(r);
    }
    return winding(left);
  }
  /// Any source, its own controls behind it, of at most `share` reactive parts.
  [[nodiscard]] source branch(std::size_t share) {
    const std::size_t all = left_;
    const std::size_t kept = all - std::min(all, share);
    left_ = all - kept;
    source s = pickup();
    while (left_ > 0 && odds(0.7)) s = s | step();
    if (odds(0.4)) s = s | volume();
    if (odds(0.25)) s = reversed(s);
    left_ += kept;
    return s;
  }
  [[nodiscard]] source branches(std::size_t share) {
    const std::size_t count = odds(0.35) ? 1 : 2 + d_.below(2);
    source s = branch(share / count);
    for (std::size_t k = 1; k < count; ++k) {
      const source other = branch(share / count);
      s = odds(0.4) ? series(s, other) : parallel(s, other);
    }
    return s;
  }
  /// The same once more with every value off by a part in 10⁶ or less, against the first: what is left of the sum is
  /// six digits smaller than what makes it.
  [[nodiscard]] source beside_its_twin(const source& s) {
    lodewire::circuit twin = s.as_circuit();
    for (double& v : twin.values)
      if (!lodewire::is_open(v)) v *= 1 + d_.between(-1e-6, 1e-6);
    const source other = reversed(source(twin));
    spend(reactive_parts(twin));
    return odds(0.5) ? series(s, other) : parallel(s, other);
  }

  // -- stages ----------------------------------------------------------------------------------------------
  [[nodiscard]] stage volume() {
    lodewire::potentiometer_wiring with;
    if (odds(0.25)) with.bleed = usual_rc(odds(0.5));
    if (odds(0.1)) with.across_track = ohm(1e4, 1e6);
    if (odds(0.1)) with.wiper_to_low = ohm(1e3, 1e6);
    const lodewire::potentiometer p = pot();
    return odds(0.5) ? p.as_divider(turned(), with) : p.as_reversed_divider(turned(), with);
  }
  [[nodiscard]] stage step() {
    switch (d_.below(14)) {
    case 0: return lodewire::in_series(part());
    case 1: return lodewire::in_shunt(part());
    case 2: return lodewire::in_series(network(2));
    case 3:
    case 4: return lodewire::in_shunt(network(2));
    case 5: return lodewire::in_series(usual_rc(false));
    case 6: return lodewire::in_shunt(usual_rc(true));
    case 7:
    case 8: return volume();
    case 9: { // tone
      const lodewire::lugs in_use = odds(0.5) ? lodewire::lugs::one_two : lodewire::lugs::two_three;
      const one_port track = pot().as_rheostat(turned(), in_use);
      return lodewire::in_shunt(left_ > 0 ? series(track, one_port(farad(1e-10, 1e-7))) : track);
    }
    case 10: {
      const double metres = d_.between(0.3, 12);
      return lodewire::cable{.length = lodewire::length::from_value(left_ > 0 ? metres : 0),
                             .capacitance =
                                 lodewire::capacitance_per_length::from_value(farad(3e-11, 3e-10).value())};
    }
    case 11: {
      const bool capacitive = left_ > 0 && odds(0.6);
      return lodewire::input{.resistance = ohm(1e4, 2e7),
                             .capacitance = capacitive ? farad(1e-12, 1e-9) : lodewire::capacitance{}};
    }
    case 12: {
      const one_port in = odds(0.5) ? one_port(ohm(1e4, 1e7)) : network(1);
      const one_port out = odds(0.8) ? one_port(ohm(1, 1e5)) : network(1);
      return lodewire::buffer(d_.between(-10, 10), in, out);
    }
    default: return matrix();
    }
  }
  /// A T of resistors, an ideal transformer before it, and a first-order corner common to all entries or to some.
  [[nodiscard]] stage matrix() {
    const double r = d_.spread(10, 1e5), g = 1 / d_.spread(1e4, 1e7), turns = d_.spread(0.1, 10);
    const double t = left_ > 0 ? d_.spread(1e-6, 1e-3) : 0,
                 t2 = left_ > 1 && odds(0.5) ? d_.spread(1e-11, 1e-7) : 0;
    spend(t2 != 0 ? 2 : 1);
    return lodewire::chain_matrix{.a = {turns * (1 + r * g), turns * t, 0},
                                  .b = {turns * r, 0, odds(0.5) ? r * t2 : 0},
                                  .c = {g / turns, g * t, g * t2},
                                  .d = {1 / turns, odds(0.5) ? t : 0, 0},
                                  .delta = {1, t, odds(0.5) ? t2 : 0}};
  }

  ways::dice d_;
  std::size_t left_ = 0;
};

} // namespace oracle
