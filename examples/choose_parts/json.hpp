// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <optional>
#include <string>

#include <nlohmann/json.hpp>

#include "request.hpp"

/// The answer as JSON, in SI units; null is: none.
namespace choose_parts {

using json = nlohmann::ordered_json;

[[nodiscard]] inline json or_null(const std::optional<double>& value) {
  return value ? json(*value) : json();
}

[[nodiscard]] inline json as_json(const answer& a, const lodewire::alternative& one) {
  json choices = json::array(), criteria = json::array();
  for (std::size_t p = 0; p < one.choices.size(); ++p) {
    json parts = json::array();
    for (const lodewire::fitted_part& f : one.choices[p].parts)
      parts.push_back({{"kind", std::string(lodewire::name_of(f.is))},
                       {"value", f.value},
                       {"unit", f.is == lodewire::stock_kind::capacitor ? "F" : "ohm"},
                       {"tolerance", f.tolerance}});
    choices.push_back({{"place", a.asked.places[p].name},
                       {"way", one.choices[p].way},
                       {"parts", parts},
                       {"text", lodewire::to_text(a.asked.places[p], one.choices[p])}});
  }
  for (std::size_t k = 0; k < one.criteria.size(); ++k) {
    const lodewire::criterion_outcome& o = one.criteria[k];
    criteria.push_back({{"name", a.asked.wanted.criteria[k].name},
                        {"misfit", o.misfit},
                        {"misfit_unit", std::string(lodewire::misfit_unit(a.asked.wanted.criteria[k].wants))},
                        {"cost", o.cost},
                        {"kept", o.kept},
                        {"figure", o.figure},
                        {"figure_unit", std::string(lodewire::figure_unit(a.asked.wanted.criteria[k].wants))},
                        {"lowest", or_null(o.lowest)},
                        {"highest", or_null(o.highest)}});
  }
  return {{"cost", one.cost},
          {"overrun", one.overrun},
          {"worst_cost", or_null(one.worst_cost)},
          {"yield", or_null(one.yield)},
          {"choices", choices},
          {"criteria", criteria}};
}

[[nodiscard]] inline json as_json(const answer& a) {
  json best = json::array(), ties = json::array();
  for (const auto& one : a.found.best) best.push_back(as_json(a, one));
  for (const auto& one : a.found.ties) ties.push_back(as_json(a, one));
  const auto proof = a.found.proof;
  lodewire::alternative before = a.found.before;
  json as_it_is = as_json(a, {.choices = {},
                              .criteria = before.criteria,
                              .cost = before.cost,
                              .overrun = before.overrun,
                              .worst_cost = before.worst_cost,
                              .worst_overrun = {},
                              .yield = before.yield});
  return {{"instrument", a.asked.of.name},
          {"plugged_into", a.asked.into.name},
          {"met", a.found.met},
          {"proof", proof == lodewire::choice_proof::enumerated ? "enumerated"
                    : proof == lodewire::choice_proof::bounded  ? "bounded"
                                                                : "refined"},
          {"combinations", a.found.candidates},
          {"evaluations", a.found.evaluated},
          {"as_good", a.found.as_good},
          {"before", as_it_is},
          {"best", best},
          {"ties", ties}};
}

} // namespace choose_parts
