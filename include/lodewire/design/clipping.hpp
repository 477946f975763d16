// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/find_hum_and_supply.hpp>
#include <lodewire/design/loudness.hpp>

/// Will it clip? Peaks against what active pickups, onboard amplifiers and the input that follows can take.
namespace lodewire {

/// What clips, and how peaks follow from EMFs.
struct clip_settings {
  voltage input_limit{}; ///< largest peak that the input takes undistorted; must be given, from its data
  /// Peak over the EMF that the instrument states: 1 where peaks are stated; for measured values the peak of the hardest
  /// attack over what the meter showed (a sine's √2 is the least for rms).
  double peak_factor = 1;
  strum_band band{};
};

/// One thing that may clip.
struct clip_stage {
  std::string name{};    ///< of the active pickup, of the amplifier or its place, of the destination
  voltage peak{};        ///< at its output; at the input for the destination
  voltage fresh_limit{}; ///< with a new battery; the same as `end_limit` where no battery counts
  voltage end_limit{};
  /// Headroom; below 0 dB it clips. Infinite where there is no signal, minus infinity where no output is left.
  decibel fresh{open_value}, end{open_value};

  [[nodiscard]] bool clips() const noexcept { return !(end.value() >= 0); }
};

namespace detail {

/// An amplifier and the wiring up to its output: what is behind a buffer's output does not change what is before it.
struct amplifier_place {
  std::string name;
  wiring up_to;
};

inline void cut_at_amplifiers(const wiring& w, const std::string& place, std::vector<amplifier_place>& to) {
  for (std::size_t i = 0; i < w.then.size(); ++i) {
    if (w.then[i].is != wiring_step::kind::amplifier) continue;
    wiring cut = w;
    cut.then.resize(i + 1);
    const std::string& name = w.then[i].name;
    to.push_back({name.empty() ? "amplifier in " + in_quotes(place) : name, std::move(cut)});
  }
}
inline void find_amplifiers(const instrument& of, const wiring& w, const std::string& place,
                            std::vector<amplifier_place>& to) {
  for (const wiring& part : w.of) find_amplifiers(of, part, place, to);
  if (w.is == wiring::kind::circuit) {
    const position& kept = of.circuits[find_named(of.circuits, w.name, place)];
    find_amplifiers(of, kept.wired, kept.name, to);
  }
  cut_at_amplifiers(w, place, to);
}

[[nodiscard]] inline voltage highest_in_band(const composed_position& s, const clip_settings& with) {
  const std::vector<double> volts = magnitudes(s, with.band);
  return voltage::from_value(with.peak_factor * *std::max_element(volts.begin(), volts.end()));
}

} // namespace detail

/// Every stage of a position, from the pickups to the input: active pickups, amplifiers in the order of the signal, the
/// destination. Peaks add up coherently and are taken at the highest response in the band: the worst case. The limit of
/// electronics is that of their supply (`largest_output`) at what the instrument draws, new and empty; an active
/// pickup's EMF is that of its output. Throws `invalid_value` for a limit or factor that is not positive, electronics
/// without a supply in the instrument, and as `compose`.
[[nodiscard]] inline std::vector<clip_stage> find_clipping(const instrument& of, const play_setting& at,
                                                           const clip_settings& with) {
  require_positive("clip_settings.input_limit", with.input_limit);
  require_positive("clip_settings.peak_factor", with.peak_factor);
  const std::size_t p = detail::find_named(of.positions, at.position, "play_setting.position");
  const std::vector<rotation> knobs = at.knobs.empty() ? knobs_of(of) : at.knobs;
  const composed_position whole = detail::plugged_with(of, p, at.knobs, at.into, "play_setting");
  const current drawn = detail::supply_current_of(of);
  std::vector<clip_stage> stages;
  const auto powered_stage = [&](const std::string& name, voltage peak) {
    if (!of.supply)
      throw invalid_value("instrument.supply", "none", "a supply for " + detail::in_quotes(name));
    clip_stage s{.name = name,
                 .peak = peak,
                 .fresh_limit = largest_output(*of.supply, fresh_voltage(*of.supply, drawn)),
                 .end_limit = largest_output(*of.supply, end_voltage(*of.supply, drawn))};
    if (peak.value() > 0) {
      const supply_headroom room = headroom(*of.supply, peak, drawn);
      s.fresh = room.fresh;
      s.end = room.end;
    }
    stages.push_back(std::move(s));
  };
  for (const pickup& k : of.pickups)
    if (const auto* active = std::get_if<active_pickup>(&k);
        active && detail::has_pickup(whole, active->name))
      powered_stage(active->name, active->emf * with.peak_factor);

  wiring all = of.positions[p].wired;
  std::vector<detail::amplifier_place> amplifiers;
  detail::find_amplifiers(of, all, at.position, amplifiers);
  const std::size_t before = all.then.size();
  all.then.insert(all.then.end(), of.output.begin(), of.output.end());
  std::vector<detail::amplifier_place> last;
  detail::cut_at_amplifiers(all, "output", last);
  for (detail::amplifier_place& a : last)
    if (a.up_to.then.size() > before) amplifiers.push_back(std::move(a));
  for (const detail::amplifier_place& a : amplifiers) {
    instrument cut = of;
    cut.positions[p].wired = a.up_to;
    cut.output.clear();
    powered_stage(a.name, detail::highest_in_band(compose_position(cut, p, knobs), with));
  }

  clip_stage input{.name = at.into.name,
                   .peak = detail::highest_in_band(whole, with),
                   .fresh_limit = with.input_limit,
                   .end_limit = with.input_limit};
  if (input.peak.value() > 0) input.fresh = input.end = voltage_level(with.input_limit / input.peak);
  stages.push_back(std::move(input));
  return stages;
}

} // namespace lodewire
