// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/dc_resistance.hpp>
#include <lodewire/design/finding.hpp>
#include <lodewire/design/wiring_fault.hpp>
#include <lodewire/instrument/sound.hpp>

namespace lodewire {

namespace detail {

/// Goes through a wiring and all that it is made of. The instrument has to be sound: no circuit contains itself.
template <class Visit>
void for_each_wiring(const instrument& of, const wiring& w, const Visit& visit) {
  visit(w);
  if (w.is == wiring::kind::circuit)
    for_each_wiring(of, of.circuits[find_named(of.circuits, w.name, "circuit")].wired, visit);
  for (const wiring& part : w.of) for_each_wiring(of, part, visit);
}

/// The points of a position that a fault can be at: pickups first, the jack last.
[[nodiscard]] inline std::vector<std::string> points_of(const instrument& of, std::size_t position) {
  std::vector<std::string> pickups, points;
  const auto look = [&](const std::vector<wiring_step>& steps) {
    for (const wiring_step& step : steps)
      if ((step.is == wiring_step::kind::point || step.is == wiring_step::kind::amplifier) &&
          !step.name.empty())
        points.push_back(step.name);
  };
  for_each_wiring(of, of.positions[position].wired, [&](const wiring& w) {
    if (w.is == wiring::kind::pickup) pickups.push_back(w.name);
    look(w.then);
  });
  look(of.output);
  pickups.insert(pickups.end(), points.begin(), points.end());
  pickups.emplace_back("jack");
  return pickups;
}
template <class T>
[[nodiscard]] bool contains(const std::vector<T>& list, const T& name) {
  return std::find(list.begin(), list.end(), name) != list.end();
}

/// True where a section of a control is a volume control somewhere.
[[nodiscard]] inline bool is_volume_section(const instrument& of, const std::string& section) {
  bool found = false;
  for_each_step(of, [&](const wiring_step& step) {
    found =
        found || ((step.is == wiring_step::kind::volume || step.is == wiring_step::kind::reversed_volume) &&
                  step.control == section);
  });
  return found;
}

/// The coil that `pickup.coil` names, in an instrument that may be changed; none.
[[nodiscard]] inline magnetic_coil* coil_of_pair(instrument& of, const std::string& name) {
  for (pickup& p : of.pickups)
    if (auto* pair = std::get_if<coil_pair>(&p))
      for (magnetic_coil* half : {&pair->first, &pair->second})
        if (pair->name + "." + half->name == name) return half;
  return nullptr;
}

/// `meter_shows` for an instrument known to be sound and a suspect that is one of `possible_faults`.
[[nodiscard]] inline double shown_by_meter(const instrument& of, const suspect& s, std::size_t position,
                                           std::span<const rotation> knobs) {
  compose_options options;
  options.powered = false;
  const auto at_point = [&](fault::kind is, double ohms) {
    if (contains(points_of(of, position), s.at))
      options.faults.push_back({s.at, is, resistance::from_value(ohms)});
    return dc_resistance(compose(of, position, knobs, options)).value();
  };
  const auto with_coil = [&](double ohms) {
    instrument changed = of;
    coil_of_pair(changed, s.at)->resistance = resistance::from_value(ohms);
    return dc_resistance(compose(changed, position, knobs, options)).value();
  };
  // A section is found in the composed circuit by its name, as the two values of its legs.
  const auto with_legs = [&](const instrument& with, auto&& change) {
    source whole = compose(with, position, knobs, options);
    for (const named_range& r : whole.as_circuit().ranges) {
      if (r.name != s.at) continue;
      const double* legs = whole.as_circuit().values.data() + r.range.first;
      const std::pair<double, double> now = change(legs[0], legs[1]);
      const value_range where = r.range;
      whole.rewrite(where, 0, now.first);
      whole.rewrite(where, 1, now.second);
      break;
    }
    return dc_resistance(whole).value();
  };
  const auto wired_otherwise = [&](auto&& change) {
    instrument changed = of;
    for_each_step(changed, [&](wiring_step& step) {
      if (step.is == wiring_step::kind::volume || step.is == wiring_step::kind::reversed_volume)
        if (step.control == s.at) change(step);
    });
    return changed;
  };
  switch (s.is) {
  case wiring_fault::none: break;
  case wiring_fault::open_pickup:
  case wiring_fault::open_lead: return at_point(fault::kind::joint, open_value);
  case wiring_fault::shorted_pickup:
  case wiring_fault::short_to_ground: return at_point(fault::kind::leak, 0);
  case wiring_fault::cold_joint: return at_point(fault::kind::joint, s.joint.value());
  case wiring_fault::open_coil: return with_coil(1e12);
  case wiring_fault::shorted_coil: return with_coil(1e-3);
  case wiring_fault::ends_exchanged:
    // Parts soldered to the lugs stay there: what lay across the upper leg now lies from the wiper to ground.
    return with_legs(wired_otherwise([](wiring_step& step) { std::swap(step.bleed, step.wiper_to_low); }),
                     [](double upper, double lower) {
                       return std::pair{lower, upper};
                     });
  case wiring_fault::in_out_exchanged: {
    const auto turned = [](wiring_step& step) {
      step.is = step.is == wiring_step::kind::volume ? wiring_step::kind::reversed_volume
                                                     : wiring_step::kind::volume;
    };
    return dc_resistance(compose(wired_otherwise(turned), position, knobs, options)).value();
  }
  case wiring_fault::upper_track_open:
    return with_legs(of, [](double, double lower) { return std::pair{open_value, lower}; });
  case wiring_fault::lower_track_open:
    return with_legs(of, [](double upper, double) { return std::pair{upper, open_value}; });
  case wiring_fault::wiper_open:
    return with_legs(of, [](double, double) { return std::pair{open_value, open_value}; });
  }
  return dc_resistance(compose(of, position, knobs, options)).value();
}

} // namespace detail

/// Every single fault of an instrument that `rank_faults` considers, the sound instrument first. Cold joints have no
/// resistance yet. Throws `invalid_value` as `require_sound`.
[[nodiscard]] inline std::vector<suspect> possible_faults(const instrument& of) {
  require_sound(of);
  std::vector<suspect> all{{}};
  std::vector<std::string> points;
  for (const pickup& p : of.pickups) {
    points.push_back(name_of(p));
    all.push_back({wiring_fault::open_pickup, name_of(p)});
    all.push_back({wiring_fault::shorted_pickup, name_of(p)});
    if (const auto* pair = std::get_if<coil_pair>(&p))
      for (const magnetic_coil* half : {&pair->first, &pair->second})
        for (const wiring_fault is : {wiring_fault::open_coil, wiring_fault::shorted_coil})
          all.push_back({is, pair->name + "." + half->name});
  }
  const std::size_t pickups = points.size();
  for (std::size_t p = 0; p < of.positions.size(); ++p)
    for (const std::string& point : detail::points_of(of, p))
      if (!detail::contains(points, point)) points.push_back(point);
  for (std::size_t k = pickups; k < points.size(); ++k)
    for (const wiring_fault is : {wiring_fault::open_lead, wiring_fault::short_to_ground})
      all.push_back({is, points[k]});
  for (const control& c : of.controls)
    for (std::size_t k = 0; k < c.sections.size(); ++k) {
      const std::string section = section_name(c, k);
      all.push_back({wiring_fault::ends_exchanged, section});
      if (detail::is_volume_section(of, section)) all.push_back({wiring_fault::in_out_exchanged, section});
      for (const wiring_fault is :
           {wiring_fault::upper_track_open, wiring_fault::lower_track_open, wiring_fault::wiper_open})
        all.push_back({is, section});
    }
  for (const std::string& point : points) all.push_back({wiring_fault::cold_joint, point});
  return all;
}

namespace detail {

/// Refuses a fault that this instrument cannot have.
inline void require_suspect(const instrument& of, const suspect& s) {
  suspect bare = s;
  bare.joint = {};
  if (!contains(possible_faults(of), bare))
    throw invalid_value("suspect.at", in_quotes(s.at), "a place where that fault can be");
  if (!is_open(s.joint.value())) require_not_negative("suspect.joint", s.joint);
}

} // namespace detail

/// What an ohmmeter at the jack shows with that fault, nothing plugged in, the supply off; `open_value` for nothing.
/// Where the place is not part of the position, the sound reading. In a series connection a short at the upper pickup
/// is taken across it, not to ground. Throws `invalid_value`.
[[nodiscard]] inline resistance meter_shows(const instrument& of, const suspect& s, std::size_t position,
                                            std::span<const rotation> knobs) {
  detail::require_suspect(of, s);
  return resistance::from_value(detail::shown_by_meter(of, s, position, knobs));
}

} // namespace lodewire
