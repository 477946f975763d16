// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string>
#include <type_traits>

#include <doctest/doctest.h>

#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/piezo.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using check::s_at;
using complex = std::complex<double>;

static_assert(std::is_aggregate_v<input> && Stage<input> && !Source<input> && !OnePort<input>);

TEST_CASE("a resistance, then a stopper into a capacitance") {
  const input in{.resistance = 1_MOhm, .capacitance = 105.3_pF, .stopper = 68_kOhm};
  for (const frequency& f : {50_Hz, 5_kHz, 22_kHz, 100_kHz}) {
    const complex zc = 1.0 / (s_at(f) * 105.3e-12), branch = 68e3 + zc;
    const complex z = 1.0 / (1 / 1e6 + 1.0 / branch);
    CHECK(near(input_impedance(stage(in), f).value(), z, 1e-12));
    // Behind a source of 40 kΩ: the divider, then what the stopper leaves.
    CHECK(near(response(ideal_emf(1_V) | in_series(40_kOhm) | in, f), z / (z + 40e3) * zc / branch, 1e-12));
    // Without a stopper all of it is in parallel.
    CHECK(near(input_impedance(stage(input{.resistance = 1_MOhm, .capacitance = 105.3_pF}), f).value(),
               1.0 / (1 / 1e6 + 1.0 / zc), 1e-12));
  }
  CHECK(near(input_impedance(stage(input{}), 1_kHz).value(), 1e6, 1e-15));
  // A stopper that ends in nothing drops nothing.
  CHECK(near(response(ideal_emf(1_V) | input{.stopper = 68_kOhm}, 1_kHz), 1, 1e-15));
}

TEST_CASE("Miller capacitance and the corner that a stopper makes with it") {
  // M. Blencowe, "Grid stopper", valvewizard.co.uk: C_gk + C_ga·(1 + A), with A = 60 the anode's capacitance
  // sees 61 V for 1 V. 1.6 pF and 1.7 pF: from memory. 105.3 pF: computed from the formula.
  const capacitance c = miller_capacitance(1.6_pF, 1.7_pF, 60);
  CHECK(near(c.value(), 105.3e-12, 1e-13));
  CHECK(near(miller_capacitance(1.6_pF, 1.7_pF, 0).value(), 3.3e-12, 1e-13));
  const resonance r = find_resonance(transfer(ideal_emf(1_V) | input{.capacitance = c, .stopper = 68_kOhm}));
  REQUIRE(r.edge.has_value());
  MESSAGE("68 kohm into ", c.value() * 1e12, " pF: ", r.edge->value(), " Hz");
  CHECK(near(r.edge->value(), 1 / (2 * std::numbers::pi * 68e3 * 105.3e-12),
             1e-9)); // computed from the formula
  CHECK(std::abs(r.edge->value() - 22.2e3) < 50);
}

TEST_CASE("a piezo and the input it sees make a high-pass") {
  // suite101.com a72764: up to 15 nF; into 50 kΩ "200 Hz", into 7 kΩ "1 kHz", it wants 1 MΩ. The corners:
  // computed from the formula.
  struct row {
    resistance into;
    double hz;
  };
  for (const row& r : {row{50_kOhm, 212.2}, row{7_kOhm, 1515.8}, row{1_MOhm, 10.6}}) {
    const source s = piezo{.capacitance = 15_nF} | input{.resistance = r.into};
    const double corner = 1 / (2 * std::numbers::pi * r.into.value() * 15e-9);
    CHECK(std::abs(corner - r.hz) < 0.051);
    const complex h = response(s, frequency::from_value(corner));
    CHECK(near(std::abs(h), std::sqrt(0.5), 1e-12));
    CHECK(near(std::arg(h), std::numbers::pi / 4, 1e-12));
  }
  CHECK(error_of([] { (void)source(piezo{}); }) == "piezo.capacitance is 0 F; allowed: more than 0 F");
}

TEST_CASE("what is refused") {
  const auto with = [](const input& in) { return error_of([&] { (void)stage(in); }); };
  CHECK(with({.resistance = 0_Ohm}) == "input.resistance is 0 Ω; allowed: more than 0 Ω");
  CHECK(with({.resistance = -1_MOhm}) == "input.resistance is -1 MΩ; allowed: more than 0 Ω");
  CHECK(with({.capacitance = -1_pF}) == "input.capacitance is -1 pF; allowed: 0 F or more");
  CHECK(with({.stopper = -68_kOhm}) == "input.stopper is -68 kΩ; allowed: 0 Ω or more");
  CHECK(with({.resistance = resistance::from_value(std::numeric_limits<double>::quiet_NaN())}) ==
        "input.resistance is NaN Ω; allowed: more than 0 Ω");
  CHECK(error_of([] { (void)miller_capacitance(-1_pF, 1_pF, 1); }) ==
        "miller_capacitance.to_cathode is -1 pF; allowed: 0 F or more");
  CHECK(error_of([] { (void)miller_capacitance(1_pF, -1_pF, 1); }) ==
        "miller_capacitance.to_anode is -1 pF; allowed: 0 F or more");
  CHECK(error_of([] { (void)miller_capacitance(1_pF, 1_pF, -60); }) ==
        "miller_capacitance.gain is -60; allowed: 0 or more");
}
