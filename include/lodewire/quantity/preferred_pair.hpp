// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstddef>
#include <limits>
#include <string>
#include <type_traits>
#include <vector>

#include <lodewire/quantity/preferred.hpp>

/// Two stock values that together come nearest to a wanted one.
namespace lodewire {

/// Two parts of preferred values and what they make together.
template <class Q>
struct preferred_pair {
  Q first;          ///< the smaller value
  Q second;         ///< the greater value, or the same
  Q result;         ///< what the two make
  double error = 0; ///< result / target − 1
};

namespace detail {

template <class Q>
concept Pairable =
    std::is_same_v<Q, resistance> || std::is_same_v<Q, inductance> || std::is_same_v<Q, capacitance>;

/// `sum`: a + b, else 1 / (1/a + 1/b). Either grows with a and with b, so one walk along the border between
/// too little and too much meets every best pair: O(n) for n values, not O(n²).
template <class Q>
[[nodiscard]] preferred_pair<Q> best_pair(bool sum, e_series series, const Q& target, const Q& low,
                                          const Q& high) {
  require_preferred_range(target, "target");
  const std::vector<Q> values = all_in_range(series, low, high);
  if (values.empty())
    throw invalid_value("range", engineering(low, 6).append(" to ").append(engineering(high, 6)),
                        "a range that holds a value of the series");
  // Sums that are equal in decimals may differ in the last bit: such pairs count as equally good.
  constexpr double rounding = 1e-13;
  preferred_pair<Q> best;
  double least = (std::numeric_limits<double>::max)();
  for (std::size_t i = 0, j = values.size() - 1; i <= j;) {
    const double a = values[i].value(), b = values[j].value();
    const double made = sum ? a + b : a * b / (a + b);
    const double error = made / target.value() - 1;
    // The walk ends at equal values, so the last of equally good pairs is the most alike one.
    if (std::abs(error) <= least + rounding) {
      best = {values[i], values[j], Q::from_value(made), error};
      if (std::abs(error) < least) least = std::abs(error);
    }
    if (made < target.value())
      ++i;
    else if (j == 0)
      break;
    else
      --j;
  }
  return best;
}

/// All parts that change the result by 0.1 % or more: from a thousandth of the target to a thousand times it.
template <class Q>
[[nodiscard]] preferred_pair<Q> best_pair(bool sum, e_series series, const Q& target) {
  const double x = require_preferred_range(target, "target");
  return best_pair(sum, series, target, Q::from_value(x > 1e-15 ? x * 0.001 : 1e-18),
                   Q::from_value(x < 1e15 ? x * 1000 : 1e18));
}

} // namespace detail

/// The two values of the series, from `low` to `high`, that in series come nearest to the target by relative
/// error. Resistances and (uncoupled) inductances add; capacitances make 1 / (1/a + 1/b). Of pairs that are
/// equally good (to 1e-13) the one whose values are most alike. Throws `invalid_value` for a target or a
/// bound that is not within 1e-18 to 1e18 of the coherent unit, and for a range without a value. Cost:
/// O(number of values in the range).
template <detail::Pairable Q>
[[nodiscard]] preferred_pair<Q> best_pair_in_series(e_series series, const Q& target, const Q& low,
                                                    const Q& high) {
  return detail::best_pair(!std::is_same_v<Q, capacitance>, series, target, low, high);
}

/// The same from a thousandth of the target to a thousand times it.
template <detail::Pairable Q>
[[nodiscard]] preferred_pair<Q> best_pair_in_series(e_series series, const Q& target) {
  return detail::best_pair(!std::is_same_v<Q, capacitance>, series, target);
}

/// The same for two parts in parallel: resistances and (uncoupled) inductances make 1 / (1/a + 1/b),
/// capacitances add.
template <detail::Pairable Q>
[[nodiscard]] preferred_pair<Q> best_pair_in_parallel(e_series series, const Q& target, const Q& low,
                                                      const Q& high) {
  return detail::best_pair(std::is_same_v<Q, capacitance>, series, target, low, high);
}

/// The same from a thousandth of the target to a thousand times it.
template <detail::Pairable Q>
[[nodiscard]] preferred_pair<Q> best_pair_in_parallel(e_series series, const Q& target) {
  return detail::best_pair(std::is_same_v<Q, capacitance>, series, target);
}

} // namespace lodewire
