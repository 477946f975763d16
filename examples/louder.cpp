// SPDX-License-Identifier: BSL-1.0
// Is it louder, and will it clip?
//
//   louder guitar.json --reading neck=310mV --reading bridge=240mV --limit 1V
//   louder guitar.json --reading neck=310mV --reading bridge=240mV --limit 700mV --peak-factor 2 --into "fuzz pedal"
//
// Readings: volts at the input, the strings struck the same way each time, in positions where one pickup sounds.
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/design/clipping.hpp>
#include <lodewire/design/loudness.hpp>

#include "calculator.hpp"
#include "shared/plugged_in.hpp"

namespace {
using namespace calculator;

struct louder {
  static constexpr const char* question = "Is it louder, and will it clip?";
  std::string file, into;
  std::vector<std::string> readings{"neck=460mV", "bridge=150mV"};
  voltage limit = 700_mV;
  double peak_factor = 1;

  void declare(options& o) {
    auto* const f = o.text("FILE", file, "instrument file (docs/instrument-file.md); with --reading");
    auto* const r = o.text("--reading", readings, "two, of FILE: --reading neck=310mV --reading bridge=...");
    f->needs(r->allow_extra_args(false)->needs(f));
    o.text("--into", into, "what it goes into: a name from FILE, amp, pedal, line");
    o.value("--limit", limit, "largest peak that this takes undistorted");
    o.number("--peak-factor", peak_factor, "peak over reading, where no peaks are read", 1, 20);
  }
  [[nodiscard]] static strum_reading read(const std::string& text) {
    const auto [position, value] = read_pair(text, "--reading");
    return {position, read_value<voltage>(value, "--reading " + position)};
  }
  [[nodiscard]] answer find() const {
    const auto from = examples::instrument_from_file(
        file.empty() ? examples::shipped_instrument("semi_hollow_swapped.json") : file);
    const destination plugged = examples::find_destination(from.plugged_into, into);
    if (readings.size() != 2)
      throw invalid_value("--reading", std::to_string(readings.size()) + " long", "two");
    const strum_reading first = read(readings[0]), second = read(readings[1]);
    if (first.position == second.position) throw invalid_value("--reading", readings[1], "another position");
    const strum_comparison c = compare_strums(from.built, first, second, plugged);
    const auto against = [](decibel d) {
      return decibels(std::abs(d.value())) + " dB " + (d.value() < 0 ? "quieter" : "louder");
    };
    answer a(true);
    a.figures = {{"as_read_db", c.as_read.value()},
                 {"emf_ratio_db", c.emf_ratio.value()},
                 {"of_loading_db", c.of_loading.value()}};
    a.say("Into " + plugged.name + ", '" + second.position + "' is " + against(c.as_read) + " than '" +
          first.position + "'. By itself '" + c.second.pickup + "' gives " + engineering(c.second.emf, 3) +
          " against " + engineering(c.first.emf, 3) + ": " + against(c.emf_ratio) +
          ". Loading makes the other " + decibels(c.of_loading.value()) + " dB.");
    const std::vector<measured_emf> measured{c.first, c.second};
    const instrument now = with_emfs(from.built, measured);
    std::vector<std::vector<cell>> rows;
    bool clips = false;
    for (const strum_reading& r : {first, second})
      for (const clip_stage& s : find_clipping(now, {r.position, {}, plugged}, {limit, peak_factor})) {
        clips = clips || s.clips();
        rows.push_back({of(r.position), of(s.name), of(s.peak), of(s.end_limit), of(s.end)});
      }
    a.show("stages", "position=position, at=stage, peak=peak_v, limit=limit_v, headroom dB=headroom_db",
           rows);
    a.figures["clips"] = clips;
    a.say(clips
              ? "It clips where the headroom is below 0 dB; worst case, all peaks at once, an empty battery."
              : "Nothing clips, even with all peaks at once and an empty battery.");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<louder>(count, arguments); }
