// SPDX-License-Identifier: BSL-1.0
// What a person probably meant: JSON that is none, values without a unit, words of the trade.
#include <doctest/doctest.h>

#include "json_file.hpp"

using json_file::error_of;
using json_file::replaced;

namespace {

/// What is said behind `probably`; the whole message where it is not there.
std::string probably(const std::string& text) {
  const std::string error = error_of(text), mark = "; allowed: JSON; probably ";
  const auto at = error.find(mark);
  return at == error.npos ? error : error.substr(at + mark.size());
}

std::string said(const std::string& from, const std::string& to) {
  return error_of(replaced(json_file::named("two_pickups"), from, to));
}

} // namespace

TEST_CASE("a comma is missing, or one too many") {
  CHECK(
      error_of("{\"name\": \"x\",\n \"kind\": \"coil\"\n \"inductance\": \"2H\"}") ==
      "line 3, column 13 is no JSON: ' \"inductance\": \"2H\"}'; allowed: JSON; probably a comma is missing "
      "before 'inductance'");
  CHECK(probably(R"({"a": 1 "b": 2})") == "a comma is missing before 'b'");
  CHECK(probably(R"({"a": [1 2]})") == "a comma is missing before here");
  CHECK(probably(R"({"a": [{} {}]})") == "a comma is missing before here");
  CHECK(probably(R"({"a": ["x" "y"]})") == "a comma is missing before 'y'");
  CHECK(error_of("{\"a\": [1, 2,]}") == "line 1, column 13 is no JSON: '{\"a\": [1, 2,]}'; allowed: JSON; "
                                        "probably one comma too many before the ]");
  CHECK(probably("{\"a\": 1,\n}") == "one comma too many before the }");
  CHECK(probably(R"({"a": 1,, "b": 2})") == "one comma too many");
  CHECK(probably(R"({,"a": 1})") == "one comma too many");
}

TEST_CASE("a quotation mark is missing") {
  CHECK(probably(R"({"name": "neck, "pickups": []})") == "a quotation mark (\") is missing before here");
  CHECK(probably(R"({"a": "22n, "470k"})") == "a quotation mark (\") is missing before here");
  CHECK(probably(R"({"name: "neck"})") == "a quotation mark (\") is missing before here");
  CHECK(probably(R"({"name": neck", "x": 1})") == "a quotation mark (\") is missing before 'neck'");
  CHECK(probably(R"({name": "neck"})") == "a quotation mark (\") is missing before 'name'");
  CHECK(probably("{\"name\": \"neck\n}") == "a quotation mark (\") is missing at the end of a text");
  CHECK(probably("{\"name\": \"neck") == "a quotation mark (\") is missing at the end of a text");
  CHECK(probably("{name: 1}") == "quotation marks (\") are missing round 'name'");
  CHECK(probably("{\"a\": 2.2H}") == "quotation marks (\") are missing round '2.2H'");
  CHECK(probably("{\"a\": NaN}") == "quotation marks (\") are missing round 'NaN'");
}

TEST_CASE("quotation marks of another kind") {
  const std::string straight = "straight quotation marks (\") are wanted, not curly ones";
  CHECK(probably("{\u201ca\u201d: 1}") == straight);
  CHECK(probably("{\"a\": \u201cb\u201d}") == straight);
  CHECK(probably("{\"a\": \u2018b\u2019}") == straight);
  CHECK(probably("{\"a\": \"b\u201d}") == straight);
  CHECK(probably("{\"a\": \"b\u201d, \"c\": 1}") ==
        "the text before here ends in a curly quotation mark, where a straight one (\") is wanted");
  CHECK(probably("{'a': 1}") == "double quotation marks (\") are wanted, not single ones");
  // Within a text they stand for themselves.
  CHECK(said("\"name\": \"both\"", "\"name\": \"\u201cboth\u201d\"") == "no error");
}

TEST_CASE("comments") {
  for (const char* text :
       {"// x\n{}", "{\"a\": 1 // x\n}", "{/* x */}", "# x", "{\"a\": 1, # x\n\"b\": 2}"}) {
    CAPTURE(text);
    CHECK(probably(text) == "a comment, which is not allowed in JSON");
  }
  CHECK(said("\"name\": \"both\"", "\"name\": \"# // /* both\"") == "no error");
}

TEST_CASE("numbers, colons and brackets") {
  CHECK(error_of("{\"coupling\": 0,1}") == "line 1, column 16 is no JSON: 'oupling\": 0,1}'; allowed: JSON; "
                                           "probably a point is wanted before the decimals, not a comma");
  for (const char* number : {".5", "+5", "05", "5.", "0.1.2", "1-2", "1e"}) {
    CAPTURE(number);
    CHECK(probably("{\"a\": " + std::string(number) + "}") ==
          "a number needs a digit on both sides of its point, no sign + and no 0 in front");
  }
  CHECK(probably("{\"a\": True}") == "true and false are written in small letters");
  CHECK(probably("{\"a\" 1}") == "a colon is missing before here");
  CHECK(probably("{\"a\" \"b\"}") == "a colon is missing before 'b'");
  CHECK(probably("{\"a\"}") == "a colon and a value are missing before here");
  CHECK(probably("{\"a\": }") == "a value is missing before here");
  CHECK(probably("{\"a\":\n[1}") == "the ] is missing before here, for the [ of line 2");
  CHECK(probably("{}}") == "one } too many");
  CHECK(probably("{} {}") == "something stands behind the document's end");
  CHECK(probably("{\"a\":\u00a01}") == "a no-break space, where an ordinary one is wanted");
  CHECK(error_of("{\n\"a\": [1, 2") == "line 2, column 11 is where the text ends too early; allowed: JSON; "
                                       "probably the ] is missing for the [ of line 2");
  // Where the parser knows more.
  CHECK(error_of("{\"a\": \"b\\k\"}").ends_with("(invalid string: forbidden character after backslash)"));
}

TEST_CASE("a number without its unit") {
  CHECK(said("\"250k\"", "\"250\"") ==
        "controls[0].track is '250': 250 of what?; allowed: '250k', '250R' or '250 Ω'");
  CHECK(said("\"2.2H\"", "\"5.2\"") ==
        "pickups[0].inductance is '5.2': 5.2 of what?; allowed: '5.2H' or '5.2mH'");
  CHECK(said("\"0.4m\"", "\"12\"") ==
        "pickups[0].lead.length is '12': 12 of what?; allowed: '12m' or '12cm'");
  CHECK(said("\"22n\"", "{\"capacitor\": \".022\"}") ==
        "output[0].shunt.series[1].capacitor is '.022': .022 of what?; allowed: '.022p', '.022n' or '.022 "
        "µF'");
  CHECK(said("\"2.2H\"", "\"1e0\"").starts_with("pickups[0].inductance is '1e0': 1e0 of what?"));
  // Every text of a file in turn that begins with a digit and is no percentage: without its unit it is refused.
  const auto tree = nlohmann::json::parse(json_file::named("every_key"));
  int tried = 0;
  const auto walk = [&](const auto& self, const nlohmann::json& at,
                        const nlohmann::json::json_pointer& path) -> void {
    if (at.is_object())
      for (const auto& [key, value] : at.items())
        if (key != "name" && key != "designation" && key != "lugs" && key != "battery")
          self(self, value, path / key);
    if (at.is_array())
      for (std::size_t i = 0; i < at.size(); ++i) self(self, at[i], path / i);
    if (!at.is_string()) return;
    const std::string text = at.get<std::string>();
    if (text[0] < '0' || text[0] > '9') return;
    nlohmann::json changed = tree;
    changed[path] = text.substr(0, text.find_first_not_of("0123456789."));
    ++tried;
    CAPTURE(path.to_string());
    CHECK(error_of(changed.dump()) != "no error");
  };
  walk(walk, tree, nlohmann::json::json_pointer());
  CHECK(tried > 50);
  // The three digits on a capacitor are no number.
  CHECK(said("\"22n\"", "{\"capacitor\": \"473\"}") == "no error");
  CHECK(said("\"22n\"", "\"473\"").ends_with("what is printed on a capacitor: {\"capacitor\": \"473\"}"));
}

TEST_CASE("what is written has its unit, zero and odd magnitudes too") {
  using namespace lodewire;
  CHECK(write_quantity(resistance{}) == "0 Ω");
  instrument_file file = read_instrument_file(json_file::named("every_key"));
  auto& coil = std::get<magnetic_coil>(file.built.pickups[0]);
  for (const double value : {1e-30, 1.0 / 3, 7.0, 1e9, 1e17}) {
    coil.inductance = inductance::from_value(value);
    coil.resistance = resistance::from_value(value);
    file.plugged_into[0].lead.length = length::from_value(value < 1 ? value : 1);
    CAPTURE(value);
    CHECK(read_instrument_file(write_instrument_file(file)) == file);
  }
}

TEST_CASE("units in words, letters and words of the trade") {
  const auto ends = [](const std::string& error, const std::string& with) {
    CAPTURE(error);
    CHECK(error.ends_with(with));
  };
  ends(said("\"2.2H\"", "\"5.2 henry\""), "; did you mean '5.2H'?");
  ends(said("\"2.2H\"", "\"560 Millihenries\""), "; did you mean '560mH'?");
  ends(said("\"250k\"", "\"250 kilohms\""), "; did you mean '250k'?");
  ends(said("\"22n\"", "{\"capacitor\": \"22 nanofarad\"}"), "; did you mean '22nF'?");
  CHECK(said("\"2.2H\"", "\"5.2 volts\"").find("did you mean") == std::string::npos);
  CHECK(said("\"250k\"", "\"250 ohms\"") == "no error");
  CHECK(said("\"250k\"", "\"A250k\"") == "controls[0].track is 'A250k'; allowed: '250k', and what the letter "
                                         "means as 'taper', such as 'audio 15 %'");
  CHECK(said("\"250k\"", "\"B500K\"").starts_with("controls[0].track is 'B500K'; allowed: '500K', and "));
  CHECK(said("\"250k\"", "\"A504\"").starts_with("controls[0].track is 'A504'; allowed: '500 kΩ', and "));
  // Three signs, but no code.
  CHECK(said("\"250k\"", "\"W  1\"").starts_with("controls[0].track is 'W  1'; allowed: '1k', and "));
  CHECK(said("\"250k\"", "\"1.2A\"").starts_with("controls[0].track is '1.2A'; allowed: '1.2k', and "));
  for (const char* word : {"log", "Logarithmic", "Log 15 %", "Audio 15 %"}) {
    CAPTURE(word);
    ends(said("\"audio 15 %\"", "\"" + std::string(word) + "\""), "; did you mean 'audio 15 %'?");
  }
  ends(said("\"audio 15 %\"", "\"lin\""), "; did you mean 'linear'?");
  ends(said("\"audio 15 %\"", "\"reverse audio\""), "such as 'reverse audio 15 %'");
  ends(said("\"audio 15 %\"", "\"A\""), "a stamped letter means different laws in different worlds");
  for (const char* word : {"humbucker", "Humbucking", "Two Coils"}) {
    CAPTURE(word);
    ends(said("\"kind\": \"coil\"", "\"kind\": \"" + std::string(word) + "\""),
         "; did you mean 'two coils'?");
  }
  ends(said("\"kind\": \"coil\"", "\"kind\": \"single coil\""), "; did you mean 'coil'?");
  ends(said("\"neck side\"}", "\"NECK SIDE\"}"), "; did you mean 'neck side'?");
  ends(error_of(R"({"pickups": [{"name": "p", "kind": "two coils"}], "positions": []})"),
       "pickups[0].first is missing; allowed: a value (a pickup of the kind 'two coils' needs it)");
}
