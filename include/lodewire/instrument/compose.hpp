// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/circuit/join.hpp>
#include <lodewire/instrument/instrument.hpp>

namespace lodewire {

/// What is wrong at a point: a joint with resistance in the hot lead, or a leak from there to ground. An open joint is
/// `open_value` ohms, a short is a leak of 0 Ω. Points are the pickups' names (behind their own lead), the names given
/// by `point` and `amplifier` steps, and "jack"; in a wiring by nodes also its nodes, its parts by name (there at their
/// first node) and the lugs of its controls (`lug_name`). A joint at a node needs just two ends there: where more meet,
/// it is a part or a lug that has the bad joint.
struct fault {
  enum class kind : std::uint8_t { joint, leak };
  std::string at;
  kind is = kind::joint;
  lodewire::resistance resistance{};
};

/// What to compose besides what the instrument says.
struct compose_options {
  std::vector<fault> faults{};
  /// A point into which 1 A is driven, as an EMF named "injected": the road of electric hum.
  std::string inject_at{};
  /// Off: active pickups and amplifiers have no supply. A pickup presents its `as_unpowered`, an amplifier passes
  /// nothing.
  bool powered = true;
};

namespace detail {

/// Walks a wiring and puts the program together. Every complaint starts with the path to the place.
class wiring_walker {
public:
  wiring_walker(const instrument& of, std::span<const rotation> knobs, const compose_options& options)
      : of_{of}, knobs_{knobs}, options_{options}, faults_used_(options.faults.size(), false) {
    if (knobs.size() != of.controls.size())
      throw invalid_value("knobs", std::to_string(knobs.size()) + " long",
                          "one for each control: " + std::to_string(of.controls.size()));
  }

  [[nodiscard]] source compose(const position& p) {
    source s = walk_to_jack(p);
    if (nodes_ != nullptr)
      throw invalid_value(nodes_path_, "a wiring by nodes",
                          "a tree, where a source is asked for (`compose_position` takes both)");
    require_points_found();
    return s;
  }

protected:
  /// All up to the jack; behind a wiring by nodes, all that follows it (`behind_nodes`).
  [[nodiscard]] source walk_to_jack(const position& p) {
    source s = walk(p.wired, "positions." + p.name + ".wiring");
    follow(s, of_.output, "output");
    visit_point(s, "jack");
    return s;
  }

  /// A source of 0 A, at whose terminals the wiring by nodes is joined to what follows.
  [[nodiscard]] static source behind_nodes() {
    circuit c;
    emit(c, opcode::current_source, {0.0});
    c.emfs.emplace_back();
    emit(c, opcode::terminals, {}, 0);
    c.terminals.emplace_back("nodes");
    return source(std::move(c));
  }

  [[nodiscard]] source walk(const wiring& w, const std::string& path) {
    std::optional<source> s;
    switch (w.is) {
    case wiring::kind::pickup:
      s = pickup_source(w, path);
      visit_point(*s, w.name);
      break;
    case wiring::kind::circuit: {
      if (std::find(open_.begin(), open_.end(), w.name) != open_.end())
        throw invalid_value(path + ".circuit", "'" + w.name + "', which leads back to itself",
                            "a circuit that does not contain this place");
      const position& kept = of_.circuits[find_named(of_.circuits, w.name, path + ".circuit")];
      open_.push_back(w.name);
      s = walk(kept.wired, "circuits." + w.name + ".wiring");
      open_.pop_back();
      break;
    }
    case wiring::kind::series:
    case wiring::kind::parallel: {
      const bool in_series = w.is == wiring::kind::series;
      const std::string group = path + (in_series ? ".series" : ".parallel");
      if (w.of.size() < 2)
        throw invalid_value(group, std::to_string(w.of.size()) + " long", "two wirings or more");
      std::vector<source> parts;
      for (std::size_t i = 0; i < w.of.size(); ++i)
        parts.push_back(walk(w.of[i], group + "[" + std::to_string(i) + "]"));
      if (nodes_ != nullptr) refuse_nodes("in a group");
      s = in_series ? series(std::span<const source>(parts)) : parallel(std::span<const source>(parts));
      break;
    }
    case wiring::kind::nodes:
      nodes_ = &w;
      nodes_path_ = path;
      s = behind_nodes();
      break;
    }
    if (w.leads_swapped && w.is != wiring::kind::pickup) {
      if (nodes_ != nullptr) refuse_nodes("with its leads swapped");
      s = reversed(*s);
    }
    follow(*s, w.then, path + ".then");
    return *s;
  }

  [[noreturn]] void refuse_nodes(const char* where) const {
    throw invalid_value(nodes_path_ + ".branches", where,
                        "a wiring by nodes alone in its position, with nothing but steps behind it");
  }

  [[nodiscard]] source pickup_source(const wiring& w, const std::string& path) {
    const pickup& p = of_.pickups[find_named(of_.pickups, w.name, path + ".pickup")];
    use_once(pickups_used_, w.name, path + ".pickup");
    if (const auto* pair = std::get_if<coil_pair>(&p))
      return pair_source(w.leads_swapped ? with_leads_swapped(*pair, w.mode) : *pair, w, path);
    if (w.mode != pickup_mode::whole)
      throw invalid_value(path + ".mode", "of a pickup with two coils", "whole, for '" + w.name + "'");
    if (const auto* coil = std::get_if<magnetic_coil>(&p)) return w.leads_swapped ? reversed(*coil) : *coil;
    if (const auto* active = std::get_if<active_pickup>(&p); active && !options_.powered)
      return unpowered(*active);
    const source s = std::visit([](const auto& part) { return source_of(part); }, p);
    return w.leads_swapped ? reversed(s) : s;
  }

  /// The capacitances to ground and the cover stay where they are on a winding whose leads are swapped.
  [[nodiscard]] static coil_pair with_leads_swapped(const coil_pair& of, pickup_mode mode) {
    coil_pair pair = of;
    const bool in_series = mode == pickup_mode::whole || mode == pickup_mode::series_out_of_phase;
    if (in_series) std::swap(pair.first, pair.second);         // what was at the hot end is now at ground
    if (mode == pickup_mode::series_out_of_phase) return pair; // its second coil is turned, now the other one
    pair.first = reversed(pair.first);
    pair.second = reversed(pair.second);
    return pair;
  }
  [[nodiscard]] static source pair_source(const coil_pair& pair, const wiring& w, const std::string& path) {
    const bool single = w.mode == pickup_mode::first || w.mode == pickup_mode::second;
    if (w.across_idle_coil && !single)
      throw invalid_value(path + ".across_idle_coil", engineering(*w.across_idle_coil),
                          "nothing where no coil is idle");
    switch (w.mode) {
    case pickup_mode::parallel: return pair.as_parallel();
    case pickup_mode::series_out_of_phase: return pair.as_series_out_of_phase();
    case pickup_mode::parallel_out_of_phase: return pair.as_parallel_out_of_phase();
    case pickup_mode::first:
    case pickup_mode::second:
      return pair.as_single(w.mode == pickup_mode::first ? which_coil::first : which_coil::second,
                            w.across_idle_coil ? idle_coil::bypassed(*w.across_idle_coil)
                                               : idle_coil::open());
    default: return pair.as_series();
    }
  }
  [[nodiscard]] static source source_of(const coil_pair& p) { return p.as_series(); }
  [[nodiscard]] static source source_of(const source& s) { return s; }

  /// What is left of an active pickup without supply: its output as a one-port, and no signal.
  [[nodiscard]] static source unpowered(const active_pickup& p) {
    circuit c;
    emit(c, opcode::emf, {0.0});
    c.emfs.push_back(p.name);
    join(c, p.as_unpowered().as_circuit(), opcode::join_series);
    emit(c, opcode::terminals, {}, 0);
    c.terminals.push_back(p.name);
    return source(std::move(c));
  }

  void follow(source& s, const std::vector<wiring_step>& steps, const std::string& path) {
    for (std::size_t i = 0; i < steps.size(); ++i) {
      const wiring_step& step = steps[i];
      const std::string here = path + "[" + std::to_string(i) + "]";
      switch (step.is) {
      case wiring_step::kind::volume:
      case wiring_step::kind::reversed_volume: s = s | volume(step, here); break;
      case wiring_step::kind::shunt: s = s | in_shunt(one_port_of(step.part, here + ".shunt")); break;
      case wiring_step::kind::series: s = s | in_series(one_port_of(step.part, here + ".series")); break;
      case wiring_step::kind::amplifier: {
        const onboard_amplifier& a = step.amplifier;
        require_finite(here + ".amplifier.gain", a.gain);
        require_positive(here + ".amplifier.input_resistance", a.input_resistance);
        require_not_negative(here + ".amplifier.input_capacitance", a.input_capacitance);
        require_not_negative(here + ".amplifier.output_resistance", a.output_resistance);
        s = s | buffer(options_.powered ? a.gain : 0., parallel(a.input_resistance, a.input_capacitance),
                       a.output_resistance);
        if (!step.name.empty()) visit_point(s, step.name);
        break;
      }
      case wiring_step::kind::point:
        if (step.name.empty()) throw invalid_value(here + ".point", "''", "a name");
        visit_point(s, step.name);
        break;
      }
    }
  }

  [[nodiscard]] stage volume(const wiring_step& step, const std::string& path) {
    const section_of at =
        section(step.control, path + (step.is == wiring_step::kind::volume ? ".volume" : ".reversed_volume"));
    potentiometer_wiring with;
    const auto fill = [&](std::optional<one_port>& to, const std::optional<network>& from,
                          const char* member) {
      if (from) to = one_port_of(*from, path + "." + member);
    };
    fill(with.bleed, step.bleed, "bleed");
    fill(with.across_track, step.across_track, "across_track");
    fill(with.wiper_to_low, step.wiper_to_low, "wiper_to_low");
    return step.is == wiring_step::kind::volume ? at.part.as_divider(at.turned, with)
                                                : at.part.as_reversed_divider(at.turned, with);
  }

  [[nodiscard]] one_port one_port_of(const network& n, const std::string& path) {
    const auto named = [&n](one_port z) { return n.name.empty() ? z : z.named(n.name); };
    switch (n.is) {
    case network::kind::resistor: return named(require_not_negative(path + ".resistor", n.resistance));
    case network::kind::capacitor: return named(n.capacitor);
    case network::kind::inductor: return named(require_not_negative(path + ".inductor", n.inductance));
    case network::kind::rheostat: {
      const section_of at = section(n.control, path + ".rheostat");
      return at.part.as_rheostat(at.turned, n.in_use);
    }
    default: break;
    }
    const bool in_series = n.is == network::kind::series;
    const std::string group = path + (in_series ? ".series" : ".parallel");
    if (n.of.size() < 2)
      throw invalid_value(group, std::to_string(n.of.size()) + " long", "two networks or more");
    std::vector<one_port> parts;
    for (std::size_t i = 0; i < n.of.size(); ++i)
      parts.push_back(one_port_of(n.of[i], group + "[" + std::to_string(i) + "]"));
    return in_series ? series(std::span<const one_port>(parts)) : parallel(std::span<const one_port>(parts));
  }

  struct section_of {
    potentiometer part;
    rotation turned;
  };
  [[nodiscard]] section_of section(const std::string& name, const std::string& path) {
    const control_section found = find_section(of_, name, path);
    potentiometer part = of_.controls[found.control].sections[found.section];
    part.name = section_name(of_.controls[found.control], found.section);
    use_once(sections_used_, part.name, path);
    return {std::move(part), knobs_[found.control]};
  }

  /// A pickup has two leads and a section three lugs: neither can be in two places of one position.
  static void use_once(std::vector<std::string>& used, const std::string& name, const std::string& path) {
    if (std::find(used.begin(), used.end(), name) != used.end())
      throw invalid_value(path, "'" + name + "' a second time", "each of them once in a position");
    used.push_back(name);
  }

  void visit_point(source& s, std::string_view name) {
    for (std::size_t i = 0; i < options_.faults.size(); ++i) {
      const fault& f = options_.faults[i];
      if (f.at != name) continue;
      faults_used_[i] = true;
      const double ohms = f.resistance.value();
      const one_port z = is_open(ohms) ? open_circuit() : one_port(f.resistance);
      s = s | (f.is == fault::kind::joint ? in_series(z) : in_shunt(z));
    }
    if (!options_.inject_at.empty() && options_.inject_at == name && !injected_) {
      injected_ = true;
      s = parallel(s, ideal_current(current::from_value(1), "injected"));
    }
  }
  void require_points_found() const {
    for (std::size_t i = 0; i < faults_used_.size(); ++i)
      if (!faults_used_[i])
        throw invalid_value("fault.at", "'" + options_.faults[i].at + "'", "a point of this position");
    if (!options_.inject_at.empty() && !injected_)
      throw invalid_value("inject_at", "'" + options_.inject_at + "'", "a point of this position");
  }

  const instrument& of_;
  std::span<const rotation> knobs_;
  const compose_options& options_;
  std::vector<bool> faults_used_;
  std::vector<std::string> open_, pickups_used_, sections_used_;
  bool injected_ = false;
  const wiring* nodes_ = nullptr; ///< the wiring by nodes that was met
  std::string nodes_path_;
};

inline void require_position(const instrument& of, std::size_t position) {
  if (position < of.positions.size()) return;
  throw invalid_value("position", std::to_string(position),
                      of.positions.empty() ? "nothing: this instrument has no position"
                                           : "0 to " + std::to_string(of.positions.size() - 1));
}

} // namespace detail

/// Where the instrument's own knobs stand.
[[nodiscard]] inline std::vector<rotation> knobs_of(const instrument& of) {
  std::vector<rotation> knobs;
  for (const control& c : of.controls) knobs.push_back(c.at);
  return knobs;
}

/// A position as a source up to the jack, its knobs as given (one rotation for each control, in their order). Every
/// section of a control is found again by its name (`source::range`), every pickup's terminals by the pickup's name.
/// Throws `invalid_value` that begins with the path of what is wrong; a wiring by nodes is no source and is refused:
/// `compose_position` takes it too. Cost: some microseconds a part.
[[nodiscard]] inline source compose(const instrument& of, std::size_t position,
                                    std::span<const rotation> knobs, const compose_options& options = {}) {
  detail::require_position(of, position);
  return detail::wiring_walker(of, knobs, options).compose(of.positions[position]);
}

/// The same with the knobs where they stand.
[[nodiscard]] inline source compose(const instrument& of, std::size_t position,
                                    const compose_options& options = {}) {
  return compose(of, position, knobs_of(of), options);
}

} // namespace lodewire
