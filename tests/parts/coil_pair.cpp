// SPDX-License-Identifier: BSL-1.0
#include <array>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

#include <lodewire/analysis/impedance_resonance.hpp>
#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using complex = std::complex<double>;

// A pair alone is no circuit: how it is wired has to be said.
static_assert(std::is_aggregate_v<coil_pair> && !Source<coil_pair>);
static_assert(!std::is_default_constructible_v<idle_coil>);

namespace {

// Nodal calculation, independent of the library: two nodes beside ground, two windings with EMFs, coupled.

constexpr int ground = -1;

struct winding {
  int cold, hot; // of the connection as wired
  complex z, e;  // e as seen from cold to hot
};

class nodal {
public:
  void admittance(int a, int b, complex y) {
    if (a >= 0) g_[row(a)][row(a)] += y;
    if (b >= 0) g_[row(b)][row(b)] += y;
    if (a >= 0 && b >= 0) g_[row(a)][row(b)] -= y, g_[row(b)][row(a)] -= y;
  }
  /// Voltages of the two nodes, with `into` amperes fed into one of them.
  std::array<complex, 2> solve(const winding& w1, const winding& w2, complex mutual, int fed = 0,
                               complex into = 0) const {
    auto m = g_; // rows: KCL of the nodes, then the windings; columns: voltages, winding currents, right side
    const winding* const w[2] = {&w1, &w2};
    for (std::size_t k = 0; k < 2; ++k) {
      auto& equation = m[2 + k]; // V_hot - V_cold + z·I + sM·I_other = e
      if (w[k]->hot >= 0) equation[row(w[k]->hot)] += 1, m[row(w[k]->hot)][2 + k] -= 1;
      if (w[k]->cold >= 0) equation[row(w[k]->cold)] -= 1, m[row(w[k]->cold)][2 + k] += 1;
      equation[2 + k] += w[k]->z;
      equation[3 - k] += mutual;
      equation[4] = w[k]->e;
    }
    m[row(fed)][4] += into;
    for (std::size_t c = 0; c < 4; ++c) { // Gauss-Jordan with row exchange
      std::size_t best = c;
      for (std::size_t r = c; r < 4; ++r)
        if (std::abs(m[r][c]) > std::abs(m[best][c])) best = r;
      std::swap(m[c], m[best]);
      for (std::size_t r = 0; r < 4; ++r) {
        if (r == c) continue;
        const complex factor = m[r][c] / m[c][c];
        for (std::size_t k = c; k < 5; ++k) m[r][k] -= factor * m[c][k];
      }
    }
    return {m[0][4] / m[0][0], m[1][4] / m[1][1]};
  }

private:
  static std::size_t row(int node) { return static_cast<std::size_t>(node); }
  std::array<std::array<complex, 5>, 4> g_{};
};

/// How a pair is wired, in terms of the ends of its windings.
struct wiring {
  struct ends {
    int start, end;
  };
  ends first, second;
  int out;
  std::optional<double> across_first{}, across_second{}; // ohms
};

struct answer {
  complex first, second, z;
};

/// Everything from the members, nothing from the library's own rules: a positive k·(winding senses) couples
/// start to start so that two coils of opposite winding sense, both start grounded, aid each other.
answer direct(const coil_pair& p, const wiring& how, frequency f) {
  const complex s(0, 2 * std::numbers::pi * f.value());
  const magnetic_coil* const coil[2] = {&p.first, &p.second};
  const wiring::ends at[2] = {how.first, how.second};
  const std::optional<double> across[2] = {how.across_first, how.across_second};
  nodal net;
  winding w[2];
  for (std::size_t k = 0; k < 2; ++k) {
    const magnetic_coil& c = *coil[k];
    complex z = c.resistance.value() + s * c.inductance.value();
    for (const eddy_branch& e : c.eddy)
      if (e.inductance.value() > 0) z += 1.0 / (1.0 / (s * e.inductance.value()) + 1 / e.resistance.value());
    complex y = s * c.capacitance.value();
    if (c.parallel_loss) y += 1 / c.parallel_loss->value();
    net.admittance(at[k].start, at[k].end, y);
    net.admittance(at[k].start, ground, s * c.start_to_ground.value());
    net.admittance(at[k].end, ground, s * c.end_to_ground.value());
    if (across[k]) net.admittance(at[k].start, at[k].end, 1 / *across[k]);
    complex e = c.emf.value() * static_cast<int>(c.winding) * static_cast<int>(c.magnet);
    if (c.emf_corner) e /= complex(1, f.value() / c.emf_corner->value());
    w[k] = {at[k].start, at[k].end, z, e};
  }
  bool used = false;
  for (const wiring::ends& e : at) used = used || e.start == 1 || e.end == 1;
  if (!used) net.admittance(1, ground, 1); // a node of its own, lest the matrix be singular
  net.admittance(how.out, ground, s * p.lead.length.value() * p.lead.capacitance.value());
  const double senses = -static_cast<int>(p.first.winding) * static_cast<int>(p.second.winding);
  const complex m =
      s * senses * p.coupling * std::sqrt(p.first.inductance.value() * p.second.inductance.value());
  const auto out = static_cast<std::size_t>(how.out);
  winding quiet[2] = {w[0], w[1]};
  quiet[0].e = quiet[1].e = 0;
  return {net.solve(w[0], quiet[1], m)[out], net.solve(quiet[0], w[1], m)[out],
          net.solve(quiet[0], quiet[1], m, how.out, 1.0)[out]};
}

coil_pair unlike() {
  coil_pair p{.first = {.inductance = 2.1_H,
                        .resistance = 4100_Ohm,
                        .capacitance = 61_pF,
                        .start_to_ground = 23_pF,
                        .end_to_ground = 37_pF,
                        .eddy = {{{0.5_H, 30_kOhm}}},
                        .parallel_loss = 900_kOhm,
                        .emf = 0.4_V,
                        .emf_corner = 8_kHz,
                        .name = "slug coil"},
              .second = {.inductance = 2.4_H,
                         .resistance = 4400_Ohm,
                         .capacitance = 52_pF,
                         .start_to_ground = 17_pF,
                         .end_to_ground = 41_pF,
                         .eddy = {{{0.4_H, 25_kOhm}, {0.1_H, 80_kOhm}}},
                         .emf = 0.3_V,
                         .winding = winding_sense::counterclockwise,
                         .magnet = magnet_sense::south_up,
                         .name = "screw coil"},
              .coupling = 0.1,
              .lead = {0.5_m, 140_pF_per_m},
              .name = "bridge"};
  return p;
}

/// The nodal answer for a pair whose windings have a capacitance between their far ends.
answer direct_between(coil_pair p, const wiring& how, frequency f, int a, int b) {
  // Two nodes and ground: a capacitance between two of them can be put on an end of a winding or across one.
  const capacitance extra = std::exchange(p.between, capacitance{});
  if (a == ground) std::swap(a, b);
  REQUIRE(b == ground);
  magnetic_coil& c = how.first.end == a || how.first.start == a ? p.first : p.second;
  (how.first.end == a || how.second.end == a ? c.end_to_ground : c.start_to_ground) += extra;
  return direct(p, how, f);
}

void agree(const source& s, std::size_t slot_of_first, const answer& there, frequency f) {
  CAPTURE(f.value());
  CHECK(near(response(s, slot_of_first, f), there.first, 1e-11));
  CHECK(near(response(s, 1 - slot_of_first, f), there.second, 1e-11));
  CHECK(near(response(s, f), there.first + there.second, 1e-10));
  CHECK(near(output_impedance(s, f).value(), there.z, 1e-11));
}

// Nodes: 0 is the output, 1 the junction or the far end of a coil that hangs open.
const wiring in_series_{{ground, 1}, {1, 0}, 0};
const wiring in_series_turned{{ground, 1}, {0, 1}, 0};
const wiring in_parallel_{{ground, 0}, {ground, 0}, 0};
const wiring in_parallel_turned{{ground, 0}, {0, ground}, 0};
const wiring first_alone{{ground, 0}, {0, 1}, 0};
const wiring second_alone{{0, 1}, {ground, 0}, 0};

constexpr std::array frequencies{50_Hz, 700_Hz, 3_kHz, 6.3_kHz, 20_kHz};

/// Two equal coils, all ideal but for the resistance.
coil_pair equal(double k, capacitance own = 0_F) {
  const magnetic_coil coil{.inductance = 2.5_H, .resistance = 4_kOhm, .capacitance = own};
  return humbucking_pair(coil, coil, k);
}
double natural(const source& s) {
  const auto found = find_impedance_resonance(s);
  REQUIRE(found.natural.has_value());
  return found.natural->value();
}
double low_inductance(const source& s) {
  // Far below any resonance and far above R/L.
  return output_impedance(s, 1_MHz).value().imag() / (2e6 * std::numbers::pi);
}

} // namespace

TEST_CASE("every connection agrees with a direct nodal calculation, ground capacitances and all") {
  for (const double k : {0.0, 0.1, -0.35, 0.8, 1.0}) {
    CAPTURE(k);
    coil_pair p = unlike();
    p.coupling = k;
    for (const frequency& f : frequencies) {
      agree(p.as_series(), 0, direct(p, in_series_, f), f);
      agree(p.as_series_out_of_phase(), 0, direct(p, in_series_turned, f), f);
      agree(p.as_parallel(), 0, direct(p, in_parallel_, f), f);
      agree(p.as_parallel_out_of_phase(), 0, direct(p, in_parallel_turned, f), f);
      agree(p.as_single(which_coil::first, idle_coil::open()), 0, direct(p, first_alone, f), f);
      agree(p.as_single(which_coil::second, idle_coil::open()), 1, direct(p, second_alone, f), f);
      for (const double r : {1e3, 47e3, 1e6}) {
        const auto idle = idle_coil::bypassed(resistance::from_value(r));
        wiring how = in_series_;
        how.across_second = r;
        agree(p.as_single(which_coil::first, idle), 0, direct(p, how, f), f);
        how = {{1, 0}, {ground, 1}, 0};
        how.across_first = r;
        agree(p.as_single(which_coil::second, idle), 1, direct(p, how, f), f);
      }
    }
  }
}

TEST_CASE(
    "capacitance between the far ends lies at the hot end in series, and on the far end of a hanging coil") {
  coil_pair p = unlike();
  p.between = 33_pF;
  for (const frequency& f : frequencies) {
    agree(p.as_series(), 0, direct_between(p, in_series_, f, ground, 0), f);
    agree(p.as_parallel(), 0, direct_between(p, in_parallel_, f, ground, 0), f);
    agree(p.as_single(which_coil::first, idle_coil::open()), 0, direct_between(p, first_alone, f, ground, 1),
          f);
    agree(p.as_single(which_coil::second, idle_coil::open()), 1,
          direct_between(p, second_alone, f, ground, 1), f);
  }
}

TEST_CASE("shorted is a bypass of nothing") {
  const coil_pair p = unlike();
  for (const frequency& f : frequencies) {
    const source s = p.as_single(which_coil::first, idle_coil::shorted());
    agree(s, 0, direct(p, {{ground, 0}, {0, 0}, 0}, f), f);
    CHECK(s == p.as_single(which_coil::first, idle_coil::bypassed(0_Ohm)));
  }
}

TEST_CASE("a coupling of 0.1 takes series and parallel peak down alike, by 1/sqrt(1.1)") {
  const double ratio = 1 / std::sqrt(1.1);      // computed from the formula: L·(1 + k) in either connection
  for (const capacitance& own : {0_F, 60_pF}) { // equal coils: their own capacitance makes no difference
    const auto fall = [&](auto wire) {
      const auto loaded = [&](double k) { return wire(equal(k, own)) | in_shunt(600_pF); };
      return natural(loaded(0.1)) / natural(loaded(0));
    };
    CHECK(near(fall([](const coil_pair& p) { return p.as_series(); }), ratio, 1e-9));
    CHECK(near(fall([](const coil_pair& p) { return p.as_parallel(); }), ratio, 1e-9));
  }
  // The peak of the response of unlike coils with all their capacitances and a load: about 5 %.
  const auto peak = [](const source& s) {
    const resonance r = find_resonance(transfer(s | in_shunt(330_kOhm) | in_shunt(500_pF)));
    REQUIRE(r.has_peak);
    return r.peak.value();
  };
  coil_pair coupled = unlike(), apart = unlike();
  apart.coupling = 0;
  const double in_series = peak(coupled.as_series()) / peak(apart.as_series());
  const double in_parallel = peak(coupled.as_parallel()) / peak(apart.as_parallel());
  MESSAGE("unlike coils, k = 0.1 against 0: series ", in_series, ", parallel ", in_parallel);
  CHECK(std::abs(in_series - 0.953) < 0.015);
  CHECK(std::abs(in_parallel - 0.953) < 0.015);
}

TEST_CASE("leakage: the idle coil open, shorted, and the stacked pair") {
  // Computed from the formulas.
  const auto heard = [](double k, const idle_coil& idle) {
    return low_inductance(equal(k).as_single(which_coil::first, idle));
  };
  CHECK(near(heard(0.3, idle_coil::open()), 2.5, 1e-6));
  CHECK(near(heard(0.3, idle_coil::shorted()), 2.5 * (1 - 0.09), 1e-6)); // L·(1 - k²)
  CHECK(near(heard(0, idle_coil::shorted()), 2.5, 1e-6));
  for (const double k : {0.3, -0.6}) { // a stacked pair's coils oppose: k < 0
    CHECK(near(low_inductance(equal(k).as_series()), 5 * (1 + k), 1e-6));
    CHECK(near(low_inductance(equal(k).as_parallel()), 1.25 * (1 + k), 1e-6));
    CHECK(near(low_inductance(equal(k).as_series_out_of_phase()), 5 * (1 - k), 1e-6));
    CHECK(near(low_inductance(equal(k).as_parallel_out_of_phase()), 1.25 * (1 - k), 1e-6));
  }
}

TEST_CASE("the modes of a humbucking pickup, each with its peak") {
  // "Das Klang-Mysterium der Humbucker-Modes", guitar-letter.de: series 6.16 H, 47.5 pF, 11.8 kΩ; one coil
  // L/2, 2C, R/2; parallel L/4, 4C, R/4; tone 500 kΩ and 22 nF, volume 500 kΩ, cable 700 pF, input 1 MΩ. The
  // peaks: computed from the formula, magnitude of output over EMF.
  const auto pair_of = [](voltage e) {
    const magnetic_coil half{.inductance = 3.08_H, .resistance = 5.9_kOhm, .capacitance = 95_pF, .emf = e};
    return humbucking_pair(half, half, 0);
  };
  const source series = pair_of(0.5_V).as_series();
  const source parallel = pair_of(1_V).as_parallel();
  const source single = pair_of(1_V).as_single(which_coil::first, idle_coil::open());
  const potentiometer tone{.total = 500_kOhm, .end_resistance = 0_Ohm};
  const potentiometer volume{.total = 500_kOhm, .end_resistance = 0_Ohm};
  struct row {
    std::string mode;
    const source* pickup;
    double hz, db, dark_hz, dark_db, dc_db, lc_hz;
  };
  for (const row& r : {row{"series", &series, 2209.474, 4.7918, 366.163, 2.8237, -0.3022, 2345.439},
                       row{"single", &single, 3129.147, 7.8819, 560.440, 5.5626, -0.1524, 3216.334},
                       row{"parallel", &parallel, 4246.150, 11.1120, 819.686, 8.4311, -0.0765, 4298.973}}) {
    CAPTURE(r.mode);
    const auto wired = [&](double tone_at) {
      // The heard coil only: the hanging one brings an EMF that nobody hears.
      const source s = *r.pickup |
                       in_shunt(lodewire::series(tone.as_rheostat(rotation(tone_at), lugs::one_two), 22_nF)) |
                       volume.as_divider(rotation(1)) | in_shunt(700_pF) | in_shunt(1_MOhm);
      const std::array<double, 2> weight{1, r.pickup == &single ? 0. : 1.};
      return find_resonance(composer(s.as_circuit()).response(s.as_circuit(), weight));
    };
    const resonance bright = wired(1), dark = wired(0);
    MESSAGE(r.mode, ": ", bright.peak.value(), " Hz ", (bright.level + bright.height).value(), " dB; ",
            dark.peak.value(), " Hz ", (dark.level + dark.height).value(), " dB; dc ", bright.level.value(),
            " dB");
    CHECK(std::abs(bright.peak.value() - r.hz) < 0.00051);
    CHECK(std::abs((bright.level + bright.height).value() - r.db) < 0.000051);
    CHECK(std::abs(dark.peak.value() - r.dark_hz) < 0.00051);
    CHECK(std::abs((dark.level + dark.height).value() - r.dark_db) < 0.000051);
    CHECK(std::abs(bright.level.value() - r.dc_db) < 0.000051);
    CHECK(std::abs(natural(*r.pickup | in_shunt(700_pF)) - r.lc_hz) < 0.00051);
  }
  // The trade's rule says √2 and 2; the winding's own capacitance, which grows, makes it less.
  const double base = natural(series | in_shunt(700_pF));
  CHECK(std::abs(natural(single | in_shunt(700_pF)) / base - 1.3713) < 0.000051);
  CHECK(std::abs(natural(parallel | in_shunt(700_pF)) / base - 1.8329) < 0.000051);
}

TEST_CASE("without capacitance of their own the modes keep the rule of √2 and 2") {
  // H. Lemme, "Pickup-Geheimnisse: Beschaltung", gitarrenelektronik.de.
  const double base = natural(equal(0).as_series() | in_shunt(600_pF));
  CHECK(near(natural(equal(0).as_parallel() | in_shunt(600_pF)) / base, 2, 1e-9));
  CHECK(near(natural(equal(0).as_single(which_coil::second, idle_coil::open()) | in_shunt(600_pF)) / base,
             std::sqrt(2), 1e-9));
}

TEST_CASE("a bypass resistor goes all the way from shorted to series, without a jump") {
  const coil_pair p = unlike();
  const auto split = [&](double ohm) {
    return p.as_single(which_coil::first, idle_coil::bypassed(resistance::from_value(ohm)));
  };
  for (const frequency& f : frequencies) {
    const complex shorted = response(p.as_single(which_coil::first, idle_coil::shorted()), f);
    const complex whole = response(p.as_series(), f);
    CHECK(near(response(split(1e-3), f), shorted, 1e-6));
    CHECK(near(response(split(1e13), f), whole, 1e-6));
    complex last = shorted;
    for (double r = 1; r < 1e10; r *= 1.1) {
      const complex now = response(split(r), f);
      CHECK(std::abs(now - last) < 0.05 * (std::abs(shorted) + std::abs(whole)));
      last = now;
    }
  }
  double last = std::abs(response(p.as_single(which_coil::first, idle_coil::shorted()), 100_Hz));
  for (const double r : {1e3, 3e3, 1e4, 3e4, 1e5}) {
    const double now = std::abs(response(split(r), 100_Hz));
    CHECK(now > last);
    last = now;
  }
}

TEST_CASE("two equal coils out of phase cancel, in phase they add") {
  const coil_pair p = equal(0.1, 60_pF);
  for (const frequency& f : frequencies) {
    const source turned_series = p.as_series_out_of_phase(), turned_parallel = p.as_parallel_out_of_phase();
    CHECK(std::abs(response(turned_series, f)) < 1e-12 * std::abs(response(turned_series, 0, f)));
    CHECK(std::abs(response(turned_parallel, f)) < 1e-12 * std::abs(response(turned_parallel, 0, f)));
  }
  CHECK(near(std::abs(response(p.as_series(), 50_Hz)), 2, 1e-3));
  CHECK(near(std::abs(response(p.as_parallel(), 50_Hz)), 1, 1e-3));
  CHECK(std::abs(response(p.as_series_out_of_phase(), 0, 50_Hz)) > 0.5);
}

TEST_CASE("the whole pair with its leads swapped") {
  // From ground: the second coil backwards, then the first. Every capacitance stays on its end of its
  // winding.
  const coil_pair p = unlike();
  coil_pair turned = p;
  turned.first = reversed(p.second);
  turned.second = reversed(p.first);
  for (const frequency& f : frequencies)
    agree(turned.as_series(), 1, direct(p, {{0, 1}, {1, ground}, 0}, f), f);
  // Without capacitance to ground only the sign changes.
  coil_pair bare = p;
  bare.first.start_to_ground = bare.first.end_to_ground = bare.second.start_to_ground =
      bare.second.end_to_ground = 0_F;
  coil_pair back = bare;
  back.first = reversed(bare.second);
  back.second = reversed(bare.first);
  for (const frequency& f : frequencies) {
    CHECK(near(response(back.as_series(), f), -response(bare.as_series(), f), 1e-12));
    CHECK(near(output_impedance(back.as_series(), f).value(), output_impedance(bare.as_series(), f).value(),
               1e-12));
  }
  // With it, which end is grounded shows.
  CHECK(!near(response(turned.as_series(), 6.3_kHz), -response(p.as_series(), 6.3_kHz), 1e-3));
}

TEST_CASE("the senses decide: a pair wound alike couples the other way round and hums") {
  coil_pair p = equal(0.2);
  CHECK(p.first.hum_sign() == -p.second.hum_sign());
  CHECK(p.first.string_sign() == p.second.string_sign());
  p.second.winding = p.first.winding; // same winding, opposite magnet: string EMFs oppose
  CHECK(near(low_inductance(p.as_series()), 5 * 0.8, 1e-6));
  CHECK(std::abs(response(p.as_series(), 50_Hz)) < 1e-12);
  // humbucking_pair turns the second coil, whatever its members say.
  magnetic_coil odd{
      .inductance = 1_H, .winding = winding_sense::counterclockwise, .magnet = magnet_sense::north_up};
  const coil_pair made = humbucking_pair(odd, odd, 0);
  CHECK(made.second.winding == winding_sense::clockwise);
  CHECK(made.second.magnet == magnet_sense::south_up);
}

TEST_CASE("names, and the lead behind the terminals") {
  const source s = unlike().as_series();
  REQUIRE(s.emf_names().size() == 2);
  CHECK(s.emf_names()[0] == "bridge.slug coil");
  CHECK(s.emf_names()[1] == "bridge.screw coil");
  CHECK(near(load_seen(s, s.terminals("bridge"), 1_kHz).value(),
             1.0 / complex(0, 2 * std::numbers::pi * 1e3 * 70e-12), 1e-12));
  const source other = unlike().as_single(which_coil::second, idle_coil::open());
  CHECK(other.emf_names()[0] == "bridge.screw coil"); // the coil at ground comes first
}

TEST_CASE("what is refused") {
  static constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  const auto with = [](auto change) {
    coil_pair p = unlike();
    change(p);
    return error_of([&] { (void)p.as_series(); });
  };
  using pair = coil_pair&;
  CHECK(with([](pair) {}) == "no error");
  CHECK(with([](pair p) { p.coupling = 1.01; }) == "bridge.coupling is 1.01; allowed: -1 to 1");
  CHECK(with([](pair p) { p.coupling = -2; }) == "bridge.coupling is -2; allowed: -1 to 1");
  CHECK(with([](pair p) { p.coupling = nan; }) == "bridge.coupling is NaN; allowed: -1 to 1");
  CHECK(with([](pair p) { p.between = -5_pF; }) == "bridge.between is -5 pF; allowed: 0 F or more");
  CHECK(with([](pair p) { p.lead.length = -1_m; }) == "bridge.lead.length is -1 m; allowed: 0 m or more");
  CHECK(with([](pair p) { p.lead.capacitance = -90_pF_per_m; }) ==
        "bridge.lead.capacitance is -90 pF/m; allowed: 0 F/m or more");
  CHECK(with([](pair p) { p.first.inductance = 0_H; }) ==
        "slug coil.inductance is 0 H; allowed: more than 0 H");
  CHECK(with([](pair p) { p.second.resistance = -1_Ohm; }) ==
        "screw coil.resistance is -1 Ω; allowed: 0 Ω or more");
  CHECK(with([](pair p) { p.second.emf_corner = 0_Hz; }) ==
        "screw coil.emf_corner is 0 Hz; allowed: more than 0 Hz");
  CHECK(with([](pair p) {
          p.second.lead = {1_m, 100_pF_per_m};
        }) == "bridge.screw coil.lead is 100 pF; allowed: 0 F: the lead is the pair's");
  CHECK(error_of([] { (void)idle_coil::bypassed(-1_kOhm); }) ==
        "idle_coil.bypassed is -1 kΩ; allowed: 0 Ω or more");
  CHECK(error_of([] { (void)idle_coil::bypassed(resistance::from_value(nan)); }) ==
        "idle_coil.bypassed is NaN Ω; allowed: 0 Ω or more");
  CHECK(!idle_coil::open().across());
  CHECK(idle_coil::shorted().across() == 0_Ohm);
}
