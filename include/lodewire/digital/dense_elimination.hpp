// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

namespace lodewire::detail {

/// Gauss–Jordan elimination of a small real system with many right-hand sides: rows scaled to their largest entry,
/// then the largest pivot of all that is left. What no equation decides (a node in the air, the share of each of two
/// shorts) is 0. Cost: the square of the unknowns times unknowns and right-hand sides.
class dense_elimination {
public:
  dense_elimination(std::size_t unknowns, std::size_t columns)
      : n_{unknowns}, width_{unknowns + columns}, a_(unknowns * width_), row_of_(unknowns, unknowns) {}

  [[nodiscard]] double& at(std::size_t row, std::size_t unknown) noexcept {
    return a_[row * width_ + unknown];
  }
  [[nodiscard]] double& right(std::size_t row, std::size_t column) noexcept {
    return a_[row * width_ + n_ + column];
  }

  /// False where equations contradict each other.
  [[nodiscard]] bool solve() noexcept {
    constexpr double least = 1e-12;
    for (std::size_t r = 0; r < n_; ++r) {
      double largest = 0;
      for (std::size_t c = 0; c < n_; ++c) largest = std::fmax(largest, std::abs(at(r, c)));
      if (!(largest > 0)) continue;
      const double scale = std::exp2(-std::floor(std::log2(largest)));
      for (std::size_t c = 0; c < width_; ++c) a_[r * width_ + c] *= scale;
    }
    std::size_t rank = 0;
    std::vector<bool> done(n_);
    for (; rank < n_; ++rank) {
      std::size_t row = rank, column = n_;
      double most = least;
      for (std::size_t r = rank; r < n_; ++r)
        for (std::size_t c = 0; c < n_; ++c)
          if (!done[c] && std::abs(at(r, c)) > most) {
            most = std::abs(at(r, c));
            row = r;
            column = c;
          }
      if (column == n_) break;
      done[column] = true;
      row_of_[column] = rank;
      for (std::size_t c = 0; c < width_; ++c) std::swap(a_[row * width_ + c], a_[rank * width_ + c]);
      const double inverse = 1 / at(rank, column);
      for (std::size_t c = 0; c < width_; ++c) a_[rank * width_ + c] *= inverse;
      for (std::size_t r = 0; r < n_; ++r) {
        const double f = at(r, column);
        if (r == rank || f == 0) continue;
        for (std::size_t c = 0; c < width_; ++c) a_[r * width_ + c] -= f * a_[rank * width_ + c];
        at(r, column) = 0;
      }
    }
    for (std::size_t r = rank; r < n_; ++r)
      for (std::size_t c = n_; c < width_; ++c)
        if (std::abs(a_[r * width_ + c]) > 1e-9) return false;
    return true;
  }

  /// After `solve`: an unknown for a right-hand side.
  [[nodiscard]] double result(std::size_t unknown, std::size_t column) const noexcept {
    const std::size_t row = row_of_[unknown];
    return row < n_ ? a_[row * width_ + n_ + column] : 0;
  }

private:
  std::size_t n_, width_;
  std::vector<double> a_;
  std::vector<std::size_t> row_of_;
};

} // namespace lodewire::detail
