// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/choose.hpp>
#include <lodewire/design/choose_text.hpp>
#include <lodewire/design/wish_json.hpp>
#include <lodewire/instrument/json.hpp>

/// What is asked for, and the answer.
namespace choose_parts {

/// What was typed.
struct options {
  std::string instrument, wish, drawer, into, rank;
  std::size_t most = 5;
  std::string folder; ///< for pictures; empty: none
  bool json = false;
};

struct answer {
  lodewire::choice_problem asked;
  lodewire::choose_settings settings;
  lodewire::choice_result found;
};

[[nodiscard]] inline std::string demo_file(const std::string& name) {
  return (std::filesystem::path(__FILE__).parent_path().parent_path() / name).string();
}

/// Errors in the file begin with its name.
template <class Read>
[[nodiscard]] auto read_file(const std::string& name, Read read) {
  if (std::filesystem::is_directory(name)) throw std::runtime_error("'" + name + "' is a folder, not a file");
  std::ifstream in(name, std::ios::binary);
  const std::string text(std::istreambuf_iterator<char>(in), {});
  if (!in) throw std::runtime_error("'" + name + "' cannot be read");
  try {
    return read(text);
  } catch (const std::invalid_argument& error) {
    throw std::runtime_error(name + ": " + error.what());
  }
}

/// The destination of that name; without a name the file's first one, or an amplifier of 1 MΩ behind 3 m of cable.
[[nodiscard]] inline lodewire::destination find_destination(const lodewire::instrument_file& file,
                                                            const std::string& name) {
  if (name.empty()) return file.plugged_into.empty() ? lodewire::destination{} : file.plugged_into.front();
  return file.plugged_into[lodewire::detail::find_named(file.plugged_into, name, "--into")];
}

[[nodiscard]] inline answer find_answer(const options& o) {
  answer a;
  const auto file =
      read_file(o.instrument, [](const std::string& t) { return lodewire::read_instrument_file(t); });
  a.asked.of = file.built;
  a.asked.into = find_destination(file, o.into);
  auto wanted = read_file(
      o.wish, [&](const std::string& t) { return lodewire::read_wish(t, a.asked.of, a.asked.into); });
  a.asked.wanted = std::move(wanted.wanted);
  a.asked.places = std::move(wanted.places);
  if (!o.drawer.empty())
    a.asked.from = read_file(o.drawer, [](const std::string& t) { return lodewire::read_drawer(t); });
  a.settings.by = wanted.by;
  if (o.rank == "nominal") a.settings.by = lodewire::rank_by::nominal;
  if (o.rank == "worst-case") a.settings.by = lodewire::rank_by::worst_case;
  if (o.rank == "yield") a.settings.by = lodewire::rank_by::yield;
  a.settings.most = o.most;
  a.found = lodewire::choose(a.asked, a.settings);
  return a;
}

} // namespace choose_parts
