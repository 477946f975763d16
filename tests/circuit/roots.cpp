// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <lodewire/circuit/pole_zero.hpp>
#include <lodewire/quantity/literals.hpp>

#include "ways.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using ways::complex;
using ways::dice;

namespace {

using wide = std::complex<long double>;

wide widened(const split_complex<double>& z) {
  return {static_cast<long double>(z.re), static_cast<long double>(z.im)};
}

/// Π(x - r) in long double, lowest power first; complex roots must come in pairs. Rounded to double at the end.
std::vector<double> from_roots(const std::vector<complex>& roots, double leading = 1) {
  std::vector<wide> c{1.0L};
  for (const complex r : roots) {
    c.push_back(0);
    const wide w(static_cast<long double>(r.real()), static_cast<long double>(r.imag()));
    for (std::size_t k = c.size(); k-- > 1;) c[k] = c[k - 1] - w * c[k];
    c[0] = -w * c[0];
  }
  std::vector<double> out;
  for (const wide& x : c) out.push_back(leading * static_cast<double>(x.real()));
  return out;
}

/// The largest relative distance of the coefficients of Π(x - found) from those given, each beside what its terms sum
/// to in magnitude.
double off_coefficients(std::span<const double> c, const std::vector<polynomial_root>& found) {
  std::vector<wide> p{static_cast<long double>(c[c.size() - 1])};
  std::vector<long double> size{std::abs(p[0].real())};
  for (const polynomial_root& r : found) {
    const wide w = widened(r.value);
    p.push_back(0);
    size.push_back(0);
    for (std::size_t k = p.size(); k-- > 1;) {
      p[k] = p[k - 1] - w * p[k];
      size[k] = size[k - 1] + std::abs(w) * size[k];
    }
    p[0] = -w * p[0];
    size[0] *= std::abs(w);
  }
  double worst = 0;
  for (std::size_t k = 0; k < c.size(); ++k)
    if (size[k] > 0)
      worst = std::max(worst, static_cast<double>(std::abs(p[k] - static_cast<long double>(c[k])) / size[k]));
  return worst;
}

/// |p(z)| over the sum of its terms' magnitudes: how far the coefficients would have to move to make z a root.
double backward_error(std::span<const double> c, wide z) {
  wide p = 0;
  long double size = 0;
  for (std::size_t k = c.size(); k-- > 0;) {
    p = p * z + static_cast<long double>(c[k]);
    size = size * std::abs(z) + std::abs(static_cast<long double>(c[k]));
  }
  return static_cast<double>(std::abs(p) / size);
}

/// A root of the same double coefficients by Newton's method in long double, from where a found root lies.
wide polished(std::span<const double> c, wide z) {
  for (int i = 0; i < 50; ++i) {
    wide p = 0, slope = 0;
    for (std::size_t k = c.size(); k-- > 0;) {
      slope = slope * z + p;
      p = p * z + static_cast<long double>(c[k]);
    }
    if (slope == wide(0)) break;
    const wide move = p / slope;
    z -= move;
    if (std::abs(move) <= 1e-19L * std::abs(z)) break;
  }
  return z;
}

/// Sorted, as many as the degree, finite, and every complex one with its exact mirror image.
void require_in_order(const std::vector<polynomial_root>& found, std::size_t degree) {
  REQUIRE(found.size() == degree);
  std::vector<bool> used(found.size());
  for (std::size_t i = 0; i < found.size(); ++i) {
    REQUIRE(is_finite(found[i].value.re));
    REQUIRE(is_finite(found[i].value.im));
    REQUIRE(is_finite(found[i].uncertainty));
    REQUIRE(found[i].uncertainty >= 0);
    if (i > 0) REQUIRE(squared_magnitude(found[i].value) >= squared_magnitude(found[i - 1].value));
    if (used[i] || found[i].value.im == 0) continue;
    bool mate = false;
    for (std::size_t k = i + 1; k < found.size() && !mate; ++k)
      if (!used[k] && found[k].value.re == found[i].value.re && found[k].value.im == -found[i].value.im)
        used[k] = mate = true;
    REQUIRE(mate);
  }
}

/// The largest distance of a true root from the nearest found one that is not taken yet, relative, and whether every
/// distance lies within the bound (and the rounding of the coefficients, `given`, relative to the root).
struct match {
  double worst = 0;
  bool bounded = true;
  match(const std::vector<complex>& truth, std::vector<polynomial_root> found, double given = 0) {
    for (const complex t : truth) {
      auto best = found.end();
      double nearest = 0;
      for (auto f = found.begin(); f != found.end(); ++f) {
        const double away = std::abs(t - to_standard(f->value));
        if (best != found.end() && away >= nearest) continue;
        best = f;
        nearest = away;
      }
      const double size = std::abs(t) > 0 ? std::abs(t) : 1;
      worst = std::max(worst, nearest / size);
      bounded = bounded && nearest <= best->uncertainty + given * size;
      found.erase(best);
    }
  }
};

std::vector<complex> random_roots(dice& d, std::size_t degree, double low, double high) {
  std::vector<complex> r;
  while (r.size() < degree) {
    const double w = d.spread(low, high), sign = d() < 0.2 ? 1 : -1;
    if (r.size() + 1 == degree || d() < 0.4) {
      r.push_back(sign * w);
    } else {
      const double angle = d.between(0.02, 1.55);
      r.push_back(std::polar(w, angle) * sign);
      r.push_back(std::conj(r.back()));
    }
  }
  return r;
}

} // namespace

TEST_CASE("nothing, constants, zeros in front and behind") {
  CHECK(roots({}).empty());
  CHECK(roots(std::vector<double>{0}).empty());
  CHECK(roots(std::vector<double>{3}).empty());
  CHECK(roots(std::vector<double>{3, 0, 0}).empty());
  CHECK(roots(std::vector<double>{0, 0, 0}).empty());
  const auto at_zero = roots(std::vector<double>{0, 0, 0, 5});
  require_in_order(at_zero, 3);
  for (const auto& r : at_zero) CHECK(r.value == split_complex<double>(0));
  const auto mixed = roots(std::vector<double>{0, 0, -6, 5, -1, 0, 0}); // x²(x - 2)(3 - x)
  require_in_order(mixed, 4);
  CHECK(mixed[0].value == split_complex<double>(0));
  CHECK(mixed[1].value == split_complex<double>(0));
  CHECK(mixed[2].value.re == doctest::Approx(2).epsilon(1e-14));
  CHECK(mixed[3].value.re == doctest::Approx(3).epsilon(1e-14));
}

TEST_CASE("linear and quadratic") {
  for (const double x : {1e-100, 3.5, -7e11, 1e100}) {
    const auto one = roots(std::vector<double>{-x, 1});
    REQUIRE(one.size() == 1);
    CHECK(one[0].value.re == doctest::Approx(x).epsilon(1e-15));
    CHECK(one[0].value.im == 0);
    CHECK(one[0].uncertainty <= 1e-14 * std::abs(x)); // also where the polynomial comes to exactly zero
  }
  const auto pair = roots(std::vector<double>{25, -6, 1});
  require_in_order(pair, 2);
  CHECK(pair[0].value.re == doctest::Approx(3).epsilon(1e-15));
  CHECK(std::abs(pair[0].value.im) == doctest::Approx(4).epsilon(1e-15));
  // Far apart: the textbook formula would lose the small one.
  const auto apart = roots(std::vector<double>{1, 1e9, 1});
  require_in_order(apart, 2);
  CHECK(apart[0].value.re == doctest::Approx(-1e-9).epsilon(1e-15));
  CHECK(apart[1].value.re == doctest::Approx(-1e9).epsilon(1e-15));
  const auto imaginary = roots(std::vector<double>{4, 0, 1});
  require_in_order(imaginary, 2);
  CHECK(std::abs(imaginary[0].value.re) <= 1e-15);
  CHECK(std::abs(imaginary[0].value.im) == doctest::Approx(2).epsilon(1e-15));
}

TEST_CASE("known simple roots, degrees 1 to 24") {
  dice d(1);
  double worst_12 = 0, worst = 0, backward = 0;
  for (std::size_t degree = 1; degree <= 24; ++degree)
    for (int i = 0; i < 40; ++i) {
      const std::vector<complex> truth = random_roots(d, degree, 0.05, 20);
      const std::vector<double> c = from_roots(truth, d.spread(1e-6, 1e6));
      const auto found = roots(c);
      require_in_order(found, degree);
      // Against the roots of the coefficients as rounded: what is left is the iteration's own.
      for (const polynomial_root& r : found) {
        const wide z = polished(c, widened(r.value));
        const double away = static_cast<double>(std::abs(z - widened(r.value)));
        CHECK(away <= r.uncertainty);
        backward = std::max(backward, backward_error(c, widened(r.value)) / static_cast<double>(degree + 1));
      }
      const match m(truth, found);
      (degree <= 12 ? worst_12 : worst) = std::max(degree <= 12 ? worst_12 : worst, m.worst);
    }
  MESSAGE("roots: " << worst_12 << " to degree 12, " << worst << " to 24; backward error " << backward
                    << "·(n + 1)");
  CHECK(worst_12 <= 1e-8);
  CHECK(backward <= 1e-15);
}

TEST_CASE("magnitudes from 1e-12 to 1e12") {
  std::vector<complex> truth;
  for (int k = -12; k <= 12; k += 2) truth.push_back(-std::pow(10.0, k));
  const auto real = roots(from_roots(truth));
  require_in_order(real, truth.size());
  match m(truth, real, 1e-15);
  MESSAGE("real roots over 24 decades: " << m.worst);
  CHECK(m.worst <= 1e-14);
  CHECK(m.bounded);
  truth.clear();
  for (int k = -12; k <= 12; k += 3) {
    truth.push_back(std::polar(std::pow(10.0, k), 1.7));
    truth.push_back(std::conj(truth.back()));
  }
  const auto pairs = roots(from_roots(truth));
  require_in_order(pairs, truth.size());
  m = match(truth, pairs, 1e-14);
  MESSAGE("pairs over 24 decades: " << m.worst);
  CHECK(m.worst <= 1e-13);
  CHECK(m.bounded);
}

TEST_CASE("Wilkinson's polynomial to degree 12") {
  double worst[13] = {};
  for (std::size_t degree = 1; degree <= 12; ++degree) {
    std::vector<complex> truth;
    for (std::size_t k = 1; k <= degree; ++k) truth.push_back(static_cast<double>(k));
    const std::vector<double> c = from_roots(truth); // its coefficients are integers below 2^53: exact
    const auto found = roots(c);
    require_in_order(found, degree);
    const match m(truth, found);
    CHECK(m.bounded);
    worst[degree] = m.worst;
    double largest = 0;
    for (const polynomial_root& r : found) {
      CHECK(r.value.im == 0);
      largest = std::max(largest, r.uncertainty / std::abs(r.value.re));
    }
    CHECK(largest <= 1e-3); // a bound that says something
  }
  MESSAGE("degree 8: " << worst[8] << ", 10: " << worst[10] << ", 12: " << worst[12]);
  CHECK(worst[8] <= 1e-11);
  CHECK(worst[12] <= 1e-8);
}

TEST_CASE("multiple roots come as clusters whose bounds say so") {
  for (std::size_t times = 2; times <= 5; ++times) {
    CAPTURE(times);
    const std::vector<complex> truth(times, -3.0);
    const auto found = roots(from_roots(truth));
    require_in_order(found, times);
    const match m(truth, found);
    CHECK(m.bounded);
    // An m-fold root is known to the m-th root of the rounding, no better, and should be no worse than some of it.
    CHECK(m.worst <= 30 * std::pow(2e-16, 1.0 / static_cast<double>(times)));
    for (const polynomial_root& r : found) CHECK(r.uncertainty >= 1e-10);
  }
  // Two double pairs and a simple root.
  const std::vector<complex> truth{{-1, 2}, {-1, -2}, {-1, 2}, {-1, -2}, -5.0};
  const auto found = roots(from_roots(truth));
  require_in_order(found, 5);
  const match m(truth, found);
  CHECK(m.bounded);
  CHECK(m.worst <= 1e-6);
  CHECK(found[4].value.re == doctest::Approx(-5).epsilon(1e-14));
  CHECK(found[4].uncertainty <= 1e-12);
}

TEST_CASE("random coefficients, to degree 63") {
  dice d(2);
  double worst = 0;
  for (const std::size_t degree : {3U, 5U, 8U, 13U, 21U, 34U, 55U, 63U})
    for (int i = 0; i < 20; ++i) {
      std::vector<double> c(degree + 1);
      for (double& x : c) x = d.between(-1, 1);
      const auto found = roots(c);
      require_in_order(found, degree);
      worst = std::max(worst, off_coefficients(c, found));
      for (const polynomial_root& r : found) {
        const wide z = polished(c, widened(r.value));
        CHECK(static_cast<double>(std::abs(z - widened(r.value))) <= r.uncertainty);
        CHECK(r.uncertainty <= 1e-3 * detail::magnitude(r.value));
      }
    }
  MESSAGE("coefficients from roots: " << worst);
  CHECK(worst <= 1e-11);
  // All roots on a circle, x^n - 1 and x^n + 1.
  for (const std::size_t degree : {2U, 3U, 12U, 40U})
    for (const double sign : {-1.0, 1.0}) {
      std::vector<double> c(degree + 1);
      c[0] = sign;
      c[degree] = 1;
      const auto found = roots(c);
      require_in_order(found, degree);
      for (const polynomial_root& r : found) CHECK(std::abs(detail::magnitude(r.value) - 1) <= 1e-14);
    }
}

namespace {

source coil(const char* name, double r = 6e3, double l = 2.5) {
  return ideal_emf(1_V, name) | in_series(series(resistance::from_value(r), inductance::from_value(l))) |
         in_shunt(120_pF);
}
const stage load = in_shunt(parallel(200_kOhm, 500_pF));

/// Evaluates what was factorised.
complex value(const pole_zero_form& f, complex s) {
  complex h = f.gain;
  for (const complex z : f.zeros) h *= s - z;
  for (const complex p : f.poles) h /= s - p;
  return h;
}

} // namespace

TEST_CASE("a response factorised: natural frequency, Q, gain") {
  // 6 kΩ, 2.5 H, 620 pF in all, 200 kΩ: f0 4102.7296 Hz and Q 2.4633925, computed from the formula (Zollner, Physik der
  // Elektrogitarre, p. 5-62, for Q).
  const transfer_function h = transfer(coil("a") | load);
  const pole_zero_form f = factorise(h);
  CHECK(f.zeros.empty());
  CHECK(f.cancelled == 0);
  REQUIRE(f.poles.size() == 2);
  CHECK(f.poles[0] == std::conj(f.poles[1]));
  CHECK(std::abs(std::abs(f.poles[0]) / (2 * std::numbers::pi) - 4102.7296) <= 5.1e-5);
  CHECK(std::abs(std::abs(f.poles[0]) / (2 * std::abs(f.poles[0].real())) - 2.4633925) <= 5.1e-8);
  CHECK(f.gain == doctest::Approx(1 / (2.5 * 620e-12)).epsilon(1e-14));
  for (const double hz : {20.0, 4e3, 2e4}) {
    const complex s(0, 2 * std::numbers::pi * hz);
    CHECK(std::abs(value(f, s) - h(ways::hertz(hz))) <= 1e-13 * std::abs(h(ways::hertz(hz))));
  }
  CHECK(factorise(transfer_function{}).poles.empty());
  CHECK(factorise(transfer(coil("a") | in_shunt(0_Ohm))).poles.empty());
}

TEST_CASE("equal coils in parallel cancel, two of them and three") {
  const source two = parallel(coil("a"), coil("b")) | load;
  const source three = parallel(coil("a"), coil("b"), coil("c")) | load;
  // n equal coils in parallel are one of R/n, L/n, nC.
  const auto merged = [](double n) {
    return ideal_emf(1_V) |
           in_series(series(resistance::from_value(6e3 / n), inductance::from_value(2.5 / n))) |
           in_shunt(capacitance::from_value(n * 120e-12)) | load;
  };
  int n = 2;
  for (const source& s : {two, three}) {
    CAPTURE(n);
    const pole_zero_form all = factorise(transfer(s)), one = factorise(transfer(merged(n)));
    CHECK(all.poles.size() == 2);
    CHECK(all.zeros.empty());
    CHECK(all.cancelled >= 1);
    CHECK(all.cancelled + 2 == transfer(s).denominator().size() - 1);
    REQUIRE(one.poles.size() == 2);
    const auto upper = [](const pole_zero_form& f) {
      return *std::find_if(f.poles.begin(), f.poles.end(), [](complex x) { return x.imag() > 0; });
    };
    CHECK(std::abs(upper(all) - upper(one)) <= 1e-13 * std::abs(upper(one)));

    CHECK(all.gain == doctest::Approx(one.gain).epsilon(1e-12));
    for (const double hz : {30.0, 3e3, 1e4}) {
      const complex s_at(0, 2 * std::numbers::pi * hz);
      CHECK(std::abs(value(all, s_at) - value(one, s_at)) <= 1e-12 * std::abs(value(one, s_at)));
    }
    // One coil's EMF alone: the others load it, and cancel the same.
    const pole_zero_form single = factorise(transfer(s, 0));
    CHECK(single.poles.size() == 2);
    ++n;
  }
}

TEST_CASE("coils that differ by a little are not cancelled away") {
  for (const double off : {1e-2, 1e-3, 1e-4, 1e-5, 1e-6}) {
    CAPTURE(off);
    const source s = parallel(coil("a"), coil("b", 6e3 * (1 + off), 2.5 * (1 - off))) | load;
    const transfer_function h = transfer(s);
    const pole_zero_form f = factorise(h);
    CHECK(f.poles.size() == f.zeros.size() + 2);
    CHECK(f.poles.size() + f.cancelled == h.denominator().size() - 1);
    // Whatever was cancelled, what is left is the response.
    double worst = 0;
    for (double hz = 20; hz < 2e4; hz *= 1.2) {
      const complex at(0, 2 * std::numbers::pi * hz);
      worst = std::max(worst, std::abs(value(f, at) / h(ways::hertz(hz)) - 1.0));
    }
    MESSAGE("mismatch " << off << ": " << f.cancelled << " cancelled, response off by " << worst);
    CHECK(worst <= 1e-12);
    // One EMF alone tells the coils apart: at 1e-4 and more its pole and zero must both be there.
    const pole_zero_form one = factorise(transfer(s, 0));
    if (off >= 1e-4) CHECK(one.cancelled == 0);
    worst = 0;
    for (double hz = 20; hz < 2e4; hz *= 1.2) {
      const complex at(0, 2 * std::numbers::pi * hz);
      worst = std::max(worst, std::abs(value(one, at) / transfer(s, 0)(ways::hertz(hz)) - 1.0));
    }
    CHECK(worst <= 1e-5);
  }
}

TEST_CASE("a response of guitar size factorised") {
  dice d(4);
  double worst = 0;
  for (int i = 0; i < 200; ++i) {
    const double r1 = d.spread(4e3, 1e4), l1 = d.spread(1, 8), r2 = d.spread(4e3, 1e4), l2 = d.spread(1, 8),
                 v = d.spread(1, 1e5);
    const source s = parallel(coil("a", r1, l1) | in_series(parallel(resistance::from_value(v), 1_nF)),
                              coil("b", r2, l2)) |
                     in_shunt(series(250_kOhm, 22_nF)) | load;
    const transfer_function h = transfer(s);
    const pole_zero_form f = factorise(h);
    for (const complex p : f.poles) REQUIRE(p.real() < 0);
    for (double hz = 20; hz < 2e4; hz *= 1.7) {
      const complex at(0, 2 * std::numbers::pi * hz);
      worst = std::max(worst, std::abs(value(f, at) / h(ways::hertz(hz)) - 1.0));
    }
  }
  MESSAGE("response from poles and zeros off by " << worst);
  CHECK(worst <= 1e-12);
}

TEST_CASE("a zero beside an ill-determined pole is no match, however wide the pole's bound") {
  // (s + 1)^5 comes as a cluster known to about 1e-2; a zero that is known to the last digits stands 0.01 to 1 % beside
  // it, and the response tells them apart.
  for (const double off : {1e-2, 1e-3, 1e-4}) {
    CAPTURE(off);
    const transfer_function h(polynomial<double>(std::vector<double>{1 + off, 1}),
                              polynomial<double>(std::vector<double>{1, 5, 10, 10, 5, 1}));
    const auto cluster = roots(h.denominator());
    for (const polynomial_root& p : cluster) {
      CHECK(p.uncertainty > 1e-3); // so the bounds alone would match the closer ones
      CHECK(std::abs(complex(1 + off) + to_standard(p.value)) > 1e-5);
    }
    const pole_zero_form f = factorise(h);
    CHECK(f.cancelled == 0);
    CHECK(f.zeros.size() == 1);
    CHECK(f.poles.size() == 5);
  }
}

TEST_CASE("one of two equal zeros goes with a pole, the other stays where its bound says") {
  for (const double at : {1.0, 0.3, 7.0}) {
    CAPTURE(at);
    const transfer_function h(polynomial<double>(from_roots({-at, -at})),
                              polynomial<double>(from_roots({-at, -20.0, -30.0})));
    const auto zeros = roots(h.numerator());
    const pole_zero_form f = factorise(h);
    CHECK(f.cancelled == 1);
    REQUIRE(f.zeros.size() == 1);
    REQUIRE(f.poles.size() == 2);
    const double bound = std::min(zeros[0].uncertainty, zeros[1].uncertainty);
    CHECK(bound <= 1e-6 * at);
    CHECK(std::abs(f.zeros[0] / scale::per_second + at) <= bound);
  }
}

TEST_CASE("a conjugate pair is the mean of what was found, with the larger of its bounds") {
  std::vector<polynomial_root> at{{{-1, 2}, 1e-9}, {{-3, 1e-9}, 1e-8}, {{-1.5, -2.25}, 1e-6}};
  detail::pair_conjugates(at);
  CHECK(at[0].value == split_complex<double>(-1.25, 2.125));
  CHECK(at[2].value == split_complex<double>(-1.25, -2.125));
  CHECK(at[0].uncertainty == 1e-6);
  CHECK(at[2].uncertainty == 1e-6);
  CHECK(at[1].value == split_complex<double>(-3));
  CHECK(at[1].uncertainty == 1e-8);
}

TEST_CASE("a common factor of any size moves no root") {
  for (const double k : {1e-300, 1e-200, 1e-150, 1.0, 1e150, 1e200, 1e300}) {
    CAPTURE(k);
    const auto found = roots(std::vector<double>{6 * k, -5 * k, k});
    require_in_order(found, 2);
    CHECK(found[0].value.re == doctest::Approx(2).epsilon(1e-14));
    CHECK(found[1].value.re == doctest::Approx(3).epsilon(1e-14));
    CHECK(found[1].uncertainty <= 1e-12);
  }
}
