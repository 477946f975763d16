// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string>

#include <doctest/doctest.h>

#include <lodewire/analysis/level.hpp>
#include <lodewire/analysis/loading.hpp>
#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/active_pickup.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using check::s_at;
using complex = std::complex<double>;

namespace {

template <class... Z>
complex beside(Z... z) {
  return 1.0 / (... + (1.0 / complex(z)));
}

potentiometer ideal(resistance total) { return {.total = total, .end_resistance = 0_Ohm}; }

const magnetic_coil neck{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 110_pF, .name = "neck"};

/// A passive coil's resonance behind a load, with a cable.
resonance with_load(resistance load) {
  return find_resonance(transfer(neck | in_shunt(load) | in_shunt(510_pF)));
}

} // namespace

TEST_CASE("a volume control alone is its track, wherever it stands") {
  for (const double at : {0.0, 0.3, 1.0}) {
    CHECK(near(input_impedance(ideal(500_kOhm).as_divider(rotation(at)), 1_kHz).value(), 500e3, 1e-13));
    CHECK(near(input_impedance(potentiometer{.total = 250_kOhm}.as_divider(rotation(at)), 1_kHz).value(),
               250e3, 1e-13));
  }
}

TEST_CASE("what follows the volume control loads the pickup at full, and is hidden at zero") {
  const cable lead{.length = 6_m, .capacitance = 100_pF_per_m};
  for (const frequency& f : {100_Hz, 1_kHz, 10_kHz}) {
    const complex behind = beside(1e6, 1.0 / (s_at(f) * 600e-12));
    const auto seen = [&](double at) {
      return input_impedance(ideal(500_kOhm).as_divider(rotation(at)) | lead | input{}, f).value();
    };
    CHECK(near(seen(1), beside(500e3, behind), 1e-12));
    CHECK(near(seen(0), 500e3, 1e-12));
    CHECK(near(seen(0.25), 375e3 + beside(125e3, behind), 1e-12));
  }
}

TEST_CASE("both loads of a pickup by name: the control alone, and everything") {
  const stage control = ideal(500_kOhm).as_divider(rotation(0.6));
  const one_port tone = series(250_kOhm, 22_nF);
  magnetic_coil with_lead = neck;
  with_lead.lead = {0.5_m, 120_pF_per_m};
  const source s =
      with_lead | in_shunt(tone) | control | cable{.length = 6_m, .capacitance = 100_pF_per_m} | input{};
  for (const frequency& f : {82_Hz, 1_kHz, 4_kHz}) {
    const complex w = s_at(f);
    const complex wiper = beside(300e3, 1e6, 1.0 / (w * 600e-12));
    const complex all = beside(1.0 / (w * 60e-12), 250e3 + 1.0 / (w * 22e-9), 200e3 + wiper);
    const loading l = load_on(s, "neck", control, f);
    CHECK(near(l.control_alone.value(), 500e3, 1e-13));
    CHECK(near(l.everything.value(), all, 1e-12));
    CHECK(l.at == f);
  }
  CHECK(load_on(s, "neck", control).at == 1_kHz);
  CHECK(error_of([&] { (void)load_on(s, "bridge", control); }) ==
        "terminal pair is 'bridge'; allowed: one of 'neck'");
  CHECK(error_of([&] { (void)load_on(s, "neck", control, 0_Hz); }) ==
        "frequency is 0 Hz; allowed: more than 0 Hz");
  CHECK(error_of([&] { (void)load_on(ideal_emf(1_V), "neck", control); }) ==
        "terminal pair is 'neck'; allowed: nothing: this circuit names none");
}

TEST_CASE("another pickup beside it is a load too, at rest") {
  magnetic_coil bridge = neck;
  bridge.name = "bridge";
  bridge.inductance = 3_H;
  const stage control = ideal(250_kOhm).as_divider(rotation(1));
  const source s = parallel(neck, bridge) | control | input{};
  const frequency f = 2_kHz;
  const complex w = s_at(f), after = beside(250e3, 1e6);
  const auto own = [&](double l) { return beside(6e3 + w * l, 1.0 / (w * 110e-12)); };
  CHECK(near(load_on(s, "neck", control, f).everything.value(), beside(own(3), after), 1e-12));
  CHECK(near(load_on(s, "bridge", control, f).everything.value(), beside(own(2.5), after), 1e-12));
  // Twice the same name does not say which.
  CHECK(error_of([&] { (void)load_on(parallel(neck, neck), "neck", control); }) ==
        "terminal pair is 'neck'; allowed: a name that is used once (this one is used twice or more)");
}

TEST_CASE("a textbook problem, both places of the tone branch") {
  // numerade.com 67512, "Electric guitar": pickup 5.8 H, 11.9 kΩ; volume 243 kΩ above the wiper, 73 kΩ below;
  // tone 142 kΩ and 46 nF; cable 1.8 Ω, 597 pF; amplifier 26 MΩ; 1.5 kHz. No answer is printed and the
  // drawing is not in the text; both: computed from the formula.
  const magnetic_coil pickup{.inductance = 5.8_H, .resistance = 11.9_kOhm, .name = "pickup"};
  const one_port tone = series(142_kOhm, 46_nF);
  const potentiometer part = ideal(316_kOhm);
  const stage volume = part.as_divider(rotation(73.0 / 316));
  const stage after = in_series(1.8_Ohm) | in_shunt(597_pF) | in_shunt(26_MOhm);
  const frequency f = 1.5_kHz;
  const complex own = impedance_at(pickup.winding_impedance(), f).value();
  const auto check = [&](const source& s, const stage& load, double re, double im, double magnitude,
                         double deg) {
    const complex z = own + load_seen(s, s.terminals("pickup"), f).value();
    MESSAGE("seen by the source: ", z.real(), " + j", z.imag(), " ohm");
    CHECK(std::abs(z.real() - re) < 0.0051);
    CHECK(std::abs(z.imag() - im) < 0.0051);
    CHECK(std::abs(std::abs(z) - magnitude) < 0.051);
    CHECK(std::abs(std::arg(z) * 180 / std::numbers::pi - deg) < 0.000051);
    CHECK(near(own + input_impedance(load, f).value(), z, 1e-12));
  };
  const stage before_volume = in_shunt(tone) | volume | after, on_wiper = volume | in_shunt(tone) | after;
  check(pickup | before_volume, before_volume, 108.91937e3, 51.02220e3, 120.2776e3, 25.1003);
  check(pickup | on_wiper, on_wiper, 299.61512e3, 42.30867e3, 302.5876e3, 8.0376);
}

TEST_CASE("27 kΩ across a 500 kΩ control counts as about 25 kΩ (common practice, no source)") {
  const stage control = in_shunt(27_kOhm) | ideal(500_kOhm).as_divider(rotation(1));
  const double seen = input_impedance(control, 1_kHz).value().real();
  CHECK(near(seen, 27e3 * 500e3 / 527e3, 1e-13)); // 25.6 kΩ
  CHECK(near(seen, 25e3, 0.05));                  // closer than any potentiometer's own tolerance
  // What an active pickup's level makes of the difference.
  const double with = level(active_pickup{} | control).value();
  const double meant = level(active_pickup{} | ideal(25_kOhm).as_divider(rotation(1))).value();
  MESSAGE("27 kohm across 500 kohm against 25 kohm behind an active pickup: ", with - meant, " dB");
  CHECK(std::abs(with - meant) < 0.1);
}

TEST_CASE("a load of the 25 kΩ class takes a passive coil's resonance away (common practice, no source)") {
  const resonance open = with_load(500_kOhm), loaded = with_load(25_kOhm), stood_in = with_load(27_kOhm);
  CHECK(open.has_peak);
  CHECK(open.height.value() > 6);
  CHECK(!loaded.has_peak);
  CHECK(!stood_in.has_peak);
  // And most of the treble with it.
  const source dull = neck | in_shunt(25_kOhm) | in_shunt(510_pF);
  CHECK(level(dull, 4_kHz).value() < level(dull, 100_Hz).value() - 3);
}

TEST_CASE("470 kΩ stands in for an absent 500 kΩ control (common practice, no source)") {
  const auto with = [](resistance r) {
    return find_resonance(transfer(neck | in_shunt(r) | in_shunt(510_pF) | input{}));
  };
  const resonance meant = with(500_kOhm), real = with(470_kOhm);
  REQUIRE(meant.has_peak);
  REQUIRE(real.has_peak);
  MESSAGE("470 against 500 kohm: ", (real.height - meant.height).value(), " dB, ",
          (real.peak - meant.peak).value(), " Hz");
  CHECK(std::abs((real.height - meant.height).value()) < 0.5);
  CHECK(near(real.peak.value(), meant.peak.value(), 2e-3));
}

TEST_CASE("a guitar-sized chain") {
  // 1 kHz: 6 kΩ + 2.5 H, then across it 120 pF, 250 kΩ, 250 kΩ + 22 nF, 500 pF, 1 MΩ: computed from the
  // formula.
  const source s = ideal_emf(1_V) | in_series(6_kOhm) | in_series(2.5_H) | in_shunt(120_pF) |
                   in_shunt(250_kOhm) | in_shunt(series(250_kOhm, 22_nF)) | in_shunt(500_pF) |
                   in_shunt(1_MOhm);
  const complex h = response(s, 1_kHz);
  CHECK(near(std::abs(h), 0.9953439136, 1e-9));
  CHECK(near(std::arg(h) * 180 / std::numbers::pi, -9.4749516, 1e-8));
  CHECK(near(1.0 / h, {0.9909717122, 0.1653864628}, 1e-9));
  CHECK(near(output_impedance(s, 1_kHz).value(), {8464.33943, 14438.43042}, 1e-9));
}
