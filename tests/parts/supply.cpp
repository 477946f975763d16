// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <numbers>
#include <string>
#include <type_traits>

#include <doctest/doctest.h>

#include <lodewire/parts/supply.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using enum battery_chemistry;

static_assert(std::is_aggregate_v<onboard_supply>);

namespace {

constexpr jack_wiring every_jack[] = {jack_wiring::always_on, jack_wiring::ring_contact,
                                      jack_wiring::switching_contact};

onboard_supply of(battery_chemistry kind, int in_series = 1) {
  return {.cell = nine_volt_block(kind), .in_series = in_series};
}
bool has(const std::string& text, const char* part) { return text.find(part) != text.npos; }

} // namespace

TEST_CASE("every plug in every jack") {
  // The ring of a stereo jack as the switch: from memory. The rest follows from which contacts meet.
  struct {
    jack_wiring jack;
    bool none, two, three, three_joined;
  } const table[] = {{jack_wiring::always_on, true, true, true, true},
                     {jack_wiring::ring_contact, false, true, false, true},
                     {jack_wiring::switching_contact, false, true, true, true}};
  for (const auto& row : table) {
    CHECK(is_powered(row.jack, plug::none) == row.none);
    CHECK(is_powered(row.jack, plug::two_contacts) == row.two);
    CHECK(is_powered(row.jack, plug::three_contacts) == row.three);
    CHECK(is_powered(row.jack, plug::three_contacts_joined) == row.three_joined);
    CHECK(stays_on_unplugged(row.jack) == row.none);
  }
  static_assert(!is_powered(jack_wiring::ring_contact, plug::three_contacts));
}

TEST_CASE("the note for the bench agrees with the switching") {
  for (const jack_wiring jack : every_jack) {
    const std::string note = jack_note(jack);
    CAPTURE(note);
    CHECK(has(note, ("The negative battery lead goes to the " + std::string(negative_lead_contact(jack)) +
                     " of the output jack. ")
                        .c_str()));
    CHECK(has(note, "Check "));
    CHECK(has(note, "stays on when unplugged") == stays_on_unplugged(jack));
    CHECK(has(note, "a plug of three does not") ==
          (is_powered(jack, plug::two_contacts) && !is_powered(jack, plug::three_contacts)));
    CHECK(has(note, "A plug of two or of three contacts closes it") ==
          (!stays_on_unplugged(jack) && is_powered(jack, plug::three_contacts)));
  }
  CHECK(negative_lead_contact(jack_wiring::always_on) == "sleeve contact");
  CHECK(negative_lead_contact(jack_wiring::ring_contact) == "ring contact");
  CHECK(negative_lead_contact(jack_wiring::switching_contact) == "switching contact");
}

TEST_CASE("voltage of one battery and of two in series") {
  // 9 V and 6 V: batteryequivalents.com; 7.2 V of nickel: common practice, no source.
  CHECK(near(fresh_voltage(of(alkaline)).value(), 9, 1e-15));
  CHECK(near(end_voltage(of(alkaline)).value(), 6, 1e-15));
  CHECK(near(fresh_voltage(of(alkaline, 2)).value(), 18, 1e-15));
  CHECK(near(end_voltage(of(alkaline, 2)).value(), 12, 1e-15));
  CHECK(near(fresh_voltage(of(nickel_metal_hydride, 2)).value(), 14.4, 1e-15));
  CHECK(onboard_supply{} == of(alkaline));
  CHECK(onboard_supply{} != of(alkaline, 2));
  CHECK(onboard_supply{} != onboard_supply{.jack = jack_wiring::always_on});
}

TEST_CASE("internal resistance takes its part at once from each battery") {
  // 1700 mΩ (studylib.net 18190212), so 17 mV at 10 mA: computed from the formula.
  CHECK(near(fresh_voltage(of(alkaline), 10_mA).value(), 9 - 0.017, 1e-15));
  CHECK(near(fresh_voltage(of(alkaline, 2), 10_mA).value(), 18 - 0.034, 1e-15));
  CHECK(near(end_voltage(of(alkaline, 2), 10_mA).value(), 12 - 0.034, 1e-15));
  CHECK(fresh_voltage(of(alkaline), 100_A).value() == 0);
  CHECK(end_voltage(of(alkaline), 100_A).value() == 0);
}

TEST_CASE("two in series last as long as one") {
  // 300 to 400 mAh: batteryequivalents.com; hours at 1 mA: computed from the formula.
  for (const int in_series : {1, 2}) {
    const life_range life = supply_life(of(zinc_carbon, in_series), 1_mA).value();
    CHECK(near(in_hours(life.lowest), 300, 1e-15));
    CHECK(near(in_hours(life.highest), 400, 1e-15));
  }
  CHECK(!supply_life(of(zinc_carbon), 0_A).has_value());
}

TEST_CASE("largest output: half of what the rails leave") {
  // (9 - 2)/2, (6 - 2)/2 and twice the voltage: computed from the formula; 2 V lost: common practice, no source.
  CHECK(near(largest_output(of(alkaline), 9_V).value(), 3.5, 1e-15));
  CHECK(near(largest_output(of(alkaline), 6_V).value(), 2, 1e-15));
  CHECK(near(largest_output(of(alkaline, 2), 18_V).value(), 8, 1e-15));
  CHECK(largest_output(of(alkaline), 2_V).value() == 0);
  CHECK(largest_output(of(alkaline), 1_V).value() == 0);
  CHECK(largest_output(of(alkaline), 0_V).value() == 0);
  CHECK(near(largest_output({.lost_at_rails = 0_V}, 9_V).value(), 4.5, 1e-15)); // rail to rail
}

TEST_CASE("headroom over an EMF's peak") {
  // 1 to 2 V peak of an active pickup: from memory. Levels: computed from the formula.
  const supply_headroom one = headroom(of(alkaline), 2_V);
  CHECK(near(one.fresh_output.value(), 3.5, 1e-15));
  CHECK(near(one.end_output.value(), 2, 1e-15));
  CHECK(std::abs(one.fresh.value() - 4.8608) < 5.1e-5);
  CHECK(std::abs(one.end.value()) < 1e-12);
  const supply_headroom two = headroom(of(alkaline, 2), 2_V);
  CHECK(std::abs(two.fresh.value() - 12.0412) < 5.1e-5); // a ratio of 4
  CHECK(std::abs(two.end.value() - 7.9588) < 5.1e-5);    // a ratio of 2.5
  CHECK(headroom(of(alkaline), 5_V).fresh < decibel{0}); // clips
  CHECK(headroom(of(alkaline), 1_V, 10_mA).fresh_output < one.fresh_output);
  // Nothing is left of a supply that the rails take whole.
  onboard_supply weak = of(alkaline);
  weak.lost_at_rails = 7_V;
  CHECK(headroom(weak, 1_V).end_output.value() == 0);
  CHECK(headroom(weak, 1_V).end < decibel{-300});
}

TEST_CASE("what is left on without a plug, in words") {
  CHECK(unplugged_note({.jack = jack_wiring::always_on}, 1_mA) ==
        "Unplugged, everything on the battery stays on: it draws 1 mA and empties a new battery in 500 to "
        "610 h.");
  CHECK(unplugged_note({}, 80_uA) == "Unplugged, nothing on the battery stays on; with a plug left in, all "
                                     "of it does: it draws 80 µA and empties "
                                     "a new battery in 6250 to 7625 h.");
  onboard_supply lithium = of(lithium_primary);
  lithium.jack = jack_wiring::switching_contact;
  CHECK(unplugged_note(lithium, 2.5_mA) == "Unplugged, nothing on the battery stays on; with a plug left in, "
                                           "all of it does: it draws 2.5 mA and empties "
                                           "a new battery in 480 h.");
  CHECK(has(unplugged_note({}, 1_uA), "in 500000 to 610000 h."));
  CHECK(unplugged_note({.jack = jack_wiring::always_on}, 0_A) ==
        "Unplugged, everything on the battery stays on, but nothing draws a current.");
  CHECK(unplugged_note({}, 2_A) ==
        "Unplugged, nothing on the battery stays on; with a plug left in, all of it does: "
        "it draws 2 A and empties a new battery in 0.25 to 0.305 h.");
}

TEST_CASE("what is refused") {
  const auto with = [](const onboard_supply& s) { return error_of([&] { require_sound(s); }); };
  CHECK(with({}) == "no error");
  CHECK(with({.in_series = 0}) == "supply.in_series is 0; allowed: 1 to 2");
  CHECK(with({.in_series = 3}) == "supply.in_series is 3; allowed: 1 to 2");
  CHECK(with({.lost_at_rails = -1_V}) == "supply.lost_at_rails is -1 V; allowed: 0 V or more");
  CHECK(with({.cell = battery{}}) == "supply.cell.fresh_voltage is 0 V; allowed: more than 0 V");
  const onboard_supply bad{.in_series = 3}, good;
  const auto refuses = [&](auto call) {
    return has(error_of([&] { (void)call(); }), "supply.in_series is 3");
  };
  CHECK(refuses([&] { return fresh_voltage(bad); }));
  CHECK(refuses([&] { return end_voltage(bad); }));
  CHECK(refuses([&] { return supply_life(bad, 1_mA); }));
  CHECK(refuses([&] { return largest_output(bad, 9_V); }));
  CHECK(refuses([&] { return headroom(bad, 1_V); }));
  CHECK(refuses([&] { return unplugged_note(bad, 1_mA); }));
  CHECK(error_of([&] { (void)largest_output(good, -1_V); }) ==
        "largest_output.across is -1 V; allowed: 0 V or more");
  CHECK(error_of([&] { (void)headroom(good, 0_V); }) == "headroom.emf_peak is 0 V; allowed: more than 0 V");
  CHECK(error_of([&] { (void)headroom(good, 1_V, -1_mA); }) ==
        "voltage_drop.drawn is -1 mA; allowed: 0 A or more");
}
