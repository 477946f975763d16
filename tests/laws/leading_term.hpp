// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cmath>
#include <vector>

#include <lodewire/circuit/program.hpp>
#include <lodewire/circuit/run.hpp>

/// The limits of a circuit by the rules of the trade: towards dc a coil is a short and a capacitor an open,
/// towards high frequency the other way round, and of two parts the one that counts is the larger in series
/// and the smaller in parallel. Plain impedances, divided as they come: nothing is shared with the
/// homogeneous machine but the reader of programs.
namespace laws {

/// gain·s^power.
struct leading_term {
  double gain = 0;
  int power = 0;

  [[nodiscard]] friend leading_term operator*(leading_term a, leading_term b) {
    return {a.gain * b.gain, a.power + b.power};
  }
  [[nodiscard]] friend leading_term operator/(leading_term a, leading_term b) {
    return {a.gain / b.gain, a.power - b.power};
  }
};

enum class limit_at { dc, high_frequency };

/// A reader of programs that keeps leading terms. Opens and shorts must not occur but as a short across the
/// second coil of a pair; power laws have no such terms.
class limit_reader {
public:
  limit_reader(const lodewire::circuit& c, limit_at at) : v_{c.values.data()}, at_{at} { run(c.code, *this); }

  [[nodiscard]] leading_term impedance() const { return stack_.back().z; }
  [[nodiscard]] const std::vector<leading_term>& responses() const { return stack_.back().e; }

  void emf(std::size_t at) { stack_.push_back({{0, 0}, {{v_[at], 0}}}); }
  void current_source(std::size_t at) { stack_.push_back({{v_[at], 0}, {}, true}); }
  void resistor(std::size_t at) { stack_.push_back({{v_[at], 0}, {}}); }
  void inductor(std::size_t at) { stack_.push_back({{v_[at], 1}, {}}); }
  void capacitor(std::size_t at) { stack_.push_back({{1 / v_[at], -1}, {}}); }
  void power_law(std::size_t) {}
  void series_r(std::size_t at) { add_series({v_[at], 0}); }
  void series_l(std::size_t at) { add_series({v_[at], 1}); }
  void series_c(std::size_t at) { add_series({1 / v_[at], -1}); }
  void shunt_r(std::size_t at) { add_shunt({v_[at], 0}); }
  void shunt_l(std::size_t at) { add_shunt({v_[at], 1}); }
  void shunt_c(std::size_t at) {
    if (v_[at] != 0) add_shunt({1 / v_[at], -1});
  }
  void join_series() {
    entry b = pop();
    entry& a = stack_.back();
    a.z = sum(a.z, b.z);
    a.e.insert(a.e.end(), b.e.begin(), b.e.end());
  }
  void join_parallel() {
    entry b = pop();
    entry& a = stack_.back();
    const leading_term ya = one / a.z, yb = one / b.z, y = sum(ya, yb);
    for (leading_term& e : a.e) e = e * ya / y;
    for (leading_term& e : b.e) e = e * yb / y;
    a.z = one / y;
    a.e.insert(a.e.end(), b.e.begin(), b.e.end());
  }
  void reverse() {
    for (leading_term& e : stack_.back().e) e.gain = -e.gain;
  }
  void emf_filter(std::size_t at, std::uint8_t which) {
    std::vector<leading_term>& e = stack_.back().e;
    for (std::size_t k = 0; k < e.size(); ++k)
      if (which == 0 || k + 1 == which) e[k] = e[k] / polynomial({1, v_[at], v_[at + 1]});
  }
  void buffer(std::size_t at) {
    const entry out = pop(), in = pop();
    entry& a = stack_.back();
    for (leading_term& e : a.e) e = e * leading_term{v_[at], 0} * in.z / sum(a.z, in.z);
    a.z = out.z;
  }
  void chain(std::size_t at) {
    entry& t = stack_.back();
    const auto part = [&](std::size_t k) { return polynomial({v_[at + k], v_[at + k + 1], v_[at + k + 2]}); };
    const leading_term below = sum(part(0), part(6) * t.z);
    for (leading_term& e : t.e) e = e * part(12) / below;
    t.z = sum(part(3), part(9) * t.z) / below;
  }
  void coil_pair(std::size_t at, lodewire::pair_output output) {
    const entry shunt2 = pop(), shunt1 = pop(), w2 = pop(), w1 = pop();
    const leading_term z1 = w1.z, z2 = w2.z, m{v_[at], 1}, c{v_[at + 1], 1};
    const leading_term delta = sum(z1 * z2, minus(m * m));
    if (shunt2.z.gain == 0) return shorted_pair(at, z2, m, delta, shunt1.z, c);
    const leading_term y1 = one / shunt1.z, y2 = one / shunt2.z;
    const leading_term two_m = {2 * m.gain, 1}, loops = sum(sum(z1, z2), sum(two_m, delta * sum(y1, y2)));
    const leading_term p = sum(sum(one, sum(y1 * z1, y2 * z2)), sum(y1 * y2 * delta, c * loops));
    entry out;
    if (output == lodewire::pair_output::series) {
      out.z = loops / p;
      out.e = {sum(sum(one, y2 * z2), minus(m * y1)) / p, sum(sum(one, y1 * z1), minus(m * y2)) / p};
    } else if (output == lodewire::pair_output::first) {
      out.z = sum(z1, sum(y2, c) * delta) / p;
      out.e = {sum(sum(one, y2 * z2), c * sum(z2, m)) / p, minus(sum(m * y2, c * sum(z1, m))) / p};
    } else {
      const leading_term d = sum(sum(z1, sum(z2, minus(two_m))), sum(sum(y1, y2), c) * delta);
      out.z = delta / d;
      out.e = {sum(z2, minus(m)) / d, sum(z1, minus(m)) / d};
    }
    out.e[0].gain *= v_[at + 2];
    out.e[1].gain *= v_[at + 3];
    stack_.push_back(out);
  }
  void terminals(std::uint8_t) {}

private:
  struct entry {
    leading_term z;
    std::vector<leading_term> e;
    bool current = false; ///< an ideal current that nothing lies across yet: its amperes stand in z
  };
  static constexpr leading_term one{1, 0};

  [[nodiscard]] entry pop() {
    entry e = stack_.back();
    stack_.pop_back();
    return e;
  }
  /// The one that counts, or both.
  [[nodiscard]] leading_term sum(leading_term a, leading_term b) const {
    if (a.gain == 0) return b;
    if (b.gain == 0) return a;
    if (a.power == b.power) return {a.gain + b.gain, a.power};
    return (a.power < b.power) == (at_ == limit_at::dc) ? a : b;
  }
  [[nodiscard]] static leading_term minus(leading_term a) { return {-a.gain, a.power}; }
  [[nodiscard]] leading_term polynomial(std::array<double, 3> a) const {
    leading_term p;
    for (int k = 0; k < 3; ++k) p = sum(p, {a[static_cast<std::size_t>(k)], k});
    return p;
  }
  void add_series(leading_term z) { stack_.back().z = sum(stack_.back().z, z); }
  void add_shunt(leading_term z) {
    entry& t = stack_.back();
    if (t.current) {
      t = {z, {t.z * z}};
      return;
    }
    if (z.gain == 0 || t.z.gain == 0) { // across an ideal EMF, or a short across
      if (z.gain == 0) t.z = z;
      return;
    }
    const leading_term y = sum(one / t.z, one / z);
    for (leading_term& e : t.e) e = e / t.z / y;
    t.z = one / y;
  }
  /// The far coil shorted: its winding is the only load that the flux of the near one sees besides its own
  /// shunt.
  void shorted_pair(std::size_t at, leading_term z2, leading_term m, leading_term delta, leading_term shunt1,
                    leading_term c) {
    const leading_term y = sum(one / shunt1, c), coupled = delta / z2, below = sum(one, y * coupled);
    entry out{coupled / below, {one / below, minus(m) / z2 / below}};
    out.e[0].gain *= v_[at + 2];
    out.e[1].gain *= v_[at + 3];
    stack_.push_back(out);
  }

  const double* v_;
  limit_at at_;
  std::vector<entry> stack_;
};

} // namespace laws
