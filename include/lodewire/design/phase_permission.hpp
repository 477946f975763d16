// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <lodewire/design/finding.hpp>

namespace lodewire {

/// What can be done to a pickup to change its signs.
enum class phase_action : std::uint8_t { leave = 0, swap_leads = 1, turn_magnet = 2, swap_and_turn = 3 };

[[nodiscard]] constexpr bool swaps(phase_action a) noexcept {
  return a == phase_action::swap_leads || a == phase_action::swap_and_turn;
}
[[nodiscard]] constexpr bool turns(phase_action a) noexcept {
  return a == phase_action::turn_magnet || a == phase_action::swap_and_turn;
}

/// May it be done?
enum class permission : std::uint8_t {
  yes,
  after_work, ///< once what the notes name has been done
  no,
};

struct phase_permission {
  permission may = permission::yes;
  std::vector<std::string> notes{}; ///< sentences
};

/// Whether an action may be done to a pickup, and what to mind. Swapped leads make a cover or braid hot that hangs on
/// the end of the winding that was the grounded one; a pair of coils swaps as a whole. What lies in an active pickup
/// cannot be reached. Rules of the bench: common practice, no source. Throws `invalid_value` for an unknown pickup.
[[nodiscard]] inline phase_permission may_do(const instrument& of, const std::string& name, phase_action act,
                                             bool braid_is_conductor = false) {
  const pickup& p = of.pickups[find_pickup(of, name)];
  const std::string q = detail::in_quotes(name);
  phase_permission answer;
  const auto say = [&](permission may, std::string note) {
    answer.may = (std::max)(answer.may, may);
    answer.notes.push_back(std::move(note));
  };
  if (act == phase_action::leave) return answer;
  if (std::holds_alternative<active_pickup>(p)) {
    if (swaps(act))
      say(permission::no,
          q + " is active: its ground lead is also that of its supply; it must stay grounded.");
    if (turns(act)) say(permission::no, q + " is active and closed: a magnet in it cannot be turned.");
    return answer;
  }
  if (std::holds_alternative<piezo>(p)) {
    if (swaps(act)) say(permission::no, q + " is a piezo: its outer electrode is its screen.");
    if (turns(act)) say(permission::no, q + " is a piezo and has no magnet.");
    return answer;
  }
  if (swaps(act)) {
    // A lead that the wiring has swapped already comes back to where it was.
    const bool already = detail::wired_swapped(of, name);
    const auto look = [&](const magnetic_coil& c) {
      if (const auto caution = (already ? c : reversed(c)).caution())
        say(permission::after_work, *caution + ".");
    };
    if (const auto* coil = std::get_if<magnetic_coil>(&p)) look(*coil);
    if (const auto* pair = std::get_if<coil_pair>(&p)) {
      look(pair->first);
      look(pair->second);
      say(permission::yes,
          "The pair " + q + " swaps as a whole: hot lead and ground lead, not those of one coil.");
    }
    if (braid_is_conductor && !already)
      say(permission::after_work,
          q + ": the braid is one of its two conductors and would be hot all the way; give it a lead of two "
              "conductors, with a braid of its own on ground, first.");
  }
  if (turns(act))
    say(permission::yes, "The magnet of " + q +
                             ": a bar under the coil can be turned; rods in the coil are not to be pushed "
                             "out, the wire lies on "
                             "them; they are magnetised afresh, the other way.");
  return answer;
}

} // namespace lodewire
