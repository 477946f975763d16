// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <span>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/circuit/source.hpp>

/// Makes the program of a failure small enough to be read: takes instructions out and rounds values for as long as it
/// still fails.
namespace oracle {

[[nodiscard]] inline const char* spelled(lodewire::opcode op) {
  static constexpr std::array names{
      "emf",      "current_source", "resistor", "inductor", "capacitor", "power_law",   "series_r",
      "series_l", "series_c",       "shunt_r",  "shunt_l",  "shunt_c",   "join_series", "join_parallel",
      "reverse",  "emf_filter",     "buffer",   "chain",    "coil_pair", "terminals"};
  return names.at(static_cast<std::size_t>(op));
}

/// One instruction a line, its values in SI units with all their digits, what an operand is made of indented.
[[nodiscard]] inline std::string listing(const lodewire::circuit& c) {
  std::string text;
  int depth = 0;
  for (const lodewire::instruction i : c.code) {
    depth += lodewire::stack_effect(i.op);
    text.append(static_cast<std::size_t>(2 * std::max(depth, 1)), ' ').append(spelled(i.op));
    if (i.op == lodewire::opcode::coil_pair) text += std::array{" series", " parallel", " first"}.at(i.mode);
    if (i.op == lodewire::opcode::emf_filter && i.mode != 0) text += " of EMF " + std::to_string(i.mode);
    for (std::size_t k = 0; k < lodewire::value_count(i.op); ++k) {
      const double v = c.values[i.slot + k];
      char digits[32];
      const auto end = std::to_chars(std::begin(digits), std::end(digits), v).ptr;
      text.append(" ").append(lodewire::is_open(v) ? "open" : std::string(std::begin(digits), end));
    }
    text += '\n';
  }
  return text;
}

namespace detail {

using code = std::vector<lodewire::instruction>;

/// A circuit of these instructions, with the values that they use and no others. The EMFs are numbered anew.
[[nodiscard]] inline lodewire::circuit with_code(const lodewire::circuit& from, const code& kept) {
  lodewire::circuit c;
  for (lodewire::instruction i : kept) {
    const std::size_t slot = i.slot;
    i.slot = static_cast<std::uint16_t>(c.values.size());
    c.code.push_back(i);
    for (std::size_t k = 0; k < lodewire::value_count(i.op); ++k) c.values.push_back(from.values[slot + k]);
    for (std::size_t k = 0; k < lodewire::emf_count(i.op); ++k)
      c.emfs.push_back(std::to_string(c.emfs.size()));
  }
  return c;
}

/// How many digits a value needs, none for the plainest.
[[nodiscard]] inline std::size_t digits_of(double v) {
  if (v == 0 || v == 1 || lodewire::is_open(v)) return 0;
  char text[32];
  const char* end =
      std::to_chars(std::begin(text), std::end(text), std::abs(v), std::chars_format::scientific).ptr;
  std::size_t n = 0;
  for (const char* at = text; at != end && *at != 'e'; ++at) n += *at >= '0' && *at <= '9';
  return n == 1 && *text == '1' ? 1 : n + 1;
}
[[nodiscard]] inline double rounded(double v, int digits) {
  if (v == 0 || lodewire::is_open(v)) return v;
  char text[32];
  const char* end =
      std::to_chars(std::begin(text), std::end(text), v, std::chars_format::scientific, digits - 1).ptr;
  double r = v;
  std::from_chars(text, end, r);
  return r;
}
[[nodiscard]] inline double power_of_ten(double v) {
  const double size = rounded(std::pow(10.0, std::round(std::log10(std::abs(v)))), 1);
  return v < 0 ? -size : size;
}

/// Where each operand of each instruction begins; the last entry is where the instruction itself stands.
[[nodiscard]] inline std::vector<std::vector<std::size_t>> operand_starts(const code& program) {
  std::vector<std::vector<std::size_t>> all;
  std::vector<std::size_t> stack;
  for (std::size_t at = 0; at < program.size(); ++at) {
    const lodewire::opcode op = program[at].op;
    const int effect = lodewire::stack_effect(op);
    const auto takes = static_cast<std::ptrdiff_t>(op == lodewire::opcode::coil_pair ? 4
                                                   : effect == 1                     ? 0
                                                                                     : 1 - effect);
    std::vector<std::size_t> starts(stack.end() - takes, stack.end());
    stack.resize(stack.size() - static_cast<std::size_t>(takes));
    stack.push_back(starts.empty() ? at : starts.front());
    starts.push_back(at);
    all.push_back(std::move(starts));
  }
  return all;
}

/// Every program that lacks one thing of this one.
[[nodiscard]] inline std::vector<lodewire::circuit> smaller(const lodewire::circuit& c) {
  using lodewire::opcode;
  std::vector<lodewire::circuit> all;
  const auto starts = operand_starts(c.code);
  const auto at = [&](std::size_t k) { return c.code.begin() + static_cast<std::ptrdiff_t>(k); };
  // The last first: what comes late is most often beside the point, and whole operands go before single parts.
  for (std::size_t i = c.code.size(); i-- > 0;) {
    const std::vector<std::size_t>& s = starts[i];
    const auto instead = [&](const code& middle) {
      code kept(c.code.begin(), at(s.front()));
      kept.insert(kept.end(), middle.begin(), middle.end());
      kept.insert(kept.end(), at(i) + 1, c.code.end());
      all.push_back(with_code(c, kept));
    };
    const auto operand = [&](std::size_t k) { return code(at(s[k]), at(s[k + 1])); };
    for (std::size_t k = 0; k + 1 < s.size(); ++k) instead(operand(k));
    if (c.code[i].op == opcode::coil_pair)
      for (const std::size_t coil : {0U, 1U}) {
        code one{{opcode::emf, 0, static_cast<std::uint16_t>(c.code[i].slot + 2U + coil)}};
        for (const auto& [k, how] :
             {std::pair{coil, opcode::join_series}, {coil + 2, opcode::join_parallel}}) {
          const code part = operand(k);
          one.insert(one.end(), part.begin(), part.end());
          one.push_back({how, 0, 0});
        }
        instead(one);
      }
  }
  return all;
}

} // namespace detail

/// A smallest source that still fails, found by taking away one thing at a time. fails(source) must be true of `s`; it
/// is not asked about programs that are no source, and what it throws counts as no failure.
template <class Fails>
[[nodiscard]] lodewire::source shrunk(const lodewire::source& s, const Fails& fails) {
  lodewire::circuit least = s.as_circuit();
  const auto still = [&](const lodewire::circuit& c) {
    try {
      if (!fails(lodewire::source(c))) return false;
    } catch (const std::exception&) {
      return false;
    }
    least = c;
    return true;
  };
  detail::code plain;
  for (const lodewire::instruction i : least.code)
    if (i.op != lodewire::opcode::terminals) plain.push_back(i);
  if (!still(detail::with_code(least, plain))) return s;
  for (bool shorter = true; shorter;) {
    shorter = false;
    for (const lodewire::circuit& c : detail::smaller(least))
      if (still(c)) {
        shorter = true;
        break;
      }
  }
  for (std::size_t k = 0; k < least.values.size(); ++k) {
    const double v = least.values[k];
    for (const double plainer : {0.0, 1.0, detail::power_of_ten(v), detail::rounded(v, 1),
                                 detail::rounded(v, 2), detail::rounded(v, 4)}) {
      if (detail::digits_of(plainer) >= detail::digits_of(v)) continue;
      lodewire::circuit c = least;
      c.values[k] = plainer;
      if (still(c)) break;
    }
  }
  return lodewire::source(least);
}

} // namespace oracle
