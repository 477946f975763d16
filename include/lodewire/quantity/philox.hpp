// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

namespace lodewire {

/// Philox4x32-10, a counter-based random number generator: four words that depend on a counter and a key and on nothing
/// else, so that any of them can be had at any time, by any thread, on any machine. Source: J. K. Salmon, M. A. Moraes,
/// R. O. Dror, D. E. Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC11 (2011); constants and test vectors from
/// its reference implementation. Not for secrets. Cost: some 10 ns for four words.
using philox_counter = std::array<std::uint32_t, 4>;
using philox_key = std::array<std::uint32_t, 2>;

/// The four words of this counter under this key.
[[nodiscard]] constexpr philox_counter philox(philox_counter counter, philox_key key) noexcept {
  constexpr std::uint64_t m0 = 0xD2511F53, m1 = 0xCD9E8D57;
  for (int round = 0; round < 10; ++round) {
    const std::uint64_t a = m0 * counter[0], b = m1 * counter[2];
    counter = {static_cast<std::uint32_t>(b >> 32U) ^ counter[1] ^ key[0], static_cast<std::uint32_t>(b),
               static_cast<std::uint32_t>(a >> 32U) ^ counter[3] ^ key[1], static_cast<std::uint32_t>(a)};
    key[0] += 0x9E3779B9;
    key[1] += 0xBB67AE85;
  }
  return counter;
}

/// Words 4·group to 4·group + 3 of the stream of item `item` under `seed`: a pure function of its arguments, for as many
/// items as 64 bits count and 2^32 groups.
[[nodiscard]] constexpr philox_counter philox_words(std::uint64_t seed, std::uint64_t item,
                                                    std::uint32_t group) noexcept {
  return philox({static_cast<std::uint32_t>(item), static_cast<std::uint32_t>(item >> 32U), group, 0},
                {static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32U)});
}

} // namespace lodewire
