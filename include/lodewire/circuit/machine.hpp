// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>

#include <lodewire/circuit/leading.hpp>
#include <lodewire/circuit/run.hpp>
#include <lodewire/circuit/scale.hpp>
#include <lodewire/circuit/status.hpp>
#include <lodewire/circuit/workspace.hpp>
#include <lodewire/quantity/finite.hpp>

namespace lodewire {

/// The machine that computes a circuit in homogeneous coordinates (docs/theory.md, eq. 2 to 16) in any number
/// system. After `run`, the entry at the bottom is the circuit: the response to EMF k is E_k/(F_k·D), the output
/// impedance N/D. Every operation is `noexcept` and allocates nothing. Cost: a few products an instruction.
/// System: complex_system, polynomial_system, block_system. Value: what the slots hold (double, a dual number).
template <class System, class Value>
class machine {
public:
  using number = typename System::number;
  using coefficient = typename System::coefficient;
  using entry = typename workspace<System>::entry;

  constexpr machine(const System& system, const Value* values, workspace<System>& room) noexcept
      : sys_{system}, v_{values}, w_{&room} {}

  /// Asks for the denominator as seen by a probe in place of the source at terminal pair `mark`: an ideal voltage
  /// [1 : 0 : 1], or an ideal current [1 : 1 : 0] (eq. 15).
  constexpr void probe(std::uint8_t mark, bool as_current) noexcept {
    probing_ = true;
    mark_ = mark;
    as_current_ = as_current;
  }

  [[nodiscard]] constexpr circuit_status status() const noexcept { return status_; }
  [[nodiscard]] constexpr const number& n() const noexcept { return w_->stack[0].n; }
  [[nodiscard]] constexpr const number& d() const noexcept { return w_->stack[0].d; }
  [[nodiscard]] constexpr std::size_t emfs() const noexcept { return emfs_; }
  /// The denominator that a probe sees; meaningful after a run with `probe`.
  [[nodiscard]] constexpr number probed() const noexcept {
    return frozen_ ? w_->seen : sys_.product(w_->filter[seen_emf_], w_->stack[0].d);
  }

  // -- pushes ----------------------------------------------------------------------------------------------
  constexpr void emf(std::uint16_t at) noexcept { push_source(value(at), 0, 1); }
  constexpr void current_source(std::uint16_t at) noexcept { push_source(value(at, scale::ohm), 1, 0); }
  constexpr void resistor(std::uint16_t at) noexcept {
    if (open(at)) {
      push(coefficient(1), coefficient(0));
    } else {
      push(value(at, 1 / scale::ohm), coefficient(1));
    }
  }
  constexpr void inductor(std::uint16_t at) noexcept {
    entry& e = push(coefficient(1), coefficient(1));
    sys_.scale_s(e.n, value(at, 1 / scale::henry));
  }
  constexpr void capacitor(std::uint16_t at) noexcept {
    entry& e = push(coefficient(1), coefficient(1));
    sys_.scale_s(e.d, value(at, 1 / scale::farad));
  }
  constexpr void power_law(std::uint16_t at) noexcept {
    // A number system without powers never gets here: its composer refuses the program by name.
    if constexpr (requires(number & x, coefficient c) { sys_.power(x, c, c); }) {
      entry& e = push(coefficient(1), coefficient(1));
      sys_.power(e.n, value(at, 1 / scale::ohm), value(at + 1U));
    } else {
      push(coefficient(0), coefficient(1));
    }
  }

  // -- one part in series or across ------------------------------------------------------------------------
  constexpr void series_r(std::uint16_t at) noexcept { // eq. 6 with [R : 1]
    if (open(at)) return series_open();
    sys_.add(top().n, value(at, 1 / scale::ohm), top().d);
    steady();
  }
  constexpr void series_l(std::uint16_t at) noexcept { // eq. 6 with [sL : 1]
    sys_.add_s(top().n, value(at, 1 / scale::henry), top().d);
    steady();
  }
  constexpr void series_c(std::uint16_t at) noexcept { // eq. 6 with [1 : sC]
    if (zero(at)) return series_open();
    const coefficient c = value(at, 1 / scale::farad);
    entry& t = top();
    sys_.scale_s(t.n, c);
    sys_.add(t.n, t.d);
    sys_.scale_s(t.d, c);
    for (std::size_t k = t.first; k < emfs_; ++k) sys_.scale_s(w_->emf[k], c);
    settle();
  }
  constexpr void shunt_r(std::uint16_t at) noexcept { // eq. 7 with [R : 1], divided by R
    if (open(at)) return;
    if (zero(at)) {
      if (!varies(v_[at]) || sys_.is_zero(top().n)) return shunt_short();
      return shunt_undivided(value(at, 1 / scale::ohm));
    }
    sys_.add(top().d, coefficient(1) / value(at, 1 / scale::ohm), top().n);
    steady();
  }
  constexpr void shunt_l(std::uint16_t at) noexcept { // eq. 7 with [sL : 1]
    if (zero(at) && !varies(v_[at])) return shunt_short();
    const coefficient l = value(at, 1 / scale::henry);
    entry& t = top();
    sys_.scale_s(t.d, l);
    sys_.add(t.d, t.n);
    sys_.scale_s(t.n, l);
    for (std::size_t k = t.first; k < emfs_; ++k) sys_.scale_s(w_->emf[k], l);
    settle();
  }
  constexpr void shunt_c(std::uint16_t at) noexcept { // eq. 7 with [1 : sC]
    sys_.add_s(top().d, value(at, 1 / scale::farad), top().n);
    steady();
  }

  // -- joins -----------------------------------------------------------------------------------------------
  constexpr void join_series() noexcept { // eq. 8
    entry& b = w_->stack[--depth_];
    entry& a = top();
    const bool open_a = sys_.is_zero(a.d);
    const bool open_b = sys_.is_zero(b.d);
    if (open_a && open_b) conflict_if_any(a, circuit_status::conflicting_currents);
    if (probing_here(b) ? open_a : open_b && probing_here(a)) freeze(probing_here(b) ? b.d : a.d);
    if (open_a && open_b) return settle_as(coefficient(1), coefficient(0));
    for (std::size_t k = a.first; k < b.first; ++k) sys_.multiply(w_->emf[k], b.d);
    for (std::size_t k = b.first; k < emfs_; ++k) sys_.multiply(w_->emf[k], a.d);
    sys_.multiply_sum(a.n, b.d, b.n, a.d);
    sys_.multiply(a.d, b.d);
    settle();
  }
  constexpr void join_parallel() noexcept { // eq. 9 (Millman)
    entry& b = w_->stack[--depth_];
    entry& a = top();
    const bool short_a = sys_.is_zero(a.n);
    const bool short_b = sys_.is_zero(b.n);
    if (short_a && short_b) conflict_if_any(a, circuit_status::conflicting_voltages);
    if (probing_here(b) ? short_a : short_b && probing_here(a)) freeze(probing_here(b) ? b.n : a.n);
    if (short_a && short_b) return settle_as(coefficient(0), coefficient(1));
    for (std::size_t k = a.first; k < b.first; ++k) sys_.multiply(w_->emf[k], b.n);
    for (std::size_t k = b.first; k < emfs_; ++k) sys_.multiply(w_->emf[k], a.n);
    sys_.multiply_sum(a.d, b.n, b.d, a.n);
    sys_.multiply(a.n, b.n);
    settle();
  }

  // -- the rest --------------------------------------------------------------------------------------------
  constexpr void reverse() noexcept { // eq. 10
    for (std::size_t k = top().first; k < emfs_; ++k) sys_.scale(w_->emf[k], coefficient(-1));
  }
  /// `which` is 0 for every EMF of the top, or the number of the only one, from 1.
  constexpr void emf_filter(std::uint16_t at, std::uint8_t which) noexcept { // eq. 13
    const coefficient a1 = value(at, scale::per_second);
    const coefficient a2 = value(at + 1U, scale::per_second * scale::per_second);
    for (std::size_t k = top().first; k < emfs_; ++k) {
      if (which != 0 && k + 1 != top().first + which) continue;
      number& f = w_->filter[k];
      number t = f;
      sys_.add_s(f, a1, t);
      sys_.scale_s(t, coefficient(1));
      sys_.add_s(f, a2, t);
      if (which != 0) part_from_others(k);
    }
    if (which == 0) mark_filtered(top().first);
  }
  constexpr void buffer(std::uint16_t at) noexcept { // eq. 12
    const entry& out = w_->stack[depth_ - 1];
    const entry& in = w_->stack[depth_ - 2];
    depth_ -= 2;
    entry& a = top();
    number loaded = a.d; // D·n_i + N·d_i
    sys_.multiply_sum(loaded, in.n, a.n, in.d);
    const bool undecided = sys_.is_zero(loaded); // both short, or both open
    if (undecided)
      conflict_if_any(a, sys_.is_zero(in.n) ? circuit_status::conflicting_voltages
                                            : circuit_status::conflicting_currents);
    if (probing_here(a)) freeze(loaded);
    const coefficient gain = value(at);
    for (std::size_t k = a.first; k < emfs_; ++k) {
      number& e = w_->emf[k];
      if (undecided) {
        sys_.set(e, coefficient(0));
        continue;
      }
      sys_.scale(e, gain);
      sys_.multiply(e, in.n);
      sys_.multiply(e, out.d);
    }
    if (!undecided) {
      // One factor for all of them, so that those over one denominator stay so.
      number nothing;
      sys_.set(nothing, coefficient(0));
      if (!probing_) sys_.common_factor(loaded, nothing, w_->emf.data() + a.first, emfs_ - a.first);
      for (std::size_t k = a.first; k < emfs_; ++k) sys_.multiply(w_->filter[k], loaded);
    }
    mark_filtered(a.first);
    a.n = out.n;
    a.d = out.d;
  }
  constexpr void chain(std::uint16_t at) noexcept { // eq. 11
    entry& t = top();
    number d = quadratic(t.d, at, 1);                   // A·D
    sys_.add(d, quadratic(t.n, at + 6U, scale::ohm));   // + C·N
    number n = quadratic(t.d, at + 3U, 1 / scale::ohm); // B·D
    sys_.add(n, quadratic(t.n, at + 9U, 1));            // + N·D22
    for (std::size_t k = t.first; k < emfs_; ++k) w_->emf[k] = quadratic(w_->emf[k], at + 12U, 1);
    t.n = n;
    t.d = d;
    settle();
  }
  constexpr void coil_pair(std::uint16_t at, pair_output output) noexcept { // eq. 14
    depth_ -= 4;
    const entry* const operand = &w_->stack[depth_];
    const pair_type winding1 = operand[0];
    pair_type winding2 = operand[1];
    const pair_type shunt1 = unless_shorted_twice(winding1, operand[2], value(at + 2U));
    const pair_type shunt2 = unless_shorted_twice(winding2, operand[3], value(at + 3U));
    number& e1 = add_emf(value(at + 2U));
    number& e2 = add_emf(value(at + 3U));
    const bool has_emf = !sys_.is_zero(e1) || !sys_.is_zero(e2);
    entry& out = w_->stack[depth_++];
    out.first = emfs_ - 2;
    coefficient mutual = value(at, 1 / scale::henry);
    coefficient between = value(at + 1U, 1 / scale::farad);
    if (output == pair_output::first && sys_.is_zero(winding2.d) && sys_.is_zero(shunt2.d)) {
      // Both open leave the far end in the air: a wire to nowhere does as well.
      sys_.set(winding2.n, coefficient(0));
      sys_.set(winding2.d, coefficient(1));
      mutual = between = coefficient(0);
    }
    const bool shorted =
        apply_coil_pair(sys_, winding1, winding2, shunt1, shunt2, mutual, between, output, out, e1, e2);
    if (!sys_.is_zero(out.n) || !sys_.is_zero(out.d)) return settle();
    if (output == pair_output::parallel) {
      if (shorted && has_emf) status_ = circuit_status::conflicting_voltages;
      return settle_as(coefficient(0), coefficient(1)); // both shorted
    }
    settle_as(coefficient(1), coefficient(0)); // both windings open
    if (output == pair_output::series) {
      sys_.set(out.d, coefficient(1));
      sys_.scale_s(out.d, between);
    }
  }

  constexpr void terminals(std::uint8_t mark) noexcept {
    if (!probing_ || mark != mark_) return;
    entry& t = top();
    seen_emf_ = t.first;
    settle_as(coefficient(as_current_ ? 1 : 0), coefficient(as_current_ ? 0 : 1));
    if (t.first < emfs_) sys_.set(w_->filter[t.first], coefficient(1));
  }

  /// Response of EMF k as numerator and denominator: E_k and F_k·D.
  [[nodiscard]] constexpr number response_denominator(std::size_t k) const noexcept {
    return filtered(k) ? sys_.product(w_->filter[k], d()) : d();
  }

protected:
  using pair_type = homogeneous_pair<number>;

  /// A short across a winding without impedance says nothing new, unless there is an EMF in it.
  [[nodiscard]] constexpr pair_type unless_shorted_twice(const pair_type& winding, pair_type shunt,
                                                         const coefficient& e) noexcept {
    if (!sys_.is_zero(winding.n) || !sys_.is_zero(shunt.n)) return shunt;
    if (!(e == coefficient(0))) status_ = circuit_status::conflicting_voltages;
    sys_.set(shunt.n, coefficient(1));
    sys_.set(shunt.d, coefficient(0));
    return shunt;
  }

  [[nodiscard]] constexpr bool filtered(std::size_t k) const noexcept {
    return w_->shares[k] != workspace<System>::no_filter;
  }
  [[nodiscard]] constexpr entry& top() noexcept { return w_->stack[depth_ - 1]; }

  [[nodiscard]] constexpr coefficient value(std::size_t at, double times = 1) const noexcept {
    return sys_.as_coefficient(v_[at], times);
  }
  [[nodiscard]] constexpr bool open(std::size_t at) const noexcept { return is_open(leading(v_[at])); }
  [[nodiscard]] constexpr bool zero(std::size_t at) const noexcept { return leading(v_[at]) == 0; }

  constexpr entry& push(const coefficient& n, const coefficient& d) noexcept {
    entry& e = w_->stack[depth_++];
    sys_.set(e.n, n);
    sys_.set(e.d, d);
    e.first = emfs_;
    return e;
  }
  constexpr void push_source(const coefficient& e, int n, int d) noexcept {
    push(coefficient(n), coefficient(d));
    add_emf(e);
  }
  constexpr number& add_emf(const coefficient& e) noexcept {
    sys_.set(w_->emf[emfs_], e);
    sys_.set(w_->filter[emfs_], coefficient(1));
    w_->shares[emfs_] = workspace<System>::no_filter;
    return w_->emf[emfs_++];
  }

  // Whatever is in series with an open, or across a short, has no say any more (the rules for [0 : 0]).
  [[gnu::noinline]] constexpr void series_open() noexcept {
    if (sys_.is_zero(top().d)) conflict_if_any(top(), circuit_status::conflicting_currents);
    if (probing_here(top())) freeze(top().d);
    settle_as(coefficient(1), coefficient(0));
  }
  [[gnu::noinline]] constexpr void shunt_short() noexcept {
    const entry& t = top();
    if (sys_.is_zero(t.n)) conflict_if_any(t, circuit_status::conflicting_voltages);
    if (probing_here(t)) freeze(t.n); // D would become N: the probe sees how far the short is away
    settle_as(coefficient(0), coefficient(1));
  }
  constexpr void shunt_undivided(const coefficient& r) noexcept { // eq. 7 as it stands
    entry& t = top();
    sys_.scale(t.d, r);
    sys_.add(t.d, t.n);
    sys_.scale(t.n, r);
    for (std::size_t k = t.first; k < emfs_; ++k) sys_.scale(w_->emf[k], r);
  }
  [[gnu::noinline]] constexpr void settle_as(const coefficient& n, const coefficient& d) noexcept {
    entry& t = top();
    sys_.set(t.n, n);
    sys_.set(t.d, d);
    for (std::size_t k = t.first; k < emfs_; ++k) sys_.set(w_->emf[k], coefficient(0));
  }
  [[gnu::noinline]] constexpr void conflict_if_any(const entry& in, circuit_status what) noexcept {
    if (probing_here(in)) return; // what stands in place of a source contradicts nobody
    for (std::size_t k = in.first; k < emfs_; ++k)
      if (!sys_.is_zero(w_->emf[k])) status_ = what;
  }

  // Two probes run apart, so a common factor must not be taken out of either.
  [[nodiscard]] constexpr bool probing_here(const entry& e) const noexcept {
    return probing_ && !frozen_ && seen_emf_ != none && e.first <= seen_emf_;
  }
  [[gnu::noinline]] constexpr void freeze(const number& d) noexcept {
    w_->seen = sys_.product(w_->filter[seen_emf_], d);
    frozen_ = true;
  }

  constexpr void steady() noexcept { // long runs of single parts drift too
    if (++steps_ % 8 == 0) settle();
  }
  /// Takes a common power of two, and a common factor s, out of the top entry.
  constexpr void settle() noexcept {
    if (probing_) return;
    entry& t = top();
    sys_.common_factor(t.n, t.d, w_->emf.data() + t.first, emfs_ - t.first);
  }

  /// Every EMF from `first` on got the same further denominator: those that had none now share one.
  constexpr void mark_filtered(std::size_t first) noexcept {
    std::size_t fresh = emfs_;
    for (std::size_t k = first; k < emfs_; ++k) {
      if (filtered(k)) continue;
      if (fresh == emfs_) fresh = k;
      w_->shares[k] = fresh;
    }
  }
  /// EMF k alone got a further denominator.
  constexpr void part_from_others(std::size_t k) noexcept {
    if (filtered(k)) {
      const std::size_t shared = w_->shares[k];
      std::size_t heir = emfs_;
      for (std::size_t j = shared; j < emfs_; ++j) {
        if (j == k || w_->shares[j] != shared) continue;
        if (heir == emfs_) heir = j;
        w_->shares[j] = heir;
      }
    }
    w_->shares[k] = k;
  }

  /// (a0 + a1·s + a2·s²)·x with the three coefficients from slot `at`, times an impedance unit.
  [[nodiscard]] constexpr number quadratic(const number& x, std::size_t at, double unit) const noexcept {
    number y = x;
    number t = x;
    sys_.scale(y, value(at, unit));
    sys_.add_s(y, value(at + 1, unit * scale::per_second), t);
    sys_.scale_s(t, coefficient(1));
    sys_.add_s(y, value(at + 2, unit * scale::per_second * scale::per_second), t);
    return y;
  }

  static constexpr std::size_t none = static_cast<std::size_t>(-1);

  System sys_;
  const Value* v_;
  workspace<System>* w_;
  std::size_t depth_ = 0;
  std::size_t emfs_ = 0, steps_ = 0;
  circuit_status status_ = circuit_status::ok;
  bool probing_ = false;
  bool as_current_ = false;
  bool frozen_ = false;
  std::uint8_t mark_ = 0;
  std::size_t seen_emf_ = none;
};

} // namespace lodewire
