// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <lodewire/analysis/dc_resistance.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/parts/piezo.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::near;

namespace {
const magnetic_coil coil{.inductance = 3.1_H,
                         .resistance = 7.4_kOhm,
                         .capacitance = 110_pF,
                         .eddy = {eddy_branch{.inductance = 1_H, .resistance = 30_kOhm}, {}}};
}

TEST_CASE("a coil reads its wire; an eddy branch is no wire") {
  CHECK(near(dc_resistance(source(coil)).value(), 7400, 1e-14));
  CHECK(near(dc_resistance(coil.winding_impedance()).value(), 7400, 1e-14));
}

TEST_CASE("a coil behind its volume control reads what a parallel resistor calculation says") {
  // 7.4 kΩ beside 250 kΩ (computed from the formula: 7187.26 Ω), the pot without end resistance.
  const potentiometer volume{.total = 250_kOhm, .end_resistance = 0_Ohm};
  CHECK(near(dc_resistance(coil | volume.as_divider(knob(10))).value(), 7.4e3 * 250e3 / 257.4e3, 1e-13));
  CHECK(dc_resistance(coil | volume.as_divider(knob(0))).value() == 0);
  // Half way: 125 kΩ and the coil, beside 125 kΩ.
  CHECK(near(dc_resistance(coil | volume.as_divider(knob(5))).value(), 132.4e3 * 125e3 / 257.4e3, 1e-13));
  // A tone branch and a cable do not show.
  const source rig = coil | in_shunt(series(250_kOhm, 22_nF)) | in_shunt(600_pF);
  CHECK(near(dc_resistance(rig).value(), 7400, 1e-14));
}

TEST_CASE("capacitors, power laws, two-ports and pairs at dc") {
  CHECK(is_open(dc_resistance(one_port(22_nF)).value()));
  CHECK(dc_resistance(one_port(3_H)).value() == 0);
  CHECK(near(dc_resistance(parallel(22_nF, 1_kOhm)).value(), 1e3, 1e-14));
  CHECK(dc_resistance(power_law(5_kOhm, 0.5)).value() == 0);
  CHECK(near(dc_resistance(power_law(5_kOhm, 0)).value(), 5e3, 1e-14));
  CHECK(near(dc_resistance(parallel(power_law(5_kOhm, -0.9), 2_kOhm)).value(), 2e3, 1e-14));
  CHECK(is_open(dc_resistance(source(piezo{.capacitance = 1_nF})).value()));
  // B = 1 kΩ + s·2 H in a chain matrix: 1 kΩ in series.
  const source s = coil | stage(chain_matrix{.b = {1e3, 2, 0}});
  CHECK(near(dc_resistance(s).value(), 8.4e3, 1e-14));

  const coil_pair pair = humbucking_pair(coil, coil, 0.3);
  CHECK(near(dc_resistance(pair.as_series()).value(), 14.8e3, 1e-13));
  CHECK(near(dc_resistance(pair.as_parallel()).value(), 3.7e3, 1e-13));
  CHECK(near(dc_resistance(pair.as_single(which_coil::first, idle_coil::open())).value(), 7.4e3, 1e-13));
  CHECK(near(dc_resistance(pair.as_single(which_coil::first, idle_coil::bypassed(1_kOhm))).value(),
             7.4e3 + 7.4e3 / 8.4, 1e-13));
}
