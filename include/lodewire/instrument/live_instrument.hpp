// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <complex>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include <lodewire/instrument/compose_position.hpp>

namespace lodewire {

/// An instrument under the hands of a player: every position composed once, plugged into one destination. Turning a
/// knob rewrites the values of that control where it is wired and marks those positions; the response of a position is
/// composed again when it is next asked for; one that goes by its nodes is solved, point by point, in a workspace made
/// once. Neither allocates nor throws. A plain value; two threads need two.
class live_instrument {
public:
  /// Throws as `compose_position` does, and `capacity_exceeded` for a tree of more than degree 63.
  live_instrument(const instrument& of, const destination& into, const compose_options& options = {})
      : knobs_(knobs_of(of)), hooks_(of.controls.size()) {
    for (std::size_t p = 0; p < of.positions.size(); ++p) {
      const composed_position composed = plug_in(of, p, knobs_, into, options);
      if (composed.tree()) {
        places_.emplace_back(*composed.tree());
      } else {
        places_.emplace_back(*composed.nodes());
      }
      for (std::size_t c = 0; c < of.controls.size(); ++c)
        for (std::size_t section = 0; section < of.controls[c].sections.size(); ++section)
          hook_up(p, c, of.controls[c].sections[section], section_name(of.controls[c], section));
    }
  }

  [[nodiscard]] std::size_t positions() const noexcept { return places_.size(); }
  [[nodiscard]] std::span<const rotation> knobs() const noexcept { return knobs_; }
  /// True where the control is wired into the position.
  [[nodiscard]] bool works_in(std::size_t control, std::size_t position) const noexcept {
    for (const hook& h : hooks_[control])
      if (h.position == position) return true;
    return false;
  }

  /// Turns a control (by number, precondition: it is there).
  void turn(std::size_t control, rotation to) noexcept {
    knobs_[control] = to;
    for (const hook& h : hooks_[control]) {
      place& p = places_[h.position];
      if (p.by_nodes) {
        const potentiometer_legs legs = h.section.legs(to);
        p.by_nodes->turn(h.leg, (h.lower ? legs.lower : legs.upper).value());
      } else {
        h.section.turn(*p.tree, h.where, to);
        p.current = false;
      }
    }
  }

  /// True for a position that goes by its nodes: it has no source and no transfer function.
  [[nodiscard]] bool by_nodes(std::size_t position) const noexcept {
    return places_[position].by_nodes.has_value();
  }
  /// The position as it is now, from the pickups to the destination's input. Precondition: not `by_nodes`.
  [[nodiscard]] const source& at(std::size_t position) const noexcept { return *places_[position].tree; }

  /// The coherent response of the position with its knobs as they are. Composed only if a knob of it has moved. Not
  /// `defined()` where ideal sources contradict each other, and for a position `by_nodes`: ask that by frequency.
  [[nodiscard]] const transfer_function& response(std::size_t position) noexcept {
    place& p = places_[position];
    if (!p.current && p.tree) {
      p.response = p.compose->response(p.tree->as_circuit(), std::span<const double>{});
      p.current = true;
    }
    return p.response;
  }
  /// The coherent response at one frequency, more than 0, of any position. By nodes: some microseconds.
  [[nodiscard]] std::complex<double> response(std::size_t position, frequency f) noexcept {
    place& p = places_[position];
    return p.tree ? response(position)(f) : p.by_nodes->response(detail::on_axis(f.value()), {}, *p.room);
  }
  /// The same at many frequencies in Hz. Both spans are of one length.
  void responses(std::size_t position, std::span<const double> hz,
                 std::span<std::complex<double>> out) noexcept {
    place& p = places_[position];
    if (p.tree) return response(position).evaluate(hz, out);
    for (std::size_t i = 0; i < hz.size(); ++i)
      out[i] = p.by_nodes->response(detail::on_axis(hz[i]), {}, *p.room);
  }
  /// The resonance of any position. Throws `invalid_value` where the response is not defined. Allocates nothing. Cost:
  /// microseconds of a tree, a millisecond or two by nodes.
  [[nodiscard]] resonance peak(std::size_t position, const resonance_search& where = {}) {
    place& p = places_[position];
    if (p.tree) return find_resonance(response(position), where);
    return detail::find_resonance_pointwise(
        [&p](std::complex<double> s) { return p.by_nodes->response(s, {}, *p.room); }, where);
  }

private:
  struct place {
    explicit place(source s) : tree(std::move(s)), compose(tree->as_circuit()) {}
    explicit place(nodal_circuit nodes) : by_nodes(std::move(nodes)), room(by_nodes->make_workspace()) {}
    std::optional<source> tree;
    std::optional<composer> compose;
    std::optional<nodal_circuit> by_nodes;
    std::optional<netlist_workspace> room;
    transfer_function response;
    bool current = false;
  };
  struct hook {
    std::size_t position;
    potentiometer section;
    value_range where{}; ///< of a tree
    std::size_t leg = 0; ///< by nodes
    bool lower = false;
  };

  void hook_up(std::size_t position, std::size_t control, const potentiometer& section,
               const std::string& name) {
    const place& p = places_[position];
    if (p.tree) {
      for (const named_range& r : p.tree->as_circuit().ranges)
        if (r.name == name) hooks_[control].push_back({position, section, r.range});
      return;
    }
    const auto legs = p.by_nodes->legs();
    for (std::size_t k = 0; k < legs.size(); ++k)
      if (legs[k].section == name) hooks_[control].push_back({position, section, {}, k, legs[k].lower});
  }

  std::vector<rotation> knobs_;
  std::vector<place> places_;
  std::vector<std::vector<hook>> hooks_;
};

} // namespace lodewire
