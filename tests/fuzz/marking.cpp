// SPDX-License-Identifier: BSL-1.0
// read_marking of the three quantities that are marked on parts.
#include "reader.hpp"

namespace {

template <class Q>
void marked(std::string_view text) {
  if (const auto read =
          fuzz::read_or_refuse(text, [](std::string_view t) { return lodewire::read_marking<Q>(t); }))
    fuzz::expect_marking_back(*read, text);
}

} // namespace

void fuzz::one_input(std::string_view text) {
  marked<lodewire::resistance>(text);
  marked<lodewire::capacitance>(text);
  marked<lodewire::inductance>(text);
}
