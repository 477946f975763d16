// SPDX-License-Identifier: BSL-1.0
#include <numbers>

#include "peers.hpp"

namespace bench {

namespace {

struct complex {
  double re, im;
};
complex operator+(complex a, complex b) { return {a.re + b.re, a.im + b.im}; }
complex operator+(double a, complex b) { return {a + b.re, b.im}; }
complex operator*(complex a, complex b) { return {a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re}; }
complex operator*(double a, complex b) { return {a * b.re, a * b.im}; }
complex over(complex a) {
  const double square = 1 / (a.re * a.re + a.im * a.im);
  return {a.re * square, -a.im * square};
}
/// a/b with one division.
complex ratio(complex a, complex b) {
  const double square = 1 / (b.re * b.re + b.im * b.im);
  return {(a.re * b.re + a.im * b.im) * square, (a.im * b.re - a.re * b.im) * square};
}
complex operator/(complex a, complex b) { return ratio(a, b); }
complex operator/(double a, complex b) { return a * over(b); }
template <class Complex>
Complex inductor(double w, double l) {
  return {0, w * l};
}
template <class Complex>
Complex capacitor(double w, double c) {
  return {0, -1 / (w * c)};
}

} // namespace

} // namespace bench

#include "impedances.hpp"

namespace bench {

namespace {

// -- tuned: admittances where they are simpler, one division where two can share it ------------------------------

/// G + jωC
complex admittance(double g, double wc) { return {g, wc}; }
/// Admittance of R and C in series: jωC/(1 + jωRC)
complex series_rc(double r, double c, double w) {
  const double x = w * r * c, g = w * c / (1 + x * x);
  return {x * g, g};
}
/// Impedance of R and L in parallel.
complex parallel_rl(double r, double l, double w) {
  const double x = w * l / r, z = w * l / (1 + x * x);
  return {x * z, z};
}

struct norton {
  complex e, z;
};

template <class Shape>
[[gnu::always_inline]] inline norton tuned_coil(const coil_values& c, double w) {
  complex winding{c.r, w * c.l};
  if constexpr (Shape::eddy) winding = winding + parallel_rl(c.eddy_r, c.eddy_l, w);
  const double b = w * c.c;
  const complex e = over({1 - b * winding.im, b * winding.re});
  return {e, e * winding};
}

/// Short-circuit current and admittance at the wiper.
template <class Shape>
[[gnu::always_inline]] inline norton tuned_wiper(const pickup_values& p, double w) {
  norton all = tuned_coil<Shape>(p.coils[0], w);
  if constexpr (Shape::coils == 2) {
    const norton second = tuned_coil<Shape>(p.coils[1], w);
    all = {all.e + second.e, all.z + second.z};
  }
  complex across = series_rc(p.tone_r, p.tone_c, w);
  if constexpr (Shape::lead) across.im += w * p.lead_c;
  const complex upper = over(admittance(1 / p.upper, w * p.bypass));
  // i = e/(1 + z·y) / (z/(1 + z·y) + upper)
  const complex loaded = 1 + all.z * across;
  const complex y = over(all.z + upper * loaded);
  return {all.e * y, 1 / p.lower + loaded * y};
}

template <class Shape>
[[gnu::always_inline]] inline complex tuned_output(const circuit_values& v, double w) {
  complex current{0, 0}, y{0, w * v.cable_c};
  const auto add = [&](std::size_t k) {
    const norton t = tuned_wiper<Shape>(v.pickups[k], w);
    current = current + t.e;
    y = y + t.z;
  };
  add(0);
  if constexpr (Shape::pickups > 1) add(1);
  if constexpr (Shape::pickups > 2) add(2), add(3);
  const complex input = admittance(1 / v.input_r, w * v.input_c);
  if constexpr (Shape::master) {
    y = y + series_rc(v.master_r, v.master_c, w);
    const double b = w * v.coupling_c; // jb in series with the input: y·jb/(y + jb)
    const complex part = over({input.re, input.im + b});
    const complex divided{-b * part.im, b * part.re};
    return ratio(current * divided, y + input * divided);
  } else {
    return ratio(current, y + input);
  }
}

template <>
[[gnu::always_inline]] inline complex tuned_output<five_parts>(const circuit_values& v, double w) {
  const pickup_values& p = v.pickups[0];
  const coil_values& coil = p.coils[0];
  const complex load = over(admittance(1 / p.lower + 1 / v.input_r, w * v.cable_c));
  const complex control = over(admittance(1 / p.upper, w * p.bypass)) + load;
  const complex below = over(control);
  complex all = below + series_rc(p.tone_r, p.tone_c, w);
  all.im += w * coil.c;
  return ratio(load * below, 1 + complex{coil.r, w * coil.l} * all);
}

/// The same local copy of the values for both: no store to the results can change them.
template <class Shape, class At>
void loop(const circuit_values& v, const double* __restrict hz, std::size_t count, double* __restrict re,
          double* __restrict im, const At& at) {
  const circuit_values local = v;
  for (std::size_t i = 0; i < count; ++i) {
    const complex h = at(local, 2 * std::numbers::pi * hz[i]);
    re[i] = h.re;
    im[i] = h.im;
  }
}

} // namespace

void split(which circuit, const circuit_values& v, const double* hz, std::size_t count, double* re,
           double* im) {
  with_shape(circuit, [&]<class Shape>(Shape) {
    loop<Shape>(v, hz, count, re, im,
                [](const circuit_values& c, double w) { return at_output<Shape, complex>(c, w); });
  });
}

void split_tuned(which circuit, const circuit_values& v, const double* hz, std::size_t count, double* re,
                 double* im) {
  with_shape(circuit, [&]<class Shape>(Shape) {
    loop<Shape>(v, hz, count, re, im,
                [](const circuit_values& c, double w) { return tuned_output<Shape>(c, w); });
  });
}

void ladder(const circuit_values& v, const double* hz, std::size_t count, double* re, double* im) {
  const pickup_values p = v.pickups[0];
  const coil_values coil = p.coils[0];
  const double g = 1 / p.lower + 1 / v.input_r, c = v.cable_c, upper = p.upper, bypass = p.upper * p.bypass;
  const double tone_rc = p.tone_r * p.tone_c;
  double* __restrict out_re = re, * __restrict out_im = im;
  const double* __restrict in = hz;
  for (std::size_t i = 0; i < count; ++i) {
    const double w = 2 * std::numbers::pi * in[i];
    // 1 V at the output; both factors (1 + jωRC) of the tone and of the bypass are multiplied through.
    const complex y{g, w * c}, b{1, w * bypass}, t{1, w * tone_rc};
    const complex v1 = b + upper * y;         // times b
    const complex i1 = b * y;                 // times b
    const complex v1t = v1 * t, i1t = i1 * t; // times b·t
    const complex ty{-w * w * coil.c * tone_rc, w * (p.tone_c + coil.c)};
    const complex i2 = i1t + v1 * ty;
    const complex e = v1t + complex{coil.r, w * coil.l} * i2;
    const complex h = ratio(b * t, e);
    out_re[i] = h.re;
    out_im[i] = h.im;
  }
}

void bare_ratio(const double* num, const double* den, double unit, const double* hz, std::size_t count,
                double* re, double* im) {
  double n[3], d[5];
  for (std::size_t k = 0; k < 3; ++k) n[k] = num[k];
  for (std::size_t k = 0; k < 5; ++k) d[k] = den[k];
  double* __restrict out_re = re, * __restrict out_im = im;
  const double* __restrict in = hz;
  for (std::size_t i = 0; i < count; ++i) {
    const double w = in[i] * (2 * std::numbers::pi / unit), x = -w * w;
    const double nr = n[2] * x + n[0], ni = w * n[1];
    const double dr = (d[4] * x + d[2]) * x + d[0], di = w * (d[3] * x + d[1]);
    const double inverse = 1 / (dr * dr + di * di);
    out_re[i] = (nr * dr + ni * di) * inverse;
    out_im[i] = (ni * dr - nr * di) * inverse;
  }
}

void bare_ratio_padded(const double* num, const double* den, double unit, const double* hz, std::size_t count,
                       double* re, double* im) {
  double n[5], d[5];
  for (std::size_t k = 0; k < 5; ++k) n[k] = num[k], d[k] = den[k];
  double* __restrict out_re = re, * __restrict out_im = im;
  const double* __restrict in = hz;
  for (std::size_t i = 0; i < count; ++i) {
    const double w = in[i] * (2 * std::numbers::pi / unit), x = -w * w;
    const double nr = (n[4] * x + n[2]) * x + n[0], ni = w * (n[3] * x + n[1]);
    const double dr = (d[4] * x + d[2]) * x + d[0], di = w * (d[3] * x + d[1]);
    const double inverse = 1 / (dr * dr + di * di);
    out_re[i] = (nr * dr + ni * di) * inverse;
    out_im[i] = (ni * dr - nr * di) * inverse;
  }
}

} // namespace bench
