// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string>
#include <type_traits>

#include <doctest/doctest.h>

#include <lodewire/analysis/impedance_resonance.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using check::s_at;
using complex = std::complex<double>;

static_assert(std::is_aggregate_v<magnetic_coil>);
static_assert(Source<magnetic_coil> && !Stage<magnetic_coil> && !OnePort<magnetic_coil>);

namespace {

double henries(complex z, frequency f) { return z.imag() / (2 * std::numbers::pi * f.value()); }

std::string error_of(const magnetic_coil& coil) {
  return check::error_of([&] { (void)source(coil); });
}

/// Every member that makes an impedance, none of them round.
magnetic_coil full() {
  return {.inductance = 1.6_H,
          .resistance = 6700_Ohm,
          .capacitance = 110_pF,
          .start_to_ground = 31_pF,
          .end_to_ground = 57_pF,
          .eddy = {{{0.56_H, 20.5_kOhm}, {0.21_H, 90_kOhm}}},
          .parallel_loss = 310_kOhm,
          .emf = 0.2_V,
          .lead = {0.4_m, 150_pF_per_m}};
}

struct by_hand {
  complex z, response;
};

/// The same coil by hand: EMF behind the winding's impedance, everything else across the terminals.
by_hand direct(const magnetic_coil& c, double to_ground, frequency f) {
  const complex s = s_at(f);
  complex winding = c.resistance.value() + s * c.inductance.value();
  for (const eddy_branch& e : c.eddy)
    if (e.inductance.value() > 0)
      winding += 1.0 / (1.0 / (s * e.inductance.value()) + 1 / e.resistance.value());
  complex y = s * (c.capacitance.value() + to_ground + c.lead.length.value() * c.lead.capacitance.value());
  if (c.parallel_loss) y += 1 / c.parallel_loss->value();
  return {winding / (1.0 + winding * y), c.emf.value() / (1.0 + winding * y)};
}

} // namespace

TEST_CASE("a coil is its EMF behind winding, loss and capacitances") {
  for (const frequency& f : {10_Hz, 440_Hz, 3_kHz, 4.4_kHz, 20_kHz, 1_MHz}) {
    CAPTURE(f.value());
    const by_hand there = direct(full(), 57e-12, f);
    CHECK(near(response(full(), f), there.response, 1e-12));
    CHECK(near(output_impedance(full(), f).value(), there.z, 1e-12));
  }
}

TEST_CASE("low frequencies see all of the inductance, high ones lose the eddy branches") {
  const one_port winding = full().winding_impedance();
  CHECK(near(full().low_frequency_inductance().value(), 2.37, 1e-15));
  const auto at = [&](frequency f) { return impedance_at(winding, f).value(); };
  CHECK(near(henries(at(1_Hz), 1_Hz), 2.37, 1e-6));
  CHECK(near(at(1_Hz).real(), 6700, 1e-5));
  CHECK(near(henries(at(100_MHz), 100_MHz), 1.6, 1e-6));
  CHECK(near(at(100_MHz).real(), 6700 + 20.5e3 + 90e3, 1e-5));
  // At the corner R_1/(2πL_1) the branch is half resistance, half inductance.
  const magnetic_coil one{.inductance = 1_H, .eddy = {{{0.5_H, 20_kOhm}}}};
  const frequency corner = frequency::from_value(20e3 / (2 * std::numbers::pi * 0.5));
  const complex z = impedance_at(one.winding_impedance(), corner).value();
  CHECK(near(z.real(), 10e3, 1e-12));
  CHECK(near(henries(z, corner), 1.25, 1e-12));
  // It only falls in between.
  double last = 2.37;
  for (double f = 10; f < 1e6; f *= 1.3) {
    const frequency here = frequency::from_value(f);
    const double now = henries(at(here), here);
    CHECK(now < last);
    last = now;
  }
}

TEST_CASE("an eddy branch without inductance is none, whatever its resistance") {
  magnetic_coil a = full(), b = full();
  a.eddy = {};
  b.eddy = {{{0_H, 20_kOhm}, {0_H, resistance::from_value(-1)}}};
  CHECK(a.winding_impedance() == b.winding_impedance());
}

TEST_CASE("a coil without metal: known load capacitors move its resonance as the textbook prints it") {
  // M. Zollner, "Physik der Elektrogitarre" §5.9 fig. 5.9.26, p. 5-111: 4420 Ω, 1125 mH, 43 pF; resonance 21
  // / 7.7 / 5.5 / 4.6 kHz with 0 / 330 / 700 / 1030 pF added. The unloaded one has some 8 pF of fixture: 10 %
  // there.
  const magnetic_coil coil{.inductance = 1.125_H, .resistance = 4420_Ohm, .capacitance = 43_pF};
  CHECK(near(coil.resistance.value() / (2 * std::numbers::pi * coil.inductance.value()), 625, 1e-3));
  struct row {
    capacitance added;
    double printed_khz, within, peak_hz, peak_ohm, q;
  };
  // The last three: computed from the formula.
  for (const row& r :
       {row{0_pF, 21, 0.10, 22882.8, 5.92e6, 36.6}, row{330_pF, 7.7, 0.01, 7769.35, 684.58e3, 12.43},
        row{700_pF, 5.5, 0.01, 5504.67, 344.77e3, 8.80}, row{1030_pF, 4.6, 0.01, 4580.44, 239.41e3, 7.33}}) {
    CAPTURE(r.printed_khz);
    const auto found = find_impedance_resonance(coil | in_shunt(r.added));
    REQUIRE(found.magnitude_peak.has_value());
    REQUIRE(found.quality.has_value());
    MESSAGE("added ", r.added.value() * 1e12, " pF: ", found.magnitude_peak->value(), " Hz, ",
            found.peak_magnitude.value(), " ohm, Q ", *found.quality);
    CHECK(near(found.magnitude_peak->value(), 1e3 * r.printed_khz, r.within));
    CHECK(near(found.magnitude_peak->value(), r.peak_hz, 3e-6));
    CHECK(near(found.peak_magnitude.value(), r.peak_ohm, 1e-3));
    CHECK(near(*found.quality, r.q, 1.1e-3));
  }
}

TEST_CASE("a course problem: the capacitor that gives 165.1 mV at 2640 Hz") {
  // EGB120 assignment, askfilo.com, "Analysis of an Electric Guitar Pickup Circuit": 4.5 H, 5.35 kΩ, 100 mV.
  // Voltages with 319 pF and with 319 nF, and the second root, 1288.04 pF: computed from the formula.
  magnetic_coil coil{.inductance = 4.5_H, .resistance = 5.35_kOhm, .capacitance = 319_pF, .emf = 100_mV};
  const auto millivolts = [&](frequency f) { return 1e3 * std::abs(response(coil, f)); };
  const auto degrees = [&](frequency f) { return std::arg(response(coil, f)) * 180 / std::numbers::pi; };
  CHECK(near(millivolts(2640_Hz), 165.102, 5e-6));
  CHECK(near(degrees(2640_Hz), -2.679, 2e-4));
  CHECK(near(millivolts(82.5_Hz), 100.0385, 1e-6));
  CHECK(near(millivolts(330_Hz), 100.6203, 1e-6));
  coil.capacitance = 1288.04_pF;
  CHECK(near(millivolts(2640_Hz), 165.1, 1e-4));
  coil.capacitance = 319_nF;
  CHECK(near(millivolts(82.5_Hz), 92.849, 1e-5));
  CHECK(near(degrees(82.5_Hz), -55.225, 1e-5));
  CHECK(near(millivolts(330_Hz), 15.958, 4e-5));
  CHECK(near(degrees(330_Hz), -145.618, 1e-5));
}

TEST_CASE("senses: the string's sign has the magnet in it, the hum's has not") {
  for (const int c : {1, -1})
    for (const int w : {1, -1})
      for (const int m : {1, -1}) {
        magnetic_coil coil = full();
        coil.connection = static_cast<coil_connection>(c);
        coil.winding = static_cast<winding_sense>(w);
        coil.magnet = static_cast<magnet_sense>(m);
        CHECK(coil.string_sign() == c * w * m);
        CHECK(coil.hum_sign() == c * w);
        const double v = response(coil, 20_Hz).real();
        CHECK(near(v, c * w * m * 0.2, 0.03));
      }
  // Wound and magnetised the other way: the string adds, the hum cancels.
  const magnetic_coil a, b{.winding = winding_sense::counterclockwise, .magnet = magnet_sense::south_up};
  CHECK(a.string_sign() == b.string_sign());
  CHECK(a.hum_sign() == -b.hum_sign());
}

TEST_CASE("a reversed coil: the EMF turns, the capacitances to ground stay on the winding") {
  const magnetic_coil turned = reversed(full());
  CHECK(turned.connection == coil_connection::reversed);
  CHECK(reversed(turned).connection == coil_connection::normal);
  CHECK(turned.start_to_ground == full().start_to_ground);
  CHECK(turned.end_to_ground == full().end_to_ground);
  // The start is hot now: its 31 pF count, the end's 57 pF are shorted by ground.
  CHECK(full().hot_to_ground() == 57_pF);
  CHECK(near(full().cold_to_ground().value(), 31e-12, 1e-15));
  CHECK(turned.hot_to_ground() == 31_pF);
  CHECK(near(turned.cold_to_ground().value(), 57e-12, 1e-15));
  for (const frequency& f : {100_Hz, 3_kHz, 12_kHz}) {
    const by_hand there = direct(full(), 31e-12, f);
    CHECK(near(response(turned, f), -there.response, 1e-12));
    CHECK(near(output_impedance(turned, f).value(), there.z, 1e-12));
    // Turning the source instead turns the signal and nothing else.
    CHECK(near(response(reversed(source(full())), f), -response(full(), f), 1e-14));
    CHECK(near(output_impedance(reversed(source(full())), f).value(), output_impedance(full(), f).value(),
               1e-14));
  }
}

TEST_CASE("a cover is hot when it hangs on the hot end") {
  const auto hot = [](cover_bond bond, coil_connection connection) {
    const magnetic_coil c{.connection = connection, .cover = bond, .name = "neck"};
    CHECK(c.caution().has_value() == c.cover_is_hot());
    if (c.caution()) CHECK(c.caution()->starts_with("neck: the cover or braid "));
    return c.cover_is_hot();
  };
  CHECK(!hot(cover_bond::ground, coil_connection::normal));
  CHECK(!hot(cover_bond::ground, coil_connection::reversed));
  CHECK(!hot(cover_bond::start, coil_connection::normal));
  CHECK(hot(cover_bond::start, coil_connection::reversed)); // the usual trap of swapped leads
  CHECK(hot(cover_bond::end, coil_connection::normal));
  CHECK(!hot(cover_bond::end, coil_connection::reversed));
}

TEST_CASE("the lead comes behind the terminals: it is a load, the winding's own capacitance is not") {
  const source s = full();
  REQUIRE(s.emf_names().size() == 1);
  CHECK(s.emf_names()[0] == "coil");
  const complex load = load_seen(s, s.terminals("coil"), 1_kHz).value();
  CHECK(near(load, 1.0 / (s_at(1_kHz) * 60e-12), 1e-12));
  magnetic_coil bare = full();
  bare.lead = {};
  CHECK(!is_finite(std::abs(load_seen(bare, 0, 1_kHz).value())));
  CHECK(near(bare.lead_capacitance().value() + 60e-12, full().lead_capacitance().value(), 1e-15));
  // Where it stands makes no difference to what comes out.
  magnetic_coil all_inside = bare;
  all_inside.capacitance = bare.capacitance + 60_pF;
  CHECK(near(response(all_inside, 5_kHz), response(s, 5_kHz), 1e-12));
}

TEST_CASE("a loss across the winding") {
  magnetic_coil coil = full();
  coil.lead = {};
  coil.end_to_ground = 0_F;
  coil.parallel_loss = {};
  const magnetic_coil lossless = coil;
  coil.parallel_loss = 310_kOhm;
  CHECK(near(response(coil, 4_kHz), response(lossless | in_shunt(310_kOhm), 4_kHz), 1e-13));
  CHECK(std::abs(response(coil, 7_kHz)) < std::abs(response(lossless, 7_kHz)));
}

TEST_CASE("a corner of the EMF itself: no impedance shows it") {
  magnetic_coil coil = full();
  coil.emf_corner = 3_kHz;
  for (const frequency& f : {100_Hz, 3_kHz, 9_kHz}) {
    const complex low_pass = 1.0 / complex(1, f.value() / 3000);
    CHECK(near(response(coil, f), low_pass * response(full(), f), 1e-13));
    CHECK(output_impedance(coil, f).value() == output_impedance(full(), f).value());
  }
  CHECK(near(coil.emf_time_constant(), 1 / (2 * std::numbers::pi * 3000), 1e-15));
  CHECK(full().emf_time_constant() == 0);
}

TEST_CASE("every bad member is refused by name, with its value and what is allowed") {
  const auto with = [](auto change) {
    magnetic_coil c = full();
    c.name = "neck";
    change(c);
    return error_of(c);
  };
  using coil = magnetic_coil&;
  CHECK(with([](coil) {}) == "no error");
  CHECK(with([](coil c) { c.inductance = 0_H; }) == "neck.inductance is 0 H; allowed: more than 0 H");
  CHECK(with([](coil c) { c.inductance = -2.5_H; }) == "neck.inductance is -2.5 H; allowed: more than 0 H");
  CHECK(with([](coil c) { c.resistance = -6.7_kOhm; }) == "neck.resistance is -6.7 kΩ; allowed: 0 Ω or more");
  CHECK(with([](coil c) { c.capacitance = -110_pF; }) == "neck.capacitance is -110 pF; allowed: 0 F or more");
  CHECK(with([](coil c) { c.start_to_ground = -1_pF; }) ==
        "neck.start_to_ground is -1 pF; allowed: 0 F or more");
  CHECK(with([](coil c) { c.end_to_ground = -1_nF; }) == "neck.end_to_ground is -1 nF; allowed: 0 F or more");
  CHECK(with([](coil c) { c.eddy[0].inductance = -1_H; }) ==
        "neck.eddy[0].inductance is -1 H; allowed: 0 H or more");
  CHECK(with([](coil c) { c.eddy[1].resistance = 0_Ohm; }) ==
        "neck.eddy[1].resistance is 0 Ω; allowed: more than 0 Ω");
  CHECK(with([](coil c) { c.parallel_loss = 0_Ohm; }) == "neck.parallel_loss is 0 Ω; allowed: more than 0 Ω");
  CHECK(with([](coil c) { c.emf = -10_mV; }) == "neck.emf is -10 mV; allowed: 0 V or more");
  CHECK(with([](coil c) { c.emf_corner = 0_Hz; }) == "neck.emf_corner is 0 Hz; allowed: more than 0 Hz");
  CHECK(with([](coil c) { c.lead.length = -0.5_m; }) == "neck.lead.length is -500 mm; allowed: 0 m or more");
  CHECK(with([](coil c) { c.lead.capacitance = -100_pF_per_m; }) ==
        "neck.lead.capacitance is -100 pF/m; allowed: 0 F/m or more");
  static constexpr double nan = std::numeric_limits<double>::quiet_NaN(),
                          infinite = std::numeric_limits<double>::infinity();
  CHECK(with([](coil c) { c.inductance = inductance::from_value(nan); }) ==
        "neck.inductance is NaN H; allowed: more than 0 H");
  CHECK(with([](coil c) { c.resistance = resistance::from_value(infinite); }) ==
        "neck.resistance is infinity Ω; allowed: 0 Ω or more");
  CHECK(with([](coil c) { c.capacitance = capacitance::from_value(nan); }) ==
        "neck.capacitance is NaN F; allowed: 0 F or more");
  CHECK(with([](coil c) { c.turns_area = -1; }) == "neck.turns_area is -1; allowed: 0 or more");
  CHECK(with([](coil c) { c.turns_area = nan; }) == "neck.turns_area is NaN; allowed: 0 or more");
}
