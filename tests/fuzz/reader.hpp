// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include <lodewire/quantity/marking.hpp>

/// What every harness asks of a reader. A harness is one file, tests/fuzz/<name>.cpp, that defines `one_input`; its
/// corpus is tests/fuzz/corpus/<name>/.
namespace fuzz {

/// Reads one text, and ends the program by `expect` where a promise is broken. Sanitizers and libFuzzer see the rest:
/// any exception but `text_error` ends the program, too.
void one_input(std::string_view text);

inline void expect(bool kept, std::string_view promise, std::string_view text) {
  if (kept) return;
  const std::string shown = lodewire::detail::quoted(text);
  std::fprintf(stderr, "broken: %.*s, by the text %s\n", static_cast<int>(promise.size()), promise.data(),
               shown.c_str());
  std::abort();
}

/// How many columns a text has. Not by the library's own function: it is under test.
[[nodiscard]] inline std::size_t columns(std::string_view text) {
  std::size_t count = 0;
  for (std::size_t at = 0; at < text.size(); ++count) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    std::size_t length = 1;
    if (byte(at) >= 0xC2 && byte(at) < 0xE0) length = 2;
    if (byte(at) >= 0xE0 && byte(at) < 0xF0) length = 3;
    if (byte(at) >= 0xF0 && byte(at) < 0xF5) length = 4;
    bool whole = at + length <= text.size();
    for (std::size_t i = at + 1; whole && i < at + length; ++i) whole = (byte(i) & 0xC0U) == 0x80U;
    at += whole ? length : 1;
  }
  return count;
}

/// What `read` gives for the text, or nothing where it throws a `text_error` that says where and what.
template <class Read>
[[nodiscard]] auto read_or_refuse(std::string_view text, Read read) -> std::optional<decltype(read(text))> {
  try {
    return read(text);
  } catch (const lodewire::text_error& error) {
    expect(error.column() >= 1 && error.column() <= columns(text) + 1, "the column lies in the text", text);
    expect(!error.parameter().empty(), "the error names the parameter", text);
    const std::string_view what = error.what();
    const auto at = what.rfind(" is no value: at column " + std::to_string(error.column()) + ", expected ");
    expect(at != what.npos && what.substr(0, error.parameter().size()) == error.parameter(),
           "the message says parameter, column and what was expected", text);
    for (const char c : what)
      expect(static_cast<unsigned char>(c) >= ' ' && c != '\x7f', "no control byte in a message", text);
    return std::nullopt;
  }
}

/// The same double, to the bit.
[[nodiscard]] inline bool same(double a, double b) {
  return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}
[[nodiscard]] inline bool same(const lodewire::tolerance& a, const lodewire::tolerance& b) {
  return same(a.minus, b.minus) && same(a.plus, b.plus);
}

/// Everything else by its own equality.
template <class T>
[[nodiscard]] bool same(const T& a, const T& b) {
  return a == b;
}

/// read(written) must give `value` back.
template <class Read, class Value>
void expect_back(const std::string& written, const Value& value, std::string_view from, Read read) {
  const auto again = read_or_refuse(written, std::move(read));
  if (!again) expect(false, "what was written is read: " + lodewire::detail::quoted(written), from);
  expect(same(*again, value), "read(write(x)) is x: " + lodewire::detail::quoted(written), from);
}

/// A marking: not negative, finite; by each of the two writers, alone and with its tolerance.
template <class Q>
void expect_marking_back(const lodewire::marking<Q>& read, std::string_view from) {
  using namespace lodewire;
  const double value = read.value.value();
  expect(is_finite(value) && value >= 0, "a value is finite and not negative", from);
  const auto number = [](std::string_view text) { return read_marking<Q>(text).value.value(); };
  expect_back(write_marking(read.value), value, from, number);
  expect_back(write_quantity(read.value), value, from, number);
  if (!read.tolerance) return;
  const auto within = [](std::string_view text) { return read_tolerance(text); };
  const std::string written = write_tolerance(*read.tolerance);
  expect_back(written, *read.tolerance, from, within);
  for (const std::string& first : {write_marking(read.value), write_quantity(read.value)}) {
    const std::string both = first + ' ' + written;
    if (both.size() > 64) continue; // longer than is read
    expect_back(both, value, from, number);
    expect_back(both, *read.tolerance, from,
                [](std::string_view text) { return *read_marking<Q>(text).tolerance; });
  }
}

} // namespace fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  fuzz::one_input({reinterpret_cast<const char*>(data), size});
  return 0;
}
