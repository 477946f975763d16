// SPDX-License-Identifier: BSL-1.0
#pragma once

/// Values to text and back: marking codes (IEC 60062), values as people write them, tolerances, levels.
#include <lodewire/quantity/read_level.hpp>
#include <lodewire/quantity/read_marking.hpp>
#include <lodewire/quantity/write_marking.hpp>
