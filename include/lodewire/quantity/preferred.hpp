// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/quantity/decimal_value.hpp>
#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/tolerance.hpp>

/// Preferred values after IEC 60063: the values that resistors, capacitors and inductors are made in.
///
/// All functions work on the doubles nearest to the decimal values (22 nF is the double nearest to 22e-9), in
/// any decade, so that results compare equal to literals, whatever the compiler's flags. They are exact
/// comparisons in the coherent SI unit. Valid range: 1e-18 to 1e18 of that unit; outside it, and for NaN,
/// they throw `invalid_value`. Cost of a single value: below a microsecond.
namespace lodewire {

/// The number of values in a decade.
enum class e_series { e3 = 3, e6 = 6, e12 = 12, e24 = 24, e48 = 48, e96 = 96, e192 = 192 };

namespace detail {

using preferred_digits = std::int16_t;

// The standard's own lists: neither follows from rounding 10^(i/n) (920 in E192, eight values in E24 do not).
inline constexpr std::array<preferred_digits, 24> e24_digits = {100, 110, 120, 130, 150, 160, 180, 200,
                                                                220, 240, 270, 300, 330, 360, 390, 430,
                                                                470, 510, 560, 620, 680, 750, 820, 910};
inline constexpr std::array<preferred_digits, 192> e192_digits = {
    100, 101, 102, 104, 105, 106, 107, 109, 110, 111, 113, 114, 115, 117, 118, 120, 121, 123, 124, 126,
    127, 129, 130, 132, 133, 135, 137, 138, 140, 142, 143, 145, 147, 149, 150, 152, 154, 156, 158, 160,
    162, 164, 165, 167, 169, 172, 174, 176, 178, 180, 182, 184, 187, 189, 191, 193, 196, 198, 200, 203,
    205, 208, 210, 213, 215, 218, 221, 223, 226, 229, 232, 234, 237, 240, 243, 246, 249, 252, 255, 258,
    261, 264, 267, 271, 274, 277, 280, 284, 287, 291, 294, 298, 301, 305, 309, 312, 316, 320, 324, 328,
    332, 336, 340, 344, 348, 352, 357, 361, 365, 370, 374, 379, 383, 388, 392, 397, 402, 407, 412, 417,
    422, 427, 432, 437, 442, 448, 453, 459, 464, 470, 475, 481, 487, 493, 499, 505, 511, 517, 523, 530,
    536, 542, 549, 556, 562, 569, 576, 583, 590, 597, 604, 612, 619, 626, 634, 642, 649, 657, 665, 673,
    681, 690, 698, 706, 715, 723, 732, 741, 750, 759, 768, 777, 787, 796, 806, 816, 825, 835, 845, 856,
    866, 876, 887, 898, 909, 920, 931, 942, 953, 965, 976, 988};

template <std::size_t Count, std::size_t From>
[[nodiscard]] constexpr auto every_nth(const std::array<preferred_digits, From>& all) {
  std::array<preferred_digits, Count> some{};
  for (std::size_t i = 0; i < Count; ++i) some[i] = all[i * (From / Count)];
  return some;
}
inline constexpr auto e3_digits = every_nth<3>(e24_digits);
inline constexpr auto e6_digits = every_nth<6>(e24_digits);
inline constexpr auto e12_digits = every_nth<12>(e24_digits);
inline constexpr auto e48_digits = every_nth<48>(e192_digits);
inline constexpr auto e96_digits = every_nth<96>(e192_digits);

} // namespace detail

/// One decade of the series, 100 to 999: `preferred_values(e_series::e6)` is 100 150 220 330 470 680.
[[nodiscard]] constexpr std::span<const std::int16_t> preferred_values(e_series series) {
  switch (series) {
  case e_series::e3: return detail::e3_digits;
  case e_series::e6: return detail::e6_digits;
  case e_series::e12: return detail::e12_digits;
  case e_series::e24: return detail::e24_digits;
  case e_series::e48: return detail::e48_digits;
  case e_series::e96: return detail::e96_digits;
  case e_series::e192: return detail::e192_digits;
  }
  throw invalid_value("series", plain_number(static_cast<double>(series)), "3, 6, 12, 24, 48, 96, 192");
}

/// The tolerance that goes with a series: E3 ±40 %, E6 ±20 %, E12 ±10 %, E24 ±5 %, E48 ±2 %, E96 ±1 %, E192
/// ±0.5 % (E192 is used for tighter ones too).
[[nodiscard]] constexpr tolerance nominal_tolerance(e_series series) {
  switch (series) {
  case e_series::e3: return tolerance::symmetric(0.4);
  case e_series::e6: return tolerance::symmetric(0.2);
  case e_series::e12: return tolerance::symmetric(0.1);
  case e_series::e24: return tolerance::symmetric(0.05);
  case e_series::e48: return tolerance::symmetric(0.02);
  case e_series::e96: return tolerance::symmetric(0.01);
  case e_series::e192: return tolerance::symmetric(0.005);
  }
  throw invalid_value("series", plain_number(static_cast<double>(series)), "3, 6, 12, 24, 48, 96, 192");
}

namespace detail {

[[nodiscard]] constexpr std::uint64_t digits_at(std::span<const preferred_digits> series, int at) {
  return static_cast<std::uint64_t>(series[static_cast<std::size_t>(at)]);
}

/// The value number n of a series that goes on through all decades; number 0 is 1 of the coherent unit.
[[nodiscard]] constexpr double numbered_value(std::span<const preferred_digits> series, int n) {
  const int size = static_cast<int>(series.size());
  const int decade = (n >= 0 ? n : n - size + 1) / size;
  return decimal_value(digits_at(series, n - decade * size), decade - 2);
}

/// The number of the greatest value that is not above x; x within 1e-19 to 1e19.
[[nodiscard]] constexpr int number_at_or_below(std::span<const preferred_digits> series, double x) {
  const int size = static_cast<int>(series.size());
  // log10 2 = 1233 / 4096: from the binary exponent to the decade, too low by one at most.
  const int binary = static_cast<int>((std::bit_cast<std::uint64_t>(x) >> 52U) & 0x7ffU) - 1023;
  int decade = (binary * 1233 - (binary < 0 ? 4095 : 0)) / 4096;
  if (x >= decimal_value(100, decade - 1)) ++decade;
  int low = 0, high = size;
  while (high - low > 1) {
    const int middle = (low + high) / 2;
    (decimal_value(digits_at(series, middle), decade - 2) <= x ? low : high) = middle;
  }
  return decade * size + low;
}

template <class Unit>
constexpr double require_preferred_range(const quantity_of<Unit>& value, std::string_view parameter) {
  const double x = value.value();
  if (!is_finite(x) || !(x >= 1e-18) || !(x <= 1e18))
    throw invalid_value(parameter, engineering(value, 6),
                        std::string("1e-18 to 1e18 ").append(unit_symbol<Unit>));
  return x;
}

} // namespace detail

/// The value number n of the series, counted through all decades; number 0 is 1 of the coherent unit (1 Ω, 1
/// F), and the next decade begins at the series' size: `preferred_value<capacitance>(e_series::e12, -8 * 12)`
/// is 10 nF. Throws `invalid_value` for a value outside 1e-18 to 1e18. Cost: below 100 ns.
template <class Q>
[[nodiscard]] constexpr Q preferred_value(e_series series, int n) {
  const auto values = preferred_values(series);
  const int most = 18 * static_cast<int>(values.size());
  if (n < -most || n > most) throw invalid_value("n", plain_number(n), "-18 to 18 decades");
  return Q::from_value(detail::numbered_value(values, n));
}

/// The number of a value in its series, as `preferred_value` takes it; none if it is not one of its values.
template <class Unit>
[[nodiscard]] constexpr std::optional<int> preferred_index(e_series series, const quantity_of<Unit>& value) {
  const auto values = preferred_values(series);
  const double x = detail::require_preferred_range(value, "value");
  const int n = detail::number_at_or_below(values, x);
  if (detail::numbered_value(values, n) == x) return n;
  return std::nullopt;
}

/// Is this one of the values of the series, in any decade?
template <class Unit>
[[nodiscard]] constexpr bool is_preferred(e_series series, const quantity_of<Unit>& value) {
  return preferred_index(series, value).has_value();
}

/// The greatest value of the series that is not more than this one; the value itself if it is of the series.
template <class Unit>
[[nodiscard]] constexpr quantity_of<Unit> at_or_below(e_series series, const quantity_of<Unit>& value) {
  const auto values = preferred_values(series);
  const double x = detail::require_preferred_range(value, "value");
  return quantity_of<Unit>::from_value(detail::numbered_value(values, detail::number_at_or_below(values, x)));
}

/// The least value of the series that is more than this one, always: the next step up.
template <class Unit>
[[nodiscard]] constexpr quantity_of<Unit> next_above(e_series series, const quantity_of<Unit>& value) {
  const auto values = preferred_values(series);
  const double x = detail::require_preferred_range(value, "value");
  return quantity_of<Unit>::from_value(
      detail::numbered_value(values, detail::number_at_or_below(values, x) + 1));
}

/// The least value of the series that is not less than this one; the value itself if it is of the series.
template <class Unit>
[[nodiscard]] constexpr quantity_of<Unit> at_or_above(e_series series, const quantity_of<Unit>& value) {
  const auto below = at_or_below(series, value);
  return below.value() == value.value() ? below : next_above(series, value);
}

/// The greatest value of the series that is less than this one, always: the next step down.
template <class Unit>
[[nodiscard]] constexpr quantity_of<Unit> next_below(e_series series, const quantity_of<Unit>& value) {
  const auto values = preferred_values(series);
  const double x = detail::require_preferred_range(value, "value");
  const int n = detail::number_at_or_below(values, x);
  const double below = detail::numbered_value(values, n);
  return quantity_of<Unit>::from_value(below < x ? below : detail::numbered_value(values, n - 1));
}

/// The value of the series nearest to this one by ratio: the border between two neighbours is their geometric
/// mean. That is irrational for every pair of neighbours, so no decimal value lies on it.
/// `nearest(e_series::e96, 250_kOhm)` is 249 kΩ.
template <class Unit>
[[nodiscard]] constexpr quantity_of<Unit> nearest(e_series series, const quantity_of<Unit>& value) {
  const double x = detail::require_preferred_range(value, "value");
  const double low = at_or_below(series, value).value(), high = next_above(series, value).value();
  return quantity_of<Unit>::from_value(x * x <= low * high ? low : high);
}

/// All values of the series from `low` to `high`, both included, in rising order; may be empty. Throws
/// `invalid_value` if `high` is less than `low`.
template <class Unit>
[[nodiscard]] std::vector<quantity_of<Unit>> all_in_range(e_series series, const quantity_of<Unit>& low,
                                                          const quantity_of<Unit>& high) {
  const auto values = preferred_values(series);
  const double from = detail::require_preferred_range(low, "low");
  const double to = detail::require_preferred_range(high, "high");
  if (to < from)
    throw invalid_value("high", engineering(high, 6), engineering(low, 6).append(" (low) or more"));
  int first = detail::number_at_or_below(values, from);
  if (detail::numbered_value(values, first) < from) ++first;
  const int last = detail::number_at_or_below(values, to);
  std::vector<quantity_of<Unit>> found;
  found.reserve(static_cast<std::size_t>(last - first + 1));
  for (int n = first; n <= last; ++n)
    found.push_back(quantity_of<Unit>::from_value(detail::numbered_value(values, n)));
  return found;
}

} // namespace lodewire
