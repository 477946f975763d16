// SPDX-License-Identifier: BSL-1.0
#include <array>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string>
#include <type_traits>

#include <doctest/doctest.h>

#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/capacitor.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using complex = std::complex<double>;

static_assert(std::is_aggregate_v<capacitor> && OnePort<capacitor> && !Stage<capacitor> &&
              !Source<capacitor>);

namespace {

constexpr std::array all{dielectric::polyester,
                         dielectric::polypropylene,
                         dielectric::polyethylene_naphthalate,
                         dielectric::polyphenylene_sulfide,
                         dielectric::ceramic_class_1,
                         dielectric::ceramic_class_2,
                         dielectric::tantalum};

} // namespace

TEST_CASE("the table of dissipation factors") {
  // wima.de, "Dissipation factor", tan δ in % at 23 °C at 1, 10, 100 kHz; X7R and tantalum at 1 kHz only.
  constexpr double percent[7][3] = {{0.8, 1.5, 3.0}, {0.05, 0.08, 0.25}, {0.8, 1.5, 3.0}, {0.2, 0.25, 0.5},
                                    {0.1, 0.1, 0.1}, {2.5, 2.5, 2.5},    {8, 8, 8}};
  for (std::size_t k = 0; k < all.size(); ++k)
    for (std::size_t i = 0; i < 3; ++i) {
      CHECK(near(loss_limits(all[k])[i], percent[k][i] / 100, 1e-14));
      CHECK(near(loss_tangent(all[k], frequency::from_value(std::pow(10., 3. + static_cast<double>(i)))),
                 percent[k][i] / 100, 1e-12));
    }
}

TEST_CASE("between the points equal ratios, outside them no change") {
  for (const dielectric kind : all) {
    const auto table = loss_limits(kind);
    CHECK(near(loss_tangent(kind, frequency::from_value(1e3 * std::sqrt(10))), std::sqrt(table[0] * table[1]),
               1e-12));
    CHECK(near(loss_tangent(kind, frequency::from_value(1e4 * std::sqrt(10))), std::sqrt(table[1] * table[2]),
               1e-12));
    CHECK(loss_tangent(kind, 20_Hz) == table[0]);
    CHECK(loss_tangent(kind, 1_MHz) == table[2]);
    double last = 0;
    for (double f = 100; f < 1e6; f *= 1.2) {
      const double now = loss_tangent(kind, frequency::from_value(f));
      CHECK(now >= last * (1 - 1e-12)); // none of these kinds gets better upwards
      last = now;
    }
  }
}

TEST_CASE("series resistance from the loss, and the same loss as a parallel resistance") {
  // ESR = tan δ/(2πfC), D = ESR·ωC: IET Labs, note on ESR. The digits: computed from the formula.
  const auto esr = [](dielectric kind, frequency f) {
    return capacitor_of(kind, 22_nF, f).series_resistance().value();
  };
  CHECK(std::abs(esr(dielectric::polyester, 1_kHz) - 57.87) < 0.0051);
  CHECK(std::abs(esr(dielectric::polypropylene, 1_kHz) - 3.617) < 0.00051);
  CHECK(std::abs(esr(dielectric::ceramic_class_2, 1_kHz) - 180.9) < 0.051);
  CHECK(std::abs(esr(dielectric::ceramic_class_1, 1_kHz) - 7.234) < 0.00051);
  CHECK(std::abs(esr(dielectric::polyester, 10_kHz) - 10.85) < 0.0051);

  const auto parallel_ohm = [](frequency f) {
    const one_port c = capacitor_of(dielectric::polyester, 22_nF, f);
    const complex z = impedance_at(c, f).value();
    CHECK(near(z.real() / -z.imag(), loss_tangent(dielectric::polyester, f), 1e-12)); // D again
    CHECK(near(z.imag(), -1 / (2 * std::numbers::pi * f.value() * 22e-9), 1e-12));
    return 1 / (1.0 / z).real();
  };
  CHECK(std::abs(parallel_ohm(1_kHz) - 904.3e3) < 51);
  CHECK(std::abs(parallel_ohm(10_kHz) - 48.2e3) < 51);
}

TEST_CASE("no loss, no resistor; no capacitance, nothing at all") {
  CHECK(one_port(capacitor{.capacitance = 22_nF}) == one_port(22_nF));
  CHECK(capacitor{.capacitance = 22_nF}.series_resistance() == 0_Ohm);
  CHECK(capacitor{.capacitance = 0_F, .loss_tangent = 0.01}.series_resistance() == 0_Ohm);
  CHECK(one_port(capacitor{.loss_tangent = 0.01}) == one_port(0_F));
}

TEST_CASE("beside a 250 kΩ tone control the kind of film does not matter") {
  const double branch = capacitor_of(dielectric::polyester, 22_nF).series_resistance().value() / 250e3;
  MESSAGE("loss of 22 nF PET beside 250 kohm: ", 100 * branch, " %");
  CHECK(std::abs(100 * branch - 0.02) < 0.005); // computed from the formula

  const magnetic_coil coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 110_pF};
  const auto wired = [&](const one_port& c, resistance track) {
    return transfer(coil | in_shunt(series(c, track)) | in_shunt(250_kOhm) | in_shunt(500_pF));
  };
  for (const resistance& track : {250_kOhm, 25_kOhm}) { // full, and well down
    const auto ideal = wired(22_nF, track), lossy = wired(capacitor_of(dielectric::polyester, 22_nF), track);
    for (double f = 20; f < 20e3; f *= 1.1) {
      const frequency at = frequency::from_value(f);
      CHECK(near(std::abs(lossy(at)), std::abs(ideal(at)), 3e-3)); // 0.03 dB
    }
  }
  const auto ideal = find_resonance(wired(22_nF, 250_kOhm));
  const auto lossy = find_resonance(wired(capacitor_of(dielectric::polyester, 22_nF), 250_kOhm));
  REQUIRE(ideal.has_peak);
  MESSAGE("PET against ideal: ", (lossy.height - ideal.height).value(), " dB, ",
          (lossy.peak - ideal.peak).value(), " Hz");
  CHECK(std::abs((lossy.height - ideal.height).value()) < 0.001);
  CHECK(near(lossy.peak.value(), ideal.peak.value(), 2e-5));
}

TEST_CASE("what is refused") {
  const auto with = [](const capacitor& c) { return error_of([&] { (void)one_port(c); }); };
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(with({.capacitance = -22_nF}) == "capacitor.capacitance is -22 nF; allowed: 0 F or more");
  CHECK(with({.capacitance = 22_nF, .loss_tangent = -0.01}) ==
        "capacitor.loss_tangent is -0.01; allowed: 0 or more");
  CHECK(with({.capacitance = 22_nF, .loss_tangent = nan}) ==
        "capacitor.loss_tangent is NaN; allowed: 0 or more");
  CHECK(with({.capacitance = 22_nF, .stated_at = 0_Hz}) ==
        "capacitor.stated_at is 0 Hz; allowed: more than 0 Hz");
  CHECK(error_of([] { (void)loss_tangent(dielectric::polyester, 0_Hz); }) ==
        "loss_tangent.f is 0 Hz; allowed: more than 0 Hz");
}
