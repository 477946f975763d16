// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <span>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/alternatives.hpp>
#include <lodewire/instrument/instrument.hpp>

/// How a choice changes an instrument.
namespace lodewire::detail {

/// What a part that was chosen is called in the wiring.
[[nodiscard]] inline std::string chosen_name(const std::string& place, std::size_t part) {
  return "chosen for " + place + " " + std::to_string(part + 1);
}

/// True where both cannot be done: one thing is exchanged twice, or a part is soldered to a pot that is taken out.
[[nodiscard]] inline bool exclude_each_other(const way& a, const way& b) noexcept {
  using enum way::kind;
  const auto at_control = [](const way& w) {
    return w.is != nothing && w.is != in_series && w.is != across && w.is != part;
  };
  if (a.at != b.at || a.is == nothing || b.is == nothing) return false;
  if (a.is == b.is)
    return a.is == another_pot || a.is == tone_capacitor || a.is == part || a.is == in_place_of_pot;
  return (a.is == in_place_of_pot && at_control(b)) || (b.is == in_place_of_pot && at_control(a));
}
inline void require_compatible(const way& w, const std::vector<const way*>& before,
                               const std::string& place) {
  for (const way* other : before)
    if (exclude_each_other(w, *other))
      throw invalid_value(place + ".at", "'" + w.at + "' a second time", "one exchange of a part");
}

template <class Visit>
void for_each_wiring_of(wiring& w, const Visit& visit) {
  visit(w);
  for (wiring& part : w.of) for_each_wiring_of(part, visit);
}

class altering {
public:
  altering(instrument& of, const way& w, std::span<const double> values, const std::string& place)
      : of_{of}, way_{w}, values_{values}, place_{place} {}

  /// Throws `invalid_value` where there is nothing that could be changed so.
  void alter() {
    switch (way_.is) {
    case way::kind::nothing: return;
    case way::kind::across_track: return beside(&wiring_step::across_track);
    case way::kind::wiper_to_low: return beside(&wiring_step::wiper_to_low);
    case way::kind::wiper_to_high: return beside(&wiring_step::bleed);
    case way::kind::in_place_of_pot: return take_pot_out();
    case way::kind::in_series: return add_step(series_step(added()));
    case way::kind::across: return add_step(shunt_step(added()));
    case way::kind::another_pot: return exchange_pot();
    case way::kind::tone_capacitor: return exchange_tone_capacitor();
    case way::kind::part: return exchange_part();
    }
  }

private:
  [[nodiscard]] network part(std::size_t i) const {
    network n = way_.parts[i].of == stock_kind::capacitor ? network(capacitance::from_value(values_[i]))
                                                          : network(resistance::from_value(values_[i]));
    n.name = chosen_name(place_, i);
    return n;
  }
  [[nodiscard]] network added() const {
    if (way_.parts.size() < 2) return part(0);
    return way_.parts_in_series ? in_a_row({part(0), part(1)}) : side_by_side({part(0), part(1)});
  }
  void demand(bool found, const char* what) const {
    if (!found) throw invalid_value(place_ + ".at", "'" + way_.at + "'", what);
  }
  [[nodiscard]] bool is_volume_here(const wiring_step& step) const {
    return (step.is == wiring_step::kind::volume || step.is == wiring_step::kind::reversed_volume) &&
           step.control == way_.at;
  }

  void beside(std::optional<network> wiring_step::*lugs) {
    bool found = false;
    each_step([&](wiring_step& step) {
      if (!is_volume_here(step)) return;
      found = true;
      std::optional<network>& here = step.*lugs;
      here = here ? side_by_side({*here, added()}) : added();
    });
    demand(found, "a control that is wired as a volume control");
  }
  void take_pot_out() {
    bool found = false;
    each_network([&](network& n) {
      if (n.is != network::kind::rheostat || n.control != way_.at) return;
      found = true;
      n = added();
    });
    each_step([&](wiring_step& step) {
      if (!is_volume_here(step)) return;
      found = true;
      step = shunt_step(added());
    });
    demand(found, "a control that is wired in");
  }
  void add_step(const wiring_step& step) {
    if (way_.at == "jack") return of_.output.push_back(step);
    bool found = false;
    const auto visit = [&](wiring& w) {
      if (w.is != wiring::kind::pickup || w.name != way_.at) return;
      found = true;
      w.then.insert(w.then.begin(), step);
    };
    each_wiring(visit);
    demand(found, "a pickup that is wired in, or 'jack'");
  }
  void exchange_pot() {
    bool found = false;
    for (control& c : of_.controls)
      for (std::size_t s = 0; s < c.sections.size(); ++s) {
        if (section_name(c, s) != way_.at) continue;
        found = true;
        c.sections[s].total = resistance::from_value(values_[0]);
        if (way_.law) c.sections[s].law = *way_.law;
      }
    demand(found, "a control");
  }
  void exchange_tone_capacitor() {
    bool found = false;
    each_network([&](network& n) {
      if (n.is != network::kind::series) return;
      bool here = false;
      for (const network& of : n.of)
        here = here || (of.is == network::kind::rheostat && of.control == way_.at);
      for (network& of : n.of)
        if (here && of.is == network::kind::capacitor) {
          found = true;
          of = part(0);
        }
    });
    demand(found, "a control with a capacitor in series");
  }
  void exchange_part() {
    bool found = false;
    each_network([&](network& n) {
      const bool is_capacitor = way_.parts[0].of == stock_kind::capacitor;
      if (n.name != way_.at || n.is != (is_capacitor ? network::kind::capacitor : network::kind::resistor))
        return;
      found = true;
      n = part(0);
    });
    demand(found, "a part of this kind that has a name in the wiring");
  }
  template <class Visit>
  void each_wiring(const Visit& visit) {
    for (position& p : of_.circuits) for_each_wiring_of(p.wired, visit);
    for (position& p : of_.positions) for_each_wiring_of(p.wired, visit);
  }
  template <class Visit>
  void each_step(const Visit& visit) {
    each_wiring([&](wiring& w) {
      for (wiring_step& step : w.then) visit(step);
    });
    for (wiring_step& step : of_.output) visit(step);
  }
  template <class Visit>
  static void each_network_in(network& n, const Visit& visit) {
    visit(n);
    for (network& part : n.of) each_network_in(part, visit);
  }
  template <class Visit>
  void each_network(const Visit& visit) {
    each_step([&](wiring_step& step) {
      for (std::optional<network>* n : {&step.bleed, &step.across_track, &step.wiper_to_low})
        if (*n) each_network_in(**n, visit);
      if (step.is == wiring_step::kind::shunt || step.is == wiring_step::kind::series)
        each_network_in(step.part, visit);
    });
  }

  instrument& of_;
  const way& way_;
  std::span<const double> values_;
  const std::string& place_;
};

} // namespace lodewire::detail
