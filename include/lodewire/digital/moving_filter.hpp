// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <cstddef>
#include <cstring>
#include <initializer_list>
#include <numbers>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include <lodewire/circuit/lanes.hpp>
#include <lodewire/circuit/netlist_elimination.hpp>
#include <lodewire/digital/companion.hpp>
#include <lodewire/digital/sample_guard.hpp>

namespace lodewire {

/// How the samples drive the EMFs of a circuit.
enum class emf_inputs : std::uint8_t {
  together, ///< one signal drives every EMF, each times its own value
  apart,    ///< a signal for each EMF, in their order
};

/// What a `moving_filter` is set up with.
struct moving_options {
  emf_inputs inputs = emf_inputs::together;
  /// This frequency keeps its place, as in `prewarped`; others move by the ratio of the two tangents (eq. 55).
  std::optional<frequency> exact_at{};
};

/// A circuit that runs while its potentiometers turn: its capacitor voltages and inductor currents, taken from sample
/// to sample by the trapezoidal rule over 127/128 of a sample and by an implicit Euler step over the rest (eq. 54). Both
/// steps lose energy whatever the resistances are, so that turning a knob at every sample stays stable and passive;
/// the states stay what they are, so that a knob makes no step but the circuit's own. The Euler step damps what is too
/// fast for the sampling rate, by 0.71 a sample at the slowest, without which it would ring at half the rate; charge is
/// conserved where a wiper meets its stop and joins two capacitors. What the trapezoidal rule moves: eq. 51, a peak at
/// 3930 Hz to 3848 Hz at 48 kHz; `response` gives all of it. A trivially copyable value without a pointer. Room for
/// `States` reactive states, `Resistors` resistors that move and `Inputs` input signals; a circuit of n states costs about
/// n² products a sample, a knob n³ once before the next sample. Latency: 0 samples. Setting it up throws and
/// allocates; everything else is `noexcept` and does not. NaN and infinite samples count as silence.
template <std::size_t States = 24, std::size_t Resistors = 8, std::size_t Inputs = 4>
class basic_moving_filter {
public:
  /// Silence.
  basic_moving_filter() noexcept = default;

  /// `moving`: the ranges of the potentiometers that will turn (`source::range`), other values stay as they are now.
  /// Throws `invalid_value` (a rate, a value that is no resistance, `exact_at` not below half the rate),
  /// `not_realisable` (a power law, a chain matrix), `std::length_error` (no room), `conflicting_sources`.
  basic_moving_filter(const source& s, frequency rate, std::span<const value_range> moving,
                      const moving_options& options = {})
      : rate_{require_sampling_rate(rate).value()} {
    const circuit& c = s.as_circuit();
    std::vector<std::size_t> slots;
    for (const value_range& r : moving)
      for (std::size_t k = 0; k < r.count; ++k) slots.push_back(std::size_t{r.first} + k);
    const detail::companion read(c, slots);
    const bool together = options.inputs == emf_inputs::together;
    states_ = read.states();
    ports_ = read.ports().size();
    inputs_ = together ? 1 : read.inputs();
    const auto fits = [](const char* what, std::size_t has, std::size_t room) {
      if (has > room)
        throw std::length_error("moving_filter: " + std::to_string(has) + " " + what + ", room for " +
                                std::to_string(room) + "; give it more in its template arguments");
    };
    fits("states", states_, States);
    fits("resistors that move", ports_, Resistors);
    fits("input signals", inputs_, Inputs);
    const double step = stretched_period(options);
    take(read, step * (1 - final_share) / 2, together, maps_[0]);
    take(read, step * final_share, together, maps_[1]);
    for (std::size_t k = 0; k < ports_; ++k) {
      slots_[k] = read.ports()[k];
      resistors_[k] = resistor_of(c.values[slots_[k]]);
    }
    prepare();
  }
  basic_moving_filter(const source& s, frequency rate, std::initializer_list<value_range> moving,
                      const moving_options& options = {})
      : basic_moving_filter(s, rate, std::span<const value_range>(moving.begin(), moving.size()), options) {}

  /// Rewrites value `index` of a range that moves, in ohms; `open_value` is an open, what is negative or NaN counts as
  /// 0 Ω. In force from the next sample on. Cost: a comparison a resistor; the filter is prepared when it next runs.
  void rewrite(value_range where, std::size_t index, double ohms) noexcept {
    for (std::size_t k = 0; k < ports_; ++k)
      if (slots_[k] == where.first + index) {
        const resistor now = resistor_of(ohms);
        stale_ = stale_ || !(now.share == resistors_[k].share);
        resistors_[k] = now;
      }
  }

  [[nodiscard]] std::size_t states() const noexcept { return states_; }
  [[nodiscard]] std::size_t inputs() const noexcept { return inputs_; }
  [[nodiscard]] static constexpr std::size_t latency() noexcept { return 0; }

  /// Forgets what was played: every capacitor empty, every current 0.
  void reset() noexcept {
    for (double& x : state_) x = 0;
    for (double& u : last_) u = 0;
  }

  /// Energy in the capacitors and inductors, J (without the share of mutual inductances).
  [[nodiscard]] double stored_energy() const noexcept {
    double sum = 0;
    for (std::size_t k = 0; k < states_; ++k) sum += state_[k] * state_[k];
    return sum / 2;
  }

  /// One input: filters a block in place, or from one span to another of the same length (float or double). Silence if
  /// it was set up for more than one.
  template <class Sample>
  void process(std::span<Sample> block) noexcept {
    process(std::span<const Sample>(block), block);
  }
  template <class Sample>
  void process(std::span<const Sample> in, std::span<Sample> out) noexcept {
    process(std::span<const std::span<const Sample>>(&in, 1), out);
  }
  /// One span for each EMF, each as long as out. Silence if there are fewer than it was set up for.
  template <class Sample>
  void process(std::span<const std::span<const Sample>> in, std::span<Sample> out) noexcept {
    prepare();
    if (in.size() < inputs_ || inputs_ == 0) {
      for (Sample& y : out) y = 0;
      return;
    }
    double u[Inputs][detail::chunk];
    for (std::size_t from = 0; from < out.size(); from += detail::chunk) {
      const std::size_t count = out.size() - from < detail::chunk ? out.size() - from : detail::chunk;
      for (std::size_t k = 0; k < inputs_; ++k)
        for (std::size_t i = 0; i < count; ++i)
          u[k][i] = static_cast<double>(detail::guarded(in[k][from + i]));
      run(u, count);
      for (std::size_t i = 0; i < count; ++i) out[from + i] = detail::guarded(static_cast<Sample>(u[0][i]));
    }
  }

  /// The response to one input with the resistances as they are: what differs from the analogue one is the error of
  /// this realisation. Allocates; not for the audio thread.
  [[nodiscard]] std::complex<double> response(frequency f, std::size_t input = 0) {
    prepare();
    const auto w = std::polar(1., -2 * std::numbers::pi * f.value() / rate_);
    const auto put = [](std::complex<double> z) { return split_complex<double>(z.real(), z.imag()); };
    detail::netlist_elimination<double> a(states_);
    std::vector<split_complex<double>> x(states_);
    for (std::size_t r = 0; r < states_; ++r) {
      for (std::size_t c = 0; c < states_; ++c) a.add(r, c, put((r == c ? 1. : 0.) - w * step_[c][r]));
      x[r] = put(w * step_[states_ + input][r] + step_[states_ + inputs_ + input][r]);
    }
    a.factor();
    a.solve(x);
    std::complex<double> y = w * step_[states_ + input][states_] + step_[states_ + inputs_ + input][states_];
    for (std::size_t c = 0; c < states_; ++c) y += w * step_[c][states_] * to_standard(x[c]);
    return y;
  }

private:
  /// The share of a sample that the implicit Euler step takes: large enough to damp what rings, small enough to cost a
  /// resonance nothing (its Q becomes parallel to one of 1/(ωT·share²), some 30,000 at 4 kHz and 48 kHz).
  static constexpr double final_share = 1. / 128;
  static constexpr std::size_t lanes = native_lanes;
  static constexpr std::size_t rounded(std::size_t n) { return (n + lanes - 1) / lanes * lanes; }
  static constexpr std::size_t map_rows = rounded(States + 1 + Resistors), step_rows = rounded(States + 1);
  using lane = typename detail::lane_type<native_lanes>::type;

  /// The length of the step: of the phase that it gives at `exact_at`, ωT.
  [[nodiscard]] double stretched_period(const moving_options& options) const {
    const double period = 1 / rate_;
    if (!options.exact_at) return period;
    const double hz = require_positive("moving_options.exact_at", *options.exact_at).value();
    if (!(2 * hz < rate_))
      throw invalid_value("moving_options.exact_at", engineering(*options.exact_at),
                          "less than half the sampling rate, " + engineering(rate_ / 2, "Hz"));
    const double w = 2 * std::numbers::pi * hz;
    double low = period, high = 2 * std::tan(w * period / 2) / w / (1 - final_share);
    for (int round = 0; round < 100; ++round) {
      const double t = (low + high) / 2;
      const double phase = 2 * std::atan(w * t * (1 - final_share) / 2) + std::atan(w * t * final_share);
      (phase < w * period ? low : high) = t;
    }
    return (low + high) / 2;
  }

  using map = double[States + Inputs + Resistors][map_rows];
  void take(const detail::companion& read, double h, bool together, map& to) const {
    const std::vector<double> columns = read.step(h);
    const std::size_t rows = states_ + 1 + ports_, all = columns.size() / (rows > 0 ? rows : 1);
    for (std::size_t c = 0; c < all; ++c) {
      // States first, then inputs, then ports; several EMFs that one signal drives share a column.
      const bool is_input = c >= states_ && c < states_ + read.inputs();
      const std::size_t place = c < states_            ? c
                                : is_input && together ? states_
                                : is_input             ? c
                                                       : c - read.inputs() + inputs_;
      for (std::size_t r = 0; r < rows; ++r) to[place][r] += columns[c * rows + r];
    }
  }

  /// A resistance beside the reference one, R0.
  struct resistor {
    double share = 0;  ///< R/(R + R0)
    double gamma = -1; ///< (R - R0)/(R + R0)
  };
  [[nodiscard]] static resistor resistor_of(double ohms) noexcept {
    if (is_open(ohms)) return {1, 1};
    if (!is_finite(ohms) || !(ohms > 0)) return {0, -1};
    const double inverse = 1 / (ohms + detail::companion::reference);
    return {ohms * inverse, (ohms - detail::companion::reference) * inverse};
  }

  [[nodiscard]] static lane loaded(const double* from) noexcept {
    lane l;
    std::memcpy(&l, from, sizeof l);
    return l;
  }

  /// One step's response with the resistors as they are: to[c], c a state or an input (eq. 53).
  void close(const map& m, double (*to)[map_rows]) const noexcept {
    const std::size_t sources = states_ + inputs_, rows = states_ + 1;
    // E_k, the source in series with each reference resistance that makes it the resistance wanted:
    // R/(R + R0)·E_k - Γ·Σ_l P_kl·E_l = Γ·v_k, Γ = (R - R0)/(R + R0).
    double a[Resistors][Resistors], e[Resistors][States + Inputs];
    for (std::size_t k = 0; k < ports_; ++k) {
      const resistor r = resistors_[k];
      for (std::size_t l = 0; l < ports_; ++l) a[k][l] = -r.gamma * m[sources + l][rows + k];
      a[k][k] += r.share;
      for (std::size_t c = 0; c < sources; ++c) e[k][c] = r.gamma * m[c][rows + k];
    }
    // The matrix is that of a passive network: no row exchange (as in any such, the diagonal leads).
    for (std::size_t k = 0; k < ports_; ++k) {
      // No pivot: shorts in parallel, of which one says it all.
      const double inverse = std::abs(a[k][k]) > 1e-13 ? 1 / a[k][k] : 0;
      for (std::size_t l = k + 1; l < ports_; ++l) a[k][l] *= inverse;
      for (std::size_t c = 0; c < sources; ++c) e[k][c] *= inverse;
      for (std::size_t r = 0; r < ports_; ++r) {
        if (r == k) continue;
        const double f = a[r][k];
        for (std::size_t l = k + 1; l < ports_; ++l) a[r][l] -= f * a[k][l];
        for (std::size_t c = 0; c < sources; ++c) e[r][c] -= f * e[k][c];
      }
    }
    for (std::size_t c = 0; c < sources; ++c)
      for (std::size_t r = 0; r < rows; r += lanes) {
        lane sum = loaded(m[c] + r);
        for (std::size_t k = 0; k < ports_; ++k) sum += e[k][c] * loaded(m[sources + k] + r);
        std::memcpy(to[c] + r, &sum, sizeof sum);
      }
  }

  /// Puts both steps together, if a resistance has changed. Columns of `step_`: states, inputs before, inputs now.
  void prepare() noexcept {
    if (!stale_) return;
    stale_ = false;
    double middle[States + Inputs][map_rows], end[States + Inputs][map_rows];
    close(maps_[0], middle);
    close(maps_[1], end);
    const std::size_t rows = states_ + 1;
    for (std::size_t c = 0; c < states_ + inputs_; ++c)
      for (std::size_t r = 0; r < rows; r += lanes) {
        // To the end of the trapezoidal step: twice the way to its middle, where the input is the mean of the sample before
        // and of what a straight line gives at the end of the step.
        lane sum{};
        for (std::size_t k = 0; k < states_; ++k) sum += middle[c][k] * loaded(end[k] + r);
        if (c < states_) {
          sum = 2 * sum - loaded(end[c] + r);
        } else {
          const lane now = (1 - final_share) * sum + loaded(end[c] + r);
          std::memcpy(step_[c + inputs_] + r, &now, sizeof now);
          sum = (1 + final_share) * sum;
        }
        std::memcpy(step_[c] + r, &sum, sizeof sum);
      }
  }

  void run(double (*u)[detail::chunk], std::size_t count) noexcept {
    if (inputs_ == 1) {
      switch (states_) { // the sizes of one pickup with its controls
      case 1: return run_unrolled<1>(u[0], count, std::make_index_sequence<1>());
      case 2: return run_unrolled<2>(u[0], count, std::make_index_sequence<2>());
      case 3: return run_unrolled<3>(u[0], count, std::make_index_sequence<3>());
      case 4: return run_unrolled<4>(u[0], count, std::make_index_sequence<4>());
      case 5: return run_unrolled<5>(u[0], count, std::make_index_sequence<5>());
      case 6: return run_unrolled<6>(u[0], count, std::make_index_sequence<6>());
      case 7: return run_unrolled<7>(u[0], count, std::make_index_sequence<7>());
      case 8: return run_unrolled<8>(u[0], count, std::make_index_sequence<8>());
      case 9: return run_unrolled<9>(u[0], count, std::make_index_sequence<9>());
      case 10: return run_unrolled<10>(u[0], count, std::make_index_sequence<10>());
      case 11: return run_unrolled<11>(u[0], count, std::make_index_sequence<11>());
      default: break;
      }
    }
    run_any(u, count);
  }

  /// One input, a known number of states: all sums in registers. `N` states, the output behind them.
  template <std::size_t N, std::size_t... K>
  void run_unrolled(double* u, std::size_t count, std::index_sequence<K...>) noexcept {
    if constexpr (N <= States) {
      alignas(lane) double x[rounded(N + 1)] = {};
      ((x[K] = state_[K]), ...);
      double before = last_[0];
      for (std::size_t i = 0; i < count; ++i) {
        const double now = u[i];
        run_groups<N>(x, before, now, std::make_index_sequence<rounded(N + 1) / lanes>(),
                      std::make_index_sequence<N / 2>());
        before = now;
        u[i] = x[N];
      }
      last_[0] = before;
      ((state_[K] = detail::guarded(x[K])), ...);
    }
  }
  template <std::size_t N, std::size_t... G, std::size_t... Pair>
  void run_groups(double* x, double before, double now, std::index_sequence<G...>,
                  std::index_sequence<Pair...> pairs) const noexcept {
    const lane sums[] = {row_sum<N, G * lanes>(x, before, now, pairs)...};
    (std::memcpy(x + G * lanes, &sums[G], sizeof sums[G]), ...);
  }
  /// Two sums, so that one waits for its product while the other works.
  template <std::size_t N, std::size_t Row, std::size_t... Pair>
  [[nodiscard]] lane row_sum(const double* x, double before, double now,
                             std::index_sequence<Pair...>) const noexcept {
    lane a = before * loaded(step_[N] + Row), b = now * loaded(step_[N + 1] + Row);
    ((a += x[2 * Pair] * loaded(step_[2 * Pair] + Row),
      b += x[2 * Pair + 1] * loaded(step_[2 * Pair + 1] + Row)),
     ...);
    if constexpr (N % 2 == 1) a += x[N - 1] * loaded(step_[N - 1] + Row);
    return a + b;
  }

  /// Any number of states and inputs; u[0] becomes the output.
  void run_any(double (*u)[detail::chunk], std::size_t count) noexcept {
    alignas(lane) double x[step_rows] = {}, y[step_rows];
    for (std::size_t k = 0; k < states_; ++k) x[k] = state_[k];
    const std::size_t rows = rounded(states_ + 1);
    for (std::size_t i = 0; i < count; ++i) {
      for (std::size_t r = 0; r < rows; r += lanes) {
        lane a = last_[0] * loaded(step_[states_] + r), b = u[0][i] * loaded(step_[states_ + inputs_] + r);
        for (std::size_t k = 1; k < inputs_; ++k) {
          a += last_[k] * loaded(step_[states_ + k] + r);
          b += u[k][i] * loaded(step_[states_ + inputs_ + k] + r);
        }
        std::size_t k = 0;
        for (; k + 1 < states_; k += 2) {
          a += x[k] * loaded(step_[k] + r);
          b += x[k + 1] * loaded(step_[k + 1] + r);
        }
        if (k < states_) a += x[k] * loaded(step_[k] + r);
        a += b;
        std::memcpy(y + r, &a, sizeof a);
      }
      for (std::size_t k = 0; k < inputs_; ++k) last_[k] = u[k][i];
      for (std::size_t k = 0; k < states_; ++k) x[k] = y[k];
      u[0][i] = y[states_];
    }
    for (std::size_t k = 0; k < states_; ++k) state_[k] = detail::guarded(x[k]);
  }

  map maps_[2]{};                                 ///< the middle of the trapezoidal step; the Euler step
  double step_[States + 2 * Inputs][step_rows]{}; ///< both, with the resistors as they are
  double state_[States > 0 ? States : 1]{};       ///< √C·v, √L·i
  double last_[Inputs]{};                         ///< the inputs of the sample before
  resistor resistors_[Resistors > 0 ? Resistors : 1]{};
  std::size_t slots_[Resistors > 0 ? Resistors : 1]{};
  double rate_ = 48e3;
  std::size_t states_ = 0, ports_ = 0, inputs_ = 0;
  bool stale_ = true;
};

using moving_filter = basic_moving_filter<>;

} // namespace lodewire
