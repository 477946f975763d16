// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/composer.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/design/alter.hpp>
#include <lodewire/design/ready_place.hpp>
#include <lodewire/design/wish.hpp>
#include <lodewire/instrument/compose.hpp>

/// One way to wire an instrument, whose values are rewritten again and again.
namespace lodewire::detail {

/// A position with its knobs, to be listened to. Goals that listen alike share it, those that turn a knob do not.
struct view {
  std::size_t position = 0;
  std::vector<rotation> knobs{};
  std::string pickup{};
  bool plugged_in = true;
  std::size_t turned_by = 0; ///< 0: no goal turns a knob; else its number + 1
  [[nodiscard]] bool operator==(const view&) const = default;
};

[[nodiscard]] inline view view_of(const instrument& of, const listening& at) {
  view v{.position = at.position.empty() ? 0 : find_position(of, at.position),
         .knobs = knobs_of(of),
         .pickup = at.pickup};
  for (const knob_setting& k : at.knobs) v.knobs[find_control(of, k.control)] = k.at;
  if (!at.pickup.empty()) (void)find_pickup(of, at.pickup);
  return v;
}
/// Every answer of a view: from the pickups to the end of the destination, or to the open jack.
[[nodiscard]] inline source source_of(const instrument& of, const destination& into, const view& v) {
  source s = compose(of, v.position, v.knobs);
  return v.plugged_in ? s | into.lead | into.into : s;
}
[[nodiscard]] inline std::vector<double> weights_of(const source& s, const std::string& pickup) {
  std::vector<double> weights;
  if (pickup.empty()) return weights;
  bool found = false;
  for (const std::string& emf : s.emf_names()) {
    const bool here = emf == pickup || emf.starts_with(pickup + ".");
    weights.push_back(here ? 1. : 0.);
    found = found || here;
  }
  if (!found) throw invalid_value("listening.pickup", "'" + pickup + "'", "a pickup of that position");
  return weights;
}

/// 10·log10 of a power, -120 dB at the least.
[[nodiscard]] inline double power_db(double power) noexcept {
  return 10 * std::log10((std::max)(power, 1e-12));
}

/// What a part of a trial is in the instrument: a part with a name, or a section's track.
struct trial_part {
  std::string name;
  bool is_track = false;
};

/// The views of one wiring. Setting a value marks the views in which it is wired; each is composed again when it is
/// next asked for. Cost: some 0.2 µs a view.
class trial {
public:
  trial(const instrument& of, const destination& into, std::span<const view> views,
        std::span<const trial_part> parts)
      : part_hooks_(parts.size()), track_of_(parts.size()) {
    for (std::size_t v = 0; v < views.size(); ++v) {
      heard_.emplace_back(source_of(of, into, views[v]), views[v].pickup);
      for (const named_range& r : heard_[v].circuit.as_circuit().ranges) {
        for (std::size_t j = 0; j < parts.size(); ++j)
          if (!parts[j].is_track && parts[j].name == r.name) part_hooks_[j].push_back({v, r.range});
        for (std::size_t c = 0; c < of.controls.size(); ++c)
          for (std::size_t s = 0; s < of.controls[c].sections.size(); ++s)
            if (section_name(of.controls[c], s) == r.name) {
              const std::size_t number = section_number(r.name, of.controls[c].sections[s], 64 * c + s);
              sections_[number].hooks.push_back({v, r.range, c, views[v].knobs[c]});
            }
      }
    }
    for (std::size_t j = 0; j < parts.size(); ++j)
      for (std::size_t s = 0; s < sections_.size(); ++s)
        if (parts[j].is_track && sections_[s].name == parts[j].name) track_of_[j] = s;
    for (std::size_t v = 0; v < views.size(); ++v)
      if (!response(v).defined())
        throw invalid_value("wiring", "without a response", "one without sources that contradict each other");
  }

  /// Sets a chosen part, in Ω or F.
  void set(std::size_t part, double value) noexcept {
    for (const hook& h : part_hooks_[part]) {
      heard_[h.at].circuit.rewrite(h.where, 0, value);
      heard_[h.at].touch();
    }
    if (track_of_[part]) set_track(*track_of_[part], value);
  }
  /// The sections that are wired in somewhere, and their tracks.
  [[nodiscard]] std::size_t sections() const noexcept { return sections_.size(); }
  [[nodiscard]] double tolerance(std::size_t section) const noexcept {
    return sections_[section].part.tolerance;
  }
  [[nodiscard]] double nominal(std::size_t section) const noexcept { return sections_[section].nominal; }
  /// The same for the same section in every wiring.
  [[nodiscard]] std::size_t id(std::size_t section) const noexcept { return sections_[section].id; }
  [[nodiscard]] std::optional<std::size_t> track_of(std::size_t part) const noexcept {
    return track_of_[part];
  }
  void set_track(std::size_t section, double total) noexcept {
    sections_[section].part.total = resistance::from_value(total);
    for (const track_hook& h : sections_[section].hooks) rewrite(sections_[section], h);
  }
  /// Turns a control in one view.
  void turn(std::size_t view, std::size_t control, rotation to) noexcept {
    for (track& t : sections_)
      for (track_hook& h : t.hooks) {
        if (h.at != view || h.control != control) continue;
        h.turned = to;
        rewrite(t, h);
      }
  }

  [[nodiscard]] const transfer_function& response(std::size_t view) noexcept {
    listener& l = heard_[view];
    if (!l.current) {
      l.response = l.compose.response(l.circuit.as_circuit(), l.weights);
      l.current = true;
    }
    return l.response;
  }
  [[nodiscard]] const resonance& peak(std::size_t view) {
    const transfer_function& h = response(view);
    listener& l = heard_[view];
    if (!l.peak) l.peak = find_resonance(h, audible);
    return *l.peak;
  }
  /// Level at f, dB.
  [[nodiscard]] double level(std::size_t view, frequency f) noexcept {
    return power_db(std::norm(response(view)(f)));
  }
  /// Magnitude of the load that a pickup sees, Ω.
  [[nodiscard]] double load(std::size_t view, const std::string& pickup, frequency f) const {
    const source& s = heard_[view].circuit;
    return std::abs(load_seen(s, s.terminals(pickup), f).value());
  }

private:
  static constexpr resonance_search audible{frequency::from_value(100), frequency::from_value(50e3),
                                            frequency::from_value(100)};
  struct listener {
    listener(source s, const std::string& pickup)
        : circuit(std::move(s)), weights(weights_of(circuit, pickup)), compose(circuit.as_circuit()) {}
    void touch() noexcept {
      current = false;
      peak.reset();
    }
    source circuit;
    std::vector<double> weights;
    composer compose;
    transfer_function response;
    std::optional<resonance> peak;
    bool current = false;
  };
  struct hook {
    std::size_t at;
    value_range where;
  };
  struct track_hook {
    std::size_t at;
    value_range where;
    std::size_t control;
    rotation turned;
  };
  struct track {
    std::string name;
    potentiometer part;
    double nominal;
    std::size_t id;
    std::vector<track_hook> hooks;
  };

  void rewrite(const track& t, const track_hook& h) noexcept {
    t.part.turn(heard_[h.at].circuit, h.where, h.turned);
    heard_[h.at].touch();
  }
  [[nodiscard]] std::size_t section_number(const std::string& name, const potentiometer& part,
                                           std::size_t id) {
    for (std::size_t s = 0; s < sections_.size(); ++s)
      if (sections_[s].name == name) return s;
    sections_.push_back({name, part, part.total.value(), id, {}});
    return sections_.size() - 1;
  }

  std::vector<listener> heard_;
  std::vector<std::vector<hook>> part_hooks_;
  std::vector<std::optional<std::size_t>> track_of_;
  std::vector<track> sections_;
};

/// One way for each place, wired. A wiring for some places only leaves the others as they are (`left_out`).
inline constexpr std::size_t left_out = static_cast<std::size_t>(-1);
struct wired_trial {
  wired_trial(const instrument& as_is, const destination& into, const std::vector<ready_place>& places,
              const std::vector<std::size_t>& ways, std::span<const view> views)
      : first_part(places.size()), of(as_is) {
    std::vector<const way*> before;
    for (std::size_t p = 0; p < places.size(); ++p) {
      first_part[p] = parts.size();
      if (ways[p] == left_out) continue;
      const ready_way& w = places[p].ways[ways[p]];
      std::vector<double> values;
      for (std::size_t k = 0; k < w.parts.size(); ++k) {
        const bool pot = w.what.is == way::kind::another_pot;
        parts.push_back({pot ? w.what.at : chosen_name(places[p].name, k), pot});
        values.push_back(w.parts[k].front().value);
      }
      require_compatible(w.what, before, places[p].name);
      altering(of, w.what, values, places[p].name).alter();
      before.push_back(&w.what);
    }
    listened.emplace(of, into, views, parts);
  }

  std::vector<trial_part> parts;
  std::vector<std::size_t> first_part; ///< of a place
  instrument of;
  std::optional<trial> listened;
};

} // namespace lodewire::detail
