// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>

#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/units.hpp>

/// Literals for the values of the trade, opt-in: `using namespace lodewire::literals;`.
/// Each takes a decimal number (`500_kOhm`, `4.7_kOhm`, `1.5e3_Hz`), costs nothing at run time, and gives the
/// quantity in coherent SI: the double nearest to the decimal value, so that `22_nF` is 22e-9 and `0.022_uF` the
/// same. (Of numbers with more than 15 digits the last bit may be off.)
namespace lodewire {

namespace detail {

/// The value of `digits` × times × 10^power. Up to 2^53 and 10^22 all factors are exact, so one operation rounds.
/// At compile time, where no flag turns the quotient into a product.
[[nodiscard]] consteval double literal_value(const char* digits, std::uint64_t times, int power) {
  std::uint64_t number = 0;
  bool after_point = false;
  for (; *digits != '\0' && *digits != 'e' && *digits != 'E'; ++digits) {
    if (*digits == '\'') continue;
    if (*digits == '.') {
      after_point = true;
      continue;
    }
    if (*digits < '0' || *digits > '9') throw "a literal is a decimal number";
    if (number > 100'000'000'000'000'000U) throw "a literal has at most 17 digits";
    number = number * 10 + static_cast<std::uint64_t>(*digits - '0');
    power -= after_point;
  }
  if (*digits != '\0') {
    const bool negative = *++digits == '-';
    if (*digits == '-' || *digits == '+') ++digits;
    int shift = 0;
    for (; *digits != '\0'; ++digits) shift = shift * 10 + (*digits - '0');
    power += negative ? -shift : shift;
  }
  const int size = power < 0 ? -power : power;
  long double scale = 1; // exact up to 10^27
  for (int i = 0; i < size; ++i) scale *= 10;
  if (number < (std::uint64_t{1} << 53U) / times && size <= 22) {
    const auto value = static_cast<double>(number * times), by = static_cast<double>(scale);
    return power < 0 ? value / by : value * by;
  }
  const auto value = static_cast<long double>(number) * static_cast<long double>(times);
  return static_cast<double>(power < 0 ? value / scale : value * scale);
}

} // namespace detail

namespace literals {

// The macro does not outlive this header.
#define LODEWIRE_LITERAL(suffix, type, times, power)                                                         \
  [[nodiscard]] consteval type operator""##suffix(const char* digits) {                                      \
    return type::from_value(detail::literal_value(digits, times, power));                                    \
  }

LODEWIRE_LITERAL(_mOhm, resistance, 1, -3)
LODEWIRE_LITERAL(_Ohm, resistance, 1, 0)
LODEWIRE_LITERAL(_kOhm, resistance, 1, 3)
LODEWIRE_LITERAL(_MOhm, resistance, 1, 6)
LODEWIRE_LITERAL(_GOhm, resistance, 1, 9)
LODEWIRE_LITERAL(_siemens, conductance, 1, 0)
LODEWIRE_LITERAL(_mS, conductance, 1, -3)
LODEWIRE_LITERAL(_uS, conductance, 1, -6)
LODEWIRE_LITERAL(_H, inductance, 1, 0)
LODEWIRE_LITERAL(_mH, inductance, 1, -3)
LODEWIRE_LITERAL(_uH, inductance, 1, -6)
LODEWIRE_LITERAL(_nH, inductance, 1, -9)
LODEWIRE_LITERAL(_F, capacitance, 1, 0)
LODEWIRE_LITERAL(_uF, capacitance, 1, -6)
LODEWIRE_LITERAL(_nF, capacitance, 1, -9)
LODEWIRE_LITERAL(_pF, capacitance, 1, -12)
LODEWIRE_LITERAL(_Hz, frequency, 1, 0)
LODEWIRE_LITERAL(_kHz, frequency, 1, 3)
LODEWIRE_LITERAL(_MHz, frequency, 1, 6)
LODEWIRE_LITERAL(_s, duration, 1, 0)
LODEWIRE_LITERAL(_ms, duration, 1, -3)
LODEWIRE_LITERAL(_us, duration, 1, -6)
LODEWIRE_LITERAL(_hours, duration, 3600, 0)
LODEWIRE_LITERAL(_V, voltage, 1, 0)
LODEWIRE_LITERAL(_mV, voltage, 1, -3)
LODEWIRE_LITERAL(_uV, voltage, 1, -6)
LODEWIRE_LITERAL(_A, current, 1, 0)
LODEWIRE_LITERAL(_mA, current, 1, -3)
LODEWIRE_LITERAL(_uA, current, 1, -6)
LODEWIRE_LITERAL(_nA, current, 1, -9)
LODEWIRE_LITERAL(_W, power, 1, 0)
LODEWIRE_LITERAL(_mW, power, 1, -3)
LODEWIRE_LITERAL(_m, length, 1, 0)
LODEWIRE_LITERAL(_cm, length, 1, -2)
LODEWIRE_LITERAL(_mm, length, 1, -3)
LODEWIRE_LITERAL(_mAh, electric_charge, 3600, -3)
LODEWIRE_LITERAL(_K, temperature, 1, 0)
LODEWIRE_LITERAL(_pF_per_m, capacitance_per_length, 1, -12)
LODEWIRE_LITERAL(_nF_per_m, capacitance_per_length, 1, -9)
LODEWIRE_LITERAL(_Ohm_per_m, resistance_per_length, 1, 0)
LODEWIRE_LITERAL(_mOhm_per_m, resistance_per_length, 1, -3)
LODEWIRE_LITERAL(_uH_per_m, inductance_per_length, 1, -6)
LODEWIRE_LITERAL(_nH_per_m, inductance_per_length, 1, -9)

#undef LODEWIRE_LITERAL

[[nodiscard]] consteval decibel operator""_dB(const char* digits) {
  return decibel{detail::literal_value(digits, 1, 0)};
}

} // namespace literals

} // namespace lodewire
