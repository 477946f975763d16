// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <lodewire/instrument/hum.hpp>
#include <lodewire/instrument/knob_sweep.hpp>
#include <lodewire/instrument/live_instrument.hpp>

#include "../check.hpp"
#include "demo.hpp"

using namespace demo;
using check::error_of;
using check::near;

TEST_CASE("a turned knob gives what composing afresh gives, in every position and at both ends") {
  instrument of = two_pickups();
  live_instrument live(of, {});
  REQUIRE(live.positions() == 3);
  for (const double neck : {0.0, 5.0, 10.0})
    for (const double bridge : {0.0, 3.0, 10.0})
      for (const double tone : {0.0, 2.0, 10.0}) {
        live.turn(0, knob(neck));
        live.turn(1, knob(bridge));
        live.turn(2, knob(tone));
        for (std::size_t c = 0; c < 3; ++c) of.controls[c].at = live.knobs()[c];
        for (std::size_t p = 0; p < 3; ++p) {
          const destination into;
          const source fresh = compose(of, p) | into.lead | into.into;
          CHECK(live.at(p) == fresh);
          CHECK(live.response(p) == transfer(fresh));
        }
      }
  CHECK(live.works_in(0, 0));
  CHECK(!live.works_in(0, 2));
  CHECK(live.works_in(2, 2));
}

TEST_CASE("what a knob does over its travel") {
  live_instrument live(two_pickups(), {});
  const knob_sweep volume = sweep_knob(live, 0, 0);
  CHECK(volume.rotation.size() == 41);
  CHECK(volume.fall_db(40) == 0);
  CHECK(volume.fall_db(0) < -60);
  // 15 % at half travel (20·log 0.15 = -16.5 dB) from 6.3 kΩ into 1 MΩ; at 0.01 Hz the tone branch is no load.
  const knob_sweep slow = sweep_knob(live, 0, 0, {.low = frequency::from_value(0.01)});
  const double lower = 2 + 0.15 * (250e3 - 4), upper = 250e3 - lower, load = 1e6;
  const double half = lower * load / (lower + load), full = 250e3 * load / (250e3 + load);
  const double expected = 20 * std::log10(half / (half + upper + 6.3e3) / (full / (full + 6.3e3)));
  CHECK(std::abs(slow.fall_db(20) - expected) < 1e-3);
  CHECK(live.knobs()[0] == rotation(1)); // put back
  const knob_sweep tone = sweep_knob(live, 0, 2);
  CHECK(tone.tilt_db(0) < tone.tilt_db(40) - 10);
  CHECK(std::abs(tone.low_db[0] - tone.low_db[40]) < 0.5);
  CHECK(error_of([&] { (void)sweep_knob(live, 0, 0, {.steps = 1}); }) ==
        "knob_sweep.steps is 1; allowed: 2 or more");
}

TEST_CASE("crossings and the travel of an effect") {
  const std::vector<double> x{0, 0.25, 0.5, 0.75, 1};
  const std::vector<double> line{-40, -30, -20, -10, 0};
  CHECK(near(*first_crossing(x, line, -6), 0.85, 1e-12));
  CHECK(near(*first_crossing(x, line, -20), 0.5, 1e-12));
  CHECK(!first_crossing(x, line, 3));
  CHECK(near(travel_of_effect(x, line), 0.8, 1e-12));
  const std::vector<double> cliff{-40, -40, -40, -40, 0};
  CHECK(near(travel_of_effect(x, cliff), 0.2, 1e-12));
  const std::vector<double> flat{1, 1, 1, 1, 1};
  CHECK(travel_of_effect(x, flat) == 0);
  const std::vector<double> there_and_back{0, 10, 0, 0, 0};
  CHECK(near(travel_of_effect(x, there_and_back), 0.4, 1e-12));
}

TEST_CASE("magnetic hum cancels where the string adds; out of phase it is the other way round") {
  instrument of = two_pickups();
  // Equal coils, so that the joined position cancels completely.
  std::get<magnetic_coil>(of.pickups[1]).inductance = 2.2_H;
  std::get<magnetic_coil>(of.pickups[1]).resistance = 6.3_kOhm;
  const auto roles = emf_roles(of);
  REQUIRE(roles.size() == 2);
  const auto hum = [&](const instrument& i, std::size_t p) {
    return find_magnetic_hum(compose(i, p), roles, 100_Hz);
  };
  const double alone = hum(of, 0).output;
  CHECK(alone > 0.9);
  CHECK(near(alone, std::abs(response(compose(of, 0), 100_Hz)), 1e-12));
  CHECK(hum(of, 1).output < 1e-12);
  CHECK(near(hum(of, 1).without_cancelling, 0.97, 0.03));
  instrument swapped = of;
  swapped.positions[1].wired.of[1].leads_swapped = true;
  CHECK(near(hum(swapped, 1).output, hum(swapped, 1).without_cancelling, 1e-12));
  CHECK(std::abs(response(compose(swapped, 1), 100_Hz)) < 1e-12); // and the string cancels
  instrument weak = of;
  std::get<magnetic_coil>(weak.pickups[0]).emf = 0_V;
  CHECK(error_of([&] { (void)find_magnetic_hum(compose(weak, 0), emf_roles(weak), 100_Hz); }) ==
        "neck.emf is 0 V; allowed: more than 0 V where hum is asked for");
}

TEST_CASE("electric hum: 1 pF to 230 V at 50 Hz") {
  // Computed from the formula: 72.26 nA; 9.2 mV at 127 kΩ and 0.53 mV at 7.4 kΩ.
  const current i = stray_current(1_pF, 230_V, 50_Hz);
  CHECK(near(i.value(), 72.2566e-9, 1e-5));
  CHECK(near(i.value() * 127e3, 9.18e-3, 1e-3));
  CHECK(near(i.value() * 7.4e3, 0.535e-3, 1e-3));
  const instrument of = two_pickups();
  const destination into;
  const stage behind = stage(into.lead) | stage(into.into);
  const auto hum = [&](double at) {
    const std::vector<rotation> knobs{knob(at), knob(10), knob(10)};
    return electric_hum(of, 0, knobs, behind, "jack", i, 50_Hz).value();
  };
  const source open = compose(of, 0) | behind;
  CHECK(near(hum(10), i.value() * std::abs(output_impedance(open, 50_Hz).value()), 1e-10));
  // With the wiper half way up the track it is highest, however the coils cancel.
  CHECK(hum(8) > 5 * hum(10));
}
