// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>

#include <lodewire/circuit/composer.hpp>

#include "reading.hpp"

namespace laws {

/// The composed ratio of polynomials at any s.
[[nodiscard]] inline reading read_polynomials(const way& by, const circuit& c, double s_times) {
  composer compose(c);
  const transfer_function z = compose.impedance(c);
  std::vector<transfer_function> h;
  std::size_t degree = z.degree();
  for (std::size_t k = 0; k < c.emfs.size(); ++k) {
    h.push_back(compose.response(c, k));
    degree = std::max(degree, h.back().degree());
  }
  reading r;
  r.status = compose.status();
  r.response.resize(h.size());
  const auto n = static_cast<double>(degree);
  for (const complex p : by.points) {
    const complex s = s_times * p;
    // A coefficient of a product is a sum of up to n + 1 products, where a point has one; evaluating adds n
    // sums.
    const rounding_bound bound(c, s, (n + 2) / 2, 4 * n + 2);
    r.impedance.push_back({z.at(s), bound.impedance.off});
    for (std::size_t k = 0; k < h.size(); ++k) r.response[k].push_back({h[k].at(s), bound.response[k].off});
  }
  return r;
}

inline constexpr way by_polynomials{"by polynomials", in_plane, false, &read_polynomials};

} // namespace laws
