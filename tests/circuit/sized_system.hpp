// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>
#include <vector>

#include <lodewire/circuit/machine.hpp>

namespace ways {

/// A number system that also adds up the magnitudes of all terms: how much larger they are than what they come to is
/// how much of the rounding a result must show.
class sized_system {
public:
  using complex = std::complex<double>;
  using coefficient = double;
  struct number {
    complex z;
    double size;
  };
  explicit sized_system(complex s) : s_{s / lodewire::scale::per_second} {}
  static double as_coefficient(double v, double times) { return v * times; }
  static void set(number& x, double c) { x = {c, std::abs(c)}; }
  static void scale(number& x, double c) { x = {c * x.z, std::abs(c) * x.size}; }
  void scale_s(number& x, double c) const { x = {c * s_ * x.z, std::abs(c * s_) * x.size}; }
  static void add(number& y, const number& x) { y = {y.z + x.z, y.size + x.size}; }
  static void add(number& y, double c, const number& x) {
    y = {y.z + c * x.z, y.size + std::abs(c) * x.size};
  }
  void add_s(number& y, double c, const number& x) const {
    y = {y.z + c * s_ * x.z, y.size + std::abs(c * s_) * x.size};
  }
  static void multiply(number& y, const number& x) { y = product(y, x); }
  static void multiply_sum(number& y, const number& b, const number& x, const number& d) {
    y = product(y, b);
    add(y, product(x, d));
  }
  static number product(const number& x, const number& y) { return {x.z * y.z, x.size * y.size}; }
  static bool is_zero(const number& x) { return x.size == 0; }
  /// A power of two, so that long circuits do not overflow.
  static void common_factor(number& n, number& d, number* emf, std::size_t count) {
    const double total = n.size + d.size;
    if (!(total > 0x1p40) && !(total < 0x1p-40 && total > 0)) return;
    const double factor = std::exp2(-std::floor(std::log2(total)));
    scale(n, factor);
    scale(d, factor);
    for (std::size_t k = 0; k < count; ++k) scale(emf[k], factor);
  }

private:
  complex s_;
};

/// The sums of the magnitudes of the terms that make a result: with H = E/(F·D) and ‖x‖ the terms of x,
/// ‖E‖/|F·D| + |H|·‖F·D‖/|F·D|. A result that is right to its own rounding is right to a few ε of these.
struct term_sizes {
  std::vector<double> response; ///< one for each EMF, V
  double sum = 0;               ///< of all responses, V
  /// The same where all responses are brought over one denominator ΠF·D first, as an exact transfer function is: the
  /// terms of every other F come in.
  double sum_over_one = 0;
  double impedance = 0; ///< Ω

  term_sizes(const lodewire::circuit& c, double hz) {
    lodewire::workspace<sized_system> room(c.code);
    lodewire::machine<sized_system, double> m(sized_system({0, 2 * std::numbers::pi * hz}), c.values.data(),
                                              room);
    lodewire::run(c.code, m);
    const auto size = [](const sized_system::number& n, const sized_system::number& d) {
      const double below = std::abs(d.z);
      return n.size > 0 ? n.size / below + std::abs(n.z) / below * (d.size / below) : 0;
    };
    for (std::size_t k = 0; k < m.emfs(); ++k) {
      response.push_back(size(room.emf[k], m.response_denominator(k)));
      sum += response.back();
    }
    sized_system::number e, f;
    sized_system::set(e, 0);
    sized_system::set(f, 1);
    for (std::size_t k = 0; k < m.emfs(); ++k) {
      if (sized_system::is_zero(room.emf[k])) continue;
      std::size_t first = 0; // of those with the same F
      while (first < k && (room.shares[first] != room.shares[k] || sized_system::is_zero(room.emf[first])))
        ++first;
      if (first < k) continue;
      sized_system::number over_own = room.emf[k];
      for (std::size_t j = k + 1; j < m.emfs(); ++j)
        if (room.shares[j] == room.shares[k]) sized_system::add(over_own, room.emf[j]);
      sized_system::multiply_sum(e, room.filter[k], over_own, f);
      sized_system::multiply(f, room.filter[k]);
    }
    sum_over_one = size(e, sized_system::product(f, m.d()));
    impedance = lodewire::scale::ohm * size(m.n(), m.d());
  }
};

} // namespace ways
