// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <complex>
#include <string_view>

#include <boost/units/quantity.hpp>
#include <boost/units/systems/si/capacitance.hpp>
#include <boost/units/systems/si/conductance.hpp>
#include <boost/units/systems/si/current.hpp>
#include <boost/units/systems/si/dimensionless.hpp>
#include <boost/units/systems/si/electric_charge.hpp>
#include <boost/units/systems/si/electric_potential.hpp>
#include <boost/units/systems/si/frequency.hpp>
#include <boost/units/systems/si/inductance.hpp>
#include <boost/units/systems/si/length.hpp>
#include <boost/units/systems/si/power.hpp>
#include <boost/units/systems/si/resistance.hpp>
#include <boost/units/systems/si/temperature.hpp>
#include <boost/units/systems/si/time.hpp>

/// Names for the Boost.Units quantities that lodewire speaks. They are Boost's own types, in coherent SI units,
/// so any other user of Boost.Units can pass them in and out; a wrong unit does not compile.
namespace lodewire {

namespace si = boost::units::si;

/// A quantity of unit U over double. Cost: a double.
template <class U>
using quantity_of = boost::units::quantity<U>;

using resistance = quantity_of<si::resistance>;           ///< ohm
using conductance = quantity_of<si::conductance>;         ///< siemens
using inductance = quantity_of<si::inductance>;           ///< henry
using capacitance = quantity_of<si::capacitance>;         ///< farad
using frequency = quantity_of<si::frequency>;             ///< hertz (cycles per second, never rad/s)
using duration = quantity_of<si::time>;                   ///< second
using voltage = quantity_of<si::electric_potential>;      ///< volt
using current = quantity_of<si::current>;                 ///< ampere
using power = quantity_of<si::power>;                     ///< watt
using length = quantity_of<si::length>;                   ///< metre
using electric_charge = quantity_of<si::electric_charge>; ///< coulomb (a battery's capacity)
using temperature = quantity_of<si::temperature>;         ///< kelvin

/// A quantity for each metre of cable.
template <class U>
using per_metre = quantity_of<typename boost::units::divide_typeof_helper<U, si::length>::type>;

using capacitance_per_length = per_metre<si::capacitance>; ///< farad per metre
using resistance_per_length = per_metre<si::resistance>;   ///< ohm per metre
using inductance_per_length = per_metre<si::inductance>;   ///< henry per metre

/// A noise density: a quantity for each root of a hertz.
template <class U>
using per_root_hertz = quantity_of<typename boost::units::divide_typeof_helper<
    U,
    typename boost::units::root_typeof_helper<si::frequency, boost::units::static_rational<2>>::type>::type>;

using voltage_noise_density = per_root_hertz<si::electric_potential>; ///< V/√Hz
using current_noise_density = per_root_hertz<si::current>;            ///< A/√Hz

using impedance = boost::units::quantity<si::resistance, std::complex<double>>;   ///< complex ohm
using admittance = boost::units::quantity<si::conductance, std::complex<double>>; ///< complex siemens

/// The symbol of a unit, as a person writes it. Defined for every unit named above.
template <class Unit>
inline constexpr std::string_view unit_symbol = "";
template <>
inline constexpr std::string_view unit_symbol<si::resistance> = "Ω";
template <>
inline constexpr std::string_view unit_symbol<si::conductance> = "S";
template <>
inline constexpr std::string_view unit_symbol<si::inductance> = "H";
template <>
inline constexpr std::string_view unit_symbol<si::capacitance> = "F";
template <>
inline constexpr std::string_view unit_symbol<si::frequency> = "Hz";
template <>
inline constexpr std::string_view unit_symbol<si::time> = "s";
template <>
inline constexpr std::string_view unit_symbol<si::electric_potential> = "V";
template <>
inline constexpr std::string_view unit_symbol<si::current> = "A";
template <>
inline constexpr std::string_view unit_symbol<si::power> = "W";
template <>
inline constexpr std::string_view unit_symbol<si::length> = "m";
template <>
inline constexpr std::string_view unit_symbol<si::electric_charge> = "C";
template <>
inline constexpr std::string_view unit_symbol<si::temperature> = "K";
template <>
inline constexpr std::string_view unit_symbol<capacitance_per_length::unit_type> = "F/m";
template <>
inline constexpr std::string_view unit_symbol<resistance_per_length::unit_type> = "Ω/m";
template <>
inline constexpr std::string_view unit_symbol<inductance_per_length::unit_type> = "H/m";

template <>
inline constexpr std::string_view unit_symbol<voltage_noise_density::unit_type> = "V/√Hz";
template <>
inline constexpr std::string_view unit_symbol<current_noise_density::unit_type> = "A/√Hz";

/// A quantity of unit U from its value in coherent SI. The inverse of `.value()`.
template <class Quantity>
[[nodiscard]] constexpr Quantity from_si(typename Quantity::value_type value) {
  return Quantity::from_value(value);
}

} // namespace lodewire
