// SPDX-License-Identifier: BSL-1.0
// Numbers for people.
#include <doctest/doctest.h>

#include <bit>
#include <cstdint>
#include <string>

#include <lodewire/quantity/literals.hpp>
#include <lodewire/quantity/notation.hpp>

using namespace lodewire;
using namespace lodewire::literals;

namespace {
const double not_a_number = std::bit_cast<double>(std::uint64_t{0x7ff8'0000'0000'0000U});
}

TEST_CASE("plain numbers") {
  CHECK(plain_number(25.616) == "25.616");
  CHECK(plain_number(-3.01) == "-3.01");
  CHECK(plain_number(0) == "0");
  CHECK(plain_number(100) == "100");
  CHECK(plain_number(1e30) == "1e+30");
  CHECK(plain_number(1.0 / 3) == "0.333333");
  CHECK(plain_number(1.0 / 3, 3) == "0.333");
  CHECK(plain_number(0.1, 17) == "0.10000000000000001");
  CHECK(plain_number(not_a_number) == "NaN");
  CHECK(plain_number(-not_a_number) == "NaN");
  CHECK(plain_number(open_value) == "infinity");
  CHECK(plain_number(-open_value) == "-infinity");
  // Counts of digits that no double has.
  CHECK(plain_number(0.1, 1000) == plain_number(0.1, 17));
  CHECK(plain_number(0.16, 0) == "0.2");
  CHECK(plain_number(0.16, -5) == "0.2");
}

TEST_CASE("fixed numbers") {
  CHECK(fixed_number(3.14159, 2) == "3.14");
  CHECK(fixed_number(-0.5, 1) == "-0.5");
  CHECK(fixed_number(2, 3) == "2.000");
  CHECK(fixed_number(1e6, 0) == "1000000");
  CHECK(fixed_number(9.996, 2) == "10.00");
  CHECK(fixed_number(not_a_number, 2) == "NaN");
  CHECK(fixed_number(open_value, 2) == "infinity");
  // The longest there is: 309 digits, point, 60 decimals, and a sign.
  CHECK(fixed_number(-1.7e308, 1000).size() == 1 + 309 + 1 + 60);
  CHECK(fixed_number(2.5, -1) == "2");
}

TEST_CASE("engineering notation") {
  CHECK(engineering(25.6167_kOhm) == "25.62 kΩ");
  CHECK(engineering(25616.7, "Ω", 4) == "25.62 kΩ");
  CHECK(engineering(25616.7, "Ω", 3) == "25.6 kΩ");
  CHECK(engineering(25616.7, "Ω", 6) == "25.6167 kΩ");
  CHECK(engineering(500_kOhm) == "500 kΩ");
  CHECK(engineering(1_MOhm) == "1 MΩ");
  CHECK(engineering(2.2_GOhm) == "2.2 GΩ");
  CHECK(engineering(0.47_Ohm) == "470 mΩ");
  CHECK(engineering(22_nF) == "22 nF");
  CHECK(engineering(0.33_pF) == "0.33 pF");
  CHECK(engineering(3.3_uF) == "3.3 µF");
  CHECK(engineering(95_pF_per_m) == "95 pF/m");
  CHECK(engineering(3.1_H) == "3.1 H");
  CHECK(engineering(4.2123_kHz) == "4.212 kHz");
  CHECK(engineering(-5_kOhm) == "-5 kΩ");
  CHECK(engineering(0_F) == "0 F");
  CHECK(engineering(not_a_number, "V") == "NaN V");
  CHECK(engineering(open_value, "Ω") == "infinity Ω");
}

TEST_CASE("the printed figure decides the prefix") {
  CHECK(engineering(999.9, "Ω", 4) == "999.9 Ω");
  CHECK(engineering(999.94, "Ω", 4) == "999.9 Ω");
  CHECK(engineering(999.96, "Ω", 4) == "1 kΩ");
  CHECK(engineering(-999.96, "Ω", 4) == "-1 kΩ");
  CHECK(engineering(999.4, "Ω", 3) == "999 Ω");
  CHECK(engineering(999.6, "Ω", 3) == "1 kΩ");
  CHECK(engineering(999.96e-9, "F", 4) == "1 µF");
  // Fewer than three figures cannot write 150.
  CHECK(engineering(150_kOhm, 1) == "150 kΩ");
  CHECK(engineering(999.6, "Ω", 1) == "1 kΩ");
  // Never a power of ten, nor four digits before the point, from a picofarad to below a gigafarad.
  int wrong = 0;
  for (double value = 1e-12; value < 9e11; value *= 1.00317)
    for (int digits = 3; digits <= 6; ++digits) {
      const std::string text = engineering(value, "F", digits);
      wrong += text.find('e') != std::string::npos;
      wrong += text.find_first_of(". ") > 3;
    }
  CHECK(wrong == 0);
}
