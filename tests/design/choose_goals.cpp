// SPDX-License-Identifier: BSL-1.0
// What each way does to a circuit and what each goal finds, against circuits put together by hand.
#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/analysis/level.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/design/choose.hpp>
#include <lodewire/design/choose_text.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;

namespace {

const magnetic_coil coil{.inductance = 4_H, .resistance = 8_kOhm, .capacitance = 120_pF, .name = "coil"};
const potentiometer volume{.total = 500_kOhm, .law = audio_taper, .name = "volume"};
const potentiometer tone{.total = 250_kOhm, .name = "tone"};
const stage outside = stage(cable{.length = 3_m, .capacitance = 100_pF_per_m}) | stage(input{});

/// The coil, the tone control, the volume control.
instrument guitar() {
  instrument of;
  of.pickups = {coil};
  of.controls = {{.name = "volume", .sections = {volume}, .at = knob(7)},
                 {.name = "tone", .sections = {tone}, .at = knob(6)}};
  network branch = tone_branch("tone", 22_nF);
  of.positions = {{"on", from_pickup("coil", {shunt_step(branch), volume_step("volume")})}};
  return of;
}
destination amplifier() { return {.lead = {.length = 3_m, .capacitance = 100_pF_per_m}, .into = {}}; }

/// The same by hand.
struct by_hand {
  stage at_coil{};
  one_port tone_branch = series(tone.as_rheostat(knob(6), lugs::one_two), 22_nF);
  stage control = volume.as_divider(knob(7));
  stage at_jack{};
  [[nodiscard]] source all() const {
    return source(coil) | at_coil | in_shunt(tone_branch) | control | at_jack | outside;
  }
};

/// One place where just this is done.
source with(const way& w, const std::vector<fitted_part>& parts) {
  alternative a;
  a.choices = {{0, parts, w.law}};
  const std::vector<place> places{{"place", {w}}};
  const destination into = amplifier();
  return compose(altered(guitar(), places, a), 0) | into.lead | into.into;
}
fitted_part ohms(double value) { return {stock_kind::resistor, value, 0}; }
fitted_part farads(double value) { return {stock_kind::capacitor, value, 0}; }

void check_same(const source& ours, const source& theirs) {
  for (const double f : {50., 400., 2e3, 5e3, 15e3}) {
    const auto a = response(ours, frequency::from_value(f)), b = response(theirs, frequency::from_value(f));
    CHECK(std::abs(a - b) <= 1e-12 * std::abs(b));
  }
}

const values_from r = one_of<resistance>({1_kOhm}), c = one_of<capacitance>({1_nF});

choice_problem problem_of(const goal& wanted) {
  choice_problem p{.of = guitar(), .into = amplifier()};
  p.wanted.criteria = {{.name = "goal", .wants = wanted}};
  p.places = {{"place",
               {nothing(), across_at("coil", one_of<capacitance>({470_pF})),
                in_series_at("jack", one_of<resistance>({100_kOhm}))}}};
  return p;
}
/// What the goal finds in the instrument as it is.
criterion_outcome found(const goal& wanted) { return choose(problem_of(wanted)).before.criteria.front(); }

} // namespace

TEST_CASE("every way is the circuit that it says") {
  by_hand h;
  check_same(with(nothing(), {}), h.all());
  h.control = volume.as_divider(knob(7), {.across_track = one_port(220_kOhm)});
  check_same(with(across_track("volume", r), {ohms(220e3)}), h.all());
  h.control = volume.as_divider(knob(7), {.wiper_to_low = one_port(220_kOhm)});
  check_same(with(wiper_to_low("volume", r), {ohms(220e3)}), h.all());
  h.control = volume.as_divider(knob(7), {.bleed = one_port(1_nF)});
  check_same(with(wiper_to_high("volume", c), {farads(1e-9)}), h.all());
  h.control = volume.as_divider(knob(7), {.bleed = series(1_nF, 150_kOhm)});
  check_same(with(bleed_of_two("volume", c, r, true), {farads(1e-9), ohms(150e3)}), h.all());
  h.control = volume.as_divider(knob(7), {.bleed = parallel(1_nF, 150_kOhm)});
  check_same(with(bleed_of_two("volume", c, r, false), {farads(1e-9), ohms(150e3)}), h.all());
  h.control = in_shunt(one_port(470_kOhm));
  check_same(with(in_place_of_pot("volume", r), {ohms(470e3)}), h.all());
  h = {};
  h.tone_branch = series(47_kOhm, 22_nF);
  check_same(with(in_place_of_pot("tone", r), {ohms(47e3)}), h.all());
  h = {};
  h.at_coil = in_series(one_port(10_kOhm));
  check_same(with(in_series_at("coil", r), {ohms(10e3)}), h.all());
  h.at_coil = in_shunt(one_port(470_pF));
  check_same(with(across_at("coil", c), {farads(470e-12)}), h.all());
  h = {};
  h.at_jack = in_shunt(one_port(100_kOhm));
  check_same(with(across_at("jack", r), {ohms(100e3)}), h.all());
  h.at_jack = in_series(one_port(100_kOhm));
  check_same(with(in_series_at("jack", r), {ohms(100e3)}), h.all());
  h = {};
  potentiometer other = volume;
  other.total = 250_kOhm;
  other.law = linear_taper;
  h.control = other.as_divider(knob(7));
  check_same(with(another_pot("volume", r, linear_taper), {ohms(250e3)}), h.all());
  h = {};
  h.tone_branch = series(tone.as_rheostat(knob(6), lugs::one_two), 10_nF);
  check_same(with(tone_capacitor("tone", c), {farads(10e-9)}), h.all());
}

TEST_CASE("a part is added beside what is there, and a named part is exchanged") {
  instrument of = guitar();
  wiring_step& step = of.positions[0].wired.then[1];
  step.bleed = network(680_pF);
  step.bleed->name = "bleed";
  alternative a;
  a.choices = {{0, {farads(320e-12)}, {}}};
  const auto bleed_with = [&](const one_port& bleed) {
    by_hand h;
    h.control = volume.as_divider(knob(7), {.bleed = bleed});
    return h.all();
  };
  const auto plugged = [&](const instrument& built) { return compose(built, 0) | outside; };
  check_same(plugged(altered(of, {{"place", {wiper_to_high("volume", c)}}}, a)), bleed_with(1_nF));
  check_same(plugged(altered(of, {{"place", {value_of_part("bleed", c)}}}, a)), bleed_with(320_pF));
}

TEST_CASE("pots of a drawer bring their law and are used once") {
  choice_problem p = problem_of(taper_goal_like(linear_taper, {}, "volume"));
  p.from.parts = {pot_in_stock(500_kOhm, audio_taper), pot_in_stock(250_kOhm, linear_taper),
                  pot_in_stock(100_kOhm, linear_taper, 2)};
  p.places = {{"pot", {nothing(), another_pot("volume", from_drawer(stock_kind::potentiometer))}}};
  const choice_result found = choose(p);
  CHECK(found.candidates == 4);
  // The law is bent least by the lightest load on it.
  CHECK(found.best[0].choices[0].parts[0].value == 100e3);
  CHECK(found.best[0].choices[0].law == linear_taper);
  CHECK(found.best[0].choices[0].parts[0].tolerance == 0.2);
  CHECK(to_text(p.places[0], found.best[0].choices[0]) == "a 100 kΩ pot as 'volume'");
  CHECK(altered(p.of, p.places, found.best[0]).controls[0].sections[0].law == linear_taper);
}

TEST_CASE("part volume is where the low frequencies are half, and treble is counted from there") {
  const auto tilt = [](double turned) {
    by_hand h;
    h.control = volume.as_divider(rotation(turned));
    const source s = h.all();
    return std::pair(level(s).value(), (level(s, 5_kHz) - level(s)).value());
  };
  double low = 0, high = 1;
  for (int step = 0; step < 60; ++step) {
    const double middle = (low + high) / 2;
    (tilt(middle).first > tilt(1).first - 20 * std::log10(2.) ? high : low) = middle;
  }
  const double lost = tilt(1).second - tilt(low).second;
  const criterion_outcome both = found(treble_goal{.control = "volume"});
  CHECK(std::abs(both.figure - lost) < 1e-4);
  CHECK(std::abs(both.misfit - std::abs(lost)) < 1e-4);
  // At a number of the knob, losses only.
  const double at_4 = tilt(1).second - tilt(0.4).second;
  const criterion_outcome there =
      found(treble_goal{.control = "volume", .turned = knob(4), .gain_counts = false});
  CHECK(there.figure == doctest::Approx(at_4).epsilon(1e-9));
  CHECK(there.misfit == doctest::Approx(std::max(0., at_4)).epsilon(1e-9));
  // A tone control never takes 6 dB of the low frequencies.
  CHECK(found(treble_goal{.control = "tone"}).misfit == 0);
}

TEST_CASE("a match of shape leaves the mean out, the largest difference is that of one point") {
  const std::vector<double> hz = log_grid(100_Hz, 8_kHz, 24);
  match_goal like = match_goal_like(guitar(), amplifier(), {}, hz);
  CHECK(found(like).misfit < 1e-12);
  const auto by = by_hand{}.all();
  for (std::size_t i = 0; i < hz.size(); ++i)
    CHECK(std::abs(like.wanted_db[i] - level(by, frequency::from_value(hz[i])).value()) < 1e-9);
  for (double& db : like.wanted_db) db += 3;
  CHECK(found(like).misfit == doctest::Approx(3).epsilon(1e-9));
  like.wanted_db[5] += 1;
  like.largest = true;
  CHECK(found(like).misfit == doctest::Approx(4).epsilon(1e-9));
  like.largest = false;
  like.shape_only = true;
  // One of 24 is off by 1: the rms of what is left of the mean.
  CHECK(found(like).misfit == doctest::Approx(std::sqrt(1 / 24. - 1 / 576.)).epsilon(1e-9));
}

TEST_CASE("a resonance, a level and a load, as the circuit has them") {
  const resonance at_peak = find_resonance(by_hand{}.all(), {100_Hz, 50_kHz});
  REQUIRE(at_peak.edge);
  const double hz = at_peak.has_peak ? at_peak.peak.value() : at_peak.edge->value();
  CHECK(check::near(found(peak_goal{{}, 2_kHz}).figure, hz, 1e-9));
  CHECK(found(peak_goal{{}, 2_kHz}).misfit ==
        doctest::Approx(100 * (std::max(hz / 2e3, 2e3 / hz) - 1)).epsilon(1e-9));

  // Another position of the knob: 1 dB more than that is wanted.
  level_goal down{.at = {}, .as = {.knobs = {{"volume", knob(3)}}}, .above = decibel{1}};
  by_hand three;
  three.control = volume.as_divider(knob(3));
  const double above = level(by_hand{}.all()).value() - level(three.all()).value();
  CHECK(found(down).figure == doctest::Approx(above).epsilon(1e-9));
  CHECK(found(down).misfit == doctest::Approx(std::abs(above - 1)).epsilon(1e-9));

  load_goal load{
      .at = {.knobs = {{"tone", knob(10)}}}, .pickup = "coil", .wanted = 250_kOhm, .plugged_in = true};
  by_hand full;
  full.tone_branch = series(tone.as_rheostat(knob(10), lugs::one_two), 22_nF);
  const source s = full.all();
  const double ohms = std::abs(load_seen(s, s.terminals("coil"), 1_kHz).value());
  CHECK(found(load).figure == doctest::Approx(ohms).epsilon(1e-9));
  CHECK(found(load).misfit == doctest::Approx(100 * (250e3 / ohms - 1)).epsilon(1e-9));
}

TEST_CASE("a height, and the worst load over the travel of a knob") {
  const listening open{.knobs = {{"volume", knob(10)}, {"tone", knob(10)}}};
  by_hand full;
  full.control = volume.as_divider(knob(10));
  full.tone_branch = series(tone.as_rheostat(knob(10), lugs::one_two), 22_nF);
  const resonance at_peak = find_resonance(full.all());
  REQUIRE(at_peak.has_peak);
  const criterion_outcome height = found(height_goal{open, decibel{9}});
  CHECK(height.figure == doctest::Approx(at_peak.height.value()).epsilon(1e-9));
  CHECK(height.misfit == doctest::Approx(9 - at_peak.height.value()).epsilon(1e-9));

  // 100 kΩ from wiper to ground: 500 kΩ shut, but for the wiper's 2 Ω; 83.33 kΩ at full, 1/(1/500 + 1/100).
  choice_problem p = problem_of(load_goal{.pickup = "coil", .wanted = 500_kOhm, .over_travel_of = "volume"});
  p.of.controls.pop_back();
  p.of.positions[0].wired.then.erase(p.of.positions[0].wired.then.begin());
  p.places = {{"place", {nothing(), wiper_to_low("volume", one_of<resistance>({100_kOhm}))}}};
  const choice_result both = choose(p);
  REQUIRE(both.best.size() == 2);
  CHECK(both.best[0].criteria[0].misfit < 1e-9);
  CHECK(check::near(both.best[1].criteria[0].figure, 500e3 / 6, 1e-4));
  CHECK(check::near(both.best[1].criteria[0].misfit, 500, 1e-4));
}

TEST_CASE("a bare law is met by a control that nothing loads") {
  choice_problem p = problem_of(taper_goal_like(audio_taper, {}, "volume"));
  p.of.pickups = {active_pickup{.output_resistance = 1_Ohm, .name = "coil"}};
  p.of.controls[0].sections[0].end_resistance = 0_Ohm;
  p.into.into.resistance = 10_MOhm;
  p.into.lead.length = 0_m;
  p.of.controls[0].at = knob(2); // where it stands does not matter
  // 500 kΩ by its middle, 125 kΩ at the most, into 10 MΩ: at most 20·log10(1.0125) = 0.11 dB.
  CHECK(choose(p).before.criteria[0].misfit < 0.11);
  // The same control of another instrument.
  p.wanted.criteria[0].wants = taper_goal_like(p.of, p.into, {}, "volume");
  CHECK(choose(p).before.criteria[0].misfit < 1e-12);
}

TEST_CASE("choices in words") {
  const auto says = [](const way& w, std::vector<fitted_part> parts) {
    return to_text(place{"place", {w}}, choice{0, std::move(parts), {}});
  };
  CHECK(says(nothing(), {}) == "as it is");
  CHECK(says(across_track("volume", r), {ohms(27e3)}) == "27 kΩ across the track of 'volume' (lugs 1 and 3)");
  CHECK(says(bleed_of_two("volume", c, r, true), {farads(1e-9), ohms(150e3)}) ==
        "1 nF and 150 kΩ in series from wiper to hot end at 'volume' (lugs 2 and 3)");
  CHECK(says(across_at("coil", c), {farads(470e-12)}) == "470 pF from hot to ground at 'coil'");
}
