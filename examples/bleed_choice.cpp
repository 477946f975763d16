// SPDX-License-Identifier: BSL-1.0
// Which treble bleed keeps the treble as the volume is turned down?
//
//   bleed_choice --volume 250k --taper linear --cable 3m --capacitor 1n --in-line 150k
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/analysis/level.hpp>
#include <lodewire/quantity/preferred.hpp>

#include "calculator.hpp"

namespace {
using namespace calculator;

struct bleed_choice {
  static constexpr const char* question = "Which treble bleed keeps the treble as the volume is turned down?";
  using network = std::pair<std::string, potentiometer_wiring>;
  signal_path path;
  std::optional<capacitance> own;
  std::optional<resistance> beside, in_line;
  void declare(options& o) {
    path.declare(o);
    path.declare_taper(o);
    auto* const c = o.value("--capacitor", own, "judge this bleed, too");
    auto* const r = o.value("--resistor", beside, "with --capacitor, beside it")->needs(c);
    o.value("--in-line", in_line, "with --capacitor, a resistor in line with it")->needs(c)->excludes(r);
  }
  [[nodiscard]] static network made(capacitance c, std::optional<resistance> r, std::optional<resistance> s) {
    if (r) return {engineering(c, 3) + " ∥ " + engineering(*r, 3), {.bleed = parallel(c, *r)}};
    if (s) return {engineering(c, 3) + " + " + engineering(*s, 3), {.bleed = series(c, *s)}};
    return {engineering(c, 3), {.bleed = c}};
  }
  /// A frequency against 100 Hz, compared with the knob at full.
  [[nodiscard]] double tilt(const network& n, double number, frequency f = 3_kHz) const {
    const source now = path.coil | path.after(knob(number), n.second),
                 full = path.coil | path.after(knob(10));
    return (level(now, f) - level(now) - level(full, f) + level(full)).value();
  }
  /// How far 1 to 5 kHz stray from what they are at full: rms over knob and frequency.
  [[nodiscard]] double unevenness(const network& n) const {
    double squares = 0;
    for (int k = 0; k < 20; ++k) squares += std::pow(tilt(n, 2 + 2 * (k % 4), (1. + k / 4) * 1_kHz), 2);
    return std::sqrt(squares / 20);
  }
  [[nodiscard]] answer find() const {
    std::vector<network> best(4, {"none", {}}); // no bleed, capacitor, resistor beside it, resistor in line
    const auto keep = [&](network& kept, const network& n) {
      if (kept.first == "none" || unevenness(n) < unevenness(kept)) kept = n;
    };
    for (const capacitance& c : all_in_range(e_series::e6, 100_pF, 4.7_nF)) {
      keep(best[1], made(c, {}, {}));
      for (const resistance& r : all_in_range(e_series::e6, path.volume.total / 5., path.volume.total)) {
        keep(best[2], made(c, r, {}));
        keep(best[3], made(c, {}, r));
      }
    }
    if (own) best.push_back(made(*own, beside, in_line));
    std::vector<std::vector<cell>> rows;
    network choice = best[0];
    for (const network& n : best) {
      if (unevenness(n) < unevenness(choice)) choice = n;
      const source half = path.coil | path.after(knob(5), n.second), full = path.coil | path.after(knob(10));
      rows.push_back({of(n.first), of(decibel(tilt(n, 8))), of(decibel(tilt(n, 6))), of(decibel(tilt(n, 4))),
                      of(decibel(tilt(n, 2))), of(unevenness(n), 1), of(level(half) - level(full))});
    }
    answer a(true);
    a.show("bleeds", "bleed=bleed, at 8=db_8, at 6=db_6, at 4=db_4, at 2=db_2, uneven=db_rms, level at 5=db",
           rows);
    a.say("All in dB: what turning down from 10 does to 3 kHz, how uneven that leaves 1 to 5 kHz, the level "
          "at 5. "
          "From wiper to clockwise lug; ∥ a resistor beside it, + in line. Most even: " +
          choice.first + ".");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<bleed_choice>(count, arguments); }
