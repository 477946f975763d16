// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>
#include <span>

#include <lodewire/quantity/requirement.hpp>
#include <lodewire/quantity/units.hpp>

namespace lodewire {

/// Sampling rates that a design takes: 1 Hz to 10 MHz; 22.05 to 768 kHz are tested. Throws `invalid_value`.
inline frequency require_sampling_rate(frequency rate) {
  return require_within("sampling rate", rate, frequency::from_value(1), frequency::from_value(10e6));
}

namespace detail {

/// A sample as the filters take and give it: NaN, infinities and what exceeds 2^100 count as silence, as does what
/// lies below 2^-100 (-602 dB), so that no arithmetic on denormal numbers begins. Bits are compared, so that
/// `-ffast-math` folds nothing away. Cost: an integer comparison.
[[nodiscard]] constexpr double guarded(double x) noexcept {
  constexpr std::uint64_t low = std::bit_cast<std::uint64_t>(0x1p-100),
                          high = std::bit_cast<std::uint64_t>(0x1p100);
  const std::uint64_t size = std::bit_cast<std::uint64_t>(x) & 0x7fff'ffff'ffff'ffffU;
  return size - low <= high - low ? x : 0.;
}
[[nodiscard]] constexpr float guarded(float x) noexcept {
  constexpr std::uint32_t low = std::bit_cast<std::uint32_t>(0x1p-100F),
                          high = std::bit_cast<std::uint32_t>(0x1p100F);
  const std::uint32_t size = std::bit_cast<std::uint32_t>(x) & 0x7fff'ffffU;
  return size - low <= high - low ? x : 0.F;
}

/// Samples are worked on in chunks of this many; after each, what is left of a decayed state is dropped.
inline constexpr std::size_t chunk = 64;

/// Calls `work(buffer, count)` on chunks of `in` converted to double, and puts the results to `out`, which may be `in`.
/// Precondition: out is as long as in.
template <class Sample, class Work>
void in_chunks(std::span<const Sample> in, std::span<Sample> out, const Work& work) noexcept {
  double buffer[chunk];
  for (std::size_t from = 0; from < in.size(); from += chunk) {
    const std::size_t count = in.size() - from < chunk ? in.size() - from : chunk;
    for (std::size_t i = 0; i < count; ++i) buffer[i] = static_cast<double>(guarded(in[from + i]));
    work(buffer, count);
    for (std::size_t i = 0; i < count; ++i) out[from + i] = guarded(static_cast<Sample>(buffer[i]));
  }
}

} // namespace detail

} // namespace lodewire
