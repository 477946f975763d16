// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <optional>
#include <string>

#include <lodewire/analysis/power_response.hpp>
#include <lodewire/circuit/composer.hpp>
#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/notation.hpp>

namespace lodewire {

/// Where to look for a resonance, and what its height is measured from.
struct resonance_search {
  frequency from = frequency::from_value(10);
  frequency to = frequency::from_value(1e6);
  /// Where the low-frequency level is taken if the response has no finite level at dc (a piezo).
  frequency reference = frequency::from_value(100);
};

/// The resonance of a response: the highest maximum of |H| inside the searched band.
struct resonance {
  bool has_peak = false;
  frequency peak{}; ///< of the maximum of |H|
  decibel height{}; ///< of the maximum over the low-frequency level
  /// Of the second-order low-pass that has this height, Q² = (h² + h·√(h²-1))/2 for a height ratio h > 1: with one
  /// coil, one capacitance and resistors it is the circuit's own Q; with more it says how high the peak stands.
  /// 0 where there is no peak above the low-frequency level.
  double quality = 0;
  /// The lowest frequency above the peak (or above the band's start, without one) at which the response is half the
  /// power (3.01 dB) below the low-frequency level.
  std::optional<frequency> edge;
  decibel level{};       ///< the low-frequency level itself, re 1 (volts out for the EMF in volts)
  frequency reference{}; ///< where it was taken: 0 is the dc limit
};

/// Refuses a band that is not positive and rising.
inline void require_search(const resonance_search& where) {
  require_positive("resonance_search.from", where.from);
  require_positive("resonance_search.reference", where.reference);
  if (!is_finite(where.to.value()) || !(where.to > where.from))
    throw invalid_value("resonance_search.to", engineering(where.to),
                        "more than resonance_search.from, " + engineering(where.from));
}

/// Finds it on the exact transfer function: scans |H|² and its slope, then a secant to some 1e-12 of the frequency.
/// A peak narrower than a fourteenth of its frequency that stands beside an equally narrow notch may be missed.
/// Throws `invalid_value` for a band that is not positive and rising, or a transfer function that is not defined.
/// Cost: a few microseconds at degree 5; no allocation.
[[nodiscard]] inline resonance find_resonance(const transfer_function& h,
                                              const resonance_search& where = {}) {
  require_search(where);
  if (!h.defined())
    throw invalid_value("transfer function", "undefined", "one of a circuit without contradictions");

  const detail::power_response response(h);
  const auto slope = [&](double x) { return response.slope(x); };
  const double first = detail::power_response::square_of(where.from.value());
  const double last = detail::power_response::square_of(where.to.value());

  resonance found;
  const asymptote dc = h.dc_limit();
  double base = dc.gain * dc.gain;
  if (dc.slope != 0 || base == 0) {
    found.reference = where.reference;
    base = response.power(detail::power_response::square_of(where.reference.value()));
  }
  found.level = power_level(base);

  constexpr double step = 1.1547819846894583; // 10^(2/32), of the square: 32 steps a decade of frequency
  constexpr std::size_t scanned = 32;
  double top = 0, at = first;
  double x[1 + scanned], slopes[1 + scanned];
  x[0] = first;
  slopes[0] = slope(first);
  while (x[0] < last) {
    response.slopes<native_lanes>(x[0] * step, step, scanned, x + 1, slopes + 1);
    std::size_t end = scanned;
    while (!(x[end] < last) && !(x[end - 1] < last)) --end;
    if (!(x[end] < last)) {
      x[end] = last;
      slopes[end] = slope(last);
    }
    for (std::size_t i = 1; i <= end; ++i) {
      if (!(slopes[i] <= 0) || !(slopes[i - 1] > 0)) continue;
      const double peak = detail::bracketed_root(slope, x[i - 1], x[i], slopes[i - 1], slopes[i]);
      const double height = response.power(peak);
      // On a plateau the slope changes sign by rounding alone.
      const double fall = height - (std::min)(response.power(x[i - 1]), response.power(x[i]));
      if (height > top && fall > 1e-11 * height) {
        top = height;
        at = peak;
      }
    }
    x[0] = x[end];
    slopes[0] = slopes[end];
  }
  if (top > 0) {
    found.has_peak = true;
    found.peak = frequency::from_value(detail::power_response::hertz_of(at));
    // h², from H itself: expanded in ω² a sharp peak is a difference of much larger terms.
    const double ratio = std::norm(h(found.peak)) / base;
    found.height = power_level(ratio);
    if (ratio > 1) found.quality = std::sqrt((ratio + std::sqrt(ratio * (ratio - 1))) / 2);
  }

  const auto over_edge = [&](double at_x) { return response.over(base / 2, at_x); };
  for (double from = at, over = over_edge(at); from < last;) {
    const double to = (std::min)(from * step, last), then = over_edge(to);
    if (over >= 0 && then < 0) {
      found.edge = frequency::from_value(
          detail::power_response::hertz_of(detail::bracketed_root(over_edge, from, to, over, then)));
      break;
    }
    from = to;
    over = then;
  }
  return found;
}

/// The resonance of the coherent sum of all EMFs of a source at its output. Throws as above and as `transfer`.
[[nodiscard]] inline resonance find_resonance(const source& s, const resonance_search& where = {}) {
  return find_resonance(transfer(s), where);
}

/// In one line: `3.93 kHz, 7.76 dB over the low-frequency level, Q 2.46; -3 dB at 6.17 kHz`.
[[nodiscard]] inline std::string to_text(const resonance& r) {
  std::string text = "no peak";
  if (r.has_peak) {
    text = engineering(r.peak);
    text.append(", ").append(fixed_number(r.height.value(), 2)).append(" dB over the low-frequency level");
    if (r.quality > 0) text.append(", Q ").append(plain_number(r.quality, 3));
  }
  if (!r.edge) return text.append("; no -3 dB edge in the band");
  return text.append("; -3 dB at ").append(engineering(*r.edge));
}

/// Writes `to_text` to any stream that takes a string.
template <class Stream>
requires requires(Stream& out, const std::string& text) { out << text; }
Stream& operator<<(Stream& out, const resonance& r) {
  out << to_text(r);
  return out;
}

} // namespace lodewire
