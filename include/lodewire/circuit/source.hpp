// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <concepts>
#include <span>
#include <string>
#include <string_view>

#include <lodewire/circuit/stage.hpp>

namespace lodewire {

/// A source: a Thévenin equivalent [E : N : D] with one E for each EMF in it (eq. 1). Results come for each EMF,
/// as their coherent sum, and as a power sum. A plain value; evaluating it needs a `workspace`.
class source {
public:
  /// From a program that leaves one entry with at least one EMF. Throws `std::invalid_argument` for a program that
  /// does not. Ideal sources that contradict each other show only when a result is asked for.
  constexpr explicit source(circuit program) : circuit_(std::move(program)) {
    detail::require_well_formed(circuit_, 0, "source");
    if (circuit_.emfs.empty()) throw std::invalid_argument("source: the program has no EMF");
  }

  [[nodiscard]] constexpr const circuit& as_circuit() const noexcept { return circuit_; }
  [[nodiscard]] std::span<const std::string> emf_names() const noexcept { return circuit_.emfs; }
  /// Number of the EMF of that name. Throws `invalid_value` that lists the names.
  [[nodiscard]] std::size_t emf(std::string_view name) const { return find_name("EMF", circuit_.emfs, name); }
  /// Throws `invalid_value` for a number past the last EMF.
  void require_emf(std::size_t number) const {
    if (number >= circuit_.emfs.size())
      throw invalid_value("EMF number", std::to_string(number),
                          "0 to " + std::to_string(circuit_.emfs.size() - 1));
  }
  /// Number of the terminal pair of that name (each pickup puts one). Throws `invalid_value`.
  [[nodiscard]] std::size_t terminals(std::string_view name) const {
    return find_name("terminal pair", circuit_.terminals, name);
  }
  /// The values that a named part wrote. Throws `invalid_value` that lists the names.
  [[nodiscard]] value_range range(std::string_view name) const {
    std::vector<std::string> names;
    for (const named_range& r : circuit_.ranges) names.push_back(r.name);
    return circuit_.ranges[find_name("named part", names, name)].range;
  }

  /// Rewrites value `index` of a range, in coherent SI: no allocation, no check. The part that owns the range does
  /// this (`potentiometer::turn`). Precondition: the range is this circuit's, index < count.
  constexpr void rewrite(value_range where, std::size_t index, double in_si) noexcept {
    circuit_.values[where.first + index] = in_si;
  }
  /// Rewrites a resistor, inductor or capacitor that was given a name. Throws `invalid_value` for a value that is
  /// negative or not finite, or a range that does not hold one value of that unit.
  template <class Unit>
  void assign(value_range where, boost::units::quantity<Unit> q);

  [[nodiscard]] bool operator==(const source&) const = default;

private:
  circuit circuit_;
};

/// Whatever can stand where a source is wanted: a coil, a coil pair, an active pickup.
template <class T>
concept Source = std::convertible_to<T, source>;

/// An ideal EMF [e : 0 : 1].
[[nodiscard]] constexpr source ideal_emf(voltage e, std::string name = "emf") {
  circuit c;
  emit(c, opcode::emf, {require_finite("emf", e).value()});
  c.emfs.push_back(std::move(name));
  return source(std::move(c));
}

/// An ideal current source [i : 1 : 0].
[[nodiscard]] constexpr source ideal_current(current i, std::string name = "current") {
  circuit c;
  emit(c, opcode::current_source, {require_finite("current", i).value()});
  c.emfs.push_back(std::move(name));
  return source(std::move(c));
}

/// The source behind a stage.
[[nodiscard]] constexpr source operator|(const source& from, const stage& through) {
  circuit c = from.as_circuit();
  append(c, through.as_circuit());
  return source(std::move(c));
}

/// The source with its two leads swapped (eq. 10).
[[nodiscard]] constexpr source reversed(const source& s) {
  circuit c = s.as_circuit();
  emit(c, opcode::reverse);
  return source(std::move(c));
}

template <class Unit>
void source::assign(value_range where, boost::units::quantity<Unit> q) {
  const auto holds = [](opcode op) {
    using enum opcode;
    if constexpr (std::same_as<Unit, si::resistance>)
      return op == resistor || op == series_r || op == shunt_r;
    if constexpr (std::same_as<Unit, si::inductance>)
      return op == inductor || op == series_l || op == shunt_l;
    if constexpr (std::same_as<Unit, si::capacitance>)
      return op == capacitor || op == series_c || op == shunt_c;
    return false;
  };
  bool found = false;
  for (const instruction i : circuit_.code) found = found || (i.slot == where.first && holds(i.op));
  if (!found || where.count != 1)
    throw invalid_value("range", "of another kind", "a single part whose unit is that of the new value");
  rewrite(where, 0, require_not_negative("new value", q).value());
}

} // namespace lodewire
