// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <lodewire/analysis/dc_resistance.hpp>
#include <lodewire/analysis/level.hpp>
#include <lodewire/instrument/compose.hpp>
#include <lodewire/instrument/sound.hpp>

#include "../check.hpp"
#include "demo.hpp"

using namespace demo;
using check::error_of;
using check::near;

namespace {

bool same_at(const source& a, const source& b) {
  for (const double hz : {60.0, 440.0, 3e3, 9e3}) {
    const frequency f = frequency::from_value(hz);
    if (!near(response(a, f), response(b, f), 1e-12)) return false;
    if (!near(output_impedance(a, f).value(), output_impedance(b, f).value(), 1e-12)) return false;
  }
  return true;
}

} // namespace

TEST_CASE("a position is the circuit that one would write by hand") {
  const instrument of = two_pickups();
  const potentiometer pot{.total = 250_kOhm, .law = audio_taper};
  const std::vector<rotation> knobs{knob(7), knob(4), knob(3)};
  const auto side = [&](std::size_t pickup, double at) {
    return source(std::get<magnetic_coil>(of.pickups[pickup])) | pot.as_divider(knob(at));
  };
  const stage tone = in_shunt(series(pot.as_rheostat(knob(3), lugs::one_two), 22_nF));
  CHECK(same_at(compose(of, 0, knobs), side(0, 7) | tone));
  CHECK(same_at(compose(of, 1, knobs), parallel(side(0, 7), side(1, 4)) | tone));
  CHECK(same_at(compose(of, 2, knobs), side(1, 4) | tone));
  CHECK(compose(of, 1, knobs).emf_names().size() == 2);
  CHECK(compose(of, 1).terminals("bridge") == 1);
}

TEST_CASE("every step, mode and network") {
  instrument of;
  const magnetic_coil half = coil("a", 2, 4);
  coil_pair pair = humbucking_pair(half, coil("b", 2, 4), 0.1);
  pair.name = "pair";
  of.pickups.emplace_back(pair);
  of.pickups.emplace_back(piezo{.capacitance = 1_nF, .name = "saddle"});
  const potentiometer pot{.total = 500_kOhm};
  of.controls = {{.name = "two", .sections = {pot, potentiometer{.total = 100_kOhm}}, .at = knob(6)}};
  of.positions = {{"p", {}}};
  const auto of_wiring = [&](wiring w) {
    of.positions[0].wired = std::move(w);
    return compose(of, 0);
  };
  wiring w = from_pickup("pair");
  CHECK(same_at(of_wiring(w), pair.as_series()));
  w.leads_swapped = true;
  CHECK(same_at(of_wiring(w), reversed(pair.as_series())));
  // Without capacitances to ground swapped leads turn the signal and nothing else, in every mode.
  for (const pickup_mode mode :
       {pickup_mode::whole, pickup_mode::parallel, pickup_mode::first, pickup_mode::second,
        pickup_mode::series_out_of_phase, pickup_mode::parallel_out_of_phase}) {
    wiring normal = from_pickup("pair"), turned = normal;
    normal.mode = turned.mode = mode;
    turned.leads_swapped = true;
    const source s = of_wiring(normal), t = of_wiring(turned);
    for (const std::string& emf : s.emf_names())
      CHECK(near(response(t, t.emf(emf), 3_kHz), -response(s, s.emf(emf), 3_kHz), 1e-12));
    CHECK(same_at(t, reversed(s)));
  }
  w.leads_swapped = false;
  w.mode = pickup_mode::parallel;
  CHECK(same_at(of_wiring(w), pair.as_parallel()));
  w.mode = pickup_mode::series_out_of_phase;
  CHECK(same_at(of_wiring(w), pair.as_series_out_of_phase()));
  w.mode = pickup_mode::parallel_out_of_phase;
  CHECK(same_at(of_wiring(w), pair.as_parallel_out_of_phase()));
  w.mode = pickup_mode::first;
  CHECK(same_at(of_wiring(w), pair.as_single(which_coil::first, idle_coil::open())));
  w.mode = pickup_mode::second;
  w.across_idle_coil = 4.7_kOhm;
  CHECK(same_at(of_wiring(w), pair.as_single(which_coil::second, idle_coil::bypassed(4.7_kOhm))));

  const source series_pair = pair.as_series();
  const potentiometer second{.total = 100_kOhm};
  wiring_step volume = volume_step("two.1");
  volume.bleed = in_a_row({resistance(150_kOhm), 680_pF});
  volume.across_track = network(1_MOhm);
  volume.wiper_to_low = network(470_kOhm);
  const potentiometer_wiring with{.bleed = series(150_kOhm, 680_pF),
                                  .across_track = one_port(1_MOhm),
                                  .wiper_to_low = one_port(470_kOhm)};
  CHECK(same_at(of_wiring(from_pickup("pair", {volume})), series_pair | pot.as_divider(knob(6), with)));
  volume.is = wiring_step::kind::reversed_volume;
  CHECK(same_at(of_wiring(from_pickup("pair", {volume})),
                series_pair | pot.as_reversed_divider(knob(6), with)));
  const network branch = side_by_side({rheostat("two.2", lugs::two_three), 3_H, 10_nF});
  CHECK(same_at(of_wiring(from_pickup("pair", {series_step(branch)})),
                series_pair | in_series(parallel(second.as_rheostat(knob(6), lugs::two_three), 3_H, 10_nF))));
  wiring_step amplifier{.is = wiring_step::kind::amplifier, .name = "booster"};
  amplifier.amplifier.gain = 3;
  amplifier.amplifier.input_capacitance = 20_pF;
  CHECK(same_at(of_wiring(from_pickup("pair", {amplifier})),
                series_pair | buffer(3, parallel(1_MOhm, 20_pF), 1_kOhm)));
  CHECK(same_at(of_wiring(joined_in_series({from_pickup("pair"), from_pickup("saddle")})),
                series(series_pair, source(std::get<piezo>(of.pickups[1])))));
  wiring swapped = joined_in_series({from_pickup("pair"), from_pickup("saddle")});
  swapped.leads_swapped = true;
  CHECK(same_at(of_wiring(swapped), reversed(series(series_pair, source(std::get<piezo>(of.pickups[1]))))));
}

TEST_CASE("swapped leads leave the capacitances on the winding") {
  instrument of;
  magnetic_coil one = coil("one", 2.5, 6);
  one.end_to_ground = 300_pF;
  one.start_to_ground = 20_pF;
  of.pickups.emplace_back(one);
  wiring swapped = from_pickup("one");
  swapped.leads_swapped = true;
  of.positions = {{"p", swapped}};
  CHECK(compose(of, 0) == source(reversed(one)));
  CHECK(!same_at(compose(of, 0), reversed(source(one))));
}

TEST_CASE("faults and injected currents at points") {
  instrument of = two_pickups();
  of.positions[0].wired.then.push_back(point_step("switch"));
  const auto with = [&](std::vector<fault> faults, std::string inject = {}) {
    return compose(of, 0, compose_options{.faults = std::move(faults), .inject_at = std::move(inject)});
  };
  const source sound = compose(of, 0);
  const double reading = dc_resistance(sound).value();
  // A joint in the lead behind everything adds what it has; in the pickup's lead it is behind the pot's 250 kΩ.
  CHECK(near(dc_resistance(with({{"jack", fault::kind::joint, 1_kOhm}})).value(), reading + 1e3, 1e-12));
  const double coil_side = 6300 + 1e3, track = 250e3 - 2;
  CHECK(near(dc_resistance(with({{"neck", fault::kind::joint, 1_kOhm}})).value(),
             (coil_side + 2) * track / (coil_side + 2 + track), 1e-12));
  CHECK(near(dc_resistance(with({{"neck", fault::kind::joint, resistance::from_value(open_value)}})).value(),
             track, 1e-12));
  CHECK(dc_resistance(with({{"switch", fault::kind::leak, 0_Ohm}})).value() == 0);
  CHECK(is_open(
      dc_resistance(with({{"jack", fault::kind::joint, resistance::from_value(open_value)}})).value()));
  // A current into the hot lead at the jack sees the output impedance there.
  const source hit = with({}, "jack");
  CHECK(near(response(hit, hit.emf("injected"), 50_Hz), output_impedance(sound, 50_Hz).value(), 1e-12));
  CHECK(error_of([&] {
          (void)with({{"nowhere", fault::kind::leak, 1_kOhm}});
        }) == "fault.at is 'nowhere'; allowed: a point of this position");
  CHECK(error_of([&] { (void)with({}, "nowhere"); }) ==
        "inject_at is 'nowhere'; allowed: a point of this position");
}

TEST_CASE("without a supply an active pickup is a resistance and an amplifier is silent") {
  instrument of = mixed();
  const source on = compose(of, 2);
  const source off = compose(of, 2, compose_options{.powered = false});
  CHECK(std::abs(response(on, 440_Hz)) > 0.9);
  CHECK(std::abs(response(off, 440_Hz)) == 0);
  CHECK(near(output_impedance(off, 440_Hz).value(), output_impedance(on, 440_Hz).value(), 1e-12));
  std::get<active_pickup>(of.pickups[1]).unpowered_resistance = 100_Ohm;
  const source off_low = compose(of, 2, compose_options{.powered = false});
  CHECK(std::abs(output_impedance(off_low, 440_Hz).value()) < 110);
  of.positions[0].wired.then.push_back({.is = wiring_step::kind::amplifier, .name = "booster"});
  CHECK(std::abs(response(compose(of, 0, compose_options{.powered = false}), 440_Hz)) == 0);
}

TEST_CASE("what is wrong is named by its path") {
  instrument of = two_pickups();
  const auto said = [&](auto&& change) {
    instrument wrong = of;
    change(wrong);
    return error_of([&] { require_sound(wrong); });
  };
  CHECK_NOTHROW(require_sound(of));
  CHECK(said([](instrument& i) { i.circuits[0].wired.name = "nek"; }) ==
        "circuits.neck side.wiring.pickup is 'nek'; allowed: 'neck' or 'bridge'");
  CHECK(said([](instrument& i) { i.positions[1].wired.of[1].name = "side"; }) ==
        "positions.both.wiring.parallel[1].circuit is 'side'; allowed: 'neck side' or 'bridge side'");
  CHECK(said([](instrument& i) { i.circuits[0].wired = from_circuit("neck side"); }) ==
        "circuits.neck side.wiring.circuit is 'neck side', which leads back to itself; allowed: a circuit "
        "that does "
        "not "
        "contain this place");
  CHECK(said([](instrument& i) { i.positions[1].wired.of.pop_back(); }) ==
        "positions.both.wiring.parallel is 1 long; allowed: two wirings or more");
  CHECK(said([](instrument& i) { i.positions[1].wired.of[1].name = "neck side"; }) ==
        "circuits.neck side.wiring.pickup is 'neck' a second time; allowed: each of them once in a position");
  CHECK(said([](instrument& i) { i.output.push_back(volume_step("tone")); }) ==
        "output[1].volume is 'tone' a second time; allowed: each of them once in a position");
  CHECK(said([](instrument& i) { i.output[0].part.of[0].control = "tome"; }) ==
        "output[0].shunt.series[0].rheostat is 'tome'; allowed: 'neck volume', 'bridge volume', 'tone'");
  CHECK(said([](instrument& i) {
          i.output[0].part.of[1].capacitor.capacitance = -1_nF;
        }).find("capacitor.capacitance is -1 nF") != std::string::npos);
  CHECK(said([](instrument& i) {
          i.positions[0].wired.mode = pickup_mode::whole, i.circuits[0].wired.mode = pickup_mode::first;
        }) == "circuits.neck side.wiring.mode is of a pickup with two coils; allowed: whole, for 'neck'");
  CHECK(said([](instrument& i) { i.controls[1].name = "tone"; }) ==
        "controls[2].name is 'tone' a second time; allowed: names that differ");
  CHECK(said([](instrument& i) {
          i.controls[0].sections.push_back({.total = 1_kOhm});
          i.controls[1].name = "neck volume.2";
        }) ==
        "controls.neck volume.2 is 'neck volume.2' a second time; allowed: sections whose names differ");
  CHECK(said([](instrument& i) { i.positions[2].name.clear(); }) ==
        "positions[2].name is ''; allowed: a name");
  CHECK(said([](instrument& i) { i.positions.clear(); }) ==
        "positions is an empty list; allowed: one position or more");
  CHECK(said([](instrument& i) { i.controls[0].sections.clear(); }) ==
        "controls.neck volume.sections is an empty list; allowed: one potentiometer or more");
  CHECK(said([](instrument& i) {
          i.controls.push_back({"spare", {potentiometer{.total = 1_kOhm}}});
        }) == "controls.spare is 'spare', which no position uses; allowed: a control that does something");
  CHECK(said([](instrument& i) { i.pickups.emplace_back(coil("middle", 2, 6)); }) ==
        "pickups.middle is in no position; allowed: a pickup that is heard somewhere");
  CHECK(error_of([&] { (void)compose(of, 3); }) == "position is 3; allowed: 0 to 2");
  CHECK(error_of([&] { (void)compose(of, 0, std::vector<rotation>{}); }) ==
        "knobs is 0 long; allowed: one for each control: 3");
}
