// SPDX-License-Identifier: BSL-1.0
// A pickup of 10 kΩ that wants 25 kΩ behind a 500 kΩ pot with 27 kΩ: what the resistor mends and what it does not.
// All reference values: computed from the formula that stands beside them, by hand.
#include <doctest/doctest.h>

#include <cmath>

#include <lodewire/analysis/level.hpp>
#include <lodewire/analysis/loading.hpp>
#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/active_pickup.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/literals.hpp>

using namespace lodewire;
using namespace lodewire::literals;

namespace {

const active_pickup pickup{.output_resistance = 10_kOhm, .name = "pickup"};
const potentiometer there{.total = 500_kOhm};
const potentiometer right{.total = 25_kOhm};
const one_port pad = 27_kOhm;
const rotation half(0.5), full(1);

struct figures {
  double source_kohm = 0, corner_khz = 0, level_db = 0, load_kohm = 0;
};

/// Into 600 pF and nothing else.
figures measure(const stage& control) {
  const source before = source(pickup) | control;
  const source whole = before | in_shunt(600_pF);
  const auto edge = find_resonance(whole).edge;
  figures f;
  f.source_kohm = output_impedance(before, 1_kHz).value().real() / 1e3;
  f.corner_khz = edge ? edge->value() / 1e3 : 0;
  f.level_db = level(before).value();
  f.load_kohm = load_on(whole, "pickup", control).control_alone.value().real() / 1e3;
  return f;
}

/// To the digits that are printed: half a unit of the last one.
void check_printed(double value, double printed, double unit) {
  CAPTURE(value);
  CAPTURE(printed);
  CHECK(std::abs(value - printed) <= unit / 2);
}

/// The level at 5 kHz that a tone branch makes, re no branch, behind a volume control that is full up.
double tone_drop(const stage& volume, const one_port& rheostat) {
  const source before = source(pickup) | volume;
  const auto branch = in_shunt(series(rheostat, 22_nF));
  return voltage_level(std::abs(response(before | branch, 5_kHz) / response(before, 5_kHz))).value();
}

double ohms(const one_port& z) { return impedance_at(z, 1_kHz).value().real(); }

} // namespace

TEST_CASE("half track, resistor across the track") {
  // 250 kΩ ∥ (250 kΩ + 10 kΩ ∥ 27 kΩ), 1/(2πRC), 25.6/35.6/2.
  const figures f = measure(there.as_divider(half, {.across_track = pad}));
  check_printed(f.source_kohm, 127, 1);
  check_printed(f.corner_khz, 2.1, 0.1);
  check_printed(f.level_db, -8.9, 0.1);
  check_printed(f.load_kohm, 25.6, 0.1);
}

TEST_CASE("half track, resistor from wiper to ground") {
  // 250 ∥ 27 ∥ 260 kΩ; 24.4/284.4; 250 kΩ + 250 ∥ 27 kΩ.
  const figures f = measure(there.as_divider(half, {.wiper_to_low = pad}));
  check_printed(f.source_kohm, 22, 1);
  check_printed(f.corner_khz, 11.9, 0.1);
  check_printed(f.level_db, -21.3, 0.1);
  check_printed(f.load_kohm, 274, 1);
  // 500 ∥ 27 kΩ at full.
  check_printed(measure(there.as_divider(full, {.wiper_to_low = pad})).load_kohm, 26, 1);
}

TEST_CASE("half track, a true 25 kΩ pot") {
  // 12.5 ∥ 22.5 kΩ; 12.5/35.
  const figures f = measure(right.as_divider(half));
  check_printed(f.source_kohm, 8, 1);
  check_printed(f.corner_khz, 33, 1);
  check_printed(f.level_db, -8.9, 0.1);
  check_printed(f.load_kohm, 25, 1);
}

TEST_CASE("across the track the cable is fed from up to (R + Rs∥pad)/4, just past the middle of the track") {
  potentiometer audio = there;
  audio.law = audio_taper;
  double most = 0, at = 0;
  for (int i = 0; i <= 10000; ++i) {
    const double ohm =
        output_impedance(source(pickup) | audio.as_divider(rotation(i / 1e4), {.across_track = pad}), 1_kHz)
            .value()
            .real();
    if (ohm > most) {
      most = ohm;
      at = i / 1e4;
    }
  }
  // Two legs of the sum R + Rs∥pad in parallel: most where they are equal.
  const double sum = 500e3 + 10e3 * 27e3 / 37e3;
  CHECK(most == doctest::Approx(sum / 4).epsilon(1e-6));
  CHECK(audio_taper(rotation(at)) == doctest::Approx(sum / 2 / 500e3).epsilon(1e-3));
  check_printed(at * 10, 8, 1);
  // Half of the track is below the wiper at ln(1 + (b - 1)/2)/ln b of the travel, b = (1/0.15 - 1)².
  const double b = std::pow(1 / 0.15 - 1, 2), knob_number = 10 * std::log(1 + (b - 1) / 2) / std::log(b);
  CHECK(audio_taper.rotation_at(0.5).value() * 10 == doctest::Approx(knob_number).epsilon(1e-9));
  check_printed(knob_number, 8.1, 0.1);
}

TEST_CASE("from wiper to ground the source stays below the pad, in reverse it is up to the whole track") {
  for (int i = 0; i <= 100; ++i) {
    CAPTURE(i);
    CHECK(measure(there.as_divider(rotation(i / 100.), {.wiper_to_low = pad})).source_kohm < 27);
    // A pad on the outer lugs of a reversed control lies across its output.
    CHECK(measure(there.as_reversed_divider(rotation(i / 100.), {.across_track = pad})).source_kohm < 27);
  }
  const auto reversed_at_0 = there.as_reversed_divider(rotation(0), {.wiper_to_low = pad});
  CHECK(measure(reversed_at_0).source_kohm == doctest::Approx(500).epsilon(1e-4));
}

TEST_CASE("a tone pot: the resistor mends the load but not the sweep") {
  const rotation tenth(0.1);
  const one_port padded = there.as_rheostat(tenth, lugs::one_two, {.wiper_to_low = pad});
  const one_port true_pot = right.as_rheostat(tenth, lugs::one_two);
  check_printed(ohms(padded) / 1e3, 17.5, 0.1); // 50 ∥ 27 kΩ
  check_printed(ohms(true_pot) / 1e3, 2.5, 0.1);
  // |Z|/|Z + Rs∥RL| with Z = R + 1/(jωC), RL the volume control at full: 25.6 kΩ with the pad, 25 kΩ without.
  check_printed(tone_drop(there.as_divider(full, {.across_track = pad}), padded), -3.0, 0.1);
  check_printed(tone_drop(right.as_divider(full), true_pot), -10.6, 0.1);
}
