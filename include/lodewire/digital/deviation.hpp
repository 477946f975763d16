// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <optional>

#include <lodewire/digital/sample_guard.hpp>

namespace lodewire {

/// A band over which a digital response is compared with an analogue one.
struct frequency_band {
  frequency lowest = frequency::from_value(20);
  frequency highest = frequency::from_value(18e3);
  [[nodiscard]] bool operator==(const frequency_band&) const = default;
};

/// The worst difference of a digital response from the analogue one: 20·lg|Hd/H| and the angle of Hd/H.
struct deviation {
  double db = 0;      ///< largest magnitude of the difference in level
  double degrees = 0; ///< largest magnitude of the difference in phase
};

/// The band, or 20 Hz to the lower of 18 kHz and 0.45 times the sampling rate. Throws `invalid_value` for one that is
/// empty or reaches half the sampling rate.
[[nodiscard]] inline frequency_band band_below_half(frequency rate,
                                                    const std::optional<frequency_band>& asked = {}) {
  require_sampling_rate(rate);
  if (!asked) {
    const double top = std::fmin(18e3, 0.45 * rate.value());
    return {frequency::from_value(std::fmin(20, top / 100)), frequency::from_value(top)};
  }
  require_positive("band.lowest", asked->lowest);
  require_positive("band.highest", asked->highest);
  if (!(asked->lowest < asked->highest) || !(2. * asked->highest < rate))
    throw invalid_value("band.highest", engineering(asked->highest),
                        "more than band.lowest (" + engineering(asked->lowest) +
                            ") and less than half the sampling rate (" + engineering(rate / 2.) + ")");
  return *asked;
}

/// Compares two responses, callables of a frequency, at 512 points in equal ratios over a band. Points where the
/// analogue one is zero are left out.
template <class Digital, class Analogue>
[[nodiscard]] deviation compare_responses(const Digital& digital, const Analogue& analogue,
                                          const frequency_band& over) {
  constexpr std::size_t points = 512;
  deviation worst;
  for (std::size_t k = 0; k < points; ++k) {
    const double at = static_cast<double>(k) / (points - 1);
    const frequency f = over.lowest * std::pow(over.highest.value() / over.lowest.value(), at);
    const std::complex<double> wanted = analogue(f);
    if (!(std::abs(wanted) > 0)) continue;
    const std::complex<double> off = digital(f) / wanted;
    worst.db = std::fmax(worst.db, std::abs(20 * std::log10(std::abs(off))));
    worst.degrees = std::fmax(worst.degrees, std::abs(std::arg(off)) * 180 / std::numbers::pi);
  }
  return worst;
}

} // namespace lodewire
