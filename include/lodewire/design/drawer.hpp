// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/parts/taper.hpp>
#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/units.hpp>

/// The parts that are on hand.
namespace lodewire {

/// What a part of a drawer is.
enum class stock_kind : std::uint8_t { resistor, capacitor, potentiometer };

/// Parts of one value. Checked by `require_drawer`.
struct stock_part {
  stock_kind is = stock_kind::resistor;
  double value = 0;        ///< Ω, or F for a capacitor; more than 0
  double tolerance = 0.05; ///< both ways, as a fraction; 0 or more, less than 1
  unsigned count = 1;      ///< how many there are; 1 or more
  taper law{};             ///< potentiometer
  [[nodiscard]] bool operator==(const stock_part&) const = default;
};

/// Resistors, 5 % unless said otherwise.
[[nodiscard]] inline stock_part in_stock(resistance r, unsigned count = 1, double tolerance = 0.05) {
  return {stock_kind::resistor, r.value(), tolerance, count, {}};
}
/// Capacitors, 10 % unless said otherwise.
[[nodiscard]] inline stock_part in_stock(capacitance c, unsigned count = 1, double tolerance = 0.10) {
  return {stock_kind::capacitor, c.value(), tolerance, count, {}};
}
/// Potentiometers, 20 % unless said otherwise.
[[nodiscard]] inline stock_part pot_in_stock(resistance total, taper law, unsigned count = 1,
                                             double tolerance = 0.20) {
  return {stock_kind::potentiometer, total.value(), tolerance, count, std::move(law)};
}

/// A list of parts with counts. Each single part is used once.
struct drawer {
  std::string name = "drawer";
  std::vector<stock_part> parts{};
  [[nodiscard]] bool operator==(const drawer&) const = default;
};

[[nodiscard]] constexpr std::string_view unit_of(stock_kind kind) noexcept {
  return kind == stock_kind::capacitor ? "F" : "Ω";
}
[[nodiscard]] constexpr std::string_view name_of(stock_kind kind) noexcept {
  return kind == stock_kind::capacitor  ? "capacitor"
         : kind == stock_kind::resistor ? "resistor"
                                        : "potentiometer";
}

namespace detail {

inline void require_tolerance(std::string_view name, double tolerance) {
  if (!is_finite(tolerance) || !(tolerance >= 0) || !(tolerance < 1))
    throw invalid_value(name, plain_number(tolerance), "0 or more, less than 1");
}
inline void require_value(std::string_view name, stock_kind kind, double value) {
  if (!is_finite(value) || !(value > 0))
    throw invalid_value(name, engineering(value, unit_of(kind), 6),
                        std::string("more than 0 ").append(unit_of(kind)));
}

} // namespace detail

/// Refuses an empty drawer and a part that is none. Throws `invalid_value` with the part's number.
inline void require_drawer(const drawer& of) {
  if (of.parts.empty()) throw invalid_value("drawer.parts", "an empty list", "one part or more");
  for (std::size_t i = 0; i < of.parts.size(); ++i) {
    const stock_part& p = of.parts[i];
    const std::string path = "drawer.parts[" + std::to_string(i) + "].";
    detail::require_value(path + "value", p.is, p.value);
    detail::require_tolerance(path + "tolerance", p.tolerance);
    if (p.count < 1) throw invalid_value(path + "count", "0", "1 or more");
  }
}

/// The same drawer with equal parts in one entry, in the order of their first. Throws `invalid_value`.
[[nodiscard]] inline drawer sorted_out(const drawer& of) {
  require_drawer(of);
  drawer out{of.name, {}};
  for (const stock_part& p : of.parts) {
    bool known = false;
    for (stock_part& q : out.parts) {
      stock_part alike = p;
      alike.count = q.count;
      if (alike != q) continue;
      q.count += p.count;
      known = true;
    }
    if (!known) out.parts.push_back(p);
  }
  return out;
}

} // namespace lodewire
