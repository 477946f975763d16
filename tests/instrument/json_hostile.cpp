// SPDX-License-Identifier: BSL-1.0
// Texts that are no instrument: a document_error each, and nothing else.
#include <doctest/doctest.h>

#include "../draws.hpp"
#include "json_file.hpp"

using json_file::error_of;
using json_file::replaced;
using lodewire::document_limits;

namespace {

bool is_printable(const std::string& text) {
  for (const char c : text)
    if (static_cast<unsigned char>(c) < ' ' || c == '\x7f') return false;
  return true;
}

/// How many of the texts were refused. Any exception but `document_error` leaves the test.
struct tally {
  int read = 0, refused = 0;
  void add(const std::string& text) {
    const std::string error = error_of(text);
    ++(error == "no error" ? read : refused);
    if (error.starts_with("not by its path") || error.find("; allowed: ") == error.npos)
      CHECK_MESSAGE(error == "no error", error);
    if (!is_printable(error)) CHECK_MESSAGE(false, "a control byte in the message about ", text);
  }
};

std::string repeated(const std::string& part, std::size_t count) {
  std::string text;
  text.reserve(part.size() * count);
  for (std::size_t i = 0; i < count; ++i) text += part;
  return text;
}

} // namespace

TEST_CASE("a file that ends at any byte") {
  for (const char* name : {"two_pickups", "every_key", "mixed", "smallest", "by_nodes"}) {
    std::string whole = json_file::named(name);
    while (whole.back() == '\n') whole.pop_back();
    tally all;
    for (std::size_t length = 0; length < whole.size(); length += check::stride())
      all.add(whole.substr(0, length));
    CHECK(all.read == 0);
    CHECK(all.refused == static_cast<int>((whole.size() - 1) / check::stride()) + 1);
    CHECK(error_of(whole) == "no error");
  }
}

TEST_CASE("where it is no JSON: line and column") {
  CHECK(error_of("") ==
        "line 1, column 1 is where the text ends too early; allowed: '[', '{', or a literal (unexpected "
        "end of input)");
  CHECK(error_of("{\n  \"name\": NaN\n}")
            .starts_with("line 2, column 11 is no JSON: '  \"name\": NaN'; allowed: "));
  CHECK(error_of("{\"name\": Infinity}").starts_with("line 1, column 10 is no JSON: "));
  CHECK(error_of("{\"name\": 'x'}").starts_with("line 1, column 10 is no JSON: "));
  CHECK(error_of("{\"name\": \"x\",}").starts_with("line 1, column 14 is no JSON: "));
  CHECK(error_of("{} {}").starts_with("line 1, column 4 is no JSON: "));
  CHECK(error_of("{\"µ\": \"Ω\" x").starts_with("line 1, column 11 is no JSON: ")); // characters, not bytes
  CHECK(error_of("{\"name\": \"\xff\"}").find("UTF-8") != std::string::npos);
  CHECK(error_of("{\"name\": \"\\ud800\"}").starts_with("line 1, column "));
  for (const char* unheld : {"1e999", "-1e999", "1e-999"})
    CHECK(error_of("{\"name\": " + std::string(unheld) + "}") ==
          "name is a number that no double holds; allowed: a number of 2.3e-308 to 1.7e308, or 0");
  CHECK(error_of("// comment\n{}").starts_with("line 1, column "));
  CHECK(error_of(std::string(1, '\0')).starts_with("line 1, column "));
}

TEST_CASE("any byte replaced, left out or said twice") {
  const std::string whole = json_file::named("two_pickups");
  tally all;
  for (std::size_t at = 0; at < whole.size(); at += check::stride()) {
    for (const char c : {'\0', '"', '{', ']', ',', '0', 'k', '\xff', '-'}) {
      std::string text = whole;
      text[at] = c;
      all.add(text);
    }
    all.add(whole.substr(0, at) + whole.substr(at + 1));
    all.add(whole.substr(0, at + 1) + whole.substr(at));
  }
  CHECK(all.refused > 11 * static_cast<int>(whole.size() / check::stride()) / 2);
  CHECK(all.read > 0); // such as a space for a space
}

TEST_CASE("any value replaced by one of another type or size") {
  for (const char* name : {"every_key", "by_nodes"}) {
    CAPTURE(name);
    const auto tree = nlohmann::json::parse(json_file::named(name));
    std::vector<nlohmann::json::json_pointer> places;
    const auto walk = [&](const auto& self, const nlohmann::json& at,
                          const nlohmann::json::json_pointer& path) -> void {
      places.push_back(path);
      if (at.is_object())
        for (const auto& [key, value] : at.items()) self(self, value, path / std::string(key));
      if (at.is_array())
        for (std::size_t i = 0; i < at.size(); ++i) self(self, at[i], path / i);
    };
    walk(walk, tree, nlohmann::json::json_pointer());
    CHECK(places.size() > 100);
    tally all;
    const nlohmann::json others[] = {nullptr,
                                     true,
                                     0,
                                     -1,
                                     1e300,
                                     "",
                                     "x",
                                     "NaN",
                                     nlohmann::json::array(),
                                     nlohmann::json::object(),
                                     {1, "a", {}},
                                     "1e300 H",
                                     "1e-300 F"};
    for (std::size_t k = 0; k < places.size(); k += check::stride())
      for (const auto& other : others) {
        nlohmann::json changed = tree;
        changed[places[k]] = other;
        all.add(changed.dump());
      }
    CHECK(all.refused > 10 * static_cast<int>(places.size() / check::stride()));
  }
}

TEST_CASE("too deep, too long, too much") {
  const std::string too_deep =
      "document is nested deeper than 64 lists and objects; allowed: at most that deep";
  CHECK(error_of(repeated("[", 100'000)) == too_deep);
  CHECK(error_of(repeated("{\"a\":", 100'000)) == too_deep);
  CHECK(error_of(repeated("[", 65)) == too_deep);
  CHECK(error_of(repeated("[", 64) + repeated("]", 64)) ==
        "document is a list of 1; allowed: an object: {...}");
  // Wirings in each other: an object and a list for each.
  const auto nested = [](std::size_t times) {
    return R"({"pickups": [{"name": "p", "kind": "piezo", "capacitance": "1n"}], "positions": [{"name": "on", "wiring": )" +
           repeated("{\"series\": [", times) + R"({"pickup": "p"})" +
           repeated(", {\"pickup\": \"p\"}]}", times) + "}]}";
  };
  CHECK(error_of(nested(30)).find("'p' a second time") != std::string::npos);
  CHECK(error_of(nested(40)) == too_deep);

  const std::string ten_mb = "document is 10000000 bytes long; allowed: at most 1048576 bytes (1 MiB)";
  CHECK(error_of(std::string(10'000'000, ' ')) == ten_mb);
  CHECK(error_of(std::string(10'000'000, '[')) == ten_mb);
  const std::string much = "document is of more than 10000 values; allowed: at most that many";
  CHECK(error_of("[" + repeated("0,", 20'000) + "0]") == much);
  CHECK(error_of("[" + repeated("{},", 300'000) + "0]") == much);
  CHECK(error_of("{\"name\": \"" + std::string(500'000, 'x') + "\"}") ==
        "name is a text of 500000 bytes; allowed: at most 100 bytes");
  CHECK(error_of("{\"" + std::string(500'000, 'x') + "\": 1}").find("an unknown key") != std::string::npos);
  CHECK(error_of("[1, 2").starts_with("line 1, column 6 is where the text ends too early"));
}

TEST_CASE("as large as the limits allow") {
  // Thousands of steps in one position, and a position for each of thousands.
  std::string steps, positions;
  for (int i = 0; i < 4000; ++i) steps.append(i ? "," : "").append("{\"shunt\":\"1M\"}");
  const auto file = [](const std::string& output, const std::string& more) {
    return R"({"pickups": [{"name": "p", "kind": "piezo", "capacitance": "1n"}], "positions": [{"name": "on", "wiring": )"
           R"({"pickup": "p"}})" +
           more + "], \"output\": [" + output + "]}";
  };
  CHECK(error_of(file(steps, "")) == "no error");
  for (int i = 0; i < 2000; ++i)
    positions += ",{\"name\":\"" + std::to_string(i) + "\",\"wiring\":{\"pickup\":\"p\"}}";
  CHECK(error_of(file("", positions)) == "no error");
  // More pickups in a position than a circuit can have.
  std::string pickups, wirings;
  for (int i = 0; i < 300; ++i) {
    const std::string name = "\"p" + std::to_string(i) + "\"";
    pickups += std::string(i ? "," : "") + "{\"name\":" + name + R"(,"kind":"piezo","capacitance":"1n"})";
    wirings += std::string(i ? "," : "") + "{\"pickup\":" + name + "}";
  }
  CHECK(error_of("{\"pickups\":[" + pickups + R"(],"positions":[{"name":"on","wiring":{"parallel":[)" +
                 wirings + "]}}]}") == "document is circuit: more than 255 terminal pairs in one circuit; "
                                       "allowed: a position that fits one circuit");
}
