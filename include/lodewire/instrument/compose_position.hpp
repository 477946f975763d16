// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/instrument/compose.hpp>
#include <lodewire/instrument/composed_position.hpp>

namespace lodewire {

namespace detail {

/// Puts a position with a wiring by nodes together: its branches as pieces between nodes, and all that follows as the
/// last piece. Every complaint starts with the path to the place.
class nodal_walker : public wiring_walker {
public:
  using wiring_walker::wiring_walker;

  /// True once `walk_to_jack` has met a wiring by nodes; then `nodes` puts it together.
  [[nodiscard]] bool by_nodes() const noexcept { return nodes_ != nullptr; }
  using wiring_walker::require_points_found;
  using wiring_walker::walk_to_jack;

  [[nodiscard]] nodal_pieces nodes(source behind) {
    const std::string path = nodes_path_ + ".branches";
    std::vector<wiring_branch> branches = nodes_->branches;
    require_ends(branches, path);
    for (std::size_t i = 0; i < branches.size(); ++i) put(branches, i, entry(path, i));
    find_faults(branches);
    std::vector<std::size_t> first_piece;
    for (std::size_t i = 0; i < branches.size(); ++i) {
      first_piece.push_back(pieces_.size());
      join(branches[i], i);
    }
    for (nodal_coupling& c : couplings_)
      for (std::size_t& piece : c.piece) piece = first_piece[piece];
    pieces_.insert(pieces_.end(), faults_.begin(), faults_.end());
    pieces_.push_back({"what follows", behind.as_circuit(), std::string(jack_node), ground_node});
    require_points_found();
    std::size_t parts = 0;
    for (const nodal_piece& p : pieces_)
      for (const instruction i : p.program.code) parts += part_count(i.op);
    if (parts > most_parts)
      throw invalid_value(path, "a circuit of " + std::to_string(parts) + " parts with what follows it",
                          std::to_string(most_parts) + " or fewer");
    return {std::move(pieces_), std::move(couplings_), sections_used_, nodes_->out, path};
  }

private:
  static constexpr std::size_t most_parts = 500; ///< or a file of a megabyte would take minutes

  [[nodiscard]] static std::string entry(const std::string& path, std::size_t i) {
    return path + "[" + std::to_string(i) + "]";
  }
  [[nodiscard]] static const char* key_of(const wiring_branch& b) noexcept {
    return b.is == wiring_branch::kind::control ? ".lugs" : ".between";
  }
  [[nodiscard]] static bool is_flux(const wiring_branch& b) noexcept {
    return b.is == wiring_branch::kind::coupled;
  }

  /// Refuses ends that are none: a wrong number of them, both on one node, a node where nothing else is.
  void require_ends(const std::vector<wiring_branch>& branches, const std::string& path) const {
    if (branches.empty()) throw invalid_value(path, "an empty list", "one branch or more");
    const std::string& out = nodes_->out;
    if (out.empty() || out == ground_node)
      throw invalid_value(nodes_path_ + ".out", quoted_name(out), "a node other than 'ground'");
    for (std::size_t i = 0; i < branches.size(); ++i) {
      const wiring_branch& b = branches[i];
      if (is_flux(b)) continue;
      const bool is_control = b.is == wiring_branch::kind::control;
      const std::string here = entry(path, i) + key_of(b);
      if (b.between.size() != (is_control ? 3U : 2U))
        throw invalid_value(here, std::to_string(b.between.size()) + " long",
                            is_control ? "three nodes, for lugs 1, 2 and 3" : "two nodes");
      std::vector<std::string> ends;
      for (const std::string& node : b.between) {
        if (node == jack_node)
          throw invalid_value(here, "'jack'", "another name: the jack lies behind all that follows");
        if (!node.empty() && std::find(ends.begin(), ends.end(), node) == ends.end()) ends.push_back(node);
        if (node.empty() && !is_control) throw invalid_value(here, "''", "a name for each node");
        if (!node.empty() && node != ground_node && node != out && ends_at(branches, node) < 2)
          throw invalid_value(here, quoted_name(node) + ", where nothing else is",
                              is_control
                                  ? "a node with something else on it, or nothing for a lug that is free"
                                  : "a node with something else on it");
      }
      if (ends.size() < 2)
        throw invalid_value(here, ends.empty() ? "no node" : "all on " + quoted_name(ends.front()),
                            "two different nodes");
    }
    if (ends_at(branches, out) == 0)
      throw invalid_value(nodes_path_ + ".out", quoted_name(out), "a node of the branches");
  }
  [[nodiscard]] static std::string quoted_name(const std::string& name) { return "'" + name + "'"; }
  [[nodiscard]] static std::size_t ends_at(const std::vector<wiring_branch>& branches,
                                           const std::string& node) {
    std::size_t ends = 0;
    for (const wiring_branch& b : branches)
      if (!is_flux(b)) ends += static_cast<std::size_t>(std::count(b.between.begin(), b.between.end(), node));
    return ends;
  }

  /// The programs of a branch; their nodes come later, when faults have been put between.
  void put(const std::vector<wiring_branch>& branches, std::size_t i, const std::string& path) {
    const wiring_branch& b = branches[i];
    circuit one, other;
    switch (b.is) {
    case wiring_branch::kind::pickup: {
      wiring w = from_pickup(b.name);
      w.mode = b.mode;
      w.across_idle_coil = b.across_idle_coil;
      w.leads_swapped = b.leads_swapped;
      source s = pickup_source(w, path);
      visit_fault(s, b.name);
      one = s.as_circuit();
      break;
    }
    case wiring_branch::kind::part: one = one_port_of(b.part, path + ".part").as_circuit(); break;
    case wiring_branch::kind::control: {
      const section_of at = section(b.name, path + ".control");
      one = at.part.as_rheostat(at.turned, lugs::one_two).as_circuit();
      other = at.part.as_rheostat(at.turned, lugs::two_three).as_circuit();
      break;
    }
    case wiring_branch::kind::coupled: couple(branches, i, path); break;
    }
    programs_.push_back({std::move(one), std::move(other)});
  }

  void couple(const std::vector<wiring_branch>& branches, std::size_t i, const std::string& path) {
    const wiring_branch& b = branches[i];
    if (b.between.size() != 2)
      throw invalid_value(path + ".coupled", std::to_string(b.between.size()) + " long", "two coils");
    require_within(path + ".coupling", b.coupling, -1.0, 1.0);
    if (b.between[0] == b.between[1])
      throw invalid_value(path + ".coupled", quoted_name(b.between[0]) + " with itself",
                          "two different coils");
    nodal_coupling c{.name = "flux " + std::to_string(i + 1), .coupling = b.coupling};
    for (std::size_t k = 0; k < 2; ++k) {
      const auto found = find_coil(branches, b.between[k]);
      if (!found)
        throw invalid_value(path + ".coupled", quoted_name(b.between[k]),
                            "a coil of this wiring: a pickup's name, or 'pickup.coil' of one with two");
      c.piece[k] = found->first;
      c.inductor[k] = found->second;
    }
    for (std::size_t j = 0; j < i; ++j)
      if (is_flux(branches[j]) && branches[j].between.size() == 2 &&
          std::minmax(branches[j].between[0], branches[j].between[1]) ==
              std::minmax(b.between[0], b.between[1]))
        throw invalid_value(path + ".coupled", "two coils that are coupled already",
                            "each pair of coils once");
    couplings_.push_back(std::move(c));
  }
  /// The branch and the number of the main inductance in it.
  [[nodiscard]] std::optional<std::pair<std::size_t, std::size_t>>
  find_coil(const std::vector<wiring_branch>& branches, const std::string& name) const {
    for (std::size_t i = 0; i < branches.size(); ++i) {
      if (branches[i].is != wiring_branch::kind::pickup) continue;
      const pickup& p = of_.pickups[find_named(of_.pickups, branches[i].name, "pickup")];
      if (const auto* coil = std::get_if<magnetic_coil>(&p); coil && coil->name == name)
        return std::pair{i, 1U};
      const auto* pair = std::get_if<coil_pair>(&p);
      if (!pair) continue;
      // In the order in which `coil_pair` puts its windings: the one that is heard alone comes first, and with the
      // leads swapped a series connection begins with the second coil.
      const bool in_series =
          branches[i].mode == pickup_mode::whole || branches[i].mode == pickup_mode::series_out_of_phase;
      const bool second_first =
          branches[i].mode == pickup_mode::second || (branches[i].leads_swapped && in_series);
      const magnetic_coil* halves[2] = {&pair->first, &pair->second};
      if (second_first) std::swap(halves[0], halves[1]);
      std::size_t number = 1;
      for (const magnetic_coil* half : halves) {
        if (pair->name + "." + half->name == name) return std::pair{i, number};
        number +=
            1 + static_cast<std::size_t>(std::count_if(half->eddy.begin(), half->eddy.end(),
                                                       [](auto& e) { return e.inductance.value() != 0; }));
      }
    }
    return std::nullopt;
  }

  // -- faults ----------------------------------------------------------------------------------------------
  /// At a pickup; what a node of the same name has is not meant then.
  void visit_fault(source& s, const std::string& name) { visit_point(s, name); }

  struct end {
    std::size_t branch, at;
  };
  /// The ends that a name stands for: of a part, a lug, or all at a node.
  [[nodiscard]] static std::vector<end> ends_named(const std::vector<wiring_branch>& branches,
                                                   const std::string& name) {
    std::vector<end> at_node;
    for (std::size_t i = 0; i < branches.size(); ++i) {
      const wiring_branch& b = branches[i];
      if (is_flux(b)) continue;
      if (b.is == wiring_branch::kind::part && b.name == name && !name.empty()) return {{i, 0}};
      for (std::size_t k = 0; k < b.between.size(); ++k) {
        if (b.is == wiring_branch::kind::control && !b.between[k].empty() && lug_name(b.name, k + 1) == name)
          return {{i, k}};
        if (b.between[k] == name && name != ground_node) at_node.push_back({i, k});
      }
    }
    return at_node;
  }
  void find_faults(std::vector<wiring_branch>& branches) {
    if (!options_.inject_at.empty() && !injected_)
      if (const auto ends = ends_named(branches, options_.inject_at); !ends.empty()) {
        injected_ = true;
        faults_.push_back({"injected", ideal_current(current::from_value(1), "injected").as_circuit(),
                           branches[ends[0].branch].between[ends[0].at], ground_node});
      }
    for (std::size_t i = 0; i < options_.faults.size(); ++i) {
      if (faults_used_[i]) continue;
      const fault& f = options_.faults[i];
      const auto ends = ends_named(branches, f.at);
      if (ends.empty()) continue;
      faults_used_[i] = true;
      std::string& node = branches[ends[0].branch].between[ends[0].at];
      const circuit z =
          (is_open(f.resistance.value()) ? open_circuit()
                                         : one_port(require_not_negative("fault.resistance", f.resistance)))
              .as_circuit();
      const std::string name = "fault " + std::to_string(i + 1);
      if (f.is == fault::kind::leak) {
        if (node != ground_node) faults_.push_back({name, z, node, ground_node});
        continue;
      }
      const bool is_node = node == f.at;
      const std::size_t meeting = ends.size() + (is_node && f.at == nodes_->out ? 1 : 0);
      if (is_node && meeting != 2)
        throw invalid_value("fault.at",
                            quoted_name(f.at) + ", where " + std::to_string(meeting) + " ends meet",
                            "a joint at a node with two ends, or at a part or lug by its name ('" +
                                lug_name("control", 2) + "')");
      faults_.push_back(
          {name, z, std::exchange(node, f.at + " behind the joint"), f.at + " behind the joint"});
    }
  }

  /// Puts the pieces of a branch between its nodes.
  void join(const wiring_branch& b, std::size_t i) {
    const std::string name = "branch " + std::to_string(i + 1) + (b.name.empty() ? "" : " " + b.name);
    auto& [one, other] = programs_[i];
    if (is_flux(b)) return;
    if (b.is != wiring_branch::kind::control) {
      pieces_.push_back({name, std::move(one), b.between[0], b.between[1]});
      return;
    }
    const auto leg = [&](circuit& program, const std::string& from, const std::string& to,
                         const char* which) {
      if (!from.empty() && !to.empty() && from != to)
        pieces_.push_back({name + which, std::move(program), from, to});
    };
    leg(one, b.between[1], b.between[0], " lower");
    leg(other, b.between[2], b.between[1], " upper");
  }

  std::vector<std::pair<circuit, circuit>> programs_;
  std::vector<nodal_piece> pieces_, faults_;
  std::vector<nodal_coupling> couplings_;
};

/// The circuit of a wiring's pieces; what the netlist refuses is refused at the wiring's path.
[[nodiscard]] inline nodal_circuit made_by_nodes(nodal_pieces of) {
  try {
    return nodal_circuit(std::move(of.pieces), std::move(of.couplings), std::move(of.sections),
                         std::move(of.out));
  } catch (const singular_netlist& error) {
    throw invalid_value(of.path, error.what(), "branches that give every voltage one answer");
  } catch (const invalid_value& error) { // of the netlist, which knows no path
    const std::string text = error.what(), between = "; allowed: ";
    const std::size_t cut = text.rfind(between);
    throw invalid_value(of.path, "such that " + text.substr(0, cut), text.substr(cut + between.size()));
  }
}

} // namespace detail

/// A position up to the jack, and behind that what it is plugged into (an empty stage: nothing), its knobs as given.
/// Takes trees and wirings by nodes. Throws `invalid_value` that begins with the path of what is wrong.
[[nodiscard]] inline composed_position compose_position(const instrument& of, std::size_t position,
                                                        std::span<const rotation> knobs,
                                                        const compose_options& options = {},
                                                        const stage& into = {}) {
  detail::require_position(of, position);
  detail::nodal_walker walker(of, knobs, options);
  source s = walker.walk_to_jack(of.positions[position]) | into;
  if (walker.by_nodes()) return composed_position(detail::made_by_nodes(walker.nodes(std::move(s))));
  walker.require_points_found();
  return composed_position(std::move(s));
}

/// The same with the knobs where they stand.
[[nodiscard]] inline composed_position compose_position(const instrument& of, std::size_t position,
                                                        const compose_options& options = {},
                                                        const stage& into = {}) {
  return compose_position(of, position, knobs_of(of), options, into);
}

/// A position plugged into a destination. Throws as above.
[[nodiscard]] inline composed_position plug_in(const instrument& of, std::size_t position,
                                               std::span<const rotation> knobs, const destination& into,
                                               const compose_options& options = {}) {
  return compose_position(of, position, knobs, options, stage(into.lead) | stage(into.into));
}
[[nodiscard]] inline composed_position plug_in(const instrument& of, std::size_t position,
                                               const destination& into, const compose_options& options = {}) {
  return plug_in(of, position, knobs_of(of), into, options);
}

} // namespace lodewire
