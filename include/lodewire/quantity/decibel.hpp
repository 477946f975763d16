// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <compare>

namespace lodewire {

/// A level difference in decibels. It never converts silently: a ratio becomes a `decibel` by `voltage_level` or
/// `power_level`, and comes back by `voltage_ratio` or `power_ratio`. Levels add where ratios multiply.
/// A ratio of zero is minus infinity decibels. Cost: a double.
class decibel {
public:
  constexpr decibel() noexcept = default;
  explicit constexpr decibel(double value) noexcept : value_{value} {}

  /// The number of decibels.
  [[nodiscard]] constexpr double value() const noexcept { return value_; }

  [[nodiscard]] friend constexpr decibel operator+(decibel a, decibel b) noexcept {
    return decibel{a.value_ + b.value_};
  }
  [[nodiscard]] friend constexpr decibel operator-(decibel a, decibel b) noexcept {
    return decibel{a.value_ - b.value_};
  }
  [[nodiscard]] friend constexpr decibel operator-(decibel a) noexcept { return decibel{-a.value_}; }
  [[nodiscard]] friend constexpr decibel operator+(decibel a) noexcept { return a; }
  [[nodiscard]] friend constexpr auto operator<=>(decibel, decibel) noexcept = default;

private:
  double value_ = 0;
};

/// 20·log10|ratio|: the level of a voltage or current ratio.
[[nodiscard]] inline decibel voltage_level(double ratio) { return decibel{20 * std::log10(std::abs(ratio))}; }

/// 10·log10(ratio): the level of a power ratio.
[[nodiscard]] inline decibel power_level(double ratio) { return decibel{10 * std::log10(ratio)}; }

/// 10^(x/20), the voltage ratio of a level.
[[nodiscard]] inline double voltage_ratio(decibel level) { return std::pow(10.0, level.value() / 20); }

/// 10^(x/10), the power ratio of a level.
[[nodiscard]] inline double power_ratio(decibel level) { return std::pow(10.0, level.value() / 10); }

} // namespace lodewire
