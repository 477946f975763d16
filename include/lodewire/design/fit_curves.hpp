// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/design/fit.hpp>

namespace lodewire {

namespace detail {

/// What curvature adds to the logarithms on average, as a thing to take off (eq. 49; M. Box, 1971): second differences of
/// the residuals over one standard error along each axis of the covariance. Axes that are open, beyond a third, are left
/// out: there no second order helps. Cost: 2n evaluations.
[[nodiscard]] inline std::vector<double> curvature_bias(const residual_ref& f, const least_squares& s,
                                                        const symmetric_eigen& eigen) {
  const std::size_t n = s.x.size(), rows = s.residual.size();
  std::vector<double> bent(rows, 0.0), above(rows), below(rows), x(n), bias(n, 0.0);
  const auto sd = [&](std::size_t k) { return eigen.values[k] > 9 ? 1 / std::sqrt(eigen.values[k]) : 0; };
  for (std::size_t k = 0; k < n; ++k) {
    const auto moved = [&](double by, std::vector<double>& r) {
      for (std::size_t i = 0; i < n; ++i) x[i] = s.x[i] + by * eigen.vectors(i, k);
      f(x, r);
    };
    if (!(sd(k) > 1e-6)) continue;
    moved(sd(k), above);
    moved(-sd(k), below);
    for (std::size_t i = 0; i < rows; ++i) bent[i] += above[i] + below[i] - 2 * s.residual[i];
  }
  std::vector<double> slope(n, 0.0);
  for (std::size_t p = 0; p < n; ++p)
    for (std::size_t i = 0; i < rows; ++i) slope[p] += s.jacobian(i, p) * bent[i];
  for (std::size_t k = 0; k < n; ++k) {
    double along = 0;
    for (std::size_t p = 0; p < n; ++p) along += eigen.vectors(p, k) * slope[p];
    for (std::size_t p = 0; p < n; ++p) bias[p] -= 0.5 * sd(k) * sd(k) * along * eigen.vectors(p, k);
  }
  return bias;
}

/// Values, errors, residuals and criteria where the search ended (eq. 41 to 43, 46).
[[nodiscard]] inline fit_result fit_report(const fit_problem& problem, least_squares s, double noise,
                                           std::span<const double> given) {
  const std::size_t n = s.x.size();
  fit_result result;
  result.noise = noise;
  result.iterations = s.iterations;
  result.converged = s.converged;
  result.numbers = problem.rows;
  result.deviance = s.cost;

  fit_matrix data = normal_matrix(s.jacobian, problem.rows), all = normal_matrix(s.jacobian, s.jacobian.rows);
  double unknowns = 0;
  for (std::size_t k = 0; k < n; ++k) {
    const bool known = problem.unknowns[k].low == problem.unknowns[k].high;
    unknowns += !known;
    for (std::size_t i = 0; known && i < n; ++i) // all there is to know of it, nothing by it
      for (fit_matrix* a : {&data, &all}) (*a)(i, k) = (*a)(k, i) = i == k ? 1e24 : 0;
  }
  result.information = data.at;
  result.covariance = inverse(all).at;
  const std::vector<double> bias = curvature_bias(residual_ref(problem), s, symmetric_eigen(all));
  std::vector<bool> stands(n);
  for (std::size_t k = 0; k < n; ++k) {
    const fit_unknown& u = problem.unknowns[k];
    const double value = std::exp(s.x[k]);
    stands[k] = value <= u.low * (1 + 1e-9) || value >= u.high * (1 - 1e-9);
    // Half an error at most: beyond it the series does not hold.
    const double most = 0.5 * std::sqrt(result.covariance[k * n + k]);
    if (!stands[k])
      s.x[k] = (std::clamp)(s.x[k] - (std::clamp)(bias[k], -most, most), std::log(u.low), std::log(u.high));
  }
  const std::vector<double> p = problem.bare(s.x);
  for (std::size_t k = 0; k < n; ++k) {
    const fit_unknown& u = problem.unknowns[k];
    const bool known = u.low == u.high, pressed = !known && stands[k];
    const double error = known ? 0 : std::sqrt(result.covariance[k * n + k]);
    result.values.push_back({u.name, u.unit, p[k], error, pressed, known});
  }

  double log_weights = 0, squares = 0;
  std::size_t place = 0, row = 0;
  for (std::size_t k = 0; k < problem.curves.size(); ++k) {
    const measured_curve& c = problem.curves[k];
    const auto z = model_curve(problem.model(p, k), c.kind, c.hz);
    auto& residual = result.residuals.emplace_back();
    auto& weight = result.weights.emplace_back();
    for (std::size_t i = 0; i < c.size(); ++i, ++place) {
      const std::complex<double> q = z[i] / c.value[i];
      residual.push_back(c.magnitude_only ? std::abs(q) - 1.0 : q - 1.0);
      const double w = problem.weight[place] * noise / given[place];
      weight.push_back(w * w);
      const int parts = c.magnitude_only ? 1 : 2;
      for (int part = 0; part < parts; ++part, ++row) {
        squares += s.residual[row] * s.residual[row];
        log_weights += std::log(noise / given[place]);
      }
    }
    curve_misfit& e = result.misfits.emplace_back();
    for (const auto& r : residual) {
      e.rms += std::norm(r) / static_cast<double>(c.size());
      e.max = std::fmax(e.max, std::abs(r));
    }
    e.rms = std::sqrt(e.rms);
  }
  // The noise is one value more where it is found, not given.
  const double m = static_cast<double>(problem.rows), k = unknowns + 1;
  const double minus_two_log = squares + 2 * log_weights;
  result.bic = minus_two_log + k * std::log(m);
  result.aicc = minus_two_log + 2 * k + (m > k + 1 ? 2 * k * (k + 1) / (m - k - 1) : 1e6);
  return result;
}

} // namespace detail

/// The values that bring the circuits nearest to the curves, with their standard errors (docs/theory.md, eq. 40 to 46).
/// Nobody need guess: an unknown without a start is sought over its limits. Throws `invalid_value` for curves or
/// unknowns that are none, and what the model throws. Cost: some 2n evaluations of all curves an iteration, ten to fifty
/// iterations.
[[nodiscard]] inline fit_result fit_curves(std::span<const measured_curve> curves,
                                           std::span<const fit_unknown> unknowns, fit_model_ref model,
                                           const fit_options& options = {}) {
  detail::require_problem(curves, unknowns);
  detail::fit_problem problem(curves, unknowns, model);
  std::size_t rows = problem.rows;
  std::vector<double> low, high;
  for (const fit_unknown& u : unknowns) {
    low.push_back(std::log(u.low));
    high.push_back(std::log(u.high));
    rows += u.prior.has_value();
  }
  const std::vector<double> given = problem.weight;
  const detail::residual_ref residuals(problem);
  const auto search = [&](std::vector<double> x, int most) {
    return detail::minimise(residuals, rows, std::move(x), low, high, most);
  };

  // Until the noise is known, a prior counts as one point that is right to a per cent of its value.
  double noise = options.noise_is_given ? 1 : 0.01;
  for (double& w : problem.weight) w /= noise;
  detail::least_squares best;
  for (auto& start : detail::fit_starts(problem, rows)) {
    auto found = search(std::move(start), 60);
    if (best.x.empty() || found.cost < best.cost) best = std::move(found);
  }

  for (int round = 0; round < 12; ++round) {
    std::vector<double> size = problem.sizes(best.residual, given);
    if (!options.noise_is_given) {
      // The median first, which outliers do not move; then the mean square, which wastes nothing.
      const double before = noise;
      noise = options.robust && round == 0 ? problem.scatter(size) : problem.deviation(size, given, before);
      noise = std::fmax(noise, 1e-9); // below it is rounding
    }
    double changed = 0;
    for (std::size_t i = 0; i < given.size(); ++i) {
      const double over = size[i] / (3 * noise);
      const double w = given[i] / noise / (options.robust && over > 1 ? over : 1); // eq. 42
      changed = std::fmax(changed, std::abs(w / problem.weight[i] - 1));
      problem.weight[i] = w;
    }
    best = search(best.x, 60);
    if (round > 0 && changed < 1e-3) break;
  }

  return detail::fit_report(problem, best, noise, given);
}

} // namespace lodewire
