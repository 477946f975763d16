// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <optional>
#include <span>
#include <utility>
#include <vector>

#include <lodewire/circuit/composer.hpp>
#include <lodewire/instrument/compose.hpp>

namespace lodewire {

/// An instrument under the hands of a player: every position composed once, plugged into one destination. Turning a
/// knob rewrites the values of that control where it is wired and marks those positions; the response of a position is
/// composed again when it is next asked for. Neither allocates nor throws. A plain value; two threads need two.
class live_instrument {
public:
  /// Throws as `compose` does, and `capacity_exceeded` for a position of more than degree 63.
  live_instrument(const instrument& of, const destination& into, const compose_options& options = {})
      : knobs_(knobs_of(of)), hooks_(of.controls.size()) {
    for (std::size_t p = 0; p < of.positions.size(); ++p) {
      source s = compose(of, p, knobs_, options) | into.lead | into.into;
      places_.emplace_back(std::move(s));
      for (std::size_t c = 0; c < of.controls.size(); ++c)
        for (std::size_t section = 0; section < of.controls[c].sections.size(); ++section) {
          const std::string name = section_name(of.controls[c], section);
          for (const named_range& r : places_[p].circuit.as_circuit().ranges)
            if (r.name == name) hooks_[c].push_back({p, r.range, of.controls[c].sections[section]});
        }
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
      h.section.turn(places_[h.position].circuit, h.where, to);
      places_[h.position].current = false;
    }
  }

  /// The position as it is now, from the pickups to the destination's input.
  [[nodiscard]] const source& at(std::size_t position) const noexcept { return places_[position].circuit; }

  /// The coherent response of the position with its knobs as they are. Composed only if a knob of it has moved. Not
  /// `defined()` where ideal sources contradict each other.
  [[nodiscard]] const transfer_function& response(std::size_t position) noexcept {
    place& p = places_[position];
    if (!p.current) {
      p.response = p.compose.response(p.circuit.as_circuit(), std::span<const double>{});
      p.current = true;
    }
    return p.response;
  }

private:
  struct place {
    explicit place(source s) : circuit(std::move(s)), compose(circuit.as_circuit()) {}
    source circuit;
    composer compose;
    transfer_function response;
    bool current = false;
  };
  struct hook {
    std::size_t position;
    value_range where;
    potentiometer section;
  };

  std::vector<rotation> knobs_;
  std::vector<place> places_;
  std::vector<std::vector<hook>> hooks_;
};

} // namespace lodewire
