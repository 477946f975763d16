// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include <lodewire/circuit/coil_pair_rule.hpp>
#include <lodewire/circuit/program.hpp>

namespace lodewire {

/// The room that an evaluation needs, made once for a program and used again: evaluating allocates nothing.
/// Copy it for another thread; two threads must not share one.
template <class System>
struct workspace {
  using number = typename System::number;
  static constexpr std::size_t no_filter = static_cast<std::size_t>(-1);
  /// Impedance n/d; its EMFs begin at `first` and end where the next entry's begin.
  struct entry : homogeneous_pair<number> {
    std::size_t first = 0;
  };

  workspace() = default;
  /// Room for any program of at most this depth and this number of EMFs.
  constexpr explicit workspace(std::span<const instruction> code) {
    int depth = 0, deepest = 0;
    std::size_t emfs = 0;
    for (const instruction i : code) {
      depth += stack_effect(i.op);
      // A pair leaves the stack shallower but works above its operands' places only in locals.
      deepest = depth > deepest ? depth : deepest;
      emfs += emf_count(i.op);
    }
    stack.resize(static_cast<std::size_t>(deepest) + 1);
    emf.resize(emfs);
    filter.resize(emfs);
    shares.resize(emfs, no_filter);
  }

  std::vector<entry> stack;
  std::vector<number> emf;    ///< E of each EMF
  std::vector<number> filter; ///< a further denominator of each E: what buffers and EMF filters leave behind
  /// The first EMF that is over the same further denominator, or `no_filter`.
  std::vector<std::size_t> shares;
  number seen; ///< what a probe saw when an open, a short or a buffer cut it off from the rest
};

} // namespace lodewire
