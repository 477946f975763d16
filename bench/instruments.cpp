// SPDX-License-Identifier: BSL-1.0
#include "instruments.hpp"

#include <string>
#include <vector>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/quantity/literals.hpp>

namespace bench {

namespace {

using namespace lodewire;
using namespace lodewire::literals;

resistance ohms(double r) { return resistance::from_value(r); }
inductance henries(double l) { return inductance::from_value(l); }
capacitance farads(double c) { return capacitance::from_value(c); }

magnetic_coil coil(const coil_values& c, bool eddy) {
  magnetic_coil made{.inductance = henries(c.l), .resistance = ohms(c.r), .capacitance = farads(c.c)};
  if (eddy) made.eddy[0] = {.inductance = henries(c.eddy_l), .resistance = ohms(c.eddy_r)};
  return made;
}

/// Both legs by their values, under the name that `turn` looks for.
stage volume_legs(const pickup_values& p, bool named) {
  const potentiometer pot{.total = ohms(p.upper + p.lower), .name = named ? "volume" : ""};
  stage made = pot.as_divider(knob(10), {.bleed = farads(p.bypass)});
  circuit c = made.as_circuit();
  c.values[0] = p.upper; // put there first, upper then lower
  c.values[1] = p.lower;
  return stage(std::move(c));
}

template <class Shape>
source at_wiper(const pickup_values& p, bool named) {
  source pickup = coil(p.coils[0], Shape::eddy);
  if (Shape::coils == 2) pickup = series(pickup, source(coil(p.coils[1], Shape::eddy)));
  if (Shape::lead) pickup = pickup | in_shunt(farads(p.lead_c));
  return pickup | in_shunt(series(ohms(p.tone_r), farads(p.tone_c))) | volume_legs(p, named);
}

template <class Shape>
source whole(const circuit_values& v) {
  source all = at_wiper<Shape>(v.pickups[0], true);
  for (std::size_t k = 1; k < Shape::pickups; ++k) all = parallel(all, at_wiper<Shape>(v.pickups[k], false));
  all = all | in_shunt(farads(v.cable_c));
  if (Shape::master)
    all = all | in_shunt(series(ohms(v.master_r), farads(v.master_c))) | in_series(farads(v.coupling_c));
  return all | input{.resistance = ohms(v.input_r), .capacitance = farads(Shape::input_c ? v.input_c : 0)};
}

} // namespace

std::span<const double> grid() {
  static const std::vector<double> hz = log_grid(20_Hz, 20_kHz, points);
  return hz;
}

source instrument(which circuit, const circuit_values& v) {
  std::optional<source> made;
  with_shape(circuit, [&]<class Shape>(Shape) { made = whole<Shape>(v); });
  return *made;
}

potentiometer volume() { return {.total = 250_kOhm, .law = audio_taper, .name = "volume"}; }

circuit_values turned(rotation to) {
  circuit_values v = typical_values();
  const potentiometer_legs legs = volume().legs(to);
  v.pickups[0].upper = legs.upper.value();
  v.pickups[0].lower = legs.lower.value();
  return v;
}

} // namespace bench
