// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string_view>

/// What to mind at the bench. Examples end with it.
namespace examples {

inline constexpr std::string_view cautions =
    "Cautions\n"
    "  - A soldering iron burns, and its fumes harm: air the room, wear eye protection.\n"
    "  - Work on the instrument only, unplugged. Never open a mains-powered amplifier: its capacitors\n"
    "    hold dangerous charge long after it is switched off.\n"
    "  - Strings are earthed through the amplifier. If they ever tingle, stop: the earth is faulty.\n"
    "    Have supply and amplifier checked by a licensed electrician before you touch them again.\n"
    "  - Batteries: mind the polarity, never short one, never charge a primary (non-rechargeable) cell.\n"
    "  - Local codes and licensed practice come before anything that is printed here.\n";

} // namespace examples
