// SPDX-License-Identifier: BSL-1.0
// Faults by meter, against parallel resistances written out by hand.
#include <doctest/doctest.h>

#include <lodewire/design/meter.hpp>
#include <lodewire/design/next_measurement.hpp>

#include "../check.hpp"
#include "../instrument/demo.hpp"

using namespace demo;
using check::error_of;
using check::near;

namespace {

constexpr double neck_coil = 6300, bridge_coil = 7800;

double beside(double a, double b) { return a * b / (a + b); }
/// What `two_pickups` shows at the jack with a volume control at full (wiper 2 Ω from lug 3) and at 0.
double full(double coil) { return beside(coil + 2, 250e3 - 2); }
double zero(double coil) { return beside(coil + 250e3 - 2, 2); }

double shown(const instrument& of, const suspect& s, std::size_t position, std::vector<rotation> knobs = {}) {
  if (knobs.empty()) knobs = knobs_of(of);
  return meter_shows(of, s, position, knobs).value();
}
std::vector<meter_reading> readings_of(const instrument& of, const suspect& s,
                                       const std::vector<std::vector<rotation>>& settings = {{}}) {
  std::vector<meter_reading> list;
  for (std::size_t p = 0; p < of.positions.size(); ++p)
    for (const auto& knobs : settings)
      list.push_back({of.positions[p].name, resistance::from_value(shown(of, s, p, knobs)), knobs});
  return list;
}
const hypothesis& about(const std::vector<hypothesis>& all, wiring_fault is, const std::string& at) {
  for (const hypothesis& h : all)
    if (h.fault.is == is && h.fault.at == at) return h;
  FAIL("no such hypothesis: " << at);
  return all.front();
}
instrument with_pair(pickup_mode mode) {
  instrument of{.name = "one humbucker"};
  coil_pair pair = humbucking_pair(coil("screw", 2, 4.1), coil("slug", 2.2, 4.4), 0.1);
  pair.name = "pair";
  of.pickups.clear();
  of.pickups.emplace_back(pair);
  of.controls = {{.name = "volume", .sections = {potentiometer{.total = 500_kOhm}}}};
  of.positions = {{"on", from_pickup("pair", {volume_step("volume")})}};
  of.positions[0].wired.mode = mode;
  return of;
}

} // namespace

TEST_CASE("every fault shows what resistances in parallel and in series say") {
  const instrument of = two_pickups();
  const std::vector<rotation> half{knob(5), knob(10), knob(10)};
  // Law at half travel: 15 %.
  const double lower = 2 + 0.15 * (250e3 - 4), upper = 250e3 - lower;
  CHECK(near(shown(of, {}, 0), full(neck_coil), 1e-12));
  CHECK(near(shown(of, {}, 1), beside(full(neck_coil), full(bridge_coil)), 1e-12));
  CHECK(near(shown(of, {}, 0, half), beside(neck_coil + upper, lower), 1e-12));

  CHECK(near(shown(of, {wiring_fault::open_pickup, "neck"}, 0), 250e3 - 2, 1e-12));
  CHECK(near(shown(of, {wiring_fault::open_pickup, "neck"}, 1), beside(250e3 - 2, full(bridge_coil)), 1e-12));
  CHECK(near(shown(of, {wiring_fault::open_pickup, "neck"}, 2), full(bridge_coil), 1e-12));
  CHECK(near(shown(of, {wiring_fault::shorted_pickup, "neck"}, 0), full(0), 1e-12));
  CHECK(is_open(shown(of, {wiring_fault::open_lead, "jack"}, 1)));
  CHECK(shown(of, {wiring_fault::short_to_ground, "jack"}, 1) == 0);
  CHECK(near(shown(of, {wiring_fault::cold_joint, "neck", 2_kOhm}, 0), full(neck_coil + 2e3), 1e-12));
  CHECK(near(shown(of, {wiring_fault::cold_joint, "jack", 2_kOhm}, 2), full(bridge_coil) + 2e3, 1e-12));

  // Lugs 1 and 3 exchanged: full is silent and half travel has the legs the other way round.
  CHECK(near(shown(of, {wiring_fault::ends_exchanged, "neck volume"}, 0), zero(neck_coil), 1e-12));
  CHECK(near(shown(of, {wiring_fault::ends_exchanged, "neck volume"}, 0, half),
             beside(neck_coil + lower, upper), 1e-12));
  // Lugs 2 and 3 exchanged: the coil lies across the lower leg.
  CHECK(near(shown(of, {wiring_fault::in_out_exchanged, "neck volume"}, 0, half),
             beside(neck_coil, lower) + upper, 1e-12));
  CHECK(near(shown(of, {wiring_fault::upper_track_open, "neck volume"}, 0, half), lower, 1e-12));
  CHECK(near(shown(of, {wiring_fault::lower_track_open, "neck volume"}, 0, half), neck_coil + upper, 1e-12));
  CHECK(is_open(shown(of, {wiring_fault::wiper_open, "neck volume"}, 0, half)));
  // Behind a capacitor a meter sees nothing.
  for (const wiring_fault is : {wiring_fault::ends_exchanged, wiring_fault::lower_track_open})
    CHECK(near(shown(of, {is, "tone"}, 0), full(neck_coil), 1e-12));
}

TEST_CASE("parts soldered to the lugs stay there when the wires are exchanged") {
  instrument of = two_pickups();
  of.circuits[0].wired.then[0].bleed = network(100_kOhm);
  const std::vector<rotation> half{knob(5), knob(10), knob(10)};
  const double lower = 2 + 0.15 * (250e3 - 4), upper = 250e3 - lower;
  CHECK(near(shown(of, {}, 0, half), beside(neck_coil + beside(upper, 100e3), lower), 1e-12));
  CHECK(near(shown(of, {wiring_fault::ends_exchanged, "neck volume"}, 0, half),
             beside(neck_coil + lower, beside(upper, 100e3)), 1e-12));
}

TEST_CASE("one coil of a pair") {
  const suspect open{wiring_fault::open_coil, "pair.slug"}, shorted{wiring_fault::shorted_coil, "pair.slug"};
  const auto behind = [](double coil) { return beside(coil + 2, 500e3 - 2); };
  const instrument in_series = with_pair(pickup_mode::whole);
  CHECK(near(shown(in_series, {}, 0), behind(8500), 1e-12));
  CHECK(near(shown(in_series, open, 0), 500e3 - 2, 1e-6));
  CHECK(near(shown(in_series, shorted, 0), behind(4100), 1e-6));
  const instrument in_parallel = with_pair(pickup_mode::parallel);
  CHECK(near(shown(in_parallel, {}, 0), behind(beside(4100, 4400)), 1e-12));
  CHECK(near(shown(in_parallel, open, 0), behind(4100), 1e-6));
  CHECK(near(shown(in_parallel, shorted, 0), behind(0), 1e-3));
  const instrument split = with_pair(pickup_mode::first);
  CHECK(near(shown(split, open, 0), behind(4100), 1e-6)); // the idle one is not missed
  CHECK(near(shown(split, shorted, 0), behind(4100), 1e-6));
}

TEST_CASE("pickups in series") {
  instrument of = two_pickups();
  of.positions[1].wired =
      joined_in_series({from_pickup("neck"), from_pickup("bridge")}, {point_step("switch")});
  CHECK(near(shown(of, {}, 1), neck_coil + bridge_coil, 1e-12));
  CHECK(is_open(shown(of, {wiring_fault::open_pickup, "neck"}, 1)));
  CHECK(near(shown(of, {wiring_fault::shorted_pickup, "bridge"}, 1), neck_coil, 1e-12));
  CHECK(
      near(shown(of, {wiring_fault::cold_joint, "switch", 1_kOhm}, 1), neck_coil + bridge_coil + 1e3, 1e-12));
  CHECK(shown(of, {wiring_fault::short_to_ground, "switch"}, 1) == 0);
  CHECK(near(shown(of, {wiring_fault::short_to_ground, "switch"}, 0), full(neck_coil), 1e-12));
}

TEST_CASE(
    "a fault is found from its own readings in every position, and a sound instrument is called sound") {
  const instrument of = two_pickups();
  const std::vector<std::vector<rotation>> settings{
      {}, {knob(5), knob(10), knob(10)}, {knob(10), knob(0), knob(10)}};
  for (suspect s : possible_faults(of)) {
    CAPTURE(describe(s));
    if (s.is == wiring_fault::cold_joint) s.joint = 3.3_kOhm;
    const auto readings = readings_of(of, s, settings);
    const auto ranked = rank_faults(of, readings);
    REQUIRE(ranked.size() == possible_faults(of).size());
    const hypothesis& truth = about(ranked, s.is, s.at);
    // Nothing stands before it but what shows the same.
    for (const hypothesis& h : ranked) {
      if (h.fault.is == s.is && h.fault.at == s.at) break;
      CAPTURE(h.text);
      for (std::size_t i = 0; i < readings.size(); ++i)
        CHECK(std::abs(detail::log_reading(h.shown[i].value(), {}) -
                       detail::log_reading(readings[i].shown.value(), {})) < 1e-6);
    }
    CHECK(truth.fits);
    CHECK(truth.error_percent < 1e-3);
    if (s.is == wiring_fault::cold_joint) CHECK(near(truth.fault.joint.value(), 3300, 1e-4));
    for (std::size_t k = 1; k < ranked.size(); ++k) CHECK(ranked[k - 1].score <= ranked[k].score);
  }
  const auto sound = rank_faults(of, readings_of(of, {}));
  CHECK(sound.front().fault == suspect{});
  CHECK(sound.front().text == "no fault");
  CHECK(!about(sound, wiring_fault::open_pickup, "neck").fits);
}

TEST_CASE("parts within their tolerance are no fault; beyond it they are") {
  const instrument of = two_pickups();
  const std::vector<std::vector<rotation>> settings{{}, {knob(5), knob(5), knob(10)}};
  const auto ranked_with = [&](double pot, double winding) {
    instrument built = of;
    for (std::size_t c = 0; c < 2; ++c) built.controls[c].sections[0].total *= pot;
    for (pickup& p : built.pickups) std::get<magnetic_coil>(p).resistance *= winding;
    return rank_faults(of, readings_of(built, {}, settings));
  };
  // Every part at half of its limit, together: still the best explanation.
  for (const double pot : {0.9, 1.1})
    for (const double winding : {0.975, 1.025}) {
      const auto ranked = ranked_with(pot, winding);
      CHECK(ranked.front().text == "no fault");
      CHECK(ranked.front().fits);
      CHECK(ranked.front().error_percent > 2); // although the numbers are off
    }
  // Every part at its limit: a possible one.
  for (const double pot : {0.8, 1.2})
    for (const double winding : {0.95, 1.05})
      CHECK(about(ranked_with(pot, winding), wiring_fault::none, "").fits);
  CHECK(!about(ranked_with(1, 1.1), wiring_fault::none, "").fits);
  // Controls of twice and of half the value: more than 20 % and 5 % of travel explain.
  CHECK(!about(ranked_with(2, 1), wiring_fault::none, "").fits);
  CHECK(!about(ranked_with(0.5, 1), wiring_fault::none, "").fits);
}

TEST_CASE("one part strays alike in all readings") {
  // Correlated errors by hand: C = [4 2; 2 2], e = (2, 2): chi² = eᵀ·C⁻¹·e = 2, det C = 4.
  const detail::meter_spread spread({4, 2, 2, 2}, {1, 1});
  CHECK(near(spread.chi_squared({2, 2}), 2, 1e-12));
  CHECK(near(spread.log_determinant(), std::log(4.0), 1e-12));
  // A control 20 % high is one deviation, however often it is read: (ln 1.2/(-ln 0.8/√3))² = 2.0, not three times that.
  const instrument of = with_pair(pickup_mode::whole);
  instrument built = of;
  built.controls[0].sections[0].total *= 1.2;
  const std::vector<std::vector<rotation>> settings{{knob(4)}, {knob(5)}, {knob(6)}};
  const auto score = [&](const instrument& as_built) {
    const auto ranked = rank_faults(of, readings_of(as_built, {}, settings), {.travel = 0});
    return about(ranked, wiring_fault::none, "").score;
  };
  const double chi_squared = score(built) - score(of);
  CHECK(chi_squared > 1.5);
  CHECK(chi_squared < 2.5);
}

TEST_CASE("the error is that of the readings") {
  const instrument of = two_pickups();
  const std::vector<meter_reading> readings{{"neck", resistance::from_value(1.1 * full(neck_coil) + 0.5), {}},
                                            {"bridge", resistance::from_value(full(bridge_coil)), {}}};
  // With R + 5 Ω, the floor: (1.1·R + 0.5 + 5)/(R + 5) = 1.1. One of two is off by 1 - 1/1.1 of the larger value; rms.
  const auto ranked = rank_faults(of, readings);
  CHECK(
      near(about(ranked, wiring_fault::none, "").error_percent, 100 * (1 - 1 / 1.1) / std::sqrt(2.0), 1e-9));
  // It ends at 100 %.
  const double open = about(ranked, wiring_fault::open_lead, "jack").error_percent;
  CHECK(open > 99.9);
  CHECK(open < 100);
}

TEST_CASE("what one meter reading cannot tell, a turned knob can") {
  const instrument of = two_pickups();
  // At full a control with lugs 1 and 3 exchanged and a short read alike.
  const auto ranked = rank_faults(of, std::vector<meter_reading>{{"neck", 2_Ohm, {}}});
  const suspect lugs{wiring_fault::ends_exchanged, "neck volume"},
      shorted{wiring_fault::shorted_pickup, "neck"};
  CHECK(about(ranked, lugs.is, lugs.at).fits);
  CHECK(about(ranked, shorted.is, shorted.at).fits);
  const auto next = next_measurement(of, lugs, shorted);
  REQUIRE(next);
  CHECK(next->setting.position == "neck");
  CHECK(next->setting.knobs.size() == 3);
  CHECK(near(next->first.value(), shown(of, lugs, 0, next->setting.knobs), 1e-12));
  CHECK(near(next->second.value(), shown(of, shorted, 0, next->setting.knobs), 1e-12));
  CHECK(std::abs(std::log(next->first / next->second)) > 3);
  // With that reading only one of them is left.
  const std::vector<meter_reading> both{{"neck", 2_Ohm, {}}, {"neck", next->first, next->setting.knobs}};
  const auto again = rank_faults(of, both);
  CHECK(about(again, lugs.is, lugs.at).fits);
  CHECK(!about(again, shorted.is, shorted.at).fits);
  CHECK(again.front().fault == lugs);
  // Nothing that a meter at the jack shows tells a wrong lug of a tone control.
  CHECK(!next_measurement(of, {}, {wiring_fault::ends_exchanged, "tone"}));
}

TEST_CASE("named points, amplifiers and active pickups") {
  instrument of = mixed();
  of.positions[1].wired.then.push_back(point_step("switch"));
  const double track = 250e3 - 2;
  CHECK(near(shown(of, {}, 2), beside(10e3 + 2, track), 1e-12));
  CHECK(near(shown(of, {wiring_fault::open_lead, "switch"}, 1), track, 1e-12));
  CHECK(near(shown(of, {wiring_fault::open_lead, "switch"}, 0), beside(7200 + 2, track), 1e-12));
  CHECK(near(shown(of, {wiring_fault::short_to_ground, "switch"}, 1), beside(2, track), 1e-12));
  std::get<active_pickup>(of.pickups[1]).unpowered_resistance = 1_kOhm;
  CHECK(near(shown(of, {}, 2), beside(1e3 + 2, track), 1e-12));
  of.output.push_back({.is = wiring_step::kind::amplifier, .name = "booster"});
  CHECK(near(shown(of, {wiring_fault::open_pickup, "neck"}, 0), 1e3, 1e-12)); // all hidden behind it
  CHECK(is_open(shown(of, {wiring_fault::open_lead, "booster"}, 0)));
}

TEST_CASE("bad input is named") {
  const instrument of = two_pickups();
  const auto said = [&](std::vector<meter_reading> readings, meter_limits limits = {}) {
    return error_of([&] { (void)rank_faults(of, readings, limits); });
  };
  CHECK(said({}) == "readings is an empty list; allowed: one reading or more");
  CHECK(said({{"nick", 6_kOhm, {}}}) ==
        "readings[0].position is 'nick'; allowed: 'neck', 'both' or 'bridge'");
  CHECK(said({{"neck", 6_kOhm, {}}, {"neck", -6_kOhm, {}}}) ==
        "readings[1].shown is -6 kΩ; allowed: 0 Ω or more");
  CHECK(said({{"neck", 6_kOhm, {knob(1)}}}) ==
        "readings[0].knobs is 1 long; allowed: one for each control: 3, or none");
  CHECK(said({{"neck", 6_kOhm, {}}}, {.meter = 0}) == "meter_limits.meter is 0; allowed: more than 0");
  CHECK(said({{"neck", 6_kOhm, {}}}, {.winding = 1}) ==
        "meter_limits.winding is 1; allowed: 0 or more, less than 1");
  CHECK(said({{"neck", 6_kOhm, {}}}, {.range = 0_Ohm}) ==
        "meter_limits.range is 0 Ω; allowed: more than 0 Ω");
  CHECK(error_of([&] {
          (void)shown(of, {wiring_fault::open_pickup, "nick"}, 0);
        }) == "suspect.at is 'nick'; allowed: a place where that fault can be");
  CHECK(error_of([&] {
          (void)shown(of, {wiring_fault::in_out_exchanged, "tone"}, 0);
        }) == "suspect.at is 'tone'; allowed: a place where that fault can be");
  CHECK(error_of([&] {
          (void)shown(of, {wiring_fault::cold_joint, "neck", -1_Ohm}, 0);
        }) == "suspect.joint is -1 Ω; allowed: 0 Ω or more");
  CHECK(error_of([&] { (void)shown(of, {}, 3); }) == "position is 3; allowed: 0 to 2");
  instrument empty;
  CHECK(error_of([&] { (void)possible_faults(empty); }) ==
        "positions is an empty list; allowed: one position or more");
}
