// SPDX-License-Identifier: BSL-1.0
#pragma once

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

} // namespace detail

} // namespace lodewire
