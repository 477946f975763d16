// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>

#include <lodewire/circuit/coil_pair_rule.hpp>
#include <lodewire/circuit/leading.hpp>
#include <lodewire/circuit/polynomial.hpp>
#include <lodewire/circuit/scale.hpp>

namespace lodewire {

/// The number system of polynomials in s (in units of `scale::per_second`): evaluating a program in it composes the
/// exact transfer function. C: double or a dual number. A circuit with a power law K·s^α has no polynomial, so
/// there is no `power` here, and a composer refuses the program by name. Cost: a product of degrees a and b takes
/// (a+1)(b+1) multiplications; five reactive parts compose in well under a microsecond.
template <class C>
class polynomial_system {
public:
  using coefficient = C;
  using number = polynomial<C>;

  template <class Value>
  [[nodiscard]] static constexpr C as_coefficient(const Value& v, double times) noexcept {
    return static_cast<C>(v) * C(times);
  }
  static constexpr void set(number& x, const C& c) noexcept {
    x.c[0] = c;
    x.size = c == C(0) ? 0 : 1;
  }
  [[gnu::noinline]] static constexpr void scale(number& x, const C& c) noexcept {
    for (std::size_t k = 0; k < x.stored(); ++k) x.c[k] = x.c[k] * c;
  }
  [[gnu::noinline]] static constexpr void scale_s(number& x, const C& c) noexcept {
    if (x.size == 0 || grows_too_large(x, x.size + 1)) return;
    for (std::size_t k = x.size; k > 0; --k) x.c[k] = x.c[k - 1] * c;
    x.c[0] = C(0);
    ++x.size;
  }
  static constexpr void add(number& y, const number& x) noexcept { accumulate<0>(y, C(1), x); }
  static constexpr void add(number& y, const C& c, const number& x) noexcept { accumulate<0>(y, c, x); }
  static constexpr void add_s(number& y, const C& c, const number& x) noexcept { accumulate<1>(y, c, x); }
  /// y += (c0 + c1·s)·x
  [[gnu::noinline]] static constexpr void add_linear(number& y, const C& c0, const C& c1,
                                                     const number& x) noexcept {
    if (x.size == 0 || !grow(y, x.size + 1)) return;
    C below(0);
    for (std::size_t k = 0; k < x.size; ++k) {
      y.c[k] = y.c[k] + c0 * x.c[k] + c1 * below;
      below = x.c[k];
    }
    y.c[x.size] = y.c[x.size] + c1 * below;
  }
  /// [R + sL : 1] with G + sC across it (eq. 6, 7)
  static constexpr void start(homogeneous_pair<number>& to, const C& r, const C& l, const C& g,
                              const C& c) noexcept {
    const C n[2] = {r, l}, d[3] = {C(1) + g * r, g * l + c * r, l * c};
    const auto put = [](number& x, std::span<const C> from) {
      x.size = from.size();
      for (std::size_t k = 0; k < x.size; ++k) x.c[k] = from[k];
      x.trim();
    };
    put(to.n, n);
    put(to.d, d);
  }
  /// y = (1 + c·s)·y
  [[gnu::noinline]] static constexpr void scale_linear(number& y, const C& c) noexcept {
    if (y.size == 0 || !grow(y, y.size + 1)) return;
    C below(0); // carried along: loops this short only lose by being vectorised
    for (std::size_t k = 0; k < y.size; ++k) {
      const C here = y.c[k];
      y.c[k] = here + c * below;
      below = here;
    }
  }
  /// y = (1 + c·s)·y + (c0 + c1·s)·x, then x = (1 + c·s)·x
  static constexpr void scale_and_add(number& x, number& y, const C& c, const C& c0, const C& c1) noexcept {
    scale_linear(y, c);
    if (c1 == C(0)) {
      add(y, c0, x);
    } else {
      add_s(y, c1, x);
    }
    scale_linear(x, c);
  }
  [[gnu::noinline]] static constexpr void multiply(number& y, const number& x) noexcept {
    if (x.size == 1) return scale(y, x.c[0]);
    y = product(y, x);
  }
  static constexpr void multiply_sum(number& y, const number& b, const number& x, const number& d) noexcept {
    multiply(y, b);
    add_product(y, x, d);
  }
  [[gnu::noinline]] [[nodiscard]] static constexpr number product(const number& x, const number& y) noexcept {
    number z;
    add_product(z, x, y);
    return z;
  }
  [[nodiscard]] static constexpr bool is_zero(const number& x) noexcept {
    for (std::size_t k = 0; k < x.stored(); ++k)
      if (!(x.c[k] == C(0))) return false;
    return !x.overflowed();
  }

  /// Takes a factor s that N, D and every E share out exactly (capacitors in series, coils in parallel), and a
  /// power of two when the coefficients have drifted from one.
  [[gnu::noinline]] static constexpr void common_factor(number& n, number& d, number* emf,
                                                        std::size_t count) noexcept {
    detail::cancel_common_s(n, d, emf, count, [](const C& c) { return c == C(0); });
    const double largest = detail::largest_coefficient(n, d);
    if (largest < 0x1p40 && largest > 0x1p-40) return;
    const double factor = scale::to_one(largest);
    scale(n, C(factor));
    scale(d, C(factor));
    for (std::size_t k = 0; k < count; ++k) scale(emf[k], C(factor));
  }

  /// y += x·z
  [[gnu::noinline]] static constexpr void add_product(number& y, const number& x, const number& z) noexcept {
    if (x.size == 0 || z.size == 0) return;
    if (!grow(y, x.size + z.size - 1)) return;
    for (std::size_t i = 0; i < x.size; ++i)
      for (std::size_t k = 0; k < z.size; ++k) y.c[i + k] = y.c[i + k] + x.c[i] * z.c[k];
  }

private:
  /// True where y, grown to `size` coefficients, does not fit or did not before; then it holds its size alone.
  static constexpr bool grows_too_large(number& y, std::size_t size) noexcept {
    if (size < y.size) size = y.size;
    if (size <= polynomial_capacity) return false;
    y.size = size;
    return true;
  }
  /// Gives y that many coefficients at least; false where they do not fit.
  [[nodiscard]] static constexpr bool grow(number& y, std::size_t size) noexcept {
    if (grows_too_large(y, size)) return false;
    for (; y.size < size; ++y.size) y.c[y.size] = C(0);
    return true;
  }
  template <std::size_t Shift>
  [[gnu::noinline]] static constexpr void accumulate(number& y, const C& c, const number& x) noexcept {
    if (x.size == 0 || !grow(y, x.size + Shift)) return;
    for (std::size_t k = 0; k < x.size; ++k) y.c[k + Shift] = y.c[k + Shift] + x.c[k] * c;
  }
};

} // namespace lodewire
