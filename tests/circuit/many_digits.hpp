// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <complex>
#include <span>
#include <vector>

#include <boost/multiprecision/cpp_bin_float.hpp>

#include <lodewire/circuit/complex_system.hpp>
#include <lodewire/circuit/machine.hpp>

/// A program run in 50 decimal digits: the truth that the number systems of machine precision are compared with.
/// Slow to compile, so no more than one unit of a program should include it.
namespace ways {

using digits = boost::multiprecision::number<boost::multiprecision::backends::cpp_bin_float<50>,
                                             boost::multiprecision::et_off>;
using wide = lodewire::split_complex<digits>;

inline wide jw(double hz) { return {digits(0), 2 * boost::math::constants::pi<digits>() * digits(hz)}; }
inline std::complex<double> narrow(const wide& z) {
  return {static_cast<double>(z.re), static_cast<double>(z.im)};
}

/// The response to each EMF, the sum of all, and the output impedance; no finite number where there is none (an
/// open). A response that does not reach the output is 0.
struct truth {
  lodewire::circuit_status status;
  std::vector<wide> response;
  wide sum;
  wide impedance;

  truth(const lodewire::circuit& c, std::span<const digits> values, const wide& s) {
    using system = lodewire::complex_system<digits>;
    lodewire::workspace<system> room(c.code);
    lodewire::machine<system, digits> m(system(s), values.data(), room);
    lodewire::run(c.code, m);
    status = m.status();
    for (std::size_t k = 0; k < m.emfs(); ++k) {
      const wide& e = room.emf[k];
      response.push_back(system::is_zero(e) ? e : e / m.response_denominator(k));
      sum = sum + response.back();
    }
    impedance = digits(lodewire::scale::ohm) * m.n() / m.d();
  }
  static std::vector<digits> widened(const lodewire::circuit& c) {
    return {c.values.begin(), c.values.end()};
  }
};

} // namespace ways
