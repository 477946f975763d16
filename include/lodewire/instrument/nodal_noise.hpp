// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/noise.hpp>
#include <lodewire/instrument/compose_position.hpp>

namespace lodewire::detail {

/// `noise` of a position by nodes, eq. 22 to 24 with impedances and responses from the nodal solver. Its buffers lie
/// in what follows the wiring, in program order, so that none feeds back. Throws as `noise`.
[[nodiscard]] inline noise_spectrum nodal_noise(const nodal_circuit& of, std::span<const double> hz,
                                                const noise_setup& setup) {
  require_grid(hz);
  const double four_kt =
      4 * boltzmann_constant * require_not_negative("noise_setup.temperature", setup.temperature).value();
  // An EMF as large as the gain behind every buffer.
  std::vector<nodal_piece> pieces(of.pieces().begin(), of.pieces().end());
  circuit& behind = pieces.back().program;
  noise_program opened = open_up(behind, std::vector<bool>(behind.emfs.size()));
  if (setup.buffers.size() > opened.buffers.size())
    throw invalid_value("noise_setup.buffers", std::to_string(setup.buffers.size()) + " entries",
                        std::to_string(opened.buffers.size()) +
                            " or fewer, one for each buffer of the circuit");
  opened.program.emfs.resize(behind.emfs.size() + opened.buffers.size());
  for (std::size_t k = 0; k < behind.emfs.size(); ++k) opened.program.emfs[opened.emfs[k]] = behind.emfs[k];
  for (std::size_t k = 0; k < opened.buffers.size(); ++k)
    opened.program.emfs[opened.buffers[k].emf] = "buffer " + std::to_string(k);
  opened.program.terminals = behind.terminals;
  opened.program.ranges = behind.ranges;
  behind = std::move(opened.program);
  const nodal_net built = of.with_pieces(pieces);
  const netlist_solver solver = built.solver();
  const netlist_node jack = built.net.node(jack_node);
  const auto source_of = [&](const std::string& emf) {
    return netlist_source{built.sources[find_name("EMF", built.emfs, emf)]};
  };

  struct cause {
    std::string thermal, name, where;
    amplifier_noise own;
    netlist_node hot, cold;
    std::vector<std::complex<double>> z, t;
  };
  std::vector<cause> causes;
  std::vector<netlist_source> heard;
  for (const netlist_part& p : built.net.data().parts) {
    if (p.kind != netlist_kind::buffer) continue;
    const std::size_t k = causes.size();
    const amplifier_noise own = k < setup.buffers.size() ? setup.buffers[k] : amplifier_noise{};
    const std::string name = own.name.empty() ? "buffer " + std::to_string(k + 1) : own.name;
    causes.push_back({name + ": thermal",
                      name,
                      "the input of " + name,
                      own,
                      netlist_node{p.in_hot},
                      netlist_node{p.in_cold},
                      {},
                      {}});
    heard.push_back(source_of("buffer " + std::to_string(k)));
  }
  causes.push_back({"output: thermal",
                    setup.input.name.empty() ? "input" : setup.input.name,
                    "the output",
                    setup.input,
                    jack,
                    netlist_ground,
                    {},
                    {}});
  struct own_noise {
    netlist_source from;
    double density;
    std::string name;
    std::vector<double> heard;
  };
  std::vector<own_noise> emfs;
  for (const emf_noise& e : setup.emfs)
    emfs.push_back({source_of(e.emf),
                    require_not_negative("noise_setup.emfs['" + e.emf + "'].density", e.density).value(),
                    e.emf + ": own",
                    {}});

  auto room = solver.make_workspace();
  const netlist_data& data = built.net.data();
  for (const double f : hz) {
    if (!solver.solve(on_axis(f), room))
      throw invalid_value("response at " + engineering(f, "Hz", 6), "undefined",
                          "one answer for every voltage");
    for (std::size_t k = 0; k < causes.size(); ++k) {
      causes[k].z.push_back(solver.impedance(room, causes[k].hot, causes[k].cold));
      const bool last = k == heard.size();
      const double gain = last ? 1 : data.parts[data.drives[static_cast<std::size_t>(heard[k])].part].value;
      causes[k].t.push_back(last ? 1. : gain * solver.transfer(room, heard[k], jack));
    }
    for (own_noise& e : emfs) e.heard.push_back(std::norm(solver.transfer(room, e.from, jack) * e.density));
  }

  noise_spectrum result{{hz.begin(), hz.end()}, std::vector<double>(hz.size()), {}};
  const auto add = [&](std::string name, const auto& square) {
    noise_contribution part{std::move(name), std::vector<double>(hz.size())};
    for (std::size_t i = 0; i < hz.size(); ++i) {
      const double s = square(i);
      result.density[i] += s;
      part.density[i] = std::sqrt(s);
    }
    result.contributions.push_back(std::move(part));
  };
  for (std::size_t k = 0; k < causes.size(); ++k) {
    const cause& c = causes[k];
    if (k + 1 == causes.size())
      for (const own_noise& e : emfs) add(e.name, [&](std::size_t i) { return e.heard[i]; });
    const double e_n = require_not_negative({c.name, "e_n"}, c.own.e_n).value();
    const double i_n = require_not_negative({c.name, "i_n"}, c.own.i_n).value();
    add(c.thermal, [&](std::size_t i) {
      return std::norm(c.t[i]) * four_kt * noisy_resistance(c.z[i], hz[i], c.where);
    });
    if (e_n > 0) add(c.name + ": e_n", [&](std::size_t i) { return std::norm(c.t[i] * e_n); });
    if (i_n > 0) add(c.name + ": i_n", [&](std::size_t i) { return std::norm(c.t[i] * (i_n * c.z[i])); });
  }
  for (double& s : result.density) s = std::sqrt(s);
  return result;
}

} // namespace lodewire::detail
