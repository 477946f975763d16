// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/quantity/requirement.hpp>

/// Finding things by name in the lists of an instrument.
namespace lodewire {

namespace detail {

template <class T>
[[nodiscard]] const std::string& name_in(const T& part) {
  if constexpr (requires { part.name; }) {
    return part.name;
  } else {
    return name_of(part);
  }
}

/// `'a', 'b' or 'c'`.
template <class T>
[[nodiscard]] std::string names_in(const std::vector<T>& list) {
  std::string text;
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (i > 0) text.append(i + 1 == list.size() ? " or " : ", ");
    text.append("'").append(name_in(list[i])).append("'");
  }
  return text.empty() ? "nothing: there is none" : text;
}

/// Number of the entry of that name, or `invalid_value` that lists the names there are.
template <class T>
[[nodiscard]] std::size_t find_named(const std::vector<T>& list, std::string_view name,
                                     std::string_view path) {
  for (std::size_t i = 0; i < list.size(); ++i)
    if (name_in(list[i]) == name) return i;
  throw invalid_value(path, std::string("'").append(name).append("'"), names_in(list));
}

} // namespace detail

} // namespace lodewire
