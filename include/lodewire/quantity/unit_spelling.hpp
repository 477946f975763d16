// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string_view>
#include <type_traits>

#include <lodewire/quantity/units.hpp>

/// How people spell each quantity. Readers and writers of values share this table.
namespace lodewire::detail {

struct unit_spelling {
  /// The parameter that an error names if the caller gives none.
  std::string_view name = {};
  /// Parted by spaces, longest first; \1 is either ohm sign, u either micro sign.
  std::string_view units = {};
  /// The prefixes that may stand before the unit, and those that may also stand without it: `4.7k`.
  std::string_view prefixes = {}, lone = {};
  /// A unit that is not coherent, without prefixes, and what one of it is in the coherent one.
  std::string_view other_units = {};
  double other = 1;
  /// The letters of written marking codes, smallest first (IEC 60062; H for inductors).
  std::string_view marks = {};
  /// What may follow the number, for errors.
  std::string_view expected = {};
  /// What must not follow the number, and what to write instead.
  std::string_view refused = {}, instead = {};
  /// May a number stand alone, in the coherent unit?
  bool bare_is_si = true;
  bool may_have_tolerance = false;
  /// The tolerance letter that is none here, but another quantity's unit.
  char foreign = '\0';
  /// Is there a three-digit code for it? In ohms, or in picofarads.
  bool has_code = false;
  bool is_capacitance = false;
};

/// The power of ten of an SI prefix (capacitors are also marked PF, NF, UF); 0 for any other character.
[[nodiscard]] constexpr int prefix_power(char prefix) noexcept {
  switch (prefix) {
  case 'p':
  case 'P': return -12;
  case 'n':
  case 'N': return -9;
  case 'u':
  case 'U': return -6;
  case 'm': return -3;
  case 'c': return -2;
  case 'k':
  case 'K': return 3;
  case 'M': return 6;
  case 'G': return 9;
  case 'T': return 12;
  default: return 0;
  }
}

/// Empty for a quantity that has no readers and writers.
template <class Unit>
inline constexpr unit_spelling spelling_of{};

// A small m alone is no milliohm: on a potentiometer it is a slip for M.
template <>
inline constexpr unit_spelling spelling_of<si::resistance>{
    .name = "resistance",
    .units = "ohms Ohms OHMS ohm Ohm OHM \1 R r",
    .prefixes = "mkKMGT",
    .lone = "kKMGT",
    .marks = "RkMGT",
    .expected = "k, M, G or T (m only with its unit), or a unit: Ω, ohm or R",
    .may_have_tolerance = true,
    .has_code = true,
};
template <>
inline constexpr unit_spelling spelling_of<si::capacitance>{
    .name = "capacitance",
    .units = "F f",
    .prefixes = "pnumPNU",
    .lone = "pnum",
    .marks = "pnumF",
    .expected = "a prefix or unit: p, n, µ, m, pF, nF, µF, mF or F",
    .refused = "mf MF",
    .instead = "pF, nF, µF or mF (old drawings mean µF by mf and MF)",
    .bare_is_si = false,
    .may_have_tolerance = true,
    .has_code = true,
    .is_capacitance = true,
};
// `22 nF` is no inductance of 22 nH ±1 %.
template <>
inline constexpr unit_spelling spelling_of<si::inductance>{
    .name = "inductance",
    .units = "H h",
    .prefixes = "num",
    .lone = "num",
    .marks = "numH",
    .expected = "a prefix or unit: n, µ, m, nH, µH, mH or H",
    .may_have_tolerance = true,
    .foreign = 'F',
};
template <>
inline constexpr unit_spelling spelling_of<si::conductance>{
    .name = "conductance",
    .units = "S",
    .prefixes = "num",
    .expected = "a unit: nS, µS, mS or S",
};
template <>
inline constexpr unit_spelling spelling_of<si::frequency>{
    .name = "frequency",
    .units = "Hz hz HZ",
    .prefixes = "kKMG",
    .lone = "kKMG",
    .expected = "a prefix or unit: k, M, G, Hz, kHz, MHz or GHz",
};
template <>
inline constexpr unit_spelling spelling_of<si::time>{
    .name = "duration",
    .units = "s",
    .prefixes = "num",
    .expected = "a unit: ns, µs, ms or s",
};
template <>
inline constexpr unit_spelling spelling_of<si::electric_potential>{
    .name = "voltage",
    .units = "V v",
    .prefixes = "numkK",
    .lone = "num",
    .expected = "a unit: nV, µV, mV, V or kV",
};
template <>
inline constexpr unit_spelling spelling_of<si::current>{
    .name = "current",
    .units = "A a",
    .prefixes = "pnum",
    .lone = "num",
    .expected = "a unit: pA, nA, µA, mA or A",
};
template <>
inline constexpr unit_spelling spelling_of<si::power>{
    .name = "power",
    .units = "W w",
    .prefixes = "numkK",
    .expected = "a unit: nW, µW, mW, W or kW",
};
template <>
inline constexpr unit_spelling spelling_of<si::length>{
    .name = "length",
    .units = "m",
    .prefixes = "numck",
    .other_units = "feet foot ft",
    .other = 0.3048, // exact (NIST SP 811, 2008, appendix B)
    .expected = "a unit: nm, µm, mm, cm, m, km or ft",
};
template <>
inline constexpr unit_spelling spelling_of<si::temperature>{
    .name = "temperature",
    .units = "K",
    .prefixes = "",
    .expected = "the unit K",
};
template <>
inline constexpr unit_spelling spelling_of<capacitance_per_length::unit_type>{
    .name = "capacitance per length",
    .units = "F/m f/m",
    .prefixes = "pnuPNU",
    .expected = "a unit: pF/m, nF/m, µF/m or F/m",
    .bare_is_si = false,
};
template <>
inline constexpr unit_spelling spelling_of<resistance_per_length::unit_type>{
    .name = "resistance per length",
    .units = "\1/m ohm/m Ohm/m",
    .prefixes = "umkK",
    .expected = "a unit: µΩ/m, mΩ/m, Ω/m or kΩ/m",
    .bare_is_si = false,
};
template <>
inline constexpr unit_spelling spelling_of<inductance_per_length::unit_type>{
    .name = "inductance per length",
    .units = "H/m h/m",
    .prefixes = "pnum",
    .expected = "a unit: pH/m, nH/m, µH/m, mH/m or H/m",
    .bare_is_si = false,
};

/// A quantity over double whose unit has a spelling.
template <class Q>
concept Spelled = requires {
  typename Q::unit_type;
  requires std::is_same_v<Q, quantity_of<typename Q::unit_type>>;
  requires !spelling_of<typename Q::unit_type>.name.empty();
};

/// Spelled, and marked on parts by letter codes: resistance, capacitance, inductance.
template <class Q>
concept Marked = Spelled<Q> && !spelling_of<typename Q::unit_type>.marks.empty();

} // namespace lodewire::detail
