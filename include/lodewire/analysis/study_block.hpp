// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <bit>
#include <cmath>
#include <span>
#include <utility>
#include <vector>

#include <lodewire/analysis/power_response.hpp>
#include <lodewire/analysis/study_kernel.hpp>
#include <lodewire/analysis/study_plan.hpp>
#include <lodewire/circuit/ring_composer.hpp>

/// One block of builds, from deviations to what a study counts.
namespace lodewire::detail {

/// A value of the circuit that some part moves (eq. 30).
struct moved_value {
  std::uint16_t slot;
  double nominal;
  std::vector<std::pair<std::size_t, varied_part::effect>> by; ///< number of the part
};

/// The room of one thread. deviations → compose → power, peaks.
template <int Width>
class study_block {
public:
  using value = sampled_value<Width>;

  study_block(const circuit& c, std::span<const moved_value> moved, std::size_t parts, const study_plan& plan)
      : code_(c.code), weights_(plan.weights), moved_(moved), composer_(code_), x_(parts * build_block) {
    for (const double v : c.values) values_.emplace_back(v);
    const double last = power_response::square_of(plan.search.to.value());
    for (double x = power_response::square_of(plan.search.from.value());;
         x = std::fmin(x * scan_step, last)) {
      scan_.push_back(x);
      if (!(x < last)) break;
    }
    reference_ = power_response::square_of(plan.search.reference.value());
    search_ = plan.search;
  }

  /// The deviations of part `part`, one a build of the block, to be filled in.
  [[nodiscard]] double* deviations(std::size_t part) noexcept { return x_.data() + part * build_block; }

  /// Composes the builds with these deviations.
  void compose() noexcept {
    for (const moved_value& m : moved_) {
      double* const v = values_[m.slot].v;
      std::fill_n(v, build_block, m.nominal);
      for (const auto& [part, effect] : m.by) {
        if (effect.slope == 0) continue;
        const double* const x = deviations(part);
        for (std::size_t b = 0; b < build_block; ++b) v[b] += effect.slope * x[b];
      }
      for (const auto& [part, effect] : m.by) {
        const double* const x = deviations(part);
        if (effect.power == 0) continue;
        if (effect.power == 1) {
          for (std::size_t b = 0; b < build_block; ++b) v[b] *= 1 + x[b];
        } else {
          for (std::size_t b = 0; b < build_block; ++b) v[b] *= std::pow(1 + x[b], effect.power);
        }
      }
    }
    composer_.compose(code_, values_.data(), weights_);
    const auto &n = composer_.numerator(), &d = composer_.denominator();
    if (sampled_system<Width>::is_zero(n)) { // 0, though it hang on an open
      degree_ = 0;
      n_[0] = value(0);
      d_[0] = value(1);
      return;
    }
    degree_ = (std::max)({n.stored(), d.stored(), std::size_t{1}}) - 1;
    for (std::size_t k = 0; k <= degree_; ++k) {
      n_[k] = k < n.stored() ? n.c[k] : value(0);
      d_[k] = k < d.stored() ? d.c[k] : value(0);
    }
  }

  /// |H|² at x[i] = ω_i²: power[i·build_block + b].
  void power(std::span<const double> x, double* out) const noexcept {
    sampled_power<Width>(n_, d_, degree_, x.data(), x.size(), out);
  }

  /// Finds the resonance of each build as `find_resonance` does; then `has_peak`, `peak_hz`, `height` tell.
  void find_peaks() noexcept {
    std::fill_n(peak_hz, build_block, 0.0);
    std::fill_n(height, build_block, 0.0);
    if (degree_ == 0) return;
    sampled_square(n_, degree_, n2_);
    sampled_square(d_, degree_, d2_);
    sampled_slope(n2_, d2_, degree_, slope_);
    std::size_t size = 2 * degree_;
    while (size > 0 && slope_[size - 1] == value(0)) --size;
    if (size < 2) return;
    std::size_t maxima[build_block] = {}, at[build_block] = {};
    for (std::size_t from = 0; from + 1 < scan_.size(); from += 63) {
      const std::size_t count = (std::min)(scan_.size() - from, std::size_t{64});
      std::uint64_t signs[build_block];
      sign_kernel<Width>(slope_, size, scan_.data() + from, count, signs);
      for (std::size_t b = 0; b < build_block; ++b) { // rising, then falling
        std::uint64_t turn = signs[b] & ~(signs[b] >> 1U) & 0x7fff'ffff'ffff'ffffU;
        // What lies behind the last point is padding of zeros, which never falls.
        if (turn == 0) continue;
        maxima[b] += static_cast<std::size_t>(std::popcount(turn));
        at[b] = from + static_cast<std::size_t>(std::countl_zero(turn)) - 1;
      }
    }
    double where[4][build_block], step[build_block], seen[4][build_block]; // low, high, peak, reference
    for (std::size_t b = 0; b < build_block; ++b) {
      where[0][b] = scan_[at[b]];
      where[1][b] = scan_[at[b] + 1];
      where[3][b] = reference_;
    }
    zero_kernel<Width>(slope_, size, where[0], where[1], where[2], step);
    power_kernel_any<Width>(n_, d_, degree_, where[0], false, 4, seen[0]);
    const std::size_t low = lowest(n_);
    const bool from_dc = low == lowest(d_);
    for (std::size_t b = 0; b < build_block; ++b) {
      if (maxima[b] == 0) continue;
      const double base =
          from_dc ? (n_[low].v[b] / d_[low].v[b]) * (n_[low].v[b] / d_[low].v[b]) : seen[3][b];
      const bool settled =
          where[2][b] > where[0][b] && where[2][b] < where[1][b] && std::abs(step[b]) < 1e-9 * where[2][b];
      if (maxima[b] > 1 || !settled) {
        find_alone(b);
      } else if (seen[2][b] - (seen[0][b] < seen[1][b] ? seen[0][b] : seen[1][b]) > 1e-11 * seen[2][b]) {
        peak_hz[b] = power_response::hertz_of(where[2][b]);
        height[b] = seen[2][b] / base;
      }
    }
  }

  double peak_hz[build_block]{}; ///< 0: no peak
  double height[build_block]{};  ///< |H|² of the peak over that of the low-frequency level

private:
  static constexpr double scan_step = 1.1547819846894583; // as in `find_resonance`

  [[nodiscard]] std::size_t lowest(const value* c) const noexcept {
    std::size_t k = 0;
    while (k < degree_ && c[k] == value(0)) ++k;
    return k;
  }

  /// Several maxima, or one that Newton missed: one build by itself.
  [[gnu::noinline]] void find_alone(std::size_t b) noexcept {
    polynomial<double> n, d;
    for (std::size_t k = 0; k <= degree_; ++k) {
      n.c[k] = n_[k].v[b];
      d.c[k] = d_[k].v[b];
    }
    n.size = d.size = degree_ + 1;
    const transfer_function h(n, d);
    if (!h.defined()) return;
    const resonance found = find_resonance(h, search_);
    if (!found.has_peak) return;
    peak_hz[b] = found.peak.value();
    height[b] = std::pow(10, found.height.value() / 10);
  }

  std::vector<instruction> code_;
  std::vector<double> weights_;
  std::span<const moved_value> moved_;
  ring_composer<sampled_system<Width>, value> composer_;
  std::vector<value> values_;
  std::vector<double> x_, scan_;
  double reference_ = 0;
  resonance_search search_;
  std::size_t degree_ = 0;
  value n_[polynomial_capacity], d_[polynomial_capacity], n2_[polynomial_capacity], d2_[polynomial_capacity];
  value slope_[2 * polynomial_capacity];
};

} // namespace lodewire::detail
