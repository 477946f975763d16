// SPDX-License-Identifier: BSL-1.0
// Positions that go by their nodes: the same as a tree where there is one, the same as a netlist written by hand where
// there is none.
#include <doctest/doctest.h>

#include <algorithm>

#include <lodewire/instrument/survey.hpp>

#include "../check.hpp"
#include "nodes.hpp"

using namespace demo;
using check::error_of;
using check::near;

namespace {

const std::vector<double> measured_hz{20, 100, 1e3, 3e3, 1e4, 2e4};

/// Near, or as near as the rounding of the largest value in the circuit (an EMF of 1 V, an impedance of 1 MΩ) lets a
/// solver of nodes come: what a shut control leaves is a small difference to it.
bool same(std::complex<double> ours, std::complex<double> theirs, double most, double relative = 1e-12) {
  return std::abs(ours - theirs) <= relative * std::abs(theirs) + 0x1p-51 * most;
}

/// `two_pickups` with everything between pickups and jack as branches.
instrument two_pickups_by_nodes() {
  instrument of = two_pickups();
  const auto side = [](const std::string& name) {
    return std::vector<wiring_branch>{pickup_between(name, name + " hot"),
                                      control_between(name + " volume", "ground", "out", name + " hot")};
  };
  const auto wired = [](std::vector<wiring_branch> branches) {
    branches.push_back(part_between(tone_branch("tone", 22_nF), "out", "ground"));
    return by_nodes(std::move(branches), "out");
  };
  std::vector<wiring_branch> both = side("neck");
  for (wiring_branch& b : side("bridge")) both.push_back(std::move(b));
  of.circuits.clear();
  of.positions = {{"neck", wired(side("neck"))}, {"both", wired(both)}, {"bridge", wired(side("bridge"))}};
  of.output.clear();
  return of;
}

} // namespace

TEST_CASE("a tree written as branches gives the same answers, knobs at their ends and between") {
  const instrument tree = two_pickups(), nodes = two_pickups_by_nodes();
  require_sound(nodes);
  for (const double neck : {0.0, 5.0, 10.0})
    for (const double bridge : {0.0, 5.0, 10.0})
      for (const double tone : {0.0, 5.0, 10.0})
        for (std::size_t p = 0; p < 3; ++p) {
          const std::vector<rotation> knobs{knob(neck), knob(bridge), knob(tone)};
          const composed_position one = plug_in(tree, p, knobs, {}), other = plug_in(nodes, p, knobs, {});
          REQUIRE(one.tree());
          REQUIRE(other.nodes());
          bool all = std::equal(one.emf_names().begin(), one.emf_names().end(), other.emf_names().begin());
          for (const double hz : measured_hz) {
            const frequency f = frequency::from_value(hz);
            for (std::size_t k = 0; k < one.emf_names().size(); ++k)
              all = all && same(response(other, k, f), response(one, k, f), 1);
            all = all && same(response(other, f), response(one, f), 1);
            all = all && same(output_impedance(other, f).value(), output_impedance(one, f).value(), 1e6);
            for (const std::string& name : one.pickups())
              all = all && same(load_seen(other, name, f).value(), load_seen(one, name, f).value(), 1e6);
          }
          CHECK(all);
          const auto meter = [&](const instrument& of) {
            return dc_resistance(compose_position(of, p, knobs)).value();
          };
          CHECK(near(meter(nodes), meter(tree), 1e-9));
        }
}

TEST_CASE("and the same survey: resonances, hum, noise, what the knobs do") {
  instrument tree = two_pickups(), nodes = two_pickups_by_nodes();
  const wiring_step amplifier{.is = wiring_step::kind::amplifier,
                              .amplifier = {.gain = 2, .voltage_noise = 5e-9, .current_noise = 1e-12},
                              .name = "preamplifier"};
  for (instrument* of : {&tree, &nodes}) {
    of->output.push_back(amplifier);
    of->output.push_back(shunt_step(100_kOhm));
    std::get<magnetic_coil>(of->pickups[1]).turns_area = 0.7;
    for (control& c : of->controls) c.at = knob(7);
  }
  const destination into{.voltage_noise = 6e-9, .current_noise = 1e-12};
  const survey_result expected = survey(tree, {}, into), found = survey(nodes, {}, into);
  for (std::size_t p = 0; p < 3; ++p) {
    const position_survey &a = expected.positions[p], &b = found.positions[p];
    CAPTURE(a.name);
    CHECK(near(b.level.value(), a.level.value(), 1e-10));
    CHECK(b.peak.has_peak == a.peak.has_peak);
    CHECK(near(b.peak.peak.value(), a.peak.peak.value(), 1e-9));
    CHECK(near(b.peak.height.value(), a.peak.height.value(), 1e-9));
    REQUIRE(b.peak.edge.has_value() == a.peak.edge.has_value());
    if (a.peak.edge) CHECK(near(b.peak.edge->value(), a.peak.edge->value(), 1e-9));
    CHECK(b.peak.reference == a.peak.reference);
    CHECK(near(b.hum_to_signal.value() + 1, a.hum_to_signal.value() + 1, 1e-9));
    CHECK(near(b.hum_cancelling.value() + 1, a.hum_cancelling.value() + 1, 1e-9));
    CHECK(near(b.electric_hum.value(), a.electric_hum.value(), 1e-9));
    CHECK(near(b.noise.value(), a.noise.value(), 1e-9));
    CHECK(near(b.noise_a_weighted.value(), a.noise_a_weighted.value(), 1e-9));
    REQUIRE(b.loads.size() == a.loads.size());
    REQUIRE(b.controls.size() == a.controls.size());
    for (std::size_t c = 0; c < a.controls.size(); ++c) {
      CHECK(b.controls[c].works_as == a.controls[c].works_as);
      CHECK(near(b.controls[c].level_range_db, a.controls[c].level_range_db, 1e-8));
      CHECK(near(b.controls[c].treble_range_db, a.controls[c].treble_range_db, 1e-8));
      CHECK(near(b.controls[c].travel_of_level, a.controls[c].travel_of_level, 1e-8));
    }
  }
}

TEST_CASE("noise of a position by nodes: cause by cause, an active pickup's own too") {
  instrument tree = mixed();
  std::get<active_pickup>(tree.pickups[1]).voltage_noise = 300e-9;
  tree.output.push_back(
      {.is = wiring_step::kind::amplifier, .amplifier = {.gain = 3, .voltage_noise = 9e-9}, .name = "first"});
  tree.output.push_back({.is = wiring_step::kind::amplifier,
                         .amplifier = {.gain = 0.5, .current_noise = 2e-12},
                         .name = "second"});
  tree.controls[0].at = knob(6);
  instrument nodes = tree;
  nodes.positions[1].wired =
      by_nodes({pickup_between("neck", "hot"), pickup_between("bridge", "hot")}, "hot");
  const noise_figures a = instrument_noise(tree, 1, {}), b = instrument_noise(nodes, 1, {});
  REQUIRE(a.spectrum.contributions.size() == b.spectrum.contributions.size());
  CHECK(a.spectrum.contributions.size() ==
        6); // two amplifiers' thermal, e_n, i_n, the pickup's, the output's
  for (std::size_t k = 0; k < a.spectrum.contributions.size(); ++k) {
    CHECK(a.spectrum.contributions[k].name == b.spectrum.contributions[k].name);
    bool all = true;
    for (std::size_t i = 0; i < a.spectrum.hz.size(); ++i)
      all = all && near(b.spectrum.contributions[k].density[i], a.spectrum.contributions[k].density[i], 1e-9);
    CHECK(all);
  }
}

TEST_CASE("wirings that no tree has, beside netlists written by hand") {
  // Coils as in demo.hpp: an EMF of 1 V, R and L in series, 110 pF across.
  const auto coil_by_hand = [](netlist& net, const std::string& name, double henry, double kilo_ohm,
                               double emf) {
    net.emf(name + " emf", voltage::from_value(emf), name + " inside", "ground");
    net.add(name, series(resistance::from_value(1e3 * kilo_ohm), inductance::from_value(henry)),
            name + " hot", name + " inside");
    net.add(name + " shunt", one_port(110_pF), name + " hot", "ground");
  };
  const instrument of = bridged();
  const destination into;
  for (const double at : {0.0, 3.0, 10.0}) {
    const std::vector<rotation> knobs{knob(at), knob(10 - at), knob(at)};
    const potentiometer_legs neck = of.controls[0].sections[0].legs(knobs[0]),
                             bridge = of.controls[1].sections[0].legs(knobs[1]),
                             tone = of.controls[2].sections[0].legs(knobs[2]);
    for (const bool with_tone : {false, true}) {
      netlist net;
      coil_by_hand(net, "neck", 2.2, 6.3, 1);
      coil_by_hand(net, "bridge", 3.4, 7.8, 1);
      if (with_tone) {
        net.couple("flux", 0.08, "neck", "bridge");
        net.add("from neck", one_port(47_kOhm), "neck hot", "out");
        net.add("from bridge", one_port(47_kOhm), "bridge hot", "out");
        net.add("tone lower", one_port(tone.lower), "neck hot", "slider");
        net.add("tone upper", one_port(tone.upper), "slider", "bridge hot");
        net.add("tone capacitor", one_port(22_nF), "slider", "ground");
      } else {
        net.add("neck lower", one_port(neck.lower), "ground", "neck hot");
        net.add("neck upper", one_port(neck.upper), "neck hot", "out");
        net.add("bridge lower", one_port(bridge.lower), "ground", "bridge hot");
        net.add("bridge upper", one_port(bridge.upper), "bridge hot", "out");
        net.add("mixing resistor", one_port(470_kOhm), "neck hot", "bridge hot");
      }
      net.add("cable", one_port(300_pF), "out", "ground");
      net.add("input", one_port(1_MOhm), "out", "ground");
      const netlist_solver solver(net);
      auto room = solver.make_workspace();
      const composed_position found = plug_in(of, with_tone ? 1 : 0, knobs, into);
      REQUIRE(found.emf_names().size() == 2);
      for (const double hz : measured_hz) {
        const frequency f = frequency::from_value(hz);
        REQUIRE(solver.solve(check::s_at(f), room));
        for (const char* name : {"neck", "bridge"})
          CHECK(same(response(found, found.emf(name), f),
                     solver.transfer(room, net.source(std::string(name) + " emf"), net.node("out")), 1));
        CHECK(same(response(found, f), solver.voltage(room, net.node("out")), 1));
        CHECK(same(output_impedance(found, f).value(), solver.impedance(room, net.node("out")), 1e6));
      }
    }
  }
}

TEST_CASE("the exact transfer function of such a position, and its resonance") {
  // Levels and peak by |H| on a fine grid; at 1e-4 steps the top is flat to 1e-6.
  const instrument of = bridged();
  const composed_position found = plug_in(of, 1, {});
  const resonance r = find_resonance(found);
  REQUIRE(r.has_peak);
  const auto at = [&](double hz) { return std::abs(response(found, frequency::from_value(hz))); };
  const double top = at(r.peak.value());
  for (const double off : {0.9, 0.99, 0.999, 1.001, 1.01, 1.1}) CHECK(at(r.peak.value() * off) < top);
  CHECK(near(r.height.value(), 20 * std::log10(top / at(1e-4)), 1e-6));
  CHECK(near(at(r.edge->value()) / at(1e-4), std::sqrt(0.5), 1e-9));
}

TEST_CASE("a turned knob gives what composing afresh gives") {
  instrument of = bridged();
  const destination into;
  live_instrument live(of, into);
  REQUIRE(live.by_nodes(0));
  CHECK(!live.by_nodes(2));
  CHECK(!live.response(0).defined());
  CHECK(live.works_in(0, 0));
  CHECK(!live.works_in(0, 1));
  CHECK(live.works_in(2, 1));
  std::vector<std::complex<double>> out(measured_hz.size());
  for (const double at : {0.0, 4.0, 10.0})
    for (std::size_t c = 0; c < 3; ++c) {
      live.turn(c, knob(at));
      of.controls[c].at = live.knobs()[c];
      for (std::size_t p = 0; p < of.positions.size(); ++p) {
        live.responses(p, measured_hz, out);
        const composed_position fresh = plug_in(of, p, into);
        for (std::size_t i = 0; i < out.size(); ++i)
          CHECK(same(out[i], response(fresh, frequency::from_value(measured_hz[i])), 1));
        CHECK(near(live.peak(p).level.value() - 1, find_resonance(fresh).level.value() - 1, 1e-9));
      }
    }
}

TEST_CASE("controls cut at full and without end resistance; a lug left free") {
  instrument of = bridged();
  potentiometer& tone = of.controls[2].sections[0];
  tone.cut_at_full = true;
  tone.end_resistance = {};
  for (control& c : of.controls) c.sections[0].end_resistance = {};
  for (const double at : {0.0, 10.0}) {
    const std::vector<rotation> knobs(3, knob(at));
    for (std::size_t p = 0; p < 2; ++p)
      for (const double hz : measured_hz) {
        const std::complex<double> h = response(plug_in(of, p, knobs, {}), frequency::from_value(hz));
        CHECK(is_finite(h.real()));
        CHECK(std::abs(h) < 10);
      }
  }
  // Cut at full: no capacitor hangs on the neck's hot lead any more.
  instrument rheostat = bridged();
  rheostat.controls[2].sections[0].cut_at_full = true;
  rheostat.positions[1].wired =
      by_nodes({pickup_between("neck", "hot"), control_between("tone", "a", "hot", ""),
                part_between(22_nF, "a", "ground")},
               "hot");
  const frequency f = 5_kHz;
  const auto h = [&](double at) {
    return std::abs(response(plug_in(rheostat, 1, std::vector<rotation>(3, knob(at)), {}), f));
  };
  const double bare =
      std::abs(response(source(coil("neck", 2.2, 6.3)) | destination().lead | destination().into, f));
  CHECK(near(h(10), bare, 1e-12));
  CHECK(h(9.99) < 0.99 * bare);
  CHECK(h(0) < 0.1 * bare);
}

TEST_CASE("flux between coils: a pickup's second coil, and coils that are one inductance together") {
  // Two coils in series, each R, L, without capacitance: L = 2·L·(1 + k), computed from the formula.
  instrument of;
  for (const char* name : {"one", "two"}) {
    magnetic_coil c = coil(name, 2, 5);
    c.capacitance = {};
    of.pickups.emplace_back(c);
  }
  of.positions = {
      {"series", by_nodes({pickup_between("one", "middle"), pickup_between("two", "hot", "middle"),
                           coupled_coils("one", "two", 0.3)},
                          "hot")}};
  for (const double hz : measured_hz) {
    const frequency f = frequency::from_value(hz);
    const std::complex<double> z = output_impedance(compose_position(of, 0), f).value();
    CHECK(near(z, 10e3 + check::s_at(f) * (2 * 2 * 1.3), 1e-12));
  }
  // A pair's own flux, given once by the pair and once by branches between its coils as coils of their own.
  coil_pair pair = humbucking_pair(coil("slug side", 2, 4), coil("screw side", 2.5, 4.5), 0.2);
  pair.first.eddy[0] = {0.3_H, 50_kOhm};
  pair.name = "pair";
  instrument whole{.pickups = {pair}, .positions = {{"on", from_pickup("pair")}}};
  pair.coupling = 0;
  instrument parted{.pickups = {pair},
                    .positions = {{"on", by_nodes({pickup_between("pair", "hot"),
                                                   coupled_coils("pair.slug side", "pair.screw side", 0.2)},
                                                  "hot")}}};
  for (const double hz : measured_hz) {
    const frequency f = frequency::from_value(hz);
    CHECK(near(output_impedance(compose_position(parted, 0), f).value(),
               output_impedance(compose_position(whole, 0), f).value(), 1e-11));
  }
}

TEST_CASE("bad joints, leaks and hum at pickups, nodes, parts and lugs") {
  const instrument of = bridged();
  const auto level_with = [&](std::size_t p, const std::string& at, fault::kind is, resistance r) {
    return std::abs(response(plug_in(of, p, {}, {.faults = {{at, is, r}}}), 1_kHz));
  };
  const double sound = std::abs(response(plug_in(of, 0, {}), 1_kHz));
  const resistance open = resistance::from_value(open_value);
  CHECK(level_with(0, "neck", fault::kind::joint, 0_Ohm) == doctest::Approx(sound));
  CHECK(level_with(0, "neck hot", fault::kind::leak, 0_Ohm) < 0.99 * sound);
  CHECK(level_with(0, "out", fault::kind::leak, 0_Ohm) < 1e-12);
  CHECK(level_with(0, "mixing resistor", fault::kind::leak, 0_Ohm) ==
        doctest::Approx(level_with(0, "neck hot", fault::kind::leak, 0_Ohm)));
  CHECK(level_with(0, "jack", fault::kind::leak, 0_Ohm) < 1e-12);
  // With the wiper of the neck's volume off its lug and no mixing resistor nothing of the neck is left.
  const composed_position off = plug_in(of, 0, {}, {.faults = {{"neck", fault::kind::joint, open}}});
  CHECK(std::abs(response(off, off.emf("neck"), 1_kHz)) < 1e-12);
  // A joint at a part is a resistor in series with it.
  instrument larger = of;
  larger.positions[0].wired.branches[4].part = network(480_kOhm);
  CHECK(level_with(0, "mixing resistor", fault::kind::joint, 10_kOhm) ==
        doctest::Approx(std::abs(response(plug_in(larger, 0, {}), 1_kHz))).epsilon(1e-12));
  CHECK(level_with(0, "neck volume lug 1", fault::kind::joint, open) >= sound);
  CHECK(error_of([&] { (void)level_with(0, "neck hot", fault::kind::joint, open); }) ==
        "fault.at is 'neck hot', where 3 ends meet; allowed: a joint at a node with two ends, or at a part "
        "or lug by "
        "its name ('control lug 2')");
  CHECK(error_of([&] { (void)level_with(0, "nowhere", fault::kind::leak, 0_Ohm); }) ==
        "fault.at is 'nowhere'; allowed: a point of this position");
  // 1 A into a node: the impedance from there, seen at the output; at the output itself the output impedance.
  const composed_position hum = plug_in(of, 0, {}, {.inject_at = "out"});
  CHECK(near(response(hum, hum.emf("injected"), 100_Hz), output_impedance(plug_in(of, 0, {}), 100_Hz).value(),
             1e-11));
  CHECK(electric_hum(of, 0, knobs_of(of), stage(), "neck hot", 1_uA, 100_Hz).value() > 0);
}

TEST_CASE("what is no wiring by nodes is refused, with its place") {
  const auto said = [](auto change) {
    instrument of = bridged();
    change(of.positions[0].wired);
    return error_of([&] { require_sound(of); });
  };
  const std::string path = "positions.volumes.wiring";
  CHECK(said([](wiring& w) { w.branches.clear(); }) ==
        path + ".branches is an empty list; allowed: one branch or more");
  CHECK(said([](wiring& w) { w.out = "ground"; }) ==
        path + ".out is 'ground'; allowed: a node other than 'ground'");
  CHECK(said([](wiring& w) { w.out = "ou"; }) == path + ".out is 'ou'; allowed: a node of the branches");
  CHECK(said([](wiring& w) { w.branches[4].between[0] = "nek hot"; }) ==
        path + ".branches[4].between is 'nek hot', where nothing else is; allowed: a node with something "
               "else on it");
  CHECK(said([](wiring& w) { w.branches[4].between[1] = "neck hot"; }) ==
        path + ".branches[4].between is all on 'neck hot'; allowed: two different nodes");
  CHECK(said([](wiring& w) { w.branches[4].between.pop_back(); }) ==
        path + ".branches[4].between is 1 long; allowed: two nodes");
  CHECK(said([](wiring& w) { w.branches[2].between.pop_back(); }) ==
        path + ".branches[2].lugs is 2 long; allowed: three nodes, for lugs 1, 2 and 3");
  CHECK(said([](wiring& w) { w.branches[4].between[0] = "jack"; }) ==
        path +
            ".branches[4].between is 'jack'; allowed: another name: the jack lies behind all that follows");
  CHECK(said([](wiring& w) { w.branches[1].name = "nek"; }) ==
        path + ".branches[1].pickup is 'nek'; allowed: 'neck' or 'bridge'");
  CHECK(said([](wiring& w) { w.branches[1].name = "neck"; }) ==
        path + ".branches[1].pickup is 'neck' a second time; allowed: each of them once in a position");
  CHECK(said([](wiring& w) { w.branches[2].name = "volume"; }) ==
        path + ".branches[2].control is 'volume'; allowed: 'neck volume', 'bridge volume', 'tone'");
  CHECK(said([](wiring& w) { w.branches.push_back(coupled_coils("neck", "bridge", 1.5)); }) ==
        path + ".branches[5].coupling is 1.5; allowed: -1 to 1");
  CHECK(said([](wiring& w) { w.branches.push_back(coupled_coils("neck", "middle", 0.5)); }) ==
        path + ".branches[5].coupled is 'middle'; allowed: a coil of this wiring: a pickup's name, or "
               "'pickup.coil' of "
               "one with two");
  CHECK(
      said([](wiring& w) { w.branches.insert(w.branches.end(), 2, coupled_coils("neck", "bridge", 0.1)); }) ==
      path + ".branches[6].coupled is two coils that are coupled already; allowed: each pair of coils once");
  CHECK(said([](wiring& w) {
          w.branches.push_back(part_between(1_kOhm, "x", "y"));
          w.branches.push_back(part_between(1_kOhm, "x", "y"));
        }) ==
        path +
            ".branches is such that node 'x' is hanging free; allowed: a path to ground through parts that "
            "conduct");
  CHECK(said([](wiring& w) { w.leads_swapped = true; }) ==
        path + ".branches is with its leads swapped; allowed: a wiring by nodes alone in its position, with "
               "nothing "
               "but steps behind it");
  CHECK(said([](wiring& w) {
          w = joined_in_parallel({w, from_pickup("neck")});
        }) == path + ".parallel[0].branches is in a group; allowed: a wiring by nodes alone in its position, "
                     "with nothing "
                     "but steps behind it");
  CHECK(said([](wiring& w) {
          for (int k = 0; k < 500; ++k) w.branches.push_back(part_between(1_kOhm, "out", "ground"));
        }).ends_with("parts with what follows it; allowed: 500 or fewer"));
  CHECK(error_of([] { (void)compose(bridged(), 0); }) ==
        path + " is a wiring by nodes; allowed: a tree, where a source is asked for (`compose_position` "
               "takes both)");
}
