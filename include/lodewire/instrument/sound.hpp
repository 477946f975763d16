// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/instrument/compose_position.hpp>

namespace lodewire {

namespace detail {

template <class T>
void require_names(const std::vector<T>& list, const std::string& what) {
  for (std::size_t i = 0; i < list.size(); ++i) {
    const std::string& name = name_in(list[i]);
    const std::string path = what + "[" + std::to_string(i) + "].name";
    if (name.empty()) throw invalid_value(path, "''", "a name");
    for (std::size_t k = 0; k < i; ++k)
      if (name_in(list[k]) == name)
        throw invalid_value(path, "'" + name + "' a second time", "names that differ");
  }
}

} // namespace detail

/// Refuses an instrument that cannot be what was meant: names that are missing or used twice, a control without
/// sections or without work in any position, a pickup in no position, no position at all, and whatever `compose`
/// refuses, in every position. Throws `invalid_value` that begins with the path.
inline void require_sound(const instrument& of) {
  detail::require_names(of.pickups, "pickups");
  detail::require_names(of.controls, "controls");
  detail::require_names(of.circuits, "circuits");
  detail::require_names(of.positions, "positions");
  if (of.positions.empty()) throw invalid_value("positions", "an empty list", "one position or more");
  for (const control& c : of.controls)
    if (c.sections.empty())
      throw invalid_value("controls." + c.name + ".sections", "an empty list", "one potentiometer or more");

  std::vector<std::string> called;
  for (const control& c : of.controls)
    for (std::size_t k = 0; k < c.sections.size(); ++k) {
      if (std::find(called.begin(), called.end(), section_name(c, k)) != called.end())
        throw invalid_value("controls." + c.name, "'" + section_name(c, k) + "' a second time",
                            "sections whose names differ");
      called.push_back(section_name(c, k));
    }

  std::vector<std::string> sections, terminals;
  for (std::size_t p = 0; p < of.positions.size(); ++p) {
    const composed_position s = compose_position(of, p);
    for (std::string& name : s.ranges()) sections.push_back(std::move(name));
    for (std::string& name : s.pickups()) terminals.push_back(std::move(name));
  }
  const auto among = [](const std::vector<std::string>& list, const std::string& name) {
    return std::find(list.begin(), list.end(), name) != list.end();
  };
  for (const control& c : of.controls)
    for (std::size_t s = 0; s < c.sections.size(); ++s)
      if (!among(sections, section_name(c, s)))
        throw invalid_value("controls." + c.name, "'" + section_name(c, s) + "', which no position uses",
                            "a control that does something");
  for (const pickup& p : of.pickups)
    if (!among(terminals, name_of(p)))
      throw invalid_value("pickups." + name_of(p), "in no position", "a pickup that is heard somewhere");
  if (of.supply) require_sound(*of.supply);
}

} // namespace lodewire
