// SPDX-License-Identifier: BSL-1.0
// Coils from a multimeter, from resonances, from winding data, from two channels of a sound card.
#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <span>
#include <string>
#include <tuple>
#include <vector>

#include <doctest/doctest.h>

#include <lodewire/circuit/join.hpp>
#include <lodewire/design/from_meter.hpp>
#include <lodewire/design/from_meter_point.hpp>
#include <lodewire/design/identify_coil.hpp>
#include <lodewire/design/measured_divider.hpp>
#include <lodewire/design/measured_ratio.hpp>
#include <lodewire/design/winding.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;

TEST_CASE("copper follows the published table") {
  // IEC 60028 as a worked example has it (cabledatasheet.com): 0.1 Ω at 20 °C is 0.11179 Ω at 50 °C.
  CHECK(near(0.1 * copper_ratio(20, 50), 0.11179, 1e-5));
  // Relative to 25 °C, a public table; 90 and 130 °C are rounded down in the print.
  const std::pair<double, double> table[] = {{40, 1.058},  {50, 1.096},  {55, 1.116},  {60, 1.135},
                                             {65, 1.154},  {70, 1.173},  {75, 1.193},  {80, 1.212},
                                             {85, 1.231},  {90, 1.250},  {100, 1.289}, {105, 1.308},
                                             {125, 1.385}, {130, 1.404}, {150, 1.482}, {200, 1.674}};
  for (const auto& [celsius, ratio] : table) {
    CHECK(std::abs(copper_ratio(25, celsius) - ratio) < (celsius == 90 || celsius == 130 ? 0.00075 : 0.0005));
  }
  // Conductivity and coefficient (handbook of a resistance meter, manualshive.com): C 0.98 -> 0.003851, 0.93 -> 3650 ppm/°C.
  CHECK(near(copper_coefficient(20, 0.98), 0.003851, 2e-4));
  CHECK(near(copper_coefficient(20, 0.93), 3654.9e-6, 1e-5));
  // 6.0 kΩ at 20 °C is 6.118 kΩ at 25 °C and 5.764 kΩ at 10 °C (computed from the formula).
  CHECK(near(resistance_at_20(6.118_kOhm, 25).value.value(), 6000, 1e-4));
  CHECK(near(resistance_at_20(5.764_kOhm, 10).value.value(), 6000, 1e-4));
  CHECK(near(resistance_at_20(6_kOhm, 20, 0.003, 1).error, std::hypot(0.003, 0.00393), 1e-9));
  CHECK(error_of([] { (void)resistance_at_20(-1_kOhm, 20); }) == "shown is -1 kΩ; allowed: more than 0 Ω");
  CHECK(error_of([] { (void)copper_ratio(20, 900); }) == "celsius is 900; allowed: -100 to 300");
}

TEST_CASE("wire") {
  // NEMA MW 1000, nominal, per 1000 ft (fr.scribd.com/document/456864939), of the rounded diameters in inches.
  const double foot = 0.3048, inch = 0.0254;
  const std::pair<double, double> table[] = {
      {.0320, 10.13}, {.0201, 25.67}, {.0100, 103.7}, {.0080, 162.0}, {.0050, 414.8}};
  for (const auto& [inches, ohm] : table)
    CHECK(near(wire_resistance(length::from_value(inches * inch)).value() * 1000 * foot, ohm, 5e-4));
  // 42, 43, 44 AWG, of .0025, .0022, .0020 in (from memory): two public comments say 1.6 and 2.1 Ω/ft for 42 and 43.
  CHECK(near(wire_resistance(length::from_value(.0025 * inch)).value(), 5.444, 5e-4));
  CHECK(near(wire_resistance(length::from_value(.0022 * inch)).value(), 7.030, 5e-4));
  CHECK(near(wire_resistance(length::from_value(.0020 * inch)).value(), 8.506, 5e-4));
  // From the exact formula (computed): diameter in mm and Ω/m.
  for (const auto& [awg, mm, ohm] :
       {std::tuple(42, 0.06334, 5.4715), std::tuple(43, 0.05641, 6.8995), std::tuple(44, 0.05023, 8.7000)}) {
    CHECK(near(awg_diameter(awg).value(), mm * 1e-3, 1e-4));
    CHECK(near(wire_resistance(awg_diameter(awg)).value(), ohm, 2e-4));
  }
  // IEC 60317 sizes with 1/58 Ω·mm²/m (computed).
  for (const auto& [mm, ohm] :
       {std::pair(0.050, 8.781), {0.056, 7.000}, {0.060, 6.098}, {0.063, 5.531}, {0.071, 4.355}})
    CHECK(near(wire_resistance(length::from_value(mm * 1e-3)).value(), ohm, 1e-4));

  // 42 AWG and 6.0 kΩ are 1102 m (computed): 8000 turns of 137.75 mm.
  const winding_estimate w = estimate_winding({.turns = 8000,
                                               .turns_error = 0.02,
                                               .diameter = length::from_value(.0025 * inch),
                                               .diameter_error = 0.01,
                                               .mean_turn = length::from_value(1102.0 / 8000),
                                               .mean_turn_error = 0.03});
  CHECK(near(w.wire.value(), 1102, 1e-9));
  CHECK(near(w.at_20.value(), 6000, 2e-4));
  CHECK(near(w.error, std::sqrt(0.02 * 0.02 + 0.02 * 0.02 + 0.03 * 0.03), 1e-9));
  CHECK(winding_does_not_say.find("not the inductance") != std::string_view::npos);
  CHECK(error_of([] { (void)estimate_winding({}); }) == "winding.turns is 0; allowed: more than 0");
  CHECK(error_of([] { (void)awg_diameter(99); }) == "awg is 99; allowed: 0 to 56");
}

TEST_CASE("published single readings") {
  // J. LaForest, "Characterizing Magnetic Guitar Pickups (and Other Large Inductors)", fpgacpu.ca/bass/pickups.html:
  // 100 mH, 210 Ω, self-resonance 100 kHz -> 25.33 pF, series Q 299.20.
  CHECK(near(capacitance_at_resonance(100_mH, 100_kHz).value(), 25.33e-12, 1e-4));
  CHECK(near(series_quality(100_mH, 210_Ohm, 100_kHz), 299.20, 1e-5));
  // The corner R/(2πL) of 4420 Ω and 1125 mH is printed as 625 Hz (M. Zollner, "Physik der Elektrogitarre", p. 5-111).
  CHECK(near(inductance_from_corner(4420_Ohm, 625_Hz).value(), 1.125, 1e-3));
  // Oscilloscope application note (numbers in gist cibomahto/db7c47a1): 10 kHz, 1000 Ω, 1.832 and 0.952 at 56.03° ->
  // ESR 29.48 Ω, L 9.95 mH. The printed phase is that of the first channel over the second: H = V2/V1 leads by it.
  measured_curve h{.kind = curve_kind::ratio, .hz = {10e3}};
  h.value = {std::polar(0.952 / 1.832, 56.03 * std::numbers::pi / 180)};
  const measured_curve z = impedance_from_divider(h, {.reference = 1_kOhm});
  CHECK(near(z.value[0].real(), 29.48, 1e-4));
  CHECK(near(z.value[0].imag() / (2 * std::numbers::pi * 10e3), 9.95e-3, 1e-4));
}

TEST_CASE("a gain at one frequency has two capacitances") {
  // EGB120 assignment (askfilo.com, "Analysis of an Electric Guitar Pickup Circuit"): 4.5 H, 5.35 kΩ, 2640 Hz, 165.1 mV of
  // 100 mV; 319 pF is meant. Both roots are computed from the formula.
  const auto roots = capacitances_from_gain(4.5_H, 5.35_kOhm, 2640_Hz, 1.651);
  REQUIRE(roots.size() == 2);
  CHECK(near(roots[0].value(), 318.994e-12, 1e-5));
  CHECK(near(roots[1].value(), 1288.04e-12, 1e-5));
  const auto gain = [](double hz, double c) {
    const double w = 2 * std::numbers::pi * hz;
    return 1.0 / std::complex<double>(1 - w * w * 4.5 * c, w * 5350 * c);
  };
  for (const capacitance& c : roots) CHECK(near(std::abs(gain(2640, c.value())), 1.651, 1e-9));
  CHECK(near(std::abs(gain(82.5, 319e-12)), 1.000385, 1e-6)); // computed
  CHECK(near(std::abs(gain(330, 319e-12)), 1.006203, 1e-6));
  CHECK(near(std::abs(gain(82.5, 319e-9)), 0.92849, 1e-5));
  CHECK(capacitances_from_gain(4.5_H, 5.35_kOhm, 2640_Hz, 0.5).size() == 1);
  CHECK(capacitances_from_gain(4.5_H, 5.35_kOhm, 2640_Hz, 100).empty()); // more than the losses allow
}

TEST_CASE("a coil without metal from its loaded resonances") {
  // M. Zollner, "Physik der Elektrogitarre", fig. 5.9.26: R 4420 Ω, L 1125 mH, C 43 pF; |Z| highest with 330, 700,
  // 1030 pF added at 7.7, 5.5, 4.6 kHz as printed, each rounded to 0.1 kHz.
  const auto rounded = [](double khz) { return 0.05 / std::sqrt(3.0) / khz; };
  const std::vector<loaded_resonance> printed{
      {330_pF, 7.7_kHz, rounded(7.7)}, {700_pF, 5.5_kHz, rounded(5.5)}, {1030_pF, 4.6_kHz, rounded(4.6)}};
  const coil_from_resonances found = coil_by_resonances(printed, {.winding = 4420_Ohm});
  MESSAGE("from the printed frequencies: L ", found.coil.inductance.value(), " H ± ",
          100 * found.inductance_error, " %, C ", 1e12 * found.coil.capacitance.value(), " pF ± ",
          100 * found.capacitance_error, " %");
  CHECK(near(found.coil.inductance.value(), 1.125, 0.02));
  CHECK(std::abs(std::log(found.coil.capacitance.value() / 43e-12)) < 2.5 * found.capacitance_error);
  for (const double r : found.residuals) CHECK(std::abs(r) < 0.01);
  CHECK(found.note.find("the highest |Z|") != std::string::npos);
  // The frequencies as the values give them (computed): nothing is lost.
  const std::vector<loaded_resonance> exact{
      {330_pF, 7769.35_Hz}, {700_pF, 5504.67_Hz}, {1030_pF, 4580.44_Hz}};
  const coil_from_resonances back = coil_by_resonances(exact, {.winding = 4420_Ohm});
  CHECK(near(back.coil.inductance.value(), 1.125, 1e-4));
  CHECK(near(back.coil.capacitance.value(), 43e-12, 1e-3));
}

TEST_CASE("eddy currents make a coil read too little capacitance; through its losses it reads right") {
  using enum resonance_reading;
  const capacitance usual[] = {330_pF, 680_pF, 1_nF}, few[] = {470_pF, 1_nF},
                    with_none[] = {0_pF, 100_pF, 220_pF, 470_pF};
  double lowest = 1, highest = 0;
  for (const double share : {0.25, 0.6})
    for (const double corner : {5e3, 9e3})
      for (const std::span<const capacitance> added :
           {std::span<const capacitance>(usual), {few}, {with_none}})
        for (const resonance_reading read : {highest_impedance, zero_phase, response}) {
          magnetic_coil coil{.inductance = inductance::from_value(2.5 * (1 - share)),
                             .resistance = 6.5_kOhm,
                             .capacitance = 120_pF};
          coil.eddy[0] = {inductance::from_value(2.5 * share),
                          resistance::from_value(2 * std::numbers::pi * corner * 2.5 * share)};
          resonance_set_up s{.read = read, .winding = 6.5_kOhm};
          std::vector<loaded_resonance> readings;
          for (const capacitance& c : added)
            if (const double hz = detail::resonance_of(coil, s, c); hz > 0)
              readings.push_back({c, frequency::from_value(hz)});
          if (readings.size() < 2) continue; // so much loss that there is no such peak
          CAPTURE(share);
          CAPTURE(corner);
          CAPTURE(readings.size());
          const coil_from_resonances plain = coil_by_resonances(readings, s);
          CHECK(plain.coil.capacitance < 119_pF);
          CHECK(plain.highest > 120_pF);
          CHECK(plain.lowest < 120_pF);
          CHECK(plain.note.find("bound") != std::string::npos);
          if (read == highest_impedance && added.size() == 3) {
            lowest = std::fmin(lowest, plain.coil.capacitance.value());
            highest = std::fmax(highest, plain.coil.capacitance.value());
          }
          s.losses = coil;
          const coil_from_resonances through = coil_by_resonances(readings, s);
          CHECK(near(through.coil.capacitance.value(), 120e-12, 1e-4));
          CHECK(near(through.coil.low_frequency_inductance().value(), 2.5, 1e-4));
        }
  MESSAGE("by |Z| with 330, 680, 1000 pF, 120 pF read ", 1e12 * lowest, " to ", 1e12 * highest, " pF");
}

TEST_CASE("readings that are none") {
  const resonance_set_up s{.winding = 5_kOhm};
  CHECK(error_of([&] {
          const std::vector<loaded_resonance> one{{100_pF, 5_kHz}};
          (void)coil_by_resonances(one, s);
        }) == "readings is 1 with one capacitor; allowed: two or more, with different capacitors added");
  CHECK(error_of([&] {
          const std::vector<loaded_resonance> swapped{{100_pF, 5_kHz}, {470_pF, 8_kHz}};
          (void)coil_by_resonances(swapped, s);
        }).find("each capacitor with its own reading?") != std::string::npos);
  CHECK(error_of([&] {
          const std::vector<loaded_resonance> zero{{100_pF, 5_kHz}, {470_pF, 0_Hz}};
          (void)coil_by_resonances(zero, s);
        }) == "readings[1].at is 0 Hz; allowed: more than 0 Hz");
}

namespace {

/// What a sound card records: noise through the divider, by a frequency response in a long transform; its channels have
/// unlike gains, and hum of 50 Hz and its odd multiples is picked up by the second.
two_channels record(const source& bench, double gain, bool swapped, double hum) {
  std::mt19937_64 bits(swapped ? 5 : 9);
  const std::size_t n = 1U << 17U;
  two_channels r;
  const auto uniform = [&] { return static_cast<double>(bits() >> 11U) * 0x1p-52 - 1; };
  std::vector<std::complex<double>> x(n);
  for (auto& v : x) v = uniform();
  std::vector<std::complex<double>> spectrum = x;
  lodewire::detail::transform(spectrum);
  std::vector<double> hz;
  for (std::size_t k = 1; k < n / 2; ++k)
    hz.push_back(48000.0 * static_cast<double>(k) / static_cast<double>(n));
  const auto h = model_curve(bench, curve_kind::ratio, hz);
  spectrum[0] = spectrum[n / 2] = 0;
  for (std::size_t k = 1; k < n / 2; ++k) {
    spectrum[k] =
        std::conj(spectrum[k] * h[k - 1]); // the conjugate's transform is the inverse one's conjugate
    spectrum[n - k] = std::conj(spectrum[k]);
  }
  lodewire::detail::transform(spectrum);
  for (std::size_t i = 0; i < n; ++i) {
    double coil = spectrum[i].real() / static_cast<double>(n);
    const double turn = 2 * std::numbers::pi * 50.02 * static_cast<double>(i) / 48000;
    for (const double k : {1., 3., 5., 7.}) coil += hum * std::sin(k * turn);
    r.first.push_back(swapped ? coil : x[i].real());
    r.second.push_back(gain * (swapped ? x[i].real() : coil));
  }
  return r;
}

} // namespace

TEST_CASE("two channels of a sound card, swapped and averaged") {
  const magnetic_coil coil{
      .inductance = 2_H, .resistance = 6_kOhm, .capacitance = 150_pF, .eddy = {{{0.5_H, 20_kOhm}}}};
  const input line{.resistance = 20_kOhm, .capacitance = 150_pF};
  const one_port z = parallel(coil.winding_impedance(), coil.winding_shunt());
  const source bench = ideal_emf(1_V) | in_series(100_kOhm) | in_shunt(z) | line;
  const ratio_options o{.from = 100_Hz, .to = 18_kHz, .segment = 16384, .mains = 50_Hz};
  const measured_curve wired = ratio_of_channels(record(bench, 1.07, false, 0.05), o);
  const measured_curve swapped = ratio_of_channels(record(bench, 1.07, true, 0.05), o);
  for (const double f : wired.hz) CHECK(f > 100);
  const measured_curve h = swapped_average(wired, swapped);
  REQUIRE(h.size() > 60);
  const auto truth = model_curve(bench, curve_kind::ratio, h.hz);
  std::vector<std::complex<double>> one_way = wired.value;
  const double by_one = misfit_of(model_curve(bench, curve_kind::ratio, wired.hz), one_way).rms,
               by_both = misfit_of(truth, h.value).rms;
  MESSAGE("one way: off by ", 100 * by_one, " %; both ways: ", 100 * by_both, " %");
  CHECK(by_one > 0.05);
  CHECK(by_both < 0.01);
  // The input comes off, and the coil is what it was.
  const measured_curve found = impedance_from_divider(h, {.reference = 100_kOhm, .input = line});
  const coil_model m = fit_coil(found, {1, false});
  MESSAGE("R ", m.coil.resistance.value(), ", L ", m.coil.low_frequency_inductance().value(), ", C ",
          m.coil.capacitance.value(), ", rms ", 100 * m.fit.misfits[0].rms, " %");
  CHECK(near(m.coil.resistance.value(), 6000, 0.03));
  CHECK(near(m.coil.low_frequency_inductance().value(), 2.5, 0.03));
  CHECK(near(m.coil.capacitance.value(), 150e-12, 0.03));

  CHECK(error_of([] {
          (void)ratio_of_channels({48000, {1, 2}, {1}});
        }) == "channels is 2 and 1 samples; allowed: as many in one as in the other");
  CHECK(error_of([] {
          (void)ratio_of_channels({48000, std::vector<double>(70000), std::vector<double>(70000)});
        }) == "channels is without a common signal; allowed: the same noise or sweep in both");
  CHECK(error_of([] {
          (void)ratio_of_channels({48000, {}, {}}, {.segment = 1000});
        }) == "segment is 1000; allowed: a power of two, 64 to 16777216");
  CHECK(
      error_of([] {
        const std::vector<double> ones(40000, 1.0);
        (void)ratio_of_channels({48000, ones, ones}, {.segment = 8192, .mains = 50_Hz});
      }) ==
      "segment is 8192; allowed: more than 9600, so that there are bins between the mains and its multiples");
}
