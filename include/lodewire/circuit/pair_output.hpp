// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>

namespace lodewire {

/// Which output of a coil pair is taken: the two in series, the two in parallel, or the first alone.
enum class pair_output : std::uint8_t { series, parallel, first };

} // namespace lodewire
