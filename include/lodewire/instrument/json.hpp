// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/instrument/json_read_supply.hpp>
#include <lodewire/instrument/json_read_wiring.hpp>
#include <lodewire/instrument/json_write_wiring.hpp>
#include <lodewire/instrument/sound.hpp>

/// An instrument as a text that a person can write: JSON (RFC 8259) with values in trade writing. docs/instrument-file.md
/// is its reference, docs/instrument.schema.json its schema. Opt-in, `lodewire.hpp` does not include it; needs
/// nlohmann-json.
namespace lodewire {

/// What a file holds: an instrument, and what its jack may be plugged into.
struct instrument_file {
  instrument built{};
  std::vector<destination> plugged_into{};
  [[nodiscard]] bool operator==(const instrument_file&) const = default;
};

namespace detail {

/// The nodes of a list of named things, none of them named twice.
[[nodiscard]] inline std::vector<std::string> names_of(const std::vector<json_node>& list) {
  std::vector<std::string> names;
  for (const json_node& n : list) {
    n.require_object();
    if (!n.has("name")) throw document_error(member_path(n.path(), "name"), "missing", "a name: \"...\"");
    std::string name = n["name"].name();
    for (std::size_t i = 0; i < names.size(); ++i)
      if (names[i] == name)
        n["name"].refuse("'" + name + "' a second time",
                         "another name than entry " + std::to_string(i) + " has");
    names.push_back(std::move(name));
  }
  return names;
}

/// Depth of wirings with the circuits that they lead to; refuses a circuit that leads back to itself.
class circuit_depth {
public:
  circuit_depth(const instrument& of, const known_names& known)
      : of_{of}, known_{known}, depth_(of.circuits.size()) {}

  void demand() {
    for (std::size_t i = 0; i < of_.circuits.size(); ++i) (void)of_circuit(i);
    for (std::size_t i = 0; i < of_.positions.size(); ++i)
      limit(of_wiring(of_.positions[i].wired), "positions[" + std::to_string(i) + "]");
  }

private:
  static constexpr std::size_t unknown = 0, under_way = static_cast<std::size_t>(-1);

  std::size_t of_circuit(std::size_t i) {
    const std::string path = "circuits[" + std::to_string(i) + "]";
    if (depth_[i] == under_way)
      throw document_error(path + ".wiring", "'" + known_.circuits[i] + "', which leads back to itself",
                           "a wiring that does not contain its own circuit");
    if (depth_[i] == unknown) {
      depth_[i] = under_way;
      depth_[i] = limit(of_wiring(of_.circuits[i].wired), path);
    }
    return depth_[i];
  }
  std::size_t of_wiring(const wiring& w) {
    if (w.is == wiring::kind::circuit) {
      const auto found = std::find(known_.circuits.begin(), known_.circuits.end(), w.name);
      return 1 + of_circuit(static_cast<std::size_t>(found - known_.circuits.begin()));
    }
    std::size_t deepest = 0;
    for (const wiring& one : w.of) deepest = (std::max)(deepest, of_wiring(one));
    return 1 + deepest;
  }
  static std::size_t limit(std::size_t depth, const std::string& path) {
    if (depth > document_limits::depth)
      throw document_error(path + ".wiring", "nested " + std::to_string(depth) + " deep through its circuits",
                           "at most " + std::to_string(document_limits::depth));
    return depth;
  }

  const instrument& of_;
  const known_names& known_;
  std::vector<std::size_t> depth_;
};

/// What `require_sound` says about the instrument, with the list's number in place of the name.
[[nodiscard]] inline document_error with_numbers(const instrument& of, const invalid_value& error) {
  std::string path;
  std::size_t longest = 0;
  const auto match = [&](const auto& list, const std::string& what) {
    for (std::size_t i = 0; i < list.size(); ++i) {
      const std::string named = what + "." + name_in(list[i]);
      const std::string& all = error.parameter();
      if (named.size() <= longest || !all.starts_with(named)) continue;
      if (all.size() > named.size() && all[named.size()] != '.') continue;
      longest = named.size();
      path = what + "[" + std::to_string(i) + "]";
    }
  };
  match(of.pickups, "pickups");
  match(of.controls, "controls");
  match(of.circuits, "circuits");
  match(of.positions, "positions");
  return at_path(path, longest, error);
}

inline void require_sound_document(const instrument& of) {
  try {
    require_sound(of);
  } catch (const invalid_value& error) {
    throw with_numbers(of, error);
  } catch (const std::length_error& error) {
    throw document_error("document", error.what(), "a position that fits one circuit");
  }
}

/// A circuit nested too deep, or in a circle, is found before anything follows it.
[[nodiscard]] inline instrument_file read_tree(const json_node& from) {
  from.require_shape(shapes::document);
  instrument_file file;
  instrument& of = file.built;
  known_names known;
  from.name_to(of.name, "name");

  const auto pickups = from["pickups"].list("a list of pickups: [...]");
  for (const json_node& n : pickups) of.pickups.push_back(read_pickup(n));
  known.pickups = names_of(pickups);

  const auto controls = from.list_of("controls");
  for (const json_node& n : controls) of.controls.push_back(read_control(n));
  (void)names_of(controls);
  for (std::size_t c = 0; c < of.controls.size(); ++c)
    for (std::size_t s = 0; s < of.controls[c].sections.size(); ++s) {
      std::string name = section_name(of.controls[c], s);
      if (std::find(known.sections.begin(), known.sections.end(), name) != known.sections.end())
        controls[c]["name"].refuse_this("a name that is not that of a section of another control ('" + name +
                                        "')");
      known.sections.push_back(std::move(name));
    }

  const auto circuits = from.list_of("circuits");
  const auto positions = from["positions"].list("a list of positions: [...]");
  known.circuits = names_of(circuits);
  (void)names_of(positions);
  if (positions.empty()) from["positions"].refuse_this("one position or more");
  const wiring_reader wirings(known);
  const auto read_position = [&](const json_node& n) -> position {
    n.require_shape(shapes::position);
    return {n["name"].name(), wirings.read_wiring(n["wiring"])};
  };
  for (const json_node& n : circuits) of.circuits.push_back(read_position(n));
  for (const json_node& n : positions) of.positions.push_back(read_position(n));
  if (const auto output = from.find("output")) of.output = wirings.read_steps(*output);
  if (const auto supply = from.find("supply")) of.supply = read_supply(*supply);

  const auto destinations = from.list_of("plugged_into");
  for (const json_node& n : destinations) file.plugged_into.push_back(read_destination(n));
  (void)names_of(destinations);

  circuit_depth(of, known).demand();
  require_sound_document(of);
  return file;
}

} // namespace detail

/// An instrument and its destinations from the text of a file. The instrument is sound (`require_sound`). Throws
/// `document_error`, with the path, the value and what is allowed; and where the text is over `document_limits`. Cost:
/// some microseconds a part.
[[nodiscard]] inline instrument_file read_instrument_file(std::string_view json_text) {
  const detail::json_tree tree = detail::parse_document(json_text);
  return detail::read_tree(detail::json_node(tree));
}

/// The instrument of a file; its destinations are checked and let go.
[[nodiscard]] inline instrument read_instrument(std::string_view json_text) {
  return read_instrument_file(json_text).built;
}

/// The destinations of a file.
[[nodiscard]] inline std::vector<destination> read_destinations(std::string_view json_text) {
  return read_instrument_file(json_text).plugged_into;
}

/// The text of a file. What is written is read as the same instrument, but for members that nothing uses (the name of a
/// control's section, a network's resistance where it is a capacitor), which are not written. Throws `invalid_value`
/// for an instrument that is not sound, `document_error` for a name that a file cannot hold (1 to 100 bytes of UTF-8
/// without control characters) and for more than `document_limits`.
[[nodiscard]] inline std::string write_instrument(const instrument& of,
                                                  std::span<const destination> plugged_into = {}) {
  require_sound(of);
  detail::json_out to;
  to["name"] = of.name;
  for (const pickup& p : of.pickups) to["pickups"].push_back(detail::pickup_out(p));
  for (const control& c : of.controls) to["controls"].push_back(detail::control_out(c));
  const auto put_positions = [&to](const char* key, const std::vector<position>& list) {
    for (const position& p : list)
      to[key].push_back({{"name", p.name}, {"wiring", detail::wiring_out(p.wired)}});
  };
  put_positions("circuits", of.circuits);
  put_positions("positions", of.positions);
  if (!of.output.empty()) to["output"] = detail::steps_out(of.output);
  if (of.supply) to["supply"] = detail::supply_out(*of.supply);
  for (const destination& d : plugged_into) to["plugged_into"].push_back(detail::destination_out(d));
  std::string text;
  try {
    detail::lay_out(text, to, 0);
  } catch (const nlohmann::json::type_error&) {
    throw document_error("document", "with a name that is no UTF-8", "names in UTF-8");
  }
  text += '\n';
  (void)read_instrument_file(text); // names and limits
  return text;
}

/// The same, of both.
[[nodiscard]] inline std::string write_instrument_file(const instrument_file& file) {
  return write_instrument(file.built, file.plugged_into);
}

} // namespace lodewire
