// SPDX-License-Identifier: BSL-1.0
// read_three_digit_code in ohms and in picofarads.
#include "reader.hpp"

namespace {

template <class Q>
void coded(std::string_view text) {
  const auto code = [](std::string_view t) { return lodewire::read_three_digit_code<Q>(t); };
  const auto read = fuzz::read_or_refuse(text, code);
  if (!read) return;
  fuzz::expect_marking_back(*read, text);
  const auto number = [&](std::string_view t) { return code(t).value.value(); };
  fuzz::expect_back(lodewire::write_quantity(read->value), read->value.value(), text, number);
  // 220G is a code with a tolerance to this reader, or a marking: it refuses, and never reads another value.
  const std::string marked = lodewire::write_marking(read->value);
  if (const auto again = fuzz::read_or_refuse(marked, number))
    fuzz::expect(fuzz::same(*again, read->value.value()), "a marking is no other code: " + marked, text);
}

} // namespace

void fuzz::one_input(std::string_view text) {
  coded<lodewire::resistance>(text);
  coded<lodewire::capacitance>(text);
}
