// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include <lodewire/digital/cascade.hpp>

namespace lodewire::detail {

/// gain·Π(1 - z_k·z⁻¹)/Π(1 - p_k·z⁻¹); complex roots as exact conjugate pairs.
struct z_plane_form {
  std::vector<std::complex<double>> zeros, poles;
  double gain = 1;
};

/// 1 + c1·z⁻¹ + c2·z⁻² and where its roots lie.
struct quadratic_factor {
  double c1 = 0, c2 = 0;
  std::complex<double> near_root = 0; ///< the root with a positive imaginary part, or the larger real one
  [[nodiscard]] double size() const noexcept { return std::abs(near_root); }
};

/// Roots as factors of second order: conjugate pairs, then real ones two and two in order of magnitude.
[[nodiscard]] inline std::vector<quadratic_factor>
quadratic_factors(const std::vector<std::complex<double>>& roots) {
  std::vector<quadratic_factor> factors;
  std::vector<double> real;
  for (const auto& r : roots) {
    if (r.imag() > 0) factors.push_back({-2 * r.real(), std::norm(r), r});
    if (r.imag() == 0) real.push_back(r.real());
  }
  for (std::size_t i = 1; i < real.size(); ++i)
    for (std::size_t k = i; k > 0 && std::abs(real[k]) > std::abs(real[k - 1]); --k)
      std::swap(real[k], real[k - 1]);
  for (std::size_t k = 0; k < real.size(); k += 2) {
    const double second = k + 1 < real.size() ? real[k + 1] : 0;
    factors.push_back({-(real[k] + second), real[k] * second, real[k]});
  }
  return factors;
}

/// Sections for small round-off: the poles nearest to the unit circle choose their zeros first, the nearest ones; they
/// come last in the cascade; each section is scaled so that the response up to there peaks at 1 (J. O. Smith,
/// "Introduction to Digital Filters", section "Series and Parallel Filter Sections", gives pairing and order; the scaling is common
/// practice, no source). Throws `std::length_error` for more than a cascade holds.
[[nodiscard]] inline cascade cascade_of(const z_plane_form& form) {
  std::vector<quadratic_factor> below = quadratic_factors(form.poles), above = quadratic_factors(form.zeros);
  const std::size_t count = (std::max)(below.size(), above.size());
  for (std::size_t i = 1; i < below.size(); ++i)
    for (std::size_t k = i; k > 0 && below[k].size() > below[k - 1].size(); --k)
      std::swap(below[k], below[k - 1]);
  std::vector<second_order_section> sections;
  below.resize(count); // what is added has its poles at 0
  for (const quadratic_factor& d : below) {
    quadratic_factor n;
    // Where there are fewer numerators than sections, the most resonant ones take them.
    if (!above.empty()) {
      auto best = above.begin();
      for (auto it = above.begin(); it != above.end(); ++it)
        if (std::abs(it->near_root - d.near_root) < std::abs(best->near_root - d.near_root)) best = it;
      n = *best;
      above.erase(best);
    }
    sections.push_back({1, n.c1, n.c2, d.c1, d.c2});
  }
  std::reverse(sections.begin(), sections.end());
  if (sections.empty() && form.gain != 1) sections.push_back({}); // a plain gain
  if (sections.empty()) return cascade();

  constexpr std::size_t points = 256;
  std::vector<double> size(points, 1);
  double left = form.gain;
  for (second_order_section& s : sections) {
    double peak = 0;
    for (std::size_t k = 0; k < points; ++k) {
      const auto w = std::polar(1., -std::numbers::pi * (static_cast<double>(k) + 0.5) / points);
      size[k] *= std::abs((s.b0 + w * (s.b1 + w * s.b2)) / (1. + w * (s.a1 + w * s.a2)));
      peak = (std::max)(peak, size[k]);
    }
    // A power of two rounds nothing; the last section takes what is left of the gain.
    double scale = &s == &sections.back() ? left : std::exp2(-std::round(std::log2(peak)));
    if (!is_finite(scale)) scale = 1;
    for (double* b : {&s.b0, &s.b1, &s.b2}) *b *= scale;
    for (double& x : size) x *= scale;
    left /= scale;
  }
  return cascade(sections);
}

} // namespace lodewire::detail
