// SPDX-License-Identifier: BSL-1.0
// A coil's impedance from two recordings by a sound card.
//
//   sound_card wired.wav swapped.wav --divider 100k --input 20k,150p --mains 50Hz >coil.csv
//   identify coil.csv
//
// Both recordings hold two channels: the first at the generator's end of the resistor, the second at the coil; in the
// second recording the two cables are swapped at the sound card. Without files: a demo that records nothing, but
// writes two such files itself, of a coil with invented values, and reads them.
#include <CLI/CLI.hpp>
#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <filesystem>
#include <memory>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include <lodewire/circuit/join.hpp>
#include <lodewire/design/fit_curves.hpp>
#include <lodewire/design/measured_divider.hpp>
#include <lodewire/design/measured_ratio.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/quantity/literals.hpp>
#include <lodewire/quantity/marking.hpp>

#include "program.hpp"

namespace {

using namespace lodewire;
using namespace lodewire::literals;

struct closing {
  void operator()(SNDFILE* f) const { sf_close(f); }
};
using sound_file = std::unique_ptr<SNDFILE, closing>;

/// Both channels of a file that libsndfile reads.
two_channels read_wav(const std::string& name) {
  SF_INFO info{};
  const sound_file file(sf_open(name.c_str(), SFM_READ, &info));
  if (!file)
    throw invalid_value("FILE", "'" + name + "'", std::string("a sound file: ") + sf_strerror(nullptr));
  if (info.channels != 2)
    throw invalid_value("FILE", "'" + name + "', " + std::to_string(info.channels) + " channels",
                        "two channels");
  if (info.frames < 1 || info.frames > 100'000'000)
    throw invalid_value("FILE", std::to_string(info.frames) + " samples", "1 to 100000000");
  std::vector<double> both(2 * static_cast<std::size_t>(info.frames));
  if (sf_readf_double(file.get(), both.data(), info.frames) != info.frames)
    throw invalid_value("FILE", "'" + name + "'", "a whole sound file");
  two_channels r{static_cast<double>(info.samplerate)};
  for (std::size_t i = 0; i < both.size(); i += 2) {
    if (std::abs(both[i]) >= 0.9999 || std::abs(both[i + 1]) >= 0.9999)
      throw invalid_value("FILE", "'" + name + "', clipped at sample " + std::to_string(i / 2),
                          "a lower level");
    r.first.push_back(both[i]);
    r.second.push_back(both[i + 1]);
  }
  return r;
}

/// Noise through the divider, convolved by a transform; 16 bits, unlike gains.
void write_demo(const std::string& name, const source& bench, bool swapped) {
  constexpr std::size_t n = 1U << 18U;
  std::mt19937_64 bits(swapped ? 2 : 1);
  std::vector<std::complex<double>> noise(n), heard(n);
  for (auto& v : noise) v = 0.5 * (static_cast<double>(bits() >> 11U) * 0x1p-52 - 1);
  heard = noise;
  lodewire::detail::transform(heard);
  std::vector<double> hz;
  for (std::size_t k = 1; k < n / 2; ++k) hz.push_back(48000.0 * static_cast<double>(k) / n);
  const auto h = model_curve(bench, curve_kind::ratio, hz);
  heard[0] = heard[n / 2] = 0;
  for (std::size_t k = 1; k < n / 2; ++k) {
    heard[k] = std::conj(heard[k] * h[k - 1]);
    heard[n - k] = std::conj(heard[k]);
  }
  lodewire::detail::transform(heard);
  std::vector<double> both;
  for (std::size_t i = 0; i < n; ++i) {
    const double hum = 0.002 * std::sin(2 * std::numbers::pi * 50 * static_cast<double>(i) / 48000);
    const double at_coil = heard[i].real() / n + hum, at_generator = noise[i].real();
    both.push_back(swapped ? at_coil : at_generator);
    both.push_back(0.93 * (swapped ? at_generator : at_coil));
  }
  SF_INFO info{};
  info.samplerate = 48000;
  info.channels = 2;
  info.format = SF_FORMAT_WAV | SF_FORMAT_PCM_16;
  const sound_file file(sf_open(name.c_str(), SFM_WRITE, &info));
  if (!file || sf_writef_double(file.get(), both.data(), n) != static_cast<sf_count_t>(n))
    throw invalid_value("demo", "'" + name + "'", "a place to write");
}

struct options {
  std::vector<std::string> files;
  std::string divider = "100k", input = "20k,150p", mains = "50Hz";
};

void run(options o) {
  const bool is_demo = o.files.empty();
  std::string text;
  if (is_demo) {
    const magnetic_coil coil{
        .inductance = 1.8_H, .resistance = 6.4_kOhm, .capacitance = 130_pF, .eddy = {{{0.5_H, 20_kOhm}}}};
    const source bench = ideal_emf(1_V) | in_series(100_kOhm) |
                         in_shunt(parallel(coil.winding_impedance(), coil.winding_shunt())) |
                         input{.resistance = 20_kOhm, .capacitance = 150_pF};
    const auto folder = std::filesystem::temp_directory_path();
    const std::string mark = std::to_string(std::random_device{}());
    for (const bool swapped : {false, true}) {
      o.files.push_back(
          (folder / ("sound_card_" + mark + (swapped ? "_swapped.wav" : "_wired.wav"))).string());
      write_demo(o.files.back(), bench, swapped);
    }
    text += "# demo: a coil with invented values, 2.3 H in all, 6.4 kohm, 130 pF\n";
  }
  const ratio_options how{.from = 60_Hz, .to = 18_kHz, .mains = read_quantity<frequency>(o.mains, "--mains")};
  measured_curve h = ratio_of_channels(read_wav(o.files[0]), how);
  if (o.files.size() == 2) h = swapped_average(h, ratio_of_channels(read_wav(o.files[1]), how));
  if (is_demo)
    for (const std::string& file : o.files) std::filesystem::remove(file);
  const auto comma = o.input.find(',');
  measured_divider by{.reference = read_marking<resistance>(o.divider, "--divider").value};
  by.input =
      input{.resistance = read_marking<resistance>(o.input.substr(0, comma), "--input").value,
            .capacitance = comma == o.input.npos
                               ? capacitance{}
                               : read_marking<capacitance>(o.input.substr(comma + 1), "--input").value};
  const measured_curve z = impedance_from_divider(h, by);
  text += "frequency_hz,z_ohm,z_deg\n";
  for (std::size_t i = 0; i < z.size(); ++i)
    text += fixed_number(z.hz[i], 3) + "," + fixed_number(std::abs(z.value[i]), 1) + "," +
            fixed_number(std::arg(z.value[i]) * 180 / std::numbers::pi, 3) + "\n";
  examples::print(text);
}

} // namespace

int main(int count, char** arguments) {
  CLI::App app{
      "A coil's impedance, as CSV, from recordings of the two ends of a resistor between generator and "
      "coil.\n"
      "Passive circuits on the bench only: never open a mains-powered amplifier, and keep to local codes."};
  options o;
  app.add_option("FILE", o.files, "sound files of two channels: as wired, and with the cables swapped")
      ->expected(0, 2);
  app.add_option("--divider", o.divider, "the resistor (100k)");
  app.add_option("--input", o.input, "what a channel loads the coil with (20k,150p)");
  app.add_option("--mains", o.mains, "50Hz or 60Hz: bins at its multiples are left out (50Hz)");
  return examples::run_program(app, count, arguments, [&] { run(o); });
}
