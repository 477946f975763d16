// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <string_view>

#include <lodewire/parts/battery_code.hpp>
#include <lodewire/quantity/requirement.hpp>

namespace lodewire {

/// Lowest and highest figure of what differs from maker to maker and with use.
struct charge_range {
  electric_charge lowest{}, highest{};
  [[nodiscard]] bool operator==(const charge_range&) const = default;
};
struct life_range {
  duration lowest{}, highest{};
  [[nodiscard]] bool operator==(const life_range&) const = default;
};

[[nodiscard]] constexpr double in_hours(duration t) { return t.value() / 3600; }

/// A battery as it is bought. A plain value without usable defaults: `read_battery` and `nine_volt_block` fill it.
/// Checked where it is used (`require_sound`).
struct battery {
  std::string designation{};
  battery_chemistry chemistry = battery_chemistry::alkaline;
  int cells = 1;
  /// Nominal voltage of a new one, which can be relied on; without load it may show more, an alkaline block 9.6 V.
  voltage fresh_voltage{};
  voltage end_voltage{};   ///< where it counts as empty; its capacity is what it gives down to there
  charge_range capacity{}; ///< at the light loads of on-board electronics; it gives less at tens of mA
  std::optional<resistance> internal_resistance{}; ///< absent: not known, no drop is computed
  [[nodiscard]] bool operator==(const battery&) const = default;
};

/// Cells 1 to 99, 0 V ≤ end ≤ fresh voltage, fresh > 0 V, 0 < lowest ≤ highest capacity, internal resistance ≥ 0; all
/// finite. Throws `invalid_value` that names the member of `owner`.
inline void require_sound(const battery& b, std::string_view owner = "battery") {
  require_within({owner, "cells"}, b.cells, 1, 99);
  require_positive({owner, "fresh_voltage"}, b.fresh_voltage);
  require_within({owner, "end_voltage"}, b.end_voltage, voltage{}, b.fresh_voltage);
  require_positive({owner, "capacity.highest"}, b.capacity.highest);
  require_positive({owner, "capacity.lowest"}, b.capacity.lowest);
  require_within({owner, "capacity.lowest"}, b.capacity.lowest, electric_charge{}, b.capacity.highest);
  if (b.internal_resistance) require_not_negative({owner, "internal_resistance"}, *b.internal_resistance);
}

namespace detail {

struct block_figures {
  std::string_view designation, ansi;
  battery_chemistry chemistry;
  int cells;
  double lowest_mah, highest_mah;
};

// Capacities: the lowest and highest of batteryequivalents.com and of one maker's data. Designations: the same source;
// 6LF22, 1604LC and the three lithium cells are from memory.
inline constexpr std::array<block_figures, 6> nine_volt_blocks{{
    {"6F22", "1604D", battery_chemistry::zinc_carbon, 6, 300, 400},
    {"6LR61", "1604A", battery_chemistry::alkaline, 6, 500, 610},
    {"6LF22", "6LF22", battery_chemistry::alkaline, 6, 500, 610},
    {"6KR61", "6KR61", battery_chemistry::nickel_cadmium, 6, 100, 120},
    {"6HR61", "6HR61", battery_chemistry::nickel_metal_hydride, 6, 175, 300},
    {"1604LC", "1604LC", battery_chemistry::lithium_primary, 3, 1200, 1200},
}};

[[nodiscard]] inline battery to_battery(const block_figures& block) {
  const cell_voltages cell = cell_voltages_of(block.chemistry);
  // In tenths, so that 7.2 V and 1800 C come out as the nearest doubles.
  const auto volts = [&](voltage each) { return voltage::from_value(each.value() * 10 * block.cells / 10); };
  const auto charge = [](double mah) { return electric_charge::from_value(mah * 36 / 10); };
  battery b{.designation = std::string(block.designation),
            .chemistry = block.chemistry,
            .cells = block.cells,
            .fresh_voltage = volts(cell.nominal),
            .end_voltage = volts(cell.end),
            .capacity = {charge(block.lowest_mah), charge(block.highest_mah)},
            .internal_resistance = {}};
  // 1700 mΩ at 1 kHz: one maker's data sheet of the alkaline block (studylib.net 18190212).
  if (block.chemistry == battery_chemistry::alkaline) b.internal_resistance = resistance::from_value(1.7);
  return b;
}

} // namespace detail

/// The usual 9 V block of that chemistry; the nickel ones have a nominal voltage of 7.2 V.
[[nodiscard]] inline battery nine_volt_block(battery_chemistry kind) {
  for (const auto& block : detail::nine_volt_blocks)
    if (block.chemistry == kind) return detail::to_battery(block);
  throw invalid_value("nine_volt_block.kind", std::to_string(static_cast<int>(kind)),
                      "an enumerator of battery_chemistry");
}

/// A battery with its figures from its designation: the 9 V blocks of IEC 60086 and IEC 61951, or the ANSI number of
/// the same block. Only capitals. Throws `text_error` with the first column that fits none of them; every other
/// battery is filled in by its members, with `read_battery_code` for what its code says.
[[nodiscard]] inline battery read_battery(std::string_view text, std::string_view parameter = "battery") {
  detail::text_cursor in{text, parameter};
  std::size_t fits = 0;
  for (const auto& block : detail::nine_volt_blocks)
    for (const std::string_view as : {block.designation, block.ansi}) {
      std::size_t same = 0;
      while (same < as.size() && in.peek(same) == as[same]) ++same;
      fits = (std::max)(fits, same);
      if (same != as.size()) continue;
      detail::text_cursor rest = in;
      rest.step(same);
      rest.skip_spaces();
      if (rest.at_end()) return detail::to_battery(block);
    }
  in.fail_at(in.at() + fits,
             "one of 6F22 or 1604D (zinc-carbon), 6LR61, 6LF22 or 1604A (alkaline), 6KR61 (nickel-cadmium), "
             "6HR61 (nickel-metal hydride), 1604LC (lithium primary)");
}

/// Capacity / current: how long it lasts to its end voltage, for the lowest and the highest capacity. No value: without
/// a current it is not used up. Self-discharge is not in it: beyond a year or two the shelf decides. Throws
/// `invalid_value`.
[[nodiscard]] inline std::optional<life_range> battery_life(const battery& b, current drawn) {
  require_sound(b);
  require_not_negative("battery_life.drawn", drawn);
  // A current so small that the quotient overflows is none.
  const double most = b.capacity.highest.value();
  if (drawn.value() < most * 0x1p-1000) return std::nullopt;
  return life_range{b.capacity.lowest / drawn, b.capacity.highest / drawn};
}

/// What its internal resistance takes of the voltage; 0 V where that is not known. Throws `invalid_value`.
[[nodiscard]] inline voltage voltage_drop(const battery& b, current drawn) {
  require_sound(b);
  return require_not_negative("voltage_drop.drawn", drawn) * b.internal_resistance.value_or(resistance{});
}

/// What to mind with it on the bench.
[[nodiscard]] inline std::string battery_caution(const battery& b) {
  const std::string kind(name_of(b.chemistry));
  return "Mind the polarity: a reversed battery can destroy the electronics. Never short a battery: keep its "
         "contacts "
         "and its clip from touching metal. " +
         (is_rechargeable(b.chemistry)
              ? "Charge it outside the instrument, in a charger made for " + kind + " cells."
              : "Never charge it: it is a primary battery (" + kind + ").");
}

} // namespace lodewire
