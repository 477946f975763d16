// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <atomic>

/// How often the global operator new was called; tests/main.cpp replaces it by one that counts.
inline std::atomic<long> allocations{0};

/// How many allocations a call makes.
template <class Call>
[[nodiscard]] long allocations_of(const Call& call) {
  const long before = allocations;
  call();
  return allocations - before;
}
