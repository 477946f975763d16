// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/finding.hpp>
#include <lodewire/design/phase_permission.hpp>
#include <lodewire/instrument/hum.hpp>
#include <lodewire/instrument/sound.hpp>

/// Which two wires do I swap so that these pickups are in phase and hum-cancelling, and may I?
namespace lodewire {

/// One action on one pickup of a position.
struct phase_step {
  std::string pickup{};
  phase_action act = phase_action::leave;
};

/// A set of actions and what comes of it. Swapped leads turn the string's EMF and the hum's, a turned magnet the
/// string's alone.
struct phase_option {
  std::vector<phase_step> steps{}; ///< one for each pickup that is touched
  bool in_phase = false;           ///< every pickup's string signal has the sign of the first one's
  decibel cancelling{}; ///< of magnetic hum: all coils' shares added up against their sum; 120 dB at most
  bool cancels = false; ///< at least `phase_settings::least_cancelling`
  permission may = permission::yes;
  int effort = 0;                   ///< 1 for leads, 2 for a magnet
  std::vector<std::string> notes{}; ///< what stands in the way, what to mind
};

/// Where it is judged.
struct phase_settings {
  frequency at = low_level_frequency;    ///< 100 Hz: the strongest harmonic of 50 Hz mains' fields
  decibel least_cancelling = decibel{6}; ///< three equal coils reach 9.5 dB at most
  /// Pickups whose lead is one wire in a braid, the braid being the other conductor.
  std::vector<std::string> braid_is_conductor{};
};

/// Every set of actions, least effort first, and what to do.
struct phase_answer {
  std::vector<phase_option> options{};
  /// Number of the least one that may be done as things are, in phase and hum-cancelling; or else of the least that
  /// may be done after other work. None where there is none.
  std::optional<std::size_t> recommended{};
  std::string text{}; ///< in a sentence or two
};

namespace detail {

/// What one pickup gives at the jack.
struct phase_share {
  std::string pickup;
  std::complex<double> string{}, hum{};
  double hum_of_coils = 0; ///< magnitudes
};

[[nodiscard]] inline std::vector<phase_share> phase_shares(const instrument& of, std::size_t position,
                                                           frequency at) {
  const composed_position s = compose_position(of, position);
  const std::vector<double> hum = hum_weights(s.emf_names(), emf_roles(of));
  std::vector<phase_share> shares;
  for (const pickup& p : of.pickups) {
    if (!has_pickup(s, name_of(p))) continue;
    phase_share share{.pickup = name_of(p)};
    const std::vector<double> own = only_pickup(s, name_of(p));
    for (std::size_t k = 0; k < own.size(); ++k) {
      if (own[k] == 0) continue;
      const std::complex<double> h = response(s, k, at);
      share.string += h;
      share.hum += h * hum[k];
      share.hum_of_coils += std::abs(h * hum[k]);
    }
    if (!(std::abs(share.string) > 0))
      throw invalid_value("signal of " + detail::in_quotes(share.pickup), "0 V at the jack", "more than 0 V");
    shares.push_back(std::move(share));
  }
  return shares;
}

[[nodiscard]] inline phase_option try_actions(const instrument& of, const std::vector<phase_share>& shares,
                                              const std::vector<phase_action>& acts,
                                              const phase_settings& settings) {
  phase_option option{.in_phase = true};
  std::complex<double> hum = 0, first = 0;
  double hum_of_coils = 0;
  for (std::size_t k = 0; k < shares.size(); ++k) {
    const bool swap = swaps(acts[k]), turn = turns(acts[k]);
    const std::complex<double> string = shares[k].string * (swap != turn ? -1.0 : 1.0);
    if (k == 0) first = string;
    option.in_phase = option.in_phase && (string * std::conj(first)).real() > 0;
    hum += shares[k].hum * (swap ? -1.0 : 1.0);
    hum_of_coils += shares[k].hum_of_coils;
    option.effort += (swap ? 1 : 0) + (turn ? 2 : 0);
    if (acts[k] == phase_action::leave) continue;
    option.steps.push_back({shares[k].pickup, acts[k]});
    const auto& braids = settings.braid_is_conductor;
    const bool braid = std::find(braids.begin(), braids.end(), shares[k].pickup) != braids.end();
    const phase_permission p = may_do(of, shares[k].pickup, acts[k], braid);
    option.may = (std::max)(option.may, p.may);
    option.notes.insert(option.notes.end(), p.notes.begin(), p.notes.end());
  }
  if (hum_of_coils > 0) {
    const double left = (std::max)(std::abs(hum) / hum_of_coils, 1e-6);
    option.cancelling = -voltage_level((std::min)(left, 1.0));
  }
  option.cancels = option.cancelling >= settings.least_cancelling;
  return option;
}

} // namespace detail

/// The step in words: `swap the two leads of 'bridge'`.
[[nodiscard]] inline std::string describe(const phase_step& step) {
  const std::string name = detail::in_quotes(step.pickup);
  switch (step.act) {
  case phase_action::swap_leads: return "swap the two leads of " + name;
  case phase_action::turn_magnet: return "turn the magnet of " + name;
  case phase_action::swap_and_turn: return "swap the two leads of " + name + " and turn its magnet";
  case phase_action::leave: break;
  }
  return "leave " + name + " as it is";
}
[[nodiscard]] inline std::string describe(const phase_option& option) {
  std::string text;
  for (std::size_t k = 0; k < option.steps.size(); ++k)
    text.append(k == 0                         ? ""
                : k + 1 == option.steps.size() ? " and "
                                               : ", ")
        .append(describe(option.steps[k]));
  return text.empty() ? "leave all as it is" : text;
}

/// All options for the two to four pickups that sound in a position, its knobs where they stand. Signs are compared at
/// the jack, so that series and parallel, volume controls and `leads_swapped` count as they are wired. What is done to a
/// pickup is done in every position: ask again for the others. Throws `invalid_value` for an unknown position, fewer
/// than two or more than four pickups in it, one that gives no signal, an unknown name in the settings, and as
/// `compose`. Cost: tens of microseconds a coil.
[[nodiscard]] inline phase_answer phase_options(const instrument& of, std::size_t position,
                                                const phase_settings& settings = {}) {
  require_sound(of);
  require_finite("phase_settings.least_cancelling", settings.least_cancelling.value());
  for (const std::string& name : settings.braid_is_conductor) (void)find_pickup(of, name);
  const std::vector<detail::phase_share> shares = detail::phase_shares(of, position, settings.at);
  if (shares.size() < 2 || shares.size() > 4)
    throw invalid_value("pickups in position " + detail::in_quotes(of.positions[position].name),
                        std::to_string(shares.size()), "2 to 4");
  phase_answer answer;
  for (std::size_t code = 0; code < std::size_t{1} << (2 * shares.size()); ++code) {
    std::vector<phase_action> acts;
    for (std::size_t k = 0; k < shares.size(); ++k)
      acts.push_back(static_cast<phase_action>(code >> (2 * k) & 3U));
    answer.options.push_back(detail::try_actions(of, shares, acts, settings));
  }
  std::stable_sort(answer.options.begin(), answer.options.end(),
                   [](const phase_option& a, const phase_option& b) { return a.effort < b.effort; });

  const auto least = [&](permission may, bool with_hum) -> std::optional<std::size_t> {
    for (std::size_t k = 0; k < answer.options.size(); ++k) {
      const phase_option& o = answer.options[k];
      if (o.in_phase && o.may <= may && (o.cancels || !with_hum)) return k;
    }
    return std::nullopt;
  };
  answer.recommended = least(permission::yes, true);
  const auto said = [&](std::size_t k) {
    const phase_option& o = answer.options[k];
    std::string text = describe(o);
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
    text += o.cancels
                ? ": in phase, and " + detail::decibels(o.cancelling.value()) + " of magnetic hum cancel."
                : ": in phase, but the hum does not cancel.";
    for (const std::string& note : o.notes) text += " " + note;
    return text;
  };
  if (answer.recommended) {
    answer.text = said(*answer.recommended);
    return answer;
  }
  answer.recommended = least(permission::after_work, true);
  if (answer.recommended) {
    answer.text = "Not as it is; after the work that the notes name: " + said(*answer.recommended);
    return answer;
  }
  const auto in_phase = least(permission::after_work, false);
  answer.text = "Nothing that may be done makes these pickups both in phase and hum-cancelling. ";
  answer.text += in_phase ? said(*in_phase) : "Nor can they be brought in phase.";
  for (const detail::phase_share& share : shares)
    if (share.hum_of_coils == 0)
      answer.text +=
          " Of " + detail::in_quotes(share.pickup) + " no magnetic hum is stated; it counts as none.";
  return answer;
}

} // namespace lodewire
