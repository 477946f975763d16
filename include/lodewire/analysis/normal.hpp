// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <numbers>

#include <lodewire/quantity/requirement.hpp>

/// The normal distribution of mean 0 and standard deviation 1.
namespace lodewire {

/// Its density φ(z) = exp(-z²/2)/√(2π).
[[nodiscard]] inline double normal_density(double z) noexcept {
  return std::exp(-z * z / 2) / (std::numbers::sqrt2 / std::numbers::inv_sqrtpi);
}

/// The fraction Φ(z) of it that lies below z.
[[nodiscard]] inline double normal_fraction(double z) noexcept {
  return std::erfc(-z / std::numbers::sqrt2) / 2;
}

namespace detail {

[[nodiscard]] inline double ratio_of(const double (&n)[8], const double (&d)[8], double x) noexcept {
  double a = n[7], b = d[7];
  for (int k = 6; k >= 0; --k) {
    a = a * x + n[k];
    b = b * x + d[k];
  }
  return a / b;
}

} // namespace detail

/// The z below which the fraction p lies, to about 1 part in 1e16: M. J. Wichura, "Algorithm AS 241: the percentage points
/// of the normal distribution", Applied Statistics 37 (1988), 477–484 (its PPND16). Throws `invalid_value` unless
/// 0 < p < 1.
[[nodiscard]] inline double normal_quantile(double p) {
  if (!is_finite(p) || !(p > 0) || !(p < 1))
    throw invalid_value("normal_quantile.p", plain_number(p), "more than 0, less than 1");
  static constexpr double a[8] = {
      3.3871328727963666080e0,  1.3314166789178437745e+2, 1.9715909503065514427e+3, 1.3731693765509461125e+4,
      4.5921953931549871457e+4, 6.7265770927008700853e+4, 3.3430575583588128105e+4, 2.5090809287301226727e+3};
  static constexpr double b[8] = {1.0,
                                  4.2313330701600911252e+1,
                                  6.8718700749205790830e+2,
                                  5.3941960214247511077e+3,
                                  2.1213794301586595867e+4,
                                  3.9307895800092710610e+4,
                                  2.8729085735721942674e+4,
                                  5.2264952788528545610e+3};
  static constexpr double c[8] = {1.42343711074968357734e0,  4.63033784615654529590e0,
                                  5.76949722146069140550e0,  3.64784832476320460504e0,
                                  1.27045825245236838258e0,  2.41780725177450611770e-1,
                                  2.27238449892691845833e-2, 7.74545014278341407640e-4};
  static constexpr double d[8] = {1.0,
                                  2.05319162663775882187e0,
                                  1.67638483018380384940e0,
                                  6.89767334985100004550e-1,
                                  1.48103976427480074590e-1,
                                  1.51986665636164571966e-2,
                                  5.47593808499534494600e-4,
                                  1.05075007164441684324e-9};
  static constexpr double e[8] = {6.65790464350110377720e0,  5.46378491116411436990e0,
                                  1.78482653991729133580e0,  2.96560571828504891230e-1,
                                  2.65321895265761230930e-2, 1.24266094738807843860e-3,
                                  2.71155556874348757815e-5, 2.01033439929228813265e-7};
  static constexpr double f[8] = {1.0,
                                  5.99832206555887937690e-1,
                                  1.36929880922735805310e-1,
                                  1.48753612908506148525e-2,
                                  7.86869131145613259100e-4,
                                  1.84631831751005468180e-5,
                                  1.42151175831644588870e-7,
                                  2.04426310338993978564e-15};
  const double q = p - 0.5;
  if (std::abs(q) <= 0.425) return q * detail::ratio_of(a, b, 0.180625 - q * q);
  const double r = std::sqrt(-std::log(q < 0 ? p : 1 - p));
  const double z = r <= 5 ? detail::ratio_of(c, d, r - 1.6) : detail::ratio_of(e, f, r - 5);
  return q < 0 ? -z : z;
}

} // namespace lodewire
