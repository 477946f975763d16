// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/design/fit_curves.hpp>

/// Where data leave a combination open: how far it may go, what that does to a prediction, what to measure next.
namespace lodewire {

/// What a fit is asked to predict: any callable parameters -> number, by reference.
class fit_quantity_ref {
public:
  template <class Quantity>
  explicit(false) fit_quantity_ref(const Quantity& q)
      : object_(&q), call_([](const void* object, std::span<const double> p) -> double {
          return (*static_cast<const Quantity*>(object))(p);
        }) {}
  [[nodiscard]] double operator()(std::span<const double> p) const { return call_(object_, p); }

private:
  const void* object_;
  double (*call_)(const void*, std::span<const double>);
};

/// A prediction. It holds the true value in 95 of 100 measurements, as far as the model is right.
struct fit_range {
  double low = 0, centre = 0, high = 0; ///< centre: the middle
  double best = 0;                   ///< at the values found; where a combination is open it is one of many
  std::vector<std::size_t> walked{}; ///< the unknowns that were open, each walked from limit to limit
};

/// A fit with one value held.
struct held_fit {
  double held = 0, deviance = 0; ///< how much worse, in units of noise²; 3.84 is the 95 % limit
  std::vector<double> parameters{};
};

namespace detail {

/// The same fit again, the noise and the weights that it found fixed, so that deviances can be compared.
struct repeated_fit {
  std::vector<measured_curve> curves;
  std::vector<fit_unknown> unknowns;
  fit_model_ref model;
  double least = 0;

  repeated_fit(std::span<const measured_curve> c, std::span<const fit_unknown> u, fit_model_ref m,
               const fit_result& r)
      : curves(c.begin(), c.end()), unknowns(u.begin(), u.end()), model(m), least(r.deviance) {
    for (std::size_t k = 0; k < curves.size(); ++k)
      for (std::size_t i = 0; i < curves[k].size(); ++i) {
        if (curves[k].spread.empty()) curves[k].spread.assign(curves[k].size(), 1.0);
        curves[k].spread[i] *= r.noise / std::sqrt(r.weights[k][i]);
      }
  }
  [[nodiscard]] held_fit hold(std::size_t which, double value, std::span<const double> from) {
    std::vector<fit_unknown> u = unknowns;
    for (std::size_t k = 0; k < u.size(); ++k) u[k].start = (std::clamp)(from[k], u[k].low, u[k].high);
    u[which].low = u[which].high = value;
    u[which].start = value;
    const fit_result r = fit_curves(curves, u, model, {.noise_is_given = true, .robust = false});
    return {value, r.deviance - least, r.parameters()};
  }
};

} // namespace detail

/// The fit with unknown `which` held at values from where it was found out to where the fit gets worse by 3.84 (eq. 47)
/// or its limits are reached: all that the data allow. In rising order. Cost: some twenty fits.
[[nodiscard]] inline std::vector<held_fit> walk(std::span<const measured_curve> curves,
                                                std::span<const fit_unknown> unknowns, fit_model_ref model,
                                                const fit_result& result, std::size_t which) {
  if (which >= unknowns.size())
    throw invalid_value("unknown number", std::to_string(which),
                        "0 to " + std::to_string(unknowns.size() - 1));
  detail::repeated_fit again(curves, unknowns, model, result);
  constexpr double limit = 3.841; // of chi-square with one degree of freedom, 95 %
  const double from = result.values[which].value;
  std::vector<held_fit> found;
  for (const double end : {unknowns[which].low, unknowns[which].high}) {
    std::vector<double> at = result.parameters();
    double done = 0, step = 0.25; // shares of the way to the limit, in the logarithm
    for (int tries = 0; tries < 12 && done < 1 && step > 0.01 && from != end; ++tries) {
      const double share = (std::min)(done + step, 1.0);
      held_fit next = again.hold(which, share == 1 ? end : from * std::pow(end / from, share), at);
      if (next.deviance > limit) {
        step /= 3;
        continue;
      }
      done = share;
      at = next.parameters;
      found.push_back(std::move(next));
    }
  }
  found.push_back({from, 0, result.parameters()});
  std::sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.held < b.held; });
  return found;
}

/// What a quantity may be after a fit: from the covariance where the data decide, and where they leave a combination open
/// (`open_blends`), from a walk along it to the limits of its unknowns: those count as knowledge, so give them as such.
/// Throws what the model and the quantity throw. Cost: some twenty fits for each open combination.
[[nodiscard]] inline fit_range predict(std::span<const measured_curve> curves,
                                       std::span<const fit_unknown> unknowns, fit_model_ref model,
                                       const fit_result& result, fit_quantity_ref quantity) {
  const std::size_t n = unknowns.size();
  std::vector<double> p = result.parameters();
  fit_range range;
  range.best = quantity(p);
  std::vector<double> slope(n, 0.0);
  constexpr double step = 1e-4;
  for (std::size_t k = 0; k < n; ++k) {
    if (result.values[k].known) continue;
    const double value = p[k];
    p[k] = value * std::exp(step);
    const double above = quantity(p);
    p[k] = value * std::exp(-step);
    slope[k] = (above - quantity(p)) / (2 * step);
    p[k] = value;
  }
  // What the priors add is known, too: the covariance's own axes, not those of the data alone.
  detail::fit_matrix covariance(n, n);
  covariance.at = result.covariance;
  const detail::symmetric_eigen eigen(covariance);
  constexpr double open = 0.25 * 0.25; // beyond a quarter a straight line no longer predicts
  double variance = 0;
  for (std::size_t k = 0; k < n; ++k) {
    double along = 0;
    std::size_t most = n;
    for (std::size_t i = 0; i < n; ++i) {
      along += slope[i] * eigen.vectors(i, k);
      if (!result.values[i].known &&
          (most == n || std::abs(eigen.vectors(i, k)) > std::abs(eigen.vectors(most, k))))
        most = i;
    }
    if (!(eigen.values[k] > open))
      variance += along * along * (std::max)(eigen.values[k], 0.0);
    else if (std::find(range.walked.begin(), range.walked.end(), most) == range.walked.end())
      range.walked.push_back(most);
  }
  range.low = range.high = range.best;
  for (const std::size_t which : range.walked)
    for (const held_fit& f : walk(curves, unknowns, model, result, which)) {
      const double q = quantity(f.parameters);
      range.low = std::fmin(range.low, q);
      range.high = std::fmax(range.high, q);
    }
  range.low -= 1.96 * std::sqrt(variance);
  range.high += 1.96 * std::sqrt(variance);
  range.centre = (range.low + range.high) / 2;
  return range;
}

/// A measurement that could be made: number `curve` of the model, over these frequencies, to that relative spread.
struct fit_proposal {
  std::string name{};
  std::size_t curve = 0;
  curve_kind kind = curve_kind::ohms;
  std::vector<double> hz{};
  double spread = 0.005;
};

/// How well a combination would be known after it.
struct ranked_proposal {
  std::string name{};
  double error_before = 0,
         error_after = 0; ///< relative standard error along the combination; 1e3: not at all
};

/// Which of them would tell an open combination apart, the best one first: the information that each adds, by the model as
/// it was fitted (eq. 48). Cost: one evaluation of a curve for each unknown, twice.
[[nodiscard]] inline std::vector<ranked_proposal> rank_proposals(const fit_result& result,
                                                                 const fit_blend& blend, fit_model_ref model,
                                                                 std::span<const fit_proposal> proposals) {
  const std::size_t n = result.values.size();
  std::vector<double> direction(n, 0.0), x;
  for (std::size_t i = 0; i < blend.unknowns.size(); ++i) direction[blend.unknowns[i]] = blend.share[i];
  for (const fit_value& v : result.values) x.push_back(std::log(v.value));
  detail::fit_matrix before(n, n);
  before.at = result.information;
  const auto error = [&](const detail::fit_matrix& information) {
    const detail::fit_matrix v = detail::inverse(information);
    double variance = 0, square = 0;
    for (std::size_t i = 0; i < n; ++i) {
      square += direction[i] * direction[i];
      for (std::size_t k = 0; k < n; ++k) variance += direction[i] * v(i, k) * direction[k];
    }
    return std::fmin(std::sqrt(variance / square), 1e3);
  };
  std::vector<ranked_proposal> ranked;
  for (const fit_proposal& proposal : proposals) {
    const auto log_curve = [&](std::span<const double> at, std::span<double> r) {
      std::vector<double> p;
      for (const double v : at) p.push_back(std::exp(v));
      const auto z = model_curve(model(p, proposal.curve), proposal.kind, proposal.hz);
      for (std::size_t i = 0; i < z.size(); ++i) {
        r[2 * i] = 0.5 * std::log(std::norm(z[i])) / proposal.spread;
        r[2 * i + 1] = std::arg(z[i]) / proposal.spread;
      }
    };
    require_positive("proposal.spread", proposal.spread);
    detail::fit_matrix j(2 * proposal.hz.size(), n);
    detail::differentiate(detail::residual_ref(log_curve), x, j);
    detail::fit_matrix after = detail::normal_matrix(j, j.rows);
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t k = 0; k < n; ++k)
        after(i, k) = before(i, k) + (result.values[i].known || result.values[k].known ? 0 : after(i, k));
    ranked.push_back({proposal.name, error(before), error(after)});
  }
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const auto& a, const auto& b) { return a.error_after < b.error_after; });
  return ranked;
}

} // namespace lodewire
