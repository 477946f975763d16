// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <optional>
#include <vector>

#include <lodewire/digital/analogue_form.hpp>
#include <lodewire/digital/matched_correction.hpp>
#include <lodewire/digital/z_plane.hpp>

namespace lodewire {

/// A cascade that stands for an analogue response at one sampling rate, and how far it is off.
struct filter_design {
  cascade filter;
  frequency rate{};
  frequency_band over{};               ///< where `error` was measured
  deviation error{};                   ///< worst difference from the analogue response there
  std::optional<frequency> exact_at{}; ///< of a bilinear design: where the frequency is exact, besides 0 Hz
  /// Natural frequencies of complex poles at half the sampling rate or above: resonances that the digital response has
  /// lost (bilinear: moved below half the rate; matched: only their skirt is left).
  std::vector<frequency> lost{};
};

namespace detail {

[[nodiscard]] inline std::vector<frequency> lost_resonances(const analogue_form& form, frequency rate) {
  std::vector<frequency> lost;
  for (const auto& p : form.poles)
    if (p.imag() >= std::numbers::pi * rate.value())
      lost.push_back(frequency::from_value(std::abs(p) / (2 * std::numbers::pi)));
  return lost;
}

/// s → k·(1 - z⁻¹)/(1 + z⁻¹) (eq. 50). Throws `not_realisable` for more zeros than poles.
[[nodiscard]] inline z_plane_form bilinear_form(const analogue_form& form, double k) {
  if (form.zeros.size() > form.poles.size())
    throw not_realisable(
        "the response is not proper: it has " + std::to_string(form.zeros.size()) + " zeros and " +
        std::to_string(form.poles.size()) +
        " poles, and the bilinear map would put a pole on z = -1; limit its band, or match its "
        "magnitude");
  z_plane_form z;
  for (const auto& q : form.zeros) z.zeros.push_back((k + q) / (k - q));
  for (const auto& p : form.poles) z.poles.push_back((k + p) / (k - p));
  z.zeros.resize(z.poles.size(), -1.);
  z.gain = form.at({k, 0}).real(); // z⁻¹ = 0 is s = k
  return z;
}

/// Roots by e^(sT), then a polynomial of minimum phase for what the magnitude still lacks (eq. 52): above where the
/// response lacks loss towards half the rate, below where it lacks gain, so that a response and its inverse become
/// filters that are each other's inverse.
[[nodiscard]] inline z_plane_form matched_form(const analogue_form& form, frequency rate, double trusted,
                                               std::size_t highest_degree = 2) {
  const double period = 1 / rate.value();
  constexpr double widest = 0.9 * std::numbers::pi; // beyond, e^(sT) would fold down what is not there
  z_plane_form z;
  z.gain = form.reference;
  if (form.reference == 0) return z; // silence
  const auto map = [&](const std::vector<std::complex<double>>& from, std::vector<std::complex<double>>& to) {
    for (const auto& s : from) {
      const auto x = s * period;
      if (std::abs(x.imag()) < widest && x.real() < 1) to.push_back(s == 0. ? 1. : std::exp(x));
    }
  };
  map(form.zeros, z.zeros);
  map(form.poles, z.poles);
  const auto raw = [&](double theta) {
    const auto w = std::polar(1., -theta);
    std::complex<double> h = 1;
    for (std::size_t k = 0; k < z.zeros.size() || k < z.poles.size(); ++k) {
      if (k < z.zeros.size()) h *= 1. - z.zeros[k] * w;
      if (k < z.poles.size()) h /= 1. - z.poles[k] * w;
    }
    return h;
  };
  const auto lacking = [&](double theta) { return form.at({0, theta * rate.value()}) / raw(theta); };
  const auto level = lacking(1e-6 * std::numbers::pi);
  correction_target target{};
  for (std::size_t i = 0; i < correction_points; ++i)
    target[i] = std::norm(lacking(correction_angle(i)) / level);
  const bool gains = target.back() > 1;
  if (gains)
    for (double& t : target) t = 1 / t;
  for (std::size_t degree = highest_degree; degree > 0; --degree) {
    bool found = false;
    const auto q = fit_correction(target, degree, trusted);
    const auto bent = minimum_phase_zeros(q, target, found);
    if (!found) continue;
    auto& to = gains ? z.poles : z.zeros;
    to.insert(to.end(), bent.begin(), bent.end());
    break;
  }
  // The level and the sign at a low frequency, with the polynomial.
  const auto low = lacking(1e-6 * std::numbers::pi);
  z.gain = std::copysign(std::abs(low), low.real());
  return z;
}

[[nodiscard]] inline filter_design finished(const z_plane_form& z, const analogue_form& form,
                                            const transfer_function& h, frequency rate,
                                            const frequency_band& over) {
  filter_design d{.filter = cascade_of(z), .rate = rate, .over = over};
  d.error = compare_responses([&](frequency f) { return d.filter.response(f, rate); }, h, over);
  d.lost = lost_resonances(form, rate);
  return d;
}

} // namespace detail

/// By the bilinear transform, s = 2/T·(1 - z⁻¹)/(1 + z⁻¹): the shape is that of the analogue response, its heights and
/// its dc gain too, and a frequency f comes to lie at atan(πfT)/(πT) (eq. 51). Latency 0. The band of the error: as given,
/// else 20 Hz to 18 kHz or 0.45 times the rate. Throws `invalid_value` (rate, band), `not_realisable` (a pole not in
/// the left half plane, more zeros than poles), `std::length_error` (more than 24 sections). Cost: microseconds, most
/// of it for the roots and the error. Not for the audio thread: it allocates.
[[nodiscard]] inline filter_design bilinear(const transfer_function& h, frequency rate,
                                            const std::optional<frequency_band>& over = {}) {
  const frequency_band band = band_below_half(rate, over);
  const detail::analogue_form form = detail::factored(h, "the response");
  detail::require_stable(form.poles, "the response");
  return detail::finished(detail::bilinear_form(form, 2 * rate.value()), form, h, rate, band);
}

/// The same with s = ω/tan(ωT/2)·(1 - z⁻¹)/(1 + z⁻¹), so that the frequency ω/2π stays where it is: the one given, else
/// the highest peak of the response below half the rate; without a peak there, plain. Throws as `bilinear` does, and
/// `invalid_value` for a frequency that is not below half the rate.
[[nodiscard]] inline filter_design prewarped(const transfer_function& h, frequency rate,
                                             std::optional<frequency> at = {},
                                             const std::optional<frequency_band>& over = {}) {
  const frequency_band band = band_below_half(rate, over);
  if (at) {
    require_positive("prewarped.at", *at);
    if (!(2. * *at < rate))
      throw invalid_value("prewarped.at", engineering(*at),
                          "less than half the sampling rate, " + engineering(rate / 2.));
  }
  const detail::analogue_form form = detail::factored(h, "the response");
  detail::require_stable(form.poles, "the response");
  if (!at)
    at = detail::find_peak([&](double hz) { return form.size_at(hz); }, std::fmin(20, rate.value() / 2000),
                           rate.value() * 0.499);
  const double w = at ? 2 * std::numbers::pi * at->value() : 0;
  const double k = at ? w / std::tan(w / (2 * rate.value())) : 2 * rate.value();
  filter_design d = detail::finished(detail::bilinear_form(form, k), form, h, rate, band);
  d.exact_at = at;
  return d;
}

/// For work near half the sampling rate: poles and zeros by e^(sT), then a factor of minimum phase, of second order at
/// most, that brings the magnitude to that of the analogue response: within 0.02 dB to 10 kHz and 0.06 dB to 18 kHz at
/// 48 kHz for published pickups (docs/validation.md). The phase is the price: it runs ahead of the analogue one by some
/// 0.8 of a sample (`error.degrees`: 57° at 10 kHz, 116° at 18 kHz); less that delay, 4° remain. One section more than the
/// bilinear design at most. More zeros than poles are taken: within the band the gain is finite. Throws as `bilinear`
/// does otherwise.
[[nodiscard]] inline filter_design magnitude_matched(const transfer_function& h, frequency rate,
                                                     const std::optional<frequency_band>& over = {}) {
  const frequency_band band = band_below_half(rate, over);
  const detail::analogue_form form = detail::factored(h, "the response");
  detail::require_stable(form.poles, "the response");
  const double trusted = std::fmin(1, 2.1 * band.highest.value() / rate.value());
  return detail::finished(detail::matched_form(form, rate, trusted), form, h, rate, band);
}

} // namespace lodewire
