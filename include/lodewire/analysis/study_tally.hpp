// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstdint>
#include <utility>
#include <vector>

#include <lodewire/analysis/histogram.hpp>
#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/units.hpp>

namespace lodewire {

/// What a study counted, in integers: two tallies of one study merge to the same in any order. Its size does not depend on
/// the number of builds (53 kB a frequency). Public, so that it can be stored and sent; made by `study::tally`.
struct study_tally {
  std::uint64_t builds = 0;
  std::uint64_t passed = 0; ///< kept all limits
  // A build may miss several.
  std::uint64_t missed_curve = 0, missed_peak = 0, missed_height = 0, missed_level = 0;
  std::uint64_t without_peak = 0;
  histogram curve;   ///< |H|², a row for each frequency: bins of at most 0.034 dB
  histogram level;   ///< |H|² at `study_plan::level_at`: at most 0.0042 dB
  histogram peak;    ///< frequency of the resonance in Hz: at most 0.1 %
  histogram height;  ///< its height over the low-frequency level as a power ratio: at most 0.0042 dB
  histogram quality; ///< its Q (see `resonance::quality`), where there is one: at most 0.1 %

  /// Adds what another shard of the same study counted. Throws `invalid_value` where it is of another study's shape.
  void merge(const study_tally& other) {
    study_tally sum = *this; // all or nothing
    sum.curve.merge(other.curve);
    sum.level.merge(other.level);
    sum.peak.merge(other.peak);
    sum.height.merge(other.height);
    sum.quality.merge(other.quality);
    for (const auto count :
         {&study_tally::builds, &study_tally::passed, &study_tally::missed_curve, &study_tally::missed_peak,
          &study_tally::missed_height, &study_tally::missed_level, &study_tally::without_peak})
      sum.*count += other.*count;
    *this = std::move(sum);
  }

  /// The fraction of builds that keep all limits; 0 without builds.
  [[nodiscard]] double yield() const noexcept {
    return builds == 0 ? 0 : static_cast<double>(passed) / static_cast<double>(builds);
  }
  /// Its standard error √(y(1 - y)/n).
  [[nodiscard]] double yield_error() const noexcept {
    return builds == 0 ? 0 : std::sqrt(yield() * (1 - yield()) / static_cast<double>(builds));
  }
  /// The curve below which the fraction q of builds lies, at each frequency by itself. 0 ≤ q ≤ 1; throws `invalid_value`.
  [[nodiscard]] std::vector<decibel> curve_quantile(double q) const {
    std::vector<decibel> levels;
    levels.reserve(curve.rows());
    for (std::size_t i = 0; i < curve.rows(); ++i) levels.push_back(power_level(curve.quantile(q, i)));
    return levels;
  }
  [[nodiscard]] decibel level_quantile(double q) const { return power_level(level.quantile(q)); }
  [[nodiscard]] frequency peak_quantile(double q) const { return frequency::from_value(peak.quantile(q)); }
  [[nodiscard]] decibel height_quantile(double q) const { return power_level(height.quantile(q)); }
  [[nodiscard]] double quality_quantile(double q) const { return quality.quantile(q); }

  [[nodiscard]] bool operator==(const study_tally&) const = default;
};

} // namespace lodewire
