// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include <lodewire/parts/battery.hpp>
#include <lodewire/quantity/decibel.hpp>

namespace lodewire {

/// Which contact of the output jack switches the negative battery lead. The ring contact is common practice, no source.
enum class jack_wiring : std::uint8_t {
  always_on,         ///< none: the negative lead is grounded for good
  ring_contact,      ///< the ring of a stereo jack, which a plug of two contacts joins to the sleeve
  switching_contact, ///< one that any plug closes mechanically
};

/// What is in the output jack.
enum class plug : std::uint8_t {
  none,
  two_contacts,          ///< tip and sleeve: a mono plug
  three_contacts,        ///< tip, ring and sleeve, the ring joined to nothing else
  three_contacts_joined, ///< the same with ring and sleeve joined at the far end of the cable
};

/// Does this plug complete the circuit of the supply?
[[nodiscard]] constexpr bool is_powered(jack_wiring jack, plug in) noexcept {
  switch (jack) {
  case jack_wiring::always_on: return true;
  case jack_wiring::ring_contact: return in == plug::two_contacts || in == plug::three_contacts_joined;
  case jack_wiring::switching_contact: break;
  }
  return in != plug::none;
}

/// Is all that hangs on the battery left on with no plug in?
[[nodiscard]] constexpr bool stays_on_unplugged(jack_wiring jack) noexcept {
  return is_powered(jack, plug::none);
}

/// The contact that carries the negative battery lead.
[[nodiscard]] constexpr std::string_view negative_lead_contact(jack_wiring jack) noexcept {
  switch (jack) {
  case jack_wiring::always_on: return "sleeve contact";
  case jack_wiring::ring_contact: return "ring contact";
  case jack_wiring::switching_contact: break;
  }
  return "switching contact";
}

/// For the bench: where the negative lead goes, which plug switches on, what to check with a meter.
[[nodiscard]] inline std::string jack_note(jack_wiring jack) {
  std::string text = "The negative battery lead goes to the ";
  text.append(negative_lead_contact(jack)).append(" of the output jack. ");
  switch (jack) {
  case jack_wiring::always_on:
    return text +=
           "No plug switches it: everything on the battery stays on when unplugged. Check that a switch of "
           "its own is in the battery lead, or take the battery out after playing.";
  case jack_wiring::ring_contact:
    return text += "A plug of two contacts joins ring and sleeve and switches on; a plug of three does not, "
                   "unless its ring "
                   "meets the sleeve at the far end of the cable. Check for continuity from ring to sleeve: "
                   "none with the "
                   "jack empty, some with a plug of two contacts in it.";
  case jack_wiring::switching_contact: break;
  }
  return text += "A plug of two or of three contacts closes it. Check for continuity from that contact to "
                 "the sleeve: "
                 "none with the jack empty, some with a plug in it. A contact that opens when the plug goes "
                 "in is the "
                 "wrong kind.";
}

/// What feeds the electronics inside an instrument. Checked where it is used (`require_sound`).
struct onboard_supply {
  battery cell = nine_volt_block(battery_chemistry::alkaline);
  int in_series = 1; ///< batteries: 1 or 2
  jack_wiring jack = jack_wiring::ring_contact;
  /// What the output stage cannot reach of the supply, both rails together: common practice, no source.
  voltage lost_at_rails = voltage::from_value(2);
  [[nodiscard]] bool operator==(const onboard_supply&) const = default;
};

/// The battery, one or two of it in series, loss at the rails ≥ 0 V. Throws `invalid_value` that names the member.
inline void require_sound(const onboard_supply& s) {
  require_sound(s.cell, "supply.cell");
  require_within("supply.in_series", s.in_series, 1, 2);
  require_not_negative("supply.lost_at_rails", s.lost_at_rails);
}

/// Voltage of the whole supply with new batteries, and when they count as empty, less what their internal resistance
/// takes of it at that current; not below 0 V. Throws `invalid_value`.
[[nodiscard]] inline voltage fresh_voltage(const onboard_supply& s, current drawn = {}) {
  require_sound(s);
  const voltage each = s.cell.fresh_voltage - voltage_drop(s.cell, drawn);
  return (std::max)(voltage{}, each * static_cast<double>(s.in_series));
}
[[nodiscard]] inline voltage end_voltage(const onboard_supply& s, current drawn = {}) {
  require_sound(s);
  const voltage each = s.cell.end_voltage - voltage_drop(s.cell, drawn);
  return (std::max)(voltage{}, each * static_cast<double>(s.in_series));
}

/// `battery_life` of one battery: in series each carries the whole current, so that two last no longer than one.
[[nodiscard]] inline std::optional<life_range> supply_life(const onboard_supply& s, current drawn) {
  require_sound(s);
  return battery_life(s.cell, drawn);
}

/// Largest undistorted output, as a peak voltage, of a stage biased at half the supply: (V - lost)/2, not below 0 V.
/// Throws `invalid_value`.
[[nodiscard]] inline voltage largest_output(const onboard_supply& s, voltage across) {
  require_sound(s);
  require_not_negative("largest_output.across", across);
  return (std::max)(voltage{}, (across - s.lost_at_rails) / 2.);
}

/// How far an EMF's peak lies below the largest undistorted output; negative where it clips, minus infinity where no
/// output is left.
struct supply_headroom {
  voltage fresh_output{}, end_output{}; ///< peak
  decibel fresh{}, end{};
};

/// Headroom over an EMF's peak (for a sine √2 times its rms value) at the current that the electronics draw. The EMF is
/// that at the output of the stage: behind a gain, the amplified one. Peak > 0 V; throws `invalid_value`.
[[nodiscard]] inline supply_headroom headroom(const onboard_supply& s, voltage emf_peak, current drawn = {}) {
  require_positive("headroom.emf_peak", emf_peak);
  const voltage fresh = largest_output(s, fresh_voltage(s, drawn));
  const voltage end = largest_output(s, end_voltage(s, drawn));
  return {fresh, end, voltage_level(fresh / emf_peak), voltage_level(end / emf_peak)};
}

/// For the bench: what is left on without a plug, and how long a battery lasts on. Throws `invalid_value`.
[[nodiscard]] inline std::string unplugged_note(const onboard_supply& s, current drawn) {
  const auto life = supply_life(s, drawn);
  std::string text = stays_on_unplugged(s.jack)
                         ? "Unplugged, everything on the battery stays on"
                         : "Unplugged, nothing on the battery stays on; with a plug left in, all of it does";
  if (!life) return text += ", but nothing draws a current.";
  const auto hours = [](duration t) {
    return in_hours(t) < 1000 ? plain_number(in_hours(t), 3) : fixed_number(in_hours(t), 0);
  };
  text += ": it draws " + engineering(drawn) + " and empties a new battery in " + hours(life->lowest);
  if (!(life->highest == life->lowest)) text += " to " + hours(life->highest);
  return text += " h.";
}

} // namespace lodewire
