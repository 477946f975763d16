// SPDX-License-Identifier: BSL-1.0
#include <numbers>

#include "peers.hpp"

namespace bench {

template <class Complex>
Complex inductor(double w, double l) {
  return Complex(0, w) * l;
}
template <class Complex>
Complex capacitor(double w, double c) {
  return 1.0 / (Complex(0, w) * c);
}

} // namespace bench

#include "impedances.hpp"

namespace bench {

// BENCH_PLAIN: the name of this function, which is built twice.
void BENCH_PLAIN(which circuit, const circuit_values& v, const double* hz, std::size_t count,
                 std::complex<double>* out) {
  with_shape(circuit, [&]<class Shape>(Shape) {
    for (std::size_t i = 0; i < count; ++i)
      out[i] = at_output<Shape, std::complex<double>>(v, 2 * std::numbers::pi * hz[i]);
  });
}

} // namespace bench
