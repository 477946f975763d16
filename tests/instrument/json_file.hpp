// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include <lodewire/instrument/json.hpp>

/// Files of instruments for the tests of this folder.
namespace json_file {

inline std::string text_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

inline std::filesystem::path folder() { return std::filesystem::path(LODEWIRE_TEST_DATA) / "instruments"; }

inline std::string named(const std::string& name) { return text_of(folder() / (name + ".json")); }

/// Every .json file in a folder, not below it.
inline std::vector<std::filesystem::path> all_in(const std::filesystem::path& where) {
  std::vector<std::filesystem::path> found;
  for (const auto& entry : std::filesystem::directory_iterator(where))
    if (entry.path().extension() == ".json") found.push_back(entry.path());
  return found;
}

/// What the reader says of a text that is no instrument.
inline std::string error_of(std::string_view text) {
  try {
    (void)lodewire::read_instrument_file(text);
  } catch (const lodewire::document_error& error) {
    const std::string what = error.what();
    if (!what.starts_with(error.path() + " is ")) return "not by its path: " + what;
    return what;
  }
  return "no error";
}

/// The text with one part of it, which must be there once at least, replaced where it stands first.
inline std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  if (at == text.npos) throw std::logic_error("not in the text: " + from);
  return text.replace(at, from.size(), to);
}

} // namespace json_file
