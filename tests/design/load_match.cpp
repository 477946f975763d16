// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/design/load_match.hpp>
#include <lodewire/quantity/literals.hpp>

using namespace lodewire;
using namespace lodewire::literals;

TEST_CASE("the exact resistor gives exactly the wanted load, by the circuit itself") {
  for (const auto& present : {26_kOhm, 250_kOhm, 500_kOhm, 1_MOhm})
    for (const auto& wanted : {1_kOhm, 25_kOhm, 25.9_kOhm}) {
      const load_wish wish{.present = present, .wanted = wanted};
      const auto exact = exact_resistor(wish);
      REQUIRE(exact);
      const double load = impedance_at(parallel(present, *exact), 1_kHz).value().real();
      CHECK(load == doctest::Approx(wanted.value()).epsilon(1e-12));
      CHECK(judge_resistor(wish, *exact).error == doctest::Approx(0).epsilon(1e-12));
    }
}

TEST_CASE("a 25 kΩ load from a 500 kΩ pot") {
  const load_wish wish{.present = 500_kOhm, .wanted = 25_kOhm, .resistor_tolerance = 0.05};
  // By hand: 500·25/475 = 26.3158 kΩ.
  CHECK(exact_resistor(wish)->value() == doctest::Approx(26315.789473684).epsilon(1e-12));

  const auto e12 = choose_load_resistor(wish, e_series::e12);
  REQUIRE(e12.size() == 2);
  // Common practice, no source: 27 kΩ across 500 kΩ counts as 'about 25 kΩ'.
  CHECK(e12[0].resistor == 27_kOhm);
  CHECK(e12[0].load.value() == doctest::Approx(500e3 * 27e3 / 527e3).epsilon(1e-14));
  CHECK(e12[0].error == doctest::Approx(500. * 27 / 527 / 25 - 1).epsilon(1e-12));
  CHECK(e12[1].resistor == 22_kOhm);
  // From wiper to ground the load would only hold at full.
  CHECK(e12[0].where == way::kind::across_track);
  // Spread by hand: 400 ∥ 25.65 and 600 ∥ 28.35 kΩ.
  CHECK(e12[0].lowest.value() == doctest::Approx(400e3 * 25.65e3 / 425.65e3).epsilon(1e-12));
  CHECK(e12[0].highest.value() == doctest::Approx(600e3 * 28.35e3 / 628.35e3).epsilon(1e-12));

  CHECK(choose_load_resistor(wish, e_series::e96).front().resistor == 26.1_kOhm);
  CHECK(choose_load_resistor(load_wish{.present = 500_kOhm, .wanted = 250_kOhm}, e_series::e24).size() == 2);
}

TEST_CASE("an empty place, and no way down to a higher load") {
  // Common practice, no source: 470 kΩ stands in for an absent 500 kΩ pot.
  const load_wish absent{.wanted = 500_kOhm};
  CHECK(*exact_resistor(absent) == 500_kOhm);
  const auto e12 = choose_load_resistor(absent, e_series::e12);
  CHECK(e12.front().resistor == 470_kOhm);
  CHECK(e12.front().error == doctest::Approx(-0.06).epsilon(1e-12));
  const load_choice preferred = choose_load_resistor(load_wish{.wanted = 470_kOhm}, e_series::e12).front();
  CHECK(preferred.resistor == 470_kOhm);
  CHECK(std::abs(preferred.error) < 1e-12);
  CHECK(preferred.where == way::kind::across);

  CHECK_FALSE(exact_resistor({.present = 250_kOhm, .wanted = 500_kOhm}));
  CHECK_FALSE(exact_resistor({.present = 250_kOhm, .wanted = 250_kOhm}));
  CHECK(choose_load_resistor({.present = 250_kOhm, .wanted = 500_kOhm}, e_series::e24).empty());
}

TEST_CASE("a drawer is ranked by ratio and nothing is lost") {
  const load_wish wish{.present = 500_kOhm, .wanted = 25_kOhm};
  const std::vector<resistance> drawer{10_kOhm, 33_kOhm, 27_kOhm, 22_kOhm, 27_kOhm};
  const auto best = choose_load_resistor(wish, one_of(drawer), 10);
  REQUIRE(best.size() == 5);
  CHECK(best[0].resistor == 27_kOhm);
  CHECK(best[1].resistor == 27_kOhm);
  CHECK(best[2].resistor == 22_kOhm);
  CHECK(best[3].resistor == 33_kOhm);
  CHECK(best[4].resistor == 10_kOhm);
  CHECK(choose_load_resistor(wish, one_of(drawer), 2).size() == 2);
}

TEST_CASE("bad input is named") {
  const auto says = [](const auto& call, const std::string& text) {
    try {
      call();
    } catch (const invalid_value& e) {
      CHECK(std::string(e.what()) == text);
      return;
    }
    FAIL("no error");
  };
  says([] { return exact_resistor({.wanted = 0_Ohm}); }, "load_wish.wanted is 0 Ω; allowed: more than 0 Ω");
  says([] { return exact_resistor({.present = -5_kOhm, .wanted = 1_Ohm}); },
       "load_wish.present is -5 kΩ; allowed: more than 0 Ω");
  says([] { return exact_resistor({.wanted = 1_Ohm, .present_tolerance = 1.5}); },
       "load_wish.present_tolerance is 1.5; allowed: 0 or more, less than 1");
  says([] { return choose_load_resistor({.wanted = 1_Ohm}, one_of<resistance>({})); },
       "places[0].ways[0].parts[0] is an empty list; allowed: one resistor or more");
  says([] { return judge_resistor({.wanted = 1_Ohm}, 0_Ohm); }, "resistor is 0 Ω; allowed: more than 0 Ω");
}

TEST_CASE("nearest is by ratio: 36 kΩ is nearer to 25 kΩ than 15 kΩ is") {
  // 36/25 = 1.44, 25/15 = 1.67; by difference it would be the other way round (11 kΩ and 10 kΩ).
  const std::vector<resistance> on_hand{15_kOhm, 36_kOhm};
  const auto best = choose_load_resistor({.wanted = 25_kOhm}, one_of(on_hand));
  REQUIRE(best.size() == 2);
  CHECK(best[0].resistor == 36_kOhm);
  CHECK(best[1].resistor == 15_kOhm);
  CHECK(choose_load_resistor({.wanted = 25_kOhm}, one_of(on_hand), 1).size() == 1);
}
