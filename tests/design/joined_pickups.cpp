// SPDX-License-Identifier: BSL-1.0
// Findings on pickups that are joined: volumes that mute each other, a dead active pickup, hum that only partly cancels;
// and findings of positions that go by their nodes.
#include <doctest/doctest.h>

#include <algorithm>

#include <lodewire/design/clipping.hpp>
#include <lodewire/design/findings.hpp>
#include <lodewire/design/phase.hpp>

#include "../check.hpp"
#include "../instrument/nodes.hpp"

using namespace demo;
using check::near;

namespace {

const finding* of_kind(const std::vector<finding>& all, finding_kind kind, const std::string& position = {}) {
  for (const finding& f : all)
    if (f.kind == kind && (position.empty() || f.position == position)) return &f;
  return nullptr;
}
double level_of(const instrument& of, std::size_t p, const std::string& pickup, double neck, double bridge,
                frequency f) {
  const composed_position s = plug_in(of, p, std::vector<rotation>{knob(neck), knob(bridge), knob(10)}, {});
  return voltage_level(std::abs(response(s, s.emf(pickup), f))).value();
}
bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }
std::string db(double value) { return fixed_number(value, 1) + " dB"; }

/// `two_pickups` with its volumes wired in reverse.
instrument in_reverse() {
  instrument of = two_pickups();
  for (position& side : of.circuits) side.wired.then[0].is = wiring_step::kind::reversed_volume;
  return of;
}

} // namespace

TEST_CASE("one of two volumes at 0 mutes both pickups; wired in reverse it does not, at a price") {
  const instrument of = two_pickups();
  const auto all = findings(of, {});
  const finding* mutes = of_kind(all, finding_kind::mutes_others);
  REQUIRE(mutes);
  CHECK(mutes->position == "both");
  CHECK(std::count_if(all.begin(), all.end(),
                      [](const finding& f) { return f.kind == finding_kind::mutes_others; }) == 1);
  // The figure by hand: the bridge with the neck's volume shut, and the other way round; the lesser fall.
  const double bridge = level_of(of, 1, "bridge", 10, 10, 100_Hz) - level_of(of, 1, "bridge", 0, 10, 100_Hz);
  const double neck = level_of(of, 1, "neck", 10, 10, 100_Hz) - level_of(of, 1, "neck", 10, 0, 100_Hz);
  CHECK(mutes->figure > 60);
  CHECK(near(mutes->figure, std::min(bridge, neck), 1e-9));

  // The cure, wired: what it says is so.
  const instrument cured = in_reverse();
  CHECK(!of_kind(findings(cured, {}), finding_kind::mutes_others));
  const auto rise = [&](const std::string& pickup, double n, double b) {
    return level_of(cured, 1, pickup, n, b, 100_Hz) - level_of(cured, 1, pickup, 10, 10, 100_Hz);
  };
  const double least = std::min(rise("neck", 10, 0), rise("bridge", 0, 10));
  CHECK(least > 0); // the other coil no longer loads it
  CHECK(holds(mutes->cure, "Wire 'neck volume' and 'bridge volume' in reverse"));
  CHECK(holds(mutes->cure, " rises by " + db(least)));
  // The price: 6 dB down in its own position, treble at 5 kHz, and the load.
  const auto six_down = [&](const instrument& which, std::size_t p, const std::string& pickup, double& at) {
    const bool is_neck = pickup == "neck";
    const auto level_at = [&](double x, frequency f) {
      return level_of(which, p, pickup, is_neck ? x : 10, is_neck ? 10 : x, f);
    };
    double low = 0, high = 10;
    for (int i = 0; i < 50; ++i) {
      const double middle = (low + high) / 2;
      (level_at(middle, 100_Hz) < level_at(10, 100_Hz) - 6 ? low : high) = middle;
    }
    at = high;
    return level_at(10, 5_kHz) - level_at(10, 100_Hz) - level_at(high, 5_kHz) + level_at(high, 100_Hz);
  };
  double before_at = 0, after_at = 0;
  const double before = six_down(of, 2, "bridge", before_at), after = six_down(cured, 2, "bridge", after_at);
  CHECK(after > before + 5);
  CHECK(holds(mutes->cure, "in position 'bridge', 'bridge' works into "));
  CHECK(holds(mutes->cure, "loses " + db(after) + " of treble at 5 kHz"));
  const composed_position turned =
      plug_in(cured, 2, std::vector<rotation>{knob(10), knob(after_at), knob(10)}, {});
  CHECK(holds(mutes->cure, "works into " + engineering(resistance::from_value(std::abs(
                                                           load_seen(turned, "bridge", 1_kHz).value())),
                                                       2)));
  CHECK(holds(mutes->cure, "With the volumes at full no position changes."));
}

TEST_CASE("what mutes nobody: one volume for all, volumes in series, volumes behind a buffer, one that is "
          "half way down") {
  instrument master = two_pickups();
  master.positions[1].wired =
      joined_in_parallel({from_pickup("neck"), from_pickup("bridge")}, {volume_step("neck volume")});
  CHECK(!of_kind(findings(master, {}), finding_kind::mutes_others));
  instrument row = two_pickups();
  row.positions[1].wired.is = wiring::kind::series;
  CHECK(!of_kind(findings(row, {}), finding_kind::mutes_others));
  instrument buffered = two_pickups();
  for (position& side : buffered.circuits)
    side.wired.then.push_back(
        {.is = wiring_step::kind::amplifier, .amplifier = {.output_resistance = 10_kOhm}});
  CHECK(!of_kind(findings(buffered, {}), finding_kind::mutes_others));
  // Where the knobs stand does not matter.
  instrument low = two_pickups();
  low.controls[0].at = knob(0);
  const auto with_one_shut = findings(low, {});
  const finding* mutes = of_kind(with_one_shut, finding_kind::mutes_others);
  REQUIRE(mutes);
  CHECK(near(mutes->figure, of_kind(findings(two_pickups(), {}), finding_kind::mutes_others)->figure, 1e-12));
  CHECK(!of_kind(findings(two_pickups(), {}, {.mute_db = 80}), finding_kind::mutes_others));
  // One of two in reverse: only the other one still mutes.
  instrument half = in_reverse();
  half.circuits[1].wired.then[0].is = wiring_step::kind::volume;
  const auto left = findings(half, {});
  mutes = of_kind(left, finding_kind::mutes_others);
  REQUIRE(mutes);
  CHECK(mutes->about == "bridge volume");
}

TEST_CASE("a dead active pickup: a resistor where it holds, else a contact, each with its numbers") {
  // 10 kΩ across a coil: what keeps it off the treble takes too much of it alive.
  const instrument of = mixed();
  const auto all = findings(of, {});
  const finding* dead = of_kind(all, finding_kind::dead_companion, "both");
  REQUIRE(dead);
  CHECK(holds(dead->cure, "No resistor in its lead does: "));
  CHECK(holds(dead->cure,
              "A contact that takes its lead off without the supply gives back " + db(dead->figure)));
  // By hand: the fall with the supply on that the cure names, for the resistor that it names.
  const std::size_t at = dead->cure.find("does: ") + 6;
  const resistance named = resistance::from_value(1e3 * std::stod(dead->cure.substr(at)));
  const auto alive = [&](const instrument& which) {
    const composed_position s = plug_in(which, 1, {});
    return voltage_level(std::abs(response(s, s.emf("bridge"), 100_Hz))).value();
  };
  instrument with = of;
  with.positions[1].wired.of[1].then = {series_step(named)};
  CHECK(holds(dead->cure, "'bridge' falls by " + db(alive(of) - alive(with)) + " in position 'both'"));

  // An active pickup with so low an output and a coil so low that a resistor does.
  instrument easy = of;
  std::get<magnetic_coil>(easy.pickups[0]) = coil("neck", 0.3, 1.8);
  std::get<active_pickup>(easy.pickups[1]).unpowered_resistance = 1_kOhm;
  const auto cured = findings(easy, {}, {.resonance_loss_db = 12, .companion_fall_db = 20});
  dead = of_kind(cured, finding_kind::dead_companion, "both");
  REQUIRE(dead);
  CHECK(holds(dead->cure, "Put "));
  CHECK(holds(dead->cure, " into the lead of 'bridge': it leaves "));

  // In series a lead taken off would silence the position: there the contact shorts.
  instrument row = of;
  row.positions[1].wired.is = wiring::kind::series;
  std::get<active_pickup>(row.pickups[1]).unpowered_resistance = 2_MOhm;
  CHECK(holds(detail::contact_at_lead(row, 1, {}, "bridge", "neck"), "A contact that shorts it"));
}

TEST_CASE("the default for hum that should cancel lies below what healthy unequal coils reach") {
  const double limit = finding_limits{}.cancelling_db;
  const auto cancelling = [](double henry, double kilo_ohm, double turns, bool in_series) {
    instrument of = two_pickups();
    auto& bridge = std::get<magnetic_coil>(of.pickups[1]);
    bridge.inductance = inductance::from_value(henry);
    bridge.resistance = resistance::from_value(1e3 * kilo_ohm);
    bridge.turns_area = turns;
    if (in_series) of.positions[1].wired.is = wiring::kind::series;
    const magnetic_hum hum = find_magnetic_hum(plug_in(of, 1, {}), emf_roles(of), 100_Hz);
    return 20 * std::log10(hum.without_cancelling / hum.output);
  };
  // Beside the neck's 2.2 H and 6.3 kΩ. The formula: (r + 1)/(r - 1) of the shares.
  CHECK(near(cancelling(3.4, 7.8, 1, false), 19.5, 0.05));
  CHECK(near(cancelling(2.2, 6.3, 1.5, true), 20 * std::log10(5), 1e-3));
  // Up to 2 to 1, in turns where they lie in series, in impedance where they lie in parallel.
  for (const double ratio : {0.51, 0.6, 0.8, 1.25, 1.6, 1.98}) {
    CHECK(cancelling(2.2, 6.3, ratio, true) > limit);
    CHECK(cancelling(2.2 * ratio, 6.3 * ratio, 1, false) > limit);
  }
  CHECK(limit < 20 * std::log10(3.)); // three equal coils, one against two
  CHECK(limit > 20 * std::log10(2.)); // four, one of them the wrong way round
}

TEST_CASE("a position by nodes gets the findings of the tree that it could be") {
  const instrument tree = two_pickups();
  instrument nodes = tree;
  nodes.circuits.clear();
  const auto side = [](const std::string& name) {
    return std::vector<wiring_branch>{pickup_between(name, name + " hot"),
                                      control_between(name + " volume", "ground", "out", name + " hot")};
  };
  std::vector<wiring_branch> both = side("neck");
  for (wiring_branch& b : side("bridge")) both.push_back(std::move(b));
  nodes.positions = {{"neck", by_nodes(side("neck"), "out")},
                     {"both", by_nodes(both, "out")},
                     {"bridge", by_nodes(side("bridge"), "out")}};
  const destination pedal{.lead = {.length = 6_m, .capacitance = 100_pF_per_m},
                          .into = {.resistance = 100_kOhm}};
  const auto with = [](instrument of) {
    for (control& c : of.controls) c.sections[0].total = 500_kOhm;
    std::get<magnetic_coil>(of.pickups[1]).emf = 0.5_V;
    std::get<magnetic_coil>(of.pickups[1]).winding = winding_sense::clockwise;
    std::get<magnetic_coil>(of.pickups[1]).magnet = magnet_sense::north_up;
    of.output[0] = shunt_step(tone_branch("tone", 1_nF));
    return of;
  };
  const auto expected = findings(with(tree), pedal), found = findings(with(nodes), pedal);
  REQUIRE(found.size() == expected.size());
  CHECK(expected.size() >= 8);
  for (std::size_t k = 0; k < found.size(); ++k) {
    CAPTURE(expected[k].text);
    CHECK(found[k].kind == expected[k].kind);
    CHECK(found[k].position == expected[k].position);
    CHECK(found[k].text == expected[k].text);
    CHECK(found[k].cure == expected[k].cure);
  }
}

TEST_CASE("and in wirings that no tree has") {
  instrument of = bridged();
  const auto all = findings(of, {});
  CHECK(!of_kind(all, finding_kind::mutes_others)); // in reverse already
  CHECK(of_kind(all, finding_kind::hum_not_cancelled, "tone between"));
  // Pickups on lug 3, wipers joined: each mutes, and what the mixing resistor leaves is no help.
  for (std::size_t k : {2U, 3U})
    std::swap(of.positions[0].wired.branches[k].between[1], of.positions[0].wired.branches[k].between[2]);
  const auto muted = findings(of, {});
  const finding* mutes = of_kind(muted, finding_kind::mutes_others, "volumes");
  REQUIRE(mutes);
  CHECK(mutes->figure > 20);
  CHECK(holds(mutes->cure, "in reverse"));
  // A dead active pickup in a wiring by nodes.
  instrument powered = mixed();
  powered.positions[1].wired =
      by_nodes({pickup_between("neck", "hot"), pickup_between("bridge", "hot")}, "hot");
  const auto a = findings(mixed(), {}), b = findings(powered, {});
  const finding *by_tree = of_kind(a, finding_kind::dead_companion),
                *by_node = of_kind(b, finding_kind::dead_companion);
  REQUIRE(by_tree);
  REQUIRE(by_node);
  CHECK(by_tree->cure == by_node->cure);
  CHECK(by_tree->text == by_node->text);
}

TEST_CASE("phase, strums and clipping of a position by nodes are those of the tree") {
  instrument tree = mixed();
  std::get<active_pickup>(tree.pickups[1]).turns_area = 0.1;
  tree.output.push_back({.is = wiring_step::kind::amplifier, .amplifier = {.gain = 3}, .name = "booster"});
  instrument nodes = tree;
  nodes.positions[0].wired = by_nodes({pickup_between("neck", "hot")}, "hot");
  nodes.positions[1].wired =
      by_nodes({pickup_between("neck", "hot"), pickup_between("bridge", "hot")}, "hot");
  const phase_answer a = phase_options(tree, 1), b = phase_options(nodes, 1);
  REQUIRE(a.options.size() == b.options.size());
  for (std::size_t k = 0; k < a.options.size(); ++k) {
    CHECK(a.options[k].in_phase == b.options[k].in_phase);
    CHECK(near(a.options[k].cancelling.value() + 1, b.options[k].cancelling.value() + 1, 1e-9));
  }
  const strum_reading strum{.position = "neck", .shown = 100_mV};
  CHECK(
      near(emf_from_strum(nodes, strum, {}).emf.value(), emf_from_strum(tree, strum, {}).emf.value(), 1e-12));
  const clip_settings with{.input_limit = 2_V};
  const auto one = find_clipping(tree, {.position = "both"}, with),
             other = find_clipping(nodes, {.position = "both"}, with);
  REQUIRE(one.size() == other.size());
  CHECK(one.size() == 3); // the pickup, the booster, the input
  for (std::size_t k = 0; k < one.size(); ++k) {
    CHECK(one[k].name == other[k].name);
    CHECK(near(other[k].peak.value(), one[k].peak.value(), 1e-12));
  }
}
