// SPDX-License-Identifier: BSL-1.0
// Filters from transfer functions beside published coefficients, beside the analogue response, and as measured.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include <lodewire/digital/design.hpp>
#include <lodewire/lodewire.hpp>

#include "../check.hpp"
#include "signals.hpp"

using namespace lodewire;
using namespace lodewire::literals;

namespace {

constexpr double pi = std::numbers::pi;

/// From coefficients by rising power of s in SI.
transfer_function in_si(std::vector<double> n, std::vector<double> d) {
  double power = 1;
  for (std::size_t k = 0; k < n.size() || k < d.size(); ++k, power *= scale::per_second) {
    if (k < n.size()) n[k] *= power;
    if (k < d.size()) d[k] *= power;
  }
  return {polynomial<double>(n), polynomial<double>(d)};
}

/// Butterworth low-pass with its corner at w rad/s.
transfer_function butterworth(std::size_t order, double w) {
  std::vector<double> d{1};
  const auto times = [&d](double c1, double c2) {
    std::vector<double> p(d.size() + 2);
    for (std::size_t k = 0; k < d.size(); ++k) {
      p[k] += d[k];
      p[k + 1] += c1 * d[k];
      p[k + 2] += c2 * d[k];
    }
    while (p.back() == 0) p.pop_back();
    d = p;
  };
  const double n = static_cast<double>(order);
  for (std::size_t k = 0; k < order / 2; ++k) // poles at angles (2k + 1)·π/2n from the imaginary axis
    times(2 / w * std::sin(pi * (2 * static_cast<double>(k) + 1) / (2 * n)), 1 / (w * w));
  if (order % 2 == 1) times(1 / w, 0);
  return in_si({1}, d);
}

/// Everything in one: b0·(1 + ...)/(1 + ...), the product of the sections.
struct whole {
  std::vector<double> b{1}, a{1};
  explicit whole(const cascade& of) {
    for (const second_order_section& s : of.sections()) {
      multiply(b, {s.b0, s.b1, s.b2});
      multiply(a, {1, s.a1, s.a2});
    }
  }
  static void multiply(std::vector<double>& to, const std::vector<double>& by) {
    std::vector<double> p(to.size() + 2);
    for (std::size_t i = 0; i < to.size(); ++i)
      for (std::size_t k = 0; k < 3; ++k) p[i + k] += to[i] * by[k];
    while (p.size() > 1 && p.back() == 0) p.pop_back();
    to = p;
  }
};

void check_all(const std::vector<double>& ours, const std::vector<double>& theirs, double within) {
  REQUIRE(ours.size() == theirs.size());
  for (std::size_t k = 0; k < ours.size(); ++k) CHECK(std::abs(ours[k] - theirs[k]) <= within);
}

source pickup_as_biquad() {
  return magnetic_coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 620_pF} | in_shunt(200_kOhm);
}

struct named_case {
  const char* name;
  transfer_function h;
};

/// The resonances of a series humbucking pickup in three modes, tone resistance as given and at 0 Ω ("Das
/// Klang-Mysterium der Humbucker-Modes", guitar-letter.de: 6.16 H, 47.5 pF, 11.8 kΩ, 500 kΩ with 22 nF, 500 kΩ,
/// 700 pF, 1 MΩ), and a measured single coil (AAT8, Aalborg University, 2017; fitted by examples/measured_coil.cpp) with
/// 6 m of cable.
std::vector<named_case> published_resonances() {
  std::vector<named_case> cases;
  const double part[] = {1, 2, 4};
  const char* const names[] = {"series", "single", "parallel"};
  for (std::size_t k = 0; k < 3; ++k)
    for (const resistance& tone : {500_kOhm, 0_Ohm}) {
      const source s = magnetic_coil{.inductance = 6.16_H / part[k],
                                     .resistance = 11.8_kOhm / part[k],
                                     .capacitance = 47.5_pF * part[k]} |
                       in_shunt(series(tone, 22_nF)) | in_shunt(500_kOhm) | in_shunt(700_pF) |
                       in_shunt(1_MOhm);
      cases.push_back({names[k], transfer(s)});
    }
  const source measured = magnetic_coil{.inductance = 1.613_H,
                                        .resistance = 6697_Ohm,
                                        .capacitance = 481_pF,
                                        .eddy = {{{0.562_H, 20.55_kOhm}}},
                                        .parallel_loss = 91.8_kOhm} |
                          cable{.length = 6_m, .capacitance = 100_pF_per_m} | input{};
  cases.push_back({"measured", transfer(measured)});
  return cases;
}

} // namespace

TEST_CASE("published coefficients of the bilinear transform") {
  { // B. Lynn, theory.stanford.edu/~blynn/sound/example: second-order Butterworth, prewarped at its corner
    const auto d = prewarped(butterworth(2, 2 * pi * 1000), 44100_Hz, 1000_Hz);
    const whole w(d.filter);
    check_all(w.b, {0.004603998475, 0.009207996950, 0.004603998475}, 1e-12);
    check_all(w.a, {1, -1.799096409485, 0.817512403385}, 1e-12);
  }
  { // tttapa.github.io: fourth order, fs 360 Hz, fc 45 Hz
    const whole w(prewarped(butterworth(4, 2 * pi * 45), 360_Hz, 45_Hz).filter);
    const double b = 0.010209480791;
    check_all(w.b, {b, 4 * b, 6 * b, 4 * b, b}, 6e-12);
    check_all(w.a, {1, -1.968427786939, 1.735860709209, -0.724470829507, 0.120389599896}, 2e-12);
  }
  { // Oppenheim and Schafer, Discrete-Time Signal Processing: sixth order, T = 1, as computed from its specification
    // 2·tan(0.15π)/(1/0.17783² - 1)^(1/12) (from memory; the printed figures have four decimals)
    const double corner = 0.76623096;
    const auto d = bilinear(butterworth(6, corner), 1_Hz);
    REQUIRE(d.filter.sections().size() == 3);
    double gain = 1;
    for (const second_order_section& s : d.filter.sections()) gain *= s.b0;
    CHECK(std::abs(gain - 0.00073783) < 1e-8);
    // The least resonant section comes first.
    const double a[3][2] = {{-0.9044, 0.2155}, {-1.0106, 0.3583}, {-1.2686, 0.7051}};
    for (std::size_t k = 0; k < 3; ++k) {
      CHECK(std::abs(d.filter.sections()[k].a1 - a[k][0]) < 6e-5);
      CHECK(std::abs(d.filter.sections()[k].a2 - a[k][1]) < 6e-5);
      CHECK(d.filter.sections()[k].b1 == doctest::Approx(2 * d.filter.sections()[k].b0));
    }
  }
  { // 1/((s + 1)(s + 2)), T = 1: (1/12)·(1 + z⁻¹)²/(1 - z⁻¹/3), computed from the formula
    const whole w(bilinear(in_si({1}, {2, 3, 1}), 1_Hz).filter);
    check_all(w.b, {1. / 12, 1. / 6, 1. / 12}, 1e-15);
    REQUIRE(w.a.size() >= 2);
    CHECK(std::abs(w.a[1] + 1. / 3) < 1e-14);
    if (w.a.size() > 2) CHECK(std::abs(w.a[2]) < 1e-15);
  }
  { // the audio cookbook's low-pass, fs 48 kHz, f0 1 kHz, Q 1/√2, computed from the formula
    const whole w(prewarped(butterworth(2, 2 * pi * 1000), 48_kHz, 1000_Hz).filter);
    check_all(w.b, {0.003916126660547, 0.007832253321095, 0.003916126660547}, 1e-14);
    check_all(w.a, {1, -1.815341082704568, 0.831005589346758}, 1e-14);
  }
  { // a pickup as a biquad: 6 kΩ, 2.5 H, 620 pF, 200 kΩ, computed from the formula
    const auto h = transfer(pickup_as_biquad());
    const whole plain(bilinear(h, 48_kHz).filter);
    const double b = 0.059270077146;
    check_all(plain.b, {b, 2 * b, b}, 2e-12);
    check_all(plain.a, {1, -1.571226037108, 0.815418754949}, 2e-12);
    const whole warped(prewarped(h, 48_kHz, frequency::from_value(4102.7296)).filter);
    check_all(warped.b, {0.061909325307, 2 * 0.061909325307, 0.061909325307}, 1e-9);
    check_all(warped.a, {1, -1.556789446961, 0.811855867225}, 1e-9);
  }
}

TEST_CASE("heights and dc gain do not change under the bilinear map; a peak moves by the tangent") {
  std::vector<named_case> cases = published_resonances();
  cases.push_back({"biquad", transfer(pickup_as_biquad())});
  for (const named_case& c : cases)
    for (const double hz : {22050., 48000., 192000., 768000.}) {
      CAPTURE(c.name);
      CAPTURE(hz);
      const frequency rate = from_si<frequency>(hz);
      const auto analogue =
          detail::find_peak([&](double f) { return std::abs(c.h(from_si<frequency>(f))); }, 20., 20e3);
      REQUIRE(analogue);
      const double height = std::abs(c.h(*analogue));
      const cascade plain = bilinear(c.h, rate).filter;
      const auto moved = detail::find_peak(
          [&](double f) { return std::abs(plain.response(from_si<frequency>(f), rate)); }, 20., hz * 0.499);
      REQUIRE(moved);
      CHECK(check::near(moved->value(), hz / pi * std::atan(pi * analogue->value() / hz), 1e-6));
      CHECK(check::near(std::abs(plain.response(*moved, rate)), height, 1e-10));
      CHECK(check::near(plain.response(0_Hz, rate).real(), c.h(0_Hz).real(), 1e-9));
      const filter_design kept = prewarped(c.h, rate);
      REQUIRE(kept.exact_at);
      const frequency at = *kept.exact_at;
      CHECK(check::near(at.value(), analogue->value(), 1e-6));
      CHECK(std::abs(kept.filter.response(at, rate) / c.h(at) - 1.) < 1e-9);
    }
}

TEST_CASE("the published resonances without oversampling: 0.1 dB to 10 kHz, 0.5 dB to 18 kHz at 48 kHz") {
  for (const named_case& c : published_resonances()) {
    CAPTURE(c.name);
    const filter_design to_10k = magnitude_matched(c.h, 48_kHz, frequency_band{20_Hz, 10_kHz});
    const filter_design to_18k = magnitude_matched(c.h, 48_kHz);
    CHECK(to_10k.error.db <= 0.1);
    CHECK(to_18k.error.db <= 0.5);
    CHECK(to_18k.over == frequency_band{20_Hz, 18_kHz});
    // What it costs: up to some three quarters of a sample of phase, ahead of the analogue response.
    CHECK(to_10k.error.degrees <= 360. * 10 / 48 * 0.8);
    CHECK(to_18k.error.degrees <= 360. * 18 / 48 * 0.9);
    CHECK(to_10k.lost.empty());
    // No section more than the bilinear design has, where the response falls as it does with any coil.
    CHECK(to_18k.filter.sections().size() == bilinear(c.h, 48_kHz).filter.sections().size());
    CHECK(bilinear(c.h, 48_kHz, frequency_band{20_Hz, 10_kHz}).error.db > 2); // the reason for it
  }
}

TEST_CASE("every design at every rate is as far off as it says, by impulse and by chirp") {
  const named_case measured = published_resonances().back();
  for (const double hz : {22050., 44100., 48000., 96000., 768000.}) {
    CAPTURE(hz);
    const frequency rate = from_si<frequency>(hz);
    for (const filter_design& d :
         {bilinear(measured.h, rate), prewarped(measured.h, rate), magnitude_matched(measured.h, rate)}) {
      std::vector<double> impulse(1U << 15U);
      impulse[0] = 1;
      cascade filter = d.filter;
      filter.process(std::span<double>(impulse));
      const std::size_t length = hz < 1e5 ? 1U << 15U : 1U << 16U;
      const std::vector<double> in = digital_test::chirp(length, 20 / hz, std::fmin(0.49, 20e3 / hz));
      std::vector<double> out = in;
      filter = d.filter;
      out.resize(length + 4096);
      filter.process(std::span<double>(out));
      double worst_impulse = 0, worst_chirp = 0;
      for (double f = 100; f < d.over.highest.value(); f *= 1.13) {
        const double wanted = std::abs(measured.h(from_si<frequency>(f)));
        const auto db = [wanted](double is) { return std::abs(20 * std::log10(is / wanted)); };
        worst_impulse = std::fmax(worst_impulse, db(std::abs(digital_test::spectrum(impulse, f / hz))));
        worst_chirp =
            std::fmax(worst_chirp,
                      db(std::abs(digital_test::spectrum(out, f / hz) / digital_test::spectrum(in, f / hz))));
      }
      CHECK(worst_impulse <= d.error.db + 1e-3);
      CHECK(worst_chirp <= d.error.db + 1e-3);
      CHECK(worst_impulse >= 0.3 * d.error.db); // nor does it say much too much
    }
  }
}

TEST_CASE("round-off of float samples' double arithmetic at 768 kHz and a pole at 30 Hz") {
  // A tone control at full: a pole-zero pair at 29 Hz beside a resonance.
  const auto h = transfer(source(magnetic_coil{.inductance = 2.5_H, .resistance = 6_kOhm}) |
                          in_shunt(series(250_kOhm, 22_nF)) | in_shunt(600_pF) | in_shunt(200_kOhm));
  const cascade filter = magnitude_matched(h, 768_kHz).filter;
  const std::vector<double> in = digital_test::noise(50000, 9);
  std::vector<double> out = in;
  cascade running = filter;
  running.process(std::span<double>(out));
  const std::vector<double> exact = digital_test::reference_output(filter, in);
  double error = 0, size = 0;
  for (std::size_t i = 0; i < out.size(); ++i) {
    error += std::pow(out[i] - exact[i], 2);
    size += out[i] * out[i];
  }
  CHECK(10 * std::log10(error / size) < -240); // far below 24 bits, -146 dB
}

TEST_CASE("a resonance above half the sampling rate is named, and lost") {
  const auto h = transfer(source(magnetic_coil{.inductance = 1125_mH, .resistance = 4420_Ohm}) |
                          in_shunt(43_pF) | in_shunt(10_MOhm)); // 22.9 kHz (M. Zollner, 5.9.26, recomputed)
  const filter_design d = magnitude_matched(h, 32_kHz);
  REQUIRE(d.lost.size() == 1);
  CHECK(check::near(d.lost[0].value(), 22.88e3, 1e-3));
  CHECK(d.error.db < 1); // its skirt is kept
  CHECK(bilinear(h, 32_kHz).lost.size() == 1);
  CHECK(!prewarped(h, 32_kHz).exact_at);
  CHECK(magnitude_matched(h, 96_kHz).lost.empty());
}

TEST_CASE("what cannot be realised is refused, with its reason") {
  const auto h = transfer(pickup_as_biquad());
  const auto inf = from_si<frequency>(std::numeric_limits<double>::infinity());
  for (const frequency& rate : {0_Hz, -48_kHz, 20_MHz, inf}) {
    const std::string text = check::error_of([&] { (void)bilinear(h, rate); });
    CHECK(text.starts_with("sampling rate is "));
    CHECK(text.ends_with("; allowed: 1 Hz to 10 MHz"));
  }
  CHECK(check::error_of([&] { (void)prewarped(h, 48_kHz, 24_kHz); }) ==
        "prewarped.at is 24 kHz; allowed: less than half the sampling rate, 24 kHz");
  CHECK(check::error_of([&] {
          (void)magnitude_matched(h, 22050_Hz, frequency_band{20_Hz, 18_kHz});
        }) ==
        "band.highest is 18 kHz; allowed: more than band.lowest (20 Hz) and less than half the sampling rate "
        "(11.03 kHz)");
  const auto refusal = [](const transfer_function& of) -> std::string {
    try {
      (void)bilinear(of, 48_kHz);
    } catch (const not_realisable& error) {
      return error.what();
    }
    return "no error";
  };
  CHECK(refusal(in_si({1}, {-1, 1})).starts_with("the response is not stable: the pole at 1 + j0 1/s"));
  CHECK(refusal(in_si({1}, {1e6, 0, 1})).find("1000 1/s is not in the left half plane") != std::string::npos);
  CHECK(refusal(in_si({1, 0, 1e-8}, {1, 1e-4}))
            .starts_with("the response is not proper: it has 2 zeros and 1 poles"));
  CHECK(refusal(transfer_function()).find("is not defined") != std::string::npos);
  CHECK(magnitude_matched(in_si({1, 0.3e-4, 1e-9}, {1, 1e-4}), 48_kHz).error.db < 1); // but this takes it
}

TEST_CASE("silence and plain gains are filters too") {
  const source nothing = ideal_emf(0_V) | in_series(1_kOhm) | in_shunt(1_nF);
  cascade silent = magnitude_matched(transfer(nothing), 48_kHz).filter;
  std::vector<double> x = digital_test::noise(50, 5);
  silent.process(std::span<double>(x));
  for (const double v : x) CHECK(v == 0);
  const source divider = ideal_emf(1_V) | in_series(1_kOhm) | in_shunt(1_kOhm);
  for (const filter_design& d :
       {bilinear(transfer(divider), 48_kHz), magnitude_matched(transfer(divider), 48_kHz)}) {
    CHECK(d.error.db < 1e-12);
    CHECK(d.filter.sections().size() == 1);
  }
}
