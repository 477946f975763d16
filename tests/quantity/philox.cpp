// SPDX-License-Identifier: BSL-1.0
// The generator against its published vectors and, where it is installed, against its reference implementation.
#include <doctest/doctest.h>

#include <cstdint>
#include <type_traits>

#include <lodewire/quantity/philox.hpp>

#if __has_include(<Random123/philox.h>) // Debian: librandom123-dev
#include <Random123/philox.h>
#endif

using namespace lodewire;

// Random123, tests/kat_vectors, 'philox4x32 10' (from memory; the reference implementation below gives them too).
static_assert(philox({0, 0, 0, 0}, {0, 0}) == philox_counter{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8});
static_assert(philox({0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff}, {0xffffffff, 0xffffffff}) ==
              philox_counter{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd});
static_assert(philox({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}) ==
              philox_counter{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1});

TEST_CASE("the published vectors hold at run time too") {
  volatile std::uint32_t zero = 0;
  const philox_counter w = philox({zero, zero, zero, zero}, {zero, zero});
  CHECK(w == philox_counter{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8});
}

TEST_CASE("item, group and seed are counter and key") {
  const std::uint64_t item = 0x0123456789abcdefU, seed = 0xfedcba9876543210U;
  CHECK(philox_words(seed, item, 7) == philox({0x89abcdef, 0x01234567, 7, 0}, {0x76543210, 0xfedcba98}));
  CHECK(philox_words(seed, item, 7) != philox_words(seed, item, 8));
  CHECK(philox_words(seed, item, 7) != philox_words(seed, item + 1, 7));
  CHECK(philox_words(seed, item, 7) != philox_words(seed + 1, item, 7));
}

TEST_CASE("the reference implementation gives the same words") {
#if __has_include(<Random123/philox.h>)
  philox_counter counter{1, 2, 3, 4};
  philox_key key{5, 6};
  int different = 0;
  for (int i = 0; i < 20'000; ++i) {
    const philox_counter ours = philox(counter, key);
    philox4x32_ctr_t theirs{{counter[0], counter[1], counter[2], counter[3]}};
    theirs = philox4x32_R(10, theirs, philox4x32_key_t{{key[0], key[1]}});
    for (std::size_t k = 0; k < 4; ++k) different += ours[k] != theirs.v[k];
    counter = ours; // anywhere in the space
    key = {ours[1] ^ 0x9e3779b9U, ours[3]};
  }
  CHECK(different == 0);
#else
  WARN_MESSAGE(false, "librandom123-dev is not installed: the vectors above are the only check");
#endif
}

TEST_CASE("bits are as often 1 as 0, and neighbours agree as often as not") {
  // 4·2^16 words, 2^23 bits: the share of ones lies within 5 standard deviations of 1/2.
  std::uint64_t ones = 0, same = 0;
  philox_counter last{};
  for (std::uint64_t i = 0; i < 0x10000; ++i) {
    const philox_counter w = philox_words(1, i, 0);
    for (std::size_t k = 0; k < 4; ++k)
      for (unsigned b = 0; b < 32; ++b) {
        ones += w[k] >> b & 1U;
        same += ~(w[k] ^ last[k]) >> b & 1U;
      }
    last = w;
  }
  const double expected = 0x1p22, deviation = 0x1p10 * 1.4142135623730951; // √(n)/2
  CHECK(static_cast<double>(ones) == doctest::Approx(expected).epsilon(5 * deviation / expected));
  CHECK(static_cast<double>(same) == doctest::Approx(expected).epsilon(5 * deviation / expected));
}
