// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/units.hpp>

/// Literals for the values of the trade, opt-in: `using namespace lodewire::literals;`.
/// Each takes an integer or a decimal number (`500_kOhm`, `4.7_kOhm`), costs nothing at run time, and gives the
/// quantity in coherent SI. Multipliers below one divide by an exact power of ten, so `22_nF` is the double
/// nearest to 22e-9.
namespace lodewire::literals {

// Two operators a suffix; the macro does not outlive this header.
#define LODEWIRE_LITERAL(suffix, type, times, over)                                                          \
  [[nodiscard]] constexpr type operator""##suffix(long double v) {                                           \
    return type::from_value(static_cast<double>(v * (times) / (over)));                                      \
  }                                                                                                          \
  [[nodiscard]] constexpr type operator""##suffix(unsigned long long v) {                                    \
    return type::from_value(static_cast<double>(static_cast<long double>(v) * (times) / (over)));            \
  }

LODEWIRE_LITERAL(_mOhm, resistance, 1, 1e3L)
LODEWIRE_LITERAL(_Ohm, resistance, 1, 1)
LODEWIRE_LITERAL(_kOhm, resistance, 1e3L, 1)
LODEWIRE_LITERAL(_MOhm, resistance, 1e6L, 1)
LODEWIRE_LITERAL(_GOhm, resistance, 1e9L, 1)
LODEWIRE_LITERAL(_siemens, conductance, 1, 1)
LODEWIRE_LITERAL(_mS, conductance, 1, 1e3L)
LODEWIRE_LITERAL(_uS, conductance, 1, 1e6L)
LODEWIRE_LITERAL(_H, inductance, 1, 1)
LODEWIRE_LITERAL(_mH, inductance, 1, 1e3L)
LODEWIRE_LITERAL(_uH, inductance, 1, 1e6L)
LODEWIRE_LITERAL(_nH, inductance, 1, 1e9L)
LODEWIRE_LITERAL(_F, capacitance, 1, 1)
LODEWIRE_LITERAL(_uF, capacitance, 1, 1e6L)
LODEWIRE_LITERAL(_nF, capacitance, 1, 1e9L)
LODEWIRE_LITERAL(_pF, capacitance, 1, 1e12L)
LODEWIRE_LITERAL(_Hz, frequency, 1, 1)
LODEWIRE_LITERAL(_kHz, frequency, 1e3L, 1)
LODEWIRE_LITERAL(_MHz, frequency, 1e6L, 1)
LODEWIRE_LITERAL(_s, duration, 1, 1)
LODEWIRE_LITERAL(_ms, duration, 1, 1e3L)
LODEWIRE_LITERAL(_us, duration, 1, 1e6L)
LODEWIRE_LITERAL(_hours, duration, 3600, 1)
LODEWIRE_LITERAL(_V, voltage, 1, 1)
LODEWIRE_LITERAL(_mV, voltage, 1, 1e3L)
LODEWIRE_LITERAL(_uV, voltage, 1, 1e6L)
LODEWIRE_LITERAL(_A, current, 1, 1)
LODEWIRE_LITERAL(_mA, current, 1, 1e3L)
LODEWIRE_LITERAL(_uA, current, 1, 1e6L)
LODEWIRE_LITERAL(_nA, current, 1, 1e9L)
LODEWIRE_LITERAL(_W, power, 1, 1)
LODEWIRE_LITERAL(_mW, power, 1, 1e3L)
LODEWIRE_LITERAL(_m, length, 1, 1)
LODEWIRE_LITERAL(_cm, length, 1, 1e2L)
LODEWIRE_LITERAL(_mm, length, 1, 1e3L)
LODEWIRE_LITERAL(_mAh, electric_charge, 3600, 1e3L)
LODEWIRE_LITERAL(_K, temperature, 1, 1)
LODEWIRE_LITERAL(_pF_per_m, capacitance_per_length, 1, 1e12L)
LODEWIRE_LITERAL(_nF_per_m, capacitance_per_length, 1, 1e9L)
LODEWIRE_LITERAL(_Ohm_per_m, resistance_per_length, 1, 1)
LODEWIRE_LITERAL(_mOhm_per_m, resistance_per_length, 1, 1e3L)
LODEWIRE_LITERAL(_uH_per_m, inductance_per_length, 1, 1e6L)
LODEWIRE_LITERAL(_nH_per_m, inductance_per_length, 1, 1e9L)

#undef LODEWIRE_LITERAL

[[nodiscard]] constexpr decibel operator""_dB(long double v) { return decibel{static_cast<double>(v)}; }
[[nodiscard]] constexpr decibel operator""_dB(unsigned long long v) {
  return decibel{static_cast<double>(v)};
}

} // namespace lodewire::literals
