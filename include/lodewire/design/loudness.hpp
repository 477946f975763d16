// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/sweep.hpp>
#include <lodewire/design/finding.hpp>
#include <lodewire/instrument/hum.hpp>

/// Is it louder? EMFs from readings of the same strum, with the loading taken out, and what they give in another wiring.
namespace lodewire {

/// Volts read at the input that the instrument is plugged into, while the strings are struck the same way each time.
/// Peak, rms or average alike, as long as all readings to be compared are of one kind.
struct strum_reading {
  std::string position{}; ///< one in which a single pickup sounds
  voltage shown{};
  std::vector<rotation> knobs{}; ///< one a control; empty: as they stand in the instrument
};

/// Where a strum has its energy. Most of it lies in the fundamentals and the lowest harmonics, 80 Hz to 1 kHz (common
/// practice, no source). `lowest` equal to `highest` is a single frequency.
struct strum_band {
  frequency lowest = frequency::from_value(80);
  frequency highest = frequency::from_value(1000);
};

/// A pickup's EMF as its reading tells it.
struct measured_emf {
  std::string pickup{};
  double factor = 1; ///< times the EMF that the instrument states
  voltage emf{};     ///< of a pair: both coils' EMFs added up
  decibel loading{}; ///< what controls, cable and input take of it, negative; a resonance may add
};

namespace detail {

/// The points of a band, equally spaced on a logarithmic scale. Throws `invalid_value`.
[[nodiscard]] inline std::vector<double> band_points(const strum_band& band) {
  const double low = require_positive("strum_band.lowest", band.lowest).value();
  const double high = require_positive("strum_band.highest", band.highest).value();
  if (high < low)
    throw invalid_value("strum_band.highest", engineering(band.highest),
                        "strum_band.lowest or more: " + engineering(band.lowest));
  if (high == low) return {low};
  const auto steps = static_cast<std::size_t>(std::ceil(24 * std::log2(high / low)));
  std::vector<double> hz{low};
  for (std::size_t k = 1; k <= steps; ++k)
    hz.push_back(low * std::pow(high / low, static_cast<double>(k) / static_cast<double>(steps)));
  hz.back() = high;
  return hz;
}

template <class Composed> // a `source` or a `composed_position`
[[nodiscard]] std::vector<double> magnitudes(const Composed& s, const strum_band& band) {
  std::vector<double> volts;
  for (const auto& h : sweep(s, band_points(band)).response) volts.push_back(std::abs(h));
  return volts;
}

/// A position plugged in, its knobs given or as they stand. Throws `invalid_value` at `path`.
[[nodiscard]] inline composed_position plugged_with(const instrument& of, std::size_t position,
                                                    const std::vector<rotation>& knobs,
                                                    const destination& into, const std::string& path) {
  if (!knobs.empty() && knobs.size() != of.controls.size())
    throw invalid_value(path + ".knobs", std::to_string(knobs.size()) + " long",
                        "one for each control: " + std::to_string(of.controls.size()) + ", or none");
  return plug_in(of, position, knobs.empty() ? knobs_of(of) : knobs, into);
}

[[nodiscard]] inline voltage mean_of_band(const std::vector<double>& volts) {
  if (volts.size() == 1) return voltage::from_value(volts.front());
  double sum = (volts.front() * volts.front() + volts.back() * volts.back()) / 2; // trapezoids
  for (std::size_t k = 1; k + 1 < volts.size(); ++k) sum += volts[k] * volts[k];
  return voltage::from_value(std::sqrt(sum / static_cast<double>(volts.size() - 1)));
}

} // namespace detail

/// What comes out of a source over a band, in volts: the root of the mean square of its coherent response over the
/// logarithm of frequency, so that each octave counts alike. Throws `invalid_value`, `conflicting_sources`.
[[nodiscard]] inline voltage band_voltage(const source& s, const strum_band& band = {}) {
  return detail::mean_of_band(detail::magnitudes(s, band));
}
[[nodiscard]] inline voltage band_voltage(const composed_position& s, const strum_band& band = {}) {
  return detail::mean_of_band(detail::magnitudes(s, band));
}

/// The EMF that a pickup must have had for a reading: the reading over what the circuit makes of its stated EMF.
/// Throws `invalid_value` for an unknown position, one with more than one pickup or no way to the jack, a reading that
/// is not positive, knobs of the wrong number, and as `compose`.
[[nodiscard]] inline measured_emf emf_from_strum(const instrument& of, const strum_reading& reading,
                                                 const destination& into, const strum_band& band = {}) {
  const std::size_t p = detail::find_named(of.positions, reading.position, "strum_reading.position");
  const double shown = require_positive("strum_reading.shown", reading.shown).value();
  const composed_position whole = detail::plugged_with(of, p, reading.knobs, into, "strum_reading");
  measured_emf m;
  std::string heard;
  std::size_t pickups = 0;
  double stated = 0;
  const std::vector<emf_role> roles = emf_roles(of);
  for (const pickup& k : of.pickups) {
    if (!detail::has_pickup(whole, name_of(k))) continue;
    ++pickups;
    heard.append(heard.empty() ? "" : " and ").append(detail::in_quotes(name_of(k)));
    m.pickup = name_of(k);
    const std::vector<double> own = detail::only_pickup(whole, m.pickup);
    for (std::size_t e = 0; e < own.size(); ++e)
      for (const emf_role& role : roles)
        if (own[e] != 0 && role.emf == whole.emf_names()[e]) stated += std::abs(role.string);
  }
  if (pickups != 1)
    throw invalid_value("strum_reading.position", detail::in_quotes(reading.position) + " with " + heard,
                        "a position in which one pickup sounds alone");
  const double made = band_voltage(whole, band).value();
  if (!(made > 0))
    throw invalid_value("signal in position " + detail::in_quotes(reading.position), "0 V", "more than 0 V");
  m.factor = shown / made;
  m.emf = voltage::from_value(m.factor * stated);
  m.loading = voltage_level(made / stated);
  return m;
}

/// How two strums compare.
struct strum_comparison {
  measured_emf first{}, second{};
  decibel as_read{};    ///< second over first
  decibel emf_ratio{};  ///< the same with the loading taken out
  decibel of_loading{}; ///< what the wiring adds to it: as_read - emf_ratio
};

/// Is the second one louder by itself, or is it loaded less? Throws as `emf_from_strum`.
[[nodiscard]] inline strum_comparison compare_strums(const instrument& of, const strum_reading& first,
                                                     const strum_reading& second, const destination& into,
                                                     const strum_band& band = {}) {
  strum_comparison c{emf_from_strum(of, first, into, band), emf_from_strum(of, second, into, band)};
  c.as_read = voltage_level(second.shown / first.shown);
  c.emf_ratio = voltage_level(c.second.emf / c.first.emf);
  c.of_loading = c.as_read - c.emf_ratio;
  return c;
}

/// The instrument with the EMFs that were measured; pickups that were not keep theirs. Throws `invalid_value` for a
/// name that it does not have, a factor that is not positive.
[[nodiscard]] inline instrument with_emfs(instrument of, std::span<const measured_emf> measured) {
  for (const measured_emf& m : measured) {
    require_positive("measured_emf.factor", m.factor);
    pickup& p = of.pickups[find_pickup(of, m.pickup)];
    if (auto* pair = std::get_if<coil_pair>(&p)) {
      pair->first.emf *= m.factor;
      pair->second.emf *= m.factor;
    }
    if (auto* coil = std::get_if<magnetic_coil>(&p)) coil->emf *= m.factor;
    if (auto* active = std::get_if<active_pickup>(&p)) active->emf *= m.factor;
    if (auto* crystal = std::get_if<piezo>(&p)) crystal->emf *= m.factor;
  }
  return of;
}

/// A way to play an instrument: position and knobs, and what it is plugged into.
struct play_setting {
  std::string position{};
  std::vector<rotation> knobs{}; ///< one a control; empty: as they stand
  destination into{};
};

/// How much louder `then` is than `now`: another position, other knobs, another wiring (an instrument of its own).
/// Coherent sums of EMFs as the instruments state them (`with_emfs`). Throws `invalid_value` and as `compose`.
[[nodiscard]] inline decibel louder_by(const instrument& now, const play_setting& at, const instrument& then,
                                       const play_setting& then_at, const strum_band& band = {}) {
  const auto volts = [&](const instrument& of, const play_setting& s) {
    const std::size_t p = detail::find_named(of.positions, s.position, "play_setting.position");
    const double v = band_voltage(detail::plugged_with(of, p, s.knobs, s.into, "play_setting"), band).value();
    if (!(v > 0))
      throw invalid_value("signal in position " + detail::in_quotes(s.position), "0 V", "more than 0 V");
    return v;
  };
  return voltage_level(volts(then, then_at) / volts(now, at));
}

} // namespace lodewire
