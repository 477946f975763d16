// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <span>
#include <string>
#include <vector>

#include <lodewire/analysis/study_plan.hpp>

/// Which part to buy tighter: how much of a result's variance comes from which part, to first order in the deviations.
namespace lodewire {

/// Standard deviation of a result and each part's share of its variance. The shares sum to 1 (one may be negative, where
/// parts that move together work against each other); all 0 where nothing varies.
struct variance_shares {
  double standard_deviation = 0; ///< in the unit of the slopes
  std::vector<double> share;
};

/// From the slopes of the result with respect to each part's deviation (`find_resonance_sensitivity` and the like) and the
/// parts' distributions (eq. 34): Var = Σ s_i·s_k·σ_i·σ_k·ρ_ik. Correlations are those of the groups, which for
/// distributions that are not normal is an approximation. Throws `invalid_value` for lists of unlike length.
[[nodiscard]] inline variance_shares find_variance_shares(std::span<const double> slopes,
                                                          std::span<const toleranced_part> parts) {
  if (slopes.size() != parts.size())
    throw invalid_value("variance_shares.slopes", std::to_string(slopes.size()) + " entries",
                        std::to_string(parts.size()) + ", one for each part");
  variance_shares found;
  double sum = 0;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const double own = slopes[i] * parts[i].law.standard_deviation();
    double with_all = own * own;
    for (std::size_t k = 0; k < parts.size(); ++k)
      if (k != i && !parts[i].group.empty() && parts[i].group == parts[k].group)
        with_all += own * slopes[k] * parts[k].law.standard_deviation() *
                    std::sqrt(parts[i].correlation * parts[k].correlation);
    found.share.push_back(with_all);
    sum += with_all;
  }
  if (!(sum > 0)) return found;
  for (double& x : found.share) x /= sum;
  found.standard_deviation = std::sqrt(sum);
  return found;
}

} // namespace lodewire
