// SPDX-License-Identifier: BSL-1.0
// read_potentiometer in every world: law, total and tolerance from a stamp.
#include <lodewire/parts/taper_code.hpp>

#include "reader.hpp"

void fuzz::one_input(std::string_view text) {
  using namespace lodewire;
  using enum marking_world;
  for (const auto world : {today, older_european, us_series, mil_r_94}) {
    const auto stamp = [world](std::string_view t) { return read_potentiometer(t, world); };
    const auto read = read_or_refuse(text, stamp);
    if (!read) continue;
    const double total = read->total.value();
    expect(is_finite(total) && total >= 0, "the total is finite and not negative", text);
    expect(read->tolerance >= 0 && read->tolerance < 1, "the tolerance is 0 or more and less than 1", text);

    // Written as the letter, the value and the tolerance: every letter of this world whose law it is.
    for (const char letter : std::string_view{"ABCFMNUWY"}) {
      const auto law = detail::law_of(letter, world);
      if (law == detail::letter_law::none || !(read_taper({&letter, 1}, world) == read->law)) continue;
      const std::string within = write_tolerance(tolerance::symmetric(read->tolerance));
      for (const std::string& value : {write_marking(read->total), write_quantity(read->total)}) {
        const std::string written = letter + value + ' ' + within;
        if (written.size() <= 64) expect_back(written, *read, text, stamp);
      }
    }
  }
}
