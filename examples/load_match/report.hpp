// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/quantity/notation.hpp>
#include <lodewire/quantity/write_marking.hpp>

#include "../cautions.hpp"
#include "../figures.hpp"
#include "../table.hpp"
#include "answer.hpp"

/// The answer as text.
namespace load_match {

inline constexpr std::size_t page_width = 98;

using examples::three_figures;
[[nodiscard]] inline std::string ohms(double value) { return three_figures(value, "Ω"); }
[[nodiscard]] inline std::string ohms(const resistance& r) { return lodewire::write_quantity(r); }
[[nodiscard]] inline std::string hertz(double value) { return three_figures(value, "Hz"); }
[[nodiscard]] inline std::string edge_text(const reading& r) { return r.edge ? hertz(*r.edge) : "> 1 MHz"; }
[[nodiscard]] inline std::string db(double value) { return examples::decibels(value); }
[[nodiscard]] inline std::string percent(double fraction, int decimals = 1) {
  const std::string digits = lodewire::fixed_number(std::abs(fraction) * 100, decimals);
  return (fraction < 0 ? "−" : "+") + digits + " %";
}
[[nodiscard]] inline std::string number(double value) { return lodewire::fixed_number(value, 1); }
/// A load, or that there is none.
[[nodiscard]] inline bool is_load(double value) { return lodewire::is_finite(value) && value < 1e12; }
[[nodiscard]] inline std::string load_text(double value) { return is_load(value) ? ohms(value) : "none"; }

[[nodiscard]] inline std::string paragraph(std::string_view text) {
  return examples::wrapped(text, page_width, "  - ", "    ");
}
[[nodiscard]] inline std::string sentence(std::string_view text) {
  return examples::wrapped(text, page_width, "  ", "  ");
}

[[nodiscard]] inline std::string describe(const pickup_model& p) {
  if (!p.is_coil()) return "an active pickup, " + ohms(p.resistance) + " at its output";
  return "a coil of " + lodewire::write_quantity(*p.inductance) + ", " + ohms(p.resistance) + ", " +
         lodewire::write_quantity(p.capacitance);
}

[[nodiscard]] inline std::string describe_case(const request& from) {
  std::string text = "Which resistor makes this pickup see the load that it wants?\n\n";
  if (from.is_demo)
    text +=
        sentence(
            "The demo: a two-pickup semi-hollow guitar with 500 kΩ controls gets one active pickup, at the "
            "neck. The one at the bridge stays passive and goes straight to a jack of its own (part 5).") +
        "\n";
  text += "  pickup     " + describe(from.pickup) + "; it wants " + ohms(from.wanted) + "\n";
  text += "  control    ";
  text += from.pot ? "a " + ohms(from.pot->total) + " volume pot, ±" +
                         lodewire::plain_number(from.pot->tolerance * 100, 3) + " %, " +
                         lodewire::plain_number(from.pot->law(lodewire::rotation(0.5)) * 100, 3) +
                         " % of its track at half travel\n"
                   : "none: straight to the jack\n";
  if (from.pot && from.tone)
    text += "  tone       " + ohms(from.tone->pot) + " and " +
            lodewire::write_quantity(from.tone->capacitor) + " (part 4; parts 1 to 3 leave it out)\n";
  return text + "  behind it  " + lodewire::write_quantity(from.cable) + " of cable, an input of " +
         ohms(from.input) + "\n";
}

[[nodiscard]] inline std::string choice_table(const std::vector<choices>& all,
                                              const lodewire::load_wish& wish) {
  const auto part = [](double t) { return "±" + lodewire::plain_number(t * 100, 3) + " %"; };
  examples::table t({"from", "resistor", "load", "error", "lowest", "highest"});
  for (const choices& place : all) {
    if (place.best.empty()) t.add({place.from, "none near", "", "", "", ""});
    for (const lodewire::load_choice& c : place.best)
      t.add({place.from, ohms(c.resistor), ohms(c.load.value()), percent(c.error), ohms(c.lowest.value()),
             ohms(c.highest.value())});
  }
  const std::string spread = "resistor " + part(wish.resistor_tolerance);
  return t.text() + "  lowest, highest: " +
         (wish.present ? "pot " + part(wish.present_tolerance) + " and " + spread : spread) + "\n";
}

[[nodiscard]] inline std::string choice_part(const request& from, const answer& a) {
  std::string text = "\n1. The resistor\n\n";
  if (!a.exact && from.pot->total == from.wanted)
    text += sentence("None: the pot alone gives the " + ohms(from.wanted) + " that the pickup wants.");
  else if (!a.exact)
    text += sentence("None. The pot's " + ohms(from.pot->total) + " are less than the " + ohms(from.wanted) +
                     " that the pickup wants, and a resistor in parallel only lowers the load. A pot of " +
                     ohms(from.wanted) + " or more is the answer.");
  else if (from.pot)
    text += sentence("Exactly " + lodewire::engineering(*a.exact) + " in parallel with the " +
                     ohms(from.pot->total) + " pot: 1/R = 1/" + ohms(from.wanted) + " − 1/" +
                     ohms(from.pot->total) + ".");
  else
    text += sentence("Exactly " + lodewire::engineering(*a.exact) +
                     " from hot to ground: no pot is there to share the load.");
  if (!a.resistors.empty()) text.append(1, '\n').append(choice_table(a.resistors, a.wish));
  if (a.chosen)
    text.append(1, '\n').append(
        sentence("The rest of this page has " + ohms(a.chosen->resistor) + ": a load of " +
                 ohms(a.chosen->load.value()) + ", " + percent(a.chosen->error) + "." +
                 (from.pot ? " Solder it across the track of the volume pot, lug 1 to lug 3: only "
                             "there does the load hold at every position. Part 3 says what "
                             "that costs."
                           : "")));
  return text;
}

[[nodiscard]] inline std::string band_text(const reading& r) {
  return r.peak ? "pk " + hertz(*r.peak) : edge_text(r);
}

/// Two wirings side by side.
[[nodiscard]] inline std::string pair_table(const wiring_table& left, const wiring_table& right,
                                            bool is_coil) {
  const std::string band = is_coil ? "peak/−3 dB" : "−3 dB at";
  examples::table t({"knob", "level dB", band, "source", "load", "level dB", band, "source", "load"});
  const auto title = [](wiring kind) {
    return std::string("(") + name_of(kind).letter + ") " + name_of(kind).title;
  };
  t.group(title(left.kind), 1, 4);
  t.group(title(right.kind), 5, 8);
  for (std::size_t i = 0; i < left.rows.size(); ++i) {
    std::vector<std::string> row{lodewire::plain_number(left.rows[i].knob)};
    for (const reading& r : {left.rows[i], right.rows[i]})
      row.insert(row.end(), {db(r.level), band_text(r), ohms(r.source), load_text(r.load)});
    t.add(std::move(row));
  }
  return t.text();
}

[[nodiscard]] inline std::string knob_part(const request& from, const answer& a) {
  const bool coil = from.pickup.is_coil();
  std::string text = "\n2. What the knob does\n\n";
  text += sentence(
      "level: re the pickup's own voltage, at 100 Hz. source: what the cable is fed from. load: what the "
      "pickup sees of the control alone. Both at 1 kHz. The right pot has " +
      ohms(from.wanted) + " and the same law." +
      (coil ? " pk: a resonance at that frequency; else where the response is 3 dB down." : ""));
  for (const auto* tables : {&a.tables, &a.reversed})
    for (std::size_t i = 0; i + 1 < tables->size(); i += 2)
      text.append(1, '\n').append(pair_table((*tables)[i], (*tables)[i + 1], coil));
  if (!a.reversed.empty())
    text.append(1, '\n').append(
        sentence("(e) and (f), wired in reverse: the pickup on the wiper, the output on lug 3, so that two "
                 "volume controls do not mute each other."));
  return text;
}

[[nodiscard]] inline std::string divider_text(const request& from, const answer& a) {
  const reading worst = worst_source(from, a.pad(), wiring::across_track);
  const reading right = worst_source(from, a.pad(), wiring::right_pot);
  const reading bare = worst_source(from, a.pad(), wiring::bare_pot);
  std::string text =
      "Across the track the load holds wherever the knob stands, and the law stays as it was. But "
      "the whole track still lies between pickup and cable. At knob " +
      number(worst.knob) + ", where " +
      lodewire::fixed_number(from.pot->law(lodewire::rotation(worst.knob / 10)) * 100, 0) +
      " % of the track is below the wiper, the cable is fed from " + ohms(worst.source);
  if (!from.pickup.is_coil()) text += " (that is (R + Rs∥pad)/4)";
  text += ", with a true " + ohms(from.wanted) + " pot from no more than " + ohms(right.source) +
          ". Each at its worst, the response is 3 dB down at " + edge_text(worst) +
          " with the resistor, at " + edge_text(bare) + " without it, at " + edge_text(right) +
          " with the true pot.";
  if (bare.edge && worst.edge && *worst.edge < 1.1 * *bare.edge) text += " Here the resistor mends nothing.";
  return text;
}

[[nodiscard]] inline std::string wiper_text(const request& from, const answer& a) {
  const lodewire::rotation half = at_track(from, 0.5), full(1);
  const reading worst = worst_source(from, a.pad(), wiring::wiper_to_ground);
  const reading top = read(from, a.pad(), wiring::wiper_to_ground, full);
  const reading middle = read(from, a.pad(), wiring::wiper_to_ground, half);
  const reading right = read(from, a.pad(), wiring::right_pot, half);
  return "From wiper to ground the cable is fed from no more than " + ohms(worst.source) + " (knob " +
         number(worst.knob) +
         "), less than the resistor itself. But the law bends: with half of the track below the wiper "
         "(knob " +
         number(middle.knob) + ") the level is " + db(middle.level) + " dB where the true pot has " +
         db(right.level) +
         " dB. And the load that the pickup sees rises as the knob goes down: " + ohms(top.load) +
         " at 10, " + ohms(middle.load) + " there.";
}

[[nodiscard]] inline std::string reversed_text(const request& from, const answer& a) {
  const reading lugs_2_1 = worst_source(from, a.pad(), wiring::reversed_wiper);
  const reading outer = worst_source(from, a.pad(), wiring::reversed_outer_lugs);
  const reading top = read(from, a.pad(), wiring::reversed_outer_lugs, lodewire::rotation(1));
  const reading middle = read(from, a.pad(), wiring::reversed_outer_lugs, at_track(from, 0.5));
  const reading right = read(from, a.pad(), wiring::right_pot, at_track(from, 0.5));
  return "Wired in reverse, with the resistor from lug 2 to lug 1, the cable is fed from up to " +
         ohms(lugs_2_1.source) + " (knob " + number(lugs_2_1.knob) +
         "): as much as the whole track. On the outer lugs the resistor lies across the output: from up to " +
         ohms(outer.source) + ", but " + db(middle.level) + " dB at half track where the true pot has " +
         db(right.level) + " dB, and the load is " + ohms(top.load) + " at 10 and " + ohms(middle.load) +
         " at half track.";
}

[[nodiscard]] inline std::string limits_part(const request& from, const answer& a) {
  std::string text = "\n3. What the resistor does not mend\n\n";
  if (!a.chosen) return text + sentence("There is no resistor to speak of.");
  text +=
      paragraph(divider_text(from, a)) + paragraph(wiper_text(from, a)) + paragraph(reversed_text(from, a));
  return text + sentence("Full up, the resistor does its work. Turned down, only a pot of " +
                         ohms(from.wanted) + " or a buffer behind the control does.");
}

[[nodiscard]] inline std::string tone_table(const tone_answer& tone) {
  std::vector<std::string> heading{"knob", "track", "R used", "dB", "R used", "dB"};
  if (tone.pad) heading.insert(heading.end(), {"R used", "dB"});
  examples::table t(std::move(heading));
  t.group("the right pot", 2, 3);
  t.group("the pot alone", 4, 5);
  if (tone.pad) t.group("with the resistor", 6, 7);
  for (const tone_reading& r : tone.rows) {
    std::vector<std::string> row{lodewire::plain_number(r.knob),
                                 lodewire::fixed_number(r.track * 100, 0) + " %"};
    row.insert(row.end(), {ohms(r.right_ohms), db(r.right), ohms(r.bare_ohms), db(r.bare)});
    if (r.padded) row.insert(row.end(), {ohms(r.padded_ohms), db(*r.padded)});
    t.add(std::move(row));
  }
  return t.text();
}

[[nodiscard]] inline std::string tone_text(const request& from, const tone_answer& tone) {
  const tone_reading& r = tone.tenth;
  std::string text = "At a tenth of the track (knob " + number(r.knob) + ") the padded pot still leaves " +
                     ohms(r.padded_ohms) + " before the capacitor, the right one " + ohms(r.right_ohms) +
                     ": " + lodewire::write_quantity(tone_frequency) + " falls by " + db(-*r.padded) +
                     " dB instead of " + db(-r.right) +
                     " dB. The resistor caps the greatest resistance; it does not scale what lies below. ";
  const double part = tone.pad->value() / from.tone->pot.value();
  if (part < 1)
    text += "Down to knob " + number(at_track(from, part).value() * 10) +
            " the track in use is more than the resistor, and it is mostly the resistor that counts: the "
            "sweep crowds "
            "below. ";
  return text + "Only a pot of " + ohms(from.wanted) + " has both the load and the sweep.";
}

[[nodiscard]] inline std::string tone_load_text(const request& from, const tone_answer& tone) {
  const double left =
      std::abs(lodewire::impedance_at(lodewire::one_port(from.tone->capacitor), tone_frequency).value());
  std::string text =
      "Load: at high frequencies the capacitor lets the tone pot load the pickup beside the volume pot "
      "(it has " +
      ohms(left) + " left at " + lodewire::write_quantity(tone_frequency) + "). ";
  if (!tone.pad) return text + "Its " + ohms(from.tone->pot) + " need no resistor.";
  return text + ohms(*tone.pad) + " across the two lugs in use make " + ohms(tone.rows.front().padded_ohms) +
         " of its " + ohms(from.tone->pot) + " at 10.";
}

[[nodiscard]] inline std::string tone_part(const request& from, const answer& a) {
  const tone_answer& tone = *a.tone;
  std::string text = "\n4. The tone control: load and sweep apart\n\n" + sentence(tone_load_text(from, tone));
  text += sentence(
      "Sweep: how far " + lodewire::write_quantity(tone_frequency) +
      " falls against no tone control, volume at 10. The right tone pot goes with the right volume pot, "
      "the others with the one that is there" +
      (a.chosen ? " and its resistor." : "."));
  text.append(1, '\n').append(tone_table(tone));
  if (tone.pad) text.append(1, '\n').append(sentence(tone_text(from, tone)));
  return text;
}

[[nodiscard]] inline std::string stand_in_table(const request& from, const stand_in_answer& s) {
  examples::table t({"", "level dB", "peak at", "height dB", "−3 dB at", "load"});
  const auto add = [&](std::string what, const reading& r) {
    t.add({std::move(what), db(r.level), r.peak ? hertz(*r.peak) : "none", r.peak ? db(r.height) : "",
           edge_text(r), load_text(r.load)});
  };
  add("the pot, at 10", s.with_pot);
  add("straight to the jack", s.straight);
  add("with " + ohms(s.chosen), s.with_resistor);
  return t.text() + "  behind it " + lodewire::write_quantity(from.cable) + " and " + ohms(from.input) + "\n";
}

[[nodiscard]] inline std::string stand_in_part(const request& from, const answer& a) {
  const stand_in_answer& s = a.stand_in;
  std::string text = from.pot ? "\n5. A pickup straight at the jack, without its pot\n\n"
                              : "\n2. With and without the resistor\n";
  if (from.pot) {
    text += sentence("The other pickup, " + describe(from.straight) + ", misses the load of a " +
                     ohms(s.wish.wanted) + " pot. From hot to ground at the jack, the nearest resistors:");
    text.append(1, '\n').append(choice_table(s.resistors, s.wish));
  }
  text.append(1, '\n').append(stand_in_table(from, s));
  return text + "\n" +
         sentence(
             "A resistor stands in for the pot at 10 and for nothing else: there is nothing to turn, and " +
             std::string(from.input < 3. * s.wish.wanted
                             ? "the input in parallel with it counts as it always did."
                             : "the input's own resistance is of little account beside it."));
}

[[nodiscard]] inline std::string as_text(const request& from, const answer& a) {
  std::string text = describe_case(from) + choice_part(from, a);
  if (from.pot) text += knob_part(from, a) + limits_part(from, a);
  if (a.tone) text += tone_part(from, a);
  return from.pot && !from.has_straight ? text : text + stand_in_part(from, a);
}

} // namespace load_match
