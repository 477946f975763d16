// SPDX-License-Identifier: BSL-1.0
// docs/instrument.schema.json and the reader know the same keys and the same words.
#include <set>

#include <doctest/doctest.h>

#include "json_file.hpp"

using namespace lodewire;
using nlohmann::json;
using words_of = std::set<std::string>;

namespace {

json schema() {
  const std::filesystem::path data = LODEWIRE_TEST_DATA;
  return json::parse(
      json_file::text_of(data.parent_path().parent_path() / "docs" / "instrument.schema.json"));
}

std::string under_defs(std::string_view name) {
  std::string key(name);
  std::replace(key.begin(), key.end(), ' ', '_');
  return key;
}

template <class E, std::size_t N>
words_of texts(const detail::word<E> (&words)[N]) {
  words_of all;
  for (const auto& w : words) all.emplace(w.text);
  return all;
}

} // namespace

TEST_CASE("every key that the reader knows is in the schema, and the other way round") {
  const json root = schema(), &defs = root["$defs"];
  words_of known;
  for (const detail::object_shape* shape : detail::shapes::all) {
    const std::string name = under_defs(shape->name);
    CAPTURE(name);
    const bool is_root = shape == &detail::shapes::document;
    REQUIRE((is_root || defs.contains(name)));
    const json& object = is_root ? root : defs[name];
    CHECK(object["additionalProperties"] == false);
    words_of here, there;
    for (const std::string_view key : shape->keys)
      if (!key.empty()) CHECK(here.emplace(key).second);
    for (const auto& [key, value] : object["properties"].items()) there.insert(key);
    CHECK(here == there);
    const words_of required(shape->keys.begin(),
                            shape->keys.begin() + static_cast<std::ptrdiff_t>(shape->required));
    CHECK(object["required"].get<words_of>() == required);
    CHECK(known.insert(name).second);
  }
  for (const auto& item : defs.items()) {
    const std::string name = item.key();
    if (item.value().contains("properties")) CHECK_MESSAGE(known.contains(name), name);
  }
}

TEST_CASE("and every word") {
  const json defs = schema()["$defs"];
  const auto words = [&](const char* object, const char* key) {
    return defs[object]["properties"][key]["enum"].get<words_of>();
  };
  namespace w = detail::words;
  for (const char* coil : {"coil", "coil_of_a_pair"}) {
    CHECK(words(coil, "winding") == texts(w::windings));
    CHECK(words(coil, "magnet") == texts(w::magnets));
    CHECK(words(coil, "connection") == texts(w::connections));
    CHECK(words(coil, "cover") == texts(w::covers));
  }
  CHECK(words("wiring_from_a_pickup", "mode") == texts(w::modes));
  CHECK(words("rheostat", "lugs") == texts(w::lugs_in_use));
  CHECK(words("capacitor", "dielectric") == texts(w::dielectrics));
  CHECK(words("supply", "jack") == texts(w::jacks));
  CHECK(words("battery", "chemistry") == texts(w::chemistries));
  words_of kinds, blocks;
  for (const char* kind : {"coil", "two_coils", "active", "piezo"})
    kinds.insert(defs[kind]["properties"]["kind"]["const"].get<std::string>());
  CHECK(kinds == texts(w::pickup_kinds));
  for (const auto& block : detail::nine_volt_blocks)
    blocks.merge(words_of{std::string(block.designation), std::string(block.ansi)});
  CHECK(defs["supply"]["properties"]["battery"]["oneOf"][0]["enum"].get<words_of>() == blocks);
}

TEST_CASE("every_key.json holds every key") {
  const std::string text = json_file::named("every_key");
  for (const detail::object_shape* shape : detail::shapes::all)
    for (const std::string_view key : shape->keys)
      if (!key.empty()) CHECK_MESSAGE(text.find("\"" + std::string(key) + "\":") != text.npos, key);
}

TEST_CASE("what the schema refuses, the reader refuses too") {
  const auto wrong = json_file::all_in(json_file::folder() / "wrong");
  CHECK(wrong.size() >= 10);
  for (const auto& path : wrong) {
    CAPTURE(path.string());
    CHECK(json_file::error_of(json_file::text_of(path)) != "no error");
  }
}

TEST_CASE("the reference's own examples are instruments") {
  const std::filesystem::path data = LODEWIRE_TEST_DATA;
  const std::string page =
      json_file::text_of(data.parent_path().parent_path() / "docs" / "instrument-file.md");
  const std::string fence = "```json\n";
  int whole = 0;
  for (auto at = page.find(fence); at != page.npos; at = page.find(fence, at)) {
    at += fence.size();
    const std::string example = page.substr(at, page.find("```", at) - at);
    if (example.find("\"positions\"") != example.npos) {
      ++whole;
      CHECK(json_file::error_of(example) == "no error");
    } else if (example.find("\"two coils\"") != example.npos) {
      CHECK(json_file::error_of("{\"pickups\": [" + example +
                                "], \"positions\": [{\"name\": \"on\", \"wiring\": {\"pickup\": "
                                "\"bridge\"}}]}") == "no error");
    }
  }
  CHECK(whole == 3);
  // And every key and every word stands in it.
  for (const detail::object_shape* shape : detail::shapes::all)
    for (const std::string_view key : shape->keys) CHECK_MESSAGE(page.find(key) != page.npos, key);
  namespace w = detail::words;
  for (const words_of& words :
       {texts(w::windings), texts(w::magnets), texts(w::connections), texts(w::covers), texts(w::modes),
        texts(w::dielectrics), texts(w::jacks), texts(w::chemistries), texts(w::pickup_kinds)})
    for (const std::string& word : words) CHECK_MESSAGE(page.find(word) != page.npos, word);
}
