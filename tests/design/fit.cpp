// SPDX-License-Identifier: BSL-1.0
// The fit itself: its slopes against dual numbers, outliers, priors, ranges, and a whole circuit whose beginnings nobody
// guessed.
#include <cmath>
#include <complex>
#include <span>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/circuit/complex_system.hpp>
#include <lodewire/circuit/dual.hpp>
#include <lodewire/circuit/machine.hpp>
#include <lodewire/design/fit_coil.hpp>
#include <lodewire/design/fit_curves.hpp>
#include <lodewire/design/fit_range.hpp>
#include <lodewire/design/identify_coil.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"
#include "noisy_coil.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using noisy_coil::coil_model_of;
using noisy_coil::measured;
using noisy_coil::shape;
using noisy_coil::truth;
using noisy_coil::unknowns_for;
using complex = std::complex<double>;

TEST_CASE("the slopes are those of dual numbers") {
  const measured_curve c = measured(0);
  const std::vector<fit_unknown> u = unknowns_for(c);
  const lodewire::detail::fit_problem problem(std::span(&c, 1), u, coil_model_of);
  std::vector<double> x;
  for (const double p : truth) x.push_back(std::log(p));
  lodewire::detail::fit_matrix j(problem.rows, u.size());
  lodewire::detail::differentiate(lodewire::detail::residual_ref(problem), x, j);

  using ring = dual<6>;
  using system = complex_system<ring>;
  const circuit k = source(shape.coil(truth)).as_circuit();
  std::vector<ring> values;
  for (const double v : k.values) {
    ring d(v);
    for (std::size_t i = 0; i < truth.size(); ++i)
      if (v == truth[i]) d.gradient[i] = v; // d/d ln
    values.push_back(d);
  }
  workspace<system> room(k.code);
  double worst = 0;
  for (std::size_t i = 0; i < c.size(); ++i) {
    machine<system, ring> m(system(split_complex<ring>(ring(0), ring(2 * std::numbers::pi * c.hz[i]))),
                            values.data(), room);
    run(k.code, m);
    const split_complex<ring> z = ring(scale::ohm) * m.n() / m.d();
    const complex at(z.re.value, z.im.value);
    for (std::size_t p = 0; p < truth.size(); ++p) {
      const complex slope = complex(z.re.gradient[p], z.im.gradient[p]) / at;
      worst = std::fmax(worst, std::abs(slope - complex(j(2 * i, p), j(2 * i + 1, p))));
    }
  }
  MESSAGE("worst slope off by ", worst);
  CHECK(worst < 2e-9);
}

TEST_CASE("outliers lose their weight, are named by it, and move nothing") {
  measured_curve c = measured(0.005);
  const std::span<const measured_curve> curves(&c, 1);
  const fit_result before = fit_curves(curves, unknowns_for(c), coil_model_of);
  c.value[20] *= 1.5;
  c.value[41] *= std::polar(1.0, 0.4);
  const fit_result robust = fit_curves(curves, unknowns_for(c), coil_model_of);
  const fit_result plain = fit_curves(curves, unknowns_for(c), coil_model_of, {.robust = false});
  CHECK(near(robust.noise, 0.005, 0.25));
  CHECK(plain.noise > 4 * robust.noise);
  double moved = 0, moved_plain = 0;
  for (std::size_t k = 0; k < truth.size(); ++k) {
    moved = std::fmax(moved, std::abs(std::log(robust.values[k].value / before.values[k].value)) /
                                 before.values[k].error);
    moved_plain = std::fmax(moved_plain, std::abs(std::log(plain.values[k].value / before.values[k].value)) /
                                             before.values[k].error);
  }
  MESSAGE("two outliers move the values by ", moved, " standard errors, by ", moved_plain,
          " where they count in full");
  CHECK(moved < 0.6);
  CHECK(moved_plain > 3);
  for (std::size_t i = 0; i < c.size(); ++i) {
    CAPTURE(i);
    const bool out = i == 20 || i == 41;
    CHECK((robust.weights[0][i] < 0.05) == out);
    CHECK((std::abs(robust.residuals[0][i]) > 0.2) == out);
  }
}

TEST_CASE("given noise stays as it is given; a limit that is reached is said; a held value has no error") {
  measured_curve c = measured(0.01);
  c.spread.assign(c.size(), 0.02); // twice what it is
  const std::span<const measured_curve> curves(&c, 1);
  std::vector<fit_unknown> u = unknowns_for(c);
  const fit_result given = fit_curves(curves, u, coil_model_of, {.noise_is_given = true});
  const fit_result found = fit_curves(curves, u, coil_model_of);
  CHECK(given.noise == 1);
  CHECK(near(found.noise, 0.5, 0.15)); // of the spreads
  CHECK(near(given.values[1].error / found.values[1].error, 1 / found.noise, 1e-3));
  CHECK(
      near(given.deviance, found.noise * found.noise * static_cast<double>(found.numbers - u.size()), 0.05));

  u[2].high = 140e-12; // the truth is 150 pF
  u[2].start = 100e-12;
  const fit_result pressed = fit_curves(curves, u, coil_model_of);
  CHECK(pressed["coil C"].at_limit);
  CHECK(near(pressed["coil C"].value, 140e-12, 1e-9));
  CHECK(pressed.deviance / pressed.noise > 0);
  u[2].low = u[2].high;
  u[2].start = u[2].low;
  const fit_result held = fit_curves(curves, u, coil_model_of);
  CHECK(held["coil C"].known);
  CHECK(held["coil C"].error == 0);
  CHECK(!held["coil C"].at_limit);
  CHECK(open_blends(held, 0.5).empty());
  CHECK(error_of([&] { (void)held["coil D"]; }) ==
        "unknown is 'coil D'; allowed: one of 'coil R', 'coil L', 'coil C', 'coil L1', 'coil R1', 'coil Rp'");
}

TEST_CASE("a prior weighs as it says") {
  const measured_curve c = measured(0.01);
  std::vector<fit_unknown> u = unknowns_for(c);
  const std::span<const measured_curve> curves(&c, 1);
  const fit_result without = fit_curves(curves, u, coil_model_of);
  const double error = without["coil R"].error;
  u[0].prior = without["coil R"].value * std::exp(2 * error);
  u[0].prior_spread = error; // as good as the data: it meets them half way
  const fit_result with = fit_curves(curves, u, coil_model_of);
  CHECK(near(std::log(with["coil R"].value / without["coil R"].value), error, 0.1));
  CHECK(near(with["coil R"].error, error / std::sqrt(2.0), 0.1));
}

TEST_CASE("a whole control circuit with some values known, nothing guessed, from its response") {
  // A coil of known values, a volume control at 7 of unknown track, a cable, an input: track, cable, and how loud.
  const magnetic_coil coil{
      .inductance = 3_H, .resistance = 7_kOhm, .capacitance = 110_pF, .eddy = {{{0.6_H, 25_kOhm}}}};
  const auto guitar = [&](std::span<const double> p, std::size_t) {
    magnetic_coil loud = coil;
    loud.emf = voltage::from_value(p[2]);
    return source(loud) |
           potentiometer{.total = resistance::from_value(p[0]), .law = audio_taper}.as_divider(knob(7)) |
           in_shunt(one_port(capacitance::from_value(p[1]))) | in_shunt(one_port(1_MOhm));
  };
  const std::vector<double> values{480e3, 620e-12, 0.034};
  measured_curve c{.kind = curve_kind::ratio, .hz = log_grid(80_Hz, 15_kHz, 40)};
  c.value = model_curve(guitar(values, 0), curve_kind::ratio, c.hz);
  const std::vector<fit_unknown> u{
      {"track", "Ω", 10e3, 2e6}, {"cable", "F", 10e-12, 5e-9}, {"EMF", "V", 1e-4, 10}};
  const fit_result found = fit_curves(std::span(&c, 1), u, guitar);
  for (std::size_t k = 0; k < u.size(); ++k) CHECK(near(found.values[k].value, values[k], 1e-6));
  // By level alone, the phase not measured.
  c.magnitude_only = true;
  for (complex& h : c.value) h = std::abs(h);
  const fit_result by_level = fit_curves(std::span(&c, 1), u, guitar);
  CHECK(by_level.numbers == 40);
  for (std::size_t k = 0; k < u.size(); ++k) CHECK(near(by_level.values[k].value, values[k], 1e-6));
}

TEST_CASE("what is known between coil and jack is taken out") {
  const stage known = in_shunt(one_port(125_kOhm)) | in_shunt(one_port(600_pF)) | in_shunt(one_port(1_MOhm));
  measured_curve c = measured(0);
  c.value = model_curve(source(shape.coil(truth)) | known, curve_kind::ohms, c.hz);
  const identified_coil found = identify_coil(c, {.known = known});
  CHECK(found.best().shape.branches == 1);
  CHECK(found.best().shape.parallel_loss);
  for (std::size_t k = 0; k < truth.size(); ++k)
    CHECK(near(found.best().fit.values[k].value, truth[k], 1e-6));
}

TEST_CASE("a predicted range covers the truth as often as it says, where the data decide") {
  int inside = 0;
  constexpr int count = 60;
  const auto peak =
      [](std::span<const double> p) { // undamped resonance of all the inductance with 500 pF added
        return 1 / std::sqrt((p[1] + p[3]) * (p[2] + 500e-12));
      };
  for (unsigned i = 0; i < count; ++i) {
    const measured_curve c = measured(0.01, 100 + i);
    const std::vector<fit_unknown> u = unknowns_for(c);
    const std::span<const measured_curve> curves(&c, 1);
    const fit_result found = fit_curves(curves, u, coil_model_of);
    const fit_range range = predict(curves, u, coil_model_of, found, peak);
    CHECK(near(range.centre, range.best, 1e-3));
    inside += range.low < peak(truth) && peak(truth) < range.high;
  }
  MESSAGE(inside, " of ", count, " ranges hold the truth");
  CHECK(inside >= 51); // 57 ± 1.7 expected
}

TEST_CASE("unknowns that are none") {
  const measured_curve c = measured(0.01);
  const std::span<const measured_curve> curves(&c, 1);
  const auto error = [&](std::vector<fit_unknown> u) {
    return error_of([&] { (void)fit_curves(curves, u, coil_model_of); });
  };
  CHECK(error({}) == "unknowns is an empty list; allowed: one or more");
  CHECK(error({{"R", "Ω", 0, 1}}) == "R.low is 0; allowed: more than 0");
  CHECK(error({{"R", "Ω", 2, 1}}) == "R.high is 1; allowed: 2 to 1e+300");
  CHECK(error({{"R", "Ω", 1, 2, 3}}) == "R.start is 3; allowed: 1 to 2");
  CHECK(error({{"R", "Ω", 1, 2, {}, -1}}) == "R.prior is -1; allowed: more than 0");
  CHECK(error({{"R", "Ω", 1, 2, {}, 1, 0}}) == "R.prior_spread is 0; allowed: more than 0");
  CHECK(error_of([&] { (void)fit_curves({}, unknowns_for(c), coil_model_of); }) ==
        "curves is an empty list; allowed: one or more");
  CHECK(error_of([] {
          std::vector<fit_unknown> u;
          coil_unknowns{3, true}.append_to(u, "x", {});
        }) == "coil_unknowns.branches is 3; allowed: 0 to 2");
}
