// SPDX-License-Identifier: BSL-1.0
// Which two wires do I swap so that these pickups are in phase and hum-cancelling, and may I?
//
//   phase_swap --neck-kick negative --neck-compass north --bridge-screen braid
//   phase_swap guitar.json --position both --braid bridge
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/design/phase.hpp>
#include <lodewire/design/phase_bench.hpp>

#include "calculator.hpp"
#include "shared/plugged_in.hpp"

namespace {
using namespace calculator;

struct phase_swap {
  static constexpr const char* question =
      "Which two wires do I swap so that these pickups are in phase and hum-cancelling, and may I?";
  struct on_bench {
    std::string name, kicks, compass, screen;
  };
  on_bench neck{"neck", "positive", "south", "own"}, bridge{"bridge", "negative", "north", "ground-lead"};
  std::string file, position_name;
  std::vector<std::string> braids;
  void declare(options& o) {
    auto* const f = o.text("FILE", file, "instrument file, instead of the bench; with --position");
    f->needs(o.text("--position", position_name, "of FILE, where they sound together")->needs(f));
    o.text("--braid", braids, "pickup of FILE whose braid is a conductor")->allow_extra_args(false)->needs(f);
    for (on_bench* b : {&neck, &bridge}) {
      const std::string option = "--" + b->name;
      o.word(option + "-kick", b->kicks, "meter, tool pulled off", {"positive", "negative"})->excludes(f);
      o.word(option + "-compass", b->compass, "needle end that it draws", {"north", "south"})->excludes(f);
      o.word(option + "-screen", b->screen, "ground of cover", {"own", "ground-lead", "braid"})->excludes(f);
    }
  }
  [[nodiscard]] static magnetic_coil coil_of(const on_bench& b) {
    magnetic_coil c{.inductance = 2.4_H, .resistance = 7_kOhm, .capacitance = 100_pF, .name = b.name};
    c.magnet =
        magnet_from_compass(b.compass == "north" ? needle_end::north_seeking : needle_end::south_seeking);
    c.winding = winding_from_kick(c.magnet, b.kicks == "positive" ? kick::positive : kick::negative);
    c.cover = b.screen == "own" ? cover_bond::ground : cover_bond::start;
    return c;
  }
  [[nodiscard]] answer find() const {
    instrument of{.pickups = {coil_of(neck), coil_of(bridge)}};
    of.positions = {{"both", joined_in_parallel({from_pickup("neck"), from_pickup("bridge")})}};
    phase_settings settings{.braid_is_conductor = braids};
    for (const on_bench* b : {&neck, &bridge})
      if (file.empty() && b->screen == "braid") settings.braid_is_conductor.push_back(b->name);
    if (!file.empty()) of = examples::instrument_from_file(file).built;
    const phase_answer found =
        phase_options(of, find_position(of, file.empty() ? "both" : position_name), settings);
    answer a(true);
    const phase_option& now = found.options.front();
    a.say(std::string("Now: ") + (now.in_phase ? "in phase" : "out of phase") +
          (now.cancels ? ", hum cancels." : ", hum does not cancel."));
    a.say(found.recommended ? "What brings them in phase with their hum cancelled, the least work first:"
                            : found.text);
    for (std::size_t k = 0; k < found.options.size(); ++k) {
      const phase_option& p = found.options[k];
      const bool best = found.recommended == k;
      if (!p.in_phase || !p.cancels || (a.figures["ways"].size() >= 3 && !best)) continue;
      constexpr const char* words[] = {"allowed", "only after other work", "not allowed"};
      const std::string may = words[static_cast<std::size_t>(p.may)];
      std::string way = describe(p) + ": " + may + (best ? ", do this." : ".");
      if (!file.empty()) way += " " + decibels(p.cancelling.value(), 0) + " dB of magnetic hum cancel.";
      for (const std::string& note : p.notes) way += " " + note;
      a.item(way);
      a.figures["ways"].push_back({{"do", describe(p)}, {"may", may}, {"recommended", best}});
    }
    if (file.empty()) a.say("The hum cancels as far as the two pickups are alike.");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<phase_swap>(count, arguments); }
