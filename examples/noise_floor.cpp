// SPDX-License-Identifier: BSL-1.0
// How far is the noise below the signal, and where does it come from?
//
//   noise_floor --volume 250k --amplifier-noise 10nV
//   noise_floor --coil 2.4H --wire 6k8 --signal 60mV
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/analysis/level.hpp>
#include <lodewire/analysis/noise.hpp>

#include "calculator.hpp"

namespace {

using namespace calculator;

struct noise_floor {
  static constexpr const char* question =
      "How far is the noise below the signal, and where does it come from?";
  signal_path path;
  voltage signal = 100_mV;
  voltage_noise_density amplifier = voltage_noise_density::from_value(5e-9);

  void declare(options& o) {
    path.declare(o);
    path.declare_taper(o);
    o.value("--signal", signal, "EMF of the strings in the coil, rms");
    o.value("--amplifier-noise", amplifier, "of its input");
  }
  [[nodiscard]] answer find() const {
    const std::vector<double> hz = log_grid(10_Hz, 50_kHz, 400);
    const noise_setup setup{.input = {.e_n = amplifier, .name = "amplifier"}};
    const auto microvolts = [](voltage v) { return cell{fixed_number(v.value() * 1e6, 2), v.value()}; };
    std::vector<std::vector<cell>> rows;
    for (const double number : {10., 8., 6., 4., 2.}) {
      const source s = path.coil | path.after(knob(number));
      const noise_spectrum n = noise(s, hz, setup);
      const auto part = [&](const char* name) {
        for (const noise_contribution& c : n.contributions)
          if (c.name == name) return integrated_noise(c.density, hz);
        throw std::logic_error(name);
      };
      const voltage all = integrated_noise(n);
      rows.push_back({of(number), microvolts(part("output: thermal")), microvolts(part("amplifier: e_n")),
                      microvolts(all), microvolts(integrated_noise(n, {}, frequency_weighting::a)),
                      of(voltage_level(signal / all) + level(s))});
    }
    answer a;
    a.show("volumes",
           "volume=volume, thermal µV=thermal_v, amplifier µV=amplifier_v, together µV=together_v, "
           "A-weighted=a_weighted_v, below signal dB=below_signal_db",
           rows);
    const double wire = thermal_density(path.coil.resistance).value();
    a.figures["wire_v_per_root_hz"] = wire;
    a.say("Rms at the amplifier's input, 20 Hz to 20 kHz, at 27 °C; the signal is " + engineering(signal, 3) +
          " in the coil, at 100 Hz. The wire alone would give " + fixed_number(wire * 1e9, 1) + " nV/√Hz.");
    a.say("Thermal noise is that of all that the amplifier sees: coil, pots, resonance. Hum is not in it; it "
          "is as a "
          "rule far louder.");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<noise_floor>(count, arguments); }
