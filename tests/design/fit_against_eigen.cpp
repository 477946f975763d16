// SPDX-License-Identifier: BSL-1.0
// The least squares of a fit against another's: Eigen's Levenberg-Marquardt (its unsupported NonLinearOptimization).
#include <cmath>
#include <complex>
#include <span>
#include <vector>

#include <unsupported/Eigen/NonLinearOptimization>

#include <doctest/doctest.h>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/design/fit_coil.hpp>
#include <lodewire/design/fit_curves.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"
#include "noisy_coil.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::near;
using noisy_coil::coil_model_of;
using noisy_coil::measured;
using noisy_coil::shape;
using noisy_coil::truth;
using noisy_coil::unknowns_for;
using complex = std::complex<double>;

namespace {

/// The same residuals as a functor of Eigen's.
struct eigen_problem {
  using Scalar = double;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };
  using InputType = Eigen::VectorXd;
  using ValueType = Eigen::VectorXd;
  using JacobianType = Eigen::MatrixXd;
  const lodewire::detail::fit_problem* problem;

  [[nodiscard]] int inputs() const { return static_cast<int>(problem->unknowns.size()); }
  [[nodiscard]] int values() const { return static_cast<int>(problem->rows); }
  int operator()(const Eigen::VectorXd& x, Eigen::VectorXd& r) const {
    (*problem)(std::span(x.data(), static_cast<std::size_t>(x.size())),
               std::span(r.data(), static_cast<std::size_t>(r.size())));
    return 0;
  }
  int df(const Eigen::VectorXd& x, Eigen::MatrixXd& j) const {
    lodewire::detail::fit_matrix m(problem->rows, problem->unknowns.size());
    lodewire::detail::differentiate(lodewire::detail::residual_ref(*problem),
                                    std::span(x.data(), static_cast<std::size_t>(x.size())), m);
    j = Eigen::Map<const Eigen::MatrixXd>(m.at.data(), static_cast<Eigen::Index>(m.rows),
                                          static_cast<Eigen::Index>(m.columns));
    return 0;
  }
};

} // namespace

TEST_CASE("the minimum is the one that Eigen's Levenberg-Marquardt finds") {
  const measured_curve c = measured(0.01);
  const std::vector<fit_unknown> u = unknowns_for(c);
  const std::span<const measured_curve> curves(&c, 1);
  const lodewire::detail::fit_problem problem(curves, u, coil_model_of);
  std::vector<double> start;
  for (const fit_unknown& k : u) start.push_back(std::log(*k.start));
  Eigen::VectorXd x =
      Eigen::Map<const Eigen::VectorXd>(start.data(), static_cast<Eigen::Index>(start.size()));
  eigen_problem functor{&problem};
  Eigen::LevenbergMarquardt<eigen_problem> theirs(functor);
  theirs.parameters.ftol = theirs.parameters.xtol = 1e-14;
  theirs.minimize(x);

  std::vector<double> low, high;
  for (const fit_unknown& k : u) {
    low.push_back(std::log(k.low));
    high.push_back(std::log(k.high));
  }
  const auto least =
      lodewire::detail::minimise(lodewire::detail::residual_ref(problem), problem.rows, start, low, high);
  CHECK(least.converged);
  CHECK(near(std::sqrt(least.cost), theirs.fnorm, 1e-10));
  const fit_result ours = fit_curves(curves, u, coil_model_of, {.robust = false});
  CHECK(ours.converged);
  for (std::size_t k = 0; k < u.size(); ++k) {
    CAPTURE(u[k].name);
    const double minimum = x[static_cast<Eigen::Index>(k)];
    CHECK(std::abs(least.x[k] - minimum) < 1e-6);
    // What curvature adds is taken off: a part of the error.
    CHECK(std::abs(std::log(ours.values[k].value) - minimum) < 0.3 * ours.values[k].error);
  }
  // Variance of the residuals from theirs, covariance (JᵀJ)⁻¹ by Eigen.
  Eigen::MatrixXd j;
  functor.df(x, j);
  const double variance = theirs.fnorm * theirs.fnorm / (functor.values() - functor.inputs());
  const Eigen::MatrixXd covariance =
      variance * Eigen::ColPivHouseholderQR<Eigen::MatrixXd>(j.transpose() * j).inverse();
  CHECK(near(ours.noise, std::sqrt(variance), 1e-6));
  for (std::size_t k = 0; k < u.size(); ++k) {
    const auto i = static_cast<Eigen::Index>(k);
    CHECK(near(ours.values[k].error, std::sqrt(covariance(i, i)), 1e-5));
    CHECK(std::abs(ours.correlation(k, 0) -
                   covariance(i, 0) / std::sqrt(covariance(i, i) * covariance(0, 0))) < 1e-5);
  }
}
