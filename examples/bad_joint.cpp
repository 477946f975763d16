// SPDX-License-Identifier: BSL-1.0
// What does a bad joint of so many ohms do?
//
//   bad_joint --joint 1k
//   bad_joint --joint 47k --volume 250k --tone-capacitor 47n
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/analysis/level.hpp>

#include "calculator.hpp"

namespace {

using namespace calculator;

struct bad_joint {
  static constexpr const char* question = "What does a bad joint of so many ohms do?";
  signal_path path;
  resistance joint = 10_kOhm;

  void declare(options& o) {
    path.declare(o);
    o.value("--joint", joint, "resistance of the joint or contact");
  }
  [[nodiscard]] source in_pickup_lead(resistance r) const {
    return path.coil | in_series(r) | path.after(rotation(1));
  }
  [[nodiscard]] source behind_volume(resistance r) const {
    const stage controls = path.toned(rotation(1), path.tone_capacitor) | path.volume.as_divider(rotation(1));
    return path.coil | controls | in_series(r) | path.lead | path.into;
  }
  [[nodiscard]] source in_tone_branch(resistance r) const {
    return path.coil | path.after(path.toned(rotation(0), series(r, path.tone_capacitor)));
  }
  /// At the earthed lug of a volume pot that is turned down: what is left, against full.
  [[nodiscard]] decibel under_volume(resistance r) const {
    const potentiometer_legs legs = path.volume.legs(rotation(0));
    const stage pot = in_series(legs.upper) | in_shunt(r + legs.lower);
    return level(path.coil | path.toned(rotation(1), path.tone_capacitor) | pot | path.lead | path.into) -
           level(in_pickup_lead({}));
  }
  /// The joint in the pickup's lead that takes 1 dB.
  [[nodiscard]] resistance takes_one_db() const {
    resistance low{}, high = 1_GOhm;
    for (int i = 0; i < 80; ++i) {
      const decibel lost = level(in_pickup_lead({})) - level(in_pickup_lead((low + high) / 2.));
      (lost < 1_dB ? low : high) = (low + high) / 2.;
    }
    return low;
  }
  [[nodiscard]] answer find() const {
    std::vector<std::vector<cell>> rows;
    const auto add = [&](const std::string& place, const auto& with) {
      const auto change = [&](frequency f) { return of(level(with(joint), f) - level(with({}), f), 2); };
      rows.push_back({of(place), change(100_Hz), change(1_kHz), change(3_kHz)});
    };
    add("in the pickup's lead", [&](resistance r) { return in_pickup_lead(r); });
    add("from volume pot to jack", [&](resistance r) { return behind_volume(r); });
    add("at the tone capacitor, tone 0", [&](resistance r) { return in_tone_branch(r); });
    answer a(true);
    a.show("changes", "joint=joint, 100 Hz=db_100_hz, 1 kHz=db_1_khz, 3 kHz=db_3_khz", rows);
    a.figures["rest_at_volume_0_db"] = under_volume(joint).value();
    a.figures["takes_1_db_ohm"] = takes_one_db().value();
    a.say("Changes in dB that " + engineering(joint, 3) +
          " makes. At the earthed lug of the volume pot it leaves " + decibels(under_volume(joint).value()) +
          " dB at 0, instead of " + decibels(under_volume({}).value()) + " dB.");
    // That bad ones crackle, and milliohms of a good one: common practice, no source.
    a.say(
        "In the pickup's lead it takes " + engineering(takes_one_db(), 3) +
        " to lose 1 dB. A good joint has milliohms; a bad one crackles and drops out long before it dulls.");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<bad_joint>(count, arguments); }
