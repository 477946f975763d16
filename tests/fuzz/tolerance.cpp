// SPDX-License-Identifier: BSL-1.0
// read_tolerance, and the letters of capacitors below 10 pF.
#include "reader.hpp"

void fuzz::one_input(std::string_view text) {
  using namespace lodewire;
  const auto within = [](std::string_view t) { return read_tolerance(t); };
  const auto read = read_or_refuse(text, within);
  if (!read) return;
  expect(is_finite(read->plus) && read->plus >= 0 && read->minus >= 0 && read->minus <= 1,
         "minus is 0 to 1, plus 0 or more", text);
  expect_back(write_tolerance(*read), *read, text, within);
  // A letter stands for its tolerance only to one part in 1e9: percent may be written closer to it than that.
  if (const auto letter = tolerance_letter(*read)) {
    const tolerance of_letter = *tolerance_of_letter(*letter);
    expect_back(std::string(1, *letter), of_letter, text, within);
    expect(detail::nearly_same(of_letter.minus, read->minus) &&
               detail::nearly_same(of_letter.plus, read->plus),
           "a letter means what it was given for", text);
  }
}
