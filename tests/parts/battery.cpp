// SPDX-License-Identifier: BSL-1.0
#include <limits>
#include <string>
#include <type_traits>

#include <doctest/doctest.h>

#include <lodewire/parts/battery.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using enum battery_chemistry;
using form = battery_code::shape;

static_assert(std::is_aggregate_v<battery> && std::is_aggregate_v<battery_code>);

namespace {

template <class F>
std::string text_error_of(F f) {
  try {
    f();
  } catch (const text_error& error) {
    return std::to_string(error.column()) + " " + error.what();
  }
  return "no error";
}
std::string code_error(const char* text) {
  const std::string all = text_error_of([&] { (void)read_battery_code(text); });
  const auto at = all.find(", expected ");
  return at == all.npos ? all : all.substr(0, all.find(' ')) + all.substr(at + 2);
}
std::size_t column_of(const char* text) {
  try {
    (void)read_battery(text);
  } catch (const text_error& error) {
    CHECK(error.parameter() == "battery");
    return error.column();
  }
  return 0;
}
constexpr double mah(electric_charge q) { return q.value() / 3.6; }
double lowest_hours(const battery& b, current drawn) {
  return in_hours(battery_life(b, drawn).value().lowest);
}
double highest_hours(const battery& b, current drawn) {
  return in_hours(battery_life(b, drawn).value().highest);
}

} // namespace

TEST_CASE("what a designation says") {
  // naccon.com: 6LR61 is 6 cells, L alkaline, R round, size 61.
  CHECK(read_battery_code("6LR61") == battery_code{6, alkaline, form::round, "61"});
  // batteryequivalents.com: 6F22 zinc-carbon, 6KR61 NiCd, 6HR61 NiMH. F for flat: from memory.
  CHECK(read_battery_code("6F22") == battery_code{6, zinc_carbon, form::flat, "22"});
  CHECK(read_battery_code("6KR61") == battery_code{6, nickel_cadmium, form::round, "61"});
  CHECK(read_battery_code("6HR61") == battery_code{6, nickel_metal_hydride, form::round, "61"});
  // By the same rules.
  CHECK(read_battery_code("LR6") == battery_code{1, alkaline, form::round, "6"});
  CHECK(read_battery_code("LR03") == battery_code{1, alkaline, form::round, "03"});
  CHECK(read_battery_code("R20") == battery_code{1, zinc_carbon, form::round, "20"});
  CHECK(read_battery_code(" 15F20 ") == battery_code{15, zinc_carbon, form::flat, "20"});
  CHECK(read_battery_code("99LR9999") == battery_code{99, alkaline, form::round, "9999"});
  CHECK(read_battery_code("LR03") != read_battery_code("LR3"));
}

TEST_CASE("a text that is no designation is refused at its column") {
  const std::string letters =
      "expected L (alkaline), H (nickel-metal hydride), K (nickel-cadmium) or nothing "
      "(zinc-carbon), then R (round cells) or F (flat cells)";
  CHECK(code_error("") == "1" + letters);
  CHECK(code_error("6") == "2" + letters);
  CHECK(code_error("6lr61") == "2" + letters);
  CHECK(code_error("CR2032") == "1" + letters);
  CHECK(code_error("6L61") == "3expected R (round cells) or F (flat cells)");
  CHECK(code_error("6HL61") == "3expected R (round cells) or F (flat cells)");
  CHECK(code_error("6LR") == "4expected one to four digits of size");
  CHECK(code_error("LRX") == "3expected one to four digits of size");
  CHECK(code_error("LR12345") == "7expected the end of the text");
  CHECK(code_error("6LR61 9V") == "7expected the end of the text");
  CHECK(code_error("0LR61") == "1expected 1 to 99 cells in series, or no number");
  CHECK(code_error(" 100LR61") == "2expected 1 to 99 cells in series, or no number");
  CHECK(code_error("99999999999LR61") == "1expected 1 to 99 cells in series, or no number");
  CHECK(text_error_of([] { (void)read_battery_code("6LR", "supply.cell"); }) ==
        "4 supply.cell: \"6LR\" is no value: at column 4, expected one to four digits of size");
}

TEST_CASE("the 9 V blocks") {
  const battery alkaline_block = read_battery("6LR61");
  CHECK(alkaline_block.designation == "6LR61");
  CHECK(alkaline_block.chemistry == alkaline);
  CHECK(alkaline_block.cells == 6);
  // batteryequivalents.com: cut-off 6.0 V, 1.0 V a cell; 550 to 600 mAh, in another list 500 to 600 mAh, 610 mAh for
  // one maker's battery; stable from 6.0 to 9.6 V.
  CHECK(near(alkaline_block.end_voltage.value(), 6.0, 1e-15));
  CHECK(near(cell_voltages_of(alkaline).end.value(), 1.0, 1e-15));
  CHECK(near(mah(alkaline_block.capacity.lowest), 500, 1e-15));
  CHECK(near(mah(alkaline_block.capacity.highest), 610, 1e-15));
  CHECK(alkaline_block.fresh_voltage.value() <= 9.6);
  // The same maker's battery: 610 mAh × 9 V is printed as 5.49 Wh.
  const double watt_hours = (alkaline_block.capacity.highest * alkaline_block.fresh_voltage).value() / 3600;
  MESSAGE("610 mAh at the nominal voltage: ", watt_hours, " Wh");
  CHECK(std::abs(watt_hours - 5.49) < 0.0051);
  // studylib.net 18190212: 1700 mΩ at 1 kHz.
  CHECK(near(alkaline_block.internal_resistance.value().value(), 1.7, 1e-15));
  // 10 mA through it: computed from the formula.
  CHECK(near(voltage_drop(alkaline_block, 10_mA).value(), 17e-3, 1e-15));

  // batteryequivalents.com: capacities in mAh.
  struct {
    const char* designation;
    battery_chemistry chemistry;
    double lowest, highest, fresh;
  } const table[] = {
      {"6F22", zinc_carbon, 300, 400, 9},        {"6LR61", alkaline, 500, 610, 9},
      {"6LF22", alkaline, 500, 610, 9}, // designation from memory
      {"6KR61", nickel_cadmium, 100, 120, 7.2},  {"6HR61", nickel_metal_hydride, 175, 300, 7.2},
      {"1604LC", lithium_primary, 1200, 1200, 9}}; // designation from memory
  for (const auto& row : table) {
    CAPTURE(row.designation);
    const battery b = read_battery(row.designation);
    CHECK(b.designation == row.designation);
    CHECK(b.chemistry == row.chemistry);
    CHECK(near(mah(b.capacity.lowest), row.lowest, 1e-15));
    CHECK(near(mah(b.capacity.highest), row.highest, 1e-15));
    // 1.2 V for nickel and 3 V for lithium cells, 6 V at the end of every block: common practice, no source.
    CHECK(near(b.fresh_voltage.value(), row.fresh, 1e-15));
    CHECK(near(b.end_voltage.value(), 6, 1e-15));
    CHECK(b.internal_resistance.has_value() == (row.chemistry == alkaline));
    if (row.chemistry == lithium_primary) continue;
    const battery_code code = read_battery_code(row.designation);
    CHECK(code.cells == b.cells);
    CHECK(code.chemistry == b.chemistry);
  }
  for (const auto kind : {zinc_carbon, alkaline, nickel_cadmium, nickel_metal_hydride, lithium_primary}) {
    const battery b = nine_volt_block(kind);
    CHECK(b.chemistry == kind);
    CHECK(read_battery(b.designation) == b);
  }
  // batteryequivalents.com: the ANSI numbers of the same two.
  CHECK(read_battery("1604A") == alkaline_block);
  CHECK(read_battery("1604D") == read_battery("6F22"));
  CHECK(read_battery("  6LR61 ") == alkaline_block);
  CHECK(read_battery("6LR61") != read_battery("6F22"));
}

TEST_CASE("another battery is refused at the first column that fits none, with what is allowed") {
  CHECK(column_of("6LR61") == 0);
  CHECK(column_of("") == 1);
  CHECK(column_of("LR6") == 1);
  CHECK(column_of("6") == 2);
  CHECK(column_of("6lr61") == 2);
  CHECK(column_of("6LR6") == 5);
  CHECK(column_of("6LR62") == 5);
  CHECK(column_of("6LR611") == 6);
  CHECK(column_of("6LR61 V") == 6);
  CHECK(column_of("  6LR62") == 7);
  CHECK(column_of("6HR22") == 4);
  CHECK(column_of("1604") == 5);
  CHECK(column_of("9 V") == 1);
  CHECK(column_of(std::string(100, '6').c_str()) == 65);
  CHECK(
      text_error_of([] { (void)read_battery("6AM6", "supply.cell"); }) ==
      "2 supply.cell: \"6AM6\" is no value: at column 2, expected one of 6F22 or 1604D (zinc-carbon), 6LR61, "
      "6LF22 "
      "or 1604A (alkaline), 6KR61 (nickel-cadmium), 6HR61 (nickel-metal hydride), 1604LC (lithium primary)");
}

TEST_CASE("hours are capacity over current") {
  // 550 mAh and 400 mAh: batteryequivalents.com. The hours: computed from the formula. The currents of on-board
  // electronics (80 µA an active pickup, 0.2 to 0.5 mA and 1 to 2.5 mA an op-amp): from memory.
  battery b = read_battery("6LR61");
  b.capacity = {550_mAh, 600_mAh};
  CHECK(near(lowest_hours(b, 80_uA), 6875, 1e-15));
  CHECK(near(lowest_hours(b, 0.5_mA), 1100, 1e-15));
  CHECK(near(lowest_hours(b, 1_mA), 550, 1e-15));
  CHECK(near(lowest_hours(b, 2.5_mA), 220, 1e-15));
  CHECK(near(highest_hours(b, 2.5_mA), 240, 1e-15));
  CHECK(near(highest_hours(read_battery("6F22"), 1_mA), 400, 1e-15));
  CHECK(near(lowest_hours(read_battery("6F22"), 1_mA), 300, 1e-15));
}

TEST_CASE("no current empties no battery") {
  const battery b = read_battery("6LR61");
  CHECK(!battery_life(b, 0_A).has_value());
  CHECK(!battery_life(b, current::from_value(std::numeric_limits<double>::min())).has_value());
  CHECK(near(lowest_hours(b, current::from_value(1e-12)), 0.5e12, 1e-15));
  CHECK(voltage_drop(b, 0_A).value() == 0);
  CHECK(voltage_drop(read_battery("6F22"), 10_mA).value() == 0); // not known
}

TEST_CASE("only the nickel chemistries are charged, and the caution says so") {
  CHECK(is_rechargeable(nickel_cadmium));
  CHECK(is_rechargeable(nickel_metal_hydride));
  for (const auto kind : {zinc_carbon, alkaline, lithium_primary}) {
    CHECK(!is_rechargeable(kind));
    const std::string text = battery_caution(nine_volt_block(kind));
    CHECK(text.find("Never charge it: it is a primary battery (" + std::string(name_of(kind)) + ").") !=
          text.npos);
    CHECK(text.find("polarity") != text.npos);
    CHECK(text.find("Never short") != text.npos);
  }
  CHECK(battery_caution(read_battery("6HR61")) == "Mind the polarity: a reversed battery can destroy the "
                                                  "electronics. Never short a battery: keep its contacts "
                                                  "and its clip from touching metal. Charge it outside the "
                                                  "instrument, in a charger made for nickel-metal "
                                                  "hydride cells.");
  CHECK(battery_caution(read_battery("6KR61")).find("nickel-cadmium cells.") != std::string::npos);
}

TEST_CASE("what is refused") {
  const battery good = read_battery("6LR61");
  const auto with = [&](auto change) {
    battery b = good;
    change(b);
    return error_of([&] { require_sound(b); });
  };
  CHECK(with([](battery&) {}) == "no error");
  CHECK(with([](battery& b) { b.cells = 0; }) == "battery.cells is 0; allowed: 1 to 99");
  CHECK(with([](battery& b) { b.cells = 100; }) == "battery.cells is 100; allowed: 1 to 99");
  CHECK(with([](battery& b) { b.fresh_voltage = 0_V; }) ==
        "battery.fresh_voltage is 0 V; allowed: more than 0 V");
  CHECK(with([](battery& b) {
          b.fresh_voltage = voltage::from_value(std::numeric_limits<double>::quiet_NaN());
        }) == "battery.fresh_voltage is NaN V; allowed: more than 0 V");
  CHECK(with([](battery& b) { b.end_voltage = 9.5_V; }) ==
        "battery.end_voltage is 9.5 V; allowed: 0 V to 9 V");
  CHECK(with([](battery& b) { b.end_voltage = -1_V; }) == "battery.end_voltage is -1 V; allowed: 0 V to 9 V");
  CHECK(with([](battery& b) { b.end_voltage = b.fresh_voltage; }) == "no error");
  CHECK(with([](battery& b) { b.capacity.lowest = 0_mAh; }) ==
        "battery.capacity.lowest is 0 C; allowed: more than 0 C");
  CHECK(with([](battery& b) { b.capacity.highest = -1_mAh; }) ==
        "battery.capacity.highest is -3.6 C; allowed: more than 0 C");
  CHECK(with([](battery& b) {
          b.capacity = {600_mAh, 500_mAh};
        }) == "battery.capacity.lowest is 2.16 kC; allowed: 0 C to 1.8 kC");
  CHECK(with([](battery& b) { b.internal_resistance = -1_Ohm; }) ==
        "battery.internal_resistance is -1 Ω; allowed: 0 Ω or more");
  CHECK(error_of([] { (void)battery_life(battery{}, 1_mA); }) ==
        "battery.fresh_voltage is 0 V; allowed: more than 0 V");
  CHECK(error_of([&] { require_sound(battery{}, "supply.cell"); }) ==
        "supply.cell.fresh_voltage is 0 V; allowed: more than 0 V");
  CHECK(error_of([&] { (void)battery_life(good, -1_mA); }) ==
        "battery_life.drawn is -1 mA; allowed: 0 A or more");
  CHECK(error_of([&] { (void)battery_life(good, current::from_value(open_value)); }) ==
        "battery_life.drawn is infinity A; allowed: 0 A or more");
  CHECK(error_of([&] { (void)voltage_drop(good, -1_mA); }) ==
        "voltage_drop.drawn is -1 mA; allowed: 0 A or more");
  CHECK(error_of([] { (void)nine_volt_block(static_cast<battery_chemistry>(9)); }) ==
        "nine_volt_block.kind is 9; allowed: an enumerator of battery_chemistry");
}
