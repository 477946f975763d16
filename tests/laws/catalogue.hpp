// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <variant>

#include "makers.hpp"

/// Every model that the laws run on, one line each. A new part gets its line here, and all laws run on it.
namespace laws {

inline constexpr int not_counted = -1;

/// What is known of a model beforehand.
struct facts {
  /// Independent reactive parts; of a stage, behind an EMF with a resistance.
  int reactive = not_counted;
  bool passive = true;
  bool reciprocal = true;
};

/// A model: its name, how one is made with values drawn at random, what is known of it. The type that the
/// function gives says what kind of model it is.
struct model {
  const char* name;
  std::variant<one_port (*)(dice&), source (*)(dice&), stage (*)(dice&)> make;
  facts known{};
};

inline constexpr facts active{.passive = false, .reciprocal = false};

inline const model catalogue[] = {
    {"resistor", &some_r, {.reactive = 0}},
    {"inductor", &some_l, {.reactive = 1}},
    {"capacitor", &some_c, {.reactive = 1}},
    {"power law", &some_power_law},
    {"capacitor with loss", &some_capacitor, {.reactive = 1}},
    {"capacitor of a kind", &some_polyester, {.reactive = 1}},
    {"rheostat, lugs 1 and 2", &some_rheostat, {.reactive = 0}},
    {"rheostat, lugs 2 and 3", &some_rheostat_23, {.reactive = 0}},
    {"rheostat in a network", &some_wired_rheostat, {.reactive = 2}},
    {"bleed network", &some_bleed, {.reactive = 1}},
    {"winding", [](dice& d) { return some_coil(d).winding_impedance(); }, {.reactive = 1}},
    {"winding, two eddy branches",
     [](dice& d) { return some_coil(d, 2).winding_impedance(); },
     {.reactive = 3}},
    {"resonant trap", &some_trap, {.reactive = 2}},
    {"random tree", [](dice& d) { return some_tree(d); }},

    {"EMF behind a resistor", &some_emf, {.reactive = 0}},
    {"current beside a resistor", &some_current, {.reactive = 0}},
    {"coil", [](dice& d) -> source { return some_coil(d); }, {.reactive = 2}},
    {"coil, one eddy branch", [](dice& d) -> source { return some_coil(d, 1); }, {.reactive = 3}},
    {"coil, two eddy branches", [](dice& d) -> source { return some_coil(d, 2); }, {.reactive = 4}},
    {"coil, shaded, with parallel loss", &some_shaded_coil, {.reactive = 3}},
    {"coil, reversed, with a lead", &some_reversed_coil, {.reactive = 2}},
    {"pair in series", [](dice& d) { return some_pair(d).as_series(); }, {.reactive = 4}},
    {"pair in parallel", [](dice& d) { return some_pair(d, 1).as_parallel(); }, {.reactive = 4}},
    {"pair in series, turned",
     [](dice& d) { return some_pair(d).as_series_out_of_phase(); },
     {.reactive = 4}},
    {"pair in parallel, turned",
     [](dice& d) { return some_pair(d).as_parallel_out_of_phase(); },
     {.reactive = 3}},
    {"pair, second coil open", &some_split_pair, {.reactive = 5}},
    {"pair, first coil shorted", &some_shorted_pair, {.reactive = 3}},
    {"pair, second coil bypassed", &some_bypassed_pair, {.reactive = 4}},
    {"piezo", &some_piezo, {.reactive = 1}},
    {"active pickup", &some_active_pickup, {.reactive = 0}},
    {"active pickup with a band limit", &some_limited_pickup, {.reactive = 0}},
    {"random source", [](dice& d) { return some_source(d, {.matrices = false, .buffers = false}); }},
    {"random source with power laws",
     [](dice& d) { return some_source(d, {.matrices = false, .buffers = false, .power_laws = true}); }},
    {"random source, active", [](dice& d) { return some_source(d, {}); }, active},

    {"nothing", [](dice&) { return stage{}; }, {.reactive = 0}},
    {"resistor in the lead", [](dice& d) { return in_series(some_r(d)); }, {.reactive = 0}},
    {"inductor in the lead", [](dice& d) { return in_series(some_l(d)); }, {.reactive = 1}},
    {"capacitor in the lead", [](dice& d) { return in_series(some_c(d)); }, {.reactive = 1}},
    {"power law in the lead", [](dice& d) { return in_series(some_power_law(d)); }},
    {"resistor across", [](dice& d) { return in_shunt(some_r(d)); }, {.reactive = 0}},
    {"inductor across", [](dice& d) { return in_shunt(some_l(d)); }, {.reactive = 1}},
    {"capacitor across", [](dice& d) { return in_shunt(some_c(d)); }, {.reactive = 1}},
    {"tone control", &some_tone_control, {.reactive = 1}},
    {"bleed network in the lead", [](dice& d) { return in_series(some_bleed(d)); }, {.reactive = 1}},
    {"divider", &some_divider, {.reactive = 0}},
    {"divider in a network", &some_wired_divider, {.reactive = 2}},
    {"reversed divider", &some_reversed_divider, {.reactive = 0}},
    {"reversed divider in a network", &some_wired_reversed_divider, {.reactive = 2}},
    {"cable", [](dice& d) -> stage { return some_cable(d); }, {.reactive = 1}},
    {"cable with R and L", &some_lossy_cable, {.reactive = 3}},
    {"input", &some_input, {.reactive = 0}},
    {"input with a stopper", &some_stopped_input, {.reactive = 1}},
    {"chain matrix of a transformer", &some_transformer, {.reactive = 0}},
    {"chain matrix with a coil", &some_rl_matrix, {.reactive = 1}},
    {"chain matrix with a capacitor", &some_c_matrix, {.reactive = 1}},
    {"chain matrix of a gyrator", &some_gyrator, {.reactive = 0, .reciprocal = false}},
    {"chain matrix, active", &some_active_matrix, active},
    {"buffer", &some_buffer, active},
    {"tone, volume, cable, input", &some_controls, {.reactive = 2}},
};

} // namespace laws
