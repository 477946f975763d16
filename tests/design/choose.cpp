// SPDX-License-Identifier: BSL-1.0
// The search against brute force.
#include <doctest/doctest.h>

#include "../draws.hpp"
#include "choose_problems.hpp"

using namespace problems;

TEST_CASE("500 random problems: the same best five as by brute force") {
  const std::size_t wanted = check::draws(500);
  std::size_t solved = 0, bounded = 0, not_met = 0, with_ties = 0;
  for (std::uint64_t seed = 1; solved < wanted; ++seed) {
    REQUIRE(seed < 10 * wanted);
    dice random(seed);
    const choice_problem p = random.a_problem(2);
    choice_result r;
    try {
      r = choose(p);
    } catch (const invalid_value&) {
      continue; // mostly a place that no criterion hears
    }
    ++solved;
    const brute_force by_hand(p);
    CAPTURE(seed);
    REQUIRE(r.best.size() == std::min<std::size_t>(5, by_hand.all.size()));
    CHECK(r.met == (by_hand.all[0].over == 0));
    // Some are so nearly as good that rounding decides.
    std::size_t surely = 0, perhaps = 0;
    for (const judged& j : by_hand.all) {
      const auto within = [&](double part) {
        return std::abs(j.over - by_hand.all[0].over) <= part * (j.over + part) &&
               std::abs(j.cost - by_hand.all[0].cost) <= part * (1 + j.cost);
      };
      surely += within(1e-11) ? 1U : 0U;
      perhaps += within(1e-7) ? 1U : 0U;
    }
    CHECK(r.as_good >= std::min<std::size_t>(surely, 100));
    CHECK(r.as_good <= perhaps);
    CHECK(r.ties.size() == (r.as_good > 5 ? r.as_good - 5 : 0));
    for (std::size_t i = 0; i < r.best.size(); ++i) {
      CHECK(same(r.best[i].overrun, by_hand.all[i].over));
      CHECK(same(r.best[i].cost, by_hand.all[i].cost));
      // And what it says of itself is what it is.
      const judged again = judge_by_hand(p, altered(p.of, p.places, r.best[i]));
      CHECK(same(r.best[i].cost, again.cost));
      CHECK(same(r.best[i].overrun, again.over));
    }
    const judged as_is = judge_by_hand(p, p.of);
    CHECK(same(r.before.cost, as_is.cost));
    bounded += r.proof == choice_proof::bounded ? 1 : 0;
    not_met += r.met ? 0 : 1;
    with_ties += surely > 1 ? 1 : 0;
  }
  // All kinds came up.
  CHECK(bounded > wanted / 20);
  CHECK(not_met > wanted / 10);
  CHECK(with_ties > wanted / 100);
}
