// SPDX-License-Identifier: BSL-1.0
// Every rule: a case that must be found, with its figure, a case beside it that must not, and the cure tried.
#include <doctest/doctest.h>

#include <algorithm>

#include <lodewire/design/findings.hpp>

#include "../check.hpp"
#include "../instrument/demo.hpp"

using namespace demo;
using check::error_of;
using check::near;

namespace {

const finding* of_kind(const std::vector<finding>& all, finding_kind kind, const std::string& position = {}) {
  for (const finding& f : all)
    if (f.kind == kind && (position.empty() || f.position == position)) return &f;
  return nullptr;
}
/// The first number in a text, with the prefix of its unit.
double number_in(const std::string& text) {
  const std::size_t at = text.find_first_of("0123456789");
  REQUIRE(at != std::string::npos);
  std::size_t used = 0;
  const double x = std::stod(text.substr(at), &used);
  const std::string rest = text.substr(at + used);
  const auto starts = [&](const char* prefix) { return rest.rfind(prefix, 0) == 0; };
  return x * (starts(" k") ? 1e3 : starts(" M") ? 1e6 : starts(" n") ? 1e-9 : starts(" p") ? 1e-12 : 1);
}
/// `two_pickups` with one volume control for both, and a bleed capacitor.
instrument one_volume() {
  instrument of = two_pickups();
  of.controls.erase(of.controls.begin() + 1);
  of.controls[0].name = "volume";
  of.circuits.clear();
  of.positions = {{"neck", from_pickup("neck")},
                  {"both", joined_in_parallel({from_pickup("neck"), from_pickup("bridge")})},
                  {"bridge", from_pickup("bridge")}};
  of.output.push_back(volume_step("volume"));
  of.output.back().bleed = network(390_pF);
  return of;
}
destination plugged_into(length cable_length = 3_m, resistance input_resistance = 1_MOhm) {
  destination d;
  d.lead.length = cable_length;
  d.into.resistance = input_resistance;
  return d;
}

} // namespace

TEST_CASE("a well-built instrument gets no complaint") {
  CHECK(findings(one_volume(), plugged_into()).empty());
}

TEST_CASE("an active pickup joined to a passive one") {
  // Common practice, no source: a 25 kΩ-class load that serves an active pickup ruins a passive one joined to it, and is
  // harmless in a position where the active pickup is alone.
  const instrument of = mixed();
  const auto all = findings(of, plugged_into());
  const finding* joined = of_kind(all, finding_kind::low_impedance_companion);
  REQUIRE(joined);
  CHECK(joined->position == "both");
  CHECK(joined->about == "neck");
  CHECK(joined->figure > 6);
  CHECK(!of_kind(all, finding_kind::low_impedance_companion, "bridge"));
  CHECK(!of_kind(all, finding_kind::low_impedance_companion, "neck"));
  // The figure by hand: the neck's coil alone is the circuit, the bridge's 10 kΩ a load resistor or not there at all.
  const auto by_hand = [&](const one_port& companion) {
    return source(std::get<magnetic_coil>(of.pickups[0])) | in_shunt(companion) |
           of.controls[0].sections[0].as_divider(rotation(1)) | plugged_into().lead | plugged_into().into;
  };
  const source alone = by_hand(open_circuit()), loaded = by_hand(10_kOhm);
  const frequency peak = find_resonance(alone).peak;
  const auto treble = [&](const source& s) {
    return std::abs(response(s, 0, peak)) / std::abs(response(s, 0, 100_Hz));
  };
  CHECK(near(joined->figure, 20 * std::log10(treble(alone) / treble(loaded)), 1e-6));
  // The height of the peak alone would not tell: it is gone, and the coil's own corner is far below.
  CHECK(joined->figure > find_resonance(alone).height.value() + 6);

  instrument low = of;
  low.controls[0].sections[0].total = 25_kOhm;
  const auto of_low = findings(low, plugged_into());
  const finding* ruined = of_kind(of_low, finding_kind::load_too_low, "neck");
  REQUIRE(ruined);
  CHECK(ruined->figure > 6);
  CHECK(!of_kind(of_low, finding_kind::load_too_low, "bridge"));
}

TEST_CASE("a dead active pickup still hangs on the passive one") {
  instrument of = mixed();
  const auto all = findings(of, plugged_into());
  const finding* dead = of_kind(all, finding_kind::dead_companion, "both");
  REQUIRE(dead);
  CHECK(dead->about == "bridge");
  CHECK(dead->cure.find("ring contact") != std::string::npos);
  std::get<active_pickup>(of.pickups[1]).unpowered_resistance = 2_MOhm;
  CHECK(!of_kind(findings(of, plugged_into()), finding_kind::dead_companion));
  of.supply.reset();
  CHECK(!of_kind(findings(of, plugged_into()), finding_kind::dead_companion));
}

TEST_CASE("a jump in level, both ways") {
  instrument of = one_volume();
  std::get<magnetic_coil>(of.pickups[1]).emf = 2_V;
  const auto louder = findings(of, plugged_into());
  const finding* jump = of_kind(louder, finding_kind::level_jump, "bridge");
  REQUIRE(jump);
  CHECK(near(jump->figure, 6, 0.05));
  CHECK(jump->text.find("louder") != std::string::npos);
  CHECK(near(number_in(jump->cure), 2, 0.05));
  std::get<magnetic_coil>(of.pickups[1]).emf = 0.5_V;
  jump = of_kind(louder, finding_kind::level_jump, "neck");
  CHECK(!jump);
  const auto softer = findings(of, plugged_into());
  jump = of_kind(softer, finding_kind::level_jump, "bridge");
  REQUIRE(jump);
  CHECK(jump->figure < -5);
  CHECK(findings(of, plugged_into(), {.level_jump_db = 8}).empty());
  instrument turned = two_pickups(); // a volume control half way down is no jump
  turned.controls[1].at = knob(5);
  CHECK(!of_kind(findings(turned, plugged_into()), finding_kind::level_jump));
}

TEST_CASE("treble lost at part volume, and the bleed capacitor that the cure names") {
  instrument of = two_pickups();
  for (control& c : of.controls) c.sections[0].total = 500_kOhm;
  const destination into = plugged_into(6_m);
  const auto all = findings(of, into);
  const finding* lost = of_kind(all, finding_kind::treble_lost, "neck");
  REQUIRE(lost);
  CHECK(lost->about == "neck volume");
  CHECK(lost->figure > 3);
  CHECK(!of_kind(all, finding_kind::treble_lost, "both")); // each control there works on one pickup only
  const capacitance bleed = capacitance::from_value(number_in(lost->cure));
  of.circuits[0].wired.then[0].bleed = network(bleed);
  CHECK(!of_kind(findings(of, into), finding_kind::treble_lost, "neck"));
}

TEST_CASE("a knob that works like a switch, and the taper that the cure names") {
  instrument of = mixed();
  of.controls.push_back({.name = "tone", .sections = {potentiometer{.total = 500_kOhm}}});
  of.output.insert(of.output.begin(), shunt_step(tone_branch("tone", 22_nF)));
  // 22 nF on a source of 10 kΩ: all of it happens in the last kilohms of a linear track of 500 kΩ.
  const auto all = findings(of, plugged_into());
  const finding* crowded = of_kind(all, finding_kind::crowded_travel, "bridge");
  REQUIRE(crowded);
  CHECK(crowded->about == "tone");
  CHECK(crowded->figure < 20);
  CHECK(crowded->cure.find("audio taper") != std::string::npos);
  of.controls[1].sections[0] = potentiometer{.total = 25_kOhm, .law = taper::audio(0.1)};
  const auto better = findings(of, plugged_into());
  const finding* still = of_kind(better, finding_kind::crowded_travel, "bridge");
  CHECK((!still || still->figure > 2 * crowded->figure));
}

TEST_CASE("a tone capacitor that does not suit the source") {
  instrument of = two_pickups();
  of.output[0] = shunt_step(tone_branch("tone", 1_nF));
  const auto high = findings(of, plugged_into());
  const finding* corner = of_kind(high, finding_kind::tone_capacitor, "neck");
  REQUIRE(corner);
  CHECK(corner->figure > 1500);
  // The cure's capacitor moves the edge inside the limits.
  of.output[0] = shunt_step(tone_branch("tone", capacitance::from_value(number_in(corner->cure))));
  CHECK(!of_kind(findings(of, plugged_into()), finding_kind::tone_capacitor, "neck"));
  of.output[0] = shunt_step(tone_branch("tone", 470_nF));
  const auto low = findings(of, plugged_into());
  corner = of_kind(low, finding_kind::tone_capacitor, "bridge");
  REQUIRE(corner);
  CHECK(corner->figure < 200);
}

TEST_CASE("a resonance with next to no load, and the resistor that the cure names") {
  instrument of;
  of.pickups.emplace_back(coil("neck", 2.2, 6.3));
  of.positions = {{"direct", from_pickup("neck")}};
  const destination into = plugged_into(3_m, 10_MOhm);
  const auto all = findings(of, into);
  const finding* high = of_kind(all, finding_kind::peak_too_high);
  REQUIRE(high);
  CHECK(high->figure > 12);
  of.positions[0].wired.then = {shunt_step(resistance::from_value(number_in(high->cure)))};
  const auto loaded = findings(of, into);
  CHECK(!of_kind(loaded, finding_kind::peak_too_high));
  CHECK(detail::height_db(find_resonance(detail::plugged(of, 0, into))) <= 8);
}

TEST_CASE("hum that could cancel and does not") {
  instrument of = two_pickups();
  auto& bridge = std::get<magnetic_coil>(of.pickups[1]);
  bridge = coil("bridge", 2.2, 6.3); // the same as the neck's: same winding, same magnet
  const auto all = findings(of, plugged_into());
  const finding* hum = of_kind(all, finding_kind::hum_not_cancelled);
  REQUIRE(hum);
  CHECK(hum->position == "both");
  CHECK(std::abs(hum->figure) < 0.1);
  CHECK(hum->cure.find("Swap the leads of") != std::string::npos);
  bridge = reversed(bridge);
  bridge.magnet = magnet_sense::south_up;
  CHECK(!of_kind(findings(of, plugged_into()), finding_kind::hum_not_cancelled));
}

TEST_CASE("what it is plugged into: a low input, a long cable") {
  const instrument of = two_pickups();
  const auto pedal = findings(of, plugged_into(3_m, 50_kOhm));
  const finding* loads = of_kind(pedal, finding_kind::input_loads, "neck");
  REQUIRE(loads);
  CHECK(loads->figure > 3);
  const auto far = findings(of, plugged_into(30_m));
  const finding* cable = of_kind(far, finding_kind::cable_too_long, "bridge");
  REQUIRE(cable);
  CHECK(cable->figure < 2000);
  // As long as the cure allows, the resonance lies at the limit.
  const std::string& cure = cable->cure;
  const double metres = number_in(cure);
  const resonance r = find_resonance(detail::plugged(of, 2, plugged_into(length::from_value(metres))));
  CHECK(near(r.has_peak ? r.peak.value() : r.edge->value(), 2000, 0.01));
}

TEST_CASE("supply: hours, headroom, what stays on") {
  instrument of = mixed();
  CHECK(!of_kind(findings(of, plugged_into()), finding_kind::supply_too_short));
  std::get<active_pickup>(of.pickups[1]).supply_current = 8_mA;
  const auto thirsty = findings(of, plugged_into());
  const finding* life = of_kind(thirsty, finding_kind::supply_too_short);
  REQUIRE(life);
  CHECK(near(life->figure, 500 / 8., 1e-9)); // the lowest capacity of the block: 500 mAh
  CHECK(!of_kind(thirsty, finding_kind::stays_on));
  of.supply->jack = jack_wiring::always_on;
  CHECK(of_kind(findings(of, plugged_into()), finding_kind::stays_on));
  CHECK(!of_kind(thirsty, finding_kind::headroom_too_small));
  std::get<active_pickup>(of.pickups[1]).emf = 1.9_V;
  const auto loud = findings(of, plugged_into());
  const finding* clips = of_kind(loud, finding_kind::headroom_too_small);
  REQUIRE(clips);
  CHECK(clips->figure < 3);
  CHECK(clips->cure.find("Two batteries") != std::string::npos);
}

TEST_CASE("a cover on the hot end") {
  instrument of = two_pickups();
  std::get<magnetic_coil>(of.pickups[0]).cover = cover_bond::end;
  const auto all = findings(of, plugged_into());
  const finding* hot = of_kind(all, finding_kind::hot_cover);
  REQUIRE(hot);
  CHECK(hot->about == "neck");
}

TEST_CASE("a slipped prefix") {
  const auto about = [](const instrument& of, const destination& into = {}) {
    const auto all = findings(of, into);
    const finding* f = of_kind(all, finding_kind::implausible_value);
    return f ? f->text : std::string();
  };
  CHECK(about(two_pickups()).empty());
  CHECK(about(mixed()).empty());
  instrument of = two_pickups();
  std::get<magnetic_coil>(of.pickups[0]).resistance = 9.1_Ohm;
  CHECK(about(of) == "'neck' has a wire resistance of 9.1 Ω; such parts have 440 Ω to 88 kΩ.");
  of = two_pickups();
  std::get<magnetic_coil>(of.pickups[1]).capacitance = 120_nF;
  CHECK(about(of).rfind("'bridge' has a winding capacitance of 120 nF", 0) == 0);
  of = two_pickups();
  of.controls[2].sections[0].total = 250_Ohm;
  CHECK(about(of).rfind("'tone' has a track of 250 Ω", 0) == 0);
  CHECK(about(two_pickups(), plugged_into(600_m)).rfind("'amplifier' has a cable of 600 m", 0) == 0);
}

TEST_CASE("a cure is tried in every position") {
  // A tone control shared by an active and a passive pickup: a track of 25 kΩ would suit the one and ruin the other.
  instrument of = mixed();
  of.controls.push_back({.name = "tone", .sections = {potentiometer{.total = 500_kOhm}}});
  of.output.insert(of.output.begin(), shunt_step(tone_branch("tone", 22_nF)));
  const auto all = findings(of, plugged_into());
  const finding* crowded = of_kind(all, finding_kind::crowded_travel, "bridge");
  REQUIRE(crowded);
  CHECK(crowded->cure.find("25 kΩ") == std::string::npos);
  CHECK(crowded->cure.find("100 kΩ") == std::string::npos);
}

TEST_CASE("limits are checked, and the instrument too") {
  CHECK(error_of([&] { (void)findings(two_pickups(), {}, {.travel = 2}); }) ==
        "finding_limits.travel is 2; allowed: 0 to 1");
  instrument of = two_pickups();
  of.positions.clear();
  CHECK(error_of([&] { (void)findings(of, {}); }) ==
        "positions is an empty list; allowed: one position or more");
}
