// SPDX-License-Identifier: BSL-1.0
// read_decibel and read_percentage. Neither has a writer: 17 figures hold every double.
#include "reader.hpp"

void fuzz::one_input(std::string_view text) {
  using namespace lodewire;
  const auto level = [](std::string_view t) { return read_decibel(t).value(); };
  if (const auto read = read_or_refuse(text, level)) {
    expect(is_finite(*read), "a level is finite", text);
    expect_back(plain_number(*read, 17) + " dB", *read, text, level);
    expect_back(plain_number(*read, 17), *read, text, level);
  }
  const auto fraction = [](std::string_view t) { return read_percentage(t); };
  if (const auto read = read_or_refuse(text, fraction)) {
    expect(is_finite(*read) && *read >= 0, "a fraction is finite and not negative", text);
    // A tolerance of this fraction is written in percent.
    const std::string written = write_tolerance({.minus = 0, .plus = *read});
    const auto percent = written.substr(written.find_first_of("+±") + 1);
    expect_back(*read == 0 ? "0 %" : percent, *read, text, fraction);
  }
}
