// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/machine.hpp>

namespace lodewire {

/// Two coupled windings with a shunt across each and a capacitance between their far ends (eq. 14). On the stack,
/// from below: windings [n1 : d1], [n2 : d2], shunts [p1 : q1], [p2 : q2]. With m = sM, c = sC and
/// Δ = n1·n2 - m²·d1·d2 the pair is a 2×2 immittance in which every entry is a polynomial: nothing is divided.
template <class System, class Value>
constexpr void machine<System, Value>::coil_pair(std::uint16_t at, pair_output output) noexcept {
  depth_ -= 4;
  const entry* const operand = &w_->stack[depth_];
  const number n1 = operand[0].n, d1 = operand[0].d;
  const number n2 = operand[1].n, d2 = operand[1].d;
  number p1 = operand[2].n, q1 = operand[2].d;
  number p2 = operand[3].n, q2 = operand[3].d;

  const auto times = [this](const number& x, const number& y) { return sys_.product(x, y); };
  const auto plus = [this](number x, const number& y) {
    sys_.add(x, y);
    return x;
  };
  const auto minus = [this](number x, const number& y) {
    sys_.add(x, coefficient(-1), y);
    return x;
  };
  const auto by_s = [this](const coefficient& k, number x) {
    sys_.scale_s(x, k);
    return x;
  };

  // A short across a winding without impedance says nothing new, unless there is an EMF in it.
  const auto shorted_twice = [this](const number& n, number& p, number& q, const coefficient& e) {
    if (!sys_.is_zero(n) || !sys_.is_zero(p)) return;
    if (!(e == coefficient(0))) status_ = circuit_status::conflicting_voltages;
    sys_.set(p, coefficient(1));
    sys_.set(q, coefficient(0));
  };
  shorted_twice(n1, p1, q1, value(at + 2U));
  shorted_twice(n2, p2, q2, value(at + 3U));

  const coefficient mutual = value(at, 1 / scale::henry);
  const coefficient between = value(at + 1U, 1 / scale::farad);
  const number d12 = times(d1, d2);
  const number p12 = times(p1, p2);
  const number m = by_s(mutual, d12); // m·d1·d2
  const number z1 = times(n1, d2);    // z1·d1·d2
  const number z2 = times(n2, d1);
  const number delta = minus(times(n1, n2), by_s(mutual, m)); // Δ·d1·d2
  const number y1 = times(q1, p2);                            // y1·p1·p2
  const number y2 = times(q2, p1);

  number& e1 = add_emf(value(at + 2U));
  number& e2 = add_emf(value(at + 3U));
  const bool has_emf = !sys_.is_zero(e1) || !sys_.is_zero(e2);
  entry& out = w_->stack[depth_++];
  out.first = emfs_ - 2;

  const number sum = plus(plus(z1, z2), plus(m, m));                      // z1 + z2 + 2m
  const number loops = plus(times(p12, sum), times(plus(y1, y2), delta)); // impedance of both in series
  // Determinant of the loaded pair, common to the series and the single output.
  const auto determinant = [&] {
    return plus(plus(plus(times(p12, d12), times(y1, z1)), plus(times(y2, z2), times(times(q1, q2), delta))),
                by_s(between, loops));
  };
  if (output == pair_output::series) {
    out.n = loops;
    out.d = determinant();
    sys_.multiply(e1, minus(plus(times(p12, d12), times(y2, z2)), times(y1, m)));
    sys_.multiply(e2, minus(plus(times(p12, d12), times(y1, z1)), times(y2, m)));
  } else if (output == pair_output::first) {
    out.n = plus(times(p12, z1), times(plus(y2, by_s(between, p12)), delta));
    out.d = determinant();
    sys_.multiply(e1, plus(plus(times(p12, d12), times(y2, z2)), by_s(between, times(p12, plus(z2, m)))));
    sys_.multiply(e2, plus(times(y2, m), by_s(between, times(p12, plus(m, z1)))));
    sys_.scale(e2, coefficient(-1));
  } else {
    out.n = times(p12, delta);
    out.d = plus(times(p12, minus(sum, plus(plus(m, m), plus(m, m)))),
                 times(plus(plus(y1, y2), by_s(between, p12)), delta));
    sys_.multiply(e1, times(p12, minus(z2, m)));
    sys_.multiply(e2, times(p12, minus(z1, m)));
  }
  if (sys_.is_zero(out.n) && sys_.is_zero(out.d)) {
    if (output == pair_output::parallel) {
      if (sys_.is_zero(delta) && has_emf) status_ = circuit_status::conflicting_voltages;
      return settle_as(coefficient(0), coefficient(1)); // both shorted
    }
    settle_as(coefficient(1), coefficient(0)); // both windings open
    if (output == pair_output::series) {
      sys_.set(out.d, coefficient(1));
      sys_.scale_s(out.d, between);
    }
    return;
  }
  settle();
}

} // namespace lodewire
