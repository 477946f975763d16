// SPDX-License-Identifier: BSL-1.0
// Which fault gives the reading that my meter shows?
//
//   meter_fault guitar.json --reading neck=3k9 --reading bridge=open --knob "neck volume=7"
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/design/meter.hpp>
#include <lodewire/design/next_measurement.hpp>

#include "calculator.hpp"
#include "shared/plugged_in.hpp"

namespace {
using namespace calculator;

[[nodiscard]] std::string shown_text(resistance r) { return r > 20_MOhm ? "open" : engineering(r, 3); }

struct meter_fault {
  static constexpr const char* question = "Which fault gives the reading that my meter shows?";
  std::string file;
  std::vector<std::string> readings, knobs;
  void declare(options& o) {
    auto* const f = o.text("FILE", file, "instrument file (docs/instrument-file.md); with --reading");
    auto* const r = o.text("--reading", readings, "of FILE, at the jack: neck=3k9 or neck=open; repeat it");
    f->needs(r->allow_extra_args(false)->needs(f));
    o.text("--knob", knobs, "of FILE, for all readings: volume=7; repeat it")
        ->allow_extra_args(false)
        ->needs(f);
  }
  [[nodiscard]] static meter_reading read(const std::string& text) {
    const auto [position, value] = read_pair(text, "--reading");
    if (value == "open") return {position, resistance::from_value(open_value)};
    const auto [shown, tolerance] = read_marking<resistance>(value, "--reading " + position);
    if (tolerance) throw text_error("--reading", value, 1, "a value without a tolerance");
    return {position, shown};
  }
  [[nodiscard]] answer find() const {
    instrument of =
        examples::instrument_from_file(file.empty() ? examples::shipped_instrument("semi_hollow.json") : file)
            .built;
    for (const std::string& k : knobs) examples::turn_knob(of, k);
    std::vector<meter_reading> taken;
    for (const std::string& r : readings) taken.push_back(read(r));
    if (readings.empty()) taken = {{"neck", 3.85_kOhm}, {"bridge", 8.4_kOhm}, {"both", 2.64_kOhm}};
    answer a(true);
    for (const meter_reading& r : taken) a.item("'" + r.position + "' reads " + shown_text(r.shown));
    const std::vector<hypothesis> all = rank_faults(of, taken);
    std::vector<hypothesis> fit;
    std::copy_if(all.begin(), all.end(), std::back_inserter(fit), [](const hypothesis& h) { return h.fits; });
    a.figures["fitting"] = fit.size();
    a.say(fit.empty() ? "No single fault explains that; the nearest is:"
                      : "What explains it, the likeliest first, and what the meter would show:");
    for (std::size_t i = 0; i < std::clamp<std::size_t>(fit.size(), 1, 5); ++i) {
      const hypothesis& h = fit.empty() ? all[i] : fit[i];
      json shown;
      std::string list;
      for (const resistance& r : h.shown) {
        shown.push_back(r > 20_MOhm ? json() : json(r.value()));
        list += (list.empty() ? ": " : ", ") + shown_text(r);
      }
      a.item(h.text + list);
      a.figures["faults"].push_back({{"fault", h.text}, {"score", h.score}, {"shown_ohm", shown}});
    }
    if (fit.size() > 5) a.say(std::to_string(fit.size() - 5) + " more fit as well: take another reading.");
    if (fit.size() < 2) return a;
    const auto next = next_measurement(of, fit[0].fault, fit[1].fault);
    std::string setting;
    for (std::size_t c = 0; next && c < of.controls.size(); ++c)
      if (const double at = next->setting.knobs[c].value(); at < 1)
        setting += ", '" + of.controls[c].name + "' at " + plain_number(10 * at);
    a.say(next ? "To tell the first two apart: position '" + next->setting.position + "'" + setting +
                     ", all else at 10. " + shown_text(next->first) + " says the first, " +
                     shown_text(next->second) + " the second."
               : "No reading at the jack tells the first two apart: measure inside.");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<meter_fault>(count, arguments); }
