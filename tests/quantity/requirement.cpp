// SPDX-License-Identifier: BSL-1.0
// What a value has to be, and what the error says.
#include <doctest/doctest.h>

#include <bit>
#include <cstdint>
#include <string>

#include <lodewire/quantity/literals.hpp>
#include <lodewire/quantity/requirement.hpp>

using namespace lodewire;
using namespace lodewire::literals;

namespace {

const double not_a_number = std::bit_cast<double>(std::uint64_t{0x7ff8'0000'0000'0000U});

template <class Call>
std::string complaint(Call call) {
  try {
    call();
  } catch (const invalid_value& error) {
    return error.what();
  }
  return "none";
}

resistance ohms(double value) { return from_si<resistance>(value); }

} // namespace

TEST_CASE("finite, NaN and open by their bits") {
  CHECK(is_finite(0.0));
  CHECK(is_finite(-1.7e308));
  CHECK(is_finite(4e-308));
  CHECK_FALSE(is_finite(open_value));
  CHECK_FALSE(is_finite(-open_value));
  CHECK_FALSE(is_finite(not_a_number));
  CHECK(is_finite(1.0F));
  CHECK_FALSE(is_finite(std::bit_cast<float>(std::uint32_t{0x7f80'0000U})));
  CHECK_FALSE(is_finite(std::bit_cast<float>(std::uint32_t{0x7fc0'0000U})));
  CHECK(is_nan(not_a_number));
  CHECK(is_nan(std::bit_cast<double>(std::uint64_t{0xfff0'0000'0000'0001U})));
  CHECK_FALSE(is_nan(open_value));
  CHECK_FALSE(is_nan(0.0));
  CHECK(is_open(open_value));
  CHECK_FALSE(is_open(-open_value));
  CHECK_FALSE(is_open(not_a_number));
  CHECK_FALSE(is_open(1e300));
  static_assert(is_finite(1.0) && !is_finite(open_value));
}

TEST_CASE("a good value passes through") {
  CHECK(require_positive("r", 5_kOhm) == 5_kOhm);
  CHECK(require_positive("x", 1e-300) == 1e-300);
  CHECK(require_not_negative("r", 0_Ohm) == 0_Ohm);
  CHECK(require_finite("x", -1e300) == -1e300);
  CHECK(require_within("rotation", 0.0, 0.0, 1.0) == 0);
  CHECK(require_within("rotation", 1.0, 0.0, 1.0) == 1);
  CHECK(require_within("f", 1_kHz, 20_Hz, 20_kHz) == 1_kHz);
  static_assert(require_positive("r", 5_kOhm) == 5_kOhm);
}

TEST_CASE("a bad value is named, with its unit and what is allowed") {
  CHECK(complaint([] { require_positive("potentiometer.total", -250_kOhm); }) ==
        "potentiometer.total is -250 kΩ; allowed: more than 0 Ω");
  CHECK(complaint([] { require_positive("cable.length", 0_m); }) ==
        "cable.length is 0 m; allowed: more than 0 m");
  CHECK(complaint([] { require_not_negative("c", -22_nF); }) == "c is -22 nF; allowed: 0 F or more");
  CHECK(complaint([] { require_within("rotation", 1.5, 0.0, 1.0); }) == "rotation is 1.5; allowed: 0 to 1");
  CHECK(complaint([] { require_within("f", 5_Hz, 20_Hz, 20_kHz); }) == "f is 5 Hz; allowed: 20 Hz to 20 kHz");
  CHECK(complaint([] { require_within("f", 21_kHz, 20_Hz, 20_kHz); }) ==
        "f is 21 kHz; allowed: 20 Hz to 20 kHz");
  CHECK(complaint([] { require_finite("gain", not_a_number); }) == "gain is NaN; allowed: any finite value");
  CHECK(complaint([] {
          require_positive({"coil", "inductance"}, -1_H);
        }) == "coil.inductance is -1 H; allowed: more than 0 H");
}

TEST_CASE("no value that is no number passes") {
  for (const double x : {not_a_number, -not_a_number, open_value, -open_value}) {
    CHECK_THROWS_AS(require_positive("r", ohms(x)), invalid_value);
    CHECK_THROWS_AS(require_not_negative("r", ohms(x)), invalid_value);
    CHECK_THROWS_AS(require_finite("r", ohms(x)), invalid_value);
    CHECK_THROWS_AS(require_within("r", ohms(x), ohms(0), ohms(1e300)), invalid_value);
    CHECK_THROWS_AS(require_positive("x", x), std::invalid_argument);
  }
}

TEST_CASE("the error names the parameter") {
  try {
    require_positive("volume.total", 0_Ohm);
    FAIL_CHECK("passed");
  } catch (const invalid_value& error) {
    CHECK(error.parameter() == "volume.total");
  }
}
