// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <functional>
#include <span>
#include <string>
#include <vector>

/// What is timed side by side must give the same: checked before anything is timed.
namespace bench {

struct agreement {
  std::string name;
  double bound;                       ///< of the largest relative difference
  std::function<double()> difference; ///< computes it
};
[[nodiscard]] inline std::vector<agreement>& agreements() {
  static std::vector<agreement> all;
  return all;
}

/// max |a - b|/|b|; infinite where the lengths differ or something is not finite.
[[nodiscard]] inline double largest_difference(std::span<const std::complex<double>> a,
                                               std::span<const std::complex<double>> b) {
  double largest = a.size() == b.size() && !a.empty() ? 0 : HUGE_VAL;
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
    const double off = std::abs(a[i] - b[i]) / std::abs(b[i]);
    largest = std::isfinite(off) ? std::max(largest, off) : HUGE_VAL;
  }
  return largest;
}

/// Registers rows or agreements before main.
struct at_start {
  template <class F>
  explicit at_start(const F& f) {
    f();
  }
};

} // namespace bench
