// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <span>
#include <vector>

#include <lodewire/design/measured_curve.hpp>

/// A voltage ratio from two channels of a sound card.
namespace lodewire {

/// Both channels, recorded at once while noise or a sweep plays: the first at the generator's end of the reference
/// resistor, the second at the coil.
struct two_channels {
  double rate_hz = 48000;
  std::vector<double> first{}, second{}; ///< in any unit, the same for both
};

struct ratio_options {
  frequency from = frequency::from_value(50);
  frequency to = frequency::from_value(20e3);
  std::size_t segment = 16384; ///< samples of a spectrum, a power of two: bins of rate/segment
  std::size_t per_octave = 24; ///< bins are joined to so many points
  frequency mains{};           ///< 50 or 60 Hz: bins at its multiples are left out; 0: none are
};

namespace detail {

/// Discrete Fourier transform in place, length a power of two (Cooley and Tukey). Cost: n·log n.
inline void transform(std::span<std::complex<double>> x) {
  const std::size_t n = x.size();
  for (std::size_t i = 1, j = 0; i < n; ++i) {
    std::size_t bit = n >> 1U;
    for (; (j & bit) != 0; bit >>= 1U) j ^= bit;
    j ^= bit;
    if (i < j) std::swap(x[i], x[j]);
  }
  for (std::size_t half = 1; half < n; half *= 2) {
    for (std::size_t k = 0; k < half; ++k) {
      const std::complex<double> w =
          std::polar(1.0, -std::numbers::pi * static_cast<double>(k) / static_cast<double>(half));
      for (std::size_t at = k; at < n; at += 2 * half) {
        const std::complex<double> t = w * x[at + half];
        x[at + half] = x[at] - t;
        x[at] += t;
      }
    }
  }
}

/// Mean spectra of both channels and the one across them, a bin.
struct cross_spectra {
  std::vector<double> first, second;
  std::vector<std::complex<double>> across;
  double segments = 0; ///< independent ones

  cross_spectra(const two_channels& r, std::size_t n) : first(n / 2), second(n / 2), across(n / 2) {
    std::vector<std::complex<double>> x(n);
    std::size_t count = 0;
    for (std::size_t from = 0; from + n <= r.first.size(); from += n / 2, ++count) {
      for (std::size_t i = 0; i < n; ++i) { // Hann's window; both channels in one transform
        const double w =
            0.5 - 0.5 * std::cos(2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(n));
        x[i] = {w * r.first[from + i], w * r.second[from + i]};
      }
      transform(x);
      for (std::size_t k = 1; k < n / 2; ++k) {
        const std::complex<double> mirrored = std::conj(x[n - k]);
        const std::complex<double> a = 0.5 * (x[k] + mirrored);
        const std::complex<double> b = std::complex<double>(0, -0.5) * (x[k] - mirrored);
        first[k] += std::norm(a);
        second[k] += std::norm(b);
        across[k] += std::conj(a) * b;
      }
    }
    // Halves that overlap under this window are worth some 0.95 each of an independent one (P. Welch, 1967).
    segments = count <= 1 ? static_cast<double>(count) : 0.95 * static_cast<double>(count);
  }
};

} // namespace detail

/// V2/V1 = ΣS12/ΣS11 over the segments, with the spread of each point from the coherence γ² of the two channels:
/// √((1 - γ²)/(2·γ²·n)) (J. Bendat, A. Piersol, "Random Data"). Bins at multiples of the mains are left out, bins are
/// joined to points. A sweep must last for several segments. Throws `invalid_value` for channels of unlike length,
/// shorter than four segments, silent or not finite, a segment that is no power of two. Cost: a transform a segment.
[[nodiscard]] inline measured_curve ratio_of_channels(const two_channels& r, const ratio_options& o = {}) {
  require_positive("rate", frequency::from_value(r.rate_hz));
  if (o.segment < 64 || o.segment > (1U << 24U) || (o.segment & (o.segment - 1)) != 0)
    throw invalid_value("segment", std::to_string(o.segment), "a power of two, 64 to 16777216");
  if (r.first.size() != r.second.size())
    throw invalid_value(
        "channels", std::to_string(r.first.size()) + " and " + std::to_string(r.second.size()) + " samples",
        "as many in one as in the other");
  if (r.first.size() < 4 * o.segment)
    throw invalid_value("channels", std::to_string(r.first.size()) + " samples",
                        "four segments or more: " + std::to_string(4 * o.segment));
  for (const auto* channel : {&r.first, &r.second})
    for (const double v : *channel) require_finite("sample", v);
  require_positive("from", o.from);
  require_within("to", o.to, o.from, frequency::from_value(0.45 * r.rate_hz));
  require_not_negative("mains", o.mains);
  require_within("per_octave", static_cast<double>(o.per_octave), 1.0, 1000.0);

  const double bin = r.rate_hz / static_cast<double>(o.segment);
  if (const double mains = o.mains.value(); mains > 0 && 10 * bin > mains)
    throw invalid_value("segment", std::to_string(o.segment),
                        "more than " + plain_number(10 * r.rate_hz / mains) +
                            ", so that there are bins between the mains and its multiples");
  const detail::cross_spectra s(r, o.segment);
  const auto is_mains = [&](double hz) { // within the window's main lobe
    const double mains = o.mains.value();
    if (mains == 0) return false;
    const double nearest = std::fmax(std::round(hz / mains), 1) * mains;
    return std::abs(hz - nearest) < 2.5 * bin;
  };
  measured_curve c;
  c.kind = curve_kind::ratio;
  double a = 0, b = 0, weighted = 0, bins = 0, edge = o.from.value();
  std::complex<double> ab = 0;
  const auto close = [&] {
    const double coherence = a > 0 && b > 0 ? std::fmin(std::norm(ab) / (a * b), 1.0) : 0;
    if (coherence > 0.1) { // below it there is no signal
      c.hz.push_back(weighted / a);
      c.value.push_back(ab / a);
      c.spread.push_back(std::sqrt(std::fmax(1 - coherence, 1e-12) /
                                   (2 * coherence * s.segments * std::fmax(bins / 1.5, 1))));
    }
    a = b = weighted = bins = 0;
    ab = 0;
  };
  for (std::size_t k = 1; k < o.segment / 2; ++k) {
    const double hz = static_cast<double>(k) * bin;
    if (hz < o.from.value() || hz > o.to.value() || is_mains(hz)) continue;
    const double width = std::exp2(1 / static_cast<double>(o.per_octave));
    if (hz >= edge * width) {
      if (bins > 0) close();
      edge = hz;
    }
    a += s.first[k];
    b += s.second[k];
    ab += s.across[k];
    weighted += hz * s.first[k];
    bins += 1;
  }
  if (bins > 0) close();
  if (c.size() == 0)
    throw invalid_value("channels", "without a common signal", "the same noise or sweep in both");
  return c;
}

/// The two channels' own gains taken out: once as wired, once with the two cables swapped at the sound card, so that the
/// first channel has the coil. H = √(H1/H2), H2 being second over first again. Frequencies that only one has are left
/// out. Throws `invalid_value` for curves that are no ratios, or that share no frequency.
[[nodiscard]] inline measured_curve swapped_average(const measured_curve& wired,
                                                    const measured_curve& swapped) {
  require_curve(wired, 1);
  require_curve(swapped, 1);
  if (wired.kind != curve_kind::ratio || swapped.kind != curve_kind::ratio)
    throw invalid_value(wired.name, "an impedance", "a voltage ratio");
  measured_curve c;
  c.name = wired.name;
  c.kind = curve_kind::ratio;
  for (std::size_t i = 0, k = 0; i < wired.size(); ++i) {
    while (k < swapped.size() && swapped.hz[k] < wired.hz[i] * (1 - 2e-3)) ++k;
    if (k == swapped.size() || swapped.hz[k] > wired.hz[i] * (1 + 2e-3)) continue;
    std::complex<double> h = std::sqrt(wired.value[i] / swapped.value[k]);
    if ((h * std::conj(wired.value[i])).real() < 0) h = -h; // gains of like sign and little phase
    c.hz.push_back(wired.hz[i]);
    c.value.push_back(h);
    const double x = wired.spread.empty() ? 1 : wired.spread[i],
                 y = swapped.spread.empty() ? 1 : swapped.spread[k];
    c.spread.push_back(0.5 * std::sqrt(x * x + y * y));
  }
  if (c.size() == 0) throw invalid_value("swapped", "at other frequencies", "the same frequencies in both");
  return c;
}

} // namespace lodewire
