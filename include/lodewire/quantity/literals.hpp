// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>

#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/decimal_value.hpp>
#include <lodewire/quantity/units.hpp>

/// Literals for the values of the trade, opt-in: `using namespace lodewire::literals;`. Each takes a decimal
/// number (`500_kOhm`, `4.7_kOhm`, `1.5e3_Hz`), costs nothing at run time, and gives the quantity in coherent
/// SI: the double nearest to the decimal value, so that `22_nF` is 22e-9 and `0.022_uF` the same. (The last
/// bit may be off beyond 15 digits; more than 16 are refused.)
namespace lodewire {

namespace detail {

/// The value of a C++ decimal number × times × 10^power, rounded once (up to 15 digits).
[[nodiscard]] constexpr double literal_value(const char* text, std::uint64_t times, int power) {
  std::uint64_t digits = 0;
  bool after_point = false;
  for (; *text != '\0' && *text != 'e' && *text != 'E'; ++text) {
    if (*text == '\'') continue;
    if (*text == '.') {
      after_point = true;
      continue;
    }
    if (*text < '0' || *text > '9') throw "a literal is a decimal number";
    if (digits >= 1'000'000'000'000'000U) throw "a literal has at most 16 digits";
    digits = digits * 10 + static_cast<std::uint64_t>(*text - '0');
    power -= after_point;
  }
  if (*text != '\0') {
    const bool negative = *++text == '-';
    if (*text == '-' || *text == '+') ++text;
    int shift = 0;
    for (; *text != '\0'; ++text) shift = shift * 10 + (*text - '0');
    power += negative ? -shift : shift;
  }
  if (digits > ~std::uint64_t{0} / times) throw "a literal of this unit has fewer digits";
  return decimal_value(digits * times, power);
}

/// A variable, so that the compiler computes it, and refuses what is no decimal number.
template <std::uint64_t Times, int Power, char... Text>
inline constexpr double literal = [] {
  constexpr char text[] = {Text..., '\0'};
  return literal_value(text, Times, Power);
}();

} // namespace detail

namespace literals {

// The macro does not outlive this header.
#define LODEWIRE_LITERAL(suffix, type, times, power)                                                         \
  template <char... Text>                                                                                    \
  [[nodiscard]] constexpr type operator""##suffix() {                                                        \
    return type::from_value(detail::literal<times, power, Text...>);                                         \
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

template <char... Text>
[[nodiscard]] constexpr decibel operator""_dB() {
  return decibel{detail::literal<1, 0, Text...>};
}

} // namespace literals

} // namespace lodewire
