// SPDX-License-Identifier: BSL-1.0
// What a user of the library may write first; each project beside this file builds it in its own way.
#include <cstdio>

#include <lodewire/lodewire.hpp>

#if !__has_include(<Eigen/Core>)
#error "the opt-in headers that solve matrices need Eigen's include path"
#endif

int main() {
  using namespace lodewire;
  using namespace lodewire::literals;

  const auto coil = magnetic_coil{.inductance = 3.1_H, .resistance = 7.4_kOhm, .capacitance = 110_pF};
  const auto output = coil | cable{.length = 6_m, .capacitance = 95_pF_per_m} | input{.resistance = 1_MOhm};
  const resonance found = find_resonance(output);
  std::printf("resonance at %.0f Hz\n", found.peak.value());
  // 1/(2 pi sqrt(L C)) with the coil's 110 pF and the cable's 570 pF is 3466 Hz; damping moves the peak a little.
  return found.peak.value() > 3200 && found.peak.value() < 3500 ? 0 : 1;
}
