// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include <lodewire/quantity/text_cursor.hpp>
#include <lodewire/quantity/units.hpp>

/// What is printed on a battery.
namespace lodewire {

enum class battery_chemistry : std::uint8_t {
  zinc_carbon,
  alkaline,
  nickel_cadmium,
  nickel_metal_hydride,
  lithium_primary,
};

/// As in text: `zinc-carbon`, `nickel-metal hydride`.
[[nodiscard]] constexpr std::string_view name_of(battery_chemistry kind) noexcept {
  switch (kind) {
  case battery_chemistry::zinc_carbon: return "zinc-carbon";
  case battery_chemistry::alkaline: return "alkaline";
  case battery_chemistry::nickel_cadmium: return "nickel-cadmium";
  case battery_chemistry::nickel_metal_hydride: return "nickel-metal hydride";
  case battery_chemistry::lithium_primary: break;
  }
  return "lithium primary";
}

/// False for a primary chemistry, which must never be charged.
[[nodiscard]] constexpr bool is_rechargeable(battery_chemistry kind) noexcept {
  return kind == battery_chemistry::nickel_cadmium || kind == battery_chemistry::nickel_metal_hydride;
}

/// One cell's nominal voltage, and the one at which it counts as empty.
struct cell_voltages {
  voltage nominal{};
  voltage end{};
  [[nodiscard]] bool operator==(const cell_voltages&) const = default;
};

/// 1.5 V and 1.0 V for alkaline cells (9 V and 6 V of six: batteryequivalents.com). The others are common practice, no
/// source: zinc-carbon as alkaline, nickel 1.2 V and 1.0 V, lithium 3 V and 2 V.
[[nodiscard]] constexpr cell_voltages cell_voltages_of(battery_chemistry kind) noexcept {
  const bool lithium = kind == battery_chemistry::lithium_primary;
  return {voltage::from_value(lithium                 ? 3
                              : is_rechargeable(kind) ? 1.2
                                                      : 1.5),
          voltage::from_value(lithium ? 2 : 1)};
}

/// What a designation of IEC 60086 (primary) or IEC 61951 (nickel) says: `6LR61` is six alkaline round cells of size
/// 61 in series (naccon.com), `6F22` six flat zinc-carbon ones, `LR6` one cell.
struct battery_code {
  enum class shape : std::uint8_t { round, flat };
  int cells = 1; ///< in series
  battery_chemistry chemistry = battery_chemistry::zinc_carbon;
  shape form = shape::round;
  std::string size{}; ///< digits; `03` is another size than `3`
  [[nodiscard]] bool operator==(const battery_code&) const = default;
};

/// Number of cells (none: 1), letter of the chemistry (none: zinc-carbon, L, H, K), R or F, one to four digits of size.
/// Only capitals. Throws `text_error` with the column; so do codes of other chemistries.
[[nodiscard]] inline battery_code read_battery_code(std::string_view text,
                                                    std::string_view parameter = "battery") {
  using enum battery_chemistry;
  detail::text_cursor in{text, parameter};
  battery_code code;
  if (in.digit()) {
    const std::size_t first = in.at();
    code.cells = 0;
    for (; in.digit() && in.at() < first + 3; in.step()) code.cells = code.cells * 10 + (in.peek() - '0');
    if (code.cells < 1 || code.cells > 99) in.fail_at(first, "1 to 99 cells in series, or no number");
  }
  const bool letter = in.next_is("L") || in.next_is("H") || in.next_is("K");
  if (letter) {
    code.chemistry = in.next_is("L") ? alkaline : in.next_is("H") ? nickel_metal_hydride : nickel_cadmium;
    in.step();
  }
  if (!in.next_is("R") && !in.next_is("F"))
    in.fail(letter ? "R (round cells) or F (flat cells)"
                   : "L (alkaline), H (nickel-metal hydride), K (nickel-cadmium) or nothing (zinc-carbon), "
                     "then R (round cells) or F (flat cells)");
  code.form = in.next_is("R") ? battery_code::shape::round : battery_code::shape::flat;
  in.step();
  for (; in.digit() && code.size.size() < 4; in.step()) code.size += in.peek();
  if (code.size.empty()) in.fail("one to four digits of size");
  in.require_end();
  return code;
}

} // namespace lodewire
