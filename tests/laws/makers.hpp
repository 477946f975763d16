// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/parts/active_pickup.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/capacitor.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/parts/piezo.hpp>
#include <lodewire/parts/potentiometer.hpp>

#include "../circuit/random_circuit.hpp"
#include "circuits.hpp"

/// Parts with values of guitar size, drawn at random, so that no value is like another. What is drawn first
/// is written first: the order of arguments is the compiler's choice.
namespace laws {

using ways::dice;

inline resistance ohms(dice& d, double low, double high) {
  return resistance::from_value(d.spread(low, high));
}
inline inductance henries(dice& d, double low, double high) {
  return inductance::from_value(d.spread(low, high));
}
inline capacitance farads(dice& d, double low, double high) {
  return capacitance::from_value(d.spread(low, high));
}
inline rotation somewhere(dice& d) { return rotation(d.between(0.05, 0.95)); }

// -- one-ports
// -------------------------------------------------------------------------------------------------
inline one_port some_r(dice& d) { return ohms(d, 1e3, 1e6); }
inline one_port some_l(dice& d) { return henries(d, 0.1, 8); }
inline one_port some_c(dice& d) { return farads(d, 3e-11, 5e-8); }
inline one_port some_power_law(dice& d) {
  const auto k = ohms(d, 10, 1e4);
  return power_law(k, d.between(-0.9, 0.9));
}
inline one_port some_capacitor(dice& d) {
  return capacitor{.capacitance = farads(d, 1e-9, 1e-7), .loss_tangent = d.between(0.001, 0.1)};
}
inline one_port some_polyester(dice& d) { return capacitor_of(dielectric::polyester, farads(d, 1e-9, 1e-7)); }
inline one_port some_bleed(dice& d) {
  const auto c = farads(d, 2e-10, 2e-9);
  return parallel(c, ohms(d, 5e4, 3e5));
}
inline one_port some_trap(dice& d) {
  const auto r = some_r(d), l = some_l(d);
  return series(r, l, some_c(d));
}
inline one_port some_tree(dice& d, int depth = 3) {
  const std::size_t kind = d.below(depth > 0 ? 5 : 3);
  if (kind == 0) return some_r(d);
  if (kind == 1) return some_l(d);
  if (kind == 2) return some_c(d);
  const one_port a = some_tree(d, depth - 1), b = some_tree(d, depth - 1);
  return kind == 3 ? series(a, b) : parallel(a, b);
}

// -- potentiometers
// --------------------------------------------------------------------------------------------
inline potentiometer some_pot(dice& d) { return {.total = ohms(d, 2e4, 1e6), .law = audio_taper}; }
/// Something soldered between every two lugs.
inline potentiometer_wiring some_wiring(dice& d) {
  return {.bleed = some_bleed(d), .across_track = some_c(d), .wiper_to_low = some_r(d)};
}
inline one_port some_rheostat(dice& d) { return some_pot(d).as_rheostat(somewhere(d), lugs::one_two); }
inline one_port some_rheostat_23(dice& d) { return some_pot(d).as_rheostat(somewhere(d), lugs::two_three); }
inline one_port some_wired_rheostat(dice& d) {
  const auto with = some_wiring(d);
  return some_pot(d).as_rheostat(somewhere(d), lugs::one_two, with);
}
inline stage some_divider(dice& d) { return some_pot(d).as_divider(somewhere(d)); }
inline stage some_reversed_divider(dice& d) { return some_pot(d).as_reversed_divider(somewhere(d)); }
inline stage some_wired_divider(dice& d) {
  const auto with = some_wiring(d);
  return some_pot(d).as_divider(somewhere(d), with);
}
inline stage some_wired_reversed_divider(dice& d) {
  const auto with = some_wiring(d);
  return some_pot(d).as_reversed_divider(somewhere(d), with);
}

// -- sources
// ---------------------------------------------------------------------------------------------------
inline source some_emf(dice& d) {
  const double e = d.between(-2, 2);
  return source(emf_behind(some_r(d).as_circuit(), e));
}
inline source some_current(dice& d) {
  const auto i = current::from_value(d.between(1e-6, 1e-3));
  return ideal_current(i) | in_shunt(some_r(d));
}
inline magnetic_coil some_coil(dice& d, std::size_t eddy = 0) {
  magnetic_coil coil{.inductance = henries(d, 1, 8),
                     .resistance = ohms(d, 3e3, 15e3),
                     .capacitance = farads(d, 5e-11, 2e-10)};
  for (std::size_t k = 0; k < eddy; ++k)
    coil.eddy[k] = {.inductance = henries(d, 0.1, 1), .resistance = ohms(d, 5e3, 2e5)};
  coil.emf = voltage::from_value(d.between(0.3, 2));
  return coil;
}
inline source some_shaded_coil(dice& d) {
  magnetic_coil coil = some_coil(d, 1);
  coil.emf_corner = ways::hertz(d.spread(2e3, 2e4));
  coil.parallel_loss = ohms(d, 2e5, 2e6);
  return coil;
}
inline source some_reversed_coil(dice& d) {
  magnetic_coil coil = reversed(some_coil(d));
  coil.end_to_ground = farads(d, 1e-11, 1e-10);
  coil.start_to_ground = farads(d, 1e-11, 1e-10);
  coil.lead = {.length = length::from_value(0.4), .capacitance = capacitance_per_length::from_value(3e-10)};
  return coil;
}
/// The second coil is wound the other way; each has a capacitance of its own to ground.
inline coil_pair some_pair(dice& d, std::size_t eddy = 0) {
  const auto first = some_coil(d, eddy), second = some_coil(d);
  coil_pair pair = humbucking_pair(first, second, d.between(-0.8, 0.8));
  pair.first.name = "first";
  pair.second.name = "second";
  pair.between = farads(d, 1e-12, 5e-11);
  return pair;
}
inline source some_split_pair(dice& d) {
  return some_pair(d, 1).as_single(which_coil::first, idle_coil::open());
}
inline source some_shorted_pair(dice& d) {
  return some_pair(d).as_single(which_coil::second, idle_coil::shorted());
}
inline source some_bypassed_pair(dice& d) {
  coil_pair pair = some_pair(d);
  pair.second.emf_corner = ways::hertz(d.spread(2e3, 2e4));
  pair.first.end_to_ground = farads(d, 1e-11, 1e-10);
  return pair.as_single(which_coil::first, idle_coil::bypassed(ohms(d, 1e3, 1e4)));
}
inline source some_piezo(dice& d) { return piezo{.capacitance = farads(d, 3e-10, 3e-9)}; }
inline source some_active_pickup(dice& d) { return active_pickup{.output_resistance = ohms(d, 1e3, 2e4)}; }
inline source some_limited_pickup(dice& d) {
  return active_pickup{
      .limit = band_limit{.corner = ways::hertz(d.spread(3e3, 2e4)), .quality = d.between(0.5, 3)}};
}
inline source some_source(dice& d, const ways::variety& v) {
  return ways::circuit_maker(static_cast<std::uint64_t>(d() * 0x1p40), v)(4);
}

// -- stages
// ----------------------------------------------------------------------------------------------------
inline stage some_tone_control(dice& d) {
  const auto r = some_rheostat(d);
  return in_shunt(series(r, farads(d, 5e-9, 5e-8)));
}
inline cable some_cable(dice& d) {
  return {.length = length::from_value(d.between(1, 10)),
          .capacitance = capacitance_per_length::from_value(1e-10)};
}
inline stage some_lossy_cable(dice& d) {
  cable c = some_cable(d);
  c.resistance = resistance_per_length::from_value(d.spread(0.05, 0.5));
  c.inductance = inductance_per_length::from_value(d.spread(3e-7, 8e-7));
  return c;
}
inline stage some_input(dice& d) { return input{.resistance = ohms(d, 2e5, 1e6)}; }
inline stage some_stopped_input(dice& d) {
  return input{
      .resistance = ohms(d, 2e5, 1e6), .capacitance = farads(d, 2e-11, 2e-10), .stopper = ohms(d, 1e4, 1e5)};
}
inline stage some_transformer(dice& d) {
  const double n = d.between(0.5, 5);
  return chain_matrix{.a = {n, 0, 0}, .d = {1 / n, 0, 0}};
}
/// A coil with its resistance in the lead, then a resistor across.
inline stage some_rl_matrix(dice& d) {
  const double r = d.spread(100, 1e4), l = d.between(1, 5), g = 1 / d.spread(1e5, 1e6);
  return chain_matrix{.a = {1 + r * g, l * g, 0}, .b = {r, l, 0}, .c = {g, 0, 0}};
}
/// A capacitor in the lead, which needs the denominator.
inline stage some_c_matrix(dice& d) {
  const double c = d.spread(1e-10, 1e-8);
  return chain_matrix{.a = {0, c, 0}, .b = {1, 0, 0}, .d = {0, c, 0}, .delta = {0, c, 0}};
}
inline stage some_gyrator(dice& d) { return gyrator(d.spread(1e3, 1e5)); }
inline stage some_active_matrix(dice& d) {
  const double t = d.spread(1e-6, 1e-4), a = d.between(0.1, 0.5), b = d.spread(10, 1e3);
  const double c = 1 / d.spread(1e6, 1e7), e = d.between(0.01, 0.1);
  return chain_matrix{.a = {a, t, 0}, .b = {b, 0, 0}, .c = {c, 0, 0}, .d = {e, 0, 0}, .delta = {1, t, t * t}};
}
inline stage some_buffer(dice& d) {
  const double gain = d.between(-4, 4);
  const one_port r = ohms(d, 1e5, 2e6), c = farads(d, 1e-11, 1e-10);
  return buffer(gain, parallel(r, c), ohms(d, 100, 2e4));
}
inline stage some_controls(dice& d) {
  const stage tone = some_tone_control(d), volume = some_divider(d), lead = some_cable(d);
  return tone | volume | lead | stage(input{});
}

} // namespace laws
