// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/evaluator.hpp>
#include <lodewire/design/fit_result.hpp>

/// Circuits fitted to measurements: one curve or several at once, unknowns shared between them.
namespace lodewire {

/// The circuits that the curves were measured on: any callable (parameters, number of the curve) -> source, by
/// reference; parameters in SI, in the order of the unknowns. Of an impedance curve it is the output impedance that
/// counts, of a response the sum over all EMFs in volts.
class fit_model_ref {
public:
  template <class Model>
  explicit(false) fit_model_ref(const Model& m)
      : object_(&m), call_([](const void* object, std::span<const double> p, std::size_t curve) -> source {
          return (*static_cast<const Model*>(object))(p, curve);
        }) {}
  [[nodiscard]] source operator()(std::span<const double> p, std::size_t curve) const {
    return call_(object_, p, curve);
  }

private:
  const void* object_;
  source (*call_)(const void*, std::span<const double>, std::size_t);
};

/// What a circuit has in place of a curve, at its frequencies.
[[nodiscard]] inline std::vector<std::complex<double>> model_curve(const source& s, curve_kind kind,
                                                                   std::span<const double> hz) {
  std::vector<std::complex<double>> out(hz.size());
  const circuit& c = s.as_circuit();
  evaluator e(c);
  require_no_conflict(kind == curve_kind::ohms ? e.impedances(c, hz, out)
                                               : e.responses(c, hz, std::span<const double>{}, out));
  return out;
}

namespace detail {

/// Curves, unknowns and weights as rows of least squares.
struct fit_problem {
  std::span<const measured_curve> curves;
  std::span<const fit_unknown> unknowns;
  fit_model_ref model;
  std::vector<double> weight{}; ///< a point: what multiplies its residual
  std::size_t rows = 0, points = 0;

  fit_problem(std::span<const measured_curve> c, std::span<const fit_unknown> u, fit_model_ref m)
      : curves(c), unknowns(u), model(m) {
    for (const measured_curve& curve : c) {
      points += curve.size();
      rows += curve.size() * (curve.magnitude_only ? 1 : 2);
      for (std::size_t i = 0; i < curve.size(); ++i)
        weight.push_back(1 / (curve.spread.empty() ? 1 : curve.spread[i]));
    }
  }

  [[nodiscard]] std::vector<double> bare(std::span<const double> x) const {
    std::vector<double> p;
    for (const double v : x) p.push_back(std::exp(v));
    return p;
  }
  /// ln(model/measured), its real and imaginary part (eq. 40), weighted; then the priors.
  void operator()(std::span<const double> x, std::span<double> r) const {
    const std::vector<double> p = bare(x);
    std::size_t row = 0, place = 0;
    for (std::size_t k = 0; k < curves.size(); ++k) {
      const measured_curve& c = curves[k];
      const auto z = model_curve(model(p, k), c.kind, c.hz);
      for (std::size_t i = 0; i < c.size(); ++i, ++place) {
        const std::complex<double> q = z[i] / c.value[i];
        // No model has nothing, or no number, where something was measured: as bad as can be, yet finite.
        const double square = std::norm(q);
        const bool sound = is_finite(square) && square > 1e-200 && square < 1e200;
        r[row++] = weight[place] * (sound ? 0.5 * std::log(square) : 230);
        if (!c.magnitude_only) r[row++] = sound ? weight[place] * std::arg(q) : 0;
      }
    }
    for (std::size_t k = 0; k < unknowns.size(); ++k)
      if (unknowns[k].prior) r[row++] = (x[k] - std::log(*unknowns[k].prior)) / unknowns[k].prior_spread;
  }
  /// |residual| of each point over √2 where it has two parts, without weight beyond its spread.
  [[nodiscard]] std::vector<double> sizes(std::span<const double> r, std::span<const double> given) const {
    std::vector<double> size;
    std::size_t row = 0, place = 0;
    for (const measured_curve& c : curves)
      for (std::size_t i = 0; i < c.size(); ++i, ++place) {
        double sum = r[row] * r[row];
        ++row;
        if (!c.magnitude_only) {
          sum += r[row] * r[row];
          ++row;
        }
        size.push_back(std::sqrt(sum / (c.magnitude_only ? 1 : 2)) * given[place] / weight[place]);
      }
    return size;
  }
  /// Standard deviation from the median of the sizes: outliers do not move it.
  [[nodiscard]] double scatter(std::vector<double> size) const {
    double expected = 0; // the median of what two normal parts, or one, give
    for (const measured_curve& c : curves)
      expected += static_cast<double>(c.size()) * (c.magnitude_only ? 0.67449 : 0.83255);
    const auto middle = size.begin() + static_cast<std::ptrdiff_t>(size.size() / 2);
    std::nth_element(size.begin(), middle, size.end());
    return *middle * static_cast<double>(points) / expected * freedom_factor();
  }
  /// Standard deviation from the mean square, each point with the share that its weight leaves it.
  [[nodiscard]] double deviation(std::span<const double> size, std::span<const double> given,
                                 double noise) const {
    double sum = 0, shares = 0;
    std::size_t place = 0;
    for (const measured_curve& c : curves)
      for (std::size_t i = 0; i < c.size(); ++i, ++place) {
        const double w = weight[place] * noise / given[place], share = (c.magnitude_only ? 1 : 2) * w * w;
        sum += share * size[place] * size[place];
        shares += share;
      }
    return std::sqrt(sum / std::fmax(shares - static_cast<double>(unknowns.size()), 1));
  }
  [[nodiscard]] double freedom_factor() const {
    const double m = static_cast<double>(rows), n = static_cast<double>(unknowns.size());
    return std::sqrt(m / std::fmax(m - n, 1));
  }
};

inline void require_problem(std::span<const measured_curve> curves, std::span<const fit_unknown> unknowns) {
  if (curves.empty()) throw invalid_value("curves", "an empty list", "one or more");
  if (unknowns.empty()) throw invalid_value("unknowns", "an empty list", "one or more");
  std::size_t numbers = 0;
  for (const measured_curve& c : curves) numbers += require_curve(c).size() * (c.magnitude_only ? 1 : 2);
  for (const fit_unknown& u : unknowns) {
    require_positive({u.name, "low"}, u.low);
    require_within({u.name, "high"}, u.high, u.low, 1e300);
    if (u.start) require_within({u.name, "start"}, *u.start, u.low, u.high);
    if (!u.prior) continue;
    require_positive({u.name, "prior"}, *u.prior);
    require_positive({u.name, "prior_spread"}, u.prior_spread);
    ++numbers;
  }
  if (numbers <= unknowns.size())
    throw invalid_value("curves", std::to_string(numbers) + " numbers in all",
                        "more than the " + std::to_string(unknowns.size()) + " unknowns");
}

/// Beginnings: what is given, or where it is not, points spread over the limits (Halton's sequence), the best of them.
[[nodiscard]] inline std::vector<std::vector<double>> fit_starts(const fit_problem& problem,
                                                                 std::size_t rows) {
  constexpr unsigned primes[] = {2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53};
  const auto halton = [](unsigned index, unsigned base) {
    double x = 0, part = 1;
    for (; index > 0; index /= base) x += (part /= base) * (index % base);
    return x;
  };
  std::size_t open = 0;
  for (const fit_unknown& u : problem.unknowns) open += !u.start;
  std::vector<std::pair<double, std::vector<double>>> tried;
  std::vector<double> r(rows);
  for (unsigned i = 1; i <= (open == 0 ? 1 : 60 * open); ++i) {
    std::vector<double> x;
    std::size_t axis = 0;
    for (const fit_unknown& u : problem.unknowns)
      x.push_back(u.start ? std::log(*u.start)
                          : std::log(u.low) + std::log(u.high / u.low) * halton(i, primes[axis++ % 16]));
    problem(x, r);
    tried.emplace_back(sum_of_squares(r), std::move(x));
  }
  std::sort(tried.begin(), tried.end());
  std::vector<std::vector<double>> best;
  for (std::size_t i = 0; i < tried.size() && i < 6; ++i) best.push_back(std::move(tried[i].second));
  return best;
}

/// J'J of the residuals, the first `rows` of them.
[[nodiscard]] inline fit_matrix normal_matrix(const fit_matrix& j, std::size_t rows) {
  fit_matrix a(j.columns, j.columns);
  for (std::size_t p = 0; p < j.columns; ++p)
    for (std::size_t q = 0; q < j.columns; ++q)
      for (std::size_t i = 0; i < rows; ++i) a(p, q) += j(i, p) * j(i, q);
  return a;
}

/// The inverse of a symmetric matrix; what it does not hold at all comes out as a variance of 1e6.
[[nodiscard]] inline fit_matrix inverse(const fit_matrix& a) {
  const symmetric_eigen eigen(a);
  fit_matrix v(a.rows, a.rows);
  for (std::size_t k = 0; k < a.rows; ++k) {
    const double variance = 1 / std::fmax(eigen.values[k], 1e-6);
    for (std::size_t i = 0; i < a.rows; ++i)
      for (std::size_t j = 0; j < a.rows; ++j)
        v(i, j) += variance * eigen.vectors(i, k) * eigen.vectors(j, k);
  }
  return v;
}

} // namespace detail

} // namespace lodewire
