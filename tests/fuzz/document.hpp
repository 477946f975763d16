// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/instrument/json_error.hpp>

#include "reader.hpp"

namespace fuzz {

/// What `read` gives for the text of a document, or nothing where it throws a `document_error` that says where and
/// what. Any other exception ends the program.
template <class Read>
[[nodiscard]] auto document_or_refusal(const std::string& text, Read read)
    -> std::optional<decltype(read(text))> {
  try {
    return read(text);
  } catch (const lodewire::document_error& error) {
    const std::string_view what = error.what();
    expect(!error.path().empty(), "the error has a path", text);
    expect(what.starts_with(error.path() + " is "), "the message begins with the path", text);
    expect(what.find("; allowed: ") != what.npos, "the message says what is allowed", text);
    for (const char c : what)
      expect(static_cast<unsigned char>(c) >= ' ' && c != '\x7f', "no control byte in a message", text);
    return std::nullopt;
  }
}

} // namespace fuzz
