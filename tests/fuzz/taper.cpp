// SPDX-License-Identifier: BSL-1.0
// read_taper in every world. There is no writer: a law is written as its letter, and a number where it has one.
#include <lodewire/parts/taper_code.hpp>

#include "reader.hpp"

void fuzz::one_input(std::string_view text) {
  using namespace lodewire;
  using enum marking_world;
  for (const auto world : {today, older_european, us_series, mil_r_94}) {
    const auto law = [world](std::string_view t) { return read_taper(t, world); };
    const auto read = read_or_refuse(text, law);
    if (!read) continue;
    for (const double at : {0., 0.25, 0.5, 1.}) {
      const double fraction = (*read)(rotation(at));
      expect(fraction >= 0 && fraction <= 1, "a fraction of the track", text);
    }
    // The letter is the only capital in a text that was read; its number, if any, may stand on either side.
    const auto letter = text.find_first_of("ABCFMNUWY");
    expect(letter != text.npos, "a law has its letter", text);
    const auto number_from = text.find_first_of(".0123456789");
    std::string number;
    if (number_from != text.npos)
      number = text.substr(number_from, text.find_last_of(".0123456789") + 1 - number_from);
    expect_back(number + text[letter], *read, text, law);
    expect_back(text[letter] + number, *read, text, law);
  }
}
