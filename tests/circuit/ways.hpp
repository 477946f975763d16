// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <cstdint>
#include <vector>

#include <lodewire/circuit/complex_system.hpp>
#include <lodewire/circuit/composer.hpp>
#include <lodewire/circuit/evaluator.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/response.hpp>

/// The three ways to one number at one frequency: the point machine, the block machine, the composed polynomial.
namespace ways {

using complex = std::complex<double>;

inline lodewire::frequency hertz(double f) { return lodewire::frequency::from_value(f); }

/// NaN or infinite in one of its parts; still an answer under -ffast-math.
inline bool is_finite(complex z) { return lodewire::is_finite(z.real()) && lodewire::is_finite(z.imag()); }

/// Every other EMF at rest.
inline std::vector<double> only(const lodewire::source& s, std::size_t emf) {
  std::vector<double> weights(s.emf_names().size(), 0.0);
  weights.at(emf) = 1;
  return weights;
}

inline complex by_block(const lodewire::source& s, std::size_t emf, double hz) {
  lodewire::evaluator evaluate(s.as_circuit());
  complex out = -1;
  evaluate.responses(s.as_circuit(), {&hz, 1}, only(s, emf), {&out, 1});
  return out;
}
inline complex by_transfer(const lodewire::source& s, std::size_t emf, double hz) {
  return lodewire::transfer(s, emf)(hertz(hz));
}

/// What the point machine says at any s, in 1/s: the response to each EMF, and the impedance in ohms.
struct point_result {
  std::vector<complex> response;
  complex impedance;
  lodewire::circuit_status status;
};
inline point_result at(const lodewire::circuit& c, complex s) {
  using system = lodewire::complex_system<double>;
  lodewire::workspace<system> room(c.code);
  lodewire::machine<system, double> m(system({s.real(), s.imag()}), c.values.data(), room);
  lodewire::run(c.code, m);
  point_result r;
  r.status = m.status();
  for (std::size_t k = 0; k < m.emfs(); ++k)
    r.response.push_back(to_standard(room.emf[k]) / to_standard(m.response_denominator(k)));
  r.impedance = lodewire::scale::ohm * to_standard(m.n()) / to_standard(m.d());
  return r;
}

/// Uniform in [0, 1), the same on every machine.
class dice {
public:
  explicit dice(std::uint64_t seed) : state_{seed * 0x9e3779b97f4a7c15U + 1} {}
  double operator()() {
    state_ += 0x9e3779b97f4a7c15U; // splitmix64
    std::uint64_t z = state_;
    z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
    return static_cast<double>((z ^ (z >> 31U)) >> 11U) * 0x1p-53;
  }
  double between(double low, double high) { return low + (high - low) * (*this)(); }
  /// In equal ratios.
  double spread(double low, double high) { return low * std::exp((*this)() * std::log(high / low)); }
  std::size_t below(std::size_t n) { return static_cast<std::size_t>((*this)() * static_cast<double>(n)); }

private:
  std::uint64_t state_;
};

/// The three responses to one EMF.
struct responses {
  complex point, block, transfer;
  responses(const lodewire::source& s, std::size_t emf, double hz)
      : point(lodewire::response(s, emf, hertz(hz))), block(by_block(s, emf, hz)),
        transfer(by_transfer(s, emf, hz)) {}

  /// The largest distance of the three from a value.
  [[nodiscard]] double off(complex expected) const {
    double worst = 0;
    for (const complex z : {point, block, transfer})
      worst = is_finite(z) ? std::max(worst, std::abs(z - expected)) : 1e300;
    return worst;
  }
};

/// The three output impedances of a source or a one-port.
template <class Circuit>
struct impedances {
  complex point, block, transfer;
  impedances(const Circuit& z, double hz) {
    if constexpr (std::is_same_v<Circuit, lodewire::source>) {
      point = lodewire::output_impedance(z, hertz(hz)).value();
    } else {
      point = lodewire::impedance_at(z, hertz(hz)).value();
    }
    lodewire::evaluator evaluate(z.as_circuit());
    evaluate.impedances(z.as_circuit(), {&hz, 1}, {&block, 1});
    transfer = lodewire::impedance_function(z)(hertz(hz));
  }
  [[nodiscard]] double off(complex expected) const {
    double worst = 0;
    for (const complex z : {point, block, transfer})
      worst = is_finite(z) ? std::max(worst, std::abs(z - expected)) : 1e300;
    return worst;
  }
  /// True where all three say 'open'.
  [[nodiscard]] bool open() const { return !is_finite(point) && !is_finite(block) && !is_finite(transfer); }
};

} // namespace ways
