// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <complex>
#include <random>
#include <span>
#include <vector>

#include <lodewire/design/fit_coil.hpp>
#include <lodewire/design/fit_curves.hpp>

/// A coil with one eddy branch and a loss across, as measured with noise: what tests of the fit start from.
namespace noisy_coil {

using namespace lodewire;

inline const coil_unknowns shape{1, true};
inline const std::vector<double> truth{6700, 1.6, 150e-12, 0.55, 21e3, 900e3}; // R, L, C, L1, R1, Rp

/// The coil of `truth`, with noise of that standard deviation in real and imaginary part.
inline measured_curve measured(double noise, unsigned seed = 1) {
  measured_curve c{.hz = log_grid(frequency::from_value(50), frequency::from_value(25e3), 60)};
  c.value = model_curve(source(shape.coil(truth)), curve_kind::ohms, c.hz);
  std::mt19937_64 bits(seed);
  const auto normal = [&] { // twelve uniform ones
    double sum = -6;
    for (int i = 0; i < 12; ++i) sum += static_cast<double>(bits() >> 11U) * 0x1p-53;
    return sum;
  };
  for (std::complex<double>& z : c.value) {
    const double re = normal();
    z *= 1.0 + noise * std::complex<double>(re, normal());
  }
  return c;
}

inline const auto coil_model_of = [](std::span<const double> p, std::size_t) {
  return source(shape.coil(p));
};

inline std::vector<fit_unknown> unknowns_for(const measured_curve& c) {
  std::vector<fit_unknown> u;
  shape.append_to(u, "coil", starting_coils(find_features(c), shape.branches, shape.parallel_loss)[0]);
  return u;
}

} // namespace noisy_coil
