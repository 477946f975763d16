// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <span>

#include <lodewire/circuit/polynomial.hpp>
#include <lodewire/circuit/rational_kernel.hpp>
#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/units.hpp>

namespace lodewire {

/// How a transfer function behaves towards a limit: gain·s^slope (s in 1/s).
struct asymptote {
  double gain = 0;
  int slope = 0;
};

/// An exact transfer function H(s) = Σ b_k·s^k / Σ a_k·s^k (eq. 17), composed by a `composer`: a response, an impedance
/// in ohms, an admittance. Coefficients are kept in units of s = `scale::per_second` (16384/s). Inline storage, at
/// most degree 63; trivially destructible data that evaluates `noexcept` without allocation. An empty one (not
/// `defined()`) comes from ideal sources that contradict each other and evaluates to NaN.
/// Accuracy falls with the degree (1e-13 to 1e-11 at 12 reactive parts, of the sum of the magnitudes of the terms):
/// beyond about 20 parts prefer `evaluator`. Cost: about 1 ns a point.
class transfer_function {
public:
  transfer_function() noexcept = default;
  /// From coefficients by rising power of s in units of `scale::per_second`. A power of s that both share is
  /// cancelled, and both are scaled so that the largest coefficient of the denominator lies in [1, 2).
  transfer_function(const polynomial<double>& numerator, const polynomial<double>& denominator) noexcept
      : n_(numerator), d_(denominator) {
    n_.trim();
    d_.trim();
    std::size_t shared = 0;
    while (shared < d_.size && d_.c[shared] == 0 && (n_.size == 0 || n_.c[shared] == 0)) ++shared;
    if (shared > 0) {
      const auto drop = [shared](polynomial<double>& p) {
        if (p.size == 0) return;
        std::copy(p.c + shared, p.c + p.size, p.c);
        p.size -= shared;
      };
      drop(n_);
      drop(d_);
    }
    double largest = 0;
    for (const double a : d_.coefficients()) largest = (std::max)(largest, std::abs(a));
    if (!(largest > 0) || !is_finite(largest)) return;
    const double scaling = scale::to_one(largest);
    for (std::size_t k = 0; k < n_.size; ++k) n_.c[k] *= scaling;
    for (std::size_t k = 0; k < d_.size; ++k) d_.c[k] *= scaling;
  }

  [[nodiscard]] bool defined() const noexcept { return d_.size > 0; }
  /// Coefficients by rising power of s/`scale::per_second`; empty for zero.
  [[nodiscard]] std::span<const double> numerator() const noexcept { return n_.coefficients(); }
  [[nodiscard]] std::span<const double> denominator() const noexcept { return d_.coefficients(); }
  /// The larger of the two degrees.
  [[nodiscard]] std::size_t degree() const noexcept {
    return (std::max)({n_.size, d_.size, std::size_t{1}}) - 1;
  }

  /// H at s, in 1/s, anywhere in the plane.
  [[nodiscard, gnu::noinline]] std::complex<double> at(std::complex<double> s) const noexcept {
    const auto d = horner(d_, s / scale::per_second);
    return horner(n_, s / scale::per_second) / d;
  }
  /// H at jω, ω = 2πf; f = 0 gives the dc limit where there is one.
  [[nodiscard]] std::complex<double> operator()(frequency f) const noexcept {
    return at({0, 2 * std::numbers::pi * f.value()});
  }
  /// H at many frequencies in Hz, real and imaginary parts apart. All three spans are of one length.
  template <int Width = native_lanes>
  void evaluate(std::span<const double> hz, std::span<double> re, std::span<double> im) const noexcept {
    const std::size_t degree = this->degree();
    const std::size_t up = n_.size > 0 ? n_.size - 1 : 0, down = d_.size > 0 ? d_.size - 1 : 0;
    double n[polynomial_capacity], d[polynomial_capacity];
    for (std::size_t k = 0; k <= degree; ++k) {
      n[k] = k < n_.size ? n_.c[k] : 0;
      d[k] = k < d_.size ? d_.c[k] : 0;
    }
    const std::size_t whole = hz.size() / Width * Width;
    detail::evaluate_ratio<Width>(n, up, d, down, hz.data(), re.data(), im.data(), whole);
    if (whole == hz.size()) return;
    double rest[3][static_cast<std::size_t>(Width)];
    for (std::size_t i = 0; i < static_cast<std::size_t>(Width); ++i)
      rest[0][i] = hz[(std::min)(whole + i, hz.size() - 1)];
    detail::evaluate_ratio<Width>(n, up, d, down, rest[0], rest[1], rest[2], Width);
    for (std::size_t i = whole; i < hz.size(); ++i) {
      re[i] = rest[1][i - whole];
      im[i] = rest[2][i - whole];
    }
  }
  /// H at many frequencies in Hz as complex numbers. Both spans are of one length.
  template <int Width = native_lanes>
  void evaluate(std::span<const double> hz, std::span<std::complex<double>> out) const noexcept {
    constexpr std::size_t block = 64;
    double re[block], im[block];
    for (std::size_t from = 0; from < hz.size(); from += block) {
      const std::size_t count = (std::min)(block, hz.size() - from);
      evaluate<Width>(hz.subspan(from, count), {re, count}, {im, count});
      for (std::size_t i = 0; i < count; ++i) out[from + i] = {re[i], im[i]};
    }
  }

  /// The limits s → 0 and s → ∞: gain and power of s.
  [[nodiscard]] asymptote dc_limit() const noexcept {
    const auto low = [](const polynomial<double>& p) {
      std::size_t k = 0;
      while (k < p.size && p.c[k] == 0) ++k;
      return k;
    };
    return limit(low(n_), low(d_));
  }
  [[nodiscard]] asymptote high_frequency_limit() const noexcept { return limit(n_.size - 1, d_.size - 1); }

  /// -dφ/dω at f. 0 for a constant.
  [[nodiscard]] duration group_delay(frequency f) const noexcept {
    const std::complex<double> s(0, 2 * std::numbers::pi * f.value() / scale::per_second);
    const auto part = [&](const polynomial<double>& p) { return slope(p, s) / horner(p, s); };
    const double delay = (part(d_) - part(n_)).real();
    return duration::from_value(delay / scale::per_second);
  }

  [[nodiscard]] friend bool operator==(const transfer_function& a, const transfer_function& b) noexcept {
    return a.n_ == b.n_ && a.d_ == b.d_;
  }

private:
  [[nodiscard, gnu::noinline]] static std::complex<double> horner(const polynomial<double>& p,
                                                                  std::complex<double> s) noexcept {
    std::complex<double> y = 0;
    for (std::size_t k = p.size; k-- > 0;) y = y * s + p.c[k];
    return y;
  }
  [[nodiscard]] static std::complex<double> slope(const polynomial<double>& p,
                                                  std::complex<double> s) noexcept {
    std::complex<double> y = 0;
    for (std::size_t k = p.size; k-- > 1;) y = y * s + static_cast<double>(k) * p.c[k];
    return y;
  }
  [[nodiscard]] asymptote limit(std::size_t n, std::size_t d) const noexcept {
    if (n_.size == 0 || d_.size == 0) return {};
    const int slope = static_cast<int>(n) - static_cast<int>(d);
    return {n_.c[n] / d_.c[d] * std::pow(scale::per_second, -slope), slope};
  }

  polynomial<double> n_;
  polynomial<double> d_;
};

} // namespace lodewire
