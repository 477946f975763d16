// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/instrument/json_node.hpp>
#include <lodewire/instrument/json_read_parts.hpp>
#include <lodewire/instrument/wiring.hpp>

/// Wirings, steps and networks from an instrument file.
namespace lodewire::detail {

/// What a value in trade writing is by its unit; none where it could be two things.
enum class part_kind : std::uint8_t { unclear, resistor, capacitor, inductor };

/// The first letters behind the number decide: k K M G T R Ω ohm are a resistor; p n µ and F a capacitor; H, also
/// behind a prefix, an inductor. A number alone and m alone are unclear.
[[nodiscard]] inline part_kind part_kind_of(std::string_view text) {
  text_cursor in{text, "part"};
  (void)take_decimal(in);
  in.skip_spaces();
  const auto is = [](char c, std::string_view any) { return c != '\0' && any.find(c) != any.npos; };
  const char prefix = in.peek();
  if (in.take_one_of("Meg meg MEG") || is(prefix, "kKMGTRrOo") || prefix == ohm_sign)
    return part_kind::resistor;
  if (is(prefix, "FfPNU")) return part_kind::capacitor;
  if (is(prefix, "Hh")) return part_kind::inductor;
  if (!is(prefix, "pnum")) return part_kind::unclear;
  in.step();
  while (in.digit() || in.peek() == ' ') in.step(); // 4n7 H
  const char unit = in.peek();
  if (is(unit, "Hh")) return part_kind::inductor;
  if (is(unit, "Ff")) return part_kind::capacitor;
  if (prefix != 'm') return part_kind::capacitor;
  return is(unit, "RrOo") || unit == ohm_sign ? part_kind::resistor : part_kind::unclear;
}

/// The names that a wiring may use.
struct known_names {
  std::vector<std::string> pickups, circuits, sections;
};

class wiring_reader {
public:
  explicit wiring_reader(const known_names& known) : known_{known} {}

  [[nodiscard]] wiring read_wiring(const json_node& from) const {
    const object_shape& shape = from.choose(shapes::wirings);
    from.require_shape(shape);
    wiring w;
    if (&shape == &shapes::from_pickup) {
      w.name = reference(from["pickup"], known_.pickups);
      from.word_to(w.mode, "mode", words::modes);
      from.quantity_to(w.across_idle_coil, "across_idle_coil");
    } else if (&shape == &shapes::from_circuit) {
      w.is = wiring::kind::circuit;
      w.name = reference(from["circuit"], known_.circuits);
    } else if (&shape == &shapes::by_nodes) {
      w.is = wiring::kind::nodes;
      for (const json_node& one : from["branches"].list("a list of branches: [...]"))
        w.branches.push_back(read_branch(one));
      w.out = from["out"].name();
    } else {
      w.is = &shape == &shapes::in_series ? wiring::kind::series : wiring::kind::parallel;
      const json_node group = from[shape.keys[0]];
      for (const json_node& one : group.list("a list of wirings: [...]")) w.of.push_back(read_wiring(one));
      if (w.of.size() < 2) group.refuse_this("two wirings or more");
    }
    if (const auto swapped = from.find("leads_swapped")) w.leads_swapped = swapped->boolean();
    if (const auto then = from.find("then")) w.then = read_steps(*then);
    return w;
  }

  [[nodiscard]] wiring_branch read_branch(const json_node& from) const {
    const object_shape& shape = from.choose(shapes::branches);
    from.require_shape(shape);
    wiring_branch b;
    const auto ends = [&](const json_node& list, std::size_t count, std::string_view allowed) {
      const auto nodes = list.list(allowed);
      if (nodes.size() != count) list.refuse_this(allowed);
      for (const json_node& node : nodes)
        b.between.push_back(count == 3 && node.is_nothing() ? std::string() : node.name());
    };
    if (&shape == &shapes::pickup_branch) {
      b.is = wiring_branch::kind::pickup;
      b.name = reference(from["pickup"], known_.pickups);
      from.word_to(b.mode, "mode", words::modes);
      from.quantity_to(b.across_idle_coil, "across_idle_coil");
      if (const auto swapped = from.find("leads_swapped")) b.leads_swapped = swapped->boolean();
      ends(from["between"], 2, "two nodes: [\"hot\", \"cold\"]");
    } else if (&shape == &shapes::part_branch) {
      b.part = read_network(from["part"]);
      from.name_to(b.name, "name");
      ends(from["between"], 2, "two nodes: [\"one\", \"other\"]");
    } else if (&shape == &shapes::control_branch) {
      b.is = wiring_branch::kind::control;
      b.name = reference(from["control"], known_.sections);
      ends(from["lugs"], 3,
           "the nodes of lugs 1, 2 and 3, null for a lug that is free: [\"ground\", \"a\", \"b\"]");
    } else {
      b.is = wiring_branch::kind::coupled;
      ends(from["coupled"], 2, "two coils: [\"neck\", \"bridge.first coil\"]");
      b.coupling = from["coupling"].number();
    }
    return b;
  }

  [[nodiscard]] std::vector<wiring_step> read_steps(const json_node& from) const {
    std::vector<wiring_step> steps;
    for (const json_node& one : from.list("a list of steps: [...]")) steps.push_back(read_step(one));
    return steps;
  }

  [[nodiscard]] network read_network(const json_node& from) const {
    if (from.is_text()) return read_network_text(from);
    const object_shape& shape = from.choose(shapes::networks, ", or a part as text, such as '22n' or '470k'");
    from.require_shape(shape);
    network n;
    if (&shape == &shapes::resistor) {
      n = network(from["resistor"].quantity<resistance>());
    } else if (&shape == &shapes::capacitor) {
      n = network(read_capacitor(from));
    } else if (&shape == &shapes::inductor) {
      n = network(from["inductor"].quantity<inductance>());
    } else if (&shape == &shapes::rheostat) {
      n = rheostat(reference(from["rheostat"], known_.sections));
      from.word_to(n.in_use, "lugs", words::lugs_in_use);
    } else {
      const json_node group = from[shape.keys[0]];
      for (const json_node& one : group.list("a list of networks: [...]")) n.of.push_back(read_network(one));
      if (n.of.size() < 2) group.refuse_this("two networks or more");
      n.is = &shape == &shapes::series_network ? network::kind::series : network::kind::parallel;
    }
    from.name_to(n.name, "name");
    return n;
  }

private:
  /// A name that must be there.
  [[nodiscard]] static std::string reference(const json_node& from, const std::vector<std::string>& known) {
    const std::string& name = from.text("a name: \"...\"");
    if (std::find(known.begin(), known.end(), name) == known.end())
      from.refuse(from.shown(), listed(known), usual_word(name, known));
    return name;
  }

  [[nodiscard]] static network read_network_text(const json_node& from) {
    switch (from.read(part_kind_of, "")) {
    case part_kind::resistor: return from.quantity<resistance>();
    case part_kind::capacitor: return from.quantity<capacitance>();
    case part_kind::inductor: return from.quantity<inductance>();
    case part_kind::unclear: break;
    }
    const std::string& text = from.text();
    if (text.size() == 3 && text.find_first_not_of("0123456789") == text.npos)
      from.refuse_this("a part whose unit tells what it is, such as '470k' or '22n'; what is printed on a "
                       "capacitor: {\"capacitor\": \"" +
                       text + "\"}");
    from.refuse_this("a part whose unit tells what it is: a resistor ('470k', '470R'), a capacitor ('22n', "
                     "'22mF') or an inductor ('3H', '22mH')");
  }

  [[nodiscard]] static capacitor read_capacitor(const json_node& from) {
    capacitor c{.capacitance = from["capacitor"].quantity<capacitance>()};
    from.quantity_to(c.stated_at, "stated_at");
    from.number_to(c.loss_tangent, "loss_tangent");
    if (!(c.stated_at.value() > 0)) from["stated_at"].refuse_this("more than 0 Hz");
    if (const auto kind = from.find("dielectric")) {
      if (from.has("loss_tangent"))
        from.refuse("an object with 'dielectric' and 'loss_tangent'", "one of the two");
      c = capacitor_of(kind->one_of(words::dielectrics), c.capacitance, c.stated_at);
    }
    check_part(from, std::string_view("capacitor.").size(), [&] { (void)c.series_resistance(); });
    return c;
  }

  [[nodiscard]] wiring_step read_step(const json_node& from) const {
    const object_shape& shape = from.choose(shapes::steps);
    from.require_shape(shape);
    wiring_step step;
    if (&shape == &shapes::volume || &shape == &shapes::reversed_volume) {
      const bool plain = &shape == &shapes::volume;
      step.is = plain ? wiring_step::kind::volume : wiring_step::kind::reversed_volume;
      step.control = reference(from[shape.keys[0]], known_.sections);
      const auto network_to = [&](std::optional<network>& to, std::string_view key) {
        if (const auto member = from.find(key)) to = read_network(*member);
      };
      network_to(step.bleed, "bleed");
      network_to(step.across_track, "across_track");
      network_to(step.wiper_to_low, "wiper_to_low");
    } else if (&shape == &shapes::shunt_step || &shape == &shapes::series_step) {
      const bool across = &shape == &shapes::shunt_step;
      step.is = across ? wiring_step::kind::shunt : wiring_step::kind::series;
      step.part = read_network(from[shape.keys[0]]);
    } else if (&shape == &shapes::amplifier_step) {
      step.is = wiring_step::kind::amplifier;
      step.amplifier = read_amplifier(from["amplifier"]);
      from.name_to(step.name, "name");
    } else {
      step.name = from["point"].name();
    }
    return step;
  }

  [[nodiscard]] static onboard_amplifier read_amplifier(const json_node& from) {
    from.require_shape(shapes::amplifier);
    onboard_amplifier a;
    from.number_to(a.gain, "gain");
    from.quantity_to(a.input_resistance, "input_resistance");
    from.quantity_to(a.input_capacitance, "input_capacitance");
    from.quantity_to(a.output_resistance, "output_resistance");
    voltage_noise_to(a.voltage_noise, from);
    current_noise_to(a.current_noise, from);
    from.quantity_to(a.supply_current, "supply_current");
    if (!(a.input_resistance.value() > 0)) from["input_resistance"].refuse_this("more than 0 Ω");
    return a;
  }

  const known_names& known_;
};

} // namespace lodewire::detail
