// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

#include <lodewire/analysis/normal.hpp>
#include <lodewire/quantity/tolerance.hpp>

namespace lodewire {

namespace detail {

/// |z| of a normal distribution of which only inner ≤ |z| ≤ outer is left, as a function of a 31-bit number that counts
/// from the outer end. Cubics in cells as wide as an eighth of their distance from that end, found by exponent and
/// leading bits: within 1e-6 of a standard deviation, no logarithm.
class normal_table {
public:
  normal_table() = default;
  normal_table(double inner, double outer) : cell_(256), outer_{outer} {
    const double end = normal_fraction(-outer), span = normal_fraction(-inner) - end;
    for (std::size_t i = 0; i < cell_.size(); ++i) {
      const double from = std::ldexp(1 + 0.125 * static_cast<double>(i % 8), static_cast<int>(i / 8));
      const double width = std::ldexp(0.125, static_cast<int>(i / 8));
      // Through four Chebyshev points, in Newton's form, expanded about the middle.
      static constexpr double at[4] = {-0.46193976625564337, -0.19134171618254489, 0.19134171618254489,
                                       0.46193976625564337};
      double y[4];
      for (std::size_t k = 0; k < 4; ++k)
        y[k] = -normal_quantile(end + span * (from + (0.5 + at[k]) * width) * 0x1p-32);
      for (std::size_t order = 1; order < 4; ++order)
        for (std::size_t k = 3; k >= order; --k) y[k] = (y[k] - y[k - 1]) / (at[k] - at[k - order]);
      auto& c = cell_[i].c;
      c[0] = y[3];
      for (std::size_t k = 3; k-- > 0;) {
        for (std::size_t j = 3; j > 0; --j) c[j] = c[j - 1] - at[k] * c[j];
        c[0] = y[k] - at[k] * c[0];
      }
    }
  }
  /// z of a word: those below 2^31 give the negative half. Rising.
  [[nodiscard]] double operator()(std::uint32_t word) const noexcept {
    const bool above = word >= 0x8000'0000U;
    const std::uint32_t m = above ? ~word : word;
    const auto bits = std::bit_cast<std::uint64_t>(2.0 * m + 1);
    const double* c = cell_[(bits >> 49U) - (1023U << 3U)].c;
    const double s =
        std::bit_cast<double>(((bits << 3U) & 0x000f'ffff'ffff'ffffU) | 0x3ff0'0000'0000'0000U) - 1.5;
    const double cubic = c[0] + s * (c[1] + s * (c[2] + s * c[3])), z = cubic < outer_ ? cubic : outer_;
    return above ? z : -z;
  }

private:
  struct coefficients {
    double c[4];
  };
  std::vector<coefficients> cell_;
  double outer_ = 0;
};

} // namespace detail

/// How the deviations of one kind of part from its nominal value are spread: x = 0.05 is 5 % above. Sampled from a 32-bit
/// word, so that a draw is a pure function of the word (quantile function: the greater the word, the greater x).
class distribution {
public:
  /// Any value within the tolerance alike. Throws `invalid_value` for a tolerance that is negative, not finite, or 100 %
  /// or more below.
  [[nodiscard]] static distribution uniform(const tolerance& within) { return {kind::uniform, within}; }

  /// Normal about the middle of the limits, cut at the limits, which lie at `sigmas` standard deviations (of the
  /// uncut one). Which number a maker keeps is seldom stated; 3 is a convention. 0 < sigmas ≤ 8. Throws `invalid_value`.
  [[nodiscard]] static distribution normal(const tolerance& within, double sigmas = 3) {
    return sorted(within, 0, sigmas);
  }

  /// What is left of that when the parts within ±`inner` of the middle have been sorted out and sold as a better grade:
  /// two humps. 0 ≤ inner < half the width of the limits. Throws `invalid_value`.
  [[nodiscard]] static distribution sorted(const tolerance& within, double inner, double sigmas = 3) {
    distribution d(kind::normal, within);
    if (!is_finite(sigmas) || !(sigmas > 0) || !(sigmas <= 8))
      throw invalid_value("distribution.sigmas", plain_number(sigmas), "more than 0, up to 8");
    const double half = (d.highest_ - d.lowest_) / 2;
    if (!is_finite(inner) || !(inner >= 0) || !(inner < half || inner == 0))
      throw invalid_value("distribution.inner", plain_number(inner),
                          "0 or more, less than half the width of the limits, " + plain_number(half));
    d.step_ = half / sigmas;
    const double a = half > 0 ? inner / d.step_ : 0;
    d.table_ = detail::normal_table(a, sigmas);
    // Var of |z| in [a, k]: 1 + (a·φ(a) - k·φ(k))/(Φ(k) - Φ(a)).
    const double left = normal_fraction(-a) - normal_fraction(-sigmas);
    d.deviation_ = d.step_ * std::sqrt(1 + (a * normal_density(a) - sigmas * normal_density(sigmas)) / left);
    return d;
  }

  /// One of a list of measured deviations, each as likely. Throws `invalid_value` for an empty list, or an entry that is
  /// not finite or not more than -1.
  [[nodiscard]] static distribution measured(std::vector<double> deviations) {
    if (deviations.empty() || deviations.size() > 0xffff'ffffU)
      throw invalid_value("distribution.measured", "an empty list", "one deviation or more");
    for (const double x : deviations)
      if (!is_finite(x) || !(x > -1))
        throw invalid_value("distribution.measured", plain_number(x), "finite and more than -1");
    std::sort(deviations.begin(), deviations.end());
    distribution d(kind::list, {});
    d.lowest_ = deviations.front();
    d.highest_ = deviations.back();
    double sum = 0, squares = 0;
    const auto n = static_cast<double>(deviations.size());
    for (const double x : deviations) sum += x;
    d.middle_ = sum / n;
    for (const double x : deviations) squares += (x - d.middle_) * (x - d.middle_);
    d.deviation_ = std::sqrt(squares / n);
    d.list_ = std::move(deviations);
    return d;
  }

  /// The ends of what occurs: deviations as fractions of the nominal value.
  [[nodiscard]] double lowest() const noexcept { return lowest_; }
  [[nodiscard]] double highest() const noexcept { return highest_; }
  [[nodiscard]] double mean() const noexcept { return middle_; }
  [[nodiscard]] double standard_deviation() const noexcept { return deviation_; }

  /// The quantile of (word + 1/2)/2^32. Cost: some nanoseconds.
  [[nodiscard]] double sample(std::uint32_t word) const noexcept {
    double x = 0;
    sample(&word, &x, 1);
    return x;
  }
  /// The same for `count` words.
  void sample(const std::uint32_t* words, double* x, std::size_t count) const noexcept {
    switch (kind_) {
    case kind::uniform: {
      const double step = (highest_ - lowest_) * 0x1p-32, first = lowest_ + step / 2;
      for (std::size_t i = 0; i < count; ++i) x[i] = first + step * words[i];
      break;
    }
    case kind::normal:
      for (std::size_t i = 0; i < count; ++i) x[i] = middle_ + step_ * table_(words[i]);
      break;
    case kind::list:
      for (std::size_t i = 0; i < count; ++i)
        x[i] = list_[static_cast<std::size_t>((std::uint64_t{words[i]} * list_.size()) >> 32U)];
      break;
    }
  }

private:
  enum class kind : unsigned char { uniform, normal, list };

  distribution(kind of, const tolerance& within)
      : kind_{of}, lowest_{-within.minus}, highest_{within.plus}, middle_{(within.plus - within.minus) / 2},
        deviation_{(within.plus + within.minus) / std::sqrt(12.)} {
    require_not_negative("tolerance.plus", within.plus);
    if (!is_finite(within.minus) || !(within.minus >= 0) || !(within.minus < 1))
      throw invalid_value("tolerance.minus", plain_number(within.minus), "0 or more, less than 1");
  }

  kind kind_;
  double lowest_, highest_, middle_, deviation_;
  double step_ = 0; ///< standard deviation of the uncut normal one
  detail::normal_table table_;
  std::vector<double> list_;
};

} // namespace lodewire
