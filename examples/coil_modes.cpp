// SPDX-License-Identifier: BSL-1.0
// What do series, parallel and split do to a pickup of two coils?
//
//   coil_modes --first 2.1H,4k,90p --second 2.2H,4k1,90p
//   coil_modes --bypass 4k7 --volume 250k
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/analysis/dc_resistance.hpp>
#include <lodewire/analysis/level.hpp>
#include <lodewire/instrument/hum.hpp>
#include <lodewire/parts/coil_pair.hpp>

#include "calculator.hpp"

namespace {

using namespace calculator;

struct coil_modes {
  static constexpr const char* question = "What do series, parallel and split do to a pickup of two coils?";
  signal_path path;
  std::vector<std::string> first{"1.9H", "3k8", "90p"}, second{"2.05H", "3k9", "90p"};
  double coupling = 0.08;
  std::optional<resistance> bypass;

  void declare(options& o) {
    o.text("--first", first, "inductance,wire,capacitance of a coil (1.9H,3k8,90p)")
        ->delimiter(',')
        ->expected(3);
    o.text("--second", second, "and of the other one (2.05H,3k9,90p)")->delimiter(',')->expected(3);
    o.number("--coupling", coupling, "of the two", 0, 1);
    o.value("--bypass", bypass, "a resistor across the idle coil: a partial split");
    path.declare_rest(o);
  }
  [[nodiscard]] static magnetic_coil read(const std::vector<std::string>& from, const std::string& option) {
    return {.inductance = read_value<inductance>(from[0], option),
            .resistance = read_value<resistance>(from[1], option),
            .capacitance = read_value<capacitance>(from[2], option),
            .name = option.substr(2)};
  }
  [[nodiscard]] answer find() const {
    const coil_pair pair = humbucking_pair(read(first, "--first"), read(second, "--second"), coupling);
    std::vector<emf_role> roles;
    for (const magnetic_coil* c : {&pair.first, &pair.second})
      roles.push_back({pair.name + "." + c->name, c->signed_emf(), static_cast<double>(c->hum_sign())});
    const auto split = [&](which_coil heard) { return pair.as_single(heard, idle_coil::open()); };
    std::vector<std::pair<std::string, source>> modes{{"series", pair.as_series()},
                                                      {"parallel", pair.as_parallel()},
                                                      {"first alone", split(which_coil::first)},
                                                      {"second alone", split(which_coil::second)}};
    if (bypass)
      modes.emplace_back("partly split", pair.as_single(which_coil::first, idle_coil::bypassed(*bypass)));
    std::vector<decibel> loud, hums;
    std::vector<std::vector<cell>> rows;
    for (const auto& [name, leads] : modes) {
      const source plugged = leads | path.after(rotation(1));
      const resonance r = find_resonance(plugged);
      loud.push_back(level(plugged));
      hums.push_back(voltage_level(find_magnetic_hum(plugged, roles, 100_Hz).output));
      rows.push_back(
          {of(name), of(dc_resistance(leads)), of(loud.back() - loud[0]), {}, peak_of(r), height_of(r)});
    }
    for (std::size_t i = 0; i < rows.size(); ++i) rows[i][3] = of(hums[i] - hums[2], 0);
    answer a(true);
    a.show("modes",
           "coils=coils, meter shows=dc_resistance_ohm, level dB=level_db, hum dB=hum_db, "
           "resonance=resonance_hz, height dB=height_db",
           rows);
    a.say("Level against series and magnetic hum against the first coil alone, at 100 Hz, the coils of equal "
          "strength; the meter at the pickup's own leads. A coil alone hums as a single coil does.");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<coil_modes>(count, arguments); }
