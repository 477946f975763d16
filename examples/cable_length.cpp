// SPDX-License-Identifier: BSL-1.0
// How far does a cable pull the resonance down, and how long may it be?
//
//   cable_length --coil 2.4H --wire 6k8 --cable 3m
//   cable_length --resonance 3k --per-metre 85pF/m
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "calculator.hpp"

namespace {

using namespace calculator;

struct cable_length {
  static constexpr const char* question =
      "How far does a cable pull the resonance down, and how long may it be?";
  signal_path path;
  std::optional<frequency> wanted;

  void declare(options& o) {
    path.declare(o);
    o.value("--resonance", wanted, "instead of --cable: how long may it be for this resonance?")
        ->excludes(o.get("--cable"));
  }
  [[nodiscard]] resonance with(length l) const {
    signal_path now = path;
    now.lead.length = l;
    return find_resonance(now.coil | now.after(rotation(1)));
  }
  /// By halving: the longer the cable, the lower the resonance.
  [[nodiscard]] length longest() const {
    length low{}, high = 100_m;
    const resonance none = with(low), all = with(high);
    if (!none.has_peak || !all.has_peak)
      throw invalid_value("--resonance", engineering(*wanted),
                          "none: without cable, or with 100 m, there is no peak");
    require_within("--resonance", *wanted, all.peak, none.peak);
    for (int i = 0; i < 60; ++i) (with((low + high) / 2.).peak > *wanted ? low : high) = (low + high) / 2.;
    return low;
  }

  [[nodiscard]] answer find() const {
    const length asked = wanted ? longest() : path.lead.length;
    std::vector<length> lengths{1_m, 3_m, 6_m, 10_m, asked};
    std::sort(lengths.begin(), lengths.end());
    lengths.erase(std::unique(lengths.begin(), lengths.end()), lengths.end());
    answer a;
    std::vector<std::vector<cell>> rows;
    for (const length& l : lengths) {
      const resonance r = with(l);
      rows.push_back({of(l), of(l * path.lead.capacitance), peak_of(r), height_of(r), of(r.edge)});
    }
    a.show("lengths",
           "cable=cable_m, capacitance=capacitance_f, resonance=resonance_hz, height dB=height_db, -3 dB "
           "at=edge_hz",
           rows);
    const resonance here = with(asked), longer = with(asked + 1_m);
    if (wanted) {
      a.figures["longest_cable_m"] = asked.value();
      a.say("The resonance stays at " + engineering(*wanted, 3) + " or above with up to " +
            engineering(asked, 3) + " of this cable.");
    } else if (here.has_peak && longer.has_peak) {
      a.say("With " + engineering(asked, 3) + " the resonance is at " + engineering(here.peak, 3) +
            "; the next metre lowers it by " + engineering(here.peak - longer.peak, 3) + ".");
    } else {
      a.say("No peak is left with " + engineering(asked, 3) + ": a longer cable takes more treble.");
    }
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<cable_length>(count, arguments); }
