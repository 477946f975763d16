// SPDX-License-Identifier: BSL-1.0
// Signs of string and hum after each action, held against instruments in which the action was done.
#include <doctest/doctest.h>

#include <lodewire/design/phase.hpp>
#include <lodewire/design/phase_bench.hpp>

#include "../check.hpp"
#include "../instrument/demo.hpp"

using namespace demo;
using check::error_of;
using check::near;

namespace {

constexpr std::size_t joined = 1;

magnetic_coil& coil_of(instrument& of, std::size_t k) { return std::get<magnetic_coil>(of.pickups[k]); }
magnet_sense other(magnet_sense m) {
  return m == magnet_sense::north_up ? magnet_sense::south_up : magnet_sense::north_up;
}
void act_on(magnetic_coil& c, phase_action act) {
  if (swaps(act)) c = reversed(c);
  if (turns(act)) c.magnet = other(c.magnet);
}
/// `two_pickups` with senses of its second coil.
instrument with_senses(winding_sense winding, magnet_sense magnet) {
  instrument of = two_pickups();
  coil_of(of, 1).winding = winding;
  coil_of(of, 1).magnet = magnet;
  return of;
}
const phase_option& with_steps(const phase_answer& a,
                               std::vector<std::pair<std::string, phase_action>> wanted) {
  for (const phase_option& o : a.options) {
    bool same = o.steps.size() == wanted.size();
    for (std::size_t k = 0; same && k < wanted.size(); ++k)
      same = o.steps[k].pickup == wanted[k].first && o.steps[k].act == wanted[k].second;
    if (same) return o;
  }
  FAIL("no such option");
  return a.options.front();
}

} // namespace

TEST_CASE("every option is what the instrument does once it is done") {
  for (const winding_sense winding : {winding_sense::clockwise, winding_sense::counterclockwise})
    for (const magnet_sense magnet : {magnet_sense::north_up, magnet_sense::south_up})
      for (const bool in_series : {false, true}) {
        instrument of = with_senses(winding, magnet);
        if (in_series) of.positions[joined].wired.is = wiring::kind::series;
        const phase_answer answer = phase_options(of, joined);
        REQUIRE(answer.options.size() == 16);
        for (const phase_option& o : answer.options) {
          instrument done = of;
          for (const phase_step& s : o.steps) act_on(coil_of(done, find_pickup(done, s.pickup)), s.act);
          const source s = compose(done, joined);
          const auto a = response(s, s.emf("neck"), 100_Hz), b = response(s, s.emf("bridge"), 100_Hz);
          CHECK(o.in_phase == (std::abs(a + b) > std::abs(a - b)));
          const magnetic_hum hum = find_magnetic_hum(s, emf_roles(done), 100_Hz);
          CHECK(std::abs(o.cancelling.value() - 20 * std::log10(hum.without_cancelling / hum.output)) < 1e-9);
        }
        for (std::size_t k = 1; k < answer.options.size(); ++k)
          CHECK(answer.options[k - 1].effort <= answer.options[k].effort);
        // It can always be had, and the recommended option has it.
        REQUIRE(answer.recommended);
        const phase_option& best = answer.options[*answer.recommended];
        CHECK(best.in_phase);
        CHECK(best.cancels);
        CHECK(best.may == permission::yes);
      }
}

TEST_CASE("the least action for each pair of senses") {
  const auto steps = [](winding_sense w, magnet_sense m) {
    const phase_answer a = phase_options(with_senses(w, m), joined);
    REQUIRE(a.recommended);
    return a.options[*a.recommended];
  };
  CHECK(steps(winding_sense::counterclockwise, magnet_sense::south_up).steps.empty());
  // Same winding, other magnet: the string is out of phase and the hum adds. Leads alone mend both.
  const phase_option leads = steps(winding_sense::clockwise, magnet_sense::south_up);
  REQUIRE(leads.steps.size() == 1);
  CHECK(leads.steps[0].act == phase_action::swap_leads);
  CHECK(describe(leads) == "swap the two leads of 'neck'");
  // Same winding and magnet: swapped leads cancel hum but are out of phase, so the magnet has to turn too.
  const phase_option both = steps(winding_sense::clockwise, magnet_sense::north_up);
  CHECK(both.effort == 3);
  CHECK(describe(both) == "swap the two leads of 'neck' and turn its magnet");
  const phase_answer same =
      phase_options(with_senses(winding_sense::clockwise, magnet_sense::north_up), joined);
  const phase_option& leads_alone = with_steps(same, {{"bridge", phase_action::swap_leads}});
  CHECK(leads_alone.cancels);
  CHECK(!leads_alone.in_phase);
  CHECK(same.options[0].in_phase);
  CHECK(!same.options[0].cancels);
  // Nothing cancels but what two unequal coils are apart in phase at 100 Hz: about 2°, and cos 1° is -0.001 dB.
  CHECK(same.options[0].cancelling.value() < 0.01);
  // Other winding, same magnet: hum cancels, the string is out of phase; the magnet alone mends it.
  const phase_option magnet = steps(winding_sense::counterclockwise, magnet_sense::north_up);
  CHECK(describe(magnet) == "turn the magnet of 'neck'");
}

TEST_CASE("how much hum cancels follows from the coils' resistances") {
  // Two coils in parallel at full, no other load: each counts with the other's conductance... at dc the share of each is
  // 1/R. Equal fields: |1/Ra - 1/Rb|/(1/Ra + 1/Rb).
  instrument of = two_pickups();
  of.positions[joined].wired = joined_in_parallel({from_pickup("neck"), from_pickup("bridge")});
  const phase_answer a = phase_options(of, joined, {.at = frequency::from_value(0.01)});
  CHECK(std::abs(a.options[0].cancelling.value() - 20 * std::log10((7800.0 + 6300) / (7800 - 6300))) < 1e-6);
  CHECK(std::abs(a.options[0].cancelling.value() - 19.46) < 0.01); // computed from the formula
  // Equal coils cancel all of it; a decibel figure has to end somewhere.
  coil_of(of, 1) = coil("bridge", 2.2, 6.3);
  coil_of(of, 1).winding = winding_sense::counterclockwise;
  coil_of(of, 1).magnet = magnet_sense::south_up;
  CHECK(near(phase_options(of, joined).options[0].cancelling.value(), 120, 1e-12));
}

TEST_CASE("a cover or a braid that would become hot") {
  instrument of = with_senses(winding_sense::clockwise, magnet_sense::south_up);
  coil_of(of, 0).cover = cover_bond::start;
  phase_answer a = phase_options(of, joined);
  // The other one is swapped instead.
  REQUIRE(a.recommended);
  CHECK(describe(a.options[*a.recommended]) == "swap the two leads of 'bridge'");
  const phase_option& neck = with_steps(a, {{"neck", phase_action::swap_leads}});
  CHECK(neck.may == permission::after_work);
  REQUIRE(neck.notes.size() == 1);
  CHECK(neck.notes[0].find("part it from the winding") != std::string::npos);
  // A cover that is hot now gets grounded by it.
  instrument hot = of;
  coil_of(hot, 0).cover = cover_bond::end;
  CHECK(with_steps(phase_options(hot, joined), {{"neck", phase_action::swap_leads}}).may == permission::yes);
  // Leads swapped by the wiring and swapped back: the cover is where it belongs.
  instrument back = of;
  back.circuits[0].wired.leads_swapped = true;
  CHECK(with_steps(phase_options(back, joined), {{"neck", phase_action::swap_leads}}).may == permission::yes);
  // Neither as it is: then after work, and the text says so.
  a = phase_options(of, joined, {.braid_is_conductor = {"bridge"}});
  REQUIRE(a.recommended);
  CHECK(a.options[*a.recommended].may == permission::after_work);
  CHECK(a.text.find("Not as it is") == 0);
  CHECK(with_steps(a, {{"bridge", phase_action::swap_leads}}).notes[0].find("braid") != std::string::npos);
}

TEST_CASE("what an active pickup allows") {
  instrument of = mixed();
  phase_answer a = phase_options(of, joined);
  CHECK(!a.recommended); // it states no hum, so that none of the coil's is cancelled
  CHECK(a.text.find("no magnetic hum is stated") != std::string::npos);
  CHECK(with_steps(a, {{"bridge", phase_action::swap_leads}}).may == permission::no);
  CHECK(with_steps(a, {{"bridge", phase_action::turn_magnet}}).may == permission::no);
  CHECK(with_steps(a, {{"neck", phase_action::swap_leads}}).may == permission::yes);
  CHECK(!with_steps(a, {{"neck", phase_action::swap_leads}}).in_phase);
  // Out of phase with it: the coil's leads are the ones to swap.
  coil_of(of, 0).magnet = magnet_sense::south_up;
  a = phase_options(of, joined);
  CHECK(a.text.find("Swap the two leads of 'neck': in phase, but the hum does not cancel.") !=
        std::string::npos);
  // With hum of its own it cancels with the coil's, if that has the other sense.
  std::get<active_pickup>(of.pickups[1]).turns_area = 1;
  coil_of(of, 0).magnet = magnet_sense::south_up;
  coil_of(of, 0).winding = winding_sense::counterclockwise;
  // A level match, so that the shares are comparable: 7.2 kΩ against 10 kΩ.
  a = phase_options(of, joined, {.at = frequency::from_value(1)});
  REQUIRE(a.recommended);
  CHECK(a.options[*a.recommended].steps.empty());
  CHECK(std::abs(a.options[0].cancelling.value() - 20 * std::log10((10 + 7.2) / (10 - 7.2))) < 1e-3);
}

TEST_CASE("a pair swaps as a whole; three coils cancel all but one") {
  instrument of = two_pickups();
  coil_pair pair = humbucking_pair(coil("screw", 2, 4.1), coil("slug", 2, 4.1), 0.1);
  pair.name = "bridge";
  pair.second.connection = coil_connection::normal;
  of.pickups[1] = pair;
  phase_answer a = phase_options(of, joined);
  const phase_option& swapped = with_steps(a, {{"bridge", phase_action::swap_leads}});
  CHECK(swapped.in_phase != a.options[0].in_phase);
  CHECK(std::abs((swapped.cancelling - a.options[0].cancelling).value()) < 0.1);
  CHECK(swapped.notes[0].find("as a whole") != std::string::npos);
  pair.first.cover = cover_bond::start;
  of.pickups[1] = pair;
  a = phase_options(of, joined);
  CHECK(with_steps(a, {{"bridge", phase_action::swap_leads}}).may == permission::after_work);

  instrument three;
  for (const char* name : {"a", "b", "c"}) three.pickups.emplace_back(coil(name, 2, 6));
  three.positions = {{"all", joined_in_parallel({from_pickup("a"), from_pickup("b"), from_pickup("c")})}};
  a = phase_options(three, 0);
  CHECK(a.options.size() == 64);
  REQUIRE(a.recommended);
  const phase_option& best = a.options[*a.recommended];
  CHECK(best.effort == 3);
  CHECK(near(best.cancelling.value(), 20 * std::log10(3.0), 1e-9)); // 9.54 dB
}

TEST_CASE("senses from the bench") {
  // The needle's north-seeking end goes to a south pole.
  CHECK(magnet_from_compass(needle_end::north_seeking) == magnet_sense::south_up);
  CHECK(magnet_from_compass(needle_end::south_seeking) == magnet_sense::north_up);
  // Faraday's law by numbers. Loop seen from +z, counted counter-clockwise: EMF round it is -dΦ/dt, positive drives a
  // current counter-clockwise. North on top: Φ > 0; the tool is pulled off: dΦ/dt < 0, so the EMF is positive.
  for (const magnet_sense m : {magnet_sense::north_up, magnet_sense::south_up})
    for (const winding_sense w : {winding_sense::clockwise, winding_sense::counterclockwise}) {
      const double flux = m == magnet_sense::north_up ? 1 : -1;
      const double counter_clockwise_emf = -(-0.1 * flux); // a tenth of the flux goes
      // The EMF from start to end along the wire raises the end above the start.
      const double end_over_start =
          w == winding_sense::counterclockwise ? counter_clockwise_emf : -counter_clockwise_emf;
      const kick seen = end_over_start > 0 ? kick::positive : kick::negative;
      CHECK(winding_from_kick(m, seen) == w);
      // Meter leads exchanged: hot at the start.
      const kick exchanged = end_over_start > 0 ? kick::negative : kick::positive;
      CHECK(winding_from_kick(m, exchanged, coil_connection::reversed) == w);
      CHECK(kick_of({.winding = w, .magnet = m}) == seen);
    }
  // The rules on kicks agree with those on senses, for every pair of coils.
  for (int code = 0; code < 64; ++code) {
    const auto made = [&](int bits) {
      return magnetic_coil{.winding = bits & 1 ? winding_sense::clockwise : winding_sense::counterclockwise,
                           .magnet = bits & 2 ? magnet_sense::north_up : magnet_sense::south_up,
                           .connection = bits & 4 ? coil_connection::normal : coil_connection::reversed};
    };
    const magnetic_coil a = made(code), b = made(code >> 3);
    CHECK(in_phase(kick_of(a), kick_of(b)) == (a.string_sign() == b.string_sign()));
    CHECK(cancels_hum(kick_of(a), a.magnet, kick_of(b), b.magnet) == (a.hum_sign() != b.hum_sign()));
  }
}

TEST_CASE("bad input is named") {
  instrument of = two_pickups();
  CHECK(error_of([&] { (void)phase_options(of, 0); }) == "pickups in position 'neck' is 1; allowed: 2 to 4");
  CHECK(error_of([&] { (void)phase_options(of, 9); }) == "position is 9; allowed: 0 to 2");
  CHECK(error_of([&] { (void)phase_options(of, 1, {.braid_is_conductor = {"middle"}}); }) ==
        "pickup is 'middle'; allowed: 'neck' or 'bridge'");
  CHECK(error_of([&] { (void)phase_options(of, 1, {.at = 0_Hz}); }) ==
        "frequency is 0 Hz; allowed: more than 0 Hz");
  CHECK(error_of([&] { (void)may_do(of, "middle", phase_action::swap_leads); }) ==
        "pickup is 'middle'; allowed: 'neck' or 'bridge'");
  coil_of(of, 0).emf = 0_V;
  coil_of(of, 0).turns_area = 0;
  CHECK(error_of([&] { (void)phase_options(of, 1); }) ==
        "signal of 'neck' is 0 V at the jack; allowed: more than 0 V");
}
