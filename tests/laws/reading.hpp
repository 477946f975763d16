// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <span>
#include <vector>

#include <lodewire/circuit/machine.hpp>
#include <lodewire/circuit/program.hpp>

#include "bounded_system.hpp"
#include "measured.hpp"

namespace laws {

using namespace lodewire; // in these tests only

/// What a circuit is seen to be at some points: its impedance in ohms, and the response to each EMF.
struct reading {
  circuit_status status = circuit_status::ok;
  std::vector<measured> impedance;             ///< one a point
  std::vector<std::vector<measured>> response; ///< one list an EMF
};

/// One way of evaluating a circuit.
struct way {
  const char* name;
  std::span<const complex> points; ///< s in 1/s
  bool takes_power_laws;
  /// At every point times `s_times`.
  reading (*read)(const way& by, const circuit& c, double s_times);
  bool derivative = false; ///< reads s·d/ds of each number instead

  [[nodiscard]] reading operator()(const circuit& c, double s_times = 1) const {
    return read(*this, c, s_times);
  }
  [[nodiscard]] bool takes(const circuit& c) const {
    if (takes_power_laws) return true;
    for (const instruction i : c.code)
      if (i.op == opcode::power_law) return false;
    return true;
  }
};

/// On the axis of frequencies.
inline constexpr complex on_axis[] = {{0, 5},     {0, 700}, {0, 2.9e3}, {0, 1.1e4},
                                      {0, 2.3e4}, {0, 7e4}, {0, 3e6}};
/// On it, right of it where a passive circuit has no pole, below it, and a little left of it.
inline constexpr complex in_plane[] = {{0, 5},       {0, 2.9e3},   {0, 2.3e4},    {0, 3e6},  {40, 0},
                                       {2e3, 1.3e4}, {9e4, 2.5e4}, {700, -1.9e4}, {0, -8e3}, {-150, 1.7e4}};

/// What rounding may do to a circuit at s: N/D and, for each EMF, E/(F·D). `more` and `sum` charge an
/// evaluation with more than the point machine does: `more` times each error, and `sum` roundings of the sum
/// of the terms.
class rounding_bound {
public:
  rounding_bound(const circuit& c, complex s, double more = 1, double sum = 0)
      : rounding_bound(c, c.values, s, true, more, sum) {}
  /// The same with values that may move.
  template <class Value>
  rounding_bound(const circuit& c, const std::vector<Value>& values, complex s, bool s_moves, double more,
                 double sum)
      : room_(c.code), more_{more}, sum_{sum} {
    machine<bounded_system, Value> m(bounded_system({s.real(), s.imag()}, s_moves), values.data(), room_);
    run(c.code, m);
    bounded n = m.n();
    bounded_system::scale(n, scale::ohm);
    impedance = quotient(n, m.d());
    for (std::size_t k = 0; k < m.emfs(); ++k)
      response.push_back(quotient(room_.emf[k], m.response_denominator(k)));
  }

  struct bound {
    double off = 0, slope_off = 0;
  };
  bound impedance;
  std::vector<bound> response;

private:
  [[nodiscard]] bound quotient(bounded a, bounded b) const {
    charge(a);
    charge(b);
    const double size = std::hypot(b.z.re, b.z.im);
    // A denominator that is nothing but rounding, or an open.
    if (!(size > 2 * rounding * b.error)) return {1e300, 1e300};
    const auto q = a.z / b.z;
    const double h = std::hypot(q.re, q.im);
    const auto slope = (a.slope - q * b.slope) / b.z;
    const double slope_size = std::hypot(slope.re, slope.im);
    // The second order in the denominator's error is kept.
    const double left = size - rounding * b.error;
    const double off = (a.error + h * b.error) / left + 8 * h;
    const double slope_off = (a.slope_error + h * b.slope_error + off * b.slope_size + slope_size * b.error +
                              8 * (a.slope_size + h * b.slope_size)) /
                                 left +
                             8 * slope_size;
    return {rounding * off, rounding * slope_off};
  }
  void charge(bounded& x) const {
    x.error = more_ * x.error + sum_ * x.size;
    x.slope_error = more_ * x.slope_error + sum_ * x.slope_size;
  }

  workspace<bounded_system> room_;
  double more_, sum_;
};

} // namespace laws
