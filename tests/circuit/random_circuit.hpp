// SPDX-License-Identifier: BSL-1.0
#pragma once

#include "ways.hpp"

/// Random circuits of guitar size: two branches of coils, each with controls, joined, then parts up to a number of
/// reactive ones. The same on every machine.
namespace ways {

struct variety {
  bool turned = true;   ///< coils reversed at random
  bool pairs = true;    ///< coupled pairs among the coils
  bool matrices = true; ///< chain matrices on the way
  bool filters = true;  ///< low-passes on EMFs
  bool buffers = true;
  bool power_laws = false;
};

class circuit_maker {
public:
  circuit_maker(std::uint64_t seed, const variety& v) : d_{seed}, v_{v} {}

  lodewire::source operator()(std::size_t reactive) {
    using namespace lodewire;
    left_ = reactive;
    name_ = 0;
    source a = branch(reactive / 2);
    source s = d_() < 0.5 ? series(a, branch(3)) : parallel(a, branch(3));
    int buffers = 0;
    for (int i = 0; left_ > 0 || i < 2; ++i) {
      if (v_.buffers && buffers < 2 && d_() < 0.08 && left_ > 0) {
        ++buffers;
        const double gain = d_.between(-4, 4);
        const one_port in = parallel(ohm(1e5, 2e6), farad(1e-11, 1e-10)), out = ohm(100, 2e4);
        spend(1);
        s = s | buffer(gain, in, out);
      } else {
        s = step(s);
      }
    }
    return s;
  }

private:
  lodewire::one_port ohm(double low, double high) {
    return lodewire::resistance::from_value(d_.spread(low, high));
  }
  lodewire::one_port henry(double low, double high) {
    return lodewire::inductance::from_value(d_.spread(low, high));
  }
  lodewire::one_port farad(double low, double high) {
    return lodewire::capacitance::from_value(d_.spread(low, high));
  }
  void spend(std::size_t n) { left_ -= std::min(left_, n); }
  lodewire::one_port winding() {
    using namespace lodewire;
    const one_port r = ohm(1e3, 2e4), l = henry(0.5, 8);
    if (d_() < 0.3) {
      const one_port le = henry(0.1, 2), re = ohm(2e3, 1e5);
      spend(2);
      return series(r, l, parallel(le, re));
    }
    spend(1);
    return series(r, l);
  }
  lodewire::one_port shunt() {
    const lodewire::one_port c = farad(2e-11, 4e-10), r = ohm(1e5, 5e6);
    spend(1);
    return d_() < 0.5 ? parallel(c, r) : c;
  }
  lodewire::source coil() {
    using namespace lodewire;
    const std::string name = std::to_string(name_++);
    if (v_.pairs && d_() < 0.3) {
      circuit c;
      append(c, winding().as_circuit());
      append(c, winding().as_circuit());
      append(c, shunt().as_circuit());
      append(c, shunt().as_circuit());
      const double e = d_.between(0.2, 2), m = d_.between(-0.4, 0.4), between = d_.spread(1e-12, 1e-10);
      emit(c, opcode::coil_pair, {m, between, e, 1}, static_cast<std::uint8_t>(d_.below(3)));
      c.emfs = {name, std::to_string(name_++)};
      if (v_.filters && d_() < 0.4) {
        const double a1 = d_.spread(1e-6, 1e-4);
        emit(c, opcode::emf_filter, {a1, 0}, static_cast<std::uint8_t>(d_.below(3)));
      }
      return source(c);
    }
    circuit c = ideal_emf(voltage::from_value(d_.between(0.2, 2)), name).as_circuit();
    if (v_.filters && d_() < 0.3) {
      const double a1 = d_.spread(1e-6, 1e-4), a2 = d_.spread(1e-12, 1e-9);
      emit(c, opcode::emf_filter, {a1, a2});
    }
    const one_port w = winding();
    source s = source(c) | in_series(w);
    s = s | in_shunt(shunt());
    return v_.turned && d_() < 0.4 ? reversed(s) : s;
  }
  lodewire::source branch(std::size_t reactive) {
    using namespace lodewire;
    const std::size_t end = left_ - std::min(left_, reactive);
    source s = coil();
    while (left_ > end) {
      if (d_() < 0.25) {
        const source other = coil();
        s = d_() < 0.5 ? series(s, other) : parallel(s, other);
      } else {
        s = step(s);
      }
    }
    return s;
  }
  lodewire::source step(const lodewire::source& s) {
    using namespace lodewire;
    switch (d_.below(9)) {
    case 0: return s | in_series(ohm(10, 2e5));
    case 1: return s | in_shunt(ohm(1e4, 2e6));
    case 2: spend(1); return s | in_shunt(farad(5e-11, 2e-9));
    case 3: {
      const one_port r = ohm(1e3, 5e5), c = farad(1e-9, 1e-7);
      spend(1);
      return s | in_shunt(series(r, c));
    }
    case 4: {
      const one_port r = ohm(1e4, 3e5), c = farad(1e-10, 3e-9);
      spend(1);
      return s | in_series(parallel(r, c));
    }
    case 5: {
      const one_port r = ohm(10, 1e3), l = henry(0.01, 1);
      spend(1);
      return s | in_series(series(r, l));
    }
    case 6: {
      const one_port r = ohm(1e3, 1e5), l = henry(0.5, 5), c = farad(1e-9, 1e-7);
      spend(2);
      return s | in_shunt(series(r, l, c));
    }
    case 7:
      if (v_.matrices) {
        // A T of two resistors and a resistor with a coil, over a denominator that is not one.
        const double r = d_.spread(100, 1e4), g = 1 / d_.spread(1e5, 1e6), k = d_.between(0.5, 2),
                     t = d_.spread(1e-6, 1e-5);
        spend(1);
        return s | chain_matrix{.a = {k, k * t, 0},
                                .b = {k * r, k * r * t, 0},
                                .c = {k * g, 0, 0},
                                .d = {k, 0, k * t * t},
                                .delta = {k, k * t, 0}};
      }
      return s | in_series(ohm(10, 2e5));
    default:
      if (v_.power_laws) {
        const double k = d_.spread(10, 1e4), alpha = d_.between(-0.9, 0.9);
        return s | (d_() < 0.5 ? in_series(power_law(resistance::from_value(k), alpha))
                               : in_shunt(series(one_port(resistance::from_value(1e3)),
                                                 power_law(resistance::from_value(k), alpha))));
      }
      return s | in_shunt(ohm(1e4, 2e6));
    }
  }
  dice d_;
  variety v_;
  std::size_t left_ = 0;
  int name_ = 0;
};

} // namespace ways
