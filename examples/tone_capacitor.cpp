// SPDX-License-Identifier: BSL-1.0
// Which tone capacitor gives the tone that I want with the knob at 0?
//
//   tone_capacitor --corner 900Hz
//   tone_capacitor --coil 2.4H --wire 6k8 --tone 250k --tone-capacitor 33n
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/analysis/level.hpp>
#include <lodewire/quantity/preferred.hpp>

#include "calculator.hpp"

namespace {

using namespace calculator;

struct tone_capacitor {
  static constexpr const char* question =
      "Which tone capacitor gives the tone that I want with the knob at 0?";
  signal_path path;
  frequency corner = 1_kHz;

  void declare(options& o) {
    path.declare(o);
    o.value("--corner", corner, "wanted: 3 dB down there, the tone at 0");
  }
  [[nodiscard]] source at_zero(capacitance c) const {
    return path.coil | path.after(path.toned(rotation(0), c));
  }
  /// How far from the wanted corner, as a ratio.
  [[nodiscard]] double off(capacitance c) const {
    const resonance r = find_resonance(at_zero(c));
    return r.edge ? std::abs(std::log(*r.edge / corner)) : open_value;
  }
  [[nodiscard]] answer find() const {
    const std::vector<capacitance> made = all_in_range(e_series::e6, 1_nF, 220_nF);
    const capacitance choice = *std::min_element(
        made.begin(), made.end(), [&](capacitance x, capacitance y) { return off(x) < off(y); });
    std::vector<capacitance> shown{4.7_nF, 10_nF, 22_nF, 47_nF, 100_nF, path.tone_capacitor, choice};
    std::sort(shown.begin(), shown.end());
    shown.erase(std::unique(shown.begin(), shown.end()), shown.end());
    const source full = path.coil | path.after(rotation(1));
    std::vector<std::vector<cell>> rows;
    for (const capacitance& c : shown) {
      const source s = at_zero(c);
      const resonance r = find_resonance(s);
      rows.push_back({of(c), peak_of(r), height_of(r), of(r.edge), of(level(s, 1_kHz) - level(full, 1_kHz)),
                      of(level(s, 3_kHz) - level(full, 3_kHz))});
    }
    answer a(true);
    a.show("capacitors",
           "capacitor=capacitor_f, bump at=bump_hz, bump dB=bump_db, -3 dB at=edge_hz, 1 kHz "
           "dB=change_1_khz_db, "
           "3 kHz dB=change_3_khz_db",
           rows);
    a.figures["choice_f"] = choice.value();
    a.say("All with the tone at 0. The bump is where coil and capacitor resonate; the last two columns are "
          "what "
          "turning down from 10 does there, with " +
          engineering(path.tone_capacitor, 3) + " now.");
    a.say("For 3 dB down at " + engineering(corner, 3) + ": " + engineering(choice, 3) + ", which gives " +
          of(find_resonance(at_zero(choice)).edge).text + ".");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<tone_capacitor>(count, arguments); }
