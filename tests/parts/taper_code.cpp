// SPDX-License-Identifier: BSL-1.0
#include <concepts>
#include <string>
#include <utility>

#include <doctest/doctest.h>

#include <lodewire/parts/taper_code.hpp>
#include <lodewire/quantity/literals.hpp>

using namespace lodewire;
using namespace lodewire::literals;
using enum marking_world;

// A letter alone says nothing: A is audio today and linear in older Europe, so there is no default world.
template <class Text>
concept ReadAlone = requires(Text t) {
  read_taper(t);
}
|| requires(Text t) { read_potentiometer(t); };
static_assert(!ReadAlone<const char*>);
static_assert(requires(const char* t) { read_taper(t, today); });

namespace {

template <class F>
std::string error_of(F f) {
  try {
    f();
  } catch (const text_error& error) {
    return "column " + std::to_string(error.column()) + " of " + error.parameter();
  }
  return "no error";
}

std::string taper_error(const char* text, marking_world world = today) {
  return error_of([&] { (void)read_taper(text, world); });
}

std::string stamp_error(const char* text, marking_world world = today) {
  return error_of([&] { (void)read_potentiometer(text, world); });
}

} // namespace

TEST_CASE("the same letter in four worlds") {
  // support.banzaimusic.com/article/19-potentiometer-codes; audiobanter.com post 842900 (JIS: A log, B linear, C
  // reverse log).
  CHECK(read_taper("B", today) == linear_taper);
  CHECK(read_taper("A", today) == audio_taper);
  CHECK(read_taper("C", today) == reverse_audio_taper);
  // A public digital-potentiometer driver (github jsoref/MCP4X51_PICO README): M, N, W.
  CHECK(read_taper("M", today) == blend_m_taper);
  CHECK(read_taper("N", today) == blend_n_taper);
  CHECK(read_taper("W", today) == taper::s_shaped(0.15)); // how strongly bent: no source, as the audio law
  // The same banzaimusic article (A linear, B log, Y negative log); component maker's data sheet, manualshelf.com
  // page 72: linear (A), log (B), antilog (C). F: an alternative letter of the same kind.
  CHECK(read_taper("A", older_european) == linear_taper);
  CHECK(read_taper("B", older_european) == audio_taper);
  CHECK(read_taper("C", older_european) == reverse_audio_taper);
  CHECK(read_taper("Y", older_european) == reverse_audio_taper);
  CHECK(read_taper("F", older_european) == reverse_audio_taper);
  // precisionelectronics.com 0-40a-010c: U linear, A log, B reverse log.
  CHECK(read_taper("U", us_series) == linear_taper);
  CHECK(read_taper("A", us_series) == audio_taper);
  CHECK(read_taper("B", us_series) == reverse_audio_taper);
  // MIL-PRF-94G §3.5.4.1: taper A is linear; C (clockwise) and F (counter-clockwise) from memory.
  CHECK(read_taper("A", mil_r_94) == linear_taper);
  CHECK(read_taper("C", mil_r_94) == audio_taper);
  CHECK(read_taper("F", mil_r_94) == reverse_audio_taper);
  // The trap: A and B change places.
  CHECK(read_taper("A", today) == read_taper("B", older_european));
  CHECK(read_taper("B", today) == read_taper("A", older_european));
}

TEST_CASE("the number is the percent of the track at half travel") {
  // audiobanter.com post 842900: 10C, 15C, "A15".
  for (const char* text : {"15A", "A15", " 15 A ", "A 15", "15.0A"}) {
    CAPTURE(text);
    CHECK(read_taper(text, today) == taper::audio(0.15));
  }
  CHECK(read_taper("10A", today) == taper::audio(0.10));
  CHECK(read_taper("A20", today) == taper::audio(0.20));
  CHECK(read_taper("7.5A", today) == taper::audio(0.075));
  CHECK(read_taper("10C", today) == taper::reverse_audio(0.10));
  CHECK(read_taper("C15", today) == taper::reverse_audio(0.15));
  CHECK(read_taper("15B", older_european) == taper::audio(0.15));
  CHECK(read_taper("10F", mil_r_94) == taper::reverse_audio(0.10));
  CHECK(read_taper("A", today) == read_taper("15A", today));
  // electrongen.blogspot.com: '1B' is the straight line on a maker's chart.
  CHECK(read_taper("1B", today) == linear_taper);
  CHECK(read_taper("50B", today) == linear_taper);
}

TEST_CASE("a text that is no law is refused with its column") {
  CHECK(taper_error("") == "column 1 of taper");
  CHECK(taper_error("X") == "column 1 of taper");
  CHECK(taper_error("a") == "column 1 of taper");
  CHECK(taper_error("U") == "column 1 of taper");
  CHECK(taper_error("A", us_series) == "no error");
  CHECK(taper_error("M", older_european) == "column 1 of taper");
  CHECK(taper_error("B", mil_r_94) == "column 1 of taper");
  CHECK(taper_error("15") == "column 3 of taper");
  CHECK(taper_error("15X") == "column 3 of taper");
  CHECK(taper_error("15A15") == "column 4 of taper");
  CHECK(taper_error("A15A") == "column 4 of taper");
  CHECK(taper_error("AB") == "column 2 of taper");
  CHECK(taper_error("60A") == "column 1 of taper");
  CHECK(taper_error("A0") == "column 2 of taper");
  CHECK(taper_error("30B") == "column 1 of taper");
  CHECK(taper_error("A,5") == "column 2 of taper");
  CHECK(taper_error("10M") == "column 1 of taper");
  CHECK(taper_error("-15A") == "column 1 of taper");
  CHECK_THROWS_WITH((void)read_taper("15X", today),
                    "taper: \"15X\" is no value: at column 3, expected a law's letter of "
                    "today's trade (A, B, C, M, N or W)");
}

TEST_CASE("law and total from a stamp") {
  const auto reads = [](const char* text, marking_world world, const taper& law, resistance total,
                        double tolerance = 0.20) {
    CAPTURE(text);
    CHECK(read_potentiometer(text, world) ==
          potentiometer{.total = total, .law = law, .tolerance = tolerance});
  };
  reads("A250k", today, audio_taper, 250_kOhm);
  reads("B500k", today, linear_taper, 500_kOhm);
  reads("B500K", today, linear_taper, 500_kOhm);
  reads("250kA", today, audio_taper, 250_kOhm);
  reads("500KB", today, linear_taper, 500_kOhm);
  reads("A 1 MΩ", today, audio_taper, 1_MOhm);
  reads("1MA", today, audio_taper, 1_MOhm);
  reads("1M5A", today, audio_taper, 1.5_MOhm);
  reads("C10k", today, reverse_audio_taper, 10_kOhm);
  reads("M250k", today, blend_m_taper, 250_kOhm);
  reads("N250k", today, blend_n_taper, 250_kOhm);
  reads("A250kM", today, audio_taper, 250_kOhm, 0.20); // behind a law, M is the tolerance
  reads("15A250k", today, taper::audio(0.15), 250_kOhm);
  reads("10 A 500 k", today, taper::audio(0.10), 500_kOhm);
  reads("10B500k", older_european, taper::audio(0.10), 500_kOhm);
  reads("A250k", older_european, linear_taper, 250_kOhm);
  reads("250kB", older_european, audio_taper, 250_kOhm);
  reads("U500K", us_series, linear_taper, 500_kOhm);
  reads("C250K", mil_r_94, audio_taper, 250_kOhm);
  // Three-digit codes, two digits and a number of zeros: 504 is 500 kΩ (wiki of a component-mark decoder library).
  reads("B504", today, linear_taper, 500_kOhm);
  reads("504B", today, linear_taper, 500_kOhm);
  reads("B 103", today, linear_taper, 10_kOhm);
  reads("B\t504", today, linear_taper, 500_kOhm);
  reads("B\xC2\xA0"
        "504", // a no-break space
        today, linear_taper, 500_kOhm);
  // Tolerances, letters of IEC 60062.
  reads("A504J", today, audio_taper, 500_kOhm, 0.05);
  reads("A250k ±10 %", today, audio_taper, 250_kOhm, 0.10);
  reads("B504 ±10 %", today, linear_taper, 500_kOhm, 0.10);
  reads("504J A", today, audio_taper, 500_kOhm, 0.05);
  reads("B 500 kΩ -10/+30%", today, linear_taper, 500_kOhm, 0.30);
}

TEST_CASE("a stamp that says too little, or two things, is refused with its column") {
  CHECK(stamp_error("") == "column 1 of potentiometer");
  CHECK(stamp_error("   ") == "column 4 of potentiometer");
  CHECK(stamp_error("A") == "column 2 of potentiometer.total");
  CHECK(stamp_error("250k") == "column 5 of potentiometer");
  CHECK(stamp_error("250 kΩ") == "column 7 of potentiometer");
  CHECK(stamp_error("X250k") == "column 1 of potentiometer");
  CHECK(stamp_error("U250k") == "column 1 of potentiometer");
  CHECK(stamp_error("Ω250kA") == "column 1 of potentiometer");
  CHECK(stamp_error("A250q") == "column 2 of potentiometer.total");
  CHECK(stamp_error("A4,7k") == "column 3 of potentiometer.total");
  CHECK(stamp_error("4,7kA") == "column 2 of potentiometer.total");
  CHECK(stamp_error("A-250k") == "column 2 of potentiometer.total");
  CHECK(stamp_error("AB250k") == "column 2 of potentiometer.total");
  CHECK(stamp_error("A250kA") == "column 6 of potentiometer.total");
  CHECK(stamp_error("60A250k") == "column 1 of taper");
  CHECK(stamp_error("250kΩ±q A") == "column 7 of potentiometer.total");
  // No bare number of ohms: a reader would take 500 for 500 kΩ, the standard for 50 Ω.
  CHECK(stamp_error("B500") == "column 2 of potentiometer.total");
  CHECK(stamp_error("B500 ±10 %") == "column 2 of potentiometer.total");
  CHECK(stamp_error("500B") == "column 1 of potentiometer.total");
  CHECK(stamp_error("B2500") == "column 6 of potentiometer.total");
  CHECK(stamp_error("B50") == "column 4 of potentiometer.total");
  CHECK(stamp_error("A15") == "column 4 of potentiometer.total");
  CHECK(stamp_error("B504.0") == "column 7 of potentiometer.total");
  // A code with a tolerance, or a number with a prefix.
  CHECK(stamp_error("A503K") == "column 5 of potentiometer.total");
  CHECK(stamp_error("503KA") == "column 4 of potentiometer.total");
  CHECK(stamp_error(("A" + std::string(70, '1') + "k").c_str()) == "column 66 of potentiometer.total");
  // Mega, ±20 % or a blend? ±0.1 % or linear?
  CHECK(stamp_error("504M") == "column 4 of potentiometer");
  CHECK(stamp_error("250 kΩ N") == "column 8 of potentiometer");
  CHECK(stamp_error("1M") == "column 2 of potentiometer");
  CHECK(stamp_error("A500kB") == "column 2 of potentiometer");
  CHECK(stamp_error("A500k ±100 %") == "column 2 of potentiometer");
  CHECK_THROWS_WITH(
      (void)read_potentiometer("A250kA", today),
      "potentiometer.total: \"A250kA\" is no value: at column 6, expected a tolerance (a letter such as "
      "J, or ±5 %)");
}

TEST_CASE("the error lists the letters of the world that was named") {
  const std::pair<marking_world, const char*> rows[] = {
      {today, "today's trade (A, B, C, M, N or W)"},
      {older_european, "older European parts (A, B, C, F or Y)"},
      {us_series, "that US series (U, A or B)"},
      {mil_r_94, "MIL-R-94 (A, C or F)"},
  };
  for (const auto& [world, letters] : rows)
    CHECK_THROWS_WITH(
        (void)read_taper("X", world),
        (std::string("taper: \"X\" is no value: at column 1, expected a law's letter of ") + letters)
            .c_str());
}
