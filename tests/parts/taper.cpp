// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <limits>
#include <string>
#include <type_traits>
#include <vector>

#include <doctest/doctest.h>

#include <lodewire/parts/taper.hpp>
#include <lodewire/quantity/decibel.hpp>

#include "../check.hpp"

using namespace lodewire;
using check::error_of;

namespace {

bool close(double a, double b, double within) { return std::abs(a - b) <= within; }

const double not_a_number = std::numeric_limits<double>::quiet_NaN();

// A law measured on the bench, with dead zones, a steep part and a flat one.
const std::vector<taper_point> bench_points{{0, 0},      {0.05, 0},   {0.2, 0.02}, {0.45, 0.09}, {0.5, 0.13},
                                            {0.55, 0.6}, {0.6, 0.95}, {0.7, 0.95}, {0.95, 1},    {1, 1}};

std::vector<taper> every_law() {
  std::vector<taper> laws{
      linear_taper,         audio_taper,          reverse_audio_taper,          blend_m_taper,
      blend_n_taper,        taper::audio(0.001),  taper::reverse_audio(0.001),  taper::audio(0.05),
      taper::audio(0.4999), taper::audio(0.5),    taper::two_slopes(0.5, 0.13), taper::two_slopes(0.9, 0),
      taper::s_shaped(0.1), taper::s_shaped(0.5), taper::measured(bench_points)};
  for (std::size_t i = 0, count = laws.size(); i < count; ++i)
    laws.push_back(within_travel(laws[i], 270, 300));
  return laws;
}

} // namespace

// A rotation is said, never slipped in; a law takes nothing else and cannot throw.
static_assert(!std::is_convertible_v<double, rotation>);
static_assert(!std::is_default_constructible_v<rotation>);
static_assert(std::is_trivially_copyable_v<rotation>);
static_assert(std::is_invocable_v<taper, rotation>);
static_assert(!std::is_invocable_v<taper, double>);
static_assert(std::is_nothrow_invocable_v<const taper&, rotation>);
static_assert(std::is_nothrow_move_constructible_v<taper>);
static_assert(knob(7) == rotation{0.7} && knob(7).value() == 0.7);
static_assert(knob(3) < knob(3.5));
static_assert(taper{} == linear_taper);
static_assert(taper::audio(0.15) == audio_taper && taper::audio(0.1) != audio_taper);

TEST_CASE("a rotation is 0 to 1, a knob shows 0 to 10") {
  CHECK(knob(0).value() == 0);
  CHECK(close(knob(7).value(), 0.7, 1.2e-16)); // one last digit: -ffast-math multiplies by 0.1 instead
  CHECK(knob(10).value() == 1);
  CHECK(error_of([] { (void)knob(11); }) == "knob is 11; allowed: 0 to 10");
  CHECK(error_of([] { (void)knob(-0.5); }) == "knob is -0.5; allowed: 0 to 10");
  CHECK(error_of([] { (void)knob(not_a_number); }) == "knob is NaN; allowed: 0 to 10");
  CHECK(error_of([] { (void)rotation(1.01); }) == "rotation is 1.01; allowed: 0 to 1");
  CHECK(error_of([] { (void)rotation(not_a_number); }) == "rotation is NaN; allowed: 0 to 1");
  CHECK(error_of([] { (void)rotation(std::numeric_limits<double>::infinity()); }) ==
        "rotation is infinity; allowed: 0 to 1");
}

TEST_CASE("the exponential law with a stated fraction at half travel") {
  // Model y = (b^x - 1)/(b - 1), b = (1/m - 1)²: two general-purpose modelling libraries. The values are computed
  // from the formula, to five decimals.
  const struct {
    double m, b, at[5], db;
  } rows[] = {{0.05, 361, {0.00223, 0.00933, 0.05000, 0.22728, 0.55371}, -26.02},
              {0.10, 81, {0.00690, 0.02500, 0.10000, 0.32500, 0.63995}, -20.00},
              {0.15, 32.11111, {0.01333, 0.04437, 0.15000, 0.40144, 0.69744}, -16.48},
              {0.20, 16, {0.02130, 0.06667, 0.20000, 0.46667, 0.74172}, -13.98},
              {0.30, 5.444444, {0.04155, 0.11869, 0.30000, 0.57695, 0.80905}, -10.46}};
  const double travel[] = {0.10, 0.25, 0.50, 0.75, 0.90};
  for (const auto& row : rows) {
    CAPTURE(row.m);
    const taper law = taper::audio(row.m), reverse = taper::reverse_audio(row.m);
    for (int i = 0; i < 5; ++i) {
      CAPTURE(travel[i]);
      CHECK(close(law(rotation(travel[i])), row.at[i], 0.5001e-5));
      CHECK(close(reverse(rotation(1 - travel[i])), 1 - row.at[i], 0.5001e-5));
    }
    CHECK(close(law(knob(5)), row.m, 1e-15));
    CHECK(close(voltage_level(law(knob(5))).value(), row.db, 0.0051));
    // The two outer values give b back: y(3/4)/y(1/4) = √b + b^(1/4) + 1.
    const double root = std::sqrt(std::sqrt(row.b));
    CHECK(close(law(rotation(0.75)) / law(rotation(0.25)), root * root + root + 1, 1e-5));
  }
  // Exact rationals, computed from the formula: b = 81 and b = 16.
  CHECK(close(taper::audio(0.10)(knob(2.5)), 1.0 / 40, 1e-16));
  CHECK(close(taper::audio(0.10)(knob(7.5)), 13.0 / 40, 1e-15));
  CHECK(close(taper::audio(0.20)(knob(2.5)), 1.0 / 15, 1e-15));
  CHECK(close(taper::audio(0.20)(knob(7.5)), 7.0 / 15, 1e-15));
}

TEST_CASE("the common audio law agrees with a published table of steps") {
  // A public digital-potentiometer driver (github jsoref/MCP4X51_PICO README): law A has 40 % of the resistance
  // after the first 75 % of travel, law C 60 % after the first 25 %.
  CHECK(close(audio_taper(knob(7.5)), 0.40, 0.004));
  CHECK(close(reverse_audio_taper(knob(2.5)), 0.60, 0.004));
  CHECK(close(reverse_audio_taper(knob(2.5)), 0.59856, 0.5001e-5)); // computed from the formula
  CHECK(close(reverse_audio_taper(knob(5)), 0.85, 1e-15));
}

TEST_CASE("half at half travel is the straight line, and the way there is smooth") {
  for (double x = 0; x <= 1; x += 0.03125) {
    CAPTURE(x);
    CHECK(taper::audio(0.5)(rotation(x)) == x);
    CHECK(taper::reverse_audio(0.5)(rotation(x)) == x);
    CHECK(close(taper::s_shaped(0.5)(rotation(x)), x, 1e-16));
    for (const double e : {1e-3, 1e-6, 1e-9, 1e-12, 1e-15}) {
      CAPTURE(e);
      // First order: y - x = -4·e·x·(1 - x) for m = 1/2 - e; the second order is below e², a few roundings come on top.
      CHECK(close(taper::audio(0.5 - e)(rotation(x)), x - 4 * e * x * (1 - x), e * e + 4e-16));
    }
  }
}

TEST_CASE("two straight slopes with a knee") {
  // A measured 50 kΩ log track (zwizwa.be/-/synth/20101222-220023): 13 % at half travel, knee near 12 kΩ, so the
  // first slope, 0.26 a turn, ends at 12/50.
  const taper law = taper::two_slopes(0.24 / 0.26, 0.24);
  CHECK(close(law(knob(5)), 0.13, 1e-15));
  CHECK(close(law(rotation(0.24 / 0.26)), 12.0 / 50, 1e-15));
  CHECK(close(law(rotation(1 - (1 - 0.24 / 0.26) / 2)), 0.62, 1e-14)); // half way up the second slope
  CHECK(law(knob(0)) == 0);
  CHECK(law(knob(10)) == 1);
}

TEST_CASE("blend pair: both sections are full in the centre") {
  // A public digital-potentiometer driver (github jsoref/MCP4X51_PICO README): M reaches full travel in the first
  // half and stays, N is full in the first half and falls.
  CHECK(blend_m_taper(knob(5)) == 1);
  CHECK(blend_n_taper(knob(5)) == 1);
  CHECK(blend_m_taper(knob(2.5)) == 0.5);
  CHECK(blend_n_taper(knob(2.5)) == 1);
  CHECK(blend_m_taper(knob(7.5)) == 1);
  CHECK(blend_n_taper(knob(7.5)) == 0.5);
  CHECK(blend_m_taper(knob(0)) == 0);
  CHECK(blend_n_taper(knob(0)) == 1);
  CHECK(blend_m_taper(knob(10)) == 1);
  CHECK(blend_n_taper(knob(10)) == 0);
}

TEST_CASE("the S-shaped law: audio, straight, reverse audio, without a corner") {
  // The same README: W is audio-like in the first quarter, straight in the middle half, reverse audio in the last.
  const double m = 0.15;
  const taper law = taper::s_shaped(m);
  const double quarter = law(rotation(0.25));
  CHECK(close(law(rotation(0.125)), m * quarter, 1e-15));
  for (double x = 0.25; x <= 0.75; x += 0.0625)
    CHECK(close(law(rotation(x)), quarter + (x - 0.25) * 2 * (1 - 2 * quarter), 1e-15));
  for (double x = 0; x <= 1; x += 0.0625) CHECK(close(law(rotation(x)) + law(rotation(1 - x)), 1, 1e-15));
  const double h = 1e-6; // the same slope on both sides of a quarter
  const double before = (quarter - law(rotation(0.25 - h))) / h,
               after = (law(rotation(0.25 + h)) - quarter) / h;
  CHECK(close(before, after, 1e-4));
  CHECK(close(before, 2 - 4 * quarter, 1e-4));
}

TEST_CASE("electrical travel inside the mechanical travel") {
  // Data-sheet figures: 270° electrical (pdf.datasheet.directory, panel potentiometer), 300° mechanical
  // (firgellirobots.com, carbon log potentiometer). The mapping clamp((θ - 15)/270) is computed from them.
  const taper law = within_travel(linear_taper, 270, 300);
  for (double degrees = 0; degrees <= 300; degrees += 2.5) {
    CAPTURE(degrees);
    const double expected = degrees < 15 ? 0 : degrees > 285 ? 1 : (degrees - 15) / 270;
    CHECK(close(law(rotation(degrees / 300)), expected, 4e-16));
  }
  CHECK(law(rotation(0.05)) < 1e-15); // 5 % of the knob at either end do nothing
  CHECK(law(rotation(0.04)) == 0);
  CHECK(law(rotation(0.96)) == 1);
  CHECK(law(knob(5)) == 0.5);
  CHECK(within_travel(audio_taper, 300, 300) == audio_taper);
  CHECK(close(within_travel(audio_taper, 240, 300)(rotation(0.1 + 0.8 * 0.75)), audio_taper(rotation(0.75)),
              1e-15));
  CHECK(error_of([] { (void)within_travel(linear_taper, 310, 300); }) ==
        "electrical_degrees is 310; allowed: 0.3 to 300");
  CHECK(error_of([] { (void)within_travel(linear_taper, 270, not_a_number); }) ==
        "mechanical_degrees is NaN; allowed: 1 to 36000");
}

TEST_CASE("a measured law passes through its points and turns nowhere") {
  const taper law = taper::measured(bench_points);
  for (const auto& point : bench_points) {
    CAPTURE(point.rotation);
    CHECK(law(rotation(point.rotation)) == point.fraction);
  }
  double before = 0;
  for (int i = 0; i <= 20000; ++i) {
    const double y = law(rotation(i / 20000.0));
    CHECK_MESSAGE(y >= before - 1e-15, i);
    before = y;
  }
  CHECK(law(rotation(0.65)) == 0.95); // flat between equal points
  // Computed by hand from the slopes of Fritsch and Butland (SIAM J. Sci. Stat. Comput. 5 (1984) 300): for
  // (0, 0), (1/2, 1/10), (1, 1) they are 0, 9/25 and 13/5.
  const taper three = taper::measured(std::vector<taper_point>{{0, 0}, {0.5, 0.1}, {1, 1}});
  CHECK(close(three(rotation(0.25)), 0.0275, 1e-16));
  CHECK(close(three(rotation(0.75)), 0.41, 1e-15));
  // Unequal steps: (0, 0), (1/4, 1/10), (1, 1) have 1/5, 36/65 and 9/5.
  const taper uneven = taper::measured(std::vector<taper_point>{{0, 0}, {0.25, 0.1}, {1, 1}});
  CHECK(close(uneven(rotation(0.125)), 81.0 / 2080, 1e-16));
  CHECK(close(uneven(rotation(0.625)), 901.0 / 2080, 1e-15));
  const taper two = taper::measured(std::vector<taper_point>{{0, 0.25}, {1, 0.75}});
  CHECK(close(two(rotation(0.3)), 0.4, 1e-15));
  // Any table of a straight line is that line.
  const taper straight = taper::measured(std::vector<taper_point>{{0, 0}, {0.25, 0.25}, {0.3, 0.3}, {1, 1}});
  for (double x = 0; x <= 1; x += 0.01) CHECK(close(straight(rotation(x)), x, 1e-15));
  // Eleven points of a smooth law give it back within 0.2 % of the track.
  std::vector<taper_point> knobs;
  for (int i = 0; i <= 10; ++i) knobs.push_back({i / 10.0, audio_taper(knob(i))});
  const taper again = taper::measured(knobs);
  for (double x = 0; x <= 1; x += 0.01) CHECK(close(again(rotation(x)), audio_taper(rotation(x)), 0.002));
  CHECK(again == taper::measured(knobs));
  CHECK(again != law);
}

TEST_CASE("a table that is no law is refused with its entry") {
  const auto measured = [](std::vector<taper_point> points) {
    return error_of([&] { (void)taper::measured(points); });
  };
  CHECK(measured({{0, 0}, {0.5, 0.3}, {0.7, 0.2}, {1, 1}}) ==
        "taper.points[2].fraction is 0.2; allowed: 0.3 to 1"); // not monotone
  CHECK(measured({{0, 0}, {0.5, 0.3}, {0.5, 0.4}, {1, 1}}) ==
        "taper.points[2].rotation is 0.5; allowed: more than 0.5, up to 1");
  CHECK(measured({{0, 0}, {0.5, 0.3}, {0.4, 0.4}, {1, 1}}) ==
        "taper.points[2].rotation is 0.4; allowed: more than 0.5, up to 1");
  CHECK(measured({{0, 0}, {1.5, 0.3}, {1, 1}}) ==
        "taper.points[1].rotation is 1.5; allowed: more than 0, up to 1");
  CHECK(measured({{0.1, 0}, {1, 1}}) == "taper.points[0].rotation is 0.1; allowed: 0 to 0");
  CHECK(measured({{0, 0}, {0.9, 1}}) == "taper.points[1].rotation is 0.9; allowed: 1 to 1");
  CHECK(measured({{0, -0.1}, {1, 1}}) == "taper.points[0].fraction is -0.1; allowed: 0 to 1");
  CHECK(measured({{0, 0}, {1, 100}}) == "taper.points[1].fraction is 100; allowed: 0 to 1");
  CHECK(measured({{0, 0}, {0.5, not_a_number}, {1, 1}}) ==
        "taper.points[1].fraction is NaN; allowed: 0 to 1");
  CHECK(measured({{0, 0}, {not_a_number, 0.5}, {1, 1}}) ==
        "taper.points[1].rotation is NaN; allowed: more than 0, up to 1");
  CHECK(measured({{0, 0}}) == "taper.points is 1 long; allowed: 2 entries or more");
  CHECK(measured({}) == "taper.points is 0 long; allowed: 2 entries or more");
}

TEST_CASE("numbers of the laws are refused by name") {
  CHECK(error_of([] { (void)taper::audio(15); }) == "taper.mid_fraction is 15; allowed: 0.001 to 0.5");
  CHECK(error_of([] { (void)taper::audio(0); }) == "taper.mid_fraction is 0; allowed: 0.001 to 0.5");
  CHECK(error_of([] { (void)taper::audio(not_a_number); }) ==
        "taper.mid_fraction is NaN; allowed: 0.001 to 0.5");
  CHECK(error_of([] { (void)taper::reverse_audio(0.85); }) ==
        "taper.mid_fraction is 0.85; allowed: 0.001 to 0.5");
  CHECK(error_of([] { (void)taper::s_shaped(0.6); }) == "taper.mid_fraction is 0.6; allowed: 0.001 to 0.5");
  CHECK(error_of([] { (void)taper::two_slopes(0, 0.5); }) ==
        "taper.knee_rotation is 0; allowed: 0.001 to 0.999");
  CHECK(error_of([] { (void)taper::two_slopes(0.5, 1.5); }) == "taper.knee_fraction is 1.5; allowed: 0 to 1");
}

TEST_CASE("every law stays in 0 to 1, is monotone, and reaches its ends exactly") {
  for (const taper& law : every_law()) {
    const double first = law(knob(0)), last = law(knob(10));
    CHECK((first == 0 || first == 1));
    CHECK(last == 1 - first);
    double before = first;
    for (int i = 0; i <= 1000; ++i) {
      const double y = law(rotation(i / 1000.0));
      CHECK_MESSAGE((y >= 0 && y <= 1), i);
      CHECK_MESSAGE((last > first ? y >= before - 1e-15 : y <= before + 1e-15), i);
      before = y;
    }
  }
}

TEST_CASE("from a fraction back to the rotation") {
  int asked = 0;
  for (const taper& law : every_law()) {
    if (!law.rises_everywhere()) {
      CHECK(error_of([&] { (void)law.rotation_at(0.5); }) ==
            "taper is flat over a part of its travel; allowed: a law that rises everywhere");
      continue;
    }
    ++asked;
    for (double y = 0; y <= 1; y += 0.0078125) {
      CAPTURE(y);
      CHECK(close(law(law.rotation_at(y)), y, 1e-14));
    }
  }
  CHECK(asked == 22); // eleven laws of fifteen, with dead zones and without
  // Closed form of the inverse: x = ln(1 + y(b - 1))/ln b.
  const double b = std::pow(1 / 0.15 - 1, 2), y = voltage_ratio(decibel{-6});
  CHECK(close(audio_taper.rotation_at(y).value(), std::log1p(y * (b - 1)) / std::log(b), 1e-15));
  CHECK(linear_taper.rotation_at(0).value() == 0);
  CHECK(linear_taper.rotation_at(1).value() == 1);
  CHECK(close(linear_taper.rotation_at(0.3).value(), 0.3, 1e-16));
  // Out of the dead zones, at their inner edges.
  const taper dead = within_travel(audio_taper, 270, 300);
  CHECK(close(dead.rotation_at(0).value(), 0.05, 1e-15));
  CHECK(close(dead.rotation_at(1).value(), 0.95, 1e-15));
  CHECK(error_of([] { (void)linear_taper.rotation_at(1.5); }) == "fraction is 1.5; allowed: 0 to 1");
  CHECK(error_of([] { (void)linear_taper.rotation_at(not_a_number); }) == "fraction is NaN; allowed: 0 to 1");
  const taper part = taper::measured(std::vector<taper_point>{{0, 0.25}, {1, 0.75}});
  CHECK(close(part.rotation_at(0.5).value(), 0.5, 1e-15));
  CHECK(error_of([&] { (void)part.rotation_at(0.2); }) == "fraction is 0.2; allowed: 0.25 to 0.75");
}

TEST_CASE("a travel within a travel: the parts multiply") {
  // Half of four fifths: the track lies between 0.3 and 0.7 of the shaft's travel.
  const taper law = within_travel(within_travel(linear_taper, 240, 300), 150, 300);
  for (double x = 0; x <= 1; x += 0.05) {
    CAPTURE(x);
    CHECK(close(law(rotation(x)), x < 0.3 ? 0 : x > 0.7 ? 1 : (x - 0.3) / 0.4, 1e-15));
  }
}
