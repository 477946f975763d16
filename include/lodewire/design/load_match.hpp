// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/quantity/preferred.hpp>
#include <lodewire/quantity/requirement.hpp>

/// Which resistor makes a pickup see the load that it wants: across the track of the pot that is there, or in place of
/// a pot that is missing.
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
  resistance resistor{};
  resistance load{};   ///< both in parallel
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
    if (!is_finite(tolerance) || !(tolerance >= 0) || !(tolerance < 1))
      throw invalid_value(name, plain_number(tolerance), "0 or more, less than 1");
}

} // namespace detail

/// The load with that resistor, and its spread. Throws `invalid_value`.
[[nodiscard]] inline load_choice judge_resistor(const load_wish& wish, resistance resistor) {
  detail::require_wish(wish);
  require_positive("resistor", resistor);
  // Conductances add, and each falls as its resistance rises.
  const auto load = [&](double control, double added) {
    const conductance g = 1.0 / (resistor * (1 + added));
    return 1.0 / (wish.present ? g + 1.0 / (*wish.present * (1 + control)) : g);
  };
  load_choice choice{.resistor = resistor, .load = load(0, 0)};
  choice.error = choice.load / wish.wanted - 1.0;
  choice.lowest = load(-wish.present_tolerance, -wish.resistor_tolerance);
  choice.highest = load(wish.present_tolerance, wish.resistor_tolerance);
  return choice;
}

/// The resistor that gives the wanted load exactly: 1/R = 1/wanted - 1/present, or the wanted load itself where no
/// control is there. None where the control is as low as the wanted load already, or lower: a parallel resistor only
/// lowers it. Throws `invalid_value`.
[[nodiscard]] inline std::optional<resistance> exact_resistor(const load_wish& wish) {
  detail::require_wish(wish);
  if (!wish.present) return wish.wanted;
  if (!(*wish.present > wish.wanted)) return std::nullopt;
  return *wish.present * wish.wanted / (*wish.present - wish.wanted);
}

/// The values of a list that come nearest in load, best first; at most `most`. Ties keep the list's order. Throws
/// `invalid_value` for an empty list or a value that is not positive.
[[nodiscard]] inline std::vector<load_choice>
choose_from_list(const load_wish& wish, std::span<const resistance> on_hand, std::size_t most = 3) {
  if (on_hand.empty()) throw invalid_value("on_hand", "an empty list", "one resistor or more");
  // A load twice the wanted one is as far off as half of it.
  const auto distance = [](const load_choice& c) { return std::abs(std::log1p(c.error)); };
  std::vector<load_choice> best;
  for (const resistance& r : on_hand) {
    const load_choice c = judge_resistor(wish, r);
    std::size_t rank = best.size();
    while (rank > 0 && distance(c) < distance(best[rank - 1])) --rank;
    best.insert(best.begin() + static_cast<std::ptrdiff_t>(rank), c);
    if (best.size() > most) best.pop_back();
  }
  return best;
}

/// The values of a preferred series just below and just above the exact one, nearer load first (one value where the
/// exact one is preferred). Empty where no resistor helps. Throws `invalid_value`.
[[nodiscard]] inline std::vector<load_choice> choose_from_series(const load_wish& wish, e_series series) {
  const auto exact = exact_resistor(wish);
  if (!exact) return {};
  std::vector<resistance> candidates{at_or_below(series, *exact)};
  if (const resistance above = at_or_above(series, *exact); above != candidates.front())
    candidates.push_back(above);
  return choose_from_list(wish, candidates, candidates.size());
}

} // namespace lodewire
