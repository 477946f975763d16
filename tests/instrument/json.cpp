// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"
#include "../draws.hpp"
#include "demo.hpp"
#include "json_file.hpp"

using namespace lodewire;
using namespace lodewire::literals;

namespace {

instrument again(const instrument& of) { return read_instrument(write_instrument(of)); }

/// A sound instrument with this part of it: a resistance, a taper, ...
instrument with(network part) {
  instrument of = demo::mixed();
  of.output.push_back(shunt_step(std::move(part)));
  return of;
}
instrument with(taper law) {
  instrument of = demo::mixed();
  of.controls[0].sections[0].law = std::move(law);
  return of;
}

/// A number of the splitmix64 sequence.
std::uint64_t next(std::uint64_t& state) {
  std::uint64_t z = (state += 0x9e3779b97f4a7c15U);
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
  return z ^ (z >> 31U);
}
double part_of_one(std::uint64_t& state) { return static_cast<double>(next(state) >> 11U) * 0x1p-53; }

} // namespace

TEST_CASE("a file is the instrument that one would write in code") {
  const instrument_file file = read_instrument_file(json_file::named("two_pickups"));
  instrument of = demo::two_pickups();
  auto& neck = std::get<magnetic_coil>(of.pickups[0]);
  neck.eddy[0] = {0.56_H, 20_kOhm};
  neck.lead = {0.4_m, 120_pF_per_m};
  of.controls[1].sections[0].tolerance = 0.10;
  of.controls[1].at = knob(7);
  of.controls[2].sections[0].cut_at_full = true;
  of.circuits[0].wired.then[0].bleed = side_by_side({150_kOhm, 680_pF});
  CHECK(file.built == of);
  CHECK(file.plugged_into == std::vector{destination{}});
  CHECK(read_destinations(json_file::named("two_pickups")) == file.plugged_into);

  CHECK(read_instrument(json_file::named("mixed")) == demo::mixed());
  const instrument smallest = read_instrument(json_file::named("smallest"));
  CHECK(smallest.name == instrument{}.name);
  CHECK(smallest.positions[0].wired == from_pickup("only"));
  CHECK(smallest.controls.empty());
}

TEST_CASE("every key says what its member says") {
  const instrument_file file = read_instrument_file(json_file::named("every_key"));
  const instrument& of = file.built;
  const magnetic_coil coil{.inductance = 2.2_H,
                           .resistance = 6.3_kOhm,
                           .capacitance = 110_pF,
                           .start_to_ground = 20_pF,
                           .end_to_ground = 5_pF,
                           .eddy = {{{0.56_H, 20_kOhm}, {100_mH, 150_kOhm}}},
                           .parallel_loss = 2.2_MOhm,
                           .emf = 0.3_V,
                           .emf_corner = 6_kHz,
                           .turns_area = 0.9,
                           .winding = winding_sense::counterclockwise,
                           .magnet = magnet_sense::south_up,
                           .connection = coil_connection::reversed,
                           .cover = cover_bond::start,
                           .lead = {40_cm, 120_pF_per_m},
                           .name = "coil"};
  CHECK(std::get<magnetic_coil>(of.pickups[0]) == coil);
  const auto& pair = std::get<coil_pair>(of.pickups[1]);
  CHECK(pair.first.name == "slug side");
  CHECK(pair.first.emf == 1.1_V);
  CHECK(pair.second.name == "second coil");
  CHECK(pair.second.winding == winding_sense::counterclockwise); // as in code, where nothing is said
  CHECK(pair.second.magnet == magnet_sense::south_up);
  CHECK(pair.coupling == 0.1);
  CHECK(pair.between == 12_pF);
  CHECK(pair.lead == screened_lead{0.3_m, 150_pF_per_m});
  const active_pickup active{.output_resistance = 10_kOhm,
                             .emf = 0.5_V,
                             .limit = band_limit{9_kHz, 0.8},
                             .supply_current = 80_uA,
                             .unpowered_resistance = 47_kOhm,
                             .voltage_noise = 300e-9,
                             .turns_area = 0.05,
                             .name = "active"};
  CHECK(std::get<active_pickup>(of.pickups[2]) == active);
  CHECK(std::get<piezo>(of.pickups[3]) == piezo{1_nF, 2_V, "saddle"});

  const potentiometer volume{.total = 500_kOhm,
                             .law = within_travel(taper::audio(0.15), 270, 300),
                             .end_resistance = 3_Ohm,
                             .tolerance = 0.10,
                             .cut_at_full = true};
  CHECK(of.controls[0] == control{"volume", {volume}, knob(8.5)});
  CHECK(of.controls[1].sections[0] == potentiometer{.total = 250_kOhm, .law = blend_m_taper});
  CHECK(of.controls[1].sections[1].law == within_travel(blend_n_taper, 0.95, 1));
  CHECK(of.controls[1].at == rotation(0.5));
  CHECK(of.controls[2].sections[0].law == taper::reverse_audio(0.12));
  CHECK(of.controls[3].sections[0].law == taper::s_shaped(0.2));
  CHECK(of.controls[4].sections[0].law == taper::two_slopes(0.5, 0.2));
  const taper_point points[] = {{0, 0}, {0.25, 0.03}, {0.5, 0.1}, {1, 1}};
  CHECK(of.controls[5].sections[0].law == taper::measured(points));
  CHECK(of.controls[6].sections[0].law == linear_taper);

  wiring magnetic = joined_in_series(
      {from_pickup("coil", {point_step("coil's hot lead")}), from_pickup("pair")}, {volume_step("blend.1")});
  magnetic.of[0].leads_swapped = magnetic.leads_swapped = true;
  magnetic.of[1].mode = pickup_mode::second;
  magnetic.of[1].across_idle_coil = 4.7_kOhm;
  magnetic.then[0].wiper_to_low = network(1_MOhm);
  CHECK(of.circuits[0] == position{"magnetic side", magnetic});
  const wiring_step& amplifier = of.circuits[1].wired.of[1].then[0];
  CHECK(amplifier.name == "preamplifier");
  CHECK(amplifier.amplifier == onboard_amplifier{1.5, 10_MOhm, 5_pF, 1_kOhm, 8e-9, 0.5e-12, 300_uA});
  CHECK(of.circuits[1].wired.of[1].then[1].amplifier == onboard_amplifier{});
  const wiring_step& reversed_volume = of.circuits[1].wired.then[0];
  CHECK(reversed_volume.is == wiring_step::kind::reversed_volume);
  CHECK(reversed_volume.control == "blend.2");
  CHECK(*reversed_volume.bleed == network(680_pF));
  CHECK(*reversed_volume.across_track == network(1_MOhm));
  CHECK(*reversed_volume.wiper_to_low == network(470_kOhm));
  CHECK(of.positions[0].wired.of[0].then[0] == series_step(1_kOhm));
  CHECK(of.positions[2].wired.mode == pickup_mode::parallel);
  CHECK(of.output[0].bleed->of[1] == network(capacitor_of(dielectric::polypropylene, 1_nF)));
  CHECK(of.output[0].across_track->name == "across the track");
  network choke = 3_H;
  choke.name = "choke";
  CHECK(of.output[2].part == in_a_row({rheostat("second tone", lugs::two_three), choke, 10_nF}));
  CHECK(of.output[1].part.of[1].capacitor == capacitor{22_nF, 0.01, 10_kHz});

  CHECK(of.supply->cell.designation == "LR6");
  CHECK(of.supply->cell.capacity ==
        charge_range{electric_charge::from_value(7200), electric_charge::from_value(10080)});
  CHECK(of.supply->cell.internal_resistance == 0.2_Ohm);
  CHECK(of.supply->in_series == 2);
  CHECK(of.supply->jack == jack_wiring::switching_contact);
  CHECK(of.supply->lost_at_rails == 1.4_V);
  CHECK(file.plugged_into[0].into == input{1_MOhm, 40_pF, 68_kOhm});
  CHECK(file.plugged_into[0].lead.length == 6_m);
  CHECK(file.plugged_into[0].lead.capacitance == 95_pF_per_m);
  CHECK(file.plugged_into[0].lead.resistance.value() == 50e-3);
  CHECK(file.plugged_into[0].lead.inductance.value() == 1e-6);
  CHECK(file.plugged_into[0].voltage_noise == 5e-9);
  CHECK(file.plugged_into[0].current_noise == 1e-14);
  CHECK(file.plugged_into[1].lead == destination{}.lead);
}

TEST_CASE("writing what was read gives the same instrument") {
  std::size_t files = 0;
  for (const auto& path : json_file::all_in(json_file::folder())) {
    CAPTURE(path.string());
    const instrument_file file = read_instrument_file(json_file::text_of(path));
    const std::string written = write_instrument_file(file);
    CHECK(read_instrument_file(written) == file);
    CHECK(write_instrument_file(read_instrument_file(written)) == written);
    ++files;
  }
  CHECK(files >= 4);
  CHECK(again(demo::two_pickups()) == demo::two_pickups());
  CHECK(again(demo::mixed()) == demo::mixed());
}

TEST_CASE("every taper is written in words, or as its table") {
  const auto law = [](const taper& t) {
    std::string text = write_instrument(with(t));
    CHECK(read_instrument(text) == with(t));
    // On one line, however it was laid out.
    for (auto at = text.find("\n"); at != text.npos; at = text.find("\n", at))
      text.replace(at, text.find_first_not_of(' ', at + 1) - at, " ");
    const auto from = text.find("\"taper\": ");
    return from == text.npos ? "" : text.substr(from + 9, text.find(", \"knob\"") - from - 9);
  };
  CHECK(law(linear_taper) == "");
  CHECK(law(audio_taper) == "\"audio 15 %\"");
  CHECK(law(reverse_audio_taper) == "\"reverse audio 15 %\"");
  CHECK(law(taper::audio(0.075)) == "\"audio 7.5 %\"");
  CHECK(law(taper::s_shaped(0.2)) == "\"s-shaped 20 %\"");
  CHECK(law(taper::two_slopes(0.6, 0.15)) == "\"two slopes, 15 % at 60 %\"");
  CHECK(law(blend_m_taper) == "\"blend M\"");
  CHECK(law(blend_n_taper) == "\"blend N\"");
  CHECK(law(within_travel(audio_taper, 270, 300)) == "\"audio 15 %\", \"electrical_travel\": \"90 %\"");
  const taper_point points[] = {{0, 0}, {0.5, 0.1}, {1, 1}};
  CHECK(law(taper::measured(points)) == "[[0, 0], [0.5, 0.1], [1, 1]]");

  std::uint64_t state = 1;
  for (std::size_t i = 0; i < check::draws(300); ++i) {
    const double mid = 0.001 + 0.499 * part_of_one(state), knee = 0.001 + 0.998 * part_of_one(state);
    const double fraction = part_of_one(state);
    const taper_point measured[] = {{0, 0.5 * mid}, {knee, mid}, {1, 1}};
    for (const taper& t : {taper::audio(mid), taper::reverse_audio(mid), taper::s_shaped(mid),
                           taper::two_slopes(knee, fraction), taper::measured(measured),
                           within_travel(taper::audio(mid), 360 * knee, 360)}) {
      instrument of = with(t);
      of.controls[0].at = rotation(fraction);
      CHECK(again(of) == of);
    }
  }
}

TEST_CASE("a part as text is what its unit says") {
  const auto reads = [](const char* text, const network& expected) {
    CAPTURE(text);
    const std::string file =
        json_file::replaced(json_file::named("two_pickups"), "\"22n\"", "\"" + std::string(text) + "\"");
    const instrument of = read_instrument(file);
    CHECK(of.output[0].part.of[1] == expected);
  };
  for (const char* text : {"470k", "470K", "470 kΩ", "470kohm", "0.47M", "0M47"}) reads(text, 470_kOhm);
  for (const char* text : {"470R", "470 Ω", "470 ohm"}) reads(text, 470_Ohm);
  for (const char* text : {"1Meg", "1M", "1M0"}) reads(text, 1_MOhm);
  for (const char* text : {"22n", "22nF", "22 nF", "0.022u", "0.022 µF", "22000p"}) reads(text, 22_nF);
  for (const char* text : {"4n7", "4.7nF"}) reads(text, 4.7_nF);
  for (const char* text : {"3H", "3 H", "3H0", "3000mH"}) reads(text, 3_H);
  for (const char* text : {"22uH", "22 µH"}) reads(text, 22_uH);
  reads("4n7H", 4.7_nH);
  reads("22mF", network(capacitance::from_value(22e-3)));
  reads("22 mH", 22_mH);
  reads("22mΩ", network(resistance::from_value(22e-3)));

  // What is written has its unit and is read alike, however large or small.
  std::uint64_t state = 2;
  for (std::size_t i = 0; i < check::draws(300); ++i) {
    const double value = std::pow(10., 60 * part_of_one(state) - 30);
    for (const network& n : {network(resistance::from_value(value)), network(capacitance::from_value(value)),
                             network(inductance::from_value(value))})
      CHECK(again(with(n)) == with(n));
  }
  for (const network& n : {network(resistance{}), network(capacitance{}), network(inductance{})})
    CHECK(again(with(n)) == with(n));
}

TEST_CASE("values of every size come back") {
  std::uint64_t state = 3;
  instrument of = demo::mixed();
  for (std::size_t i = 0; i < check::draws(200); ++i) {
    const auto any = [&] { return std::pow(10., 40 * part_of_one(state) - 20); };
    auto& coil = std::get<magnetic_coil>(of.pickups[0]);
    coil.inductance = inductance::from_value(any());
    coil.resistance = resistance::from_value(any());
    coil.emf_corner = frequency::from_value(any());
    coil.eddy[1] = {inductance::from_value(any()), resistance::from_value(any())};
    coil.lead = {length::from_value(any()), capacitance_per_length::from_value(any())};
    coil.turns_area = any();
    auto& active = std::get<active_pickup>(of.pickups[1]);
    active.voltage_noise = any();
    active.limit = band_limit{frequency::from_value(any()), any()};
    of.controls[0].sections[0].tolerance = part_of_one(state);
    of.supply->cell.designation = "cell";
    of.supply->cell.capacity.lowest = electric_charge::from_value(any());
    of.supply->cell.capacity.highest = of.supply->cell.capacity.lowest * 1.5;
    const destination to{.lead = {.length = length::from_value(any()),
                                  .resistance = resistance_per_length::from_value(any()),
                                  .inductance = inductance_per_length::from_value(any())},
                         .current_noise = any()};
    const instrument_file file{of, {to}};
    CHECK(read_instrument_file(write_instrument_file(file)) == file);
  }
}

TEST_CASE("the text is one that a person would write") {
  CHECK(write_instrument(read_instrument(json_file::named("smallest"))) == R"({
  "name": "instrument",
  "pickups": [
    {
      "name": "only",
      "kind": "coil",
      "inductance": "3 H",
      "resistance": "7 kΩ",
      "capacitance": "100 pF"
    }
  ],
  "positions": [{"name": "on", "wiring": {"pickup": "only"}}]
}
)");
}

TEST_CASE("what no file can hold is not written") {
  instrument of = demo::mixed();
  const auto error = [&] {
    try {
      (void)write_instrument(of);
    } catch (const document_error& e) {
      return std::string(e.what());
    }
    return std::string("no error");
  };
  CHECK(error() == "no error");
  of.name = "a\nb";
  CHECK(error().starts_with("name is "));
  of.name = "\xff";
  CHECK(error() == "document is with a name that is no UTF-8; allowed: names in UTF-8");
  of.name = std::string(101, 'x');
  CHECK(error() == "name is a text of 101 bytes; allowed: at most 100 bytes");
  of = demo::mixed();
  of.positions.clear();
  CHECK(check::error_of([&] { (void)write_instrument(of); }) ==
        "positions is an empty list; allowed: one position or more");
}
