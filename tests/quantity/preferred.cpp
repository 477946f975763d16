// SPDX-License-Identifier: BSL-1.0
// Preferred values after IEC 60063: the lists, snapping, ranges, and pairs against brute force.
#include <doctest/doctest.h>

#include <algorithm>
#include <bit>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/quantity/literals.hpp>
#include <lodewire/quantity/preferred_pair.hpp>

using namespace lodewire;
using namespace lodewire::literals;

namespace {

constexpr e_series all_series[] = {e_series::e3,  e_series::e6,  e_series::e12, e_series::e24,
                                   e_series::e48, e_series::e96, e_series::e192};

std::vector<int> listed(e_series series) {
  const auto values = preferred_values(series);
  return {values.begin(), values.end()};
}

std::vector<int> every(int stride, const std::vector<int>& all) {
  std::vector<int> some;
  for (std::size_t i = 0; i < all.size(); i += static_cast<std::size_t>(stride)) some.push_back(all[i]);
  return some;
}

struct random_bits {
  std::uint64_t state;
  std::uint64_t operator()() {
    std::uint64_t z = (state += 0x9e37'79b9'7f4a'7c15U);
    z = (z ^ (z >> 30U)) * 0xbf58'476d'1ce4'e5b9U;
    z = (z ^ (z >> 27U)) * 0x94d0'49bb'1331'11ebU;
    return z ^ (z >> 31U);
  }
  /// Log-uniform from low to high.
  double between(double low, double high) {
    const double u = static_cast<double>((*this)() >> 11U) * 0x1p-53;
    return low * std::pow(high / low, u);
  }
};

/// The double nearest to the decimal number digits × 10^power, by the standard library.
double decimal(std::uint64_t digits, int power) {
  const std::string text = std::to_string(digits) + "e" + std::to_string(power);
  double value = 0;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

template <class Call>
std::string complaint(Call call) {
  try {
    call();
  } catch (const invalid_value& error) {
    return error.what();
  }
  return "none";
}

} // namespace

TEST_CASE("the lists of the standard") {
  // E6 to E96: https://www.qsl.net/g4usp/Components/Component%20preferred%20values.htm ; standard: IEC 60063:2015.
  CHECK(listed(e_series::e3) == std::vector{100, 220, 470});
  CHECK(listed(e_series::e6) == std::vector{100, 150, 220, 330, 470, 680});
  CHECK(listed(e_series::e12) == std::vector{100, 120, 150, 180, 220, 270, 330, 390, 470, 560, 680, 820});
  CHECK(listed(e_series::e24) == std::vector{100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300,
                                             330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820, 910});
  CHECK(listed(e_series::e48) == std::vector{100, 105, 110, 115, 121, 127, 133, 140, 147, 154, 162, 169,
                                             178, 187, 196, 205, 215, 226, 237, 249, 261, 274, 287, 301,
                                             316, 332, 348, 365, 383, 402, 422, 442, 464, 487, 511, 536,
                                             562, 590, 619, 649, 681, 715, 750, 787, 825, 866, 909, 953});
  CHECK(listed(e_series::e96) ==
        std::vector{100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143,
                    147, 150, 154, 158, 162, 165, 169, 174, 178, 182, 187, 191, 196, 200, 205, 210,
                    215, 221, 226, 232, 237, 243, 249, 255, 261, 267, 274, 280, 287, 294, 301, 309,
                    316, 324, 332, 340, 348, 357, 365, 374, 383, 392, 402, 412, 422, 432, 442, 453,
                    464, 475, 487, 499, 511, 523, 536, 549, 562, 576, 590, 604, 619, 634, 649, 665,
                    681, 698, 715, 732, 750, 768, 787, 806, 825, 845, 866, 887, 909, 931, 953, 976});
  for (const auto series : all_series) {
    const auto values = preferred_values(series);
    CHECK(values.size() == static_cast<std::size_t>(series));
    CHECK(std::is_sorted(values.begin(), values.end()));
    CHECK(std::adjacent_find(values.begin(), values.end()) == values.end());
    CHECK(values.front() == 100);
    CHECK(values.back() < 1000);
  }
}

TEST_CASE("how the lists hang together, and where they leave the formula") {
  // Computed from the formula.
  const auto e192 = listed(e_series::e192), e24 = listed(e_series::e24);
  CHECK(listed(e_series::e48) == every(4, e192));
  CHECK(listed(e_series::e96) == every(2, e192));
  CHECK(listed(e_series::e12) == every(2, e24));
  CHECK(listed(e_series::e6) == every(4, e24));
  CHECK(listed(e_series::e3) == every(2, listed(e_series::e6)));

  // 100·10^(185/192) is 919.4787; the standard has 920. All other values of E192 are the formula's.
  std::vector<int> off;
  for (int i = 0; i < 192; ++i)
    if (e192[static_cast<std::size_t>(i)] != std::lround(100 * std::pow(10.0, i / 192.0))) off.push_back(i);
  CHECK(off == std::vector{185});
  CHECK(e192[185] == 920);
  CHECK(std::abs(100 * std::pow(10.0, 185 / 192.0) - 919.4787) < 5e-5);

  // The eight exceptions of E24: standard / formula.
  std::vector<std::pair<int, int>> e24_off;
  for (int i = 0; i < 24; ++i) {
    const auto formula = static_cast<int>(std::lround(10 * std::pow(10.0, i / 24.0)));
    const int standard = e24[static_cast<std::size_t>(i)] / 10;
    if (standard != formula) e24_off.emplace_back(standard, formula);
  }
  CHECK(e24_off == std::vector<std::pair<int, int>>{
                       {27, 26}, {30, 29}, {33, 32}, {36, 35}, {39, 38}, {43, 42}, {47, 46}, {82, 83}});

  std::vector<int> absent;
  for (const int value : e24)
    if (!std::binary_search(e192.begin(), e192.end(), value)) absent.push_back(value / 10);
  CHECK(absent == std::vector{22, 27, 30, 33, 36, 39, 43, 51, 56, 62, 68, 82, 91});
}

TEST_CASE("largest error of the nearest value") {
  // (b−a)/(b+a) for neighbours: computed from the formula.
  constexpr struct {
    e_series series;
    double percent;
    double rounding;
  } rows[] = {{e_series::e6, 20.0, 0.05},     {e_series::e12, 11.1, 0.05},   {e_series::e24, 7.14, 0.005},
              {e_series::e48, 2.594, 0.0005}, {e_series::e96, 1.4815, 5e-5}, {e_series::e192, 0.9709, 5e-5}};
  for (const auto& row : rows) {
    auto values = listed(row.series);
    values.push_back(1000);
    double most = 0;
    for (std::size_t i = 0; i + 1 < values.size(); ++i)
      most = std::max(most, (values[i + 1] - values[i]) / static_cast<double>(values[i + 1] + values[i]));
    CHECK(std::abs(100 * most - row.percent) <= row.rounding);

    // What `nearest` does stays within it: at the geometric mean the error is √(b/a) − 1, a little more than that.
    random_bits next{7};
    const double limit = std::sqrt((1 + most) / (1 - most)) * (1 + 1e-12);
    int outside = 0;
    for (int i = 0; i < 3000; ++i) {
      const auto r = resistance::from_value(next.between(1, 1e7));
      const double ratio = nearest(row.series, r) / r;
      outside += std::max(ratio, 1 / ratio) > limit;
    }
    CHECK(outside == 0);
  }
}

TEST_CASE("the border between neighbours is no decimal value") {
  // The root of a whole number is whole or irrational.
  for (const auto series : all_series) {
    auto values = listed(series);
    values.push_back(1000);
    int squares = 0;
    for (std::size_t i = 0; i + 1 < values.size(); ++i) {
      const int product = values[i] * values[i + 1];
      const auto root = static_cast<int>(std::lround(std::sqrt(product)));
      squares += root * root == product;
    }
    CHECK(squares == 0);
  }
}

TEST_CASE("tolerance of a series") {
  // qsl.net page as above, and wikisum.wiki 'E series'.
  CHECK(nominal_tolerance(e_series::e3) == tolerance::symmetric(0.40));
  CHECK(nominal_tolerance(e_series::e6) == tolerance::symmetric(0.20));
  CHECK(nominal_tolerance(e_series::e12) == tolerance::symmetric(0.10));
  CHECK(nominal_tolerance(e_series::e24) == tolerance::symmetric(0.05));
  CHECK(nominal_tolerance(e_series::e48) == tolerance::symmetric(0.02));
  CHECK(nominal_tolerance(e_series::e96) == tolerance::symmetric(0.01));
  CHECK(nominal_tolerance(e_series::e192) == tolerance::symmetric(0.005));
  static_assert(nominal_tolerance(e_series::e24).plus == 0.05);
}

TEST_CASE("the nearest value") {
  // Values that E96 lacks: computed from the lists.
  CHECK(nearest(e_series::e96, 22_kOhm) == 22.1_kOhm);
  CHECK(nearest(e_series::e96, 47_kOhm) == 47.5_kOhm);
  CHECK(nearest(e_series::e96, 470_kOhm) == 475_kOhm);
  CHECK(nearest(e_series::e96, 250_kOhm) == 249_kOhm);
  CHECK(nearest(e_series::e96, 500_kOhm) == 499_kOhm);
  // The border of 24 and 27 is √648 = 25.456.
  CHECK(nearest(e_series::e24, 25.45_kOhm) == 24_kOhm);
  CHECK(nearest(e_series::e24, 25.46_kOhm) == 27_kOhm);
  CHECK(nearest(e_series::e24, 25.6_kOhm) == 27_kOhm);
  // Over the edge of a decade: √910000 = 953.9.
  CHECK(nearest(e_series::e24, 953_Ohm) == 910_Ohm);
  CHECK(nearest(e_series::e24, 955_Ohm) == 1_kOhm);
  CHECK(nearest(e_series::e24, 99.9999_Ohm) == 100_Ohm);
  CHECK(nearest(e_series::e12, 21_nF) == 22_nF);
  CHECK(nearest(e_series::e6, 500_pF) == 470_pF);
  CHECK(nearest(e_series::e3, 4_H) == 4.7_H);
  CHECK(nearest(e_series::e12, 95_pF_per_m) == 100_pF_per_m);
  static_assert(nearest(e_series::e24, 25.6_kOhm) == 27_kOhm);
  static_assert(nearest(e_series::e12, 0.02_uF) == 22_nF);
  static_assert(at_or_below(e_series::e24, 250_kOhm) == 240_kOhm);

  // Against all values of all decades, by the logarithm of the ratio.
  random_bits next{3};
  for (const auto series : all_series) {
    std::vector<double> values;
    for (int decade = -13; decade <= 7; ++decade)
      for (const int digits : preferred_values(series))
        values.push_back(decimal(static_cast<std::uint64_t>(digits), decade));
    int wrong = 0;
    for (int i = 0; i < 300; ++i) {
      const double x = next.between(1e-10, 1e8);
      const double found = nearest(series, capacitance::from_value(x)).value();
      double least = 1e9;
      for (const double value : values) least = std::min(least, std::abs(std::log(value / x)));
      wrong += std::find(values.begin(), values.end(), found) == values.end();
      wrong += std::abs(std::log(found / x)) > least + 1e-12;
    }
    CHECK(wrong == 0);
  }
}

TEST_CASE("steps up and down") {
  using enum e_series;
  CHECK(at_or_below(e24, 24_kOhm) == 24_kOhm);
  CHECK(at_or_above(e24, 24_kOhm) == 24_kOhm);
  CHECK(next_below(e24, 24_kOhm) == 22_kOhm);
  CHECK(next_above(e24, 24_kOhm) == 27_kOhm);
  CHECK(at_or_below(e24, 25_kOhm) == 24_kOhm);
  CHECK(at_or_above(e24, 25_kOhm) == 27_kOhm);
  CHECK(next_below(e24, 25_kOhm) == 24_kOhm);
  CHECK(next_above(e24, 25_kOhm) == 27_kOhm);
  CHECK(next_below(e12, 1_nF) == 820_pF);
  CHECK(next_above(e12, 820_pF) == 1_nF);
  CHECK(next_below(e3, 1_H) == 470_mH);
  CHECK(at_or_above(e12, 8.3_nF) == 10_nF);

  // Down and up again is the way back, in every series, from 1e-18 to 1e18.
  for (const auto series : all_series) {
    const int most = 18 * static_cast<int>(series);
    int wrong = 0;
    for (int n = -most; n < most; ++n) {
      const auto value = preferred_value<resistance>(series, n),
                 above = preferred_value<resistance>(series, n + 1);
      wrong += next_above(series, value) != above;
      wrong += next_below(series, above) != value;
      wrong += at_or_below(series, value) != value || at_or_above(series, value) != value;
      wrong += nearest(series, value) != value;
      wrong += preferred_index(series, value) != n;
      const auto between = resistance::from_value(std::sqrt(value.value()) * std::sqrt(above.value()));
      wrong += at_or_below(series, between) != value || at_or_above(series, between) != above;
      wrong += is_preferred(series, between);
    }
    CHECK(wrong == 0);
  }
}

TEST_CASE("values are the doubles nearest to their decimals") {
  for (const auto series : all_series) {
    const auto values = preferred_values(series);
    const int size = static_cast<int>(values.size());
    int wrong = 0;
    for (int decade = -18; decade < 18; ++decade)
      for (int i = 0; i < size; ++i) {
        const auto value = preferred_value<capacitance>(series, decade * size + i);
        wrong += value.value() !=
                 decimal(static_cast<std::uint64_t>(values[static_cast<std::size_t>(i)]), decade - 2);
      }
    CHECK(wrong == 0);
  }
  // Any three digits, not only those of the standard.
  int wrong = 0;
  for (std::uint64_t digits = 1; digits < 1000; ++digits)
    for (int power = -22; power <= 22; ++power)
      wrong += detail::decimal_value(digits, power) != decimal(digits, power);
  CHECK(wrong == 0);
  // Any 64 bits divided by a power of ten; and quotients half-way between two doubles, which go to the even one.
  random_bits next{5};
  for (int i = 0; i < 20'000; ++i) {
    const std::uint64_t digits = next() >> (next() % 64);
    const int power = -1 - static_cast<int>(next() % 22);
    wrong += detail::decimal_value(digits, power) != decimal(digits, power);
  }
  CHECK(wrong == 0);
  // Beyond, one rounding more for each factor.
  double worst = 0;
  for (int i = 0; i < 20'000; ++i) {
    const std::uint64_t digits = next() >> (next() % 64);
    const int power = static_cast<int>(next() % 89) - 44;
    const double nearest = decimal(digits, power), unit = std::nextafter(nearest, 2 * nearest) - nearest;
    if (digits > 0) worst = std::max(worst, std::abs(detail::decimal_value(digits, power) - nearest) / unit);
  }
  MESSAGE("decimal_value, powers to 44: " << worst << " units in the last place");
  CHECK(worst <= 3);
  CHECK(detail::decimal_value(45'035'996'273'704'965U, -1) == 4'503'599'627'370'496.0);
  CHECK(detail::decimal_value(45'035'996'273'704'975U, -1) == 4'503'599'627'370'498.0);
  CHECK(preferred_value<capacitance>(e_series::e12, -8 * 12) == 10_nF);
  CHECK(preferred_value<resistance>(e_series::e24, 0) == 1_Ohm);
  CHECK(preferred_index(e_series::e24, 240_kOhm) == 5 * 24 + 9);
  CHECK_FALSE(preferred_index(e_series::e24, 250_kOhm).has_value());
  CHECK(is_preferred(e_series::e3, 22_nF));
  CHECK_FALSE(is_preferred(e_series::e96, 22_nF));
  CHECK_FALSE(is_preferred(e_series::e24, 500_kOhm));
}

TEST_CASE("all values in a range") {
  CHECK(all_in_range(e_series::e6, 100_kOhm, 1_MOhm) ==
        std::vector{100_kOhm, 150_kOhm, 220_kOhm, 330_kOhm, 470_kOhm, 680_kOhm, 1_MOhm});
  CHECK(all_in_range(e_series::e3, 5_nF, 30_nF) == std::vector{10_nF, 22_nF});
  CHECK(all_in_range(e_series::e12, 22_nF, 22_nF) == std::vector{22_nF});
  CHECK(all_in_range(e_series::e12, 23_nF, 26_nF).empty());
  CHECK(all_in_range(e_series::e192, 1_Ohm, 999.9_kOhm).size() == 6 * 192);
  CHECK(all_in_range(e_series::e192, 1_Ohm, 1_MOhm).size() == 6 * 192 + 1);
}

namespace {

struct brute_pair {
  double error = 1e300;
  double unlikeness = 1e300; ///< the ratio of the two values
};

brute_pair brute_force(const std::vector<double>& values, bool sum, double target) {
  brute_pair best;
  std::vector<std::pair<double, double>> all;
  for (std::size_t i = 0; i < values.size(); ++i)
    for (std::size_t j = i; j < values.size(); ++j) {
      const double made = sum ? values[i] + values[j] : 1 / (1 / values[i] + 1 / values[j]);
      all.emplace_back(std::abs(made / target - 1), values[j] / values[i]);
      best.error = std::min(best.error, all.back().first);
    }
  for (const auto& [error, unlikeness] : all)
    if (error <= best.error + 0.5e-13) best.unlikeness = std::min(best.unlikeness, unlikeness);
  return best;
}

template <class Q>
void check_pairs(e_series series, double low, double high, int tries) {
  random_bits next{11};
  std::vector<double> values;
  for (const auto& value : all_in_range(series, Q::from_value(low), Q::from_value(high)))
    values.push_back(value.value());
  int wrong = 0;
  for (int i = 0; i < tries; ++i) {
    // Targets inside, outside and, every fourth time, of two figures, where many pairs are equally good.
    double target = next.between(low / 4, high * 4);
    if (i % 4 == 0) target = nearest(e_series::e24, Q::from_value(target)).value();
    for (const bool in_series : {true, false}) {
      const auto found =
          in_series
              ? best_pair_in_series(series, Q::from_value(target), Q::from_value(low), Q::from_value(high))
              : best_pair_in_parallel(series, Q::from_value(target), Q::from_value(low), Q::from_value(high));
      const bool sum = in_series != std::is_same_v<Q, capacitance>;
      const auto best = brute_force(values, sum, target);
      const double a = found.first.value(), b = found.second.value();
      const double made = sum ? a + b : 1 / (1 / a + 1 / b);
      wrong += std::find(values.begin(), values.end(), a) == values.end();
      wrong += std::find(values.begin(), values.end(), b) == values.end();
      wrong += a > b;
      wrong += std::abs(found.result.value() / made - 1) > 1e-14;
      wrong += std::abs(found.error - (made / target - 1)) > 1e-14;
      wrong += std::abs(found.error) > best.error + 2e-13;
      wrong += b / a > best.unlikeness * (1 + 1e-12);
    }
  }
  CHECK(wrong == 0);
}

} // namespace

TEST_CASE("the best pair is the one that brute force finds") {
  check_pairs<resistance>(e_series::e3, 1e3, 1e6, 400);
  check_pairs<resistance>(e_series::e12, 1e3, 1e6, 200);
  check_pairs<resistance>(e_series::e24, 1e2, 1e6, 100);
  check_pairs<resistance>(e_series::e192, 1e4, 1e5, 20);
  check_pairs<capacitance>(e_series::e12, 1e-11, 1e-7, 200);
  check_pairs<capacitance>(e_series::e24, 1e-10, 1e-7, 100);
  check_pairs<inductance>(e_series::e6, 1e-3, 1e1, 200);
}

TEST_CASE("pairs of a bench") {
  // 500 kΩ is no preferred value: two of 1 MΩ in parallel, 200 + 300 in series.
  const auto parallel = best_pair_in_parallel(e_series::e24, 500_kOhm);
  CHECK(parallel.first == 1_MOhm);
  CHECK(parallel.second == 1_MOhm);
  CHECK(parallel.result == 500_kOhm);
  CHECK(parallel.error == 0);
  const auto series = best_pair_in_series(e_series::e24, 500_kOhm);
  CHECK(series.first == 200_kOhm);
  CHECK(series.second == 300_kOhm);
  CHECK(std::abs(series.error) < 1e-15);

  // Capacitors: in parallel they add, in series they make less.
  const auto both = best_pair_in_parallel(e_series::e12, 44_nF);
  CHECK(both.first == 22_nF);
  CHECK(both.second == 22_nF);
  CHECK(std::abs(both.error) < 1e-15);
  const auto half = best_pair_in_series(e_series::e12, 11_nF);
  CHECK(half.first == 22_nF);
  CHECK(half.second == 22_nF);
  CHECK(std::abs(half.error) < 1e-15);
  CHECK(half.result / 1_nF == doctest::Approx(11).epsilon(1e-14));

  // The sign of the error: too little is negative.
  const auto short_of = best_pair_in_series(e_series::e3, 1_MOhm, 100_kOhm, 220_kOhm);
  CHECK(short_of.first == 220_kOhm);
  CHECK(short_of.second == 220_kOhm);
  CHECK(short_of.error == doctest::Approx(-0.56).epsilon(1e-12));
  const auto too_much = best_pair_in_parallel(e_series::e3, 1_kOhm, 100_kOhm, 220_kOhm);
  CHECK(too_much.first == 100_kOhm);
  CHECK(too_much.second == 100_kOhm);
  CHECK(too_much.error == doctest::Approx(49).epsilon(1e-12));
  // A trimmer resistor far from the rest: 220 k + 1 k, both E3.
  CHECK(best_pair_in_series(e_series::e3, 221_kOhm).first == 1_kOhm);
}

TEST_CASE("bad input") {
  const double nan = std::bit_cast<double>(std::uint64_t{0x7ff8'0000'0000'0000U});
  for (const double x : {0.0, -1.0, nan, open_value, -open_value, 1e19, 1e-19}) {
    const auto r = resistance::from_value(x);
    CHECK_THROWS_AS(static_cast<void>(nearest(e_series::e24, r)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(at_or_below(e_series::e24, r)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(at_or_above(e_series::e24, r)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(next_below(e_series::e24, r)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(next_above(e_series::e24, r)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(is_preferred(e_series::e24, r)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(all_in_range(e_series::e24, r, 1_MOhm)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(all_in_range(e_series::e24, 1_Ohm, r)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(best_pair_in_series(e_series::e24, r)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(best_pair_in_parallel(e_series::e24, r)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(best_pair_in_series(e_series::e24, r, 1_Ohm, 1_MOhm)), invalid_value);
    CHECK_THROWS_AS(static_cast<void>(best_pair_in_parallel(e_series::e24, 1_Ohm, r, 1_MOhm)), invalid_value);
  }
  CHECK(complaint([] { static_cast<void>(nearest(e_series::e24, -5_kOhm)); }) ==
        "value is -5 kΩ; allowed: 1e-18 to 1e18 Ω");
  CHECK(complaint([] { static_cast<void>(best_pair_in_series(e_series::e24, 0_nF)); }) ==
        "target is 0 F; allowed: 1e-18 to 1e18 F");
  CHECK(complaint([] { static_cast<void>(all_in_range(e_series::e24, 2_kOhm, 1_kOhm)); }) ==
        "high is 1 kΩ; allowed: 2 kΩ (low) or more");
  CHECK(complaint([] { static_cast<void>(best_pair_in_series(e_series::e3, 1_kOhm, 2.3_kOhm, 4_kOhm)); }) ==
        "range is 2.3 kΩ to 4 kΩ; allowed: a range that holds a value of the series");
  CHECK(complaint([] { static_cast<void>(preferred_value<resistance>(e_series::e3, 55)); }) ==
        "n is 55; allowed: -18 to 18 decades");
  CHECK(complaint([] { static_cast<void>(preferred_values(static_cast<e_series>(7))); }) ==
        "series is 7; allowed: 3, 6, 12, 24, 48, 96, 192");
  CHECK(complaint([] { static_cast<void>(nominal_tolerance(static_cast<e_series>(0))); }) ==
        "series is 0; allowed: 3, 6, 12, 24, 48, 96, 192");
}
