// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/choose.hpp>

/// Which resistor makes a pickup see the load that it wants, and where: at the pot that is there, or in place of a pot
/// that is missing. One question to `choose`.
namespace lodewire {

/// What is there, what is wanted, and how far parts stray.
struct load_wish {
  std::optional<resistance>
      present{};                   ///< total of the control that loads the pickup; none: the place is empty
  resistance wanted{};             ///< the load that the pickup asks for
  double present_tolerance = 0.20; ///< of the control: 20 % unless better (component makers' data sheets)
  double resistor_tolerance = 0.05;
};

/// What one resistor makes of it.
struct load_choice {
  way::kind where =
      way::kind::across_track; ///< across the track or from wiper to low; across: no control is there
  resistance resistor{};
  resistance load{};   ///< of all positions of the knob the one that is farthest from the wanted load
  double error = 0;    ///< load/wanted - 1
  resistance lowest{}; ///< the load with both parts at the low end of their tolerance
  resistance highest{};
};

namespace detail {

inline void require_wish(const load_wish& wish) {
  if (wish.present) require_positive("load_wish.present", *wish.present);
  require_positive("load_wish.wanted", wish.wanted);
  for (const auto& [name, tolerance] : {std::pair{"load_wish.present_tolerance", wish.present_tolerance},
                                        std::pair{"load_wish.resistor_tolerance", wish.resistor_tolerance}})
    require_tolerance(name, tolerance);
}

/// A pickup and its control, with nothing behind: the load does not depend on what the pickup is.
[[nodiscard]] inline choice_problem load_problem(const load_wish& wish, const values_from& resistor) {
  choice_problem p;
  p.of.pickups = {active_pickup{.output_resistance = resistance::from_value(1e3), .name = "pickup"}};
  load_goal wanted{.at = {}, .pickup = "pickup", .wanted = wish.wanted};
  std::vector<way> ways{across_at("pickup", resistor)};
  wiring from = from_pickup("pickup");
  if (wish.present) {
    p.of.controls = {
        {.name = "control",
         .sections = {{.total = *wish.present, .end_resistance = {}, .tolerance = wish.present_tolerance}}}};
    from.then = {volume_step("control")};
    wanted.over_travel_of = "control";
    ways = {across_track("control", resistor), wiper_to_low("control", resistor)};
  }
  p.of.positions = {{"on", std::move(from)}};
  p.wanted.criteria = {{.name = "load", .wants = std::move(wanted)}};
  p.places = {{"resistor", std::move(ways)}};
  return p;
}

} // namespace detail

/// The resistor that gives the wanted load exactly: 1/R = 1/wanted - 1/present, or the wanted load itself where no
/// control is there. None where the control is as low as the wanted load already, or lower: a parallel resistor only
/// lowers it. Throws `invalid_value`.
[[nodiscard]] inline std::optional<resistance> exact_resistor(const load_wish& wish) {
  detail::require_wish(wish);
  if (!wish.present) return wish.wanted;
  if (!(*wish.present > wish.wanted)) return std::nullopt;
  return *wish.present * wish.wanted / (*wish.present - wish.wanted);
}

/// The resistors, and where they go, whose load comes nearest at every position of the knob, by ratio: a load twice the
/// wanted one is as far off as half of it. Best first, at most `most`, all at the place of the best one; ties keep the
/// order of a list. Resistors of a list or a series stray by `load_wish.resistor_tolerance`. Throws `invalid_value`.
[[nodiscard]] inline std::vector<load_choice> choose_load_resistor(const load_wish& wish,
                                                                   values_from resistor, std::size_t most = 3,
                                                                   const drawer& stock = {}) {
  detail::require_wish(wish);
  if (!resistor.tolerance) resistor.tolerance = wish.resistor_tolerance;
  choice_problem problem = detail::load_problem(wish, resistor);
  problem.from = stock;
  const choice_result found = choose(problem, {.most = most});
  std::vector<load_choice> all;
  for (const alternative& a : found.best) {
    const criterion_outcome& load = a.criteria.front();
    const way::kind where = problem.places.front().ways[a.choices.front().way].is;
    if (!all.empty() && where != all.front().where) continue;
    all.push_back({where, resistance::from_value(a.choices.front().parts.front().value),
                   resistance::from_value(load.figure), load.figure / wish.wanted.value() - 1,
                   resistance::from_value(*load.lowest), resistance::from_value(*load.highest)});
  }
  return all;
}

/// The same of a preferred series. Empty where no resistor helps (`exact_resistor`).
[[nodiscard]] inline std::vector<load_choice> choose_load_resistor(const load_wish& wish, e_series series,
                                                                   std::size_t most = 2) {
  const auto exact = exact_resistor(wish);
  if (!exact) return {};
  return choose_load_resistor(wish, from_series(series, *exact / 10., *exact * 10.), most);
}

/// What a resistor makes of it, at its best place. Throws `invalid_value`.
[[nodiscard]] inline load_choice judge_resistor(const load_wish& wish, resistance resistor) {
  require_positive("resistor", resistor);
  return choose_load_resistor(wish, one_of<resistance>({resistor}), 1).front();
}

} // namespace lodewire
