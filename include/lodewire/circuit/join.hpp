// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <span>
#include <type_traits>

#include <lodewire/circuit/source.hpp>

/// Series and parallel of one-ports and sources, any number, mixed as they come. Sources in series add their EMFs
/// (eq. 8), sources in parallel share a node (Millman, eq. 9).
namespace lodewire {

namespace detail {

template <class T>
using joined_type = std::conditional_t<OnePort<T>, one_port, source>;

template <class First, class... Rest>
[[nodiscard]] constexpr auto join_all([[maybe_unused]] opcode how, const First& first, const Rest&... rest) {
  constexpr bool passive = OnePort<First> && (OnePort<Rest> && ...);
  circuit c = joined_type<First>(first).as_circuit();
  (join(c, joined_type<Rest>(rest).as_circuit(), how), ...);
  return std::conditional_t<passive, one_port, source>(std::move(c));
}

template <class Result>
[[nodiscard]] Result join_list(opcode how, std::string_view what, std::span<const Result> parts) {
  if (parts.empty()) throw invalid_value(what, "a list of nothing", "one part or more");
  circuit c = parts[0].as_circuit();
  for (const Result& part : parts.subspan(1)) join(c, part.as_circuit(), how);
  return Result(std::move(c));
}

} // namespace detail

/// The parts in series: a one-port if all are one-ports, else a source.
template <class First, class... Rest>
requires(OnePort<First> || Source<First>) &&
    ((OnePort<Rest> || Source<Rest>)&&...)
        [[nodiscard]] constexpr auto series(const First& first, const Rest&... rest) {
  return detail::join_all(opcode::join_series, first, rest...);
}

/// The parts in parallel: a one-port if all are one-ports, else a source.
template <class First, class... Rest>
requires(OnePort<First> || Source<First>) &&
    ((OnePort<Rest> || Source<Rest>)&&...)
        [[nodiscard]] constexpr auto parallel(const First& first, const Rest&... rest) {
  return detail::join_all(opcode::join_parallel, first, rest...);
}

/// A list whose length is known at run time. Throws `invalid_value` for an empty one.
[[nodiscard]] inline one_port series(std::span<const one_port> parts) {
  return detail::join_list(opcode::join_series, "series", parts);
}
[[nodiscard]] inline one_port parallel(std::span<const one_port> parts) {
  return detail::join_list(opcode::join_parallel, "parallel", parts);
}
[[nodiscard]] inline source series(std::span<const source> parts) {
  return detail::join_list(opcode::join_series, "series", parts);
}
[[nodiscard]] inline source parallel(std::span<const source> parts) {
  return detail::join_list(opcode::join_parallel, "parallel", parts);
}

} // namespace lodewire
