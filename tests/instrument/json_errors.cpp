// SPDX-License-Identifier: BSL-1.0
// Every complaint names the path, the value and what is allowed.
#include <doctest/doctest.h>

#include "json_file.hpp"

using json_file::error_of;
using json_file::replaced;

namespace {

/// What is said of two_pickups.json with one part of its text replaced.
std::string said(const std::string& from, const std::string& to) {
  return error_of(replaced(json_file::named("two_pickups"), from, to));
}
/// The same of every_key.json.
std::string said_of_all(const std::string& from, const std::string& to) {
  return error_of(replaced(json_file::named("every_key"), from, to));
}

bool begins(const std::string& text, const std::string& with) {
  CAPTURE(text);
  const bool does = text.starts_with(with);
  CHECK(does);
  return does;
}

} // namespace

TEST_CASE("a name that is not there, and which one is meant") {
  CHECK(said(R"("wiring": {"pickup": "neck")", R"("wiring": {"pickup": "nek")") ==
        "circuits[0].wiring.pickup is 'nek'; allowed: 'neck' or 'bridge'; did you mean 'neck'?");
  CHECK(said(R"([{"circuit": "neck side"})", R"([{"circuit": "neckside"})") ==
        "positions[1].wiring.parallel[0].circuit is 'neckside'; allowed: 'neck side' or 'bridge side'; did "
        "you mean "
        "'neck side'?");
  CHECK(said(R"({"volume": "bridge volume"})", R"({"volume": "master"})") ==
        "circuits[1].wiring.then[0].volume is 'master'; allowed: 'neck volume', 'bridge volume' or 'tone'");
  CHECK(said(R"({"rheostat": "tone"})", R"({"rheostat": "tome"})") ==
        "output[0].shunt.series[0].rheostat is 'tome'; allowed: 'neck volume', 'bridge volume' or 'tone'; "
        "did you "
        "mean 'tone'?");
  begins(said_of_all("\"blend.2\"", "\"blend\""),
         "circuits[1].wiring.then[0].reversed_volume is 'blend'; allowed: 'volume', 'blend.1', 'blend.2'");
}

TEST_CASE("keys") {
  CHECK(said("\"magnet\"", "\"magnt\"").ends_with("; did you mean 'magnet'?"));
  begins(said("\"magnet\"", "\"magnt\""),
         "pickups[1].magnt is an unknown key; allowed: 'kind', 'name', 'inductance'");
  CHECK(
      said("\"output\"", "\"outputs\"") ==
      "outputs is an unknown key; allowed: 'pickups', 'positions', 'name', 'controls', 'circuits', 'output', "
      "'supply' or 'plugged_into'; did you mean 'output'?");
  CHECK(
      said("{\"volume\": \"bridge volume\"}", "{\"volumes\": \"bridge volume\"}") ==
      "circuits[1].wiring.then[0].volumes is an unknown key; allowed: 'volume', 'reversed_volume', 'shunt', "
      "'series', 'amplifier' or 'point'; did you mean 'volume'?");
  CHECK(said("{\"volume\": \"bridge volume\"}", "{}") ==
        "circuits[1].wiring.then[0] is an object with none of these keys; allowed: 'volume', "
        "'reversed_volume', "
        "'shunt', 'series', 'amplifier' or 'point'");
  CHECK(said("\"name\": \"neck\", \"kind\"", "\"name\": \"neck\", \"name\": \"neck\", \"kind\"") ==
        "pickups[0].name is there a second time; allowed: each key once in an object");
  CHECK(said("\"neck side\"}, {", "\"neck side\", \"series\": []}, {") ==
        "positions[1].wiring.parallel[0] is an object with 'circuit' and 'series'; allowed: one of 'pickup', "
        "'circuit', 'series', 'parallel' or 'branches'");
  CHECK(said("\"positions\"", "\"Positions\"").ends_with("; did you mean 'positions'?"));
  CHECK(error_of(R"({"pickups": []})") == "positions is missing; allowed: a value (a document needs it)");
  CHECK(said("\"inductance\": \"2.2H\", ", "") ==
        "pickups[0].inductance is missing; allowed: a value (a coil needs it)");
  CHECK(said("\"kind\": \"coil\", ", "") ==
        "pickups[0].kind is missing; allowed: 'coil', 'two coils', 'active' or 'piezo'");
  CHECK(
      said("\"kind\": \"coil\", ", "\"kind\": \"coils\", ") ==
      "pickups[0].kind is 'coils'; allowed: 'coil', 'two coils', 'active' or 'piezo'; did you mean 'coil'?");
  CHECK(said("\"length\": \"0.4m\"", "\"len\\ngth\\u0000\": 1")
            .starts_with("pickups[0].lead.'len\\x0agth\\x00' is an unknown key"));
}

TEST_CASE("types") {
  CHECK(said("\"2.2H\"", "2.2") ==
        "pickups[0].inductance is 2.2; allowed: an inductance as text, such as '2.2H' or '560mH'");
  CHECK(said("\"2.2H\"", "null").starts_with("pickups[0].inductance is null; allowed: "));
  CHECK(said("\"2.2H\"", "[]").starts_with("pickups[0].inductance is a list of 0; allowed: "));
  CHECK(said("\"2.2H\"", "{}").starts_with("pickups[0].inductance is an object; allowed: "));
  CHECK(said("\"2.2H\"", "true").starts_with("pickups[0].inductance is true; allowed: "));
  CHECK(said("\"knob\": 7", "\"knob\": true") ==
        "controls[1].knob is true; allowed: a number, without quotation marks and unit");
  CHECK(said("\"knob\": 7", "\"knob\": 11") ==
        "controls[1].knob is 11; allowed: a number of 0 to 10, or '0 %' to '100 %' of the travel");
  CHECK(said("\"knob\": 7", "\"knob\": -1").starts_with("controls[1].knob is -1; "));
  CHECK(said("\"knob\": 7", "\"knob\": \"101 %\"").starts_with("controls[1].knob is '101 %'; "));
  CHECK(said("\"cut_at_full\": true", "\"cut_at_full\": 1") ==
        "controls[2].cut_at_full is 1; allowed: true or false");
  CHECK(said("\"name\": \"both\"", "\"name\": 3") == "positions[1].name is 3; allowed: a name: \"...\"");
  CHECK(said("\"name\": \"both\"", "\"name\": \"\"") ==
        "positions[1].name is ''; allowed: a name of 1 to 100 bytes without control characters");
  CHECK(said("\"name\": \"both\"", "\"name\": \"a\\nb\"").starts_with("positions[1].name is 'a\\x0ab'; "));
  CHECK(said("\"output\": [{\"shunt\": {\"series\": [{\"rheostat\": \"tone\"}, \"22n\"]}}]",
             "\"output\": {}") == "output is an object; allowed: a list of steps: [...]");
  for (const char* text : {"[]", "3", "\"text\"", "null", "true"}) {
    CAPTURE(text);
    CHECK(error_of(text).ends_with("; allowed: an object: {...}"));
    CHECK(error_of(text).starts_with("document is "));
  }
  CHECK(said_of_all("\"in_series\": 2", "\"in_series\": 3") ==
        "supply.in_series is 3; allowed: a whole number of 1 to 2");
  CHECK(said_of_all("\"in_series\": 2", "\"in_series\": 1.5") ==
        "supply.in_series is 1.5; allowed: a whole number of 1 to 2");
  CHECK(said_of_all("\"cells\": 1", "\"cells\": 1e300").starts_with("supply.battery.cells is 1e+300; "));
}

TEST_CASE("values") {
  CHECK(said("\"2.2H\"", "\"2,2H\"") == "pickups[0].inductance is '2,2H', wrong at column 2; allowed: a "
                                        "point before the decimals, not a comma");
  CHECK(said("\"2.2H\"", "\"NaN\"") ==
        "pickups[0].inductance is 'NaN', wrong at column 1; allowed: a number");
  CHECK(said("\"2.2H\"", "\"-2.2H\"") ==
        "pickups[0].inductance is '-2.2H', wrong at column 1; allowed: a value without a sign");
  CHECK(said("\"2.2H\"", "\"inf\"").starts_with("pickups[0].inductance is 'inf', wrong at column 1; "));
  CHECK(
      said("\"2.2H\"", "\"1e400 H\"").starts_with("pickups[0].inductance is '1e400 H', wrong at column 1; "));
  CHECK(said("\"2.2H\"", "\"0H\"") == "pickups[0].inductance is 0 H; allowed: more than 0 H");
  CHECK(said("\"2.2H\"", "\"2.2H ±5%\"") ==
        "pickups[0].inductance is '2.2H ±5%'; allowed: a value without a tolerance");
  CHECK(said("\"20k\"", "\"0R\"") == "pickups[0].eddy[0].resistance is 0 Ω; allowed: more than 0 Ω");
  CHECK(said("{\"inductance\": \"0.56H\", \"resistance\": \"20k\"}", "{\"inductance\": \"1H\"}") ==
        "pickups[0].eddy[0].resistance is missing; allowed: a value (an eddy branch needs it)");
  CHECK(said("\"250k\"", "\"0R\"") == "controls[0].track is '0R'; allowed: more than 0 Ω");
  CHECK(said("\"±10 %\"", "\"100 %\"").starts_with("controls[1].tolerance is '100 %'; allowed: 0 % or more"));
  CHECK(said("\"±10 %\"", "\"-10/+20 %\"").starts_with("controls[1].tolerance is '-10/+20 %'; "));
  CHECK(said("\"audio 15 %\"", "\"Audio 15 %\"").find("a law in words, in small letters") !=
        std::string::npos);
  CHECK(said("\"audio 15 %\"", "\"audio\"") ==
        "controls[0].taper is 'audio'; allowed: with the percent of the track at half travel, such as "
        "'audio 15 %'");
  CHECK(said("\"audio 15 %\"", "\"audio 60 %\"") == "controls[0].taper is 'audio 60 %', wrong at column 7; "
                                                    "allowed: 0.1 % to 50 % of the track at half travel");
  CHECK(said("\"audio 15 %\"", "[[0, 0]]") == "controls[0].taper is 1 long; allowed: 2 entries or more");
  CHECK(said("\"audio 15 %\"", "[[0, 0], [0.5, 0.6], [1, 0.5]]") ==
        "controls[0].taper[2].fraction is 0.5; allowed: 0.6 to 1");
  CHECK(said("\"audio 15 %\"", "[[0, 0], [1]]") ==
        "controls[0].taper[1] is a list of 1; allowed: two numbers: [rotation, fraction]");
  CHECK(said("\"22n\"", "\"22\"")
            .starts_with("output[0].shunt.series[1] is '22'; allowed: a part whose unit tells"));
  CHECK(said("\"22n\"", "\"22m\"")
            .starts_with("output[0].shunt.series[1] is '22m'; allowed: a part whose unit tells"));
  CHECK(said("\"22n\"", "\"\"")
            .starts_with("output[0].shunt.series[1] is ''; allowed: a part whose unit tells"));
  CHECK(said("\"22n\"", "\"4n7F\"") ==
        "output[0].shunt.series[1] is '4n7F'; allowed: a value without a tolerance");
  CHECK(said("\"22n\"", "{\"capacitor\": \"22n\", \"loss_tangent\": -1}") ==
        "output[0].shunt.series[1].loss_tangent is -1; allowed: 0 or more");
  CHECK(said_of_all("\"coupling\": 0.1", "\"coupling\": 1.1") ==
        "pickups[1].coupling is 1.1; allowed: -1 to 1");
  CHECK(said_of_all("\"1.9H\"", "\"0H\"") == "pickups[1].second.inductance is 0 H; allowed: more than 0 H");
  CHECK(said_of_all("\"quality\": 0.8", "\"quality\": 0") ==
        "pickups[2].limit.quality is 0; allowed: more than 0");
  CHECK(said_of_all("\"300 nV/√Hz\"", "\"300 nV\"") ==
        "pickups[2].voltage_noise is '300 nV'; allowed: a noise voltage as text, such as '20 nV/√Hz'");
  CHECK(said_of_all("\"capacitance\": \"1n\"", "\"capacitance\": \"0p\"") ==
        "pickups[3].capacitance is 0 F; allowed: more than 0 F");
  CHECK(said("\"1M\"", "\"0R\"") == "plugged_into[0].input.resistance is 0 Ω; allowed: more than 0 Ω");
  CHECK(said_of_all("\"2000 mAh\"", "\"3000 mAh\"").starts_with("supply.battery.capacity.lowest is "));
  CHECK(said_of_all("\"2000 mAh\"", "\"2000\"") ==
        "supply.battery.capacity[0] is '2000', wrong at column 5; allowed: a unit: mAh, Ah or C");
  CHECK(said_of_all("\"100k\", \"taper\"", "\"1R\", \"taper\"") ==
        "controls[6].end_resistance is 2 Ω; allowed: 0 Ω to 500 mΩ");
}

TEST_CASE("what fits no instrument") {
  CHECK(said("\"name\": \"bridge\", \"kind\"", "\"name\": \"neck\", \"kind\"") ==
        "pickups[1].name is 'neck' a second time; allowed: another name than entry 0 has");
  CHECK(said("{\"name\": \"both\"", "{\"name\": \"neck\"")
            .starts_with("positions[1].name is 'neck' a second time"));
  CHECK(said("\"controls\": [", "\"controls\": [{\"name\": \"spare\", \"track\": \"1k\"}, ") ==
        "controls[0] is 'spare', which no position uses; allowed: a control that does something");
  CHECK(said("\"pickups\": [",
             "\"pickups\": [{\"name\": \"spare\", \"kind\": \"piezo\", \"capacitance\": \"1n\"}, ") ==
        "pickups[0] is in no position; allowed: a pickup that is heard somewhere");
  CHECK(said("{\"circuit\": \"bridge side\"}]", "{\"circuit\": \"neck side\"}]") ==
        "circuits[0].wiring.pickup is 'neck' a second time; allowed: each of them once in a position");
  CHECK(
      said("\"output\": [", "\"output\": [{\"volume\": \"tone\"}, ") ==
      "output[1].shunt.series[0].rheostat is 'tone' a second time; allowed: each of them once in a position");
  CHECK(said("{\"pickup\": \"neck\", ", "{\"pickup\": \"neck\", \"mode\": \"first coil\", ") ==
        "circuits[0].wiring.mode is of a pickup with two coils; allowed: whole, for 'neck'");
  CHECK(said_of_all("\"second coil\"", "\"whole\"")
            .starts_with("circuits[0].wiring.series[1].across_idle_coil is "));
  // A control called like another's section.
  CHECK(said_of_all("\"name\": \"gain\"", "\"name\": \"blend.1\"")
            .starts_with("controls[6].name is 'blend.1'; "));
  CHECK(said_of_all("{\"amplifier\": {}}", "{\"amplifier\": {\"input_resistance\": \"0R\"}}") ==
        "circuits[1].wiring.parallel[1].then[1].amplifier.input_resistance is '0R'; allowed: more than 0 Ω");
}

TEST_CASE("circuits that lead to each other") {
  const auto circle = [](const std::string& circuits) {
    return error_of(R"({"pickups": [{"name": "p", "kind": "piezo", "capacitance": "1n"}], "circuits": [)" +
                    circuits + R"(], "positions": [{"name": "on", "wiring": {"pickup": "p"}}]})");
  };
  CHECK(circle(R"({"name": "a", "wiring": {"circuit": "a"}})") ==
        "circuits[0].wiring is 'a', which leads back to itself; allowed: a wiring that does not contain its "
        "own "
        "circuit");
  CHECK(
      circle(
          R"({"name": "a", "wiring": {"circuit": "b"}}, {"name": "b", "wiring": {"parallel": [{"pickup": "p"},
        {"circuit": "a"}]}})")
          .starts_with("circuits[0].wiring is 'a', which leads back to itself"));
  // A chain through many circuits, and one that branches twice at each of them: 2^60 ways, but 60 circuits.
  const auto chain = [&](int length, bool twice) {
    std::string text;
    for (int i = 0; i < length; ++i) {
      const std::string next = R"({"circuit": "c)" + std::to_string(i + 1) + "\"}";
      text += R"({"name": "c)" + std::to_string(i) + R"(", "wiring": )" +
              (i + 1 == length ? R"({"pickup": "p"})"
               : twice         ? R"({"parallel": [)" + next + ", " + next + "]}"
                               : next) +
              "}" + (i + 1 == length ? "" : ",");
    }
    return text;
  };
  CHECK(circle(chain(60, false)) == "no error");
  CHECK(circle(chain(70, false)).find("deep through its circuits; allowed: at most 64") != std::string::npos);
  CHECK(circle(chain(1000, false)).find("deep through its circuits; allowed: at most 64") !=
        std::string::npos);
  CHECK(circle(chain(30, true)) == "no error"); // in no position
}

TEST_CASE("wirings by nodes") {
  const auto wrong = [](const std::string& from, const std::string& to) {
    return error_of(replaced(json_file::named("by_nodes"), from, to));
  };
  const std::string first = "circuits[0].wiring.branches", second = "positions[2].wiring.branches";
  CHECK(wrong(R"({"pickup": "neck", "between": ["neck hot", "ground"]})",
              R"({"pickup": "nek", "between": ["a", "b"]})") ==
        first + "[0].pickup is 'nek'; allowed: 'neck' or 'bridge'; did you mean 'neck'?");
  CHECK(wrong(R"("between": ["neck hot", "ground"])", R"("between": ["neck hot"])") ==
        first + "[0].between is a list of 1; allowed: two nodes: [\"hot\", \"cold\"]");
  CHECK(wrong(R"("between": ["neck hot", "ground"])", R"("between": ["neck hot", null])") ==
        first + "[0].between[1] is null; allowed: a name: \"...\"");
  CHECK(wrong(R"("between": ["neck hot", "ground"])", R"("betwen": ["neck hot", "ground"])")
            .starts_with(first + "[0].betwen is an unknown key; allowed: 'pickup', 'between', "));
  CHECK(wrong(R"({"control": "neck volume", )", R"({"control": "volume", )") ==
        first + "[2].control is 'volume'; allowed: 'neck volume', 'bridge volume', 'tone' or 'master'");
  CHECK(wrong(R"("lugs": ["ground", "neck hot", "wipers"])", R"("lugs": ["ground", "wipers"])")
            .starts_with(first + "[2].lugs is a list of 2; allowed: the nodes of lugs 1, 2 and 3, null for"));
  CHECK(wrong(R"("lugs": ["ground", "neck hot", "wipers"])", R"("lugs": [null, null, "wipers"])") ==
        first + "[2].lugs is all on 'wipers'; allowed: two different nodes");
  CHECK(wrong(R"({"part": "470k", )", R"({"part": "470", )")
            .starts_with(first + "[4].part is '470'; allowed: a part whose unit tells"));
  CHECK(wrong(R"({"part": "470k", )", R"({"prt": "470k", )") ==
        first + "[4].prt is an unknown key; allowed: 'pickup', 'part', 'control' or 'coupled'; did you mean "
                "'part'?");
  CHECK(wrong(R"("coupling": 0.08)", R"("coupling": 1.08)") ==
        second + "[6].coupling is 1.08; allowed: -1 to 1");
  CHECK(wrong(R"("coupling": 0.08)", R"("coupling": "8 %")") ==
        second + "[6].coupling is '8 %'; allowed: a number, without quotation marks and unit");
  CHECK(wrong(R"("coupled": ["neck", "bridge"])", R"("coupled": ["neck", "middle"])")
            .starts_with(second + "[6].coupled is 'middle'; allowed: a coil of this wiring"));
  CHECK(wrong(R"("between": ["slider", "ground"])", R"("between": ["sliders", "ground"])") ==
        second + "[4].lugs is 'slider', where nothing else is; allowed: a node with something else on it, or "
                 "nothing "
                 "for a lug that is free");
  CHECK(wrong(R"("out": "wipers")", R"("out": "hot")") ==
        "circuits[0].wiring.out is 'hot'; allowed: a node of the branches");
  CHECK(wrong(R"("out": "wipers")", R"("out": "wipers", "leads_swapped": true)") ==
        "circuits[0].wiring.leads_swapped is an unknown key; allowed: 'branches', 'out' or 'then'");
  CHECK(wrong(R"({"circuit": "joined volumes"})",
              R"({"series": [{"pickup": "neck"}, {"circuit": "joined volumes"}]})") ==
        "circuits[0].wiring.branches is in a group; allowed: a wiring by nodes alone in its position, with "
        "nothing but "
        "steps behind it");
}
