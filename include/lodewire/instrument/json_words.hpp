// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cstddef>
#include <string_view>

#include <lodewire/instrument/instrument.hpp>

/// The keys and words of an instrument file. The reader, the writer and the test of docs/instrument.schema.json share
/// these tables.
namespace lodewire::detail {

/// The keys of one kind of object. The first `required` of them must be there; the first one tells the kind, where
/// several may stand in one place.
struct object_shape {
  std::string_view name; ///< under $defs in the schema, with _ for a space
  std::size_t required = 0;
  std::array<std::string_view, 18> keys{};
};

namespace shapes {

inline constexpr object_shape document{
    "document",
    2,
    {"pickups", "positions", "name", "controls", "circuits", "output", "supply", "plugged_into"}};

inline constexpr object_shape coil{
    "coil",
    5,
    {"kind", "name", "inductance", "resistance", "capacitance", "start_to_ground", "end_to_ground", "eddy",
     "parallel_loss", "emf", "emf_corner", "turns_area", "winding", "magnet", "connection", "cover", "lead"}};
inline constexpr object_shape half{"coil of a pair",
                                   3,
                                   {"inductance", "resistance", "capacitance", "name", "start_to_ground",
                                    "end_to_ground", "eddy", "parallel_loss", "emf", "emf_corner",
                                    "turns_area", "winding", "magnet", "connection", "cover", "lead"}};
inline constexpr object_shape two_coils{
    "two coils", 5, {"kind", "name", "first", "second", "coupling", "between", "lead"}};
inline constexpr object_shape active{"active",
                                     2,
                                     {"kind", "name", "output_resistance", "emf", "limit", "supply_current",
                                      "unpowered_resistance", "voltage_noise", "turns_area"}};
inline constexpr object_shape piezo{"piezo", 3, {"kind", "name", "capacitance", "emf"}};
inline constexpr object_shape eddy{"eddy branch", 2, {"inductance", "resistance"}};
inline constexpr object_shape lead{"screened lead", 2, {"length", "capacitance"}};
inline constexpr object_shape limit{"band limit", 1, {"corner", "quality"}};

inline constexpr object_shape control{
    "control",
    2,
    {"track", "name", "taper", "electrical_travel", "end_resistance", "tolerance", "cut_at_full", "knob"}};
inline constexpr object_shape sections{"control with sections", 2, {"sections", "name", "knob"}};
inline constexpr object_shape section{
    "section", 1, {"track", "taper", "electrical_travel", "end_resistance", "tolerance", "cut_at_full"}};

inline constexpr object_shape position{"position", 2, {"name", "wiring"}};
inline constexpr object_shape from_pickup{
    "wiring from a pickup", 1, {"pickup", "mode", "across_idle_coil", "leads_swapped", "then"}};
inline constexpr object_shape from_circuit{"wiring from a circuit", 1, {"circuit", "leads_swapped", "then"}};
inline constexpr object_shape in_series{"wiring in series", 1, {"series", "leads_swapped", "then"}};
inline constexpr object_shape in_parallel{"wiring in parallel", 1, {"parallel", "leads_swapped", "then"}};
inline constexpr object_shape by_nodes{"wiring by nodes", 2, {"branches", "out", "then"}};

inline constexpr object_shape pickup_branch{
    "pickup branch", 2, {"pickup", "between", "mode", "across_idle_coil", "leads_swapped"}};
inline constexpr object_shape part_branch{"part branch", 2, {"part", "between", "name"}};
inline constexpr object_shape control_branch{"control branch", 2, {"control", "lugs"}};
inline constexpr object_shape coupled_branch{"coupled branch", 2, {"coupled", "coupling"}};

inline constexpr object_shape volume{"volume step", 1, {"volume", "bleed", "across_track", "wiper_to_low"}};
inline constexpr object_shape reversed_volume{
    "reversed volume step", 1, {"reversed_volume", "bleed", "across_track", "wiper_to_low"}};
inline constexpr object_shape shunt_step{"shunt step", 1, {"shunt"}};
inline constexpr object_shape series_step{"series step", 1, {"series"}};
inline constexpr object_shape amplifier_step{"amplifier step", 1, {"amplifier", "name"}};
inline constexpr object_shape point_step{"point step", 1, {"point"}};
inline constexpr object_shape amplifier{"amplifier",
                                        0,
                                        {"gain", "input_resistance", "input_capacitance", "output_resistance",
                                         "voltage_noise", "current_noise", "supply_current"}};

inline constexpr object_shape resistor{"resistor", 1, {"resistor", "name"}};
inline constexpr object_shape capacitor{
    "capacitor", 1, {"capacitor", "dielectric", "loss_tangent", "stated_at", "name"}};
inline constexpr object_shape inductor{"inductor", 1, {"inductor", "name"}};
inline constexpr object_shape rheostat{"rheostat", 1, {"rheostat", "lugs"}};
inline constexpr object_shape series_network{"network in series", 1, {"series"}};
inline constexpr object_shape parallel_network{"network in parallel", 1, {"parallel"}};

inline constexpr object_shape supply{"supply", 0, {"battery", "in_series", "jack", "lost_at_rails"}};
inline constexpr object_shape battery{
    "battery",
    4,
    {"designation", "fresh_voltage", "end_voltage", "capacity", "chemistry", "cells", "internal_resistance"}};

inline constexpr object_shape destination{
    "destination", 1, {"name", "cable", "input", "voltage_noise", "current_noise"}};
inline constexpr object_shape cable{"cable", 2, {"length", "capacitance", "resistance", "inductance"}};
inline constexpr object_shape input{"input", 1, {"resistance", "capacitance", "stopper"}};

/// All of them.
inline constexpr const object_shape* all[] = {
    &document,    &coil,           &half,        &two_coils,       &active,
    &piezo,       &eddy,           &lead,        &limit,           &control,
    &sections,    &section,        &position,    &from_pickup,     &from_circuit,
    &in_series,   &in_parallel,    &volume,      &reversed_volume, &shunt_step,
    &series_step, &amplifier_step, &point_step,  &amplifier,       &resistor,
    &capacitor,   &inductor,       &rheostat,    &series_network,  &parallel_network,
    &supply,      &battery,        &destination, &cable,           &input,
    &by_nodes,    &pickup_branch,  &part_branch, &control_branch,  &coupled_branch};

// Which of several may stand in one place.
inline constexpr const object_shape* controls[] = {&control, &sections};
inline constexpr const object_shape* wirings[] = {&from_pickup, &from_circuit, &in_series, &in_parallel,
                                                  &by_nodes};
inline constexpr const object_shape* branches[] = {&pickup_branch, &part_branch, &control_branch,
                                                   &coupled_branch};
inline constexpr const object_shape* steps[] = {&volume,      &reversed_volume, &shunt_step,
                                                &series_step, &amplifier_step,  &point_step};
inline constexpr const object_shape* networks[] = {&resistor, &capacitor,      &inductor,
                                                   &rheostat, &series_network, &parallel_network};

} // namespace shapes

/// An enumerator and what it is called.
template <class E>
struct word {
  std::string_view text;
  E value;
};

namespace words {

enum class pickup_kind : std::uint8_t { coil, two_coils, active, piezo };
inline constexpr word<pickup_kind> pickup_kinds[] = {{"coil", pickup_kind::coil},
                                                     {"two coils", pickup_kind::two_coils},
                                                     {"active", pickup_kind::active},
                                                     {"piezo", pickup_kind::piezo}};
inline constexpr word<winding_sense> windings[] = {{"clockwise", winding_sense::clockwise},
                                                   {"counterclockwise", winding_sense::counterclockwise}};
inline constexpr word<magnet_sense> magnets[] = {{"north up", magnet_sense::north_up},
                                                 {"south up", magnet_sense::south_up}};
inline constexpr word<coil_connection> connections[] = {{"normal", coil_connection::normal},
                                                        {"reversed", coil_connection::reversed}};
inline constexpr word<cover_bond> covers[] = {
    {"ground", cover_bond::ground}, {"start", cover_bond::start}, {"end", cover_bond::end}};
inline constexpr word<pickup_mode> modes[] = {{"whole", pickup_mode::whole},
                                              {"parallel", pickup_mode::parallel},
                                              {"first coil", pickup_mode::first},
                                              {"second coil", pickup_mode::second},
                                              {"series out of phase", pickup_mode::series_out_of_phase},
                                              {"parallel out of phase", pickup_mode::parallel_out_of_phase}};
inline constexpr word<lugs> lugs_in_use[] = {{"1-2", lugs::one_two}, {"2-3", lugs::two_three}};
inline constexpr word<dielectric> dielectrics[] = {
    {"polyester", dielectric::polyester},
    {"polypropylene", dielectric::polypropylene},
    {"polyethylene naphthalate", dielectric::polyethylene_naphthalate},
    {"polyphenylene sulfide", dielectric::polyphenylene_sulfide},
    {"ceramic class 1", dielectric::ceramic_class_1},
    {"ceramic class 2", dielectric::ceramic_class_2},
    {"tantalum", dielectric::tantalum}};
inline constexpr word<jack_wiring> jacks[] = {{"always on", jack_wiring::always_on},
                                              {"ring contact", jack_wiring::ring_contact},
                                              {"switching contact", jack_wiring::switching_contact}};
inline constexpr word<battery_chemistry> chemistries[] = {
    {name_of(battery_chemistry::zinc_carbon), battery_chemistry::zinc_carbon},
    {name_of(battery_chemistry::alkaline), battery_chemistry::alkaline},
    {name_of(battery_chemistry::nickel_cadmium), battery_chemistry::nickel_cadmium},
    {name_of(battery_chemistry::nickel_metal_hydride), battery_chemistry::nickel_metal_hydride},
    {name_of(battery_chemistry::lithium_primary), battery_chemistry::lithium_primary}};

} // namespace words

} // namespace lodewire::detail
