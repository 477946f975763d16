// SPDX-License-Identifier: BSL-1.0
#pragma once

#include "../circuits.hpp"

/// The circuits by impedances and voltage dividers, as a textbook writes them. Complex: any type with + - * / by its kind
/// and by double, for which `inductor(w, l)`, `capacitor(w, c)` give jωL and 1/(jωC). Inlined by force: a compiler
/// vectorises the loop over frequencies only if nothing in it is called.
namespace bench {

template <class Complex>
[[gnu::always_inline]] inline Complex beside(Complex a, Complex b) {
  return a * b / (a + b);
}

/// Open-circuit voltage and impedance.
template <class Complex>
struct thevenin {
  Complex e, z;
};

template <class Shape, class Complex>
[[gnu::always_inline]] inline thevenin<Complex> of_coil(const coil_values& c, double w) {
  Complex winding = c.r + inductor<Complex>(w, c.l);
  if constexpr (Shape::eddy) winding = winding + beside(inductor<Complex>(w, c.eddy_l), Complex{c.eddy_r, 0});
  const Complex across = capacitor<Complex>(w, c.c);
  return {across / (winding + across), beside(winding, across)};
}

template <class Shape, class Complex>
[[gnu::always_inline]] inline thevenin<Complex> at_wiper(const pickup_values& p, double w) {
  thevenin<Complex> all = of_coil<Shape, Complex>(p.coils[0], w);
  if constexpr (Shape::coils == 2) {
    const thevenin<Complex> second = of_coil<Shape, Complex>(p.coils[1], w);
    all = {all.e + second.e, all.z + second.z};
  }
  Complex across = p.tone_r + capacitor<Complex>(w, p.tone_c);
  if constexpr (Shape::lead) across = beside(across, capacitor<Complex>(w, p.lead_c));
  all.e = all.e * (across / (all.z + across));
  all.z = beside(all.z, across) + beside(Complex{p.upper, 0}, capacitor<Complex>(w, p.bypass));
  const Complex lower{p.lower, 0};
  all.e = all.e * (p.lower / (all.z + lower));
  all.z = beside(all.z, lower);
  return all;
}

template <class Shape, class Complex>
[[gnu::always_inline]] inline Complex at_output(const circuit_values& v, double w) {
  if constexpr (Shape::pickups == 1 && !Shape::eddy) { // a chain of voltage dividers
    const pickup_values& p = v.pickups[0];
    const coil_values& coil = p.coils[0];
    const double lowest = p.lower * v.input_r / (p.lower + v.input_r);
    const Complex load = beside(Complex{lowest, 0}, capacitor<Complex>(w, v.cable_c));
    const Complex control = beside(Complex{p.upper, 0}, capacitor<Complex>(w, p.bypass)) + load;
    const Complex tone = p.tone_r + capacitor<Complex>(w, p.tone_c);
    const Complex all = beside(beside(control, tone), capacitor<Complex>(w, coil.c));
    return all / (all + (coil.r + inductor<Complex>(w, coil.l))) * (load / control);
  } else {
    Complex current{0, 0}, admittance{0, 0};
    const auto add = [&](const pickup_values& p) __attribute__((always_inline)) {
      const thevenin<Complex> t = at_wiper<Shape, Complex>(p, w);
      current = current + t.e / t.z;
      admittance = admittance + 1.0 / t.z;
    };
    add(v.pickups[0]);
    if constexpr (Shape::pickups > 1) add(v.pickups[1]);
    if constexpr (Shape::pickups > 2) add(v.pickups[2]), add(v.pickups[3]);
    const Complex input = beside(Complex{v.input_r, 0}, capacitor<Complex>(w, v.input_c));
    Complex load = input, divided{1, 0};
    if constexpr (Shape::master) {
      load = input + capacitor<Complex>(w, v.coupling_c);
      divided = input / load;
      load = beside(load, v.master_r + capacitor<Complex>(w, v.master_c));
    }
    load = beside(load, capacitor<Complex>(w, v.cable_c));
    return current / (admittance + 1.0 / load) * divided;
  }
}

} // namespace bench
