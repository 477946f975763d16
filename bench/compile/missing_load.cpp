// SPDX-License-Identifier: BSL-1.0
// Does not compile: the load at the end is only a resistance; how it is connected (`in_shunt`, `input`) is missing.
// says: operator\|.*source.*resistance|invalid operands.*source.*resistance|in_shunt
#include <lodewire/lodewire.hpp>

using namespace lodewire;
using namespace lodewire::literals;

int main() {
  const auto pickup = magnetic_coil{.inductance = 3.1_H, .resistance = 7.4_kOhm, .capacitance = 110_pF};
  const source rig = pickup | cable{.length = 6_m, .capacitance = 95_pF_per_m} | 1_MOhm;
  return find_resonance(rig).has_peak ? 0 : 1;
}
