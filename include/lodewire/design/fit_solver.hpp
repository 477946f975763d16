// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <vector>

#include <lodewire/quantity/finite.hpp>

/// The least squares of a fit: Levenberg and Marquardt's way over Householder reductions of small dense matrices, some
/// 150 lines of plain vectors. No Eigen: its solver of that name lies in the folder that it calls unsupported, takes
/// neither limits nor priors nor weights that change, and costs seconds to compile; tests hold this one against it.
namespace lodewire::detail {

/// Rows × columns, one column after the other.
struct fit_matrix {
  std::size_t rows = 0, columns = 0;
  std::vector<double> at{};

  fit_matrix() = default;
  fit_matrix(std::size_t r, std::size_t c) : rows(r), columns(c), at(r * c, 0.0) {}
  [[nodiscard]] double& operator()(std::size_t r, std::size_t c) { return at[c * rows + r]; }
  [[nodiscard]] double operator()(std::size_t r, std::size_t c) const { return at[c * rows + r]; }
};

/// Residuals of parameters: any callable f(parameters, residuals), by reference.
class residual_ref {
public:
  template <class F>
  explicit residual_ref(const F& f)
      : object_(&f), call_([](const void* object, std::span<const double> x, std::span<double> r) {
          (*static_cast<const F*>(object))(x, r);
        }) {}
  void operator()(std::span<const double> x, std::span<double> r) const { call_(object_, x, r); }

private:
  const void* object_;
  void (*call_)(const void*, std::span<const double>, std::span<double>);
};

/// Householder's reduction in place: A (m ≥ n) becomes its triangle R, b becomes Qᵀb. Cost: 2·m·n².
inline void reduce(fit_matrix& a, std::span<double> b) {
  const std::size_t m = a.rows;
  for (std::size_t k = 0; k < a.columns && k < m; ++k) {
    double* const v = &a.at[k * m];
    double norm = 0;
    for (std::size_t i = k; i < m; ++i) norm += v[i] * v[i];
    norm = std::sqrt(norm);
    if (norm == 0) continue;
    const double head = v[k] > 0 ? -norm : norm; // away from cancellation
    const double first = v[k] - head, beta = -1 / (head * first);
    v[k] = first;
    const auto reflect = [&](double* y) {
      double dot = 0;
      for (std::size_t i = k; i < m; ++i) dot += v[i] * y[i];
      dot *= beta;
      for (std::size_t i = k; i < m; ++i) y[i] -= dot * v[i];
    };
    for (std::size_t c = k + 1; c < a.columns; ++c) reflect(&a.at[c * m]);
    reflect(b.data());
    v[k] = head;
    for (std::size_t i = k + 1; i < m; ++i) v[i] = 0;
  }
}

/// The smallest Σ(A·x - b)², with damping·scale_k·x_k as further rows. A: upper triangle from `reduce`.
[[nodiscard]] inline std::vector<double> damped_solution(const fit_matrix& r, std::span<const double> b,
                                                         std::span<const double> scale, double damping) {
  const std::size_t n = r.columns;
  fit_matrix a(2 * n, n);
  std::vector<double> y(2 * n, 0.0), x(n, 0.0);
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t i = 0; i <= k; ++i) a(i, k) = r(i, k);
    a(n + k, k) = damping * scale[k];
    y[k] = b[k];
  }
  reduce(a, y);
  for (std::size_t k = n; k-- > 0;) {
    double sum = y[k];
    for (std::size_t c = k + 1; c < n; ++c) sum -= a(k, c) * x[c];
    x[k] = a(k, k) == 0 ? 0 : sum / a(k, k);
  }
  return x;
}

/// Eigenvalues and, in the columns, eigenvectors of a symmetric matrix: Jacobi's rotations. Cost: some 10·n³.
struct symmetric_eigen {
  std::vector<double> values{};
  fit_matrix vectors{};

  explicit symmetric_eigen(fit_matrix a) : values(a.rows), vectors(a.rows, a.rows) {
    const std::size_t n = a.rows;
    for (std::size_t k = 0; k < n; ++k) vectors(k, k) = 1;
    for (int sweep = 0; sweep < 60; ++sweep) {
      double off = 0, on = 0;
      for (std::size_t p = 0; p < n; ++p) {
        on += a(p, p) * a(p, p);
        for (std::size_t q = p + 1; q < n; ++q) off += a(p, q) * a(p, q);
      }
      if (!(off > 1e-32 * on)) break;
      for (std::size_t p = 0; p < n; ++p)
        for (std::size_t q = p + 1; q < n; ++q) rotate(a, p, q);
    }
    for (std::size_t k = 0; k < n; ++k) values[k] = a(k, k);
  }

private:
  void rotate(fit_matrix& a, std::size_t p, std::size_t q) {
    if (a(p, q) == 0) return;
    const double theta = (a(q, q) - a(p, p)) / (2 * a(p, q));
    const double t = (theta < 0 ? -1 : 1) / (std::abs(theta) + std::sqrt(theta * theta + 1));
    const double c = 1 / std::sqrt(t * t + 1), s = t * c;
    for (std::size_t i = 0; i < a.rows; ++i) {
      const double x = a(i, p), y = a(i, q);
      a(i, p) = c * x - s * y;
      a(i, q) = s * x + c * y;
    }
    for (std::size_t i = 0; i < a.rows; ++i) {
      const double x = a(p, i), y = a(q, i);
      a(p, i) = c * x - s * y;
      a(q, i) = s * x + c * y;
      const double v = vectors(i, p), w = vectors(i, q);
      vectors(i, p) = c * v - s * w;
      vectors(i, q) = s * v + c * w;
    }
  }
};

/// Where a search ended.
struct least_squares {
  std::vector<double> x{}, residual{};
  double cost = 0; ///< Σ residual²
  fit_matrix jacobian{};
  int iterations = 0;
  bool converged = false;
};

/// Central differences. The parameters are logarithms and the model is exact, so a step of 1e-5 leaves a slope right
/// to some 1e-9; two vectorised evaluations a parameter cost less than one in dual numbers, and whatever a part's
/// own formula does to its value (a track in two, a pair of coils, a power law) is differentiated with it.
inline void differentiate(const residual_ref& f, std::span<const double> x, fit_matrix& jacobian) {
  constexpr double step = 1e-5;
  std::vector<double> at(x.begin(), x.end()), above(jacobian.rows), below(jacobian.rows);
  for (std::size_t k = 0; k < at.size(); ++k) {
    at[k] = x[k] + step;
    f(at, above);
    at[k] = x[k] - step;
    f(at, below);
    at[k] = x[k];
    for (std::size_t i = 0; i < jacobian.rows; ++i) jacobian(i, k) = (above[i] - below[i]) / (2 * step);
  }
}

[[nodiscard]] inline double sum_of_squares(std::span<const double> r) {
  double sum = 0;
  for (const double v : r) sum += v * v;
  return is_finite(sum) ? sum : 1e300;
}

/// The least Σ residual² within the limits, from x. A parameter that is pressed against a limit stays there. Cost: 2n
/// evaluations of the residuals an iteration.
[[nodiscard]] inline least_squares minimise(const residual_ref& f, std::size_t rows, std::vector<double> x,
                                            std::span<const double> low, std::span<const double> high,
                                            int most = 100) {
  const std::size_t n = x.size();
  least_squares s{std::move(x), std::vector<double>(rows), 0, fit_matrix(rows, n)};
  f(s.x, s.residual);
  s.cost = sum_of_squares(s.residual);
  double damping = 1e-2, grow = 2;
  std::vector<double> trial(n), r(rows);
  while (s.iterations < most && !s.converged) {
    ++s.iterations;
    differentiate(f, s.x, s.jacobian);
    fit_matrix a = s.jacobian;
    std::vector<double> scale(n), b(rows);
    for (std::size_t k = 0; k < n; ++k) {
      double slope = 0, size = 0;
      for (std::size_t i = 0; i < rows; ++i) {
        slope += a(i, k) * s.residual[i];
        size += a(i, k) * a(i, k);
      }
      const bool pressed = (s.x[k] <= low[k] && slope > 0) || (s.x[k] >= high[k] && slope < 0);
      if (pressed) std::fill_n(&a.at[k * rows], rows, 0.0);
      // The floor keeps what the data say nothing about where it is.
      scale[k] = std::fmax(std::sqrt(size), 1e-9 * std::sqrt(s.cost / static_cast<double>(rows)) + 1e-12);
    }
    for (std::size_t i = 0; i < rows; ++i) b[i] = -s.residual[i];
    reduce(a, b);
    for (bool better = false; !better && !s.converged;) {
      const std::vector<double> d = damped_solution(a, b, scale, std::sqrt(damping));
      double longest = 0;
      for (const double v : d) longest = std::fmax(longest, std::abs(v));
      const double shorten = longest > 2 ? 2 / longest : 1;
      double moved = 0;
      for (std::size_t k = 0; k < n; ++k) {
        trial[k] = (std::clamp)(s.x[k] + shorten * d[k], low[k], high[k]);
        moved = std::fmax(moved, std::abs(trial[k] - s.x[k]));
      }
      f(trial, r);
      const double cost = sum_of_squares(r);
      better = cost < s.cost;
      const double gain = s.cost - cost;
      if (better) {
        // Down a narrow valley the cost stands still long before the step does.
        s.converged = moved < 1e-10 || (gain < 1e-11 * s.cost && moved < 1e-4);
        s.x = trial;
        s.residual = r;
        s.cost = cost;
        damping = std::fmax(damping / 5, 1e-14);
        grow = 2;
      } else {
        s.converged = moved < 1e-9 || damping > 1e12;
        damping *= grow;
        grow *= 2;
      }
    }
  }
  differentiate(f, s.x, s.jacobian);
  return s;
}

} // namespace lodewire::detail
