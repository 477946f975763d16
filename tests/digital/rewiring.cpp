// SPDX-License-Identifier: BSL-1.0
// The ratio of two wirings: beside what it is the ratio of, there and back, and what it refuses.
#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include <lodewire/digital/moving_filter.hpp>
#include <lodewire/digital/rewiring.hpp>
#include <lodewire/lodewire.hpp>

#include "../check.hpp"
#include "signals.hpp"

using namespace lodewire;
using namespace lodewire::literals;

namespace {

struct setting {
  double volume = 1, tone = 1;
  capacitance lead = 600_pF;
};

const potentiometer volume_pot{.total = 250_kOhm, .law = audio_taper};
const potentiometer tone_pot{.total = 250_kOhm, .law = audio_taper};

source controlled(const source& pickup, const setting& at) {
  return pickup | in_shunt(series(tone_pot.as_rheostat(rotation(at.tone), lugs::one_two), 22_nF)) |
         volume_pot.as_divider(rotation(at.volume)) | in_shunt(at.lead) |
         input{.resistance = 1_MOhm, .capacitance = 30_pF};
}
source single(const std::string& name = "coil") {
  return magnetic_coil{.inductance = 2.2_H,
                       .resistance = 6_kOhm,
                       .capacitance = 120_pF,
                       .eddy = {{{0.5_H, 20_kOhm}}},
                       .name = name};
}
source humbucker() {
  magnetic_coil first{.inductance = 1.65_H, .resistance = 3.8_kOhm, .capacitance = 90_pF, .name = "slug"};
  magnetic_coil second = first;
  second.inductance = 1.75_H;
  second.name = "screw";
  return humbucking_pair(first, second, 0.1).as_series();
}

std::vector<double> played(cascade filter, std::vector<double> x) {
  filter.process(std::span<double>(x));
  return x;
}
double worst_difference(const std::vector<double>& a, const std::vector<double>& b) {
  double worst = 0;
  for (std::size_t i = 0; i < a.size(); ++i) worst = std::fmax(worst, std::abs(a[i] - b[i]));
  return worst;
}

std::string refusal(const source& from, const source& to, const rewiring_options& with = {}) {
  try {
    (void)design_rewiring(from, to, 48_kHz, with);
  } catch (const std::invalid_argument& error) {
    return error.what();
  }
  return "no error";
}

} // namespace

TEST_CASE("an instrument over itself is the identity, to the last bit") {
  for (const setting& at : {setting{}, setting{0.4, 0.2}, setting{1, 0, 1.5_nF}})
    for (const source& pickup : {single(), humbucker()}) {
      const rewiring r = design_rewiring(controlled(pickup, at), controlled(pickup, at), 48_kHz);
      CHECK(r.largest_gain.value() == 0);
      CHECK(r.design.filter.sections().empty());
      const std::vector<double> x = digital_test::noise(1000, 1);
      CHECK(played(r.design.filter, x) == x);
      std::vector<float> f(x.begin(), x.end());
      const std::vector<float> before = f;
      cascade filter = r.design.filter;
      filter.process(std::span<float>(f));
      CHECK(f == before);
    }
}

TEST_CASE("it is as far off the ratio as it says, there, and back again within 1e-9") {
  const std::vector<double> x = digital_test::noise(20000, 2);
  std::vector<double> impulse(1U << 15U);
  impulse[0] = 1;
  struct pair {
    setting from, to;
  };
  for (const pair& p : {pair{{}, {1, 1, 300_pF}}, pair{{1, 1}, {0.9, 0.5}}, pair{{0.5, 1}, {1, 1}},
                        pair{{0.5, 1}, {0.8, 0.3}}})
    for (const source& pickup : {single(), humbucker()}) {
      CAPTURE(p.from.volume);
      CAPTURE(p.to.volume);
      const source from = controlled(pickup, p.from), to = controlled(pickup, p.to);
      const rewiring there = design_rewiring(from, to, 48_kHz), back = design_rewiring(to, from, 48_kHz);
      REQUIRE(!there.limited);
      REQUIRE(!back.limited);
      CHECK(there.design.error.db < 0.12);
      const transfer_function before = transfer(from, 0), after = transfer(to, 0);
      const std::vector<double> response = played(there.design.filter, impulse);
      for (double hz = 50; hz < 18e3; hz *= 1.3) {
        const frequency f = from_si<frequency>(hz);
        const double wanted = std::abs(after(f) / before(f));
        const double is = std::abs(digital_test::spectrum(response, hz / 48e3));
        CHECK(std::abs(20 * std::log10(is / wanted)) <= there.design.error.db + 1e-3);
      }
      CHECK(worst_difference(played(back.design.filter, played(there.design.filter, x)), x) < 1e-9);
    }
}

TEST_CASE("a recording of one wiring becomes one of the other") {
  // The string's EMF through both wirings, sample by sample, is what the ratio must agree with: at 192 kHz, where the
  // moving filter is within 0.1 dB to 18 kHz itself.
  const source from = controlled(humbucker(), {0.6, 0.4}), to = controlled(humbucker(), {1, 1, 400_pF});
  const frequency rate = 192_kHz;
  moving_filter old_one(from, rate, std::initializer_list<value_range>{});
  moving_filter new_one(to, rate, std::initializer_list<value_range>{});
  std::vector<double> x(1U << 16U);
  for (std::size_t k = 0; k < 20; ++k) x[3000 * k] = std::cos(static_cast<double>(k * k));
  std::vector<double> recorded = x, wanted = x;
  old_one.process(std::span<double>(recorded));
  new_one.process(std::span<double>(wanted));
  const rewiring r = design_rewiring(from, to, rate, {.gain_limit = decibel(40)});
  REQUIRE(!r.limited);
  const std::vector<double> rendered = played(r.design.filter, recorded);
  for (double hz = 80; hz < 15e3; hz *= 1.25) {
    const double db = 20 * std::log10(std::abs(digital_test::spectrum(rendered, hz / 192e3) /
                                               digital_test::spectrum(wanted, hz / 192e3)));
    CHECK(std::abs(db) < 0.1);
  }
}

TEST_CASE("the limit of the gain") {
  const source dull = controlled(single(), {1, 0}), bright = controlled(single(), {1, 1});
  for (const double limit : {6., 12., 24.}) {
    CAPTURE(limit);
    const rewiring r = design_rewiring(dull, bright, 48_kHz, {.gain_limit = decibel(limit)});
    CHECK(r.limited);
    CHECK(check::near(r.largest_gain.value(), 33.24, 1e-3));
    const transfer_function before = transfer(dull), after = transfer(bright);
    for (double hz = 50; hz < 18e3; hz *= 1.3) {
      const frequency f = from_si<frequency>(hz);
      const double exact = std::abs(after(f) / before(f));
      const double wanted = exact / std::hypot(1, exact / std::pow(10, limit / 20));
      CHECK(std::abs(20 * std::log10(std::abs(r.design.filter.response(f, 48_kHz)) / wanted)) < 0.1);
    }
  }
  CHECK(!design_rewiring(dull, bright, 48_kHz, {.gain_limit = decibel(40)}).limited);
  // Nothing comes through at dc in the old wiring: the ratio has a pole there until a limit takes it away.
  const source thin = single() | in_series(1_nF) | in_shunt(500_kOhm);
  const source full = single() | in_shunt(500_kOhm);
  const rewiring r = design_rewiring(thin, full, 48_kHz);
  CHECK(r.limited);
  std::vector<double> dc(48000 * 2, 1.);
  CHECK(std::abs(played(r.design.filter, dc).back()) < 16); // 24 dB
}

TEST_CASE("several EMFs: refused by name unless they have one ratio") {
  const source both = parallel(controlled(single("neck"), {}), controlled(single("bridge"), {}));
  const source more = parallel(controlled(single("neck"), {0.5}), controlled(single("bridge"), {}));
  CHECK(refusal(both, more) ==
        "rewiring: 'bridge' and 'neck' reach the output, and their ratios of new to old "
        "differ; the recording mixes them");
  CHECK(refusal(both, both | in_shunt(1_nF)) == "no error"); // what follows both is one ratio
  CHECK(refusal(both, controlled(single("neck"), {})) ==
        "rewiring: the recording holds 'bridge', which the new wiring does not hear, mixed with the rest");
  CHECK(refusal(controlled(single("neck"), {}), both) ==
        "rewiring: the recording does not hold 'bridge', which the new wiring hears");
  CHECK(refusal(controlled(single("a"), {}), controlled(single("b"), {})) ==
        "rewiring: the recording does not hold 'b', which the new wiring hears");
  const source muted = ideal_emf(0_V, "coil") | in_series(1_kOhm);
  CHECK(refusal(muted, muted) == "rewiring: no EMF reaches the output of the old wiring");
}

TEST_CASE("from transfer functions, as a wiring that is no tree gives them") {
  const source from = controlled(single(), {0.5}), to = controlled(single(), {});
  const emf_responses coil[] = {{"coil", transfer(from), transfer(to)}};
  const rewiring r = design_rewiring(coil, 48_kHz), same = design_rewiring(from, to, 48_kHz);
  CHECK(r.emfs == same.emfs);
  CHECK(r.design.error.db == same.design.error.db);
  CHECK_THROWS_AS((void)design_rewiring(std::span<const emf_responses>(), 48_kHz), not_realisable);
}

TEST_CASE("a ratio that is not stable, and values that are none") {
  // Through a bridge of two paths out of phase the old wiring has a zero in the right half plane.
  const source e = ideal_emf(1_V, "coil") | in_series(1_kOhm);
  const source old_one = e | chain_matrix{.a = {1, 1e-4, 0}, .delta = {1, -1e-4, 0}} | in_shunt(1_MOhm);
  CHECK(refusal(old_one, e | in_shunt(1_MOhm))
            .starts_with("rewiring: the ratio is not stable: the old wiring has a zero at 10000 + j0 1/s"));
  CHECK(check::error_of([&] { (void)design_rewiring(e, e, 0_Hz); }).starts_with("sampling rate is 0 Hz"));
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(check::error_of([&] {
          (void)design_rewiring(e, e, 48_kHz, {.gain_limit = decibel(nan)});
        }).starts_with("rewiring.gain_limit is NaN"));
  CHECK_THROWS_AS((void)design_rewiring(e | in_series(power_law(1_kOhm, 0.5)) | in_shunt(1_nF), e, 48_kHz),
                  not_rational);
}
