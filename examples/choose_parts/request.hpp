// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/design/choose.hpp>
#include <lodewire/design/choose_text.hpp>
#include <lodewire/design/wish_json.hpp>

#include "../shared/plugged_in.hpp"

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

[[nodiscard]] inline answer find_answer(const options& o) {
  answer a;
  const lodewire::instrument_file file = examples::instrument_from_file(o.instrument);
  a.asked.of = file.built;
  a.asked.into = examples::find_destination(file.plugged_into, o.into);
  auto wanted = examples::read_from_file(
      o.wish, [&](const std::string& t) { return lodewire::read_wish(t, a.asked.of, a.asked.into); });
  a.asked.wanted = std::move(wanted.wanted);
  a.asked.places = std::move(wanted.places);
  if (!o.drawer.empty())
    a.asked.from =
        examples::read_from_file(o.drawer, [](const std::string& t) { return lodewire::read_drawer(t); });
  a.settings.by = wanted.by;
  if (o.rank == "nominal") a.settings.by = lodewire::rank_by::nominal;
  if (o.rank == "worst-case") a.settings.by = lodewire::rank_by::worst_case;
  if (o.rank == "yield") a.settings.by = lodewire::rank_by::yield;
  a.settings.most = o.most;
  a.found = lodewire::choose(a.asked, a.settings);
  return a;
}

} // namespace choose_parts
