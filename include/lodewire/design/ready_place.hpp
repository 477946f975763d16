// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include <lodewire/design/alternatives.hpp>

/// A place with every value that its parts may have.
namespace lodewire::detail {

inline constexpr std::size_t no_stock = static_cast<std::size_t>(-1);

/// One value that a part may have.
struct value_candidate {
  double value = 0, tolerance = 0;
  std::size_t stock = no_stock; ///< entry of the drawer
};
/// A way with the candidates of its parts. Its options are numbered from `first` on, the last part's value fastest.
struct ready_way {
  way what;
  std::size_t number = 0; ///< in the place's list
  std::vector<std::vector<value_candidate>> parts;
  std::size_t first = 0, size = 1;
};
struct ready_place {
  std::string name;
  std::vector<ready_way> ways;
  std::size_t size = 0;

  [[nodiscard]] std::size_t way_of(std::size_t option) const noexcept {
    std::size_t w = ways.size() - 1;
    while (ways[w].first > option) --w;
    return w;
  }
  /// Number of a part's value in an option of a way.
  [[nodiscard]] static std::size_t value_of(const ready_way& w, std::size_t option,
                                            std::size_t part) noexcept {
    std::size_t rest = option - w.first;
    for (std::size_t k = w.parts.size() - 1; k > part; --k) rest /= w.parts[k].size();
    return rest % w.parts[part].size();
  }
};

} // namespace lodewire::detail
