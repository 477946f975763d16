// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>
#include <vector>

#include <lodewire/instrument/nodal_noise.hpp>

namespace lodewire {

namespace detail {

/// The amplifiers of a wiring in the order in which `compose` puts their buffers.
inline void collect_amplifiers(const instrument& of, const wiring& w, std::vector<amplifier_noise>& to);

inline void collect_amplifiers(const std::vector<wiring_step>& steps, std::vector<amplifier_noise>& to) {
  for (const wiring_step& step : steps)
    if (step.is == wiring_step::kind::amplifier)
      to.push_back({voltage_noise_density::from_value(step.amplifier.voltage_noise),
                    current_noise_density::from_value(step.amplifier.current_noise), step.name});
}

inline void collect_amplifiers(const instrument& of, const wiring& w, std::vector<amplifier_noise>& to) {
  if (w.is == wiring::kind::circuit)
    collect_amplifiers(of, of.circuits[find_named(of.circuits, w.name, "circuit")].wired, to);
  for (const wiring& part : w.of) collect_amplifiers(of, part, to);
  collect_amplifiers(w.then, to);
}

} // namespace detail

/// Noise of a position, knobs where they stand, at the input that it is plugged into.
struct noise_figures {
  noise_spectrum spectrum; ///< every cause apart, 10 Hz to 50 kHz
  voltage flat{};          ///< 20 Hz to 20 kHz, rms
  voltage a_weighted{};    ///< the same, A-weighted (IEC 61672-1)
};

/// Thermal noise of all that is passive, the active pickups' and amplifiers' own, the input's. Throws as `compose`.
[[nodiscard]] inline noise_figures instrument_noise(const instrument& of, std::size_t position,
                                                    const destination& into,
                                                    temperature t = noise_temperature) {
  const composed_position s = plug_in(of, position, into);
  noise_setup setup{.temperature = t,
                    .input = {voltage_noise_density::from_value(into.voltage_noise),
                              current_noise_density::from_value(into.current_noise), into.name}};
  detail::collect_amplifiers(of, of.positions[position].wired, setup.buffers);
  detail::collect_amplifiers(of.output, setup.buffers);
  for (const pickup& p : of.pickups)
    if (const auto* active = std::get_if<active_pickup>(&p); active && active->voltage_noise > 0)
      for (const std::string& emf : s.emf_names())
        if (emf == active->name)
          setup.emfs.push_back({active->name, voltage_noise_density::from_value(active->voltage_noise)});
  const std::vector<double> hz = log_grid(frequency::from_value(10), frequency::from_value(50e3), 400);
  noise_figures figures{
      s.tree() ? noise(*s.tree(), hz, setup) : detail::nodal_noise(*s.nodes(), hz, setup), {}, {}};
  figures.flat = integrated_noise(figures.spectrum.density, hz);
  figures.a_weighted = integrated_noise(figures.spectrum.density, hz, {}, frequency_weighting::a);
  return figures;
}

} // namespace lodewire
