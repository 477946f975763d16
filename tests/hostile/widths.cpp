// SPDX-License-Identifier: BSL-1.0
// Compiled twice, with RESULTS naming the one function that comes out of it: for any machine, and for x86-64-v3. Both
// ask the same of the same circuit, by every way that has a kernel of the machine's width, and by some that have none.
#include <complex>
#include <vector>

#include <lodewire/lodewire.hpp>

extern "C" std::size_t RESULTS(double* out, std::size_t room);

std::size_t RESULTS(double* out, std::size_t room) {
  using namespace lodewire;
  using namespace lodewire::literals;
  const auto coil = magnetic_coil{.inductance = 3.1_H, .resistance = 7.4_kOhm, .capacitance = 110_pF};
  const auto volume = potentiometer{.total = 250_kOhm, .law = audio_taper};
  const source s = coil | volume.as_divider(knob(7)) | cable{.length = 6_m, .capacitance = 95_pF_per_m} |
                   input{.resistance = 1_MOhm};
  const std::vector<double> hz = log_grid(20_Hz, 20_kHz, 101);

  std::size_t count = 0;
  const auto put = [&](std::complex<double> z) {
    for (const double x : {z.real(), z.imag()})
      if (count < room) out[count++] = x;
  };
  put(native_lanes);
  for (const auto& h : sweep(s, hz).response) put(h);
  for (const auto& z : sweep_impedance(s, hz).response) put(z / 1e5);
  std::vector<std::complex<double>> h(hz.size());
  evaluator(s.as_circuit()).responses(s.as_circuit(), hz, {}, h);
  for (const auto& x : h) put(x);
  transfer(s).evaluate(hz, h);
  for (const auto& x : h) put(x);
  for (const double f : {100., 3e3, 9e3}) {
    put(response(s, from_si<frequency>(f)));
    put(output_impedance(s, from_si<frequency>(f)).value() / 1e5);
    put(load_seen(s, 0, from_si<frequency>(f)).value() / 1e5);
  }
  const resonance peak = find_resonance(s);
  put({peak.peak.value() / 1e3, peak.height.value()});
  put(level(s).value());
  return count;
}
