// SPDX-License-Identifier: BSL-1.0
// The main program of every test, with an operator new that counts; built once, the slow part of doctest with it.
#define DOCTEST_CONFIG_IMPLEMENT_WITH_MAIN
#include <doctest/doctest.h>

#include <cstddef>
#include <cstdlib>
#include <new>

#include "counted_new.hpp"

namespace {
void* counted(std::size_t size, std::size_t alignment) {
  ++allocations;
  const std::size_t rounded = (size + alignment - 1) / alignment * alignment;
  void* p = alignment > alignof(std::max_align_t) ? std::aligned_alloc(alignment, rounded)
                                                  : std::malloc(size > 0 ? size : 1);
  if (p == nullptr) throw std::bad_alloc();
  return p;
}
} // namespace

[[gnu::noinline]] void* operator new(std::size_t size) { return counted(size, 1); }
[[gnu::noinline]] void* operator new[](std::size_t size) { return counted(size, 1); }
[[gnu::noinline]] void* operator new(std::size_t size, std::align_val_t a) {
  return counted(size, static_cast<std::size_t>(a));
}
[[gnu::noinline]] void* operator new[](std::size_t size, std::align_val_t a) {
  return counted(size, static_cast<std::size_t>(a));
}
[[gnu::noinline]] void* operator new(std::size_t size, const std::nothrow_t&) noexcept { // std::stable_sort's
  ++allocations;
  return std::malloc(size > 0 ? size : 1);
}
[[gnu::noinline]] void operator delete(void* p, const std::nothrow_t&) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete(void* p) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete[](void* p) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete(void* p, std::size_t) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete[](void* p, std::size_t) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete(void* p, std::align_val_t) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete[](void* p, std::align_val_t) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete(void* p, std::size_t, std::align_val_t) noexcept { std::free(p); }
[[gnu::noinline]] void operator delete[](void* p, std::size_t, std::align_val_t) noexcept { std::free(p); }
