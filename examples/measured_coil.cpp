// SPDX-License-Identifier: BSL-1.0
// A coil model against a measurement: what the eddy branch is for.
#include <array>
#include <cmath>
#include <complex>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <numbers>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/design/curve_csv.hpp>
#include <lodewire/lodewire.hpp>

using namespace lodewire;
using namespace lodewire::literals;
using complex = std::complex<double>;

namespace {

constexpr std::string_view usage = R"(Usage: measured_coil [FILE]

Compares two models of a single coil with a measurement of its impedance, point by point: one with an eddy
branch (iron and brass near the coil), and the best one can do with R, L, C and a parallel resistance alone.

FILE  comma-separated, with headings that end in the unit: frequency_hz,z_ohm,z_deg (docs/measuring.md); lines
      that start with # are skipped. Without it: a neck pickup, measured at the jack of a guitar (student project AAT8, Aalborg University, 2017, github.com/jonasbuchholdt/AAT8).
      The models were fitted to that one; of another pickup they only show how far it lies from it.

If gnuplot is installed and FILE is not given, a picture goes to measured_coil.svg in the current folder.
To measure your own: a resistor near 10 kohm between generator and jack, Z = R*H/(1 - H) with the voltage
ratio H, and take the oscilloscope's input away. Only the guitar's own passive circuit belongs on the bench:
never open a mains-powered amplifier, and keep to local codes and licensed practice.
)";

/// Of the standard file, the impedance without the oscilloscope's input; of another, what its headings say.
measured_curve read(const std::string& file, bool standard) {
  std::ifstream in(file);
  if (!in) throw std::runtime_error("cannot open '" + file + "'");
  const std::string text(std::istreambuf_iterator<char>(in), {});
  const csv_columns corrected{"frequency_hz", "z_corrected_ohm", "z_corrected_deg"};
  const bool has = text.find(corrected.first) != std::string::npos;
  const measured_curve c = read_curve_csv(text, standard || has ? corrected : csv_columns{}, file);
  if (c.kind != curve_kind::ohms)
    throw std::runtime_error(file + ": expected an impedance, such as z_ohm,z_deg");
  return c;
}

std::string padded(const std::string& text, std::size_t width) {
  return std::string(text.size() < width ? width - text.size() : 0, ' ') + text;
}

void print(const std::string& line) { std::puts(line.c_str()); }

/// A picture: |Z| above, the models' error below. Where gnuplot is missing there is none.
void draw(const measured_curve& m, const std::array<magnetic_coil, 2>& model,
          const std::array<std::vector<complex>, 2>& z) {
  if (std::system("command -v gnuplot >/dev/null 2>&1") != 0) return;
  std::FILE* const to = ::popen("gnuplot", "w");
  if (to == nullptr) return;
  std::string script =
      "set terminal svg size 800,700\nset output 'measured_coil.svg'\nset multiplot layout 2,1\n"
      "set logscale x\nset xrange [10:30000]\nset grid\nset key left top\nset lmargin 9\n"
      "set ylabel '|Z| in kohm'\n"
      "plot '-' with points pt 7 ps 0.6 lc 'black' title 'measured', "
      "'-' with lines lw 2 lc 'blue' title 'with eddy branch', "
      "'-' with lines lw 2 dt 2 lc 'red' title 'without'\n";
  const auto curve = [&](const std::vector<double>& hz, const auto& value) {
    for (std::size_t i = 0; i < hz.size(); ++i)
      script += plain_number(hz[i]) + " " + plain_number(value(i)) + "\n";
    script += "e\n";
  };
  curve(m.hz, [&](std::size_t i) { return std::abs(m.value[i]) / 1e3; });
  const auto grid = log_grid(10_Hz, 22_kHz, 400);
  for (const magnetic_coil& coil : model) {
    const auto modelled = sweep_impedance(source(coil), grid).response;
    curve(grid, [&](std::size_t i) { return std::abs(modelled[i]) / 1e3; });
  }
  script += "set xlabel 'frequency in Hz'\nset ylabel 'complex error in %'\n"
            "plot '-' with linespoints pt 7 ps 0.6 lc 'blue' title 'with eddy branch', "
            "'-' with linespoints pt 7 ps 0.6 dt 2 lc 'red' title 'without'\n";
  for (const auto& of_model : z)
    curve(m.hz, [&](std::size_t i) { return 100 * std::abs(of_model[i] / m.value[i] - 1.0); });
  std::fputs(script.c_str(), to);
  if (::pclose(to) == 0) print("Picture: measured_coil.svg");
}

void run(const std::string& file, bool standard) {
  const measured_curve m = read(file, standard);
  // Fitted to the standard file; the volume and tone controls, 250 kohm each at full, are part of the
  // parallel loss.
  const std::array<magnetic_coil, 2> model{magnetic_coil{.inductance = 1.613_H,
                                                         .resistance = 6697_Ohm,
                                                         .capacitance = 481_pF,
                                                         .eddy = {{{0.562_H, 20.55_kOhm}}},
                                                         .parallel_loss = 91.8_kOhm,
                                                         .name = "one eddy branch"},
                                           magnetic_coil{.inductance = 2.160_H,
                                                         .resistance = 6891_Ohm,
                                                         .capacitance = 460_pF,
                                                         .parallel_loss = 76.3_kOhm,
                                                         .name = "no eddy branch"}};
  std::array<std::vector<complex>, 2> z;
  std::array<curve_misfit, 2> error;
  for (std::size_t k = 0; k < 2; ++k) {
    z[k] = sweep_impedance(source(model[k]), m.hz).response;
    error[k] = misfit_of(z[k], m.value);
  }

  print("Impedance of a single coil at the jack, measured and modelled\n");
  print("               measured          with eddy branch           without");
  print("   Hz       kohm    deg     kohm    deg  error %     kohm    deg  error %");
  for (std::size_t i = 0; i < m.hz.size(); ++i) {
    std::string line = padded(fixed_number(m.hz[i], 1), 8);
    const auto put = [&](complex x) {
      line += padded(fixed_number(std::abs(x) / 1e3, 3), 9) +
              padded(fixed_number(std::arg(x) * 180 / std::numbers::pi, 2), 7);
    };
    put(m.value[i]);
    for (const auto& of_model : z) {
      put(of_model[i]);
      line += padded(fixed_number(100 * std::abs(of_model[i] / m.value[i] - 1.0), 2), 8) + " ";
    }
    while (line.back() == ' ') line.pop_back();
    print(line);
  }
  print("");
  for (std::size_t k = 0; k < 2; ++k)
    print(model[k].name + ": complex relative error " + fixed_number(100 * error[k].rms, 2) + " % rms, " +
          fixed_number(100 * error[k].max, 2) + " % at most");

  const magnetic_coil& coil = model[0];
  const source full = coil;
  print(
      "\nWhat the eddy branch does: " + engineering(coil.eddy[0].inductance) + " of the " +
      engineering(coil.low_frequency_inductance()) + " that a coil tester sees at low frequencies has " +
      engineering(coil.eddy[0].resistance) + " across it.\nAbove " +
      engineering(coil.eddy[0].resistance.value() / (2 * std::numbers::pi * coil.eddy[0].inductance.value()),
                  "Hz") +
      " the current takes the resistance: the winding turns into " + engineering(coil.inductance) +
      " with more loss. One R-L-C cannot be right on both sides of it.");
  const one_port winding = coil.winding_impedance();
  for (const frequency& f : {120_Hz, 1_kHz, 5_kHz, 20_kHz}) {
    const complex at = impedance_at(winding, f).value();
    print("  " + padded(engineering(f), 8) + ": winding " +
          padded(engineering(at.imag() / (2 * std::numbers::pi * f.value()), "H"), 8) + ", " +
          padded(engineering(at.real(), "ohm"), 11));
  }
  const auto found = find_impedance_resonance(full);
  if (found.magnitude_peak)
    print("Highest |Z|: " + engineering(found.peak_magnitude.value(), "ohm") + " at " +
          engineering(*found.magnitude_peak));
  if (standard) draw(m, model, z);
}

} // namespace

int main(int count, char** argument) {
  try {
    if (count == 2 && (std::string_view(argument[1]) == "--help" || std::string_view(argument[1]) == "-h")) {
      std::fputs(usage.data(), stdout);
      return 0;
    }
    if (count > 2 || (count == 2 && argument[1][0] == '-')) {
      std::fputs(usage.data(), stderr);
      return 2;
    }
    const auto here = std::filesystem::path(__FILE__).parent_path();
    const auto standard = here / ".." / "tests" / "data" / "two_pickup_guitar_neck.csv";
    run(count == 2 ? argument[1] : standard.string(), count == 1);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "measured_coil: %s\n", error.what());
    return 1;
  }
}
