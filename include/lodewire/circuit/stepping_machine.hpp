// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/machine.hpp>
#include <lodewire/circuit/steps.hpp>

namespace lodewire {

/// The machine that takes a program by its `steps_of`, which saves passes over a block of frequencies and products of
/// polynomials. The same results within rounding as one instruction at a time, which is what it falls back to where a
/// value is a short or an open.
template <class System, class Value>
class stepping_machine : public machine<System, Value> {
  using base = machine<System, Value>;
  using base::emfs_, base::open, base::steady, base::sys_, base::top, base::value, base::w_, base::zero;
  using typename base::coefficient, typename base::entry;

public:
  using base::base;

  /// Runs a whole program (no probe).
  void run_steps(std::span<const step> steps, std::span<const instruction> code) noexcept {
    for (const step& s : steps) {
      const auto part = code.subspan(s.first, s.count);
      if (!together(s.kind, part)) run(part, static_cast<base&>(*this));
    }
  }

private:
  /// False where it has to go one by one.
  [[nodiscard]] bool together(step_kind kind, std::span<const instruction> part) noexcept {
    switch (kind) {
    case step_kind::plain: return false;
    case step_kind::start: {
      sums s;
      if (!sum(part, s)) return false;
      entry& t = w_->stack[this->depth_++];
      t.first = emfs_;
      this->add_emf(value(part[0].slot));
      sys_.start(t, s.r, s.l, s.g, s.c);
      break;
    }
    case step_kind::series_run: { // eq. 6 with [R + sL : 1]
      sums s;
      if (!sum(part, s)) return false;
      add_linear(top().n, s.r, s.l, top().d);
      break;
    }
    case step_kind::shunt_run: { // eq. 7 with [1 : G + sC]
      sums s;
      if (!sum(part, s)) return false;
      add_linear(top().d, s.g, s.c, top().n);
      break;
    }
    case step_kind::shunt_branch: { // eq. 7 with [1 + sRC : sC]
      if (!conducts(part[0]) || zero(part[1].slot)) return false;
      const coefficient c = farads(part[1]), rc = ohms(part[0]) * c;
      sys_.scale_and_add(top().n, top().d, rc, coefficient(0), c);
      scale_emfs(rc);
      break;
    }
    case step_kind::series_pair: { // eq. 6 with [R : 1 + sRC]
      if (!conducts(part[0])) return false;
      const coefficient r = ohms(part[0]), rc = r * farads(part[1]);
      sys_.scale_and_add(top().d, top().n, rc, r, coefficient(0));
      scale_emfs(rc);
      break;
    }
    }
    steady();
    return true;
  }

  struct sums {
    coefficient r{0}, l{0}, g{0}, c{0}; ///< in series, across
  };
  /// Everything in series and across; false where something is a short across or an open in series.
  [[nodiscard]] bool sum(std::span<const instruction> part, sums& s) const noexcept {
    for (const instruction i : part) switch (i.op) {
      case opcode::series_r:
        if (open(i.slot)) return false;
        s.r = s.r + ohms(i);
        break;
      case opcode::series_l: s.l = s.l + value(i.slot, 1 / scale::henry); break;
      case opcode::shunt_r:
        if (open(i.slot)) break;
        if (zero(i.slot)) return false;
        s.g = s.g + coefficient(1) / ohms(i);
        break;
      case opcode::shunt_c: s.c = s.c + farads(i); break;
      default: break;
      }
    return true;
  }

  /// y += (c0 + c1·s)·x; what is zero adds no degree, unless it varies.
  void add_linear(auto& y, const coefficient& c0, const coefficient& c1, const auto& x) noexcept {
    if (c1 == coefficient(0)) return sys_.add(y, c0, x);
    sys_.add_linear(y, c0, c1, x);
  }
  void scale_emfs(const coefficient& rc) noexcept {
    for (std::size_t k = top().first; k < emfs_; ++k) sys_.scale_linear(w_->emf[k], rc);
  }

  [[nodiscard]] coefficient ohms(const instruction& i) const noexcept {
    return value(i.slot, 1 / scale::ohm);
  }
  [[nodiscard]] coefficient farads(const instruction& i) const noexcept {
    return value(i.slot, 1 / scale::farad);
  }
  [[nodiscard]] bool conducts(const instruction& i) const noexcept { return !open(i.slot) && !zero(i.slot); }
};

} // namespace lodewire
