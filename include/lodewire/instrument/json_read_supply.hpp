// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>
#include <string_view>

#include <lodewire/instrument/instrument.hpp>
#include <lodewire/instrument/json_charge.hpp>
#include <lodewire/instrument/json_read_parts.hpp>

/// Supply and destinations from an instrument file.
namespace lodewire::detail {

[[nodiscard]] inline battery read_battery_object(const json_node& from) {
  from.require_shape(shapes::battery);
  battery b{.designation = from["designation"].name()};
  from.word_to(b.chemistry, "chemistry", words::chemistries);
  if (const auto cells = from.find("cells")) b.cells = cells->integer(1, 99);
  from.quantity_to(b.fresh_voltage, "fresh_voltage");
  from.quantity_to(b.end_voltage, "end_voltage");
  constexpr std::string_view wanted = "lowest and highest capacity: [\"500 mAh\", \"610 mAh\"]";
  const auto range = from["capacity"].list(wanted);
  if (range.size() != 2) from["capacity"].refuse_this(wanted);
  const auto charge = [&](const json_node& n) {
    return n.read(read_charge, "a charge as text, such as '550 mAh'");
  };
  b.capacity = {charge(range[0]), charge(range[1])};
  from.quantity_to(b.internal_resistance, "internal_resistance");
  check_part(from, 1, [&] { require_sound(b, "b"); });
  return b;
}

[[nodiscard]] inline onboard_supply read_supply(const json_node& from) {
  from.require_shape(shapes::supply);
  onboard_supply s;
  if (const auto cell = from.find("battery"))
    s.cell = cell->is_text() ? cell->read([](std::string_view t) { return read_battery(t); }, "")
                             : read_battery_object(*cell);
  if (const auto count = from.find("in_series")) s.in_series = count->integer(1, 2);
  from.word_to(s.jack, "jack", words::jacks);
  from.quantity_to(s.lost_at_rails, "lost_at_rails");
  check_part(from, std::string_view("supply.").size(), [&] { require_sound(s); });
  return s;
}

[[nodiscard]] inline destination read_destination(const json_node& from) {
  from.require_shape(shapes::destination);
  destination d{.name = from["name"].name()};
  if (const auto cable = from.find("cable")) {
    cable->require_shape(shapes::cable);
    cable->quantity_to(d.lead.length, "length");
    cable->quantity_to(d.lead.capacitance, "capacitance");
    cable->quantity_to(d.lead.resistance, "resistance");
    cable->quantity_to(d.lead.inductance, "inductance");
  }
  if (const auto input = from.find("input")) {
    input->require_shape(shapes::input);
    input->quantity_to(d.into.resistance, "resistance");
    input->quantity_to(d.into.capacitance, "capacitance");
    input->quantity_to(d.into.stopper, "stopper");
  }
  voltage_noise_to(d.voltage_noise, from);
  current_noise_to(d.current_noise, from);
  check_part(from, 0, [&] { (void)(stage(d.lead) | stage(d.into)); });
  return d;
}

} // namespace lodewire::detail
