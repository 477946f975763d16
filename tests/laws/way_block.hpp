// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <numbers>

#include <lodewire/circuit/evaluator.hpp>

#include "reading.hpp"

namespace laws {

/// A block of frequencies by the `evaluator`.
[[nodiscard]] inline reading read_block(const way& by, const circuit& c, double s_times) {
  evaluator evaluate(c);
  std::vector<double> hz;
  for (const complex p : by.points) hz.push_back(s_times * p.imag() / (2 * std::numbers::pi));
  std::vector<rounding_bound> bounds;
  // Its s is 2π times a rounded frequency.
  for (const complex p : by.points) bounds.emplace_back(c, s_times * p, 1.5);
  reading r;
  std::vector<complex> out(hz.size());
  r.status = evaluate.impedances(c, hz, out);
  for (std::size_t i = 0; i < out.size(); ++i) r.impedance.push_back({out[i], bounds[i].impedance.off});
  r.response.resize(c.emfs.size());
  for (std::size_t k = 0; k < c.emfs.size(); ++k) {
    evaluate.responses_to(c, k, hz, out);
    for (std::size_t i = 0; i < out.size(); ++i) r.response[k].push_back({out[i], bounds[i].response[k].off});
  }
  return r;
}

inline constexpr way in_blocks{"in blocks on the axis", on_axis, true, &read_block};

} // namespace laws
