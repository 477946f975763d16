// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/block_system.hpp>
#include <lodewire/circuit/machine.hpp>

namespace lodewire {

/// The machine over blocks of frequencies, which takes two or three instructions at a time where that saves passes over
/// the block: R and L in series, R and C across, a resistor and a capacitor in series across (a tone control) or side by
/// side in series (a treble bleed). The same results within rounding as one at a time.
template <int Width>
class block_machine : public machine<block_system<Width>, double> {
  using base = machine<block_system<Width>, double>;
  using base::emfs_, base::open, base::settle, base::sys_, base::top, base::value, base::w_, base::zero;

public:
  using base::base;

  /// Runs a program (no probe). Cost: one pass over the block for most parts.
  void run_joined(std::span<const instruction> code) noexcept {
    while (!code.empty()) code = code.subspan(step(code));
  }

private:
  /// How many instructions were done.
  [[nodiscard]] std::size_t step(std::span<const instruction> code) noexcept {
    const instruction one = code[0];
    const opcode two = code.size() > 1 ? code[1].op : opcode::terminals;
    const opcode three = code.size() > 2 ? code[2].op : opcode::terminals;
    if (one.op == opcode::series_r && two == opcode::series_l && !open(one.slot)) {
      sys_.add_linear(top().n, ohms(one), value(code[1].slot, 1 / scale::henry), top().d);
      return 2;
    }
    if (one.op == opcode::shunt_r && two == opcode::shunt_c && conducts(one)) {
      sys_.add_linear(top().d, 1 / ohms(one), farads(code[1]), top().n);
      return 2;
    }
    if (one.op == opcode::shunt_c && two == opcode::shunt_r && conducts(code[1])) {
      sys_.add_linear(top().d, 1 / ohms(code[1]), farads(one), top().n);
      return 2;
    }
    if (one.op == opcode::resistor && conducts(one)) {
      if (two == opcode::series_c && three == opcode::join_parallel && !zero(code[1].slot)) {
        // [1 + sRC : sC] across (eq. 7)
        const double c = farads(code[1]), rc = ohms(one) * c;
        auto& t = top();
        sys_.scale_linear(t.d, 1, rc);
        sys_.add_s(t.d, c, t.n);
        sys_.scale_linear(t.n, 1, rc);
        for (std::size_t k = t.first; k < emfs_; ++k) sys_.scale_linear(w_->emf[k], 1, rc);
        settle();
        return 3;
      }
      if (two == opcode::shunt_c && three == opcode::join_series) {
        // [R : 1 + sRC] in series (eq. 6)
        const double r = ohms(one), rc = r * farads(code[1]);
        auto& t = top();
        sys_.scale_linear(t.n, 1, rc);
        sys_.add(t.n, r, t.d);
        sys_.scale_linear(t.d, 1, rc);
        for (std::size_t k = t.first; k < emfs_; ++k) sys_.scale_linear(w_->emf[k], 1, rc);
        settle();
        return 3;
      }
    }
    run(code.first(1), static_cast<base&>(*this));
    return 1;
  }

  [[nodiscard]] double ohms(const instruction& i) const noexcept { return value(i.slot, 1 / scale::ohm); }
  [[nodiscard]] double farads(const instruction& i) const noexcept { return value(i.slot, 1 / scale::farad); }
  [[nodiscard]] bool conducts(const instruction& i) const noexcept { return !open(i.slot) && !zero(i.slot); }
};

} // namespace lodewire
