// SPDX-License-Identifier: BSL-1.0
// Drawer and wish files: what is read, and what is said of what is none.
#include <doctest/doctest.h>

#include <string>

#include <lodewire/design/wish_json.hpp>
#include <lodewire/quantity/literals.hpp>

using namespace lodewire;
using namespace lodewire::literals;

namespace {

instrument guitar() {
  instrument of;
  of.pickups = {
      magnetic_coil{.inductance = 4_H, .resistance = 8_kOhm, .capacitance = 120_pF, .name = "neck"}};
  of.controls = {{.name = "volume", .sections = {{.total = 500_kOhm}}}};
  of.positions = {{"on", from_pickup("neck", {volume_step("volume")})}};
  return of;
}

template <class Read>
std::string error_of(Read read) {
  try {
    read();
  } catch (const document_error& error) {
    return error.what();
  }
  return "no error";
}
std::string drawer_error(const std::string& text) {
  return error_of([&] { (void)read_drawer(text); });
}
std::string wish_error(const std::string& text) {
  return error_of([&] { (void)read_wish(text, guitar(), {}); });
}
std::string goal_error(const std::string& goal) {
  return wish_error(R"({"places":[{"name":"p","ways":["nothing"]}],"goals":[)" + goal + "]}");
}
std::string way_error(const std::string& way) {
  return wish_error(R"({"goals":[{"peak":"3k"}],"places":[{"name":"p","ways":[)" + way + "]}]}");
}

} // namespace

TEST_CASE("a drawer with every kind of part") {
  const drawer d = read_drawer(R"({"name": "bench", "parts": [
    {"resistor": ["27k", "4k7"], "count": 3, "tolerance": "1 %"},
    {"capacitor": "22n"},
    {"resistor": "27 kΩ", "tolerance": "±1 %"},
    {"pot": "250k", "taper": "audio 15 %", "tolerance": "10 %", "count": 2}]})");
  CHECK(d.name == "bench");
  REQUIRE(d.parts.size() == 4);
  CHECK(d.parts[0] == in_stock(27_kOhm, 4, 0.01)); // both entries of it
  CHECK(d.parts[1] == in_stock(4.7_kOhm, 3, 0.01));
  CHECK(d.parts[2] == in_stock(22_nF, 1, 0.1));
  CHECK(d.parts[3] == pot_in_stock(250_kOhm, taper::audio(0.15), 2, 0.1));
}

TEST_CASE("a drawer that is none") {
  CHECK(drawer_error(R"({"parts": []})") == "parts is a list of 0; allowed: one part or more");
  CHECK(drawer_error(R"({})") == "parts is missing; allowed: a value (a drawer needs it)");
  CHECK(drawer_error("{\"parts\": [\n  {\"resistor\": 27k}]}").starts_with("line 2, column 18 is no JSON"));
  CHECK(drawer_error(R"({"parts": [{"resistor": "27"}]})") ==
        "parts[0].resistor is '27': 27 of what?; allowed: '27k', '27R' or '27 Ω'");
  CHECK(drawer_error(R"({"parts": [{"resistor": "0R"}]})") ==
        "parts[0].resistor is '0R'; allowed: more than 0 Ω");
  CHECK(drawer_error(R"({"parts": [{"capacitor": ["1n", "2,2n"]}]})")
            .starts_with("parts[0].capacitor[1] is '2,2n', wrong at column 2; allowed: a point"));
  CHECK(drawer_error(R"({"parts": [{"capacitor": []}]})") ==
        "parts[0].capacitor is a list of 0; allowed: one value or more");
  CHECK(drawer_error(R"({"parts": [{"capacitor": "1n", "count": 0}]})") ==
        "parts[0].count is 0; allowed: a whole number of 1 to 1000000");
  CHECK(drawer_error(R"({"parts": [{"capacitor": "1n", "tolerance": "-20/+80 %"}]})")
            .starts_with("parts[0].tolerance is '-20/+80 %'; allowed: 0 % or more, less than 100 %"));
  CHECK(drawer_error(R"({"parts": [{"capacitator": "1n"}]})").ends_with("did you mean 'capacitor'?"));
  CHECK(drawer_error(R"({"parts": [{"pot": "250k", "taper": "A"}]})")
            .starts_with("parts[0].taper is 'A'; allowed"));
}

TEST_CASE("a wish with every kind of goal") {
  const wish_file f = read_wish(R"({"rank_by": "worst case",
    "goals": [
      {"match": {"pots": [{"control": "volume", "track": "250k"}], "cable": {"length": "6m", "capacitance": "100p/m"},
                 "input": "500k"},
       "from": "200 Hz", "to": "5 kHz", "points": 10, "shape_only": true, "weight": 2, "limit": "1.5 dB"},
      {"peak": "3.5 kHz", "limit": "10 %", "name": "f"},
      {"peak_height": "4 dB", "pickup": "neck"},
      {"level_as": {"knobs": [{"control": "volume", "at": 5}]}, "above": "-2 dB", "at": "200 Hz"},
      {"taper_of": "volume", "like": "audio 15 %"},
      {"treble_of": "volume", "turned_to": 5, "treble": "4 kHz", "gain_counts": false},
      {"load_on": "neck", "wanted": "250k", "over_travel_of": "volume"}],
    "places": [
      {"name": "a", "ways": ["nothing", {"across_track": "volume", "resistor": "drawer"},
        {"wiper_to_high": "volume", "capacitor": "E12 100p to 4.7n", "resistor": ["100k", "150k"], "joined": "series"},
        {"across": "jack", "resistor": "47k to 1M", "tolerance": "2 %"},
        {"another_pot": "volume", "track": "drawer"}]}]})",
                                guitar(), {});
  CHECK(f.by == rank_by::worst_case);
  REQUIRE(f.wanted.criteria.size() == 7);
  instrument other = guitar();
  other.controls[0].sections[0].total = 250_kOhm;
  destination into;
  into.lead = {.length = 6_m, .capacitance = 100_pF_per_m};
  into.into.resistance = 500_kOhm;
  match_goal match = match_goal_like(other, into, {}, log_grid(200_Hz, 5_kHz, 10));
  match.shape_only = true;
  CHECK(f.wanted.criteria[0] == criterion{"match", match, 2.0, 1.5});
  CHECK(f.wanted.criteria[1] == criterion{"f", peak_goal{{}, 3.5_kHz}, {}, 10.0});
  CHECK(f.wanted.criteria[2].wants == goal(height_goal{{.pickup = "neck"}, decibel{4}}));
  CHECK(f.wanted.criteria[3].wants ==
        goal(level_goal{{}, {.knobs = {{"volume", knob(5)}}}, decibel{-2}, 200_Hz}));
  CHECK(f.wanted.criteria[4].wants == goal(taper_goal_like(taper::audio(0.15), {}, "volume")));
  CHECK(f.wanted.criteria[5].wants == goal(treble_goal{{}, "volume", knob(5), 100_Hz, 4_kHz, false}));
  CHECK(f.wanted.criteria[6].wants == goal(load_goal{{}, "neck", 250_kOhm, "volume"}));
  REQUIRE(f.places.size() == 1);
  const auto& ways = f.places[0].ways;
  REQUIRE(ways.size() == 5);
  CHECK(ways[0] == nothing());
  CHECK(ways[1] == across_track("volume", from_drawer(stock_kind::resistor)));
  way bleed = wiper_to_high("volume", one_of<resistance>({100_kOhm, 150_kOhm}));
  bleed.parts.push_back(from_series(e_series::e12, 100_pF, 4.7_nF));
  bleed.parts_in_series = true;
  CHECK(ways[2] == bleed);
  CHECK(ways[3] == across_at("jack", any_value(47_kOhm, 1_MOhm, 0.02)));
  CHECK(ways[4] == another_pot("volume", from_drawer(stock_kind::potentiometer)));
}

TEST_CASE("a wish that is none") {
  CHECK(wish_error(R"({"goals": [], "places": []})") == "goals is a list of 0; allowed: one goal or more");
  CHECK(wish_error(R"({"goals": [{"peak": "3k"}], "places": []})") ==
        "places is a list of 0; allowed: one place or more");
  CHECK(goal_error(R"({"peek": "3k"})").ends_with("did you mean 'peak'?"));
  CHECK(goal_error(R"({"peak": "3"})").starts_with("goals[0].peak is '3': 3 of what?"));
  CHECK(goal_error(R"({"peak": "0 Hz"})") == "goals[0].peak is '0 Hz'; allowed: more than 0");
  CHECK(goal_error(R"({"peak": "3k", "limit": "2 dB"})")
            .starts_with("goals[0].limit is '2 dB', wrong at column 3"));
  CHECK(goal_error(R"({"peak_height": "3 dB", "limit": "-1 dB"})") ==
        "goals[0].limit is '-1 dB'; allowed: 0 dB or more");
  CHECK(goal_error(R"({"peak": "3k", "weight": -1})") == "goals[0].weight is -1; allowed: 0 or more");
  CHECK(goal_error(R"({"peak": "3k", "weight": 0})") ==
        "criteria is without a weight or a limit; allowed: one that counts");
  CHECK(goal_error(R"({"peak": "3k", "position": "onn"})") ==
        "goals[0].position is 'onn'; allowed: 'on'; did you mean 'on'?");
  CHECK(goal_error(R"({"peak": "3k", "knobs": [{"control": "volume", "at": 11}]})")
            .starts_with("goals[0].knobs[0].at is 11; allowed: a number of 0 to 10"));
  CHECK(goal_error(R"({"match": {"pots": [{"control": "volume", "track": "0R"}]}})") ==
        "goals[0].match.pots[0].track is '0R'; allowed: more than 0");
  CHECK(goal_error(R"({"match": {}, "from": "5 kHz", "to": "1 kHz"})") ==
        "goals[0] is a band from 5 kHz to 1 kHz; allowed: a rising one");
  CHECK(goal_error(R"({"taper_of": "volume", "like": "audio"})").starts_with("goals[0].like is 'audio'"));
  CHECK(goal_error(R"({"load_on": "neck"})") ==
        "goals[0].wanted is missing; allowed: a value (a load needs it)");
  CHECK(way_error(R"("none")") ==
        "places[0].ways[0] is 'none'; allowed: 'nothing', or an object that says what is done where");
  CHECK(way_error(R"({"across_track": "volum", "resistor": "drawer"})").ends_with("did you mean 'volume'?"));
  CHECK(way_error(R"({"across_track": "volume"})") ==
        "places[0].ways[0] is an object without a part; allowed: 'resistor', 'capacitor' or both");
  CHECK(way_error(R"({"across": "neck", "resistor": "drawer", "capacitor": "drawer"})") ==
        "places[0].ways[0] is two parts without 'joined'; allowed: 'joined': 'series' or 'parallel'");
  CHECK(way_error(R"({"across": "bridge", "resistor": "drawer"})")
            .starts_with("places[0].ways[0].across is 'bridge'"));
  CHECK(way_error(R"({"across": "neck", "resistor": "E12 1k"})") ==
        "places[0].ways[0].resistor is 'E12 1k'; allowed: a series with its range, such as 'E12 10k to 1M'");
  // The column counts from the beginning of the whole text.
  CHECK(way_error(R"({"across": "neck", "resistor": "E12 1k to 2,2M"})")
            .starts_with(
                "places[0].ways[0].resistor is 'E12 1k to 2,2M', wrong at column 12; allowed: a point"));
  CHECK(way_error(R"({"across": "neck", "resistor": "1M to 1k"})") ==
        "places[0].ways[0].resistor is '1M to 1k'; allowed: a range of values more than 0, the lower one "
        "first");
  CHECK(way_error(R"({"tone_capacitor": "volume", "capacitor": "drawr"})")
            .starts_with("places[0].ways[0].capacitor is 'drawr'"));
}
