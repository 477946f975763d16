// SPDX-License-Identifier: BSL-1.0
// A single coil with volume and tone, a 6 m cable and an input: where its resonance lies, how high it stands and how
// loud it is at three settings of the volume control. This is the example of README.md.
// Before a change at the bench: hot solder burns and its fumes harm; never open a mains-powered amplifier.
// [readme]
#include <iostream>
#include <lodewire/lodewire.hpp>
using namespace lodewire;
using namespace lodewire::literals;

int main() {
  const auto coil = magnetic_coil{.inductance = 3.1_H, .resistance = 7.4_kOhm, .capacitance = 110_pF};
  const auto pot = potentiometer{.total = 250_kOhm, .law = audio_taper};
  const auto tone = series(pot.as_rheostat(knob(10), lugs::one_two), 22_nF);
  const auto lead = cable{.length = 6_m, .capacitance = 95_pF_per_m} | input{.resistance = 1_MOhm};
  for (const double number : {10.0, 9.0, 7.0}) {
    const source output = coil | in_shunt(tone) | pot.as_divider(knob(number)) | lead;
    std::cout << number << ": " << level(output).value() << " dB; " << find_resonance(output) << '\n';
  }
}
// [readme]
