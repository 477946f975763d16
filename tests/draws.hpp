// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <charconv>
#include <cstdint>
#include <cstdlib>
#include <stdexcept>
#include <string>
#include <string_view>

/// How much a test does that could go on for ever.
namespace check {

/// A whole number from the environment.
[[nodiscard]] inline std::uint64_t from_environment(const char* name, std::uint64_t otherwise) {
  const char* const text = std::getenv(name); // NOLINT(concurrency-mt-unsafe)
  if (text == nullptr) return otherwise;
  const std::string_view s(text);
  std::uint64_t n = 0;
  const auto [end, error] = std::from_chars(s.data(), s.data() + s.size(), n);
  if (s.empty() || error != std::errc() || end != s.data() + s.size() || n > 1'000'000'000'000)
    throw std::invalid_argument(std::string(name) + " is '" + text + "'; allowed: a whole number up to 1e12");
  return n;
}

/// How many problems a test draws at random: `usual`, or as many per cent of it as LODEWIRE_DRAWS says, 1 at least.
[[nodiscard]] inline std::size_t draws(std::size_t usual) {
  return std::max<std::size_t>(1, usual * from_environment("LODEWIRE_DRAWS", 100) / 100);
}
/// Of what is gone through in order, every so-many-th.
[[nodiscard]] inline std::size_t stride() { return std::max<std::size_t>(1, 100 / draws(100)); }

} // namespace check
