// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <optional>
#include <vector>

#include <Eigen/Eigenvalues>

#include <lodewire/circuit/netlist_pencil.hpp>

namespace lodewire {

/// The generalised eigenvalues of a pencil by Eigen's QZ iteration (opt-in: takes 10 s to compile and more where it is
/// called, and Eigen's headers where it is only included). A template for that reason alone.
template <class Real = double>
struct basic_qz_eigenvalues {
  /// det(G + s·C) = 0, in the units of the pencil; those with C singular are left out. Nothing where the iteration has
  /// not converged: it fails now and then at 30 parts and more.
  [[nodiscard]] std::optional<std::vector<std::complex<double>>>
  operator()(const detail::netlist_pencil& p) const {
    using matrix = Eigen::Matrix<Real, Eigen::Dynamic, Eigen::Dynamic>;
    const auto n = static_cast<Eigen::Index>(p.size());
    if (n == 0) return std::vector<std::complex<double>>{};
    matrix a(n, n), b(n, n); // a·x = s·b·x
    for (std::size_t r = 0; r < p.size(); ++r)
      for (std::size_t k = 0; k < p.size(); ++k) {
        const auto row = static_cast<Eigen::Index>(r), column = static_cast<Eigen::Index>(k);
        a(row, column) = p.g(r, k);
        b(row, column) = -p.c(r, k);
      }
    Eigen::RealQZ<matrix> qz(n);
    qz.compute(a, b, false);
    if (qz.info() != Eigen::ComputationInfo{}) return std::nullopt;
    const matrix& s = qz.matrixS();
    const matrix& t = qz.matrixT();
    std::vector<std::complex<double>> values;
    for (Eigen::Index k = 0; k < n; ++k) {
      if (k + 1 == n || s(k + 1, k) == 0) {
        if (t(k, k) != 0) values.emplace_back(s(k, k) / t(k, k));
        continue;
      }
      // Two by two: det(S - λ·T) = 0, T upper triangular.
      const Real t11 = t(k, k), t12 = t(k, k + 1), t22 = t(k + 1, k + 1);
      const Real s11 = s(k, k), s12 = s(k, k + 1), s21 = s(k + 1, k), s22 = s(k + 1, k + 1);
      const Real lead = t11 * t22, linear = s11 * t22 + s22 * t11 - s21 * t12,
                 constant = s11 * s22 - s12 * s21;
      const Real half = linear / (2 * lead), square = half * half - constant / lead;
      if (square < 0) {
        values.emplace_back(half, std::sqrt(-square));
        values.emplace_back(half, -std::sqrt(-square));
      } else {
        const Real larger = half + std::copysign(std::sqrt(square), half);
        values.emplace_back(larger);
        values.emplace_back(larger != 0 ? constant / lead / larger : Real(0));
      }
      ++k;
    }
    return values;
  }
};

using qz_eigenvalues = basic_qz_eigenvalues<>;

} // namespace lodewire
