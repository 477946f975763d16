// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/design/choose_types.hpp>
#include <lodewire/design/drawer_json.hpp>
#include <lodewire/design/misfit.hpp>
#include <lodewire/instrument/json_read_parts.hpp>
#include <lodewire/instrument/json_text.hpp>
#include <lodewire/instrument/sound.hpp>

/// A wish, and what may be done for it, as a text that a person can write (docs/choosing-parts.md). Opt-in: needs
/// nlohmann-json.
namespace lodewire {

/// What a file holds.
struct wish_file {
  wish wanted{};
  std::vector<place> places{};
  rank_by by = rank_by::nominal;
  [[nodiscard]] bool operator==(const wish_file&) const = default;
};

namespace detail {

namespace shapes {

inline constexpr object_shape wish{"wish", 2, {"goals", "places", "rank_by"}};
inline constexpr object_shape place{"place", 2, {"ways", "name"}};
inline constexpr object_shape knob{"knob", 2, {"control", "at"}};
inline constexpr object_shape as{"level", 0, {"position", "knobs", "pickup"}};
inline constexpr object_shape match_goal{"match",
                                         1,
                                         {"match", "from", "to", "points", "shape_only", "largest", "name",
                                          "position", "knobs", "pickup", "weight", "limit"}};
inline constexpr object_shape peak_goal{
    "resonance", 1, {"peak", "name", "position", "knobs", "pickup", "weight", "limit"}};
inline constexpr object_shape height_goal{
    "height", 1, {"peak_height", "name", "position", "knobs", "pickup", "weight", "limit"}};
inline constexpr object_shape level_goal{
    "equal level", 1, {"level_as", "above", "at", "name", "position", "knobs", "pickup", "weight", "limit"}};
inline constexpr object_shape taper_goal{
    "taper", 2, {"taper_of", "like", "name", "position", "knobs", "pickup", "weight", "limit"}};
inline constexpr object_shape treble_goal{"treble",
                                          1,
                                          {"treble_of", "turned_to", "treble", "gain_counts", "name",
                                           "position", "knobs", "pickup", "weight", "limit"}};
inline constexpr object_shape load_goal{"load",
                                        2,
                                        {"load_on", "wanted", "over_travel_of", "plugged_in", "at", "name",
                                         "position", "knobs", "pickup", "weight", "limit"}};
inline constexpr const object_shape* goals[] = {&match_goal, &peak_goal,   &height_goal, &level_goal,
                                                &taper_goal, &treble_goal, &load_goal};

inline constexpr object_shape other{"other instrument", 0, {"pots", "pickups", "cable", "input"}};
inline constexpr object_shape other_pot{"other pot", 1, {"control", "track", "taper"}};

inline constexpr object_shape across_track{
    "across the track", 1, {"across_track", "resistor", "capacitor", "joined", "tolerance"}};
inline constexpr object_shape wiper_to_low{
    "wiper to low", 1, {"wiper_to_low", "resistor", "capacitor", "joined", "tolerance"}};
inline constexpr object_shape wiper_to_high{
    "wiper to high", 1, {"wiper_to_high", "resistor", "capacitor", "joined", "tolerance"}};
inline constexpr object_shape in_place{
    "in place of a pot", 1, {"in_place_of_pot", "resistor", "capacitor", "joined", "tolerance"}};
inline constexpr object_shape series_part{
    "in series", 1, {"in_series_at", "resistor", "capacitor", "joined", "tolerance"}};
inline constexpr object_shape across_part{
    "across", 1, {"across", "resistor", "capacitor", "joined", "tolerance"}};
inline constexpr object_shape other_part{"named part", 1, {"part", "resistor", "capacitor", "tolerance"}};
inline constexpr object_shape other_tone{"tone capacitor", 2, {"tone_capacitor", "capacitor", "tolerance"}};
inline constexpr object_shape another_pot{"another pot", 2, {"another_pot", "track", "taper", "tolerance"}};
inline constexpr const object_shape* ways[] = {&across_track, &wiper_to_low, &wiper_to_high,
                                               &in_place,     &series_part,  &across_part,
                                               &other_part,   &other_tone,   &another_pot};
inline constexpr way::kind way_kinds[] = {
    way::kind::across_track, way::kind::wiper_to_low, way::kind::wiper_to_high, way::kind::in_place_of_pot,
    way::kind::in_series,    way::kind::across,       way::kind::part,          way::kind::tone_capacitor,
    way::kind::another_pot};

} // namespace shapes

namespace words {

inline constexpr word<rank_by> ranks[] = {
    {"nominal", rank_by::nominal}, {"worst case", rank_by::worst_case}, {"yield", rank_by::yield}};
inline constexpr word<bool> joints[] = {{"series", true}, {"parallel", false}};

} // namespace words

/// Where the value of a part comes from: 'drawer', 'E12 100p to 4.7n', '47k to 1M', '27k' or a list of values.
template <Fitted Q>
[[nodiscard]] values_from read_source(const json_node& from) {
  if (from.is_list()) return one_of(read_values<Q>(from));
  const std::string_view whole =
      from.text("'drawer', 'E12 10k to 1M', '10k to 1M', a value or a list of values");
  if (whole == "drawer") return from_drawer(kind_for<Q>);
  std::string_view text = whole;
  std::optional<e_series> series;
  struct spelt {
    std::string_view name;
    e_series is;
  };
  for (const spelt& s :
       {spelt{"E192 ", e_series::e192}, spelt{"E96 ", e_series::e96}, spelt{"E48 ", e_series::e48},
        spelt{"E24 ", e_series::e24}, spelt{"E12 ", e_series::e12}, spelt{"E6 ", e_series::e6},
        spelt{"E3 ", e_series::e3}})
    if (!series && text.starts_with(s.name)) {
      series = s.is;
      text.remove_prefix(s.name.size());
    }
  constexpr std::string_view to = " to ";
  const std::size_t split = text.find(to);
  if (split == text.npos) {
    if (series) from.refuse_this("a series with its range, such as 'E12 10k to 1M'");
    return one_of(read_values<Q>(from));
  }
  const auto part = [&](std::string_view piece) {
    return from.read(
        [&](std::string_view) {
          try {
            return read_marking<Q>(piece).value;
          } catch (const text_error& error) {
            // The column in the whole text; what stands before the piece is plain where the piece was reached.
            std::size_t before = 0;
            for (std::string_view rest =
                     whole.substr(0, static_cast<std::size_t>(piece.data() - whole.data()));
                 !rest.empty(); ++before)
              rest.remove_prefix(character_length(rest));
            const std::string_view what = error.what();
            constexpr std::string_view expected = ", expected ";
            throw text_error("value", whole, before + error.column(),
                             what.substr(what.rfind(expected) + expected.size()));
          }
        },
        "");
  };
  const Q low = part(text.substr(0, split)), high = part(text.substr(split + to.size()));
  if (!(low.value() > 0) || !(high >= low) || !(high.value() < 1e18) || !(low.value() > 1e-18))
    from.refuse_this("a range of values more than 0, the lower one first");
  return series ? from_series(*series, low, high) : any_value(low, high);
}

class wish_reader {
public:
  wish_reader(const instrument& of, const destination& into) : of_{of}, into_{into} {
    for (const lodewire::pickup& p : of.pickups) pickups_.push_back(name_of(p));
    for (const control& c : of.controls) {
      controls_.push_back(c.name);
      for (std::size_t s = 0; s < c.sections.size(); ++s) sections_.push_back(section_name(c, s));
    }
    for (const position& p : of.positions) positions_.push_back(p.name);
  }

  [[nodiscard]] wish_file read(const json_node& from) const {
    from.require_shape(shapes::wish);
    wish_file file;
    for (const json_node& n : from["goals"].list("a list of goals: [...]"))
      file.wanted.criteria.push_back(read_criterion(n));
    if (file.wanted.criteria.empty()) from["goals"].refuse_this("one goal or more");
    for (const json_node& n : from["places"].list("a list of places: [...]")) {
      n.require_shape(shapes::place);
      place p{.name = n["name"].name(), .ways = {}};
      for (const place& other : file.places)
        if (other.name == p.name) n["name"].refuse(n["name"].shown() + " a second time", "another name");
      for (const json_node& w : n["ways"].list("a list of ways: [...]")) p.ways.push_back(read_way(w));
      if (p.ways.empty()) n["ways"].refuse_this("one way or more");
      file.places.push_back(std::move(p));
    }
    if (file.places.empty()) from["places"].refuse_this("one place or more");
    from.word_to(file.by, "rank_by", words::ranks);
    check_part(from, std::string_view("wish.").size(), [&] { require_wish(file.wanted); });
    return file;
  }

private:
  [[nodiscard]] static std::string known(const json_node& from, const std::vector<std::string>& names) {
    const std::string& name = from.text("a name: \"...\"");
    if (std::find(names.begin(), names.end(), name) == names.end())
      from.refuse(from.shown(), listed(names), usual_word(name, names));
    return name;
  }
  [[nodiscard]] listening read_listening(const json_node& from) const {
    listening at;
    if (const auto p = from.find("position")) at.position = known(*p, positions_);
    if (const auto p = from.find("pickup")) at.pickup = known(*p, pickups_);
    for (const json_node& n : from.list_of("knobs")) {
      n.require_shape(shapes::knob);
      at.knobs.push_back({known(n["control"], controls_), read_knob(n["at"])});
    }
    return at;
  }
  [[nodiscard]] static double read_dB(const json_node& from) {
    return from.read([](std::string_view t) { return read_decibel(t); }, "decibels as text, such as '3 dB'")
        .value();
  }
  template <class Q>
  static void positive_to(Q& to, const json_node& from, std::string_view key) {
    from.quantity_to(to, key);
    if (!(to.value() > 0)) from[key].refuse_this("more than 0");
  }

  [[nodiscard]] criterion read_criterion(const json_node& from) const {
    const object_shape& shape = from.choose(shapes::goals);
    from.require_shape(shape);
    criterion c{.name = std::string(shape.name), .wants = {}};
    const listening at = read_listening(from);
    check_part(from, 0, [&] { c.wants = read_goal(from, shape, at); });
    from.name_to(c.name, "name");
    if (const auto weight = from.find("weight")) {
      c.weight = weight->number();
      if (!(*c.weight >= 0)) weight->refuse_this("0 or more");
    }
    if (const auto limit = from.find("limit")) {
      const bool percent = misfit_unit(c.wants) == "%";
      c.limit =
          percent ? 100 * read_percent_member(*limit, "percent as text, such as '10 %'") : read_dB(*limit);
      if (!(*c.limit >= 0)) limit->refuse_this(percent ? "0 % or more" : "0 dB or more");
    }
    return c;
  }

  [[nodiscard]] goal read_goal(const json_node& from, const object_shape& shape, const listening& at) const {
    if (&shape == &shapes::match_goal) return read_match(from, at);
    if (&shape == &shapes::peak_goal) {
      peak_goal g{.at = at};
      positive_to(g.wanted, from, "peak");
      return g;
    }
    if (&shape == &shapes::height_goal)
      return height_goal{.at = at, .wanted = decibel{read_dB(from["peak_height"])}};
    if (&shape == &shapes::level_goal) {
      const json_node as = from["level_as"];
      level_goal g{.at = at, .as = {}};
      if (as.is_text())
        g.as.position = known(as, positions_);
      else
        g.as = read_listening(as.require_shape(shapes::as));
      if (const auto above = from.find("above")) g.above = decibel{read_dB(*above)};
      positive_to(g.f, from, "at");
      return g;
    }
    if (&shape == &shapes::taper_goal) {
      const std::string control = known(from["taper_of"], controls_);
      const json_node like = from["like"];
      if (like.is_text() || like.is_list()) return taper_goal_like(rising(like), at, control);
      const auto [other, into] = read_other(like);
      return taper_goal_like(other, into, at, control);
    }
    if (&shape == &shapes::treble_goal) {
      treble_goal g{.at = at, .control = known(from["treble_of"], controls_)};
      if (const auto turned = from.find("turned_to")) g.turned = read_knob(*turned);
      positive_to(g.treble, from, "treble");
      if (const auto counts = from.find("gain_counts")) g.gain_counts = counts->boolean();
      return g;
    }
    load_goal g{.at = at, .pickup = known(from["load_on"], pickups_)};
    positive_to(g.wanted, from, "wanted");
    positive_to(g.f, from, "at");
    if (const auto control = from.find("over_travel_of")) g.over_travel_of = known(*control, controls_);
    if (const auto plugged = from.find("plugged_in")) g.plugged_in = plugged->boolean();
    return g;
  }
  [[nodiscard]] static taper rising(const json_node& from) {
    taper law = read_law(from);
    if (!(law(rotation(1)) > 0)) from.refuse_this("a law that rises to the full track");
    return law;
  }

  [[nodiscard]] match_goal read_match(const json_node& from, const listening& at) const {
    const auto [other, into] = read_other(from["match"]);
    frequency low = frequency::from_value(100), high = frequency::from_value(8000);
    positive_to(low, from, "from");
    positive_to(high, from, "to");
    if (!(high > low))
      from.refuse("a band from " + engineering(low) + " to " + engineering(high), "a rising one");
    const auto points = from.find("points");
    match_goal g = match_goal_like(
        other, into, at,
        log_grid(low, high, points ? static_cast<std::size_t>(points->integer(2, 1000)) : 48));
    if (const auto shape = from.find("shape_only")) g.shape_only = shape->boolean();
    if (const auto largest = from.find("largest")) g.largest = largest->boolean();
    return g;
  }

  /// This instrument with other pots, pickups, cable or input.
  [[nodiscard]] std::pair<instrument, destination> read_other(const json_node& from) const {
    from.require_shape(shapes::other);
    instrument other = of_;
    destination into = into_;
    for (const json_node& n : from.list_of("pots")) {
      n.require_shape(shapes::other_pot);
      const control_section at = find_section(of_, known(n["control"], sections_));
      potentiometer& pot = other.controls[at.control].sections[at.section];
      positive_to(pot.total, n, "track");
      if (const auto law = n.find("taper")) pot.law = read_law(*law);
    }
    for (const json_node& n : from.list_of("pickups")) {
      lodewire::pickup read = read_pickup(n);
      other.pickups[find_pickup(of_, known(n["name"], pickups_))] = std::move(read);
    }
    if (const auto lead = from.find("cable")) {
      lead->require_shape(shapes::cable);
      into.lead = {};
      lead->quantity_to(into.lead.length, "length");
      lead->quantity_to(into.lead.capacitance, "capacitance");
      lead->quantity_to(into.lead.resistance, "resistance");
      lead->quantity_to(into.lead.inductance, "inductance");
    }
    if (const auto input = from.find("input")) positive_to(into.into.resistance, from, "input");
    return {std::move(other), std::move(into)};
  }

  [[nodiscard]] way read_way(const json_node& from) const {
    if (from.is_text()) {
      if (from.text() != "nothing") from.refuse_this("'nothing', or an object that says what is done where");
      return nothing();
    }
    const object_shape& shape = from.choose(shapes::ways, ", or 'nothing'");
    from.require_shape(shape);
    way w;
    w.is = shapes::way_kinds[std::find(std::begin(shapes::ways), std::end(shapes::ways), &shape) -
                             std::begin(shapes::ways)];
    const json_node at = from[shape.keys[0]];
    if (w.is == way::kind::in_series || w.is == way::kind::across) {
      std::vector<std::string> places = pickups_;
      places.emplace_back("jack");
      w.at = known(at, places);
    } else {
      w.at = w.is == way::kind::part ? at.name() : known(at, sections_);
    }
    if (const auto r = from.find("resistor")) w.parts.push_back(read_source<resistance>(*r));
    if (const auto c = from.find("capacitor")) w.parts.push_back(read_source<capacitance>(*c));
    if (const auto r = from.find("track")) {
      w.parts.push_back(read_source<resistance>(*r));
      if (w.parts[0].is == values_from::kind::drawer) w.parts[0].of = stock_kind::potentiometer;
    }
    if (const auto law = from.find("taper")) w.law = read_law(*law);
    if (w.parts.empty()) from.refuse("an object without a part", "'resistor', 'capacitor' or both");
    from.word_to(w.parts_in_series, "joined", words::joints);
    if (w.parts.size() == 2 && !from.has("joined"))
      from.refuse("two parts without 'joined'", "'joined': 'series' or 'parallel'");
    if (const auto within = from.find("tolerance"))
      for (values_from& v : w.parts) v.tolerance = read_symmetric_tolerance(*within);
    check_part(from, 0, [&] { require_way(w, ""); });
    return w;
  }

  const instrument& of_;
  const destination& into_;
  std::vector<std::string> pickups_, controls_, sections_, positions_;
};

} // namespace detail

/// A wish from the text of a file, for this instrument and what it is plugged into: references are taken from them.
/// Throws `document_error`, with the path, the value and what is allowed; and where the text is over
/// `document_limits`. Cost: some microseconds a goal.
[[nodiscard]] inline wish_file read_wish(std::string_view json_text, const instrument& of,
                                         const destination& into) {
  require_sound(of);
  const detail::json_tree tree = detail::parse_document(json_text);
  return detail::wish_reader(of, into).read(detail::json_node(tree));
}

} // namespace lodewire
