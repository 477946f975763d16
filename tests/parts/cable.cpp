// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string>
#include <type_traits>

#include <doctest/doctest.h>

#include <lodewire/analysis/impedance_resonance.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using check::s_at;
using complex = std::complex<double>;

static_assert(std::is_aggregate_v<cable> && Stage<cable> && !Source<cable> && !OnePort<cable>);

namespace {

constexpr length foot = length::from_value(0.3048);

/// Total capacitance that a cable puts across the source.
double farads(const cable& c) { return 1 / (s_at(1_kHz) * input_impedance(stage(c), 1_kHz).value()).real(); }

/// V1 = A·V2 + B·I2, I1 = C·V2 + D·I2 of any stage, from what it does to ideal sources.
struct chain {
  complex a, b, c, d;
};
chain chain_of(const stage& s, frequency f) {
  const source driven = ideal_emf(1_V) | s;
  chain m;
  m.a = 1.0 / response(driven, f);
  m.b = m.a * output_impedance(driven, f).value();
  m.c = m.a / input_impedance(s, f).value();
  m.d = m.c * output_impedance(ideal_current(1_A) | s, f).value();
  return m;
}

} // namespace

TEST_CASE("capacitance by length") {
  // A cable maker's note: 20 ft of 33 and 45 pF/ft are 660 and 900 pF.
  for (const double per_foot : {33e-12, 45e-12}) {
    const cable c{.length = 20. * foot, .capacitance = capacitance::from_value(per_foot) / foot};
    CHECK(near(farads(c), 20 * per_foot, 1e-13));
  }
  // Sound on Sound, November 2009, "Guitar cables": about 30 pF/ft, which is 100 pF/m.
  CHECK(near((30_pF / foot).value(), (100_pF_per_m).value(), 0.02));
  CHECK(near(farads({.length = 6_m, .capacitance = 100_pF_per_m}), 600e-12, 1e-13));
}

TEST_CASE("a coil's resonance by the cable") {
  // A maker's note: 300 pF with 2.4 H "around 6000 Hz", a coiled lead of 2.4 nF "a little above 2000 Hz"; the
  // digits: computed from the formula.
  const magnetic_coil coil{.inductance = 2.4_H};
  const auto resonance_of = [&](const cable& c) {
    const auto found = find_impedance_resonance(coil | c);
    REQUIRE(found.natural.has_value());
    return found.natural->value();
  };
  CHECK(std::abs(resonance_of({.length = 3_m, .capacitance = 100_pF_per_m}) - 5931.4) < 0.051);
  CHECK(std::abs(resonance_of({.length = 6_m, .capacitance = 400_pF_per_m}) - 2097.1) < 0.051);
}

TEST_CASE("a lumped cable is a line, at audio frequencies") {
  // 6 m, 0.1 Ω/m, 0.4 µH/m, 100 pF/m at 20 kHz. A = D = cosh γl, B = Z_c·sinh γl, C = sinh γl/Z_c.
  const cable full{
      .length = 6_m, .capacitance = 100_pF_per_m, .resistance = 0.1_Ohm_per_m, .inductance = 0.4_uH_per_m};
  const cable bare{.length = 6_m, .capacitance = 100_pF_per_m};
  const complex s = s_at(20_kHz), z = 6.0 * (0.1 + s * 0.4e-6), y = 6.0 * s * 100e-12;
  const complex gamma = std::sqrt(z * y), characteristic = std::sqrt(z / y);
  const complex cosh = std::cosh(gamma), b = characteristic * std::sinh(gamma),
                c = std::sinh(gamma) / characteristic;
  CHECK(near(cosh * cosh - b * c, 1, 1e-13));

  const chain lumped = chain_of(full, 20_kHz), shunt = chain_of(bare, 20_kHz);
  const auto away = [](complex ours, complex line) { return std::abs(ours / line - 1.0); };
  MESSAGE("from a line: one capacitance C ", away(shunt.c, c), "; pi A ", away(lumped.a, cosh), ", B ",
          away(lumped.b, b), ", C ", away(lumped.c, c), ", D ", away(lumped.d, cosh));
  CHECK(std::abs(away(shunt.c, c) - 8.4e-6) < 0.06e-6); // computed from the formula
  CHECK(near(shunt.c, s * 600e-12, 1e-12));
  // Half the capacitance at each end: A and D of second order, B = Z, C = Y·(1 + ZY/4).
  CHECK(near(lumped.b, z, 1e-9));
  CHECK(near(lumped.c, y * (1.0 + z * y / 4.0), 1e-9));
  CHECK(near(lumped.a, 1.0 + z * y / 2.0, 1e-12));
  CHECK(near(lumped.d, lumped.a, 1e-12));
  CHECK(away(lumped.a, cosh) < 1e-9);
  CHECK(away(lumped.b, b) < 8.5e-6);
  CHECK(away(lumped.c, c) < 4.3e-6);
}

TEST_CASE("what is zero is not there") {
  CHECK(stage(cable{}) == in_shunt(0_F));
  const source s = ideal_emf(1_V) | in_series(100_kOhm);
  CHECK(near(response(s | cable{}, 20_kHz), 1, 1e-15));
  CHECK(near(response(s | cable{.length = 5_m}, 20_kHz), 1, 1e-15));
  // Resistance alone and inductance alone make the long form too.
  for (const cable& c : {cable{.length = 10_m, .capacitance = 100_pF_per_m, .resistance = 100_Ohm_per_m},
                         cable{.length = 10_m, .capacitance = 100_pF_per_m, .inductance = 100_uH_per_m}}) {
    const complex w = s_at(9_kHz);
    const complex z = 10.0 * (c.resistance.value() + w * c.inductance.value()), half = w * 500e-12;
    const complex out = 1.0 / (half * z + 1.0); // of the middle node
    const complex first = 1.0 / (1.0 + 100e3 * (half + half * out));
    CHECK(near(response(s | c, 9_kHz), first * out, 1e-12));
  }
}

TEST_CASE("what is refused") {
  const auto with = [](const cable& c) { return error_of([&] { (void)stage(c); }); };
  CHECK(with({.length = -3_m}) == "cable.length is -3 m; allowed: 0 m or more");
  CHECK(with({.capacitance = -100_pF_per_m}) == "cable.capacitance is -100 pF/m; allowed: 0 F/m or more");
  CHECK(with({.resistance = -0.1_Ohm_per_m}) == "cable.resistance is -100 mΩ/m; allowed: 0 Ω/m or more");
  CHECK(with({.inductance = -0.4_uH_per_m}) == "cable.inductance is -400 nH/m; allowed: 0 H/m or more");
  CHECK(with({.length = length::from_value(std::numeric_limits<double>::quiet_NaN())}) ==
        "cable.length is NaN m; allowed: 0 m or more");
  CHECK(with({.length = length::from_value(std::numeric_limits<double>::infinity())}) ==
        "cable.length is infinity m; allowed: 0 m or more");
}
