// SPDX-License-Identifier: BSL-1.0
// Strums, loading and clipping, against dividers written out by hand.
#include <doctest/doctest.h>

#include <lodewire/design/clipping.hpp>
#include <lodewire/design/loudness.hpp>

#include "../check.hpp"
#include "../instrument/demo.hpp"

using namespace demo;
using check::error_of;
using check::near;

namespace {

double beside(double a, double b) { return a * b / (a + b); }
/// So low that coils are their resistance and capacitors are open.
const frequency slow = frequency::from_value(1e-3);
const strum_band dc{slow, slow};

/// Response of `two_pickups` at dc with a volume control at full, into 1 MΩ.
double through(double coil, double load = 1e6) {
  const double below = beside(250e3 - 2, load);
  return below / (below + 2 + coil);
}
destination into(resistance r = 1_MOhm) {
  destination d;
  d.into.resistance = r;
  return d;
}

} // namespace

TEST_CASE("a reading over the loading is the EMF") {
  const instrument of = two_pickups();
  const measured_emf m = emf_from_strum(of, {"neck", 0.2_V, {}}, into(), dc);
  CHECK(m.pickup == "neck");
  CHECK(near(m.emf.value(), 0.2 / through(6300), 1e-8));
  CHECK(near(m.factor, m.emf.value(), 1e-12)); // the instrument states 1 V
  CHECK(near(m.loading.value(), 20 * std::log10(through(6300)), 1e-6));
  // A volume control at half (15 %) and an input of 100 kΩ.
  const std::vector<rotation> half{knob(5), knob(10), knob(10)};
  const double lower = 2 + 0.15 * (250e3 - 4), upper = 250e3 - lower, below = beside(lower, 100e3);
  CHECK(near(emf_from_strum(of, {"neck", 20_mV, half}, into(100_kOhm), dc).emf.value(),
             0.02 * (below + upper + 6300) / below, 1e-8));
  // A pair's two EMFs count together, whatever EMF was stated.
  instrument pair_of = of;
  coil_pair pair = humbucking_pair(coil("a", 2, 4), coil("b", 2, 4), 0.1);
  pair.first.emf = pair.second.emf = 3_V;
  pair.name = "neck";
  pair_of.pickups[0] = pair;
  const measured_emf both = emf_from_strum(pair_of, {"neck", 0.3_V, {}}, into(), dc);
  CHECK(near(both.emf.value(), 0.3 / through(8000), 1e-8));
  CHECK(near(both.factor, 0.3 / through(8000) / 6, 1e-8));
}

TEST_CASE("EMF ratio of two readings: louder by itself, or loaded less") {
  // Twice the voltage, but the first one was read at half volume.
  const instrument of = two_pickups();
  const std::vector<rotation> half{knob(5), knob(10), knob(10)};
  const strum_comparison c = compare_strums(of, {"neck", 0.1_V, half}, {"bridge", 0.2_V, {}}, into(), dc);
  const double lower = 2 + 0.15 * (250e3 - 4), upper = 250e3 - lower, below = beside(lower, 1e6);
  const double at_half = below / (below + upper + 6300);
  CHECK(near(c.as_read.value(), 20 * std::log10(2.0), 1e-12));
  CHECK(near(c.emf_ratio.value(), 20 * std::log10((0.2 / through(7800)) / (0.1 / at_half)), 1e-7));
  CHECK(c.emf_ratio.value() < -9); // by itself it is the softer one
  CHECK(near(c.of_loading.value(), 20 * std::log10(through(7800) / at_half), 1e-7));
}

TEST_CASE("from readings to readings: what was read comes out again, and another wiring follows") {
  const instrument of = two_pickups();
  const strum_band band; // 80 Hz to 1 kHz
  const strum_reading neck{"neck", 0.15_V, {}}, bridge{"bridge", 0.09_V, {}};
  const std::vector<measured_emf> found{emf_from_strum(of, neck, into(), band),
                                        emf_from_strum(of, bridge, into(), band)};
  const instrument known = with_emfs(of, found);
  for (const strum_reading& r : {neck, bridge}) {
    const source whole = compose(known, find_position(known, r.position)) | into().lead | into().into;
    CHECK(near(band_voltage(whole, band).value(), r.shown.value(), 1e-12));
  }
  CHECK(near(louder_by(known, {"neck", {}, into()}, known, {"bridge", {}, into()}, band).value(),
             20 * std::log10(0.09 / 0.15), 1e-9));
  // Both pickups in series instead of in parallel, straight to the jack, at dc: the EMFs add up behind both coils.
  instrument series = known, plain = known;
  series.positions[1].wired = joined_in_series({from_pickup("neck"), from_pickup("bridge")});
  plain.positions[1].wired = joined_in_parallel({from_pickup("neck"), from_pickup("bridge")});
  series.output.clear();
  plain.output.clear();
  const double a = found[0].emf.value(), b = found[1].emf.value(), load = 1e6;
  const double in_series = (a + b) * load / (load + 6300 + 7800);
  const double in_parallel = (a / 6300 + b / 7800) / (1 / 6300.0 + 1 / 7800.0 + 1 / load);
  CHECK(near(louder_by(plain, {"both", {}, into()}, series, {"both", {}, into()}, dc).value(),
             20 * std::log10(in_series / in_parallel), 1e-6));
}

TEST_CASE("a band is the mean square over the logarithm of frequency") {
  // A coil of L behind R: |H|² = 1/(1 + (f/fc)²) into R alone. Mean of it over ln f from a to b (in units of fc):
  // (ln(b/a) - ½·ln((1 + b²)/(1 + a²)))/ln(b/a).
  const source low_pass = ideal_emf(1_V) | in_series(resistance(1_kOhm)) | in_shunt(1_uF);
  const double corner = 1 / (2 * std::numbers::pi * 1e-3), a = 80 / corner, b = 1000 / corner;
  const double mean = 1 - 0.5 * std::log((1 + b * b) / (1 + a * a)) / std::log(b / a);
  CHECK(near(band_voltage(low_pass).value(), std::sqrt(mean), 1e-4)); // trapezoids of 1/24 octave
  CHECK(near(band_voltage(low_pass, {frequency::from_value(corner), frequency::from_value(corner)}).value(),
             std::sqrt(0.5), 1e-12));
}

TEST_CASE("clipping: an active pickup, an amplifier, the input") {
  instrument of = mixed();
  of.output.push_back({.is = wiring_step::kind::amplifier, .name = "booster"});
  of.output[1].amplifier.gain = 4;
  std::get<active_pickup>(of.pickups[1]).emf = 0.5_V; // peak
  onboard_supply& supply = *of.supply;
  supply.cell.fresh_voltage = 9_V;
  supply.cell.end_voltage = 6_V;
  supply.cell.internal_resistance = {};
  const clip_settings with{.input_limit = 1_V, .band = dc};
  const auto stages = find_clipping(of, {"bridge", {}, into()}, with);
  REQUIRE(stages.size() == 3);
  // (9 - 2)/2 = 3.5 V and (6 - 2)/2 = 2 V of peak, 2 V lost at the rails.
  CHECK(stages[0].name == "bridge");
  CHECK(stages[0].peak.value() == 0.5);
  CHECK(near(stages[0].fresh_limit.value(), 3.5, 1e-12));
  CHECK(near(stages[0].end.value(), 20 * std::log10(2 / 0.5), 1e-12));
  CHECK(!stages[0].clips());
  // 10 kΩ and 2 Ω into the track beside 1 MΩ of the amplifier's input; then four times.
  const double at_input = 0.5 * beside(250e3 - 2, 1e6) / (beside(250e3 - 2, 1e6) + 10e3 + 2);
  CHECK(stages[1].name == "booster");
  CHECK(near(stages[1].peak.value(), 4 * at_input, 1e-9));
  CHECK(near(stages[1].end.value(), 20 * std::log10(2 / (4 * at_input)), 1e-6));
  CHECK(!stages[1].clips()); // 1.90 V of 2 V
  // 1 kΩ out, into 1 MΩ.
  CHECK(stages[2].name == "amplifier");
  CHECK(near(stages[2].peak.value(), 4 * at_input / 1.001, 1e-9));
  CHECK(near(stages[2].end.value(), -20 * std::log10(4 * at_input / 1.001), 1e-6));
  CHECK(stages[2].clips());
  // Harder strings: the amplifier clips on an empty battery only.
  clip_settings harder = with;
  harder.peak_factor = 1.2;
  const auto hard = find_clipping(of, {"bridge", {}, into()}, harder);
  CHECK(hard[1].clips());
  CHECK(hard[1].fresh.value() > 0);
  CHECK(near(hard[1].peak.value(), 1.2 * stages[1].peak.value(), 1e-12));
  // The passive position has no active pickup, but the amplifier.
  CHECK(find_clipping(of, {"neck", {}, into()}, with).size() == 2);
  // Turned down before the amplifier it is heard less there; the active pickup itself is not.
  const auto down = find_clipping(of, {"bridge", {knob(5)}, into()}, with);
  CHECK(down[0].peak.value() == 0.5);
  CHECK(down[1].peak < 0.2 * stages[1].peak);
}

TEST_CASE("amplifiers inside a branch") {
  instrument of = mixed();
  wiring_step booster{.is = wiring_step::kind::amplifier};
  booster.amplifier.gain = 3;
  of.circuits = {{"neck side", from_pickup("neck", {booster})}};
  of.positions[1].wired.of[0] = from_circuit("neck side");
  const auto stages = find_clipping(of, {"both", {}, into()}, {.input_limit = 1_V, .band = dc});
  REQUIRE(stages.size() == 3);
  CHECK(stages[1].name == "amplifier in 'neck side'");
  CHECK(near(stages[1].peak.value(), 3 * 1e6 / (1e6 + 7200), 1e-9)); // whatever lies across its output
  // The highest response in the band counts.
  const double resonant =
      find_clipping(of, {"neck", {}, into()}, {.input_limit = 1_V, .band = {1_kHz, 20_kHz}})[0].peak.value();
  CHECK(resonant > 1.5);
}

TEST_CASE("bad input is named") {
  const instrument of = two_pickups();
  const auto said = [&](strum_reading r, strum_band band = {}) {
    return error_of([&] { (void)emf_from_strum(of, r, into(), band); });
  };
  CHECK(said({"both", 1_V, {}}) ==
        "strum_reading.position is 'both' with 'neck' and 'bridge'; allowed: a position in "
        "which one pickup sounds alone");
  CHECK(said({"nick", 1_V, {}}) == "strum_reading.position is 'nick'; allowed: 'neck', 'both' or 'bridge'");
  CHECK(said({"neck", 0_V, {}}) == "strum_reading.shown is 0 V; allowed: more than 0 V");
  CHECK(said({"neck", 1_V, {knob(1)}}) ==
        "strum_reading.knobs is 1 long; allowed: one for each control: 3, or none");
  CHECK(said({"neck", 1_V, {}}, {1_kHz, 100_Hz}) ==
        "strum_band.highest is 100 Hz; allowed: strum_band.lowest or more: 1 kHz");
  CHECK(said({"neck", 1_V, {}}, {0_Hz, 100_Hz}) == "strum_band.lowest is 0 Hz; allowed: more than 0 Hz");
  instrument mute = of;
  std::get<magnetic_coil>(mute.pickups[0]).emf = 0_V;
  CHECK(error_of([&] {
          (void)emf_from_strum(mute, {"neck", 1_V, {}}, into());
        }) == "signal in position 'neck' is 0 V; allowed: more than 0 V");
  CHECK(error_of([&] {
          (void)with_emfs(of, std::vector<measured_emf>{{"neck", -1}});
        }) == "measured_emf.factor is -1; allowed: more than 0");
  CHECK(error_of([&] {
          (void)with_emfs(of, std::vector<measured_emf>{{"nick", 1}});
        }) == "pickup is 'nick'; allowed: 'neck' or 'bridge'");
  CHECK(error_of([&] {
          (void)louder_by(of, {"neck", {}, into()}, of, {"nick", {}, into()});
        }) == "play_setting.position is 'nick'; allowed: 'neck', 'both' or 'bridge'");
  CHECK(error_of([&] {
          (void)find_clipping(of, {"neck", {}, into()}, {});
        }) == "clip_settings.input_limit is 0 V; allowed: more than 0 V");
  CHECK(error_of([&] {
          (void)find_clipping(of, {"neck", {}, into()}, {.input_limit = 1_V, .peak_factor = 0});
        }) == "clip_settings.peak_factor is 0; allowed: more than 0");
  instrument unfed = mixed();
  unfed.supply.reset();
  CHECK(error_of([&] {
          (void)find_clipping(unfed, {"bridge", {}, into()}, {.input_limit = 1_V});
        }) == "instrument.supply is none; allowed: a supply for 'bridge'");
  CHECK(find_clipping(unfed, {"neck", {}, into()}, {.input_limit = 1_V}).size() == 1);
}
