// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include <lodewire/quantity/requirement.hpp>

namespace lodewire {

/// Counts of positive values, in bins by the exponent and the leading bits of the mantissa: a shift finds the bin. All
/// counts are integers, so that parts of a study add up to the same in any order. With b bits a bin is 2^-b of the
/// value wide or less (down to half that): in |H|² with 7 bits 0.034 dB or less. Several rows share the bins.
class histogram {
public:
  histogram() = default;
  /// Bins from `lowest` on, up to `highest`, rounded outwards to whole bins. 0 < lowest < highest, 1 ≤ bits ≤ 16. Throws
  /// `invalid_value`.
  histogram(double lowest, double highest, unsigned bits, std::size_t rows = 1)
      : shift_{52U - bits}, rows_{rows} {
    require_positive("histogram.lowest", lowest);
    require_positive("histogram.highest", highest);
    if (!(highest > lowest))
      throw invalid_value("histogram.highest", plain_number(highest), "more than histogram.lowest");
    if (bits < 1 || bits > 16) throw invalid_value("histogram.bits", std::to_string(bits), "1 to 16");
    first_ = std::bit_cast<std::uint64_t>(lowest) >> shift_;
    bins_ = ((std::bit_cast<std::uint64_t>(highest) - 1) >> shift_) + 1 - first_;
    // An odd number of cache lines, so that equal bins of all rows do not share a cache set.
    stride_ = ((bins_ + 2 + 7) / 8 | 1U) * 8;
    counts_.resize(stride_ * rows);
  }

  void add(double value, std::size_t row = 0) noexcept {
    ++counts_[row * stride_ + index(std::bit_cast<std::uint64_t>(value))];
  }
  /// The counts of a row: `bins()`, then those below and those above all bins. For kernels and for storage.
  [[nodiscard]] std::uint64_t* row(std::size_t of = 0) noexcept { return counts_.data() + of * stride_; }
  [[nodiscard]] const std::uint64_t* row(std::size_t of = 0) const noexcept {
    return counts_.data() + of * stride_;
  }
  [[nodiscard]] std::size_t rows() const noexcept { return rows_; }
  [[nodiscard]] std::size_t bins() const noexcept { return bins_; }
  /// Where the bits of a value are counted: what is no positive number lies above.
  [[nodiscard]] std::size_t index(std::uint64_t bits) const noexcept {
    const std::uint64_t i = (bits >> shift_) - first_;
    if (i < bins_) return i;
    return bits >> shift_ < first_ ? bins_ : bins_ + 1;
  }
  /// The least value of a bin; that of `bins()` ends the last one.
  [[nodiscard]] double edge(std::size_t bin) const noexcept {
    return std::bit_cast<double>((first_ + bin) << shift_);
  }

  /// Adds the counts of another part of the study. Throws `invalid_value` where bins or rows differ.
  void merge(const histogram& other) {
    if (first_ != other.first_ || shift_ != other.shift_ || bins_ != other.bins_ || rows_ != other.rows_)
      throw invalid_value("histogram", "one of other bins or rows", "one of the same study");
    for (std::size_t i = 0; i < counts_.size(); ++i) counts_[i] += other.counts_[i];
  }

  [[nodiscard]] std::uint64_t count(std::size_t of = 0) const noexcept {
    std::uint64_t sum = 0;
    for (std::size_t i = 0; i < bins_ + 2; ++i) sum += row(of)[i];
    return sum;
  }
  /// The value below which the fraction q lies, along a straight line inside its bin, so off by less than a bin's width;
  /// an end of the bins for what lies beyond, 0 where nothing was counted. 0 ≤ q ≤ 1; throws `invalid_value`.
  [[nodiscard]] double quantile(double q, std::size_t of = 0) const {
    require_within("quantile", q, 0., 1.);
    const std::uint64_t* const c = row(of);
    const std::uint64_t all = count(of);
    if (all == 0) return 0;
    double left = q * static_cast<double>(all) - static_cast<double>(c[bins_]);
    if (left < 0 || (left == 0 && c[bins_] > 0)) return edge(0);
    double last = edge(0);
    for (std::size_t i = 0; i < bins_; ++i) {
      if (c[i] == 0) continue;
      const auto here = static_cast<double>(c[i]);
      if (left <= here) return edge(i) + (edge(i + 1) - edge(i)) * left / here;
      left -= here;
      last = edge(i + 1);
    }
    return c[bins_ + 1] > 0 ? edge(bins_) : last;
  }
  /// Mean and standard deviation of f(value) over the bins, each taken at its middle. Off by less than a bin's width.
  struct moments {
    double mean = 0, standard_deviation = 0;
  };
  template <class F>
  [[nodiscard]] moments moments_of(const F& f, std::size_t of = 0) const {
    double n = 0, mean = 0, squares = 0;
    for (std::size_t i = 0; i < bins_; ++i) {
      if (row(of)[i] == 0) continue;
      const auto here = static_cast<double>(row(of)[i]);
      const double off = f((edge(i) + edge(i + 1)) / 2) - mean;
      n += here;
      mean += off * here / n;
      squares += off * off * here * (n - here) / n;
    }
    return {mean, n > 1 ? std::sqrt(squares / (n - 1)) : 0};
  }

  [[nodiscard]] bool operator==(const histogram&) const = default;

private:
  unsigned shift_ = 51;
  std::uint64_t first_ = 0, bins_ = 0;
  std::size_t stride_ = 0, rows_ = 0;
  std::vector<std::uint64_t> counts_;
};

} // namespace lodewire
