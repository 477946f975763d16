// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include <lodewire/circuit/program.hpp>

namespace lodewire {

/// What a machine can do in one go, where the values allow it.
enum class step_kind : std::uint8_t {
  plain,      ///< instructions one by one
  start,      ///< an EMF, resistors and inductors in series with it, resistors and capacitors across: a coil
  series_run, ///< resistors and inductors in series
  shunt_run,  ///< resistors and capacitors across
  shunt_branch, ///< a resistor and a capacitor in series, across: a tone control
  series_pair,  ///< a resistor and a capacitor side by side, in series: a treble bleed
};

/// Neighbouring instructions of a program that are done together.
struct step {
  step_kind kind{};
  std::uint32_t first = 0, count = 0;
};

/// The steps of a program that no probe is to enter, made once for all its values. Cost: linear; allocates.
[[nodiscard, gnu::noinline]] inline std::vector<step> steps_of(std::span<const instruction> code) {
  const auto op = [&](std::size_t i) { return i < code.size() ? code[i].op : opcode::terminals; };
  const auto run_length = [&](std::size_t from, opcode one, opcode other) {
    std::size_t to = from, parts = 0;
    for (; to < code.size(); ++to) {
      const bool part = op(to) == one || op(to) == other;
      if (!part && op(to) != opcode::terminals) break;
      parts += part ? 1 : 0;
    }
    return parts > 0 ? to - from : 0;
  };
  const auto series = [&](std::size_t from) { return run_length(from, opcode::series_r, opcode::series_l); };
  const auto shunt = [&](std::size_t from) { return run_length(from, opcode::shunt_r, opcode::shunt_c); };
  std::vector<step> steps;
  for (std::size_t i = 0; i < code.size();) {
    step s{step_kind::plain, static_cast<std::uint32_t>(i), 1};
    const auto is = [&](step_kind kind, std::size_t count) {
      s.kind = kind;
      s.count = static_cast<std::uint32_t>(count);
    };
    if (const std::size_t after = series(i + 1); op(i) == opcode::emf && after > 0)
      is(step_kind::start, 1 + after + shunt(i + 1 + after));
    else if (const std::size_t in_series = series(i); in_series > 1)
      is(step_kind::series_run, in_series);
    else if (const std::size_t across = shunt(i); across > 1)
      is(step_kind::shunt_run, across);
    else if (op(i) == opcode::resistor && op(i + 1) == opcode::series_c && op(i + 2) == opcode::join_parallel)
      is(step_kind::shunt_branch, 3);
    else if (op(i) == opcode::resistor && op(i + 1) == opcode::shunt_c && op(i + 2) == opcode::join_series)
      is(step_kind::series_pair, 3);
    i += s.count;
    if (s.kind == step_kind::plain && !steps.empty() && steps.back().kind == step_kind::plain)
      ++steps.back().count;
    else
      steps.push_back(s);
  }
  return steps;
}

} // namespace lodewire
