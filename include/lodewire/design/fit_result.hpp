// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/design/fit_solver.hpp>
#include <lodewire/design/measured_curve.hpp>

/// What a fit asks for and what it answers.
namespace lodewire {

/// A value that a fit is to find. Its logarithm is what moves: it stays positive.
struct fit_unknown {
  std::string name{};
  std::string unit{};            ///< Ω, H, F, or nothing
  double low = 0, high = 0;      ///< where it is sought, in SI; more than 0
  std::optional<double> start{}; ///< none: it is sought between the limits
  /// What is known of it beforehand, and its relative standard deviation (0.1: it is right to a tenth).
  std::optional<double> prior{};
  double prior_spread = 0.1;
};

struct fit_options {
  /// true: every curve's `spread` is its noise. false: spreads only weigh points against each other, and how much noise
  /// there is comes from the residuals.
  bool noise_is_given = false;
  bool robust = true; ///< points beyond three spreads lose weight (eq. 42)
};

/// A value found.
struct fit_value {
  std::string name{}, unit{};
  double value = 0;
  double error = 0;      ///< relative standard error: of the logarithm; 1e3 at most, which means 'not at all'
  bool at_limit = false; ///< the search ended there: what it is beyond, the data do not say
  bool known = false;    ///< its limits left no choice

  /// Ends of the range that holds the true value in 95 of 100 measurements.
  [[nodiscard]] double low() const { return value * std::exp(-1.96 * error); }
  [[nodiscard]] double high() const { return value * std::exp(1.96 * error); }
};

/// Values that the data give only in combination.
struct fit_blend {
  std::vector<std::size_t> unknowns{};
  std::vector<double> share{}; ///< how each moves along it: components of a unit vector in the logarithms
  double error = 0;            ///< relative standard error along it, from the data alone; 1e3 at most
};

struct fit_result {
  std::vector<fit_value> values{};
  std::vector<double> covariance{};  ///< of the logarithms, n × n, priors heeded
  std::vector<double> information{}; ///< its inverse without the priors, n × n: what the data alone say
  std::vector<std::vector<std::complex<double>>> residuals{}; ///< a curve, a point: model/measured - 1
  std::vector<std::vector<double>> weights{};                 ///< a curve, a point: 1, or less for an outlier
  std::vector<curve_misfit> misfits{};                        ///< a curve
  double noise = 0;         ///< standard deviation of a residual over its spread, as given or as found
  double deviance = 0;      ///< the weighted sum of squares over noise², priors and all
  double aicc = 0, bic = 0; ///< information criteria (eq. 46): of two models the lower one is better
  std::size_t numbers = 0;  ///< real numbers fitted to
  int iterations = 0;
  bool converged = false;

  /// The value of that name. Throws `invalid_value` that lists the names.
  [[nodiscard]] const fit_value& operator[](std::string_view name) const {
    std::string names;
    for (const fit_value& v : values) {
      if (v.name == name) return v;
      names.append(names.empty() ? "'" : ", '").append(v.name).append("'");
    }
    throw invalid_value("unknown", "'" + std::string(name) + "'", "one of " + names);
  }
  /// The bare values, in the order of the unknowns.
  [[nodiscard]] std::vector<double> parameters() const {
    std::vector<double> p;
    for (const fit_value& v : values) p.push_back(v.value);
    return p;
  }
  /// Correlation of two values, -1 to 1.
  [[nodiscard]] double correlation(std::size_t i, std::size_t k) const {
    const std::size_t n = values.size();
    return covariance.at(i * n + k) / std::sqrt(covariance.at(i * n + i) * covariance.at(k * n + k));
  }
};

/// Combinations of values that the data leave open by more than `error` (relative standard error; 0.25 if not said),
/// the widest first; values that are known to that on their own take no part. A prior may close what the data leave
/// open, and is not heeded here.
[[nodiscard]] inline std::vector<fit_blend> open_blends(const fit_result& r, double error = 0.25) {
  const std::size_t n = r.values.size();
  detail::fit_matrix a(n, n);
  a.at = r.information;
  const detail::symmetric_eigen eigen(a);
  std::vector<fit_blend> found;
  for (std::size_t k = 0; k < n; ++k) {
    const double sd = eigen.values[k] > 1e-6 ? 1 / std::sqrt(eigen.values[k]) : 1e3;
    if (!(sd > error)) continue; // a known value has all the information
    fit_blend blend;
    blend.error = sd;
    for (std::size_t i = 0; i < n; ++i)
      if (std::abs(eigen.vectors(i, k)) > 0.2) {
        blend.unknowns.push_back(i);
        blend.share.push_back(eigen.vectors(i, k));
      }
    found.push_back(std::move(blend));
  }
  std::sort(found.begin(), found.end(), [](const auto& x, const auto& y) { return x.error > y.error; });
  return found;
}

/// `neck C up, shared C down: known together, not apart (±40 %)`.
[[nodiscard]] inline std::string text_of(const fit_blend& b, const fit_result& r) {
  std::string s;
  for (std::size_t i = 0; i < b.unknowns.size(); ++i)
    s.append(i == 0 ? "" : ", ")
        .append(r.values[b.unknowns[i]].name)
        .append(b.share[i] * b.share[0] > 0 ? " up" : " down");
  s.append(b.unknowns.size() == 1 ? ": not known from these data" : ": known together, not apart");
  return s.append(b.error > 3 ? " (by no means)" : " (±" + plain_number(100 * b.error, 2) + " %)");
}

} // namespace lodewire
