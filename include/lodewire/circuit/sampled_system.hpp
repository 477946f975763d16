// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstring>

#include <lodewire/circuit/lanes.hpp>
#include <lodewire/circuit/leading.hpp>
#include <lodewire/circuit/polynomial.hpp>

namespace lodewire::detail {

/// The bits of a lane, as an unsigned integer each.
template <int Width>
struct lane_bits;
template <>
struct lane_bits<1> {
  using type = std::uint64_t;
};
#if defined(__GNUC__)
template <>
struct lane_bits<2> {
  typedef std::uint64_t type __attribute__((vector_size(16)));
};
template <>
struct lane_bits<4> {
  typedef std::uint64_t type __attribute__((vector_size(32)));
};
template <>
struct lane_bits<8> {
  typedef std::uint64_t type __attribute__((vector_size(64)));
};
#endif

} // namespace lodewire::detail

/// Many builds of one circuit at once: the program is read once for `build_block` builds that differ in their values.
namespace lodewire {

/// How many builds a block holds.
inline constexpr std::size_t build_block = 16;

/// One value in every build of a block: an array, so that it may cross any boundary. Width, of the kernels that work on
/// it, is in its name.
template <int Width>
struct sampled_value {
  using lane = typename detail::lane_type<Width>::type;
  static constexpr std::size_t width = static_cast<std::size_t>(Width);
  static constexpr std::size_t groups = build_block / width;

  alignas(64) double v[build_block];

  sampled_value() noexcept {} // NOLINT: written when it comes into use
  explicit sampled_value(double x) noexcept {
    for (std::size_t g = 0; g < groups; ++g) store(v, g, lane{} + x);
  }
  /// Lane group g of an array of builds.
  static void load(lane& to, const double* from, std::size_t g) noexcept {
    std::memcpy(&to, from + g * width, sizeof to);
  }
  static void store(double* to, std::size_t g, const lane& from) noexcept {
    std::memcpy(to + g * width, &from, sizeof from);
  }

  [[nodiscard]] friend sampled_value operator/(const sampled_value& a, const sampled_value& b) noexcept {
    sampled_value r;
    for (std::size_t g = 0; g < groups; ++g) {
      lane x, y;
      load(x, a.v, g);
      load(y, b.v, g);
      x /= y;
      store(r.v, g, x);
    }
    return r;
  }
  /// The same in every build.
  [[nodiscard]] friend bool operator==(const sampled_value& a, const sampled_value& b) noexcept {
    for (std::size_t i = 0; i < build_block; ++i)
      if (a.v[i] != b.v[i]) return false;
    return true;
  }
};

/// What the first build has: shorts, opens and absent parts are so in every build of a block (a precondition).
template <int Width>
[[nodiscard]] constexpr double leading(const sampled_value<Width>& x) noexcept {
  return x.v[0];
}

/// The number system of polynomials in s whose coefficients are sampled values; see `polynomial_system`. The same
/// results for each build as that one, within rounding, at any width.
template <int Width>
class sampled_system {
public:
  using coefficient = sampled_value<Width>;
  using number = polynomial<coefficient>;

  [[nodiscard]] static coefficient as_coefficient(const coefficient& v, double times) noexcept {
    coefficient r;
    for (std::size_t g = 0; g < groups; ++g) {
      lane x;
      coefficient::load(x, v.v, g);
      x *= times;
      coefficient::store(r.v, g, x);
    }
    return r;
  }
  static void set(number& x, const coefficient& c) noexcept {
    x.c[0] = c;
    x.size = is_zero_value(c) ? 0 : 1;
  }
  [[gnu::noinline]] static void scale(number& x, const coefficient& c) noexcept {
    for (std::size_t k = 0; k < x.stored(); ++k) times(x.c[k], x.c[k], c);
  }
  [[gnu::noinline]] static void scale_s(number& x, const coefficient& c) noexcept {
    if (x.size == 0 || grows_too_large(x, x.size + 1)) return;
    for (std::size_t k = x.size; k > 0; --k) times(x.c[k], x.c[k - 1], c);
    x.c[0] = coefficient(0);
    ++x.size;
  }
  [[gnu::noinline]] static void add(number& y, const number& x) noexcept {
    if (x.size == 0 || !grown(y, x.size)) return;
    for (std::size_t k = 0; k < x.size; ++k)
      for (std::size_t g = 0; g < groups; ++g) {
        lane a, b;
        coefficient::load(a, y.c[k].v, g);
        coefficient::load(b, x.c[k].v, g);
        a += b;
        coefficient::store(y.c[k].v, g, a);
      }
  }
  static void add(number& y, const coefficient& c, const number& x) noexcept { accumulate(y, c, x, 0); }
  static void add_s(number& y, const coefficient& c, const number& x) noexcept { accumulate(y, c, x, 1); }
  [[gnu::noinline]] static void multiply(number& y, const number& x) noexcept {
    if (x.size == 1) return scale(y, x.c[0]);
    y = product(y, x);
  }
  static void multiply_sum(number& y, const number& b, const number& x, const number& d) noexcept {
    multiply(y, b);
    add_product(y, x, d);
  }
  [[gnu::noinline, nodiscard]] static number product(const number& x, const number& y) noexcept {
    number z;
    add_product(z, x, y);
    return z;
  }
  [[gnu::noinline]] static void add_product(number& y, const number& x, const number& z) noexcept {
    if (x.size == 0 || z.size == 0 || !grown(y, x.size + z.size - 1)) return;
    for (std::size_t i = 0; i < x.size; ++i)
      for (std::size_t k = 0; k < z.size; ++k) add_times(y.c[i + k], x.c[i], z.c[k]);
  }
  [[nodiscard]] static bool is_zero(const number& x) noexcept {
    for (std::size_t k = 0; k < x.stored(); ++k)
      if (!is_zero_value(x.c[k])) return false;
    return !x.overflowed();
  }
  /// A factor s that all share, and a power of two when the first build's coefficients have drifted from one.
  [[gnu::noinline]] static void common_factor(number& n, number& d, number* emf, std::size_t count) noexcept {
    detail::cancel_common_s(n, d, emf, count, is_zero_value);
    const double largest = detail::largest_coefficient(n, d);
    if ((largest < 0x1p40 && largest > 0x1p-40) || !(largest > 0)) return;
    const coefficient factor(largest > 1 ? 0x1p-40 : 0x1p40);
    scale(n, factor);
    scale(d, factor);
    for (std::size_t k = 0; k < count; ++k) scale(emf[k], factor);
  }

private:
  using lane = typename coefficient::lane;
  static constexpr std::size_t groups = coefficient::groups;

  [[nodiscard]] static bool is_zero_value(const coefficient& c) noexcept {
    if (c.v[0] != 0) return false;
    for (std::size_t i = 1; i < build_block; ++i)
      if (c.v[i] != 0) return false;
    return true;
  }
  static void times(coefficient& y, const coefficient& a, const coefficient& b) noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      lane p, q;
      coefficient::load(p, a.v, g);
      coefficient::load(q, b.v, g);
      p *= q;
      coefficient::store(y.v, g, p);
    }
  }
  static void add_times(coefficient& y, const coefficient& a, const coefficient& b) noexcept {
    for (std::size_t g = 0; g < groups; ++g) {
      lane p, q, r;
      coefficient::load(p, a.v, g);
      coefficient::load(q, b.v, g);
      coefficient::load(r, y.v, g);
      r += p * q;
      coefficient::store(y.v, g, r);
    }
  }
  [[gnu::noinline]] static void accumulate(number& y, const coefficient& c, const number& x,
                                           std::size_t shift) noexcept {
    if (x.size == 0 || !grown(y, x.size + shift)) return;
    for (std::size_t k = 0; k < x.size; ++k) add_times(y.c[k + shift], c, x.c[k]);
  }
  /// False where y, grown to `size` coefficients, does not fit or did not before; then it holds its size alone.
  static bool grown(number& y, std::size_t size) noexcept {
    if (grows_too_large(y, size)) return false;
    for (; y.size < size; ++y.size) y.c[y.size] = coefficient(0);
    return true;
  }
  static bool grows_too_large(number& y, std::size_t size) noexcept {
    if (size < y.size) size = y.size;
    if (size <= polynomial_capacity) return false;
    y.size = size;
    return true;
  }
};

} // namespace lodewire
