// SPDX-License-Identifier: BSL-1.0
// A tree poured into a netlist says what the tree says; a wrong wire changes what it should.
#include <array>
#include <string>
#include <utility>

#include <doctest/doctest.h>

#include <lodewire/circuit/netlist_solver.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"
#include "../draws.hpp"
#include "random_circuit.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::near;
using check::s_at;
using ways::complex;

namespace {

constexpr std::array frequencies{50_Hz, 700_Hz, 3_kHz, 6.3_kHz, 20_kHz};

/// A netlist and its solution at one s.
struct solved {
  netlist net;
  netlist_solver solver;
  netlist_workspace room;
  solved(netlist n, complex s) : net(std::move(n)), solver(net), room(solver.make_workspace()) {
    REQUIRE(solver.solve(s, room));
  }
  /// Response to EMF `k` of the program, times its value, as a tree has it.
  complex response(std::size_t k, const char* hot = "hot") {
    const double e = net.data().parts[net.data().drives[k].part].value;
    return e * solver.transfer(room, netlist_source{k}, net.node(hot));
  }
  complex voltage(const char* hot = "hot") { return solver.voltage(room, net.node(hot)); }
  complex impedance(const char* hot = "hot") { return solver.impedance(room, net.node(hot)); }
};

netlist poured(const source& s) {
  netlist n;
  n.pour("rig", s, "hot", "ground");
  return n;
}

/// An elimination leaves some roundings of an EMF in every voltage, so that where two ways nearly cancel, what does so
/// sets the scale: 1e-11 of a response and of a thousandth of its EMF, that is 1e-14 of the EMF.
constexpr double floor = 1e-3, bound = 1e-11;

/// Tree and netlist: every response, their sum, the impedance. The largest distance, responses relative to themselves
/// beside `floor` of the EMF.
double distance(const source& s, complex at) {
  solved n(poured(s), at);
  const auto tree = ways::at(s.as_circuit(), at);
  REQUIRE(tree.status == circuit_status::ok);
  double worst = 0, reach = 0;
  complex sum = 0;
  for (std::size_t k = 0; k < tree.response.size(); ++k) {
    const double e = n.net.data().parts[n.net.data().drives[k].part].value;
    const double scale = std::abs(tree.response[k]) + floor * std::abs(e);
    worst = std::max(worst, std::abs(n.response(k) - tree.response[k]) / (scale > 0 ? scale : 1));
    sum += tree.response[k];
    reach += scale;
  }
  worst = std::max(worst, std::abs(n.voltage() - sum) / (reach > 0 ? reach : 1));
  return std::max(worst, std::abs(n.impedance() - tree.impedance) / (std::abs(tree.impedance) + 1));
}

coil_pair unlike(double k) {
  return {.first = {.inductance = 2.1_H,
                    .resistance = 4100_Ohm,
                    .capacitance = 61_pF,
                    .start_to_ground = 23_pF,
                    .end_to_ground = 37_pF,
                    .eddy = {{{0.5_H, 30_kOhm}}},
                    .parallel_loss = 900_kOhm,
                    .emf = 0.4_V,
                    .emf_corner = 8_kHz,
                    .name = "first"},
          .second = {.inductance = 2.4_H,
                     .resistance = 4400_Ohm,
                     .capacitance = 52_pF,
                     .start_to_ground = 17_pF,
                     .end_to_ground = 41_pF,
                     .eddy = {{{0.4_H, 25_kOhm}, {0.1_H, 80_kOhm}}},
                     .emf = 0.3_V,
                     .winding = winding_sense::counterclockwise,
                     .magnet = magnet_sense::south_up,
                     .name = "second"},
          .coupling = k,
          .lead = {0.5_m, 140_pF_per_m},
          .name = "pair"};
}

/// One winding from `start` to `end`, from the members of the coil and the library's branches.
void wind(netlist& n, const magnetic_coil& c, const char* start, const char* end) {
  const std::string emf = c.name + " emf", middle = c.name + " middle";
  const double sign = static_cast<int>(c.winding) * static_cast<int>(c.magnet);
  n.emf(emf, sign * c.emf, middle, start);
  if (c.emf_corner) n.filter(emf, 1 / (2 * std::numbers::pi * c.emf_corner->value()), 0);
  n.add(c.name, series(c.resistance, c.inductance), end, middle + " 2");
  n.add(c.name + " eddy 1", parallel(c.eddy[0].inductance, c.eddy[0].resistance), middle + " 2",
        middle + " 3");
  if (c.eddy[1].inductance.value() > 0) {
    n.add(c.name + " eddy 2", parallel(c.eddy[1].inductance, c.eddy[1].resistance), middle + " 3", middle);
  } else {
    n.add(c.name + " wire", short_circuit(), middle + " 3", middle);
  }
  n.add(c.name + " capacitance", c.capacitance, start, end);
  if (c.parallel_loss) n.add(c.name + " loss", *c.parallel_loss, start, end);
  if (std::string(start) != "ground") n.add(c.name + " start", c.start_to_ground, start, "ground");
  if (std::string(end) != "ground") n.add(c.name + " end", c.end_to_ground, end, "ground");
}

/// The start and end of each winding.
struct wiring {
  const char *start1, *end1, *start2, *end2;
};
netlist by_hand(const coil_pair& p, const wiring& w) {
  netlist n;
  wind(n, p.first, w.start1, w.end1);
  wind(n, p.second, w.start2, w.end2);
  n.add("lead", p.lead.total(), "hot", "ground");
  // Opposite winding senses: flux that leaves one coil returns through the other, so that starts are of one polarity.
  n.couple("flux", p.coupling * -static_cast<int>(p.first.winding) * static_cast<int>(p.second.winding),
           "first", "second");
  return n;
}

void agree(const source& tree, netlist by_hand, std::size_t first, frequency f) {
  const complex s = s_at(f);
  CHECK(distance(tree, s) <= bound);
  solved n(std::move(by_hand), s);
  const auto emfs = ways::at(tree.as_circuit(), s);
  for (const std::size_t k : {0UL, 1UL}) {
    const complex expected = emfs.response[k == 0 ? first : 1 - first];
    CHECK(std::abs(n.response(k) - expected) <=
          bound * (std::abs(expected) + floor * 0.3)); // EMFs 0.4 and 0.3 V
  }
  CHECK(near(n.impedance(), emfs.impedance, bound));
}

} // namespace

TEST_CASE("random circuits: tree and netlist agree") {
  const std::size_t trees = check::draws(200);
  for (const std::size_t reactive : {5UL, 12UL, 20UL, 40UL}) {
    double worst = 0;
    std::size_t unknowns = 0;
    for (std::uint64_t seed = 1; seed <= trees; ++seed) {
      ways::dice d(seed + 7000);
      const source s = ways::circuit_maker(seed, {.power_laws = seed % 3 == 0})(reactive);
      unknowns += netlist_solver(poured(s)).unknowns();
      for (int i = 0; i < 5; ++i) {
        CAPTURE(seed);
        const complex at(i == 0 ? d.spread(100, 1e5) : 0, 2 * std::numbers::pi * d.spread(20, 2e4));
        worst = std::max(worst, distance(s, at));
      }
    }
    MESSAGE(reactive << " reactive parts: worst " << worst << ", " << unknowns / trees << " unknowns");
    CHECK(worst <= bound);
  }
}

TEST_CASE("each instruction of a program by itself") {
  const source emf = ideal_emf(0.5_V, "e") | in_series(3_kOhm);
  const stage stages[] = {in_series(5_kOhm),
                          in_series(2_H),
                          in_series(3_nF),
                          in_series(power_law(resistance::from_value(9), 0.5)),
                          in_shunt(5_kOhm),
                          in_shunt(2_H),
                          in_shunt(3_nF),
                          in_shunt(power_law(resistance::from_value(9), 0.5)),
                          in_shunt(series(5_kOhm, 2_H, 3_nF)),
                          in_series(parallel(5_kOhm, 2_H, 3_nF)),
                          buffer(-2, parallel(1_MOhm, 20_pF), series(1_kOhm, 10_mH)),
                          chain_matrix{.a = {2, 1e-5, 0},
                                       .b = {1e3, 0.1, 0},
                                       .c = {1e-5, 1e-10, 0},
                                       .d = {1, 0, 1e-10},
                                       .delta = {1, 1e-6, 0}}};
  for (const stage& through : stages)
    for (const frequency& f : frequencies)
      for (const source& s : {emf | through, reversed(emf | through) | in_shunt(8_kOhm),
                              series(emf | through, ideal_current(1_mA, "i") | in_shunt(4_kOhm) | through),
                              parallel(emf | through, ideal_emf(0.2_V, "f") | in_series(1_kOhm) | through)})
        CHECK(distance(s | in_shunt(100_kOhm), s_at(f)) <= bound);
}

TEST_CASE("a coil pair in every mode: the tree, the tree poured, and windings wired by hand") {
  for (const double k : {0.0, 0.1, -0.35, 0.8, 1.0, -1.0}) {
    CAPTURE(k);
    const coil_pair p = unlike(k);
    const wiring in_series_{"ground", "j", "j", "hot"};
    for (const frequency& f : frequencies) {
      agree(p.as_series(), by_hand(p, in_series_), 0, f);
      agree(p.as_series_out_of_phase(), by_hand(p, {"ground", "j", "hot", "j"}), 0, f);
      agree(p.as_parallel(), by_hand(p, {"ground", "hot", "ground", "hot"}), 0, f);
      agree(p.as_parallel_out_of_phase(), by_hand(p, {"ground", "hot", "hot", "ground"}), 0, f);
      agree(p.as_single(which_coil::first, idle_coil::open()), by_hand(p, {"ground", "hot", "hot", "j"}), 0,
            f);
      agree(p.as_single(which_coil::second, idle_coil::open()), by_hand(p, {"hot", "j", "ground", "hot"}), 1,
            f);
      for (const resistance& r : {1_kOhm, 47_kOhm, 1_MOhm, 0_Ohm}) {
        netlist one = by_hand(p, in_series_), two = by_hand(p, {"j", "hot", "ground", "j"});
        one.add("bypass", r, "j", "hot");
        two.add("bypass", r, "j", "hot");
        agree(p.as_single(which_coil::first, idle_coil::bypassed(r)), one, 0, f);
        agree(p.as_single(which_coil::second, idle_coil::bypassed(r)), two, 1, f);
      }
      coil_pair between = p; // between the outer ends in series; at the far end of a hanging coil
      between.between = 33_pF;
      netlist row = by_hand(p, in_series_), alone = by_hand(p, {"ground", "hot", "hot", "j"});
      row.add("between", 33_pF, "ground", "hot");
      alone.add("between", 33_pF, "ground", "j");
      agree(between.as_series(), row, 0, f);
      agree(between.as_single(which_coil::first, idle_coil::open()), alone, 0, f);
    }
  }
}

namespace {

const magnetic_coil neck{.inductance = 2.4_H, .resistance = 6.6_kOhm, .capacitance = 95_pF, .name = "neck"};
const magnetic_coil bridge{
    .inductance = 3.1_H, .resistance = 7.4_kOhm, .capacitance = 110_pF, .name = "bridge"};
const stage plug = cable{.length = 6_m, .capacitance = 95_pF_per_m} | stage(input{.resistance = 1_MOhm});

stage controls(double volume, double tone, resistance end) {
  const potentiometer pot{.total = 500_kOhm, .law = audio_taper, .end_resistance = end};
  return in_shunt(series(pot.as_rheostat(rotation(tone), lugs::one_two), 22_nF)) |
         pot.as_divider(rotation(volume));
}
source guitar(double neck_volume, double bridge_volume, resistance end = 2_Ohm) {
  return parallel(neck | controls(neck_volume, 1, end), bridge | controls(bridge_volume, 0.3, end)) | plug;
}

} // namespace

TEST_CASE("two volumes at either end, with and without end resistance") {
  for (const resistance& end : {2_Ohm, 0_Ohm})
    for (const double a : {0.0, 0.5, 1.0})
      for (const double b : {0.0, 0.5, 1.0})
        for (const frequency& f : frequencies) CHECK(distance(guitar(a, b, end), s_at(f)) <= bound);
}

TEST_CASE("the names of what was poured") {
  netlist n = poured(parallel(neck | in_series(47_kOhm), bridge, neck) | in_shunt(500_pF) |
                     buffer(2, 1_MOhm, 1_kOhm) | chain_matrix{});
  for (const char* name : {"rig", "rig.neck", "rig.R1", "rig.L1", "rig.C1", "rig.R2", "rig.bridge",
                           "rig.neck 2", "rig.L3", "rig.C4", "rig.A1", "rig.T1"})
    CHECK_NOTHROW((void)n.branch(name));
  CHECK_NOTHROW((void)n.source("rig.neck 2"));
  CHECK(n.node("rig.bridge") == n.node("rig.neck 2"));
  CHECK(n.node("rig.bridge") != n.node("rig.neck 2.cold"));
  CHECK(n.node("rig.neck.cold") == netlist_ground);
  CHECK(check::error_of([&] { n.pour("rig", neck, "x", "ground"); }) ==
        "branch name is 'rig'; allowed: a name that is not in use");
  CHECK(check::error_of([&] { n.add("wire", short_circuit(), "rig.neck.cold", "ground"); }) ==
        "wire is connected from 'rig.neck.cold' to 'ground'; allowed: two different nodes");
  // Its currents: the whole, and one part of it.
  netlist small = poured(ideal_emf(1_V) | in_series(1_kOhm) | in_shunt(3_kOhm));
  small.add("load", 6_kOhm, "hot", "ground");
  solved at(small, s_at(1_kHz));
  CHECK(near(at.solver.current(at.room, small.branch("rig")),
             -at.solver.current(at.room, small.branch("load")), 1e-13));
  CHECK(near(at.solver.current(at.room, small.branch("rig.R2")), 2.0 / 9e3, 1e-13));
  CHECK(near(at.solver.current(at.room, small.branch("rig.emf")), -1.0 / 3e3, 1e-13));
}

TEST_CASE("a wrong wire") {
  const double end = 0.4; // both volumes somewhere
  const source right = guitar(end, end);
  for (const frequency& f : frequencies) {
    const complex s = s_at(f);
    const auto plain = ways::at(right.as_circuit(), s);

    // From one pickup's hot end to ground: it is silent, the other one plays into the controls of a short.
    netlist grounded = poured(right);
    grounded.add("wire", short_circuit(), "rig.neck", "ground");
    const source shorted = parallel(neck | in_shunt(short_circuit()) | controls(end, 1, 2_Ohm),
                                    bridge | controls(end, 0.3, 2_Ohm)) |
                           plug;
    const auto as_shorted = ways::at(shorted.as_circuit(), s);
    solved one(grounded, s);
    CHECK(std::abs(one.response(0)) <= 1e-16);
    CHECK(near(one.response(1), as_shorted.response[1], 1e-12));
    CHECK(near(one.impedance(), as_shorted.impedance, 1e-12));
    CHECK(!near(one.response(1), plain.response[1], 1e-4));

    // From the same end to the jack: its volume is across the output, the track's upper leg bridged.
    netlist bypassed = poured(right);
    bypassed.add("wire", short_circuit(), "rig.neck", "hot");
    const potentiometer pot{.total = 500_kOhm, .law = audio_taper};
    const source past = parallel(neck | in_shunt(series(pot.as_rheostat(rotation(1), lugs::one_two), 22_nF)) |
                                     in_shunt(pot.legs(rotation(end)).lower),
                                 bridge | controls(end, 0.3, 2_Ohm)) |
                        plug;
    const auto as_past = ways::at(past.as_circuit(), s);
    solved two(bypassed, s);
    for (const std::size_t k : {0UL, 1UL}) {
      CHECK(near(two.response(k), as_past.response[k], 1e-12));
      CHECK(!near(two.response(k), plain.response[k], 1e-2));
    }
    CHECK(near(two.impedance(), as_past.impedance, 1e-12));
    // All that comes from the pickup and goes to the rest now runs through the wire and the two shunts of the track.
    const complex through = two.solver.current(two.room, bypassed.branch("wire"));
    CHECK(std::abs(through) > 0);

    // From hot end to hot end, which is no tree: each volume now works on both.
    netlist crossed = poured(right);
    crossed.add("wire", short_circuit(), "rig.neck", "rig.bridge");
    const source joined = parallel(neck, bridge);
    const source both = joined | in_shunt(series(pot.as_rheostat(rotation(1), lugs::one_two), 22_nF)) |
                        in_shunt(series(pot.as_rheostat(rotation(0.3), lugs::one_two), 22_nF)) |
                        in_series(parallel(pot.legs(rotation(end)).upper, pot.legs(rotation(end)).upper)) |
                        in_shunt(pot.legs(rotation(end)).lower) | in_shunt(pot.legs(rotation(end)).lower) |
                        plug;
    const auto as_both = ways::at(both.as_circuit(), s);
    solved three(crossed, s);
    for (const std::size_t k : {0UL, 1UL}) CHECK(near(three.response(k), as_both.response[k], 1e-12));

    // A wire where there is one already changes nothing.
    netlist twice = poured(right);
    twice.add("wire", 1_GOhm, "rig.neck", "rig.bridge");
    solved four(twice, s);
    for (const std::size_t k : {0UL, 1UL}) CHECK(near(four.response(k), plain.response[k], 1e-3));
  }
}
