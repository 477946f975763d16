// SPDX-License-Identifier: BSL-1.0
// Computes figures that others have published or measured and prints them beside theirs: the tables of
// docs/validation.md. Ends with an error if one lies further away than its row allows.
#include <algorithm>
#include <charconv>
#include <cmath>
#include <complex>
#include <iostream>
#include <numbers>
#include <string>

#include <lodewire/lodewire.hpp>
using namespace lodewire;
using namespace lodewire::literals;

namespace {

int rows = 0, failures = 0;

void table(const std::string& title, const std::string& source) {
  std::cout << "\n### " << title << "\n\n"
            << source << "\n\n| what | theirs | lodewire | allowed |\n| --- | --- | --- | --- |\n";
}

// One figure: `printed` is what the source has, digit for digit, in units of `unit`; `allowed` is relative.
void row(const std::string& what, const std::string& printed, double ours, const std::string& unit,
         double allowed) {
  double theirs = 0;
  std::from_chars(printed.data(), printed.data() + printed.size(), theirs);
  const bool agrees = std::abs(ours - theirs) <= allowed * std::abs(theirs);
  const char* const space = unit.empty() ? "" : " ";
  ++rows;
  failures += agrees ? 0 : 1;
  std::cout << "| " << what << " | " << printed << space << unit << " | " << plain_number(ours, 8) << space
            << unit << " | " << plain_number(allowed * 100, 3) << " %" << (agrees ? "" : " (MISSED)")
            << " |\n";
}

double magnitude(const source& s, frequency f) { return std::abs(response(s, f)); }
double degrees(const source& s, frequency f) { return std::arg(response(s, f)) * 180 / std::numbers::pi; }
double db(double ratio) { return voltage_level(ratio).value(); }
frequency hertz(double f) { return frequency::from_value(f); }
// The only pole of a first-order circuit, in Hz.
double pole_hz(const source& s) {
  return std::abs(factorise(transfer(s)).poles.at(0)) / (2 * std::numbers::pi);
}
double peak_level(const resonance& r) { return (r.level + r.height).value(); }

void impedances() {
  table("Impedance of a lossy coil beside a capacitor",
        "T. Kuphaldt, *Lessons in Electric Circuits II*, 'Resonance in series-parallel circuits': 1 V across "
        "10 µF beside "
        "100 Ω + 100 mH, source current.");
  const one_port z = parallel(series(100_Ohm, 100_mH), 10_uF);
  const char* const currents[] = {"7.387", "7.242", "7.115", "7.007", "6.921",
                                  "6.859", "6.823", "6.813", "6.830"};
  for (int i = 0; i < 9; ++i) {
    const double f = 100 + i * 100.0 / 19;
    row(plain_number(f, 4) + " Hz", currents[i], 1e3 / std::abs(impedance_at(z, hertz(f)).value()), "mA",
        1e-4);
  }
  const auto found = find_impedance_resonance(z);
  row("natural frequency", "159.155", found.natural.value().value(), "Hz", 1e-5);
  row("peak of the magnitude, computed from the formula", "136.1729", found.magnitude_peak.value().value(),
      "Hz", 1e-6);
  row("its height, computed from the formula", "146.7890", found.peak_magnitude.value(), "Ω", 1e-6);

  table("Self-resonance of a known inductor",
        "C. LaForest, *Characterizing Magnetic Guitar Pickups (and Other Large "
        "Inductors)*, fpgacpu.ca: 210 Ω, 100 mH, 25.33 pF.");
  const auto known = find_impedance_resonance(parallel(series(210_Ohm, 100_mH), 25.33_pF));
  row("self-resonance", "100", known.natural.value().value() / 1e3, "kHz", 1e-4);
  row("quality", "299.20", known.quality.value(), "", 1e-4);

  table("An inductor in a divider",
        "Oscilloscope application note *Capacitance and inductance measurements using an "
        "oscilloscope and a function generator*: 1000 Ω, then 29.48 Ω + 9.95 mH, 10 kHz.");
  const source divider = ideal_emf(1_V) | in_series(1000_Ohm) | in_shunt(series(29.48_Ohm, 9.95_mH));
  row("voltage for 1.832 V in", "0.952", 1.832 * magnitude(divider, 10_kHz), "V", 5e-4);
  row("phase", "56.03", degrees(divider, 10_kHz), "°", 5e-4);

  table("A coil without metal, with known capacitors",
        "M. Zollner, *Physik der Elektrogitarre*, fig. 5.9.26, measured: "
        "4420 Ω, 1125 mH, 43 pF and the capacitor named. The unloaded "
        "value holds some 8 pF of the fixture.");
  const magnetic_coil bare{.inductance = 1.125_H, .resistance = 4.42_kOhm, .capacitance = 43_pF};
  const auto peak = [&](capacitance c) {
    return find_impedance_resonance(bare | in_shunt(c)).magnitude_peak.value().value() / 1e3;
  };
  row("nothing added", "21", peak(0_pF), "kHz", 0.10);
  row("330 pF", "7.7", peak(330_pF), "kHz", 0.01);
  row("700 pF", "5.5", peak(700_pF), "kHz", 0.01);
  row("1030 pF", "4.6", peak(1030_pF), "kHz", 0.01);

  table("Output of a two-pickup guitar, measured",
        "J. Buchholdt and others, student project AAT8, Aalborg University, 2017: neck pickup, volume and "
        "tone full up, "
        "two instrument inputs across it (1 MΩ and 24 pF each, from memory). The model is a fit with one "
        "eddy branch to the "
        "same project's other wiring: 6697 Ω, 1.613 H, 0.562 H beside 20.55 kΩ, 481 pF, 91.8 kΩ across.");
  magnetic_coil neck{.inductance = 1.613_H, .resistance = 6697_Ohm, .capacitance = 481_pF};
  neck.eddy[0] = {.inductance = 0.562_H, .resistance = 20.55_kOhm};
  neck.parallel_loss = 91.8_kOhm;
  const source measured = neck | in_shunt(parallel(500_kOhm, 48_pF));
  const auto at_peak = find_impedance_resonance(measured);
  row("magnitude at 10 Hz", "6220", std::abs(output_impedance(measured, 10_Hz).value()), "Ω", 0.02);
  row("highest magnitude", "58.57", at_peak.peak_magnitude.value() / 1e3, "kΩ", 0.02);
  row("where it lies", "5104", at_peak.magnitude_peak.value().value(), "Hz", 0.02);
}

void resonances() {
  table("A coil, a capacitance and a load resistor",
        "Computed from the formula in M. Zollner, *Physik der Elektrogitarre*, §5.5.4, p. 5-62 "
        "(docs/theory.md, eq. 18). "
        "Level re the EMF.");
  struct load_case {
    resistance r;
    inductance l;
    capacitance c;
    resistance load;
    const char *q, *peak, *level;
  };
  const load_case cases[] = {
      {6_kOhm, 2.5_H, 620_pF, 1_MOhm, "6.3485487", "4029.4202", "16.028552"},
      {6_kOhm, 2.5_H, 620_pF, 200_kOhm, "2.4633925", "3930.0737", "7.756637"},
      {8_kOhm, 4.5_H, 700_pF, 333.333333_kOhm, "2.9735270", "2787.2407", "9.384003"},
      {5.7_kOhm, 2.2_H, 110_pF, 1_MOhm, "5.5184371", "10175.408", "14.822753"},
      {5.7_kOhm, 2.2_H, 580_pF, 200_kOhm, "2.5322657", "4338.7883", "7.998807"},
  };
  for (const load_case& c : cases) {
    const auto found = find_resonance(
        magnetic_coil{.inductance = c.l, .resistance = c.r, .capacitance = c.c} | in_shunt(c.load));
    const std::string what =
        engineering(c.r) + ", " + engineering(c.l) + ", " + engineering(c.c) + ", " + engineering(c.load);
    row(what + ": Q", c.q, found.quality, "", 1e-7);
    row("peak", c.peak, found.peak.value(), "Hz", 1e-7);
    row("level of the peak", c.level, peak_level(found), "dB", 1e-7);
  }

  table("A second-order low-pass", "A published design page: 10 µH, 0.1 µF, 70.71 Ω.");
  const source low_pass = ideal_emf(1_V) | in_series(10_uH) | in_shunt(0.1_uF) | in_shunt(70.71_Ohm);
  row("natural frequency", "159.155", find_impedance_resonance(low_pass).natural.value().value() / 1e3, "kHz",
      1e-5);
  row("Q", "7.071", find_resonance(low_pass).quality, "", 1e-4);

  table("One humbucking pickup, three ways to connect it",
        "Data of the article *Das Klang-Mysterium der Humbucker-Modes*, guitar-letter.de: in series 6.16 H, "
        "47.5 pF, 11.8 kΩ; "
        "tone 500 kΩ and 22 nF, volume 500 kΩ, cable 700 pF, input 1 MΩ. Results computed from the formula. "
        "Here a "
        "`coil_pair` of two coils without coupling.");
  magnetic_coil half{.inductance = 3.08_H, .resistance = 5.9_kOhm, .capacitance = 95_pF};
  const coil_pair apart = humbucking_pair(half, half, 0);
  half.emf = 0.5_V;
  const coil_pair together = humbucking_pair(half, half, 0);
  const auto loaded = [](const source& pickup, resistance tone) {
    return find_resonance(pickup | in_shunt(series(tone, 22_nF)) | in_shunt(500_kOhm) |
                          cable{7_m, 100_pF_per_m} | input{.resistance = 1_MOhm});
  };
  struct mode_case {
    const char* name;
    source pickup;
    const char *full, *full_level, *down, *down_level;
  };
  const mode_case modes[] = {
      {"series", together.as_series(), "2209.474", "4.7918", "366.163", "2.8237"},
      {"single", apart.as_single(which_coil::first, idle_coil::open()), "3129.147", "7.8819", "560.440",
       "5.5626"},
      {"parallel", together.as_parallel(), "4246.150", "11.1120", "819.686", "8.4311"}};
  for (const mode_case& m : modes) {
    const bool is_parallel = m.name[0] == 'p'; // there the mean of both EMFs counts, in series their sum
    const double lift = is_parallel ? db(2) : 0;
    const auto full = loaded(m.pickup, 500_kOhm), down = loaded(m.pickup, 0_Ohm);
    row(std::string(m.name) + ", tone 500 kΩ: peak", m.full, full.peak.value(), "Hz", 1e-6);
    row("level", m.full_level, peak_level(full) + lift, "dB", 2e-5);
    row(std::string(m.name) + ", tone 0 Ω: peak", m.down, down.peak.value(), "Hz", 2e-6);
    row("level", m.down_level, peak_level(down) + lift, "dB", 2e-5);
  }

  table("Course problem with a pickup",
        "EGB120 assignment, *Analysis of an Electric Guitar Pickup Circuit*: 100 mV behind "
        "5.35 kΩ and 4.5 H, output across the capacitor.");
  const auto assignment = [](capacitance c) {
    return ideal_emf(100_mV) | in_series(5.35_kOhm) | in_series(4.5_H) | in_shunt(c);
  };
  row("319 pF, 2640 Hz", "165.1", 1e3 * magnitude(assignment(319_pF), 2640_Hz), "mV", 5e-5);
  row("319 nF, 82.5 Hz, computed from the formula", "92.849", 1e3 * magnitude(assignment(319_nF), 82.5_Hz),
      "mV", 1e-5);
  row("319 nF, 330 Hz, computed from the formula", "15.958", 1e3 * magnitude(assignment(319_nF), 330_Hz),
      "mV", 5e-5);
}

void networks() {
  table("Sources in parallel (Millman)",
        "T. Kuphaldt, *Lessons in Electric Circuits I*, 'Millman's theorem': 28 V behind 4 Ω, "
        "2 Ω, 7 V behind 1 Ω.");
  const source joined =
      parallel(ideal_emf(28_V) | in_series(4_Ohm), 2_Ohm, ideal_emf(7_V) | in_series(1_Ohm));
  row("voltage", "8", response(joined, 1_kHz).real(), "V", 1e-14);
  row("with both reversed", "-8", response(reversed(joined), 1_kHz).real(), "V", 1e-14);

  table("A chain the size of a guitar",
        "Computed from the chain matrices, 1 kHz: 6 kΩ and 2.5 H in series, then across: 120 pF, "
        "250 kΩ, 250 kΩ with 22 nF, 500 pF, 1 MΩ.");
  const source chained = magnetic_coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 120_pF} |
                         in_shunt(250_kOhm) | in_shunt(series(250_kOhm, 22_nF)) | in_shunt(500_pF) |
                         in_shunt(1_MOhm);
  row("voltage ratio", "0.9953439136", magnitude(chained, 1_kHz), "", 1e-9);
  row("phase", "-9.4749516", degrees(chained, 1_kHz), "°", 1e-8);
  row("output resistance", "8464.33943", output_impedance(chained, 1_kHz).value().real(), "Ω", 1e-9);
  row("output reactance", "14438.43042", output_impedance(chained, 1_kHz).value().imag(), "Ω", 1e-9);

  table("The load that a pickup sees",
        "Seen from its EMF: data of a textbook problem (numerade.com 67512), coil 11.9 kΩ and 5.8 H, "
        "computed from the formula, 1.5 kHz: "
        "volume 243 kΩ and 73 kΩ, tone 142 kΩ and 46 nF, cable 1.8 Ω and 597 pF, input 26 MΩ.");
  const stage coil = in_series(11.9_kOhm) | in_series(5.8_H);
  const stage volume = in_series(243_kOhm) | in_shunt(73_kOhm);
  const stage tone = in_shunt(series(142_kOhm, 46_nF));
  const stage rest = in_series(1.8_Ohm) | in_shunt(597_pF) | in_shunt(26_MOhm);
  row("tone before the volume", "120.2776",
      std::abs(input_impedance(coil | tone | volume | rest, 1.5_kHz).value()) / 1e3, "kΩ", 1e-6);
  row("tone behind it", "302.5876",
      std::abs(input_impedance(coil | volume | tone | rest, 1.5_kHz).value()) / 1e3, "kΩ", 1e-6);
}

void controls() {
  table("Loading error of a linear potentiometer",
        "Analogue-computer course *Potentiometerbelastung*, rclab.de; the printed "
        "figures are rounded-up bounds: 10 kΩ.");
  const auto worst = [](resistance load) {
    const potentiometer pot{.total = 10_kOhm, .end_resistance = 0_Ohm};
    double most = 0;
    for (int i = 1; i < 1000; ++i) {
      const double x = i / 1000.0;
      most =
          std::max(most, x - magnitude(ideal_emf(1_V) | pot.as_divider(rotation(x)) | in_shunt(load), 1_kHz));
    }
    return 100 * most;
  };
  row("load 200 kΩ: less than", "0.75", worst(200_kOhm), "%", 0.03);
  row("load 1 MΩ: less than", "0.15", worst(1_MOhm), "%", 0.03);
  row("load 20 kΩ: less than", "7.5", worst(20_kOhm), "%", 0.12);
  row("load 20 kΩ, computed from the formula", "6.673", worst(20_kOhm), "%", 1e-4);

  table("Two linear potentiometers in a row",
        "diybanter.com 4043170, post 42. (Its -15 dB at half travel is left out: the "
        "formula x²/(1 + x - x²) gives -13.98 dB.)");
  const auto cascade = [](double x) {
    const auto pot = potentiometer{.total = 10_kOhm, .end_resistance = 0_Ohm}.as_divider(rotation(x));
    return db(magnitude(ideal_emf(1_V) | pot | pot, 1_kHz));
  };
  row("75 %", "-6.5", cascade(0.75), "dB", 0.03);
  row("25 %", "-25", cascade(0.25), "dB", 0.03);
  row("10 %", "-40", cascade(0.10), "dB", 0.03);

  table("Tapers",
        "A digital potentiometer's driver (github.com/jsoref/MCP4X51_PICO), for letters A and C; the exact "
        "fractions computed from the formula (docs/theory.md, eq. 19).");
  row("A at 75 % of the travel", "40", 100 * audio_taper(rotation(0.75)), "%", 0.01);
  row("C at 25 % of the travel", "60", 100 * reverse_audio_taper(rotation(0.25)), "%", 0.01);
  row("10 % audio law at a quarter, 1/40", "0.025", taper::audio(0.10)(rotation(0.25)), "", 1e-14);
  row("20 % audio law at three quarters, 7/15", "0.466666666666667", taper::audio(0.20)(rotation(0.75)), "",
      1e-14);

  table("A linear potentiometer made to bend",
        "150 kΩ with 15 kΩ from wiper to ground (artsentertainment.cc 14683), 50 kΩ with "
        "2.2 kΩ (AMRadio list, September 2007); half travel, computed from the formula.");
  const auto bent = [](resistance total, resistance across) {
    const potentiometer pot{.total = total, .end_resistance = 0_Ohm};
    return magnitude(ideal_emf(1_V) | pot.as_divider(knob(5), {.wiper_to_low = across}), 1_kHz);
  };
  row("150 kΩ, 15 kΩ: 1/7", "0.142857143", bent(150_kOhm, 15_kOhm), "", 1e-8);
  row("50 kΩ, 2.2 kΩ", "0.074830", bent(50_kOhm, 2.2_kOhm), "", 1e-5);
}

void ends() {
  table("Cable and coil", "A cable maker's note, 'around 6000 Hz' and 'a little above 2000 Hz' for 2.4 H.");
  const auto natural = [](capacitance c) {
    return find_impedance_resonance(
               magnetic_coil{.inductance = 2.4_H, .resistance = 6_kOhm, .capacitance = c})
        .natural.value()
        .value();
  };
  row("300 pF", "6000", natural(300_pF), "Hz", 0.02);
  row("2.4 nF", "2000", natural(2.4_nF), "Hz", 0.05);
  row("300 pF, computed from the formula", "5931.4", natural(300_pF), "Hz", 1e-5);

  table("Cable as a line",
        "Computed from the line equations: 6 m of 0.1 Ω, 0.4 µH, 100 pF a metre at 20 kHz; what the shunt "
        "admittance of the lumped cable misses.");
  const double w = 2 * std::numbers::pi * 20e3;
  const std::complex<double> along(0.6, w * 2.4e-6), across(0, w * 600e-12);
  const auto line_admittance = std::sinh(std::sqrt(along * across)) * std::sqrt(across / along);
  const auto lumped = input_impedance(cable{6_m, 100_pF_per_m}, 20_kHz).value();
  row("relative difference", "8.4e-6", std::abs(line_admittance * lumped - 1.0), "", 0.01);

  table("Piezo and resistive input",
        "suite101.com a72764: 15 nF; 'a 200 Hz high-pass' into 50 kΩ. 1 MΩ: computed from the formula.");
  row("50 kΩ", "200", pole_hz(piezo{.capacitance = 15_nF} | in_shunt(50_kOhm)), "Hz", 0.07);
  row("1 MΩ", "10.61", pole_hz(piezo{.capacitance = 15_nF} | in_shunt(1_MOhm)), "Hz", 1e-3);

  table("Valve input",
        "M. Blencowe, 'Grid stopper', valvewizard.co.uk, with 1.6 pF, 1.7 pF (from memory) and a gain of 60; "
        "corner with 68 kΩ computed from the formula.");
  const capacitance miller = miller_capacitance(1.6_pF, 1.7_pF, 60);
  row("input capacitance", "105.3", miller.value() * 1e12, "pF", 1e-9);
  row("corner", "22.3", pole_hz(ideal_emf(1_V) | input{.capacitance = miller, .stopper = 68_kOhm}) / 1e3,
      "kHz", 5e-3);

  table("Active pickup into a volume control",
        "10 kΩ (common practice, no source); computed from the formula.");
  row("25 kΩ", "0.714286", magnitude(active_pickup{} | in_shunt(25_kOhm), 1_kHz), "", 1e-6);
  row("250 kΩ", "0.961538", magnitude(active_pickup{} | in_shunt(250_kOhm), 1_kHz), "", 1e-6);
  row("25 kΩ and 600 pF: corner", "37.14",
      pole_hz(active_pickup{} | in_shunt(25_kOhm) | in_shunt(600_pF)) / 1e3, "kHz", 1e-3);

  table(
      "Loss of a tone capacitor",
      "Loss limits of wima.de, 'Dissipation factor'; series resistance of 22 nF computed from the formula.");
  const auto loss = [](dielectric kind, frequency f) {
    return capacitor_of(kind, 22_nF, f).series_resistance().value();
  };
  row("polyester, 1 kHz", "57.87", loss(dielectric::polyester, 1_kHz), "Ω", 1e-4);
  row("polyester, 10 kHz", "10.85", loss(dielectric::polyester, 10_kHz), "Ω", 1e-3);
  row("polypropylene, 1 kHz", "3.617", loss(dielectric::polypropylene, 1_kHz), "Ω", 1e-4);
  row("class 2 ceramic, 1 kHz", "180.9", loss(dielectric::ceramic_class_2, 1_kHz), "Ω", 1e-3);
}

} // namespace

int main() {
  impedances();
  resonances();
  networks();
  controls();
  ends();
  std::cout << '\n' << rows << " figures, " << failures << " missed\n";
  return failures == 0 ? 0 : 1;
}
