// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>

namespace lodewire {

/// Which two lugs of a potentiometer are in use. Lug 1 is the counter-clockwise end of the track, 2 the wiper, 3 the
/// clockwise end.
enum class lugs : std::uint8_t {
  one_two,  ///< the resistance grows clockwise
  two_three ///< the resistance falls clockwise
};

} // namespace lodewire
