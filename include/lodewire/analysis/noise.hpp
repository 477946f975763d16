// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstdint>
#include <numbers>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/analysis/weighting.hpp>
#include <lodewire/circuit/evaluator.hpp>

/// Noise, summed source by source. A passive network of one temperature shows 4kT·Re Z whatever is inside (Nyquist);
/// what a buffer passes on comes on top, because nothing of it is in the impedance behind the buffer.
namespace lodewire {

/// Boltzmann's constant in J/K, exact (SI, 2019).
inline constexpr double boltzmann_constant = 1.380649e-23;

/// The temperature where none is given: 300 K, 26.85 °C.
inline constexpr temperature noise_temperature = temperature::from_value(300);

/// Open-circuit thermal noise √(4kTR) of a resistance. Throws `invalid_value` for a negative value.
[[nodiscard]] inline voltage_noise_density thermal_density(resistance r, temperature t = noise_temperature) {
  return voltage_noise_density::from_value(
      std::sqrt(4 * boltzmann_constant * require_not_negative("temperature", t).value() *
                require_not_negative("resistance", r).value()));
}

/// Width of the rectangular band that passes as much white noise as a first-order low-pass: π/2·f_c. Throws
/// `invalid_value` for a corner that is not positive.
[[nodiscard]] inline frequency noise_bandwidth(frequency corner) {
  return require_positive("corner", corner) * (std::numbers::pi / 2);
}

/// Noise of an amplifier, white, referred to its input: a voltage in series with the input and a current across it,
/// which have nothing to do with each other.
struct amplifier_noise {
  voltage_noise_density e_n{};
  current_noise_density i_n{};
  std::string name{}; ///< for the report; empty: 'buffer 1', 'input'
};

/// Noise of an EMF's own, white before the EMF's low-pass: an active pickup's amplifier. The thermal noise of the
/// output resistance is not part of it.
struct emf_noise {
  std::string emf; ///< name of the EMF
  voltage_noise_density density{};
};

/// What is known of a circuit's noise besides its resistances. Densities ≥ 0 and finite, temperature ≥ 0 K.
struct noise_setup {
  lodewire::temperature temperature = noise_temperature; ///< of every part
  std::vector<amplifier_noise> buffers{};                ///< in program order; those past the end have none
  std::vector<emf_noise> emfs{};
  amplifier_noise input{}; ///< of what the circuit ends in; its noise is counted at the circuit's output
};

/// What one cause brings to the output: 'output: thermal', 'buffer 1: thermal', 'buffer 1: e_n', 'buffer 1: i_n',
/// 'active pickup: own', 'input: e_n', 'input: i_n', by the names that were given.
struct noise_contribution {
  std::string name;
  std::vector<double> density; ///< V/√Hz
};

/// Noise at an output over frequency. Contributions add as powers.
struct noise_spectrum {
  std::vector<double> hz;
  std::vector<double> density; ///< of all together, V/√Hz
  std::vector<noise_contribution> contributions;
};

namespace detail {

/// A circuit with its noise made audible.
struct noise_program {
  struct buffer {
    circuit node;    ///< a one-port: what is at the buffer's input, source beside input
    std::size_t emf; ///< number of the EMF, as large as the gain, in series with the buffer's output
  };
  circuit program;
  std::vector<std::size_t> emfs; ///< new number of each EMF
  std::vector<buffer> buffers;
};

/// Puts an EMF behind every buffer, and sets the EMFs that are `heard` to 1. Cost: linear in the program, for each
/// buffer.
[[nodiscard]] inline noise_program open_up(const circuit& c, const std::vector<bool>& heard) {
  struct operand {
    std::size_t code, emf, old_emf; // where it begins: its instructions, its EMFs
  };
  noise_program p;
  p.program.values = c.values;
  std::vector<operand> stack;
  std::size_t emfs = 0;
  const auto unit_if_heard = [&](std::size_t k, double e) { return heard[k] ? 1 : e; };
  for (std::size_t at = 0; at < c.code.size(); ++at) {
    instruction i = c.code[at];
    operand begin{at, emfs, p.emfs.size()};
    const auto takes = static_cast<std::size_t>(1 - stack_effect(i.op));
    const operand* const taken = stack.data() + (stack.size() - takes);
    // What these take as impedances must be passive.
    if ((i.op == opcode::buffer && taken[1].emf != emfs) ||
        (i.op == opcode::coil_pair && taken[0].emf != emfs))
      throw invalid_value("circuit", "one with a buffer inside an impedance of a buffer or coil pair",
                          "one whose buffers lie on the way of a source");
    if (i.op == opcode::buffer) {
      const auto instruction_at = [&](const operand& o) {
        return c.code.begin() + static_cast<std::ptrdiff_t>(o.code);
      };
      circuit node;
      node.code.assign(instruction_at(taken[0]), instruction_at(taken[2]));
      node.values = c.values;
      emit(node, opcode::join_parallel);
      p.buffers.push_back({std::move(node), emfs});
    }
    if (takes > 0) begin = *taken;
    stack.resize(stack.size() - takes);
    stack.push_back(begin);
    if (i.op == opcode::emf_filter && i.mode != 0) { // it names its EMF by a number, which may have moved
      const std::size_t mode = p.emfs[begin.old_emf + i.mode - 1] - begin.emf + 1;
      if (mode > 0xff) throw std::length_error("noise: more than 255 EMFs and buffers before a filter");
      i.mode = static_cast<std::uint8_t>(mode);
    }
    for (std::size_t k = 0; k < emf_count(i.op); ++k) p.emfs.push_back(emfs++);
    if (i.op == opcode::coil_pair) {
      const double* const v = &c.values[i.slot];
      const std::size_t first = p.emfs.size() - 2;
      emit(p.program, i.op, {v[0], v[1], unit_if_heard(first, v[2]), unit_if_heard(first + 1, v[3])}, i.mode);
    } else if (emf_count(i.op) == 1) {
      emit(p.program, i.op, {unit_if_heard(p.emfs.size() - 1, c.values[i.slot])});
    } else {
      p.program.code.push_back(i);
    }
    if (i.op == opcode::buffer) {
      p.program.code.push_back({opcode::emf, 0, i.slot}); // the gain is its value
      p.program.code.push_back({opcode::join_series, 0, 0});
      ++emfs;
    }
  }
  return p;
}

/// Refuses a chain matrix that can give more power than it takes: V1·I1* - V2·I2* must have no negative real part for
/// any V2, I2 (eq. 11), so that Nyquist's law holds behind it. Relative tolerance 1e-7.
inline void require_passive_chain(const double* v, double hz) {
  const double w = 2 * std::numbers::pi * hz;
  const auto at = [&](const double* q) { return std::complex<double>(q[0] - q[2] * w * w, q[1] * w); };
  const std::complex<double> a = at(v), b = at(v + 3), c = at(v + 6), d = at(v + 9), delta = at(v + 12);
  const auto power = [](std::complex<double> x, std::complex<double> y) { return (x * std::conj(y)).real(); };
  const double ac = power(a, c), bd = power(b, d),
               size = std::abs(a * d) + std::abs(b * c) + std::norm(delta);
  const double cross = std::abs(a * std::conj(d) + std::conj(b) * c - std::norm(delta));
  if (ac >= -1e-7 * std::abs(a * c) && bd >= -1e-7 * std::abs(b * d) &&
      cross <= 2 * std::sqrt(std::fmax(ac, 0) * std::fmax(bd, 0)) + 1e-7 * size)
    return;
  throw invalid_value("chain_matrix", "active at " + engineering(hz, "Hz", 6),
                      "a passive one (an active one has noise of its own: write it as a buffer)");
}

/// Re Z of something passive, in ohms. Refuses one that is infinite, or negative by more than rounding.
[[nodiscard]] inline double noisy_resistance(std::complex<double> z, double hz, const std::string& where) {
  const auto refuse = [&](double r, std::string_view allowed) {
    throw invalid_value("resistance at " + where + " at " + engineering(hz, "Hz", 6), engineering(r, "Ω", 6),
                        allowed);
  };
  if (!is_finite(z.real()) || !is_finite(z.imag()))
    refuse(open_value, "a finite one (nothing is connected there)");
  if (z.real() < -1e-9 * (std::abs(z) + 1e3)) refuse(z.real(), "0 Ω or more (the circuit is not passive)");
  return std::fmax(z.real(), 0);
}

[[nodiscard]] inline noise_spectrum noise_of(const circuit& c, std::span<const double> hz,
                                             const noise_setup& setup) {
  require_grid(hz);
  const double four_kt =
      4 * boltzmann_constant * require_not_negative("noise_setup.temperature", setup.temperature).value();
  std::vector<bool> heard(c.emfs.size());
  std::vector<std::size_t> emf_of;
  for (const emf_noise& e : setup.emfs) {
    require_not_negative("noise_setup.emfs['" + e.emf + "'].density", e.density);
    emf_of.push_back(find_name("EMF", c.emfs, e.emf));
    heard[emf_of.back()] = true;
  }
  for (const instruction i : c.code)
    for (const double f : hz)
      if (i.op == opcode::chain) require_passive_chain(&c.values[i.slot], f);
  const noise_program p = open_up(c, heard);
  if (setup.buffers.size() > p.buffers.size())
    throw invalid_value("noise_setup.buffers", std::to_string(setup.buffers.size()) + " entries",
                        std::to_string(p.buffers.size()) + " or fewer, one for each buffer of the circuit");

  noise_spectrum result{{hz.begin(), hz.end()}, std::vector<double>(hz.size()), {}};
  std::vector<std::complex<double>> z(hz.size()), t(hz.size());
  // `square` is the contribution's (V/√Hz)² at point i; the total is kept as a square until the end.
  const auto add = [&](std::string name, const auto& square) {
    noise_contribution part{std::move(name), std::vector<double>(hz.size())};
    for (std::size_t i = 0; i < hz.size(); ++i) {
      const double s = square(i);
      result.density[i] += s;
      part.density[i] = std::sqrt(s);
    }
    result.contributions.push_back(std::move(part));
  };
  // Thermal noise of the impedances z, then e_n and i_n across them, all through the responses t.
  const auto add_node = [&](const std::string& name, std::string thermal, const std::string& where,
                            const amplifier_noise& own) {
    const double e_n = require_not_negative({name, "e_n"}, own.e_n).value();
    const double i_n = require_not_negative({name, "i_n"}, own.i_n).value();
    add(std::move(thermal),
        [&](std::size_t i) { return std::norm(t[i]) * four_kt * noisy_resistance(z[i], hz[i], where); });
    if (e_n > 0) add(name + ": e_n", [&](std::size_t i) { return std::norm(t[i] * e_n); });
    if (i_n > 0) add(name + ": i_n", [&](std::size_t i) { return std::norm(t[i] * (i_n * z[i])); });
  };

  evaluator heard_at(p.program);
  for (std::size_t k = 0; k < p.buffers.size(); ++k) {
    const amplifier_noise own = k < setup.buffers.size() ? setup.buffers[k] : amplifier_noise{};
    const std::string name = own.name.empty() ? "buffer " + std::to_string(k + 1) : own.name;
    require_no_conflict(evaluator(p.buffers[k].node).impedances(p.buffers[k].node, hz, z));
    require_no_conflict(heard_at.responses_to(p.program, p.buffers[k].emf, hz, t));
    add_node(name, name + ": thermal", "the input of " + name, own);
  }
  for (std::size_t k = 0; k < emf_of.size(); ++k) {
    const double density = setup.emfs[k].density.value();
    require_no_conflict(heard_at.responses_to(p.program, p.emfs[emf_of[k]], hz, t));
    add(setup.emfs[k].emf + ": own", [&](std::size_t i) { return std::norm(t[i] * density); });
  }
  require_no_conflict(evaluator(c).impedances(c, hz, z));
  t.assign(hz.size(), 1);
  add_node(setup.input.name.empty() ? "input" : setup.input.name, "output: thermal", "the output",
           setup.input);
  for (double& s : result.density) s = std::sqrt(s);
  return result;
}

} // namespace detail

/// Noise at the output of a source, at rest, over a grid in Hz (docs/theory.md, eq. 22 to 24):
///
///     S = 4kT·Re Z_out + Σ_b |g_b·T_b|²·(4kT·Re Z_b + e_b² + i_b²·|Z_b|²) + Σ_k |H_k|²·S_k + e_n² + i_n²·|Z_out|²
///
/// b: the buffers; Z_b: at a buffer's input, source and input in parallel; T_b: from an EMF in series with its output;
/// k: EMFs with noise of their own; e_n, i_n: the input that the circuit ends in. A stopper, a cable, a knob are part
/// of Z. Throws `invalid_value` for a bad grid or density, an EMF that is not there, more buffers than there are, an
/// active chain matrix, an infinite impedance at the output or at a buffer's input; `conflicting_sources`. Cost: one
/// sweep for each buffer and EMF, and one of each impedance.
[[nodiscard]] inline noise_spectrum noise(const source& s, std::span<const double> hz,
                                          const noise_setup& setup = {}) {
  return detail::noise_of(s.as_circuit(), hz, setup);
}

/// Noise of a one-port: thermal, and what an input across it adds. Throws as above.
[[nodiscard]] inline noise_spectrum noise(const one_port& z, std::span<const double> hz,
                                          const noise_setup& setup = {}) {
  return detail::noise_of(z.as_circuit(), hz, setup);
}

/// Band of a noise voltage.
struct noise_band {
  frequency from = frequency::from_value(20);
  frequency to = frequency::from_value(20e3);
};

/// Noise voltage √∫W²·S df in V rms, from a density in V/√Hz over a grid in Hz, even or not. S is taken as the cubic in
/// ln f through the four nearest points, and integrated with the exact weighting by Gauss–Legendre of four points on
/// each interval: right to 1e-4 with 10·Q points a decade, and 32 at least, Q that of the sharpest resonance. Throws `invalid_value` for a grid that is not rising or has one point, another number of densities, a
/// density that is negative or not finite, a band that is not inside the grid.
[[nodiscard]] inline voltage integrated_noise(std::span<const double> density, std::span<const double> hz,
                                              const noise_band& band = {},
                                              frequency_weighting weighting = frequency_weighting::z) {
  detail::require_grid(hz);
  const std::size_t points = hz.size();
  if (points < 2) throw invalid_value("grid.points", "1", "2 or more");
  if (density.size() != points)
    throw invalid_value("density", std::to_string(density.size()) + " entries",
                        std::to_string(points) + ", one for each frequency");
  const frequency first = frequency::from_value(hz.front()), last = frequency::from_value(hz.back());
  const double from = require_within("noise_band.from", band.from, first, last).value();
  const double to = require_within("noise_band.to", band.to, band.from, last).value();

  std::vector<double> u(points), s(points);
  for (std::size_t i = 0; i < points; ++i) {
    if (!is_finite(density[i]) || density[i] < 0)
      require_not_negative("density[" + std::to_string(i) + "]",
                           voltage_noise_density::from_value(density[i]));
    u[i] = std::log(hz[i]);
    s[i] = density[i] * density[i];
  }
  constexpr double node[] = {-0.8611363115940526, -0.3399810435848563, 0.3399810435848563,
                             0.8611363115940526};
  constexpr double weight[] = {0.3478548451374538, 0.6521451548625461, 0.6521451548625461,
                               0.3478548451374538};
  const std::size_t order = points < 4 ? points : 4;
  double sum = 0;
  for (std::size_t i = 0; i + 1 < points; ++i) {
    const double a = std::log(std::fmax(hz[i], from)), b = std::log(std::fmin(hz[i + 1], to));
    if (!(b > a)) continue;
    const std::size_t left = (std::min)(i > 0 ? i - 1 : 0, points - order);
    double c[4] = {}; // Newton's divided differences
    for (std::size_t k = 0; k < order; ++k) c[k] = s[left + k];
    for (std::size_t j = 1; j < order; ++j)
      for (std::size_t k = order; k-- > j;) c[k] = (c[k] - c[k - 1]) / (u[left + k] - u[left + k - j]);
    for (std::size_t g = 0; g < 4; ++g) {
      const double x = (a + b) / 2 + (b - a) / 2 * node[g];
      double y = 0;
      for (std::size_t k = order; k-- > 0;) y = y * (x - u[left + k]) + c[k];
      const double f = std::exp(x), w = weighting_ratio(weighting, frequency::from_value(f));
      sum += (b - a) / 2 * weight[g] * y * f * w * w;
    }
  }
  return voltage::from_value(std::sqrt(std::fmax(sum, 0)));
}

/// Of all contributions together.
[[nodiscard]] inline voltage integrated_noise(const noise_spectrum& s, const noise_band& band = {},
                                              frequency_weighting weighting = frequency_weighting::z) {
  return integrated_noise(s.density, s.hz, band, weighting);
}

} // namespace lodewire
