// SPDX-License-Identifier: BSL-1.0
#pragma once

/// All of lodewire that needs no more than Boost.Units. Headers that bring a heavier dependency are opt-in.
#include <lodewire/analysis/grid.hpp>
#include <lodewire/analysis/impedance_resonance.hpp>
#include <lodewire/analysis/level.hpp>
#include <lodewire/analysis/loading.hpp>
#include <lodewire/analysis/resonance.hpp>
#include <lodewire/analysis/sweep.hpp>
#include <lodewire/circuit/complex_system.hpp>
#include <lodewire/circuit/composer.hpp>
#include <lodewire/circuit/dual.hpp>
#include <lodewire/circuit/evaluator.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/pole_zero.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/active_pickup.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/capacitor.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/parts/piezo.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/parts/taper_code.hpp>
#include <lodewire/quantity/literals.hpp>
#include <lodewire/quantity/marking.hpp>
#include <lodewire/quantity/preferred_pair.hpp>
