// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/level.hpp>
#include <lodewire/analysis/loading.hpp>
#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/design/load_match.hpp>

#include "request.hpp"

/// The figures behind every sentence that the program prints.
namespace load_match {

using lodewire::resistance;

/// How the control is wired, and where the resistor (the pad) is.
enum class wiring {
  right_pot,           ///< the pot that the maker of the pickup asks for
  bare_pot,            ///< the pot that is there
  across_track,        ///< with the pad from lug 1 to lug 3
  wiper_to_ground,     ///< with the pad from lug 2 to lug 1
  reversed_wiper,      ///< in on the wiper, out of lug 3; the pad across the pickup
  reversed_outer_lugs, ///< the same, the pad from lug 1 to lug 3
};

struct wiring_name {
  wiring kind;
  char letter;
  const char* key;
  const char* title;
};
inline constexpr wiring_name wiring_names[] = {
    {wiring::right_pot, 'a', "right_pot", "the right pot"},
    {wiring::bare_pot, 'b', "bare_pot", "the pot that is there"},
    {wiring::across_track, 'c', "across_track", "resistor across track (lugs 1-3)"},
    {wiring::wiper_to_ground, 'd', "wiper_to_ground", "resistor wiper–ground (lugs 2-1)"},
    {wiring::reversed_wiper, 'e', "reversed_wiper_to_ground", "reversed, resistor lugs 2-1"},
    {wiring::reversed_outer_lugs, 'f', "reversed_outer_lugs", "reversed, resistor lugs 1-3"},
};
[[nodiscard]] inline const wiring_name& name_of(wiring kind) {
  return wiring_names[static_cast<std::size_t>(kind)];
}

/// The volume control of this request, wired that way. Needs a pot.
[[nodiscard]] inline lodewire::stage control(const request& from, std::optional<resistance> pad, wiring kind,
                                             lodewire::rotation at) {
  using lodewire::one_port;
  lodewire::potentiometer pot = *from.pot;
  const std::optional<one_port> part = pad ? std::optional<one_port>(*pad) : std::nullopt;
  switch (kind) {
  case wiring::right_pot: pot.total = from.wanted; return pot.as_divider(at);
  case wiring::bare_pot: return pot.as_divider(at);
  case wiring::across_track: return pot.as_divider(at, {.across_track = part});
  case wiring::wiper_to_ground: return pot.as_divider(at, {.wiper_to_low = part});
  case wiring::reversed_wiper: return pot.as_reversed_divider(at, {.wiper_to_low = part});
  default: return pot.as_reversed_divider(at, {.across_track = part});
  }
}

/// What the control does at one position of the knob.
struct reading {
  double knob = 0;
  double level = 0;           ///< dB re the EMF, at 100 Hz
  std::optional<double> peak; ///< Hz
  double height = 0;          ///< dB of the peak over the low-frequency level
  std::optional<double> edge; ///< Hz, 3 dB below the low-frequency level; none: above 1 MHz
  double source = 0;          ///< Ω at 1 kHz, what the cable is fed from
  double load = 0;            ///< Ω at 1 kHz, what the pickup sees of the control alone
};

[[nodiscard]] inline reading read(const request& from, const pickup_model& pickup,
                                  const lodewire::stage& through, double knob) {
  const lodewire::source here = pickup.as_source() | through;
  const lodewire::source whole = here | from.outside();
  const lodewire::resonance found = lodewire::find_resonance(whole);
  reading r;
  r.knob = knob;
  r.level = lodewire::level(whole).value();
  if (found.has_peak && found.height.value() > 0.1) {
    r.peak = found.peak.value();
    r.height = found.height.value();
  }
  if (found.edge) r.edge = found.edge->value();
  r.source = std::abs(lodewire::output_impedance(here, lodewire::load_frequency).value());
  r.load = std::abs(lodewire::load_on(whole, "pickup", through).control_alone.value());
  return r;
}

[[nodiscard]] inline reading read(const request& from, std::optional<resistance> pad, wiring kind,
                                  lodewire::rotation at) {
  return read(from, from.pickup, control(from, pad, kind, at), at.value() * 10);
}

/// Readings at the numbers of the knob, `step` apart, from 10 down to 0.
struct wiring_table {
  wiring kind;
  std::vector<reading> rows;
};

[[nodiscard]] inline wiring_table tabulate(const request& from, std::optional<resistance> pad, wiring kind,
                                           int step = 1) {
  wiring_table t{kind, {}};
  for (int number = 10; number >= 0; number -= step)
    t.rows.push_back(read(from, pad, kind, lodewire::knob(number)));
  return t;
}

/// The position at which the cable is fed from the most ohms.
[[nodiscard]] inline reading worst_source(const request& from, std::optional<resistance> pad, wiring kind) {
  double worst = -1, at = 0;
  for (int i = 0; i <= 1000; ++i) {
    const lodewire::source here =
        from.pickup.as_source() | control(from, pad, kind, lodewire::rotation(i / 1000.));
    const double ohms = std::abs(lodewire::output_impedance(here, lodewire::load_frequency).value());
    if (ohms > worst) {
      worst = ohms;
      at = i / 1000.;
    }
  }
  return read(from, pad, kind, lodewire::rotation(at));
}

/// The position that has this part of the track below the wiper; of a law that is flat somewhere, the nearest.
[[nodiscard]] inline lodewire::rotation at_track(const request& from, double part) {
  const lodewire::taper& law = from.pot->law;
  if (law.rises_everywhere()) return law.rotation_at(part);
  int nearest = 1000;
  for (int i = 1000; i >= 0; --i)
    if (std::abs(law(lodewire::rotation(i / 1000.)) - part) <
        std::abs(law(lodewire::rotation(nearest / 1000.)) - part))
      nearest = i;
  return lodewire::rotation(nearest / 1000.);
}

/// Resistors from one place to choose from; of those on hand none that is off by more than a factor of 2.
struct choices {
  std::string from;
  std::vector<lodewire::load_choice> best;
};

[[nodiscard]] inline std::string name_of(lodewire::e_series series) {
  return "E" + std::to_string(static_cast<int>(series));
}

[[nodiscard]] inline std::vector<choices> choose(const request& from, const lodewire::load_wish& wish) {
  std::vector<choices> all;
  if (!exact_resistor(wish)) return all;
  for (const lodewire::e_series series : from.series)
    all.push_back({name_of(series), choose_load_resistor(wish, series)});
  if (from.on_hand.empty()) return all;
  choices drawer{"on hand", choose_load_resistor(wish, lodewire::one_of(from.on_hand))};
  std::erase_if(drawer.best, [](const lodewire::load_choice& c) { return !(c.error > -0.5 && c.error < 1); });
  all.push_back(std::move(drawer));
  return all;
}

/// What the tone control does at one position: how far 5 kHz falls against no tone control at all.
struct tone_reading {
  double knob = 0;
  double track = 0;                                      ///< part of the track in use
  double right = 0, bare = 0;                            ///< dB
  std::optional<double> padded{};                        ///< dB
  double right_ohms = 0, bare_ohms = 0, padded_ohms = 0; ///< of the variable resistance
};
inline constexpr lodewire::frequency tone_frequency = lodewire::frequency::from_value(5e3);

/// The variable resistance of a tone control: lugs 1 and 2, the pad across the two in use.
[[nodiscard]] inline lodewire::one_port tone_rheostat(const request& from, resistance total,
                                                      std::optional<resistance> pad, lodewire::rotation at) {
  lodewire::potentiometer pot = *from.pot;
  pot.total = total;
  lodewire::potentiometer_wiring with;
  if (pad) with.wiper_to_low = lodewire::one_port(*pad);
  return pot.as_rheostat(at, lodewire::lugs::one_two, with);
}

/// The drop at 5 kHz that a branch of this resistance and the capacitor makes behind a volume control that is full up.
[[nodiscard]] inline double tone_drop(const request& from, const lodewire::stage& volume,
                                      const lodewire::one_port& rheostat) {
  const lodewire::source before = from.pickup.as_source() | volume;
  const lodewire::stage branch = in_shunt(series(rheostat, from.tone->capacitor));
  const auto at = [&](const lodewire::source& s) {
    return std::abs(response(s | from.outside(), tone_frequency));
  };
  return lodewire::voltage_level(at(before | branch) / at(before)).value();
}

[[nodiscard]] inline tone_reading read_tone(const request& from, std::optional<resistance> volume_pad,
                                            std::optional<resistance> tone_pad, lodewire::rotation at) {
  const lodewire::rotation full(1);
  const lodewire::stage right = control(from, std::nullopt, wiring::right_pot, full);
  const lodewire::stage padded = control(from, volume_pad, wiring::across_track, full);
  const auto ohms = [](const lodewire::one_port& z) {
    return lodewire::impedance_at(z, lodewire::load_frequency).value().real();
  };
  const auto right_tone = tone_rheostat(from, from.wanted, std::nullopt, at);
  const auto bare_tone = tone_rheostat(from, from.tone->pot, std::nullopt, at);
  const auto padded_tone = tone_rheostat(from, from.tone->pot, tone_pad, at);
  tone_reading r;
  r.knob = at.value() * 10;
  r.track = from.pot->law(at);
  r.right = tone_drop(from, right, right_tone);
  r.bare = tone_drop(from, padded, bare_tone);
  if (tone_pad) r.padded = tone_drop(from, padded, padded_tone);
  r.right_ohms = ohms(right_tone);
  r.bare_ohms = ohms(bare_tone);
  r.padded_ohms = ohms(padded_tone);
  return r;
}

struct tone_answer {
  std::optional<resistance> pad;
  std::vector<tone_reading> rows;
  tone_reading tenth; ///< with a tenth of the track in use
};

/// What takes the place of a pot that is missing.
struct stand_in_answer {
  lodewire::load_wish wish;
  std::vector<choices> resistors;
  resistance chosen{};
  reading with_pot, straight, with_resistor;
};

struct answer {
  lodewire::load_wish wish;
  std::optional<resistance> exact;
  std::vector<choices> resistors;
  std::optional<lodewire::load_choice> chosen;
  std::vector<wiring_table> tables;
  std::vector<wiring_table> reversed;
  std::optional<tone_answer> tone;
  stand_in_answer stand_in;

  [[nodiscard]] std::optional<resistance> pad() const {
    return chosen ? std::optional(chosen->resistor) : std::nullopt;
  }
};

[[nodiscard]] inline std::optional<resistance> first_choice(const std::vector<choices>& from) {
  return from.empty() || from.front().best.empty() ? std::nullopt
                                                   : std::optional(from.front().best.front().resistor);
}

/// Of a pickup straight at the jack: as it was with the pot at 10, with nothing, with the resistor.
[[nodiscard]] inline stand_in_answer find_stand_in(const request& from, const pickup_model& pickup,
                                                   resistance missing, std::optional<resistance> resistor) {
  stand_in_answer a;
  a.wish = {.wanted = missing, .resistor_tolerance = from.resistor_tolerance};
  a.resistors = choose(from, a.wish);
  a.chosen = resistor ? *resistor : first_choice(a.resistors).value();
  const auto with = [&](const lodewire::one_port& load) { return read(from, pickup, in_shunt(load), 10); };
  a.with_pot = with(missing);
  a.straight = with(lodewire::open_circuit());
  a.with_resistor = with(a.chosen);
  return a;
}

[[nodiscard]] inline tone_answer find_tone(const request& from, std::optional<resistance> volume_pad) {
  const lodewire::load_wish wish{.present = from.tone->pot, .wanted = from.wanted};
  tone_answer a;
  a.pad = first_choice(choose(from, wish));
  for (const int number : {10, 9, 8, 7, 6, 5, 4, 3, 2, 1, 0})
    a.rows.push_back(read_tone(from, volume_pad, a.pad, lodewire::knob(number)));
  a.tenth = read_tone(from, volume_pad, a.pad, at_track(from, 0.1));
  return a;
}

[[nodiscard]] inline answer find_answer(const request& from) {
  answer a;
  a.wish = {.wanted = from.wanted, .resistor_tolerance = from.resistor_tolerance};
  if (from.pot) {
    a.wish.present = from.pot->total;
    a.wish.present_tolerance = from.pot->tolerance;
  }
  a.exact = exact_resistor(a.wish);
  a.resistors = choose(from, a.wish);
  const auto resistor = from.resistor ? from.resistor : first_choice(a.resistors);
  if (resistor) a.chosen = judge_resistor(a.wish, *resistor);
  a.stand_in = from.pot ? find_stand_in(from, from.straight, from.missing, std::nullopt)
                        : find_stand_in(from, from.pickup, from.wanted, resistor);
  if (!from.pot) return a;
  for (const wiring kind : {wiring::right_pot, wiring::bare_pot})
    a.tables.push_back(tabulate(from, a.pad(), kind));
  if (from.tone) a.tone = find_tone(from, a.pad());
  if (!a.chosen) return a;
  for (const wiring kind : {wiring::across_track, wiring::wiper_to_ground})
    a.tables.push_back(tabulate(from, a.pad(), kind));
  for (const wiring kind : {wiring::reversed_wiper, wiring::reversed_outer_lugs})
    a.reversed.push_back(tabulate(from, a.pad(), kind, 2));
  return a;
}

} // namespace load_match
