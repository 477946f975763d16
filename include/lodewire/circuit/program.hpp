// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/circuit/pair_output.hpp>
#include <lodewire/quantity/requirement.hpp>

/// A circuit is a short program for a stack machine, with its values beside it. The stack holds sources
/// [E : N : D] (open-circuit voltage E/D, impedance N/D; docs/theory.md, eq. 1); a one-port has no E.
namespace lodewire {

/// What one instruction does. `v` are the values that it reads, from its slot on.
enum class opcode : std::uint8_t {
  emf,            ///< push [e : 0 : 1]; v: e in V
  current_source, ///< push [i : 1 : 0]; v: i in A
  resistor,       ///< push [R : 1]; v: R in Ω, 0 is a short, `open_value` an open
  inductor,       ///< push [sL : 1]; v: L in H
  capacitor,      ///< push [1 : sC]; v: C in F
  power_law,      ///< push [K·s^α : 1]; v: K in Ω·s^α, α
  series_r,       ///< a resistor in series with the top
  series_l,       ///< an inductor in series with the top
  series_c,       ///< a capacitor in series with the top
  shunt_r,        ///< a resistor across the top
  shunt_l,        ///< an inductor across the top
  shunt_c,        ///< a capacitor across the top
  join_series,    ///< pop b, then a; push a in series with b
  join_parallel,  ///< pop b, then a; push a in parallel with b
  reverse,        ///< top [E : N : D] becomes [-E : N : D]
  emf_filter, ///< EMFs of the top (all, or the one that mode counts from 1) over 1 + a1·s + a2·s²; v: a1, a2
  buffer,     ///< pop output and input one-ports, then a source; push the buffered source; v: gain
  chain,      ///< top through a chain matrix; v: A, B, C, D, δ, each a0 + a1·s + a2·s²
  coil_pair, ///< pop shunts 2, 1 and windings 2, 1; push the coupled pair; v: M, C between, e1, e2
  terminals, ///< no change: the point at which 'the load that this source sees' is asked for
};

/// How many values an opcode reads.
[[nodiscard]] constexpr std::size_t value_count(opcode op) noexcept {
  switch (op) {
  case opcode::join_series:
  case opcode::join_parallel:
  case opcode::reverse:
  case opcode::terminals: return 0;
  case opcode::power_law:
  case opcode::emf_filter: return 2;
  case opcode::coil_pair: return 4;
  case opcode::chain: return 15;
  default: return 1;
  }
}

/// How many more entries the stack has after an opcode.
[[nodiscard]] constexpr int stack_effect(opcode op) noexcept {
  switch (op) {
  case opcode::emf:
  case opcode::current_source:
  case opcode::resistor:
  case opcode::inductor:
  case opcode::capacitor:
  case opcode::power_law: return 1;
  case opcode::join_series:
  case opcode::join_parallel: return -1;
  case opcode::buffer: return -2;
  case opcode::coil_pair: return -3;
  default: return 0;
  }
}

/// How many EMFs an opcode brings in. They are numbered in the order in which the program pushes them.
[[nodiscard]] constexpr std::size_t emf_count(opcode op) noexcept {
  return op == opcode::coil_pair ? 2 : op == opcode::emf || op == opcode::current_source ? 1 : 0;
}

/// One instruction: the opcode, an immediate (the output of a coil pair, the number of a terminal pair, which EMF is
/// filtered) and the first value that it reads.
struct instruction {
  opcode op{};
  std::uint8_t mode = 0;
  std::uint16_t slot = 0;
  [[nodiscard]] bool operator==(const instruction&) const = default;
};

/// A run of values that can be rewritten in a composed circuit, found again by its name.
struct value_range {
  std::uint16_t first = 0;
  std::uint16_t count = 0;
  [[nodiscard]] bool operator==(const value_range&) const = default;
};

/// A `value_range` with its name.
struct named_range {
  std::string name;
  value_range range;
  [[nodiscard]] bool operator==(const named_range&) const = default;
};

/// The program, the values (coherent SI) and the names. A plain value: copy it, compare it, store it, send it to
/// another thread. The typed faces are `one_port`, `source` and `stage`.
struct circuit {
  // Out of line: five vectors' worth of copying at every use would dominate a user's compile time.
  constexpr circuit() = default;
  [[gnu::noinline]] constexpr circuit(const circuit&) = default;
  [[gnu::noinline]] constexpr circuit(circuit&&) noexcept = default;
  [[gnu::noinline]] constexpr circuit& operator=(const circuit&) = default;
  [[gnu::noinline]] constexpr circuit& operator=(circuit&&) noexcept = default;
  [[gnu::noinline]] constexpr ~circuit() = default;

  std::vector<instruction> code;
  std::vector<double> values;
  std::vector<std::string> emfs;      ///< name of each EMF
  std::vector<std::string> terminals; ///< name of each terminal pair
  std::vector<named_range> ranges;    ///< values that can be rewritten by name
  [[nodiscard]] bool operator==(const circuit&) const = default;
};

/// Appends one instruction and its values. Throws `std::length_error` past 65,535 values.
[[gnu::noinline]] constexpr void emit(circuit& to, opcode op, std::initializer_list<double> values = {},
                                      std::uint8_t mode = 0) {
  if (to.values.size() + values.size() > 0xffff)
    throw std::length_error("circuit: more than 65535 values in one circuit");
  to.code.push_back({op, mode, static_cast<std::uint16_t>(to.values.size())});
  for (const double v : values) to.values.push_back(v);
}

/// Appends a whole circuit: its slots, terminals and ranges move up behind those that are there. Throws
/// `std::length_error` past 65,535 values or 255 terminal pairs. Cost: linear in what is appended.
[[gnu::noinline]] constexpr void append(circuit& to, const circuit& from) {
  if (to.values.size() + from.values.size() > 0xffff)
    throw std::length_error("circuit: more than 65535 values in one circuit");
  if (to.terminals.size() + from.terminals.size() > 0xff)
    throw std::length_error("circuit: more than 255 terminal pairs in one circuit");
  const auto up = static_cast<std::uint16_t>(to.values.size());
  const auto marks = static_cast<std::uint8_t>(to.terminals.size());
  for (const instruction i : from.code)
    to.code.push_back({i.op, static_cast<std::uint8_t>(i.mode + (i.op == opcode::terminals ? marks : 0)),
                       static_cast<std::uint16_t>(i.slot + up)});
  for (const double v : from.values) to.values.push_back(v);
  for (const std::string& name : from.emfs) to.emfs.push_back(name);
  for (const std::string& name : from.terminals) to.terminals.push_back(name);
  for (const auto& [name, range] : from.ranges)
    to.ranges.push_back({name, {static_cast<std::uint16_t>(range.first + up), range.count}});
}

/// The only entry of that name, or an `invalid_value` that lists the names that are there.
[[nodiscard]] inline std::size_t find_name(std::string_view kind, const std::vector<std::string>& names,
                                           std::string_view name) {
  std::size_t at = names.size(), found = 0;
  for (std::size_t k = 0; k < names.size(); ++k)
    if (names[k] == name && ++found == 1) at = k;
  if (found != 1) {
    std::string allowed = names.empty() ? "nothing: this circuit names none" : "one of ";
    for (const std::string& n : names)
      allowed.append(&n == &names.front() ? "'" : ", '").append(n).append("'");
    if (found > 1) allowed = "a name that is used once (this one is used twice or more)";
    throw invalid_value(kind, std::string("'").append(name).append("'"), allowed);
  }
  return at;
}

} // namespace lodewire
