// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>
#include <string_view>

#include <lodewire/design/choose_types.hpp>
#include <lodewire/quantity/notation.hpp>

/// Choices in words.
namespace lodewire {

/// `27 kΩ`, `1 nF`, `a 250 kΩ pot`.
[[nodiscard]] inline std::string to_text(const fitted_part& p) {
  const std::string value = engineering(p.value, unit_of(p.is), 4);
  return p.is == stock_kind::potentiometer ? "a " + value + " pot" : value;
}

/// What is done at a place: `27 kΩ across the track of 'volume' (lugs 1 and 3)`; `as it is`.
[[nodiscard]] inline std::string to_text(const place& at, const choice& chosen) {
  const way& w = at.ways.at(chosen.way);
  if (w.is == way::kind::nothing || chosen.parts.empty()) return "as it is";
  std::string parts;
  for (const fitted_part& p : chosen.parts) parts.append(parts.empty() ? "" : " and ").append(to_text(p));
  if (chosen.parts.size() > 1) parts.append(w.parts_in_series ? " in series" : " in parallel");
  const std::string where = "'" + w.at + "'";
  const auto at_lugs = [&](std::string_view verb, std::string_view lugs) {
    return parts.append(1, ' ').append(verb).append(where).append(" (lugs ").append(lugs).append(")");
  };
  switch (w.is) {
  case way::kind::nothing: break;
  case way::kind::across_track: return at_lugs("across the track of ", "1 and 3");
  case way::kind::wiper_to_low: return at_lugs("from wiper to ground at ", "2 and 1");
  case way::kind::wiper_to_high: return at_lugs("from wiper to hot end at ", "2 and 3");
  case way::kind::in_place_of_pot: return parts + " in place of " + where;
  case way::kind::in_series: return parts + " in series at " + where;
  case way::kind::across: return parts + " from hot to ground at " + where;
  case way::kind::another_pot: return parts + " as " + where;
  case way::kind::tone_capacitor: return parts + " as the capacitor of " + where;
  case way::kind::part: return parts + " as " + where;
  }
  return parts;
}

} // namespace lodewire
