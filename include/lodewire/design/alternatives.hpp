// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include <lodewire/design/drawer.hpp>
#include <lodewire/quantity/preferred.hpp>

/// What may be done at a place of an instrument, and with parts of which values. Plain values; `choose` searches them.
namespace lodewire {

/// Where the value of one part comes from. Made by the functions below.
struct values_from {
  enum class kind : std::uint8_t {
    list,   ///< one of these
    series, ///< of an E series, from `low` to `high`
    drawer, ///< of the drawer, from `low` to `high`
    any,    ///< any value from `low` to `high`
  };
  kind is = kind::list;
  stock_kind of = stock_kind::resistor;
  std::vector<double> values{}; ///< list: Ω or F
  e_series series = e_series::e12;
  double low = 0, high = 0; ///< Ω or F, both included
  /// As a fraction, of the list, the series and any value; absent: 0, for a series that which goes with it. A drawer's
  /// parts have their own.
  std::optional<double> tolerance{};
  [[nodiscard]] bool operator==(const values_from&) const = default;
};

namespace detail {

template <class Q>
concept Fitted = std::is_same_v<Q, resistance> || std::is_same_v<Q, capacitance>;

template <Fitted Q>
inline constexpr stock_kind kind_for =
    std::is_same_v<Q, capacitance> ? stock_kind::capacitor : stock_kind::resistor;

} // namespace detail

/// One of some values.
template <detail::Fitted Q>
[[nodiscard]] values_from one_of(const std::vector<Q>& list, std::optional<double> tolerance = {}) {
  values_from v{.is = values_from::kind::list, .of = detail::kind_for<Q>, .tolerance = tolerance};
  for (const Q& q : list) v.values.push_back(q.value());
  return v;
}
/// A value of an E series.
template <detail::Fitted Q>
[[nodiscard]] values_from from_series(e_series series, Q low, Q high, std::optional<double> tolerance = {}) {
  return {.is = values_from::kind::series,
          .of = detail::kind_for<Q>,
          .series = series,
          .low = low.value(),
          .high = high.value(),
          .tolerance = tolerance};
}
/// A part of the drawer, of this kind.
[[nodiscard]] inline values_from from_drawer(stock_kind kind) {
  return {.is = values_from::kind::drawer, .of = kind, .low = 0, .high = 1e300};
}
/// Any value. The search starts from a grid of them and refines the best.
template <detail::Fitted Q>
[[nodiscard]] values_from any_value(Q low, Q high, std::optional<double> tolerance = {}) {
  return {.is = values_from::kind::any,
          .of = detail::kind_for<Q>,
          .low = low.value(),
          .high = high.value(),
          .tolerance = tolerance};
}

/// One thing that may be done. Of two places only one can exchange a part, and a pot that is taken out can have nothing
/// soldered to it: such combinations are passed over. Controls are named by their section (`section_name`). A part is added beside what is
/// there already. Made by the functions below.
struct way {
  enum class kind : std::uint8_t {
    nothing,         ///< all stays as it is
    across_track,    ///< of a volume control: lugs 1 and 3
    wiper_to_low,    ///< of a volume control: lugs 1 and 2
    wiper_to_high,   ///< of a volume control: lugs 2 and 3, a bleed
    in_place_of_pot, ///< the control is taken out; a volume control leaves the part from the hot lead to ground
    in_series,       ///< in the hot lead: of a pickup, or at the jack
    across,          ///< from the hot lead to ground: of a pickup, right at its terminals, or at the jack
    another_pot,     ///< another potentiometer in the control
    tone_capacitor, ///< another capacitor in series with the control
    part,           ///< another value of a part that has a name in the wiring
  };
  kind is = kind::nothing;
  std::string at{};                 ///< section of a control, pickup, "jack", part
  std::vector<values_from> parts{}; ///< none, one or two
  bool parts_in_series = false;     ///< two parts: in series, or in parallel
  std::optional<taper> law{};       ///< another_pot: its law; absent: as the old one, or as the drawer says
  [[nodiscard]] bool operator==(const way&) const = default;
};

/// A place where one of several things is done.
struct place {
  std::string name{};
  std::vector<way> ways{};
  [[nodiscard]] bool operator==(const place&) const = default;
};

[[nodiscard]] inline way nothing() { return {}; }
[[nodiscard]] inline way across_track(std::string control, values_from part) {
  return {way::kind::across_track, std::move(control), {std::move(part)}, false, {}};
}
[[nodiscard]] inline way wiper_to_low(std::string control, values_from part) {
  return {way::kind::wiper_to_low, std::move(control), {std::move(part)}, false, {}};
}
[[nodiscard]] inline way wiper_to_high(std::string control, values_from part) {
  return {way::kind::wiper_to_high, std::move(control), {std::move(part)}, false, {}};
}
/// A bleed of two parts.
[[nodiscard]] inline way bleed_of_two(std::string control, values_from first, values_from second,
                                      bool in_series) {
  return {way::kind::wiper_to_high, std::move(control), {std::move(first), std::move(second)}, in_series, {}};
}
[[nodiscard]] inline way in_place_of_pot(std::string control, values_from part) {
  return {way::kind::in_place_of_pot, std::move(control), {std::move(part)}, false, {}};
}
/// `at`: a pickup, or "jack".
[[nodiscard]] inline way in_series_at(std::string at, values_from part) {
  return {way::kind::in_series, std::move(at), {std::move(part)}, false, {}};
}
[[nodiscard]] inline way across_at(std::string at, values_from part) {
  return {way::kind::across, std::move(at), {std::move(part)}, false, {}};
}
[[nodiscard]] inline way another_pot(std::string control, values_from total, std::optional<taper> law = {}) {
  return {way::kind::another_pot, std::move(control), {std::move(total)}, false, std::move(law)};
}
[[nodiscard]] inline way tone_capacitor(std::string control, values_from part) {
  return {way::kind::tone_capacitor, std::move(control), {std::move(part)}, false, {}};
}
[[nodiscard]] inline way value_of_part(std::string name, values_from part) {
  return {way::kind::part, std::move(name), {std::move(part)}, false, {}};
}

namespace detail {

/// Refuses a way whose parts cannot do it. Throws `invalid_value` at `path`.
inline void require_way(const way& w, const std::string& path) {
  const std::size_t count = w.parts.size();
  const bool two = w.is == way::kind::across_track || w.is == way::kind::wiper_to_low ||
                   w.is == way::kind::wiper_to_high || w.is == way::kind::in_series ||
                   w.is == way::kind::across || w.is == way::kind::in_place_of_pot;
  if (w.is == way::kind::nothing ? count != 0 : (count < 1 || count > (two ? 2U : 1U)))
    throw invalid_value(path + ".parts", std::to_string(count) + " long",
                        w.is == way::kind::nothing ? "none for 'nothing'"
                        : two                      ? "one or two"
                                                   : "one");
  for (const values_from& v : w.parts) {
    const bool pot = v.of == stock_kind::potentiometer;
    if (w.is == way::kind::another_pot ? v.of == stock_kind::capacitor : pot)
      throw invalid_value(path + ".parts", std::string(name_of(v.of)),
                          pot ? "a resistor or a capacitor" : "a potentiometer or its total");
    if (w.is == way::kind::tone_capacitor && v.of != stock_kind::capacitor)
      throw invalid_value(path + ".parts", std::string(name_of(v.of)), "a capacitor");
  }
}

} // namespace detail

} // namespace lodewire
