// SPDX-License-Identifier: BSL-1.0
// Tolerances: the letters of IEC 60062, text, limits.
#include <doctest/doctest.h>

#include <string>
#include <string_view>

#include <lodewire/quantity/literals.hpp>
#include <lodewire/quantity/marking.hpp>

using namespace lodewire;
using namespace lodewire::literals;

// IEC 60062, clause 5 (from memory). A static table: no letter may be lost.
struct letter_row {
  char letter;
  double minus, plus; // percent
};
constexpr letter_row letters[] = {
    {'E', 0.005, 0.005}, {'L', 0.01, 0.01}, {'P', 0.02, 0.02}, {'W', 0.05, 0.05}, {'B', 0.1, 0.1},
    {'C', 0.25, 0.25},   {'D', 0.5, 0.5},   {'F', 1, 1},       {'G', 2, 2},       {'J', 5, 5},
    {'K', 10, 10},       {'M', 20, 20},     {'N', 30, 30},     {'Q', 10, 30},     {'T', 10, 50},
    {'S', 20, 50},       {'Z', 20, 80}};

TEST_CASE("letters in percent") {
  int known = 0;
  for (int c = 0; c < 256; ++c) known += tolerance_of_letter(static_cast<char>(c)).has_value();
  CHECK(known == std::size(letters));
  for (const auto& row : letters) {
    CAPTURE(row.letter);
    const auto within = tolerance_of_letter(row.letter);
    REQUIRE(within.has_value());
    CHECK(within->minus == doctest::Approx(row.minus / 100).epsilon(1e-15));
    CHECK(within->plus == doctest::Approx(row.plus / 100).epsilon(1e-15));
    CHECK(tolerance_letter(*within) == row.letter);
    CHECK(read_tolerance(std::string(1, row.letter)) == *within);
    // In words, and back from what is written.
    CHECK(read_tolerance(write_tolerance(*within)) == *within);
  }
  CHECK(tolerance_of_letter('J') == tolerance::symmetric(0.05));
  CHECK_FALSE(tolerance_of_letter('k').has_value());
  CHECK_FALSE(tolerance_letter(tolerance::symmetric(0.03)).has_value());
  CHECK_FALSE(tolerance_letter({0.05, 0.1}).has_value());
  static_assert(tolerance_of_letter('K') == tolerance::symmetric(0.1));
}

TEST_CASE("letters in picofarads below 10 pF") {
  // IEC 60062, clause 5 (from memory).
  constexpr struct {
    char letter;
    double picofarads;
  } rows[] = {{'B', 0.1}, {'C', 0.25}, {'D', 0.5}, {'F', 1}, {'G', 2}};
  for (const auto& row : rows) {
    CAPTURE(row.letter);
    for (const auto& nominal : {2.2_pF, 4.7_pF, 9.1_pF}) {
      const auto within = tolerance_of_letter(row.letter, nominal);
      REQUIRE(within.has_value());
      CHECK((within->highest(nominal) - nominal) / 1_pF == doctest::Approx(row.picofarads).epsilon(1e-9));
      CHECK((nominal - within->lowest(nominal)) / 1_pF == doctest::Approx(row.picofarads).epsilon(1e-9));
      CHECK(tolerance_letter(*within, nominal) == row.letter);
    }
    CHECK(tolerance_of_letter(row.letter, 10_pF) == tolerance_of_letter(row.letter));
    CHECK(tolerance_of_letter(row.letter, 22_nF) == tolerance_of_letter(row.letter));
    // Less than no capacitance does not exist.
    CHECK(tolerance_of_letter(row.letter, 0.05_pF)->minus == 1);
    CHECK(tolerance_letter(*tolerance_of_letter(row.letter, 0.05_pF), 0.05_pF) == row.letter);
  }
  CHECK(tolerance_of_letter('J', 4.7_pF) == tolerance::symmetric(0.05));
  CHECK(tolerance_letter(tolerance::symmetric(0.05), 4.7_pF) == 'J');
  CHECK(tolerance_letter(tolerance::symmetric(0.05), 22_nF) == 'J');
  // ±1 % of 4.7 pF: F would be ±1 pF.
  CHECK_FALSE(tolerance_letter(tolerance::symmetric(0.01), 4.7_pF).has_value());
  CHECK_FALSE(tolerance_of_letter('X', 4.7_pF).has_value());
}

TEST_CASE("limits of a part") {
  CHECK(tolerance::symmetric(0.2).lowest(500_kOhm) == 400_kOhm);
  CHECK(tolerance::symmetric(0.2).highest(500_kOhm) == 600_kOhm);
  CHECK(tolerance{0.2, 0.8}.highest(100_nF) / 1_nF == doctest::Approx(180).epsilon(1e-12));
  static_assert(tolerance{}.lowest(1_H) == 1_H);
}

TEST_CASE("in words") {
  for (const std::string_view text :
       {"±5 %", "±5%", "+/-5%", "+/- 5 %", "5%", "5 %", "J", " J ", "+5/-5%", "-5%+5%"}) {
    CAPTURE(std::string(text));
    CHECK(read_tolerance(text) == tolerance::symmetric(0.05));
  }
  for (const std::string_view text : {"-20/+80 %", "+80/-20 %", "+80% -20%", "-20 % / +80 %",
                                      "\xE2\x88\x92"
                                      "20/+80 %",
                                      "Z"}) {
    CAPTURE(std::string(text));
    CHECK(read_tolerance(text) == tolerance{0.2, 0.8});
  }
  CHECK(read_tolerance("±0.05 %") == tolerance::symmetric(0.0005));
  CHECK(read_tolerance("0%") == tolerance{});
  CHECK(write_tolerance(tolerance::symmetric(0.05)) == "±5 %");
  CHECK(write_tolerance(tolerance::symmetric(0.0005)) == "±0.05 %");
  CHECK(write_tolerance({0.2, 0.8}) == "-20/+80 %");
  CHECK(write_tolerance({0, 1}) == "-0/+100 %");
  CHECK(write_tolerance({}) == "±0 %");
  int lost = 0;
  for (double fraction = 1e-6; fraction < 1; fraction *= 1.0037) {
    lost += read_tolerance(write_tolerance(tolerance::symmetric(fraction))) != tolerance::symmetric(fraction);
    lost += read_tolerance(write_tolerance({fraction, 2 * fraction})) != tolerance{fraction, 2 * fraction};
  }
  CHECK(lost == 0);
  // What would be longer than is read has a power of ten.
  CHECK(write_tolerance(tolerance::symmetric(1e-8)) == "±1e-6 %");
  CHECK(write_tolerance(tolerance::symmetric(1e-7)) == "±0.00001 %");
  CHECK(write_tolerance({0, 99'999'999}) == "-0/+9999999900 %");
  CHECK(write_tolerance({0, 1e8}) == "-0/+1e10 %");
  for (const double fraction :
       {2.3e-308, 1.2345678901234567e-200, 9.8765432109876543e-9, 0.1 + 0.2, 1 - 0x1p-53})
    for (const double more :
         {0.0, 2.5e-308, 0.3333333333333333, 12345678.901234567, 1.2345678901234567e305}) {
      CAPTURE(fraction);
      CAPTURE(more);
      CHECK(write_tolerance({fraction, more}).size() <= 64);
      CHECK(read_tolerance(write_tolerance({fraction, more})) == tolerance{fraction, more});
    }

  constexpr struct {
    std::string_view text;
    std::size_t column;
  } bad[] = {{"", 1},         {"5", 2},    {"j", 1},    {"JJ", 1},   {"J 5%", 3},
             {"±", 2},        {"±-5%", 2}, {"±5", 3},   {"-20%", 5}, {"-20/80%", 5},
             {"-20/-80%", 5}, {"+-5%", 2}, {"101%", 1}, {"5,5%", 2}, {"±5 % J", 6}};
  for (const auto& row : bad) {
    CAPTURE(std::string(row.text));
    try {
      static_cast<void>(read_tolerance(row.text, "pot.tolerance"));
      FAIL_CHECK("was read");
    } catch (const text_error& error) {
      CHECK(error.column() == row.column);
      CHECK(error.parameter() == "pot.tolerance");
    }
  }
}
