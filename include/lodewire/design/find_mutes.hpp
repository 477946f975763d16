// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/finding.hpp>
#include <lodewire/design/works_on_all.hpp>

/// Independent volumes that are not: the wiper of one that is shut grounds the leads that are joined behind it.
namespace lodewire::detail {

/// The instrument with a control's volume steps wired the other way round: pickup on the wiper, output from lug 3. What
/// is soldered from lug to lug stays there.
inline void reverse_volume(instrument& of, const control& knob) {
  for_each_step(of, [&](wiring_step& step) {
    if (!is_volume_of(step, knob)) return;
    step.is =
        step.is == wiring_step::kind::volume ? wiring_step::kind::reversed_volume : wiring_step::kind::volume;
  });
  for_each_branch(of, [&](wiring_branch& b) {
    if (is_branch_of(b, knob) && nodes_at_lugs(b) == 3) std::swap(b.between[1], b.between[2]);
  });
}

/// Controls of one section that are volume controls, all at full.
[[nodiscard]] inline instrument with_volumes_at_full(instrument of) {
  for (control& c : of.controls)
    if (c.sections.size() == 1 && is_volume(of, c)) c.at = rotation(1);
  return of;
}

/// How far each pickup of a position falls when a control is shut.
struct pickup_fall {
  std::string pickup;
  double db = 0;
};
[[nodiscard]] inline std::vector<pickup_fall> falls_when_shut(instrument of, std::size_t p, std::size_t c,
                                                              const destination& into) {
  const composed_position open = plugged(of, p, into);
  of.controls[c].at = rotation(0);
  const composed_position shut = plugged(of, p, into);
  std::vector<pickup_fall> falls;
  for (const std::string& name : open.pickups())
    if (has_pickup(open, name))
      falls.push_back({name, (level_of_pickup(open, name) - level_of_pickup(shut, name)).value()});
  return falls;
}

/// One pickup with its volume control where its level is 6 dB down.
struct turned_down {
  double rotation = 1;
  double treble_loss_db = 0; ///< at 5 kHz against 100 Hz, relative to full
  double load = 0;           ///< that the pickup sees at 1 kHz, Ω
};
[[nodiscard]] inline std::optional<turned_down> pickup_turned_down(instrument of, std::size_t p,
                                                                   std::size_t c, const std::string& pickup,
                                                                   const destination& into) {
  const auto at = [&](double turned) {
    of.controls[c].at = rotation(turned);
    return plugged(of, p, into);
  };
  const auto levels = [&](double turned) {
    const composed_position s = at(turned);
    const response_curve h = response_of_pickup(s, pickup);
    return std::pair{voltage_level(std::abs(h(low_level_frequency))).value(),
                     voltage_level(std::abs(h(treble_frequency))).value()};
  };
  const auto full = levels(1);
  double low = 0, high = 1; // the level rises with the rotation
  if (!(levels(0).first < full.first - 6)) return std::nullopt;
  for (int i = 0; i < 30; ++i) {
    const double middle = (low + high) / 2;
    (levels(middle).first < full.first - 6 ? low : high) = middle;
  }
  const auto there = levels(high);
  return turned_down{high, (full.second - full.first) - (there.second - there.first),
                     std::abs(load_seen(at(high), pickup, frequency::from_value(1e3)).value())};
}

/// What the cure of `find_mutes` takes in return: of all positions and controls that with the most treble lost.
[[nodiscard]] inline std::string price_of_reversal(const instrument& now, const instrument& then,
                                                   const std::vector<std::size_t>& knobs,
                                                   const destination& into) {
  double worst = 0, moved = 0;
  std::string text;
  for (std::size_t q = 0; q < now.positions.size(); ++q) {
    const composed_position before = plugged(now, q, into), after = plugged(then, q, into);
    for (const std::string& name : before.pickups()) {
      if (!has_pickup(before, name)) continue;
      moved =
          (std::max)({moved, std::abs((level_of_pickup(before, name) - level_of_pickup(after, name)).value()),
                      std::abs(loss_at_resonance(before, after, name))});
      for (const std::size_t c : knobs) {
        const auto was = pickup_turned_down(now, q, c, name, into),
                   is = pickup_turned_down(then, q, c, name, into);
        if (!was || !is || !(is->treble_loss_db - was->treble_loss_db > worst)) continue;
        worst = is->treble_loss_db - was->treble_loss_db;
        const auto ohms = [](double load) { return engineering(resistance::from_value(load), 2); };
        text = "In return a pickup is loaded by its own volume control, up to a short: with " +
               in_quotes(now.controls[c].name) + " 6 dB down, in position " +
               in_quotes(now.positions[q].name) + ", " + in_quotes(name) + " works into " + ohms(is->load) +
               " instead of " + ohms(was->load) + " and loses " + decibels(is->treble_loss_db) +
               " of treble at 5 kHz" +
               (was->treble_loss_db > 0.05    ? " instead of " + decibels(was->treble_loss_db)
                : was->treble_loss_db < -0.05 ? ", where it gained " + decibels(-was->treble_loss_db)
                                              : ", where it lost none") +
               ".";
      }
    }
  }
  if (text.empty()) text = "No position loses treble by it at part volume.";
  return text + (moved < 0.1
                     ? " With the volumes at full no position changes."
                     : " With the volumes at full a position changes by up to " + decibels(moved) + ".");
}

/// A position of several pickups with a volume control each, of which one that is shut silences the others.
inline void find_mutes(const instrument& of, std::size_t p, const destination& into,
                       const finding_limits& limits, std::vector<finding>& to) {
  const instrument full = with_volumes_at_full(of);
  const composed_position whole = plugged(full, p, into);
  if (whole.pickups().size() < 2) return;
  const std::vector<std::string> wired = whole.ranges();
  std::vector<std::size_t> knobs;
  double least = 0;
  for (std::size_t c = 0; c < of.controls.size(); ++c) {
    const control& knob = of.controls[c];
    if (knob.sections.size() != 1 || !is_volume(of, knob) || works_on_all(of, p, knob) ||
        std::find(wired.begin(), wired.end(), knob.name) == wired.end())
      continue;
    const auto falls = falls_when_shut(full, p, c, into);
    const auto smallest = std::min_element(falls.begin(), falls.end(),
                                           [](const auto& a, const auto& b) { return a.db < b.db; });
    if (falls.size() < 2 || !(smallest->db > limits.mute_db)) continue;
    least = knobs.empty() ? smallest->db : (std::min)(least, smallest->db);
    knobs.push_back(c);
  }
  if (knobs.empty()) return;

  std::string names;
  instrument reversed = full;
  for (std::size_t k = 0; k < knobs.size(); ++k) {
    names += (k == 0 ? "" : k + 1 == knobs.size() ? " and " : ", ") + in_quotes(of.controls[knobs[k]].name);
    reverse_volume(reversed, of.controls[knobs[k]]);
  }
  // What is left of the others then.
  double deepest = 0, treble = 0;
  std::string other;
  for (const std::size_t c : knobs) {
    instrument shut = reversed;
    shut.controls[c].at = rotation(0);
    for (const pickup_fall& f : falls_when_shut(reversed, p, c, into)) {
      if (f.db > limits.mute_db) continue; // its own
      treble =
          (std::max)(treble, loss_at_resonance(plugged(reversed, p, into), plugged(shut, p, into), f.pickup));
      if (!other.empty() && f.db <= deepest) continue;
      deepest = f.db;
      other = f.pickup;
    }
  }
  to.push_back(
      {finding_kind::mutes_others, of.positions[p].name, of.controls[knobs[0]].name, least, "dB",
       names + (knobs.size() == 1 ? " at 0 silences" : ", either of them at 0, silence") +
           " this whole position: the other pickups fall by " + decibels(least) +
           " or more with it, because the wiper grounds the joined leads.",
       other.empty()
           ? "A volume control for all in place of one for each."
           : "Wire " + names + " in reverse, pickup on the wiper and output from lug 3: with one at 0, " +
                 in_quotes(other) + (deepest < 0 ? " rises by " : " falls by ") +
                 decibels(std::abs(deepest)) +
                 (treble > 0.05
                      ? "; up to " + decibels(treble) + " of treble go into the load of the other track. "
                      : ", the other track its load. ") +
                 price_of_reversal(full, reversed, knobs, into)});
}

} // namespace lodewire::detail
