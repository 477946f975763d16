// SPDX-License-Identifier: BSL-1.0
// What becomes of a pot's taper once something hangs on the wiper?
//
//   taper_under_load --pot 250k --taper linear --load 22k
//   taper_under_load --pot 500k --taper audio --mid 10% --load 1M --source 8k
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/circuit/response.hpp>

#include "calculator.hpp"

namespace {

using namespace calculator;

struct taper_under_load {
  static constexpr const char* question = "What becomes of a pot's taper once something hangs on the wiper?";
  resistance pot = 500_kOhm, load = 100_kOhm, behind = 7.7_kOhm;
  std::string taper_name = "audio";
  double mid = 0.15;
  CLI::Option* mid_option = nullptr;

  void declare(options& o) {
    o.value("--pot", pot, "from end to end");
    o.word("--taper", taper_name, "its law", {"linear", "audio", "reverse-audio"});
    mid_option = o.percent("--mid", mid, "of a curved law: part of the track at half travel", 0.001, 0.5);
    o.value("--load", load, "what hangs on the wiper");
    o.value("--source", behind, "resistance of what feeds the pot");
  }
  [[nodiscard]] answer find() const {
    if (taper_name == "linear" && mid_option->count() > 0)
      throw invalid_value("--mid", plain_number(100 * mid) + " %", "only with a curved law, not with linear");
    const potentiometer part{.total = pot,
                             .law = taper_name == "linear"  ? linear_taper
                                    : taper_name == "audio" ? taper::audio(mid)
                                                            : taper::reverse_audio(mid)};
    const auto ratio = [&](double number, bool loaded) {
      const source fed = ideal_emf(1_V) | in_series(loaded ? behind : resistance{});
      const source out = fed | part.as_divider(knob(number));
      return std::abs(response(loaded ? out | in_shunt(load) : out, 1_kHz));
    };
    std::vector<std::vector<cell>> rows;
    for (const double number : {10., 8., 6., 5., 4., 2., 1.}) {
      const stage control = part.as_divider(knob(number)) | in_shunt(load);
      rows.push_back({of(number), of(100 * part.law(knob(number)), 1),
                      of(voltage_level(ratio(number, false))),
                      of(voltage_level(ratio(number, true) / ratio(10, true))),
                      of(resistance::from_value(input_impedance(control, 1_kHz).value().real()))});
    }
    answer a;
    a.show("knobs",
           "knob=knob, track %=track_percent, alone dB=alone_db, loaded dB=loaded_db, source "
           "sees=source_sees_ohm",
           rows);
    const double half = ratio(5, true) / ratio(10, true);
    const double lost = -voltage_level(ratio(10, true)).value();
    a.figures["half_travel"] = half;
    a.figures["lost_at_full_db"] = lost;
    a.say("Levels are relative to full. With " + engineering(load, 3) +
          " on the wiper this pot acts at half " + "travel like one of " + fixed_number(100 * half, 1) +
          " % that carries nothing; its own law has " + fixed_number(100 * part.law(knob(5)), 1) +
          " % there.");
    a.say("At full, " + decibels(lost) + " dB are lost in the " + engineering(behind, 3) + " of the source.");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<taper_under_load>(count, arguments); }
