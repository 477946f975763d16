// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <lodewire/instrument/survey.hpp>

#include "../check.hpp"
#include "demo.hpp"

using namespace demo;
using check::error_of;
using check::near;

TEST_CASE("every figure of a survey is the one that the layers below give") {
  const instrument of = two_pickups();
  const destination into{.lead = {.length = 6_m, .capacitance = 100_pF_per_m}};
  const std::vector<rotation> knobs{knob(8), knob(6), knob(4)};
  const survey_result all = survey(of, knobs, into, {.reference = "bridge"});
  REQUIRE(all.positions.size() == 3);
  CHECK(all.instrument == "two pickups");
  for (std::size_t p = 0; p < 3; ++p) {
    const position_survey& s = all.positions[p];
    const source bare = compose(of, p, knobs), whole = bare | into.lead | into.into;
    CHECK(s.name == of.positions[p].name);
    CHECK(near(s.level.value(), level(whole, 100_Hz).value(), 1e-9));
    CHECK(near(s.against_reference.value(),
               (level(whole) - level(compose(of, 2, knobs) | into.lead | into.into)).value(), 1e-9));
    const resonance r = find_resonance(whole);
    CHECK(s.peak.has_peak == r.has_peak);
    CHECK(near(s.peak.peak.value(), r.peak.value(), 1e-9));
    CHECK(near(s.source_impedance.value(), output_impedance(bare, 1_kHz).value(), 1e-12));
    CHECK(near(s.meter_reading.value(), dc_resistance(bare).value(), 1e-12));
    REQUIRE(s.loads.size() == (p == 1 ? 2U : 1U));
    CHECK(near(s.loads[0].load.value(), load_seen(whole, 0, 1_kHz).value(), 1e-12));
    // At 50 Hz the stray current meets the impedance of all that hangs on the hot lead.
    const double stray = 2 * std::numbers::pi * 50 * 1e-12 * 230;
    CHECK(near(s.electric_hum.value(), stray * std::abs(output_impedance(whole, 50_Hz).value()), 1e-9));
    const auto hz = log_grid(10_Hz, 50_kHz, 400);
    CHECK(near(s.noise.value(), integrated_noise(noise(whole, hz).density, hz).value(), 1e-9));
    CHECK(s.noise_a_weighted.value() > 0.5 * s.noise.value());
    CHECK(s.controls.size() == (p == 1 ? 3U : 2U));
  }
  // The joined coils are of opposite winding and magnet; they are unlike, so most of the hum goes, not all.
  CHECK(all.positions[1].hum_cancelling.value() < -10);
  CHECK(all.positions[0].hum_cancelling.value() == 0);
}

TEST_CASE("what a meter reads at the jack") {
  // 7.4 kΩ behind 250 kΩ: 7.187 kΩ (computed from the formula).
  instrument of;
  of.pickups.emplace_back(coil("pickup", 3, 7.4));
  of.controls = {{.name = "volume", .sections = {potentiometer{.total = 250_kOhm, .end_resistance = 0_Ohm}}}};
  of.positions = {{"on", from_pickup("pickup", {volume_step("volume")})}};
  const survey_result all = survey(of, {}, {});
  CHECK(near(all.positions[0].meter_reading.value(), 7187.26, 1e-6));
}

TEST_CASE("the laws of a volume and of a tone control") {
  instrument of;
  of.pickups.emplace_back(coil("pickup", 2.5, 6));
  const potentiometer linear{.total = 250_kOhm};
  of.controls = {{.name = "volume", .sections = {linear}}, {.name = "tone", .sections = {linear}}};
  of.positions = {
      {"on", from_pickup("pickup", {shunt_step(tone_branch("tone", 22_nF)), volume_step("volume")})}};
  const destination next_to_nothing{.lead = {}, .into = {.resistance = 10_GOhm}};
  const survey_result all = survey(of, {}, next_to_nothing);
  const control_survey& volume = all.positions[0].controls[0];
  const control_survey& tone = all.positions[0].controls[1];
  CHECK(volume.control == "volume");
  REQUIRE(volume.level_db.size() == 11);
  CHECK(volume.level_db[10] == 0);
  for (std::size_t k = 1; k < 11; ++k) CHECK(volume.level_db[k] > volume.level_db[k - 1]);
  // A linear track: half the track for -6 dB, a quarter for -12, a tenth for -20, but for the source of 6 kΩ.
  REQUIRE((volume.at_6_db && volume.at_12_db && volume.at_20_db));
  CHECK(near(*volume.at_6_db, 0.501, 0.01));
  CHECK(near(*volume.at_12_db, 0.251, 0.02));
  CHECK(near(*volume.at_20_db, 0.1, 0.05));
  CHECK(tone.level_range_db < 1);
  CHECK(!tone.at_6_db);
  CHECK(tone.treble_range_db > 20);
  CHECK(tone.travel_of_tone < 0.5); // a linear tone control crowds at its end
}

TEST_CASE("noise of active parts is counted, in the order in which they come") {
  instrument of = mixed();
  const auto total = [&](const instrument& i, const destination& d) {
    return instrument_noise(i, 2, d).flat.value();
  };
  const double quiet = total(of, {});
  std::get<active_pickup>(of.pickups[1]).voltage_noise = 200e-9;
  const source loaded = compose(of, 2) | destination{}.lead | destination{}.into;
  const double passed = std::abs(response(loaded, 1_kHz)); // its corner lies at 55 kHz
  CHECK(near(total(of, {}), std::hypot(quiet, passed * 200e-9 * std::sqrt(19980.)), 0.02));
  std::get<active_pickup>(of.pickups[1]).voltage_noise = 0;
  destination hissing;
  hissing.voltage_noise = 100e-9;
  CHECK(near(total(of, hissing), std::hypot(quiet, 100e-9 * std::sqrt(19980.)), 1e-3));
  wiring_step amplifier{.is = wiring_step::kind::amplifier, .name = "booster"};
  amplifier.amplifier.voltage_noise = 50e-9;
  amplifier.amplifier.gain = 4;
  amplifier.amplifier.output_resistance = 100_Ohm;
  of.output.push_back(amplifier);
  const noise_figures boosted = instrument_noise(of, 2, {});
  bool named = false;
  for (const noise_contribution& c : boosted.spectrum.contributions)
    named = named || c.name == "booster: e_n";
  CHECK(named);
  CHECK(near(boosted.flat.value(), std::hypot(4 * quiet, 4 * 50e-9 * std::sqrt(19980.)), 0.05));
}

TEST_CASE("knobs and references that are not there") {
  const instrument of = two_pickups();
  CHECK(error_of([&] { (void)survey(of, std::vector<rotation>{knob(1)}, {}); }) ==
        "knobs is 1 long; allowed: one for each control: 3");
  CHECK(error_of([&] { (void)survey(of, {}, {}, {.reference = "middle"}); }) ==
        "position is 'middle'; allowed: 'neck', 'both' or 'bridge'");
}
