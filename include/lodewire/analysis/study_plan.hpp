// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <lodewire/analysis/distribution.hpp>
#include <lodewire/analysis/grid.hpp>
#include <lodewire/analysis/level.hpp>
#include <lodewire/analysis/resonance.hpp>
#include <lodewire/analysis/varied_part.hpp>

/// What a tolerance study is told.
namespace lodewire {

/// A part and how it is spread over the builds. Parts of one group move together: the two coils of one pickup, both
/// gangs of a potentiometer, capacitors of one reel.
struct toleranced_part {
  varied_part part;
  distribution law;
  /// Empty: independent of all others.
  std::string group{};
  /// Between the normal variables that any two parts of the group are drawn from (a Gaussian copula: every part keeps its
  /// own distribution), 0 to 1; the same for all parts of a group, or √(ρ_i·ρ_k) for two. 1: they are off by the same
  /// quantile.
  double correlation = 1;
};

/// What a build has to keep. A limit that is not given is kept by all; one on resonance or height is missed by a build
/// without a peak.
struct study_limits {
  std::vector<double> curve_lowest_db{};  ///< one for each frequency of the grid, or none
  std::vector<double> curve_highest_db{}; ///< likewise
  std::optional<frequency> peak_lowest{};
  std::optional<frequency> peak_highest{};
  std::optional<decibel> height_lowest{};
  std::optional<decibel> height_highest{};
  std::optional<decibel> level_lowest{};
  std::optional<decibel> level_highest{};
};

/// What is watched.
struct study_plan {
  std::vector<double> hz{}; ///< of the curve; may be empty
  std::uint64_t seed = 0;
  std::vector<double> weights{}; ///< of the EMFs; those past the end count 1
  frequency level_at = low_level_frequency;
  bool with_resonance = true; ///< resonance, height and Q of each build, some 0.2 µs more
  resonance_search search{};
  study_limits limits{};
};

namespace detail {

/// Refuses what is no plan.
inline void require_plan(const study_plan& plan) {
  if (!plan.hz.empty()) require_grid(plan.hz);
  require_positive("study_plan.level_at", plan.level_at);
  require_search(plan.search);
  for (const double w : plan.weights) require_finite("study_plan.weights", w);
  const auto of_grid = [&](const char* name, const std::vector<double>& db) {
    if (!db.empty() && db.size() != plan.hz.size())
      throw invalid_value(name, std::to_string(db.size()) + " entries",
                          "none, or " + std::to_string(plan.hz.size()) + ", one for each frequency");
    for (const double x : db) require_finite(name, x);
  };
  of_grid("study_limits.curve_lowest_db", plan.limits.curve_lowest_db);
  of_grid("study_limits.curve_highest_db", plan.limits.curve_highest_db);
  const study_limits& l = plan.limits;
  if (!plan.with_resonance && (l.peak_lowest || l.peak_highest || l.height_lowest || l.height_highest))
    throw invalid_value("study_plan.with_resonance", "false with limits on resonance or height", "true");
}

} // namespace detail

} // namespace lodewire
