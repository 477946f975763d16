// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/design/drawer.hpp>
#include <lodewire/instrument/json_read_parts.hpp>
#include <lodewire/instrument/json_text.hpp>

/// A drawer as a text that a person can write (docs/choosing-parts.md). Opt-in: needs nlohmann-json.
namespace lodewire {

namespace detail {

namespace shapes {

inline constexpr object_shape drawer{"drawer", 1, {"parts", "name"}};
inline constexpr object_shape stock_resistor{"resistor of a drawer", 1, {"resistor", "count", "tolerance"}};
inline constexpr object_shape stock_capacitor{
    "capacitor of a drawer", 1, {"capacitor", "count", "tolerance"}};
inline constexpr object_shape stock_pot{
    "potentiometer of a drawer", 1, {"pot", "taper", "count", "tolerance"}};
inline constexpr const object_shape* stock_parts[] = {&stock_resistor, &stock_capacitor, &stock_pot};

} // namespace shapes

/// The same on both sides, less than 100 %.
[[nodiscard]] inline double read_symmetric_tolerance(const json_node& from) {
  constexpr std::string_view wanted = "0 % or more, less than 100 %, the same on both sides, such as '5 %'";
  const auto within = from.read([](std::string_view t) { return read_tolerance(t); }, wanted);
  if (!(within.minus < 1) || within.plus != within.minus) from.refuse_this(wanted);
  return within.minus;
}

/// One value, or a list of them, each more than 0.
template <class Q>
[[nodiscard]] std::vector<Q> read_values(const json_node& from) {
  const auto one = [](const json_node& n) {
    const Q q = n.quantity<Q>();
    if (!(q.value() > 0))
      n.refuse_this(std::string("more than 0 ").append(unit_symbol<typename Q::unit_type>));
    return q;
  };
  if (!from.is_list()) return {one(from)};
  std::vector<Q> all;
  for (const json_node& n : from.list()) all.push_back(one(n));
  if (all.empty()) from.refuse_this("one value or more");
  return all;
}

inline void read_stock(const json_node& from, drawer& to) {
  const object_shape& shape = from.choose(shapes::stock_parts);
  from.require_shape(shape);
  const json_node value = from[shape.keys[0]];
  std::vector<stock_part> parts;
  if (&shape == &shapes::stock_capacitor) {
    for (const capacitance& c : read_values<capacitance>(value)) parts.push_back(in_stock(c));
  } else if (&shape == &shapes::stock_resistor) {
    for (const resistance& r : read_values<resistance>(value)) parts.push_back(in_stock(r));
  } else {
    const auto law = from.find("taper");
    const taper read = law ? read_law(*law) : taper{};
    for (const resistance& r : read_values<resistance>(value)) parts.push_back(pot_in_stock(r, read));
  }
  const auto count = from.find("count"), within = from.find("tolerance");
  for (stock_part& p : parts) {
    if (count) p.count = static_cast<unsigned>(count->integer(1, 1'000'000));
    if (within) p.tolerance = read_symmetric_tolerance(*within);
    to.parts.push_back(std::move(p));
  }
}

} // namespace detail

/// A drawer from the text of a file; equal parts in one entry. Throws `document_error`, with the path, the value and
/// what is allowed; and where the text is over `document_limits`. Cost: some microseconds a part.
[[nodiscard]] inline drawer read_drawer(std::string_view json_text) {
  const detail::json_tree tree = detail::parse_document(json_text);
  const detail::json_node from(tree);
  from.require_shape(detail::shapes::drawer);
  drawer d;
  from.name_to(d.name, "name");
  for (const detail::json_node& n : from["parts"].list("a list of parts: [...]")) detail::read_stock(n, d);
  if (d.parts.empty()) from["parts"].refuse_this("one part or more");
  return sorted_out(d);
}

} // namespace lodewire
