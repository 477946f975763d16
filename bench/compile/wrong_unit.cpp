// SPDX-License-Identifier: BSL-1.0
// Does not compile: an inductance in ohms. `compile_time.sh --full` counts the lines that the compiler says.
// says: could not convert.*resistance|no viable conversion
#include <lodewire/lodewire.hpp>

using namespace lodewire;
using namespace lodewire::literals;

int main() {
  const auto pickup = magnetic_coil{.inductance = 3.1_kOhm, .resistance = 7.4_kOhm, .capacitance = 110_pF};
  return find_resonance(pickup).has_peak ? 0 : 1;
}
