// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <concepts>
#include <string>
#include <utility>

#include <lodewire/circuit/program.hpp>
#include <lodewire/quantity/units.hpp>

namespace lodewire {

/// A passive one-port, Z = N/D (eq. 3). A resistance, an inductance or a capacitance is one as it stands: zero is
/// a short for R and L and an open for C, as the arithmetic has it. Throws `invalid_value` for a negative, NaN or
/// infinite value. Combine with `series`, `parallel`; place with `in_series`, `in_shunt`.
class one_port {
public:
  constexpr explicit(false) one_port(resistance r) {
    emit(circuit_, opcode::resistor, {require_not_negative("resistance", r).value()});
  }
  constexpr explicit(false) one_port(inductance l) {
    emit(circuit_, opcode::inductor, {require_not_negative("inductance", l).value()});
  }
  constexpr explicit(false) one_port(capacitance c) {
    emit(circuit_, opcode::capacitor, {require_not_negative("capacitance", c).value()});
  }
  /// From a program that leaves one entry without an EMF on the stack. Throws `std::invalid_argument` otherwise.
  constexpr explicit one_port(circuit program);

  [[nodiscard]] constexpr const circuit& as_circuit() const noexcept { return circuit_; }

  /// The same, with its values to be found again by that name (`source::range`).
  [[nodiscard]] one_port named(std::string name) const {
    one_port result = *this;
    result.circuit_.ranges.push_back(
        {std::move(name), {0, static_cast<std::uint16_t>(circuit_.values.size())}});
    return result;
  }

  [[nodiscard]] bool operator==(const one_port&) const = default;

private:
  circuit circuit_;
};

/// Whatever can stand where a one-port is wanted: R, L, C, a capacitor with losses, a rheostat.
template <class T>
concept OnePort = std::convertible_to<T, one_port>;

/// A conductor: [0 : 1].
[[nodiscard]] constexpr one_port short_circuit() {
  circuit c;
  emit(c, opcode::resistor, {0.0});
  return one_port(std::move(c));
}

/// Nothing there: [1 : 0].
[[nodiscard]] constexpr one_port open_circuit() {
  circuit c;
  emit(c, opcode::resistor, {open_value});
  return one_port(std::move(c));
}

/// Z = K·s^α, -1 ≤ α ≤ 1: a resistor at α = 0, a lossy coil near 1/2 (skin and eddy currents), a lossy capacitor
/// near -1. K is |Z| at ω = 1/s, in ohms. It has no polynomial: a response can be evaluated, a transfer function
/// is refused by name. Throws `invalid_value`.
[[nodiscard]] constexpr one_port power_law(resistance k, double exponent) {
  require_positive("power_law.k", k);
  require_within("power_law.exponent", exponent, -1.0, 1.0);
  circuit c;
  emit(c, opcode::power_law, {k.value(), exponent});
  return one_port(std::move(c));
}

namespace detail {

[[noreturn, gnu::cold, gnu::noinline]] inline void refuse_program(std::string_view what,
                                                                  const char* complaint) {
  throw std::invalid_argument(std::string(what).append(": the program ").append(complaint));
}

/// Refuses a program that no evaluation gives a meaning when it starts with `depth` sources: one that reads past its
/// values or its stack, that does not leave exactly one entry, that has an EMF where an impedance is wanted, whose
/// names do not match its instructions. Throws `std::invalid_argument`.
[[gnu::noinline]] constexpr void require_well_formed(const circuit& c, std::size_t depth,
                                                     std::string_view what) {
  const auto require_that = [what](bool holds, const char* complaint) {
    if (!holds) refuse_program(what, complaint);
  };
  constexpr std::size_t any = 256;            // as many EMFs as a mode can count
  std::vector<std::size_t> stack(depth, any); // how many EMFs each entry has
  std::size_t emfs = 0, marks = 0;
  for (const instruction i : c.code) {
    require_that(i.op <= opcode::terminals, "has an instruction that does not exist");
    const int effect = stack_effect(i.op);
    const int popped = i.op == opcode::coil_pair ? 4 : effect == 1 ? 0 : 1 - effect;
    const std::size_t takes = static_cast<std::size_t>(popped);
    require_that(takes <= stack.size() && i.slot + value_count(i.op) <= c.values.size(),
                 "reads what is not there");
    std::size_t operand[4] = {}; // EMFs of what it takes, the lowest first
    for (std::size_t k = takes; k-- > 0; stack.pop_back()) operand[k] = stack.back();
    // What a buffer takes last, and all that a pair takes, stands for an impedance.
    for (std::size_t k = i.op == opcode::buffer ? 1 : i.op == opcode::coil_pair ? 0 : takes; k < takes; ++k)
      require_that(operand[k] == 0, "has an EMF where it wants an impedance");
    if (i.op == opcode::coil_pair)
      require_that(i.mode <= static_cast<std::uint8_t>(pair_output::first),
                   "asks for a fourth output of a coil pair");
    if (i.op == opcode::emf_filter) require_that(i.mode <= operand[0], "filters an EMF that is not there");
    if (i.op == opcode::terminals) {
      require_that(operand[0] > 0, "marks terminals where there is no source");
      require_that(i.mode == marks++, "does not number its terminal pairs as they come");
    }
    emfs += emf_count(i.op);
    const std::size_t has = emf_count(i.op) + operand[0] + operand[1] + operand[2] + operand[3];
    stack.push_back(has < any ? has : any);
  }
  require_that(stack.size() == 1, "does not leave one entry");
  require_that(emfs == c.emfs.size(), "has not one name for each EMF");
  require_that(marks == c.terminals.size(), "has not one name for each terminal pair");
  for (const named_range& r : c.ranges)
    require_that(std::size_t{r.range.first} + r.range.count <= c.values.size(),
                 "names values that are not there");
}

/// The opcode of a part in series, or across, for the opcode that pushes it.
[[nodiscard]] constexpr opcode fused(opcode push, opcode series_or_parallel) noexcept {
  const bool series = series_or_parallel == opcode::join_series;
  if (push == opcode::resistor) return series ? opcode::series_r : opcode::shunt_r;
  if (push == opcode::inductor) return series ? opcode::series_l : opcode::shunt_l;
  return series ? opcode::series_c : opcode::shunt_c;
}

/// True for a part with nothing but parts in series behind it (or nothing but parts across it): joined the same way,
/// each becomes one instruction.
[[nodiscard]] constexpr bool is_run_of_parts(const circuit& c, opcode series_or_parallel) noexcept {
  if (c.code.empty() || c.code[0].op < opcode::resistor || c.code[0].op > opcode::capacitor) return false;
  const opcode first = fused(opcode::resistor, series_or_parallel),
               last = fused(opcode::capacitor, series_or_parallel);
  for (std::size_t k = 1; k < c.code.size(); ++k)
    if (c.code[k].op < first || c.code[k].op > last) return false;
  return true;
}

/// `to`, then `operand` joined to it; a run of parts needs no instruction to join it.
[[gnu::noinline]] constexpr void join(circuit& to, const circuit& operand, opcode how) {
  const std::size_t at = to.code.size();
  append(to, operand);
  if (is_run_of_parts(operand, how)) {
    to.code[at].op = fused(to.code[at].op, how);
  } else {
    emit(to, how);
  }
}

} // namespace detail

constexpr one_port::one_port(circuit program) : circuit_(std::move(program)) {
  detail::require_well_formed(circuit_, 0, "one_port");
  if (!circuit_.emfs.empty()) throw std::invalid_argument("one_port: the program has an EMF");
}

} // namespace lodewire
