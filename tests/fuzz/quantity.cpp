// SPDX-License-Identifier: BSL-1.0
// read_quantity of every quantity that has a spelling.
#include "reader.hpp"

namespace {

template <class Q>
void one_quantity(std::string_view text) {
  const auto number = [](std::string_view t) { return lodewire::read_quantity<Q>(t).value(); };
  const auto read = fuzz::read_or_refuse(text, number);
  if (!read) return;
  fuzz::expect(lodewire::is_finite(*read) && *read >= 0, "a value is finite and not negative", text);
  fuzz::expect_back(lodewire::write_quantity(Q::from_value(*read)), *read, text, number);
}

template <class... Q>
void each(std::string_view text) {
  (one_quantity<Q>(text), ...);
}

} // namespace

void fuzz::one_input(std::string_view text) {
  using namespace lodewire;
  each<resistance, capacitance, inductance, conductance, frequency, duration, voltage, current, power, length,
       temperature, capacitance_per_length, resistance_per_length, inductance_per_length>(text);
}
