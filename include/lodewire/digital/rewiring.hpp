// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <span>
#include <string>
#include <vector>

#include <lodewire/circuit/composer.hpp>
#include <lodewire/digital/design.hpp>
#include <lodewire/quantity/decibel.hpp>

namespace lodewire {

/// The responses of both wirings to one EMF; one that does not reach the output has the response 0.
struct emf_responses {
  std::string name;
  transfer_function before, after;
};

/// What a `rewiring` is made with.
struct rewiring_options {
  /// The most that it raises any frequency. Where the old wiring let less through than the new one does by more than
  /// this, the recording holds only noise, and the ratio would raise that.
  decibel gain_limit = decibel(24);
  std::optional<frequency_band>
      over{};              ///< where per-EMF ratios must agree, and of the error; as for a design
  double agreement = 1e-6; ///< how far per-EMF ratios may differ, relative
};

/// A filter that turns a recording of one wiring into one of another.
struct rewiring {
  filter_design design{};          ///< its error is that from the exact ratio, where a limit acted too
  std::vector<std::string> emfs{}; ///< the EMFs that reach the output
  decibel largest_gain{};          ///< of the exact ratio from 10 Hz to half the sampling rate
  frequency largest_gain_at{};
  bool limited =
      false; ///< whether the limit acted: the ratio is then R/√(1 + |R|²/limit²), of minimum phase there
};

namespace detail {

[[nodiscard]] inline std::string listed(const std::vector<std::string>& names) {
  std::string text;
  for (const std::string& n : names) text.append(text.empty() ? "'" : ", '").append(n).append("'");
  return text;
}

/// Takes out zeros and poles that lie within 1e-6 of each other, complex ones with their conjugates.
inline void cancel_matched(std::vector<std::complex<double>>& zeros,
                           std::vector<std::complex<double>>& poles) {
  for (std::size_t i = 0; i < zeros.size();) {
    const auto z = zeros[i];
    std::size_t best = poles.size();
    double nearest = 1e-6 * std::abs(z);
    for (std::size_t k = 0; k < poles.size(); ++k)
      if (z.imag() >= 0 && (poles[k].imag() > 0) == (z.imag() > 0) && !(poles[k].imag() < 0) &&
          std::abs(poles[k] - z) <= nearest) {
        nearest = std::abs(poles[k] - z);
        best = k;
      }
    if (best == poles.size()) {
      ++i;
      continue;
    }
    const auto drop = [](std::vector<std::complex<double>>& from, std::complex<double> root) {
      from.erase(std::find(from.begin(), from.end(), root));
      if (root.imag() > 0) from.erase(std::find(from.begin(), from.end(), std::conj(root)));
    };
    const auto p = poles[best];
    drop(zeros, z);
    drop(poles, p);
    i = 0;
  }
}

/// Real coefficients of Π(s - root) in units of `scale::per_second`, by rising power.
[[nodiscard]] inline std::vector<double> expanded(const std::vector<std::complex<double>>& roots_in_si) {
  std::vector<double> c{1};
  const auto multiply = [&c](double c0, double c1, bool second) {
    const std::size_t n = c.size();
    c.resize(n + (second ? 2 : 1));
    for (std::size_t k = c.size(); k-- > 0;) {
      const auto at = [&](std::size_t back) { return k >= back && k - back < n ? c[k - back] : 0; };
      const double highest = second ? at(2) + c1 * at(1) : at(1);
      c[k] = highest + c0 * (k < n ? c[k] : 0);
    }
  };
  for (const auto& r : roots_in_si) {
    const auto s = r / scale::per_second;
    if (r.imag() > 0) multiply(std::norm(s), -2 * s.real(), true);
    if (r.imag() == 0) multiply(-s.real(), 0, false);
  }
  return c;
}

/// factor²·P(s)·P(-s) as a polynomial in s², added to `sum`.
inline void add_squared_magnitude(const std::vector<double>& p, double factor, std::vector<double>& sum) {
  if (sum.size() < p.size()) sum.resize(p.size());
  for (std::size_t i = 0; i < p.size(); ++i)
    for (std::size_t k = i % 2; k < p.size(); k += 2)
      sum[(i + k) / 2] += (k % 2 == 0 ? 1 : -1) * factor * factor * p[i] * p[k];
}

/// R/√(1 + |R|²/limit²): the denominator becomes that factor of |D|² + |N|²/limit² whose zeros lie on the left (eq. 57).
[[nodiscard]] inline analogue_form limited(const analogue_form& ratio, double limit) {
  constexpr double unit = scale::per_second;
  double gain = ratio.reference; // of the leading terms, s in units of scale::per_second
  for (const auto& p : ratio.poles) gain *= std::abs((analogue_form::at_reference - p) / unit);
  for (const auto& z : ratio.zeros) gain /= std::abs((analogue_form::at_reference - z) / unit);
  std::vector<double> sum;
  add_squared_magnitude(expanded(ratio.poles), 1, sum);
  add_squared_magnitude(expanded(ratio.zeros), gain / limit, sum);
  analogue_form out{ratio.zeros, {}, 0};
  for (const polynomial_root& r : roots(sum)) {
    auto s = -std::sqrt(to_standard(r.value)) * unit;
    if (r.value.im == 0) s = {s.real(), 0};
    out.poles.push_back(s);
  }
  while (sum.back() == 0) sum.pop_back();
  out.reference = gain / std::sqrt(std::abs(sum.back()));
  for (const auto& p : out.poles) out.reference /= std::abs((analogue_form::at_reference - p) / unit);
  for (const auto& z : out.zeros) out.reference *= std::abs((analogue_form::at_reference - z) / unit);
  return out;
}

/// Both wirings' responses to every EMF, matched by name.
[[nodiscard]] inline std::vector<emf_responses> responses_by_name(const source& from, const source& to) {
  std::vector<emf_responses> all;
  const transfer_function nothing = transfer(ideal_emf(voltage::from_value(0)));
  std::vector<bool> used(to.emf_names().size());
  for (std::size_t k = 0; k < from.emf_names().size(); ++k) {
    const std::string& name = from.emf_names()[k];
    std::size_t match = 0;
    while (match < used.size() && (used[match] || to.emf_names()[match] != name)) ++match;
    all.push_back({name, transfer(from, k), match < used.size() ? transfer(to, match) : nothing});
    if (match < used.size()) used[match] = true;
  }
  for (std::size_t k = 0; k < used.size(); ++k)
    if (!used[k]) all.push_back({to.emf_names()[k], nothing, transfer(to, k)});
  return all;
}

/// Those that reach the output. Throws `not_realisable` that names those that only one of the wirings hears.
[[nodiscard]] inline std::vector<emf_responses> heard_emfs(std::span<const emf_responses> all) {
  std::vector<emf_responses> heard;
  std::vector<std::string> lost, gained;
  for (const emf_responses& e : all) {
    const bool was = !e.before.numerator().empty(), is = !e.after.numerator().empty();
    if (was && !is) lost.push_back(e.name);
    if (!was && is) gained.push_back(e.name);
    if (was && is) heard.push_back(e);
  }
  if (!gained.empty())
    throw not_realisable("rewiring: the recording does not hold " + listed(gained) +
                         ", which the new wiring hears");
  if (!lost.empty())
    throw not_realisable("rewiring: the recording holds " + listed(lost) +
                         ", which the new wiring does not hear, mixed with the rest");
  if (heard.empty()) throw not_realisable("rewiring: no EMF reaches the output of the old wiring");
  return heard;
}

} // namespace detail

/// From a recording of an instrument in one wiring (`before`: with the recorder's input as its load) to the same
/// instrument, the same coils, in another wiring (`after`): new response over old one (eq. 56). The string's EMF cancels, so
/// whatever was played comes out as the new wiring would give it; noise and hum that entered behind the coil do not
/// cancel, they are filtered along. Both wirings are linear and stand still. The ratio is exact if one EMF reaches the
/// output, or if those that do have one ratio (a humbucking pickup with its own controls); else the recording mixes
/// what cannot be parted.
/// A magnitude-matched design (see there for the phase), so that a ratio of higher degree above than below, as a volume
/// going up gives, needs no pole at half the sampling rate. Ratio and inverse ratio are each other's inverse where no
/// limit acted; an instrument over itself is the identity to the last bit.
/// Throws `not_realisable`: EMFs that only one wiring hears or whose ratios differ, by name; a zero of the old
/// response that is not in the left half plane (coils out of phase may have one: nothing recorded there to undo);
/// `invalid_value`, `std::length_error`. Cost: milliseconds.
[[nodiscard]] inline rewiring design_rewiring(std::span<const emf_responses> emfs, frequency rate,
                                              const rewiring_options& options = {}) {
  const frequency_band band = band_below_half(rate, options.over);
  const double limit = std::pow(10., require_finite("rewiring.gain_limit", options.gain_limit.value()) / 20);
  const std::vector<emf_responses> heard = detail::heard_emfs(emfs);
  rewiring out;
  for (const emf_responses& e : heard) out.emfs.push_back(e.name);
  const auto exact = [](const emf_responses& e, frequency f) { return e.after(f) / e.before(f); };

  std::vector<std::string> differ;
  for (const emf_responses& e : heard) {
    const deviation off = compare_responses([&](frequency f) { return exact(e, f); },
                                            [&](frequency f) { return exact(heard.front(), f); }, band);
    if (off.db > options.agreement * 8.686 || off.degrees > options.agreement * 57.3)
      differ.push_back(e.name);
  }
  if (!differ.empty())
    throw not_realisable(
        "rewiring: " + detail::listed(differ) + " and '" + heard.front().name +
        "' reach the output, and their ratios of new to old differ; the recording mixes them");

  const detail::analogue_form before = detail::factored(heard.front().before, "the old wiring");
  const detail::analogue_form after = detail::factored(heard.front().after, "the new wiring");
  detail::require_stable(after.poles, "the new wiring");
  detail::require_stable(before.poles, "the old wiring");
  detail::analogue_form ratio{after.zeros, after.poles, after.reference / before.reference};
  ratio.zeros.insert(ratio.zeros.end(), before.poles.begin(), before.poles.end());
  ratio.poles.insert(ratio.poles.end(), before.zeros.begin(), before.zeros.end());
  detail::cancel_matched(ratio.zeros, ratio.poles);
  bool integrates = false;
  for (const auto& p : ratio.poles) {
    integrates = integrates || p == 0.;
    if (p != 0. && !(p.real() < 0))
      throw not_realisable("rewiring: the ratio is not stable: the old wiring has a zero at " +
                           plain_number(p.real()) + (p.imag() < 0 ? " - j" : " + j") +
                           plain_number(std::abs(p.imag())) +
                           " 1/s, where the recording holds nothing (coils out of phase?)");
  }

  double most = 0;
  constexpr int points = 1024;
  const double lowest = std::fmin(10, rate.value() / 200);
  for (int k = 0; k < points; ++k) {
    const frequency f = frequency::from_value(
        lowest * std::pow(rate.value() / 2 / lowest, static_cast<double>(k) / (points - 1)));
    if (const double x = std::abs(exact(heard.front(), f)); x > most) {
      most = x;
      out.largest_gain_at = f;
    }
  }
  out.largest_gain = decibel(20 * std::log10(most));
  out.limited = integrates || most > limit;
  if (out.limited) ratio = detail::limited(ratio, limit);

  const detail::z_plane_form z = detail::matched_form(ratio, rate, 1, 3);
  filter_design& d = out.design;
  d.filter = detail::cascade_of(z);
  d.rate = rate;
  d.over = band;
  d.error = compare_responses([&](frequency f) { return d.filter.response(f, rate); },
                              [&](frequency f) { return exact(heard.front(), f); }, band);
  d.lost = detail::lost_resonances(ratio, rate);
  return out;
}

/// The same for two circuits. Their EMFs are matched by name. Throws as above, and what `transfer` throws.
[[nodiscard]] inline rewiring design_rewiring(const source& from, const source& to, frequency rate,
                                              const rewiring_options& options = {}) {
  return design_rewiring(detail::responses_by_name(from, to), rate, options);
}

} // namespace lodewire
