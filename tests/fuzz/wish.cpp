// SPDX-License-Identifier: BSL-1.0
// read_wish: the text as a whole file, as a goal, a way, a value of a part and the other instrument of a match. What is
// read must be a wish that `choose` can take up: it keeps its own rules, and its places expand or are refused by name.
#include <lodewire/design/choose_options.hpp>
#include <lodewire/design/wish_json.hpp>

#include "document.hpp"

namespace {

using namespace lodewire;

instrument guitar() {
  instrument of;
  of.pickups = {magnetic_coil{.inductance = inductance::from_value(4),
                              .resistance = resistance::from_value(8e3),
                              .capacitance = capacitance::from_value(120e-12),
                              .name = "neck"}};
  of.controls = {{.name = "volume", .sections = {{.total = resistance::from_value(5e5)}}}};
  of.positions = {{"on", from_pickup("neck", {volume_step("volume")})}};
  return of;
}

void one_file(const std::string& text) {
  static const instrument of = guitar();
  const auto read =
      fuzz::document_or_refusal(text, [&](const std::string& t) { return read_wish(t, of, destination{}); });
  if (!read) return;
  require_wish(read->wanted);
  fuzz::expect(read_wish(text, of, destination{}) == *read, "a text is read the same twice", text);
  choice_problem problem{.of = of, .into = {}, .wanted = read->wanted, .places = read->places, .from = {}};
  problem.from.parts = {in_stock(resistance::from_value(1e3)), in_stock(capacitance::from_value(1e-9))};
  try {
    for (const detail::ready_place& p : detail::ready_places(problem, problem.from, 3))
      for (const detail::ready_way& w : p.ways)
        for (const auto& list : w.parts)
          for (const detail::value_candidate& c : list)
            fuzz::expect(is_finite(c.value) && c.value > 0, "a candidate has a value", text);
  } catch (const invalid_value& error) {
    fuzz::expect(error.parameter().starts_with("places["), "the error names the place", text);
  }
}

} // namespace

void fuzz::one_input(std::string_view text) {
  const std::string part(text);
  const std::string goals = R"({"goals":[{"peak":"3k"}],"places":)",
                    places = R"({"places":[{"name":"p","ways":["nothing"]}],"goals":)";
  one_file(part);
  one_file(places + "[" + part + "]}");
  one_file(goals + R"([{"name":"p","ways":[)" + part + "]}]}");
  one_file(goals + R"([{"name":"p","ways":[{"across":"jack","resistor":)" + part + "}]}]}");
  one_file(goals + R"([{"name":"p","ways":[{"across":"jack","capacitor":)" + part + "}]}]}");
  one_file(places + R"([{"match":)" + part + "}]}");
  one_file(places + R"([{"peak_height":"3 dB","limit":)" + part + "}]}");
}
