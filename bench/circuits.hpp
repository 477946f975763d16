// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>

/// The values of the circuits that are measured. Plain numbers in SI, so that the peers are built without the library.
///
/// A circuit is a number of pickups, each with its own controls, that meet at the wipers of their volume controls:
///
///     coils in series, each: EMF - R - L (- L' with R' across it), with C across all of that
///     - lead capacitance across - tone (R and C in series) across - volume (upper leg with a bypass C, lower leg)
///
/// and what they share: a cable, an input, and in the largest a master tone and a capacitor in series.
namespace bench {

struct coil_values {
  double r, l, c, eddy_l, eddy_r;
};
struct pickup_values {
  coil_values coils[2];
  double lead_c, tone_r, tone_c, upper, lower, bypass;
};
struct circuit_values {
  pickup_values pickups[4];
  double master_r, master_c, cable_c, coupling_c, input_r, input_c;
};

/// What there is of all that: known when compiling, as in code that someone writes for one circuit.
template <std::size_t Pickups, std::size_t Coils, bool Wide, bool Master>
struct circuit_shape {
  static constexpr std::size_t pickups = Pickups, coils = Coils;
  static constexpr bool eddy = Wide, lead = Wide;
  static constexpr bool input_c = Pickups > 1;
  static constexpr bool master = Master; ///< and the coupling capacitor
  static constexpr std::size_t reactive_parts =
      Pickups * (Coils * (Wide ? 3 : 2) + (Wide ? 1 : 0) + 2) + 1 + (input_c ? 1 : 0) + (Master ? 2 : 0);
};
using five_parts = circuit_shape<1, 1, false, false>;
using ten_parts = circuit_shape<2, 1, false, false>;   ///< two single coils, both on
using twenty_parts = circuit_shape<2, 2, true, false>; ///< two humbucking pickups, both on
using forty_parts = circuit_shape<4, 2, true, true>;   ///< four of them, all on
static_assert(five_parts::reactive_parts == 5 && ten_parts::reactive_parts == 10);
static_assert(twenty_parts::reactive_parts == 20 && forty_parts::reactive_parts == 40);

/// By number, for whoever chooses at run time.
enum class which { five, ten, twenty, forty };
inline constexpr which every_circuit[] = {which::five, which::ten, which::twenty, which::forty};
inline constexpr const char* const name_of[] = {"five", "ten", "twenty", "forty"};
inline constexpr std::size_t pickups_of[] = {1, 2, 2, 4};

/// Calls f with the shape of that number.
template <class F>
void with_shape(which circuit, const F& f) {
  switch (circuit) {
  case which::five: return f(five_parts());
  case which::ten: return f(ten_parts());
  case which::twenty: return f(twenty_parts());
  case which::forty: return f(forty_parts());
  }
}

/// Values as they occur, no two coils or controls alike, lest poles cancel.
constexpr circuit_values typical_values() {
  circuit_values v{};
  double k = 1;
  for (pickup_values& p : v.pickups) {
    for (coil_values& c : p.coils) {
      c = {6000 * k, 2.5 * k * k, 120e-12 / k, 0.5 * k, 150e3 / k};
      k *= 1.06;
    }
    p.lead_c = 90e-12 * k;
    p.tone_r = 250e3 / k;
    p.tone_c = 22e-9 * k;
    p.upper = 60e3 * k;
    p.lower = 190e3 / k;
    p.bypass = 680e-12 / k;
  }
  v.master_r = 240e3;
  v.master_c = 47e-9;
  v.cable_c = 600e-12;
  v.coupling_c = 22e-9;
  v.input_r = 1e6;
  v.input_c = 80e-12;
  return v;
}

} // namespace bench
