// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <optional>

#include <lodewire/quantity/units.hpp>

/// How far a part may be from its nominal value, and the letters of IEC 60062 for it.
namespace lodewire {

/// A tolerance as fractions of the nominal value: `{.minus = 0.2, .plus = 0.8}` is −20/+80 %. Both are 0 or
/// more, and `minus` is at most 1. Cost: two doubles.
struct tolerance {
  double minus = 0; ///< how far below, as a fraction: 0.05 is 5 %
  double plus = 0;  ///< how far above

  /// The same on both sides: `tolerance::symmetric(0.05)` is ±5 %.
  [[nodiscard]] static constexpr tolerance symmetric(double fraction) noexcept {
    return {fraction, fraction};
  }

  /// The least value that a part of this nominal value may have.
  template <class Unit>
  [[nodiscard]] constexpr quantity_of<Unit> lowest(const quantity_of<Unit>& nominal) const {
    return quantity_of<Unit>::from_value(nominal.value() * (1 - minus));
  }
  /// The greatest value that a part of this nominal value may have.
  template <class Unit>
  [[nodiscard]] constexpr quantity_of<Unit> highest(const quantity_of<Unit>& nominal) const {
    return quantity_of<Unit>::from_value(nominal.value() * (1 + plus));
  }

  [[nodiscard]] friend constexpr bool operator==(const tolerance&, const tolerance&) noexcept = default;
};

namespace detail {

struct lettered_tolerance {
  char letter;
  tolerance within;
};

/// IEC 60062: symmetric in percent, then asymmetric.
inline constexpr lettered_tolerance tolerance_letters[] = {
    {'E', {0.00005, 0.00005}}, {'L', {0.0001, 0.0001}}, {'P', {0.0002, 0.0002}}, {'W', {0.0005, 0.0005}},
    {'B', {0.001, 0.001}},     {'C', {0.0025, 0.0025}}, {'D', {0.005, 0.005}},   {'F', {0.01, 0.01}},
    {'G', {0.02, 0.02}},       {'J', {0.05, 0.05}},     {'K', {0.1, 0.1}},       {'M', {0.2, 0.2}},
    {'N', {0.3, 0.3}},         {'Q', {0.1, 0.3}},       {'T', {0.1, 0.5}},       {'S', {0.2, 0.5}},
    {'Z', {0.2, 0.8}}};

struct lettered_picofarads {
  char letter;
  double picofarads;
};

/// IEC 60062, capacitors below 10 pF: plus and minus so many picofarads.
inline constexpr lettered_picofarads picofarad_letters[] = {
    {'B', 0.1}, {'C', 0.25}, {'D', 0.5}, {'F', 1}, {'G', 2}};

[[nodiscard]] constexpr bool is_below_10_pf(const capacitance& nominal) noexcept {
  return nominal.value() > 0 && nominal.value() < 10e-12;
}

[[nodiscard]] constexpr bool nearly_same(double a, double b) noexcept {
  return (a < b ? b - a : a - b) <= 1e-9 * (a < b ? b : a);
}

} // namespace detail

/// The tolerance that a letter of IEC 60062 stands for (E L P W B C D F G J K M N, and Q T S Z which are not
/// symmetric); none for any other character.
[[nodiscard]] constexpr std::optional<tolerance> tolerance_of_letter(char letter) noexcept {
  for (const auto& entry : detail::tolerance_letters)
    if (entry.letter == letter) return entry.within;
  return std::nullopt;
}

/// The same for a capacitor: below 10 pF the letters B C D F G mean ±0.1, 0.25, 0.5, 1 and 2 pF, given here
/// as a fraction of `nominal`. `minus` stops at 1: no capacitance is negative.
[[nodiscard]] constexpr std::optional<tolerance> tolerance_of_letter(char letter,
                                                                     const capacitance& nominal) noexcept {
  if (detail::is_below_10_pf(nominal))
    for (const auto& entry : detail::picofarad_letters)
      if (entry.letter == letter) {
        const double fraction = entry.picofarads / (nominal.value() * 1e12);
        return tolerance{fraction < 1 ? fraction : 1, fraction};
      }
  return tolerance_of_letter(letter);
}

/// The letter of IEC 60062 for a tolerance (to within one part in 1e9); none if the standard has none.
[[nodiscard]] constexpr std::optional<char> tolerance_letter(const tolerance& within) noexcept {
  for (const auto& entry : detail::tolerance_letters)
    if (detail::nearly_same(entry.within.minus, within.minus) &&
        detail::nearly_same(entry.within.plus, within.plus))
      return entry.letter;
  return std::nullopt;
}

/// The same for a capacitor: below 10 pF the letters B C D F G are picofarads, never percent.
[[nodiscard]] constexpr std::optional<char> tolerance_letter(const tolerance& within,
                                                             const capacitance& nominal) noexcept {
  if (!detail::is_below_10_pf(nominal)) return tolerance_letter(within);
  for (const auto& entry : detail::picofarad_letters)
    if (detail::nearly_same(entry.picofarads, within.plus * nominal.value() * 1e12) &&
        detail::nearly_same(within.minus, within.plus < 1 ? within.plus : 1))
      return entry.letter;
  const auto letter = tolerance_letter(within);
  for (const auto& entry : detail::picofarad_letters)
    if (letter == entry.letter) return std::nullopt;
  return letter;
}

} // namespace lodewire
