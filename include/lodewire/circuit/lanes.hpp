// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <cstring>

/// Several doubles at once, by the compilers' vector extension at the width that the machine has (scalars where a
/// compiler has none). Used inside kernels only, which carry the width in their names, so that units built for
/// different machines link without mixing their kernels. That does not hold for every other inline function (nor for the
/// standard library's): put the units for wider machines into a shared library of their own, built with
/// -fvisibility=hidden -fvisibility-inlines-hidden, that exports functions over plain types only. `evaluator` is another
/// type at each width; keep it out of structs that both see.
namespace lodewire {

#if !defined(__GNUC__)
constexpr int native_lanes = 1;
#elif defined(__AVX512F__)
constexpr int native_lanes = 8;
#elif defined(__AVX__)
constexpr int native_lanes = 4;
#else
constexpr int native_lanes = 2;
#endif

namespace detail {

template <int Width>
struct lane_type;
template <>
struct lane_type<1> {
  using type = double;
};
#if defined(__GNUC__)
template <>
struct lane_type<2> {
  typedef double type __attribute__((vector_size(16)));
};
template <>
struct lane_type<4> {
  typedef double type __attribute__((vector_size(32)));
};
template <>
struct lane_type<8> {
  typedef double type __attribute__((vector_size(64)));
};
#endif

/// to = re[0], im[0], re[1], im[1] and so on.
template <int Width>
inline void interleave(const typename lane_type<Width>::type& re, const typename lane_type<Width>::type& im,
                       double* to) noexcept {
#if defined(__has_builtin)
#if __has_builtin(__builtin_shufflevector)
  using lane = typename lane_type<Width>::type;
  if constexpr (Width == 2) {
    const lane halves[2] = {__builtin_shufflevector(re, im, 0, 2), __builtin_shufflevector(re, im, 1, 3)};
    return void(std::memcpy(to, halves, sizeof halves));
  } else if constexpr (Width == 4) {
    const lane halves[2] = {__builtin_shufflevector(re, im, 0, 4, 1, 5),
                            __builtin_shufflevector(re, im, 2, 6, 3, 7)};
    return void(std::memcpy(to, halves, sizeof halves));
  } else if constexpr (Width == 8) {
    const lane halves[2] = {__builtin_shufflevector(re, im, 0, 8, 1, 9, 2, 10, 3, 11),
                            __builtin_shufflevector(re, im, 4, 12, 5, 13, 6, 14, 7, 15)};
    return void(std::memcpy(to, halves, sizeof halves));
  }
#endif
#endif
  double parts[2][static_cast<std::size_t>(Width)];
  std::memcpy(parts[0], &re, sizeof re);
  std::memcpy(parts[1], &im, sizeof im);
  for (int i = 0; i < 2 * Width; ++i) to[i] = parts[i % 2][i / 2];
}

} // namespace detail

} // namespace lodewire
