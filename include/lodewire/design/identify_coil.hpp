// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/design/curve_suspicion.hpp>
#include <lodewire/design/fit_coil.hpp>
#include <lodewire/design/fit_curves.hpp>

/// Which coil was measured? Nobody need guess, neither values nor how many eddy branches.
namespace lodewire {

struct coil_search {
  std::size_t most_branches = 2;
  /// What stands between coil and jack and is known (controls, a cable): `in_shunt(...)`, a wired potentiometer.
  stage known{};
  fit_options fit{};
};

/// One model that was tried.
struct coil_model {
  coil_unknowns shape{};
  fit_result fit{};
  magnetic_coil coil{};
};

struct identified_coil {
  std::vector<coil_model> tried{};       ///< from the fewest values to the most
  std::size_t chosen = 0;                ///< the one with the lowest BIC
  std::vector<std::string> suspicions{}; ///< what looks wrong with the curve

  [[nodiscard]] const coil_model& best() const { return tried[chosen]; }
};

/// Fits the coil of that shape behind `known` to an impedance curve. Throws as `fit_curves`. Cost: some milliseconds.
[[nodiscard]] inline coil_model fit_coil(const measured_curve& curve, const coil_unknowns& shape,
                                         const stage& known = {}, const fit_options& options = {}) {
  if (curve.kind != curve_kind::ohms)
    throw invalid_value(curve.name, "a voltage ratio", "an impedance (see impedance_from_divider)");
  coil_model m;
  m.shape = shape;
  const auto model = [&](std::span<const double> p, std::size_t) { return source(shape.coil(p)) | known; };
  const curve_features features = find_features(curve);
  std::vector<std::vector<fit_unknown>> starts;
  for (const magnetic_coil& start : starting_coils(features, shape.branches, shape.parallel_loss))
    shape.append_to(starts.emplace_back(), "coil", start);
  // A few steps from each; the best one goes on.
  const std::span<const measured_curve> curves(&curve, 1);
  std::vector<double> low, high;
  for (const fit_unknown& u : starts[0]) {
    low.push_back(std::log(u.low));
    high.push_back(std::log(u.high));
  }
  detail::require_problem(curves, starts[0]);
  detail::least_squares best;
  std::vector<fit_unknown> unknowns = starts[0];
  for (const auto& start : starts) {
    if (starts.size() == 1) break;
    const detail::fit_problem problem(curves, start, model);
    std::vector<double> x;
    for (const fit_unknown& u : start) x.push_back(std::log(*u.start));
    auto found = detail::minimise(detail::residual_ref(problem), problem.rows, std::move(x), low, high, 12);
    if (best.x.empty() || found.cost < best.cost) best = std::move(found);
  }
  // The branch with the higher corner comes first: without an order the two could change places.
  if (shape.branches == 2 && best.x[4] - best.x[3] < best.x[6] - best.x[5]) {
    std::swap(best.x[3], best.x[5]);
    std::swap(best.x[4], best.x[6]);
  }
  for (std::size_t k = 0; k < best.x.size(); ++k)
    unknowns[k].start = (std::clamp)(std::exp(best.x[k]), unknowns[k].low, unknowns[k].high);
  m.fit = fit_curves(curves, unknowns, model, options);
  m.coil = shape.coil(m.fit.parameters());
  return m;
}

/// Fits 0, 1 and 2 eddy branches, each with and without a loss across the winding, and says which of them the data
/// justify (eq. 46). Throws `invalid_value` as `fit_curves`, and for a curve that none of them comes near to within
/// 30 % rms: noise, or no coil. Cost: some tens of milliseconds.
[[nodiscard]] inline identified_coil identify_coil(const measured_curve& curve,
                                                   const coil_search& search = {}) {
  identified_coil found;
  found.suspicions = find_suspicions(curve);
  for (std::size_t branches = 0; branches <= search.most_branches; ++branches)
    for (const bool loss : {false, true}) {
      const coil_unknowns shape{branches, loss};
      if (shape.count() + 2 > curve.size() * (curve.magnitude_only ? 1 : 2)) continue;
      found.tried.push_back(fit_coil(curve, shape, search.known, search.fit));
      if (found.tried.back().fit.bic < found.best().fit.bic) found.chosen = found.tried.size() - 1;
    }
  if (found.tried.empty())
    throw invalid_value(curve.name, std::to_string(curve.size()) + " points", "enough for R, L and C");
  if (const double rms = found.best().fit.misfits[0].rms; !(rms < 0.3)) {
    std::string what = "no coil: the best fit is off by " + plain_number(100 * rms, 2) + " % rms";
    for (const std::string& s : found.suspicions) what.append("; ").append(s);
    throw invalid_value(curve.name, what, "the impedance of a coil, more signal than noise");
  }
  return found;
}

} // namespace lodewire
