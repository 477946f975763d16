// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/parts/rotation.hpp>
#include <lodewire/quantity/requirement.hpp>

namespace lodewire {

/// What an ohmmeter at the jack shows in a position.
struct meter_reading {
  std::string position{};
  resistance shown{};            ///< `open_value` where it shows none
  std::vector<rotation> knobs{}; ///< one a control; empty: as they stand in the instrument
};

/// How far meter and parts stray. Each is a limit; its standard uncertainty is the limit over √3 (JCGM 100:2008,
/// 4.3.7). Potentiometers have their own tolerance. Defaults: common practice, no source.
struct meter_limits {
  double meter = 0.01;                             ///< of the reading
  double winding = 0.05;                           ///< of a coil, as entered against as it is; 4 % are 10 K
  double travel = 0.05;                            ///< of a knob's rotation, where it is not at a stop
  resistance floor = resistance::from_value(5);    ///< below it contacts and leads decide
  resistance range = resistance::from_value(20e6); ///< above it the meter shows nothing
};

namespace detail {

inline void require_limits(const meter_limits& m) {
  for (const auto& [name, part] :
       {std::pair{"meter_limits.meter", m.meter}, std::pair{"meter_limits.winding", m.winding},
        std::pair{"meter_limits.travel", m.travel}})
    if (!is_finite(part) || !(part >= 0) || !(part < 1))
      throw invalid_value(name, plain_number(part), "0 or more, less than 1");
  require_positive("meter_limits.meter", m.meter);
  require_positive("meter_limits.floor", m.floor);
  require_positive("meter_limits.range", m.range);
}

/// ln of a reading: what the meter cannot tell from open is its range, what it cannot tell from 0 Ω is near the floor.
[[nodiscard]] inline double log_reading(double ohms, const meter_limits& m) {
  const double range = m.range.value();
  return std::log((is_open(ohms) || ohms > range ? range : ohms) + m.floor.value());
}

/// Covariance of the errors of all readings, as the lower triangle of its Cholesky decomposition L·Lᵀ, and how far each
/// reading can be off with everything at its limit.
class meter_spread {
public:
  meter_spread(std::vector<double> covariance, std::vector<double> limits)
      : l_(std::move(covariance)), limits_(std::move(limits)), n_{limits_.size()} {
    for (std::size_t i = 0; i < n_; ++i) {
      for (std::size_t k = 0; k <= i; ++k) {
        double sum = at(i, k);
        for (std::size_t j = 0; j < k; ++j) sum -= at(i, j) * at(k, j);
        at(i, k) = i == k ? std::sqrt(sum) : sum / at(k, k);
      }
    }
  }
  [[nodiscard]] double limit(std::size_t i) const noexcept { return limits_[i]; }
  [[nodiscard]] double chi_squared(std::vector<double> errors) const {
    double sum = 0;
    for (std::size_t i = 0; i < n_; ++i) {
      for (std::size_t k = 0; k < i; ++k) errors[i] -= l_[i * n_ + k] * errors[k];
      errors[i] /= l_[i * n_ + i];
      sum += errors[i] * errors[i];
    }
    return sum;
  }
  [[nodiscard]] double log_determinant() const {
    double sum = 0;
    for (std::size_t i = 0; i < n_; ++i) sum += 2 * std::log(l_[i * n_ + i]);
    return sum;
  }

private:
  [[nodiscard]] double& at(std::size_t i, std::size_t k) noexcept { return l_[i * n_ + k]; }
  std::vector<double> l_, limits_;
  std::size_t n_;
};

/// A reading as a function of a joint's resistance. Seen from the jack it is bilinear wherever the joint is,
/// R(r) = (a + b·r)/(1 + c·r), so that it is known from r = 0, from an open joint and from one value between.
class joint_curve {
public:
  joint_curve(double none, double between, double open, double probe) : none_{none}, open_{open} {
    if (is_open(none)) return; // what is open stays open
    if (is_open(open))
      slope_ = (between - none) / probe;
    else if (open != between) // where nothing changes, nothing is known of c, nor needed
      slope_ = (between - none) / (probe * (open - between));
  }
  [[nodiscard]] double operator()(double r) const noexcept {
    if (is_open(none_)) return open_value;
    return is_open(open_) ? none_ + slope_ * r : (none_ + open_ * slope_ * r) / (1 + slope_ * r);
  }

private:
  double none_, open_, slope_ = 0;
};

} // namespace detail

} // namespace lodewire
