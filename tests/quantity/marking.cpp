// SPDX-License-Identifier: BSL-1.0
// Values from text and back: IEC 60062 codes, trade writing, tolerances, levels; bad text of every kind.
#include <doctest/doctest.h>

#include <bit>
#include <clocale>
#include <cstdint>
#include <string>
#include <string_view>

#include <lodewire/quantity/literals.hpp>
#include <lodewire/quantity/marking.hpp>
#include <lodewire/quantity/preferred.hpp>

#include "../counted_new.hpp"
#include "../draws.hpp"

using namespace lodewire;
using namespace lodewire::literals;

namespace {

/// splitmix64: a repeatable stream of 64-bit numbers.
struct random_bits {
  std::uint64_t state;
  std::uint64_t operator()() {
    std::uint64_t z = (state += 0x9e37'79b9'7f4a'7c15U);
    z = (z ^ (z >> 30U)) * 0xbf58'476d'1ce4'e5b9U;
    z = (z ^ (z >> 27U)) * 0x94d0'49bb'1331'11ebU;
    return z ^ (z >> 31U);
  }
};

/// Any double of these binary exponents, each exponent as likely as the next: log-uniform.
double random_double(random_bits& next, int lowest, int highest) {
  const auto exponent = lowest + static_cast<int>(next() % static_cast<std::uint64_t>(highest - lowest + 1));
  return std::bit_cast<double>((static_cast<std::uint64_t>(exponent + 1023) << 52U) | (next() >> 12U));
}

struct reading {
  std::string_view text;
  double value;
};

template <class Q, std::size_t N>
void check_readings(const reading (&table)[N]) {
  for (const auto& row : table) {
    CAPTURE(std::string(row.text));
    CHECK(read_quantity<Q>(row.text).value() == row.value);
  }
}

struct refusal {
  std::string_view text;
  std::size_t column;
  std::string_view expected; // a part of the message
};

template <class Read, std::size_t N>
void check_refusals(Read read, const refusal (&table)[N]) {
  for (const auto& row : table) {
    CAPTURE(std::string(row.text));
    try {
      static_cast<void>(read(row.text));
      FAIL_CHECK("was read");
    } catch (const text_error& error) {
      const std::string_view message = error.what();
      CHECK(error.column() == row.column);
      CHECK(message.find("at column " + std::to_string(row.column)) != message.npos);
      CHECK_MESSAGE(message.find(row.expected) != message.npos, message);
    }
  }
}

const auto as_resistance = [](std::string_view text) { return read_resistance(text); };
const auto as_capacitance = [](std::string_view text) { return read_capacitance(text); };
const auto as_inductance = [](std::string_view text) { return read_inductance(text); };

} // namespace

TEST_CASE("letter for the point, resistances") {
  // IEC 60062 as quoted in https://wikimili.com/en/RKM_code; 2K2 and 1M0: tnlab.org page on IEC 60062:2016.
  check_readings<resistance>({{"R47", 0.47},
                              {"4R7", 4.7},
                              {"470R", 470},
                              {"4K7", 4700},
                              {"47K", 47e3},
                              {"47K3", 47.3e3},
                              {"470K", 470e3},
                              {"4M7", 4.7e6},
                              {"2K2", 2200},
                              {"1M0", 1e6}});
  // The same with the SI's small k, and further multipliers of the standard (from memory).
  check_readings<resistance>(
      {{"4k7", 4700}, {"2R2", 2.2}, {"2r2", 2.2}, {"k47", 470}, {"4G7", 4.7e9}, {"1T0", 1e12}});
  CHECK(read_resistance("4k7") == 4.7_kOhm);
  CHECK(read_resistance("1M0") == 1_MOhm);
}

TEST_CASE("letter for the point, capacitances and inductances") {
  // IEC 60062, table for capacitors (from memory).
  check_readings<capacitance>({{"p33", 0.33e-12},
                               {"3p3", 3.3e-12},
                               {"33p", 33e-12},
                               {"330p", 330e-12},
                               {"n33", 330e-12},
                               {"3n3", 3.3e-9},
                               {"33n", 33e-9},
                               {"330n", 330e-9},
                               {"µ33", 0.33e-6},
                               {"3µ3", 3.3e-6},
                               {"u33", 0.33e-6},
                               {"3u3", 3.3e-6},
                               {"\xCE\xBC"
                                "33",
                                0.33e-6},
                               {"4n7", 4.7e-9},
                               {"22n", 22e-9},
                               {"4m7", 4.7e-3},
                               {"2F2", 2.2}});
  CHECK(read_capacitance("22n") == 22_nF);
  CHECK(read_capacitance("4n7") == 4.7_nF);
  // Common practice, no source: inductors are written in the same way.
  check_readings<inductance>(
      {{"3H1", 3.1}, {"22m", 22e-3}, {"4m7", 4.7e-3}, {"u47", 0.47e-6}, {"100n", 100e-9}});
}

TEST_CASE("three-digit codes") {
  // From memory; 223 and 473 as .022 µF and .047 µF: a public forum answer on guitar tone capacitors.
  check_readings<capacitance>({{"101", 100e-12},
                               {"102", 1e-9},
                               {"103", 10e-9},
                               {"223", 22e-9},
                               {"473", 47e-9},
                               {"104", 100e-9},
                               {"107", 100e-6},
                               {" 104 ", 100e-9}});
  const auto ohms = [](std::string_view text) {
    return read_three_digit_code<resistance>(text).value.value();
  };
  // Potentiometer marks 103 = 10 kΩ, 504 = 500 kΩ: public wiki of a decoder library for component marks.
  CHECK(ohms("103") == 10e3);
  CHECK(ohms("504") == 500e3);
  // Two significant digits and the number of zeros, R for the point, 3R0 = 3.0 Ω: MIL-R-19, -22, -94 (abstracts on
  // standards.globalspec.com).
  CHECK(ohms("3R0") == 3);
  CHECK(ohms("470") == 47);
  CHECK(ohms("000") == 0);
  CHECK(ohms("4k7") == 4700);
  CHECK(read_three_digit_code<capacitance>("330").value.value() == 33e-12);
  CHECK(read_three_digit_code<capacitance>("104").value.value() == 100e-9);
  // A number alone is a number of ohms.
  CHECK(read_resistance("103") == 103_Ohm);

  const auto code = read_three_digit_code<resistance>("104J");
  CHECK(code.value == 100_kOhm);
  CHECK(code.tolerance == tolerance::symmetric(0.05));

  check_refusals([](std::string_view text) { return read_three_digit_code<resistance>(text); },
                 {{"47", 3, "a unit"},
                  {"1003", 5, "a unit"},
                  {"047", 1, "1 to 9"},
                  {"228", 3, "no agreed meaning"},
                  {"503K", 4, "503K may be"},
                  {"10.3", 5, "a unit"}});
  check_refusals(as_capacitance, {{"330", 3, "33 pF or 330 pF"},
                                  {"022", 1, "1 to 9"},
                                  {"229", 3, "no agreed meaning"},
                                  {"22", 3, "a prefix or unit"},
                                  {"1000", 5, "a prefix or unit"},
                                  {".022", 5, "a prefix or unit"},
                                  {"10.4", 5, "a prefix or unit"},
                                  {"223k", 4, "a prefix or unit"},
                                  {"500 kOhm", 5, "a prefix or unit"}});
}

TEST_CASE("as people write it") {
  check_readings<resistance>({{"500k", 500e3},
                              {"250 kΩ", 250e3},
                              {"250k\xE2\x84\xA6", 250e3}, // U+2126
                              {"250kohm", 250e3},
                              {"10 kOhm", 10e3},
                              {"10 kohms", 10e3},
                              {"10KOHM", 10e3},
                              {"1 Meg", 1e6},
                              {"2.2megohm", 2.2e6},
                              {"1MEG", 1e6},
                              {"1.5MΩ", 1.5e6},
                              {"4.7k", 4700},
                              {".5k", 500},
                              {"7.4 kΩ", 7400},
                              {"4k7 Ω", 4700},
                              {"4k7ohm", 4700},
                              {"470 mΩ", 0.47},
                              {"100 R", 100},
                              {"4700.5", 4700.5},
                              {"0", 0},
                              {"0R0", 0},
                              {"0.0 kΩ", 0},
                              {"1e3", 1000},
                              {"1E+3 Ω", 1000},
                              {"22e-3ohm", 22e-3},
                              {"\t 47 k\t", 47e3},
                              {"0047k", 47e3},
                              {"10\xC2\xA0kΩ", 10e3},       // no-break space
                              {"10\xE2\x80\xAFkΩ", 10e3},   // narrow no-break space
                              {"10\xE2\x80\x89kΩ", 10e3}}); // thin space
  check_readings<capacitance>({{".022uF", 22e-9},
                               {"0.022 µF", 22e-9},
                               {"0.022 \xCE\xBC"
                                "F",
                                22e-9},
                               {"22 nF", 22e-9},
                               {"22nf", 22e-9},
                               {"22NF", 22e-9},
                               {"100PF", 100e-12},
                               {".1UF", 0.1e-6},
                               {"110 pF", 110e-12},
                               {"22e-9", 22e-9},
                               {"22e-9 F", 22e-9},
                               {"1 mF", 1e-3},
                               {"104 F", 104},
                               {"0", 0},
                               {"0 F", 0}});
  check_readings<inductance>(
      {{"3.1 H", 3.1}, {"3.1H", 3.1}, {"3.1", 3.1}, {"470 mH", 0.47}, {"22 µH", 22e-6}, {"5nH", 5e-9}});
  check_readings<frequency>(
      {{"440 Hz", 440}, {"5 kHz", 5e3}, {"5k", 5e3}, {"5KHZ", 5e3}, {"3.4e3", 3400}, {"1.2 MHz", 1.2e6}});
  check_readings<length>({{"6 m", 6},
                          {"6m", 6},
                          {"6", 6},
                          {"6m5", 6.5},
                          {"30 cm", 0.3},
                          {"3mm", 3e-3},
                          {"63 µm", 63e-6},
                          {"1 ft", 0.3048}, // exact: NIST SP 811, 2008, appendix B
                          {"20ft", 6.096},
                          {"10 feet", 3.048},
                          {"0.5 foot", 0.1524},
                          {"1 km", 1e3}});
  check_readings<capacitance_per_length>(
      {{"95 pF/m", 95e-12}, {"95pf/m", 95e-12}, {"0.1 nF/m", 0.1e-9}, {"95e-12", 95e-12}});
  check_readings<resistance_per_length>({{"40 mΩ/m", 0.04}, {"40mohm/m", 0.04}, {"0.04 Ω/m", 0.04}});
  check_readings<inductance_per_length>({{"0.3 µH/m", 0.3e-6}, {"300 nH/m", 300e-9}});
  check_readings<voltage>({{"9 V", 9}, {"9V", 9}, {"3V3", 3.3}, {"100 mV", 0.1}, {"20 µV", 20e-6}});
  check_readings<current>({{"300 µA", 300e-6}, {"300uA", 300e-6}, {"1.5mA", 1.5e-3}, {"4 pA", 4e-12}});
  check_readings<duration>({{"10 ms", 10e-3}, {"3600 s", 3600}, {"1e-6", 1e-6}});
  check_readings<conductance>({{"2 µS", 2e-6}, {"1.5 mS", 1.5e-3}});
  check_readings<power>({{"250 mW", 0.25}, {"0.5 W", 0.5}});
  check_readings<temperature>({{"290 K", 290}, {"290", 290}});

  // By name, with the literals of the same text.
  CHECK(read_resistance("500 kΩ") == 500_kOhm);
  CHECK(read_capacitance("110 pF") == 110_pF);
  CHECK(read_inductance("3.1 H") == 3.1_H);
  CHECK(read_frequency("5 kHz") == 5_kHz);
  CHECK(read_length("6 m") == 6_m);
  CHECK(read_capacitance_per_length("95 pF/m") == 95_pF_per_m);
  CHECK(read_voltage("100 mV") == 100_mV);
  CHECK(read_current("300 µA") == 300_uA);
  CHECK(read_duration("10 ms") == 10_ms);
}

TEST_CASE("tolerance after the value") {
  const auto ohms = [](std::string_view text) { return read_marking<resistance>(text); };
  const auto farads = [](std::string_view text) { return read_marking<capacitance>(text); };
  CHECK(ohms("4k7J").value == 4.7_kOhm);
  CHECK(ohms("4k7J").tolerance == tolerance::symmetric(0.05));
  CHECK(read_resistance("4k7J") == 4.7_kOhm);
  CHECK_FALSE(ohms("4k7").tolerance.has_value());

  // The first letter after the digits belongs to the value.
  CHECK(ohms("47K").value == 47_kOhm);
  CHECK_FALSE(ohms("47K").tolerance.has_value());
  CHECK(ohms("47KK").value == 47_kOhm);
  CHECK(ohms("47KK").tolerance == tolerance::symmetric(0.1));
  CHECK(ohms("10M").value == 10_MOhm);
  CHECK(ohms("1M0M").value == 1_MOhm);
  CHECK(ohms("1M0M").tolerance == tolerance::symmetric(0.2));
  CHECK(ohms("R47F").tolerance == tolerance::symmetric(0.01));
  CHECK(ohms("2R2 G").tolerance == tolerance::symmetric(0.02));
  CHECK(ohms("10 kΩ K").tolerance == tolerance::symmetric(0.1));

  // A capacitance has no kilo and no mega.
  CHECK(farads("223K").value == 22_nF);
  CHECK(farads("223K").tolerance == tolerance::symmetric(0.1));
  CHECK(farads("473K").value == 47_nF);
  CHECK(farads("473 M").tolerance == tolerance::symmetric(0.2));
  CHECK(farads("104Z").tolerance == tolerance{0.2, 0.8});
  CHECK(farads("22nK").tolerance == tolerance::symmetric(0.1));
  CHECK(farads("000K").value == 0_F);

  // F: the unit after a number or a prefix, ±1 % after the digits of a code.
  CHECK(farads("22nF").value == 22_nF);
  CHECK_FALSE(farads("22nF").tolerance.has_value());
  CHECK(farads("22nFF").tolerance == tolerance::symmetric(0.01));
  CHECK(farads("4n7F").value == 4.7_nF);
  CHECK(farads("4n7F").tolerance == tolerance::symmetric(0.01));
  CHECK(farads("104F").value == 100_nF);
  CHECK(farads("104F").tolerance == tolerance::symmetric(0.01));

  // Below 10 pF the letters B C D F G are picofarads.
  REQUIRE(farads("4p7D").tolerance.has_value());
  CHECK(farads("4p7D").tolerance->minus == doctest::Approx(0.5 / 4.7).epsilon(1e-12));
  CHECK(farads("4.7 pF D").tolerance == farads("4p7D").tolerance);
  CHECK(farads("4p7K").tolerance == tolerance::symmetric(0.1));
  CHECK(farads("47pD").tolerance == tolerance::symmetric(0.005));

  // In words.
  CHECK(ohms("500k ±20 %").tolerance == tolerance::symmetric(0.2));
  CHECK(ohms("500k 20%").tolerance == tolerance::symmetric(0.2));
  CHECK(ohms("4.7k5%").value == 4.7_kOhm);
  CHECK(farads("22 nF -20/+80 %").tolerance == tolerance{0.2, 0.8});
  CHECK(farads("104 ±10%").value == 100_nF);
  CHECK(read_marking<inductance>("3.1 H ±10 %").tolerance == tolerance::symmetric(0.1));

  check_refusals(as_resistance, {{"470J", 4, "a unit"},
                                 {"470 5%", 5, "a unit"},
                                 {"4k7JJ", 4, "a tolerance"},
                                 {"4k7J k", 6, "the end"},
                                 {"4k7 5", 6, "%"},
                                 {"4k7 ±", 6, "percent"},
                                 {"4k7 ±150 %", 5, "at most 100 %"},
                                 {"4k7 +5", 7, "the minus side"}});
  check_refusals([](std::string_view text) { return read_frequency(text); }, {{"5 kHz J", 7, "the end"}});
}

TEST_CASE("bad text: what and where") {
  check_refusals(as_resistance, {{"", 1, "not an empty text"},
                                 {"   ", 4, "not an empty text"},
                                 {"k", 1, "a number"},
                                 {"R", 1, "a number"},
                                 {"Ω", 1, "a number"},
                                 {"4k7k", 4, "a tolerance"},
                                 {"1e400", 1, "a size that a double holds"},
                                 {"1e99999999999999999999", 1, "a size that a double holds"},
                                 {"1e-400", 1, "a size that a double holds"},
                                 {"4e-320", 1, "a size that a double holds"},
                                 {"1e308 Ω Ω", 9, "a tolerance"},
                                 {"--5k", 1, "without a sign"},
                                 {"-5k", 1, "without a sign"},
                                 {"\xE2\x88\x92"
                                  "5k",
                                  1, "without a sign"},
                                 {"+5k", 1, "without a sign"},
                                 {"4,7k", 2, "not a comma"},
                                 {"NaN", 1, "a number"},
                                 {"nan", 1, "a number"},
                                 {"inf", 1, "a number"},
                                 {"infinity", 1, "a number"},
                                 {"0x10", 2, "a unit"},
                                 {"1_000", 2, "a unit"},
                                 {"1'000", 2, "a unit"},
                                 {"1 000", 3, "a unit"},
                                 {"22 nF", 4, "Ω, ohm or R"},
                                 {"3.1H", 4, "Ω, ohm or R"},
                                 {"5kHz", 3, "a tolerance"},
                                 {"1m", 2, "m only with its unit"},
                                 {"4..7k", 3, "a digit after the point"},
                                 {"4.k", 3, "a digit after the point"},
                                 {".", 2, "a digit after the point"},
                                 {"4.7k5", 6, "%"},
                                 {"4 k7", 5, "%"},
                                 {"4R7Ω", 4, "a tolerance"},
                                 {"1e3k", 4, "without a prefix"},
                                 {"1e3Meg", 4, "without a prefix"},
                                 {"1e", 2, "a unit"},
                                 {"47E", 3, "a unit"},
                                 {"4k7 # tone", 5, "a tolerance"},
                                 {"4k7\n", 4, "a tolerance"},
                                 {"Ω4k7", 3, "a tolerance"},
                                 // Columns are characters, not bytes: the second word begins at the fifth.
                                 {"1 Ω Ω", 5, "a tolerance"},
                                 {"4k7\xE2\x82", 4, "a tolerance"},
                                 {"\xC3\xA9\xF0\x9F\x8E\xB8", 1, "a number"},
                                 {"10 \xF0\x9F\x8E\xB8", 4, "a unit"}});
  check_refusals(as_resistance, {{std::string_view{"4k7\0", 4}, 4, "a tolerance"},
                                 {std::string_view{"4\0k7", 4}, 2, "a unit"},
                                 {std::string_view{"\0", 1}, 1, "a number"}});
  check_refusals(as_capacitance, {{"500k", 4, "a prefix or unit"},
                                  {"22 kΩ", 4, "a prefix or unit"},
                                  {"1M", 2, "a prefix or unit"},
                                  {".05 MFD", 5, "old drawings"},
                                  {".05mf", 4, "old drawings"},
                                  {"nan", 1, "a number"}});
  check_refusals(
      as_inductance,
      {{"3.1 k", 5, "mH or H"}, {"22 nF", 5, "mH or H"}, {"4n7F", 4, "mH or H"}, {"3.1 MH", 5, "mH or H"}});
  check_refusals([](std::string_view text) { return read_length(text); }, {{"6k", 2, "km"},
                                                                           {"6 M", 3, "km"},
                                                                           {"6 fee", 3, "ft"},
                                                                           {"6 ftt", 5, "the end"},
                                                                           {"6kft", 2, "ft"},
                                                                           {"ft", 1, "a number"},
                                                                           {"-6 m", 1, "sign"},
                                                                           {"6 m 5", 5, "the end"}});
  check_refusals([](std::string_view text) { return read_capacitance_per_length(text); },
                 {{"95", 3, "pF/m"}, {"95p", 3, "pF/m"}, {"95 pF", 4, "pF/m"}});
  check_refusals([](std::string_view text) { return read_duration(text); },
                 {{"5m", 2, "ms or s"}, {"5 h", 3, "ms or s"}});
}

TEST_CASE("bad text: the message is safe and names the parameter") {
  try {
    static_cast<void>(read_resistance("4,7k", "volume.total"));
    FAIL_CHECK("was read");
  } catch (const text_error& error) {
    CHECK(error.parameter() == "volume.total");
    CHECK(
        std::string_view{error.what()} ==
        "volume.total: \"4,7k\" is no value: at column 2, expected a point before the decimals, not a comma");
  }
  try {
    static_cast<void>(read_resistance(std::string_view{"\x1b[31m\0\"\\\xff\xC3\xA9µΩ", 15}));
    FAIL_CHECK("was read");
  } catch (const std::invalid_argument& error) {
    CHECK(std::string_view{error.what()} == "resistance: \"\\x1b[31m\\x00\\\"\\\\\\xff\\xc3\\xa9µΩ\" is no "
                                            "value: at column 1, expected a number");
  }

  // A long text is not looked at, and not repeated.
  const std::string digits(10'000'000, '7');
  for (const std::string& text : {digits, std::string(10'000'000, '\0'), std::string(65, ' ')}) {
    try {
      static_cast<void>(read_resistance(text));
      FAIL_CHECK("was read");
    } catch (const text_error& error) {
      CHECK(error.column() == 65);
      CHECK(std::string_view{error.what()}.size() < 400);
      CHECK(std::string_view{error.what()}.find("64 bytes") != std::string_view::npos);
    }
  }
  // A character across the limit is one column, and the one at fault.
  for (const std::string_view across : {"Ω", "\u2126", "\U0001f3b8", "\U0001f3b8Ω"}) {
    const std::string text = std::string(63, '7').append(across);
    CAPTURE(text);
    try {
      static_cast<void>(read_tolerance(text));
      FAIL_CHECK("was read");
    } catch (const text_error& error) {
      CHECK(error.column() == 64);
    }
  }
  CHECK(read_resistance(std::string(61, '0') + "7Ω") == 7_Ohm);
  CHECK(read_resistance(std::string(62, ' ') + "7k") == 7_kOhm);
  CHECK(read_resistance(std::string(63, '0') + "7") == 7_Ohm);
}

TEST_CASE("writing marking codes") {
  CHECK(write_marking(4.7_kOhm) == "4k7");
  CHECK(write_marking(25.6_kOhm) == "25k6");
  CHECK(write_marking(25.6167_kOhm) == "25k6167");
  CHECK(write_marking(470_kOhm) == "470k");
  CHECK(write_marking(47_kOhm) == "47k");
  CHECK(write_marking(0.47_Ohm) == "R47");
  CHECK(write_marking(0.5_Ohm) == "R50");
  CHECK(write_marking(0.0047_Ohm) == "R0047");
  CHECK(write_marking(2.2_Ohm) == "2R2");
  CHECK(write_marking(470_Ohm) == "470R");
  CHECK(write_marking(1_MOhm) == "1M0");
  CHECK(write_marking(10_MOhm) == "10M");
  CHECK(write_marking(1_GOhm) == "1G0");
  CHECK(write_marking(0_Ohm) == "0R0");
  CHECK(write_marking(22_nF) == "22n");
  CHECK(write_marking(0.022_uF) == "22n");
  CHECK(write_marking(0.33_pF) == "p33");
  CHECK(write_marking(330_pF) == "330p");
  CHECK(write_marking(3.3_uF) == "3µ3");
  CHECK(write_marking(104_F) == "104F0");
  CHECK(write_marking(0_F) == "0F0");
  CHECK(write_marking(3.1_H) == "3H1");
  CHECK(write_marking(470_mH) == "470m");
  CHECK(write_marking(0_H) == "0H0");
  // Beyond the letters.
  CHECK(write_marking(resistance::from_value(4.7e-5)) == "4.7e-5 Ω");
  CHECK(write_marking(resistance::from_value(1e15)) == "1e15 Ω");
  CHECK(write_marking(capacitance::from_value(1e-17)) == "1e-17 F");
  CHECK(write_marking(capacitance::from_value(1000)) == "1e3 F");
}

TEST_CASE("writing as people do") {
  CHECK(write_quantity(4.7_kOhm) == "4.7 kΩ");
  CHECK(write_quantity(0.47_Ohm) == "470 mΩ");
  CHECK(write_quantity(1_MOhm) == "1 MΩ");
  CHECK(write_quantity(22_nF) == "22 nF");
  CHECK(write_quantity(0.33_pF) == "0.33 pF");
  CHECK(write_quantity(3.3_uF) == "3.3 µF");
  CHECK(write_quantity(3.1_H) == "3.1 H");
  CHECK(write_quantity(95_pF_per_m) == "95 pF/m");
  CHECK(write_quantity(6_m) == "6 m");
  CHECK(write_quantity(30_cm) == "300 mm");
  CHECK(write_quantity(440_Hz) == "440 Hz");
  CHECK(write_quantity(0.5_Hz) == "0.5 Hz");
  CHECK(write_quantity(290_K) == "290 K");
  CHECK(write_quantity(duration::from_value(3600)) == "3600 s");
  CHECK(write_quantity(duration::from_value(1e6)) == "1e6 s");
  CHECK(write_quantity(0_Ohm) == "0 Ω");
  CHECK(write_quantity(resistance::from_value(1e18)) == "1e18 Ω");
}

TEST_CASE("what is no value is not written") {
  const double bad[] = {-1, std::bit_cast<double>(std::uint64_t{0x7ff8'0000'0000'0000U}), open_value,
                        -open_value};
  for (const double value : bad) {
    CHECK_THROWS_AS(static_cast<void>(write_marking(resistance::from_value(value))), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(write_quantity(capacitance::from_value(value))), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(write_tolerance({value, 0.1})), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(write_tolerance({0.1, value})), invalid_value);
  }
  CHECK_THROWS_AS(static_cast<void>(write_tolerance({1.5, 1.5})), invalid_value);
}

namespace {

template <class Q>
bool comes_back(double value) {
  const Q q = Q::from_value(value);
  bool same = read_quantity<Q>(write_quantity(q)).value() == value;
  if constexpr (detail::Marked<Q>) {
    const auto mark = read_marking<Q>(write_marking(q));
    const auto trade = read_marking<Q>(write_quantity(q));
    same = same && mark.value.value() == value && !mark.tolerance && trade.value.value() == value &&
           !trade.tolerance;
  }
  return same;
}

} // namespace

TEST_CASE("what was written reads back, bit for bit") {
  random_bits next{1};
  int lost = 0;
  // Every normal double, then the sizes that parts have.
  for (std::size_t i = 0; i < check::draws(20'000); ++i) {
    const double any = random_double(next, -1022, 1023), usual = random_double(next, -50, 50);
    for (const double value : {any, usual}) {
      lost += !comes_back<resistance>(value) + !comes_back<capacitance>(value) +
              !comes_back<inductance>(value) + !comes_back<frequency>(value) + !comes_back<length>(value) +
              !comes_back<capacitance_per_length>(value) + !comes_back<temperature>(value);
    }
  }
  for (const double value : {0x1p-1022, 1.7976931348623157e308, 1.0, 999.0, 999.9999999999999, 1000.0, 0.001})
    lost += !comes_back<resistance>(value) + !comes_back<capacitance>(value) + !comes_back<voltage>(value);
  // Whole farads look like three-digit codes.
  for (int i = 1; i < 2000; ++i) lost += !comes_back<capacitance>(i) + !comes_back<capacitance>(i * 1e-12);
  CHECK(lost == 0);
}

TEST_CASE("a text reads as the same double as the literal") {
  CHECK(read_resistance("4.7 kΩ") == 4.7_kOhm);
  CHECK(read_resistance("25k6167") == 25.6167_kOhm);
  CHECK(read_capacitance("29.1 pF") == 29.1_pF); // 29.1 and the next two: a product rounds to the neighbour
  CHECK(read_capacitance("52n1") == 52.1_nF);
  CHECK(read_inductance("2.877 mH") == 2.877_mH);
  CHECK(read_capacitance(".022uF") == 22_nF);
  CHECK(read_length("30 cm") == 300_mm);
}

TEST_CASE("preferred values of all decades are read as they were written") {
  int lost = 0;
  for (int n = -18 * 192; n <= 18 * 192; ++n) {
    const auto r = preferred_value<resistance>(e_series::e192, n);
    const auto c = preferred_value<capacitance>(e_series::e192, n);
    lost += !comes_back<resistance>(r.value()) + !comes_back<capacitance>(c.value());
    // The code holds no more than the three digits (and the zeros that fill it up).
    if (n >= -12 * 192 && n < 3 * 192) lost += write_marking(c).size() > 6;
  }
  CHECK(lost == 0);
}

TEST_CASE("any bytes give a value or a text_error") {
  random_bits next{2};
  constexpr std::string_view alphabet[] = {"0",    "1",    "4",       "7", "9", ".",        ",",
                                           "e",    "E",    "+",       "-", " ", "k",        "K",
                                           "M",    "R",    "p",       "n", "u", "m",        "F",
                                           "J",    "%",    "/",       "H", "z", "s",        "V",
                                           "Meg",  "ohm",  "Ω",       "µ", "±", "\xCE\xBC", "\xE2\x88\x92",
                                           "\xFF", "\xC2", "\xF0\x9F"};
  std::size_t values = 0, errors = 0;
  int wrong = 0;
  const auto feed = [&](auto read, const std::string& text) {
    try {
      const double value = read(text);
      ++values;
      wrong += !is_finite(value);
    } catch (const text_error& error) {
      ++errors;
      wrong += error.column() < 1 || error.column() > text.size() + 1;
      for (const char c : std::string_view{error.what()}) wrong += static_cast<unsigned char>(c) < ' ';
    }
  };
  for (std::size_t i = 0; i < check::draws(60'000); ++i) {
    std::string text;
    const auto count = next() % 9;
    for (std::uint64_t c = 0; c < count; ++c) {
      if (i % 3 == 0)
        text += static_cast<char>(next() & 0xffU);
      else
        text += alphabet[next() % std::size(alphabet)];
    }
    if (i % 50 == 0) text.append(next() % 80, static_cast<char>('0' + next() % 10));
    feed([](const std::string& t) { return read_resistance(t).value(); }, text);
    feed([](const std::string& t) { return read_marking<capacitance>(t).value.value(); }, text);
    feed([](const std::string& t) { return read_three_digit_code<resistance>(t).value.value(); }, text);
    feed([](const std::string& t) { return read_length(t).value(); }, text);
    feed([](const std::string& t) { return read_capacitance_per_length(t).value(); }, text);
    feed([](const std::string& t) { return read_tolerance(t).plus; }, text);
    feed([](const std::string& t) { return read_decibel(t).value(); }, text);
    feed([](const std::string& t) { return read_percentage(t); }, text);
  }
  CHECK(wrong == 0);
  CHECK(values > check::draws(1000));
  CHECK(errors > check::draws(1000));
}

TEST_CASE("levels and percentages") {
  CHECK(read_decibel("-3 dB") == -3_dB);
  CHECK(read_decibel("+6dB") == 6_dB);
  CHECK(read_decibel("-0.5") == -0.5_dB);
  CHECK(read_decibel("\xE2\x88\x92"
                     "20 dB") == -20_dB);
  CHECK(read_decibel("0") == 0_dB);
  CHECK(read_percentage("15 %") == 0.15);
  CHECK(read_percentage("5%") == 0.05);
  CHECK(read_percentage("0.01 %") == 0.0001);
  CHECK(read_percentage("0%") == 0);
  check_refusals([](std::string_view text) { return read_decibel(text); }, {{"", 1, "decibels"},
                                                                            {"--3", 2, "decibels"},
                                                                            {"dB", 1, "decibels"},
                                                                            {"3 dBm", 5, "the unit dB"},
                                                                            {"3,5 dB", 2, "not a comma"},
                                                                            {"1e999", 1, "a double"},
                                                                            {"3 %", 3, "the unit dB"}});
  check_refusals([](std::string_view text) { return read_percentage(text); },
                 {{"", 1, "percent"}, {"15", 3, "%"}, {"-5 %", 1, "percent"}, {"5 % %", 5, "the end"}});
}

TEST_CASE("no locale changes what is read or written") {
  // Decimal commas, where the machine has such a locale; without one this only repeats the checks.
  for (const char* name : {"C", "de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "da_DK.UTF-8"}) {
    if (!std::setlocale(LC_ALL, name)) continue;
    CHECK(read_resistance("4.7k") == 4.7_kOhm);
    CHECK(write_quantity(4.7_kOhm) == "4.7 kΩ");
    CHECK(write_marking(4.7_kOhm) == "4k7");
  }
  std::setlocale(LC_ALL, "C");
}

TEST_CASE("reading a good text allocates nothing") {
  double sum = 0;
  CHECK(allocations_of([&] {
          sum += read_resistance("4k7").value() + read_capacitance("0.022 µF ±10 %").value();
          sum += read_three_digit_code<resistance>("504").value.value() + read_decibel("-3 dB").value();
        }) == 0);
  CHECK(sum > 0);
  // The counter does count.
  std::string text;
  CHECK(allocations_of([&] { text.assign(100, 'x'); }) == 1);
  CHECK(text.size() == 100);
}
