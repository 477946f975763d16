// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <complex>
#include <limits>
#include <string>
#include <type_traits>

#include <doctest/doctest.h>

#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/active_pickup.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/capacitor.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/parts/piezo.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using complex = std::complex<double>;

static_assert(std::is_aggregate_v<active_pickup> && Source<active_pickup> && !Stage<active_pickup>);

namespace {

source with_volume(resistance total) {
  return active_pickup{} | potentiometer{.total = total, .end_resistance = 0_Ohm}.as_divider(rotation(1));
}
double edge(const source& s) {
  const resonance r = find_resonance(transfer(s));
  REQUIRE(r.edge.has_value());
  return r.edge->value();
}

} // namespace

TEST_CASE("an EMF behind 10 kΩ, common practice, no source") {
  const source s = active_pickup{};
  CHECK(near(response(s, 1_kHz), 1, 1e-15));
  CHECK(near(output_impedance(s, 1_kHz).value(), 10e3, 1e-15));
  CHECK(s.emf_names()[0] == "active pickup");
  const source loud = active_pickup{.output_resistance = 4.7_kOhm, .emf = 1.5_V, .name = "bridge"};
  CHECK(near(response(loud, 1_kHz), 1.5, 1e-15));
  CHECK(near(output_impedance(loud, 1_kHz).value(), 4.7e3, 1e-15));
  CHECK(loud.terminals("bridge") == 0);
  CHECK(near(load_seen(loud | in_shunt(25_kOhm), 0, 1_kHz).value(), 25e3, 1e-13));
}

TEST_CASE("a volume control takes its part") {
  // 25/35 and 250/260 and their levels: computed from the formula.
  const double low = std::abs(response(with_volume(25_kOhm), 1_kHz));
  const double high = std::abs(response(with_volume(250_kOhm), 1_kHz));
  MESSAGE("25 kohm: ", low, ", ", voltage_level(low).value(), " dB; 250 kohm: ", high, ", ",
          voltage_level(high).value(), " dB");
  CHECK(std::abs(low - 0.714286) < 0.0000051);
  CHECK(std::abs(voltage_level(low).value() - -2.923) < 0.00051);
  CHECK(std::abs(high - 0.961538) < 0.0000051);
  CHECK(std::abs(voltage_level(high).value() - -0.341) < 0.00051);
}

TEST_CASE("a cable hardly matters to it") {
  const cable six_metres{.length = 6_m, .capacitance = 100_pF_per_m};
  // 26.53 kHz, and 37.14 kHz with the control: computed from the formula.
  const double alone = edge(active_pickup{} | six_metres),
               controlled = edge(with_volume(25_kOhm) | six_metres);
  MESSAGE("corner: ", alone, " Hz, with 25 kohm ", controlled, " Hz");
  CHECK(std::abs(alone - 26.53e3) < 5.1);
  CHECK(std::abs(controlled - 37.14e3) < 5.1);
  CHECK(std::abs(response(active_pickup{} | six_metres, 10_kHz)) > voltage_ratio(decibel{-0.6}));
}

TEST_CASE("its own electronics end the band by a second-order low-pass, which no impedance shows") {
  for (const double q : {0.5, 0.70710678118654752, 2.0}) {
    const active_pickup p{.limit = band_limit{.corner = 12_kHz, .quality = q}};
    for (const frequency& f : {100_Hz, 5_kHz, 12_kHz, 40_kHz}) {
      const complex x = complex(0, f.value() / 12e3);
      CHECK(near(response(p, f), 1.0 / (1.0 + x / q + x * x), 1e-12));
      CHECK(near(output_impedance(p, f).value(), 10e3, 1e-15));
    }
  }
  CHECK(near(edge(active_pickup{.limit = band_limit{.corner = 12_kHz}}), 12e3, 1e-9)); // maximally flat
}

TEST_CASE("without a supply it is a load, not a source") {
  CHECK(active_pickup{}.as_unpowered() == one_port(10_kOhm)); // as with a supply, unless stated
  const active_pickup p{.output_resistance = 10_kOhm, .unpowered_resistance = 47_kOhm};
  CHECK(p.as_unpowered() == one_port(47_kOhm));
  CHECK(near(output_impedance(p, 1_kHz).value(), 10e3, 1e-15)); // with a supply
  // Joined to a passive pickup of 10 kΩ it takes 47/57 of it: computed from the formula.
  const magnetic_coil passive{.inductance = 1_nH, .resistance = 10_kOhm};
  CHECK(near(std::abs(response(passive | in_shunt(p.as_unpowered()), 10_Hz)), 47.0 / 57, 1e-9));
}

TEST_CASE("noise and hum are stated, and change no response") {
  const active_pickup quiet, noisy{.voltage_noise = 15e-9, .turns_area = 0.1};
  CHECK(response(noisy, 1_kHz) == response(quiet, 1_kHz));
  CHECK(quiet.voltage_noise == 0);
  CHECK(quiet.turns_area == 0);
}

TEST_CASE("every member counts when parts are compared") {
  const active_pickup p;
  CHECK(p == active_pickup{});
  CHECK(p != active_pickup{.output_resistance = 1_kOhm});
  CHECK(p != active_pickup{.emf = 2_V});
  CHECK(p != active_pickup{.limit = band_limit{.corner = 1_kHz}});
  CHECK(p != active_pickup{.supply_current = 80_uA});
  CHECK(p != active_pickup{.unpowered_resistance = 10_kOhm});
  CHECK(p != active_pickup{.voltage_noise = 1e-9});
  CHECK(p != active_pickup{.turns_area = 1});
  CHECK(p != active_pickup{.name = "bridge"});
  CHECK(band_limit{.corner = 1_kHz} == band_limit{.corner = 1_kHz});
  CHECK(band_limit{.corner = 1_kHz} != band_limit{.corner = 1_kHz, .quality = 1});
  // By members, not by the circuit that comes of them: an unused member differs too.
  CHECK(magnetic_coil{.inductance = 3_H} == magnetic_coil{.inductance = 3_H});
  CHECK(magnetic_coil{.inductance = 3_H} != magnetic_coil{.inductance = 3_H, .cover = cover_bond::end});
  CHECK(magnetic_coil{} != magnetic_coil{.eddy = {eddy_branch{1_H, 1_kOhm}}});
  CHECK(magnetic_coil{} != magnetic_coil{.lead = {.length = 1_m}});
  CHECK(coil_pair{} == coil_pair{});
  CHECK(coil_pair{} != coil_pair{.coupling = 0.1});
  CHECK(coil_pair{} != coil_pair{.second = {.inductance = 1_H}});
  CHECK(piezo{.capacitance = 1_nF} != piezo{.capacitance = 2_nF});
  CHECK(capacitor{.capacitance = 1_nF} != capacitor{.capacitance = 1_nF, .stated_at = 10_kHz});
  CHECK(cable{.length = 3_m} != cable{.length = 6_m});
  CHECK(input{} == input{});
  CHECK(input{} != input{.stopper = 68_kOhm});
}

TEST_CASE("what is refused") {
  const auto with = [](const active_pickup& p) { return error_of([&] { (void)source(p); }); };
  CHECK(with({.output_resistance = 0_Ohm}) ==
        "active pickup.output_resistance is 0 Ω; allowed: more than 0 Ω");
  CHECK(with({.output_resistance = -1_kOhm}) ==
        "active pickup.output_resistance is -1 kΩ; allowed: more than 0 Ω");
  CHECK(with({.emf = -1_V, .name = "bridge"}) == "bridge.emf is -1 V; allowed: 0 V or more");
  CHECK(with({.supply_current = -80_uA}) == "active pickup.supply_current is -80 µA; allowed: 0 A or more");
  CHECK(with({.unpowered_resistance = 0_Ohm}) ==
        "active pickup.unpowered_resistance is 0 Ω; allowed: more than 0 Ω");
  CHECK(with({.voltage_noise = -1e-9}) == "active pickup.voltage_noise is -1e-09; allowed: 0 or more");
  CHECK(with({.turns_area = -1}) == "active pickup.turns_area is -1; allowed: 0 or more");
  CHECK(error_of([] { (void)active_pickup{.unpowered_resistance = -1_Ohm}.as_unpowered(); }) ==
        "active pickup.unpowered_resistance is -1 Ω; allowed: more than 0 Ω");
  CHECK(error_of([] { (void)active_pickup{.output_resistance = 0_Ohm}.as_unpowered(); }) ==
        "active pickup.output_resistance is 0 Ω; allowed: more than 0 Ω");
  CHECK(with({.limit = band_limit{}}) == "active pickup.limit.corner is 0 Hz; allowed: more than 0 Hz");
  CHECK(with({.limit = band_limit{10_kHz, 0}}) == "active pickup.limit.quality is 0; allowed: more than 0");
  CHECK(with({.output_resistance = resistance::from_value(std::numeric_limits<double>::quiet_NaN())}) ==
        "active pickup.output_resistance is NaN Ω; allowed: more than 0 Ω");
}
