// SPDX-License-Identifier: BSL-1.0
// Random coils, noise added, identified again: do the values come back, are they free of bias, do the stated errors
// hold? The number of coils is small here; LODEWIRE_DRAWS=1000 in the environment runs ten times as many.
#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <span>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/design/identify_coil.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../draws.hpp"

using namespace lodewire;
using namespace lodewire::literals;

namespace {

class drawn {
public:
  explicit drawn(unsigned seed) : bits_(seed) {}
  double uniform() { return (static_cast<double>(bits_() >> 11U) + 0.5) * 0x1p-53; }
  double between(double low, double high) { return low * std::pow(high / low, uniform()); }
  double normal() { return std::sqrt(-2 * std::log(uniform())) * std::cos(2 * std::numbers::pi * uniform()); }
  std::complex<double> noise(double sd) {
    const double re = normal();
    return {sd * re, sd * normal()};
  }

private:
  std::mt19937_64 bits_;
};

/// 1 to 8 H, 60 to 500 pF, 1.5 to 3.5 kΩ a henry; a branch has 15 to 50 % of the inductance and begins at 0.3 to 1.2 of
/// the resonance; a second one with 15 to 35 % of the rest begins five to twelve times lower.
std::vector<double> random_coil(drawn& d, const coil_unknowns& shape) {
  const double l = d.between(1, 8), c = d.between(60e-12, 500e-12);
  const double omega = 1 / std::sqrt(l * c);
  std::vector<double> p{l * d.between(1500, 3500), l, c};
  double corner = omega * d.between(0.3, 1.2);
  for (std::size_t b = 0; b < shape.branches; ++b) {
    const double part = p[1] * (b == 0 ? 0.15 + 0.35 * d.uniform() : 0.15 + 0.2 * d.uniform());
    if (b == 1) corner *= d.between(0.08, 0.2);
    p[1] -= part;
    p.push_back(part);
    p.push_back(corner * part);
  }
  if (shape.parallel_loss) p.push_back(omega * l * d.between(3, 10));
  return p;
}

measured_curve measure(drawn& d, const coil_unknowns& shape, std::span<const double> p, double noise) {
  measured_curve c{.hz = log_grid(50_Hz, 30_kHz, 80)};
  c.value = model_curve(source(shape.coil(p)), curve_kind::ohms, c.hz);
  for (auto& z : c.value) z *= 1.0 + d.noise(noise);
  return c;
}

/// Standard errors as they would be with the truth and the noise known: what a bias is measured by. (An error that was
/// found along with its value strays with it, and would bend a mean of their ratio.)
std::vector<double> true_errors(const coil_unknowns& shape, std::span<const double> truth, double noise) {
  drawn unused(0);
  measured_curve c = measure(unused, shape, truth, 0);
  c.spread.assign(c.size(), noise);
  std::vector<fit_unknown> u;
  shape.append_to(u, "coil", shape.coil(truth));
  const auto model = [&](std::span<const double> p, std::size_t) { return source(shape.coil(p)); };
  std::vector<double> errors;
  for (const fit_value& v : fit_curves(std::span(&c, 1), u, model, {.noise_is_given = true}).values)
    errors.push_back(v.error);
  return errors;
}

void recover(const coil_unknowns& shape, double noise, std::size_t count) {
  CAPTURE(shape.branches);
  CAPTURE(shape.parallel_loss);
  CAPTURE(noise);
  drawn d(20250101);
  const std::size_t n = shape.count();
  const double size = static_cast<double>(count);
  std::vector<double> mean(n, 0.0), square(n, 0.0), in_one(n, 0.0), in_two(n, 0.0);
  for (std::size_t i = 0; i < count; ++i) {
    const std::vector<double> truth = random_coil(d, shape);
    const fit_result found = fit_coil(measure(d, shape, truth, noise), shape).fit;
    CHECK(found.converged);
    const std::vector<double> errors = true_errors(shape, truth, noise);
    for (std::size_t k = 0; k < n; ++k) {
      const double away = std::log(found.values[k].value / truth[k]), off = away / found.values[k].error;
      mean[k] += away / errors[k] / size;
      square[k] += off * off / size;
      in_one[k] += (std::abs(off) < 1) / size;
      in_two[k] += (std::abs(off) < 1.96) / size;
    }
  }
  double one = 0, two = 0, bias = 0;
  // Chance moves a mean by 1/√count and a rate by √(q(1 - q)/count): 3.3 of those beyond what is promised.
  const double chance = 3.3 / std::sqrt(size);
  for (std::size_t k = 0; k < n; ++k) {
    CAPTURE(k);
    CHECK(std::abs(mean[k]) < (count >= 1000 ? 0.1 : 0.1 + chance));
    if (count < 50) continue; // too few to tell a rate
    CHECK(std::abs(in_one[k] - 0.683) < 0.02 + chance * 0.466);
    CHECK(std::abs(in_two[k] - 0.95) < 0.015 + chance * 0.218);
    CHECK(std::abs(std::sqrt(square[k]) - 1) < 0.06 + chance * 0.75);
    one += in_one[k] / static_cast<double>(n);
    two += in_two[k] / static_cast<double>(n);
    bias = std::fmax(bias, std::abs(mean[k]));
  }
  MESSAGE(std::to_string(count), " coils, ", shape.branches, " branches, ",
          std::string(shape.parallel_loss ? "with" : "without"), " loss across, noise ", 100 * noise,
          " %: ", 100 * one, " % within one standard error, ", 100 * two, " % within 1.96; greatest bias ",
          bias, " of a standard error");
}

} // namespace

TEST_CASE("without noise the values come back to rounding") {
  for (const coil_unknowns shape :
       {coil_unknowns{0, false}, coil_unknowns{1, false}, coil_unknowns{1, true}, coil_unknowns{2, false}}) {
    drawn d(7);
    double worst = 0;
    for (std::size_t i = 0; i < check::draws(25); ++i) {
      const std::vector<double> truth = random_coil(d, shape);
      const fit_result found = fit_coil(measure(d, shape, truth, 0), shape).fit;
      for (std::size_t k = 0; k < truth.size(); ++k)
        worst = std::fmax(worst, std::abs(found.values[k].value / truth[k] - 1));
    }
    CAPTURE(shape.branches);
    CAPTURE(shape.parallel_loss);
    CHECK(worst < 1e-8);
  }
}

TEST_CASE("with noise there is no bias, and the standard errors cover as stated") {
  recover({0, false}, 0.005, check::draws(100));
  recover({1, false}, 0.005, check::draws(100));
  recover({1, false}, 0.02, check::draws(100));
  recover({1, true}, 0.005, check::draws(100));
  recover({1, true}, 0.02, check::draws(100));
}

TEST_CASE("the criterion finds how many branches there are, and does not see more than there are") {
  const std::size_t count = check::draws(6);
  for (std::size_t branches = 0; branches <= 2; ++branches) {
    drawn d(11 + static_cast<unsigned>(branches));
    std::size_t right = 0, lossy = 0;
    for (std::size_t i = 0; i < count; ++i) {
      const coil_unknowns shape{branches, false};
      const std::vector<double> truth = random_coil(d, shape);
      const identified_coil found = identify_coil(measure(d, shape, truth, 0.002));
      right += found.best().shape.branches == branches;
      lossy += found.best().shape.parallel_loss;
      CHECK(found.suspicions.empty());
    }
    MESSAGE(std::string("branches "), branches, ": found in ", right, " of ", count,
            ", with a loss across in ", lossy);
    CHECK(static_cast<double>(right) >= 0.8 * static_cast<double>(count));
    CHECK(static_cast<double>(lossy) <= 0.2 * static_cast<double>(count) + 1);
  }
}
