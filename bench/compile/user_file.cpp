// SPDX-License-Identifier: BSL-1.0
// What a user's first program of some forty lines looks like: a pickup, its two controls, a cable and an amplifier,
// and where the resonance lands as each knob turns. `compile_time.sh` times how long it takes to compile.
#include <iostream>

#include <lodewire/lodewire.hpp>

using namespace lodewire;
using namespace lodewire::literals;

int main() {
  const auto pickup = magnetic_coil{
      .inductance = 3.1_H,
      .resistance = 7.4_kOhm,
      .capacitance = 110_pF,
      .eddy = {eddy_branch{.inductance = 0.6_H, .resistance = 150_kOhm}, {}},
  };
  const auto volume = potentiometer{.total = 250_kOhm, .law = audio_taper, .name = "volume"};
  const auto tone = potentiometer{.total = 250_kOhm, .law = audio_taper, .name = "tone"};
  const one_port treble_cut = series(tone.as_rheostat(knob(10), lugs::one_two), 22_nF);

  source rig = pickup | in_shunt(treble_cut) | volume.as_divider(knob(10)) |
               cable{.length = 6_m, .capacitance = 95_pF_per_m} | input{.resistance = 1_MOhm};

  const value_range volume_legs = rig.range("volume");
  const value_range tone_legs = rig.range("tone");
  for (const double turned : {10, 8, 6, 4, 2}) {
    volume.turn(rig, volume_legs, knob(turned));
    std::cout << "volume at " << turned << ": " << find_resonance(rig) << '\n';
  }
  volume.turn(rig, volume_legs, knob(10));
  for (const double turned : {10, 8, 6, 4, 2, 0}) {
    tone.turn(rig, tone_legs, knob(turned));
    const resonance peak = find_resonance(rig);
    std::cout << "tone at " << turned << ": " << peak << '\n';
    if (!peak.has_peak) std::cout << "  nothing stands out any more\n";
  }
  std::cout << "hot end of the coil carries its cover: " << pickup.cover_is_hot() << '\n';
}
