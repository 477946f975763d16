// SPDX-License-Identifier: BSL-1.0
// How would that recording have sounded with the instrument wired another way?
//
//   render_change                            the demo: a chord through an instrument before and after a change
//   render_change IN.wav OUT.wav --from guitar.json --to guitar.json --position bridge --to-knob tone=3
//   render_change IN.wav OUT.wav --from before.json --to after.json --position neck --match-loudness
//   render_change --from before.json --to after.json --position neck        what it would do, no file
#include <CLI/CLI.hpp>
#include <sndfile.h>

#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include <lodewire/digital/rewiring.hpp>

#include "program.hpp"
#include "render_change/demo.hpp"
#include "table.hpp"

namespace {

using namespace lodewire;
using namespace render_example;

struct options {
  std::string in, out, folder;
  state from, to;
  std::vector<std::string> to_knobs;
  bool match = false;
  double limit = 24;
};

/// What holds for both instruments stands in the options without `to`.
void complete(options& o) {
  o.to.knobs = o.from.knobs;
  o.to.knobs.insert(o.to.knobs.end(), o.to_knobs.begin(), o.to_knobs.end());
  if (o.to.position.empty()) o.to.position = o.from.position;
  if (o.to.into.empty()) o.to.into = o.from.into;
  if (o.to.cable.empty()) o.to.cable = o.from.cable;
}

void describe(const rewiring& r, double limit) {
  std::string emfs;
  for (const std::string& name : r.emfs) emfs += (emfs.empty() ? "" : ", ") + name;
  print("EMFs that reach the output, with one ratio of new to old: " + emfs);
  examples::table shown({"Hz", "change"});
  for (const double hz : {100., 200., 500., 1000., 2000., 3000., 4000., 5000., 7000., 10000., 14000., 18000.})
    if (hz < 0.45 * r.design.rate.value())
      shown.add({fixed_number(hz, 0), signed_db(20 * std::log10(std::abs(r.design.filter.response(
                                                         from_si<frequency>(hz), r.design.rate))))});
  std::fputs(shown.text().c_str(), stdout);
  print(r.limited ? "Limited to " + fixed_number(limit, 0) + " dB: the exact change reaches " +
                        signed_db(r.largest_gain.value()) + " at " + engineering(r.largest_gain_at, 3) +
                        ", where the recording holds little but noise."
                  : "Off the exact ratio by " + fixed_number(r.design.error.db, 3) + " dB at most, " +
                        engineering(r.design.over.lowest, 3) + " to " +
                        engineering(r.design.over.highest, 3) + ".");
}

void render_file(const options& o) {
  const source from = source_of(o.from), to = source_of(o.to);
  const auto design = [&](double rate) {
    return design_rewiring(from, to, from_si<frequency>(rate), {.gain_limit = decibel(o.limit)});
  };
  if (o.in.empty()) return describe(design(48e3), o.limit);
  refuse_to_overwrite(o.out);
  const recording in = read_recording(o.in);
  const rewiring r = design(in.rate);
  describe(r, o.limit);
  recording out = rendered(in, r.design.filter, 0.25);
  const double before = level(in.channels, in.rate, frequency_weighting::a);
  const double after = level(out.channels, out.rate, frequency_weighting::a) +
                       10 * std::log10(static_cast<double>(out.frames()) / static_cast<double>(in.frames()));
  print("Level, A-weighted: " + signed_db(after - before));
  if (o.match) {
    amplify(out, before - after);
    print("Loudness matched: " + signed_db(before - after) + " put on top.");
  }
  if (in.not_numbers > 0)
    print(std::to_string(in.not_numbers) + " samples were no numbers; they are taken as silence.");
  const double peak = peak_db(out);
  print("Highest sample: " + signed_db(peak) + " re full scale" +
        (peak > 0 ? "; the file holds it, a converter will clip it." : "."));
  write_recording(out, o.out);
  print("Written: " + o.out + " (WAV, 32-bit float)");
}

} // namespace

int main(int count, char** arguments) {
  CLI::App app{
      "How would that recording have sounded with the instrument wired another way?\nWithout arguments: "
      "the demo, two files and a picture in a new folder. With --from and --to alone: the change in dB."};
  options o;
  auto* const in =
      app.add_option("IN", o.in, "recording: any format that libsndfile reads, one or two channels");
  auto* const out = app.add_option("OUT", o.out, "WAV file to write; it must not exist");
  auto* const from =
      app.add_option("--from", o.from.file, "instrument that was recorded (docs/instrument-file.md)");
  auto* const to = app.add_option("--to", o.to.file, "instrument that is wanted: the same pickups");
  from->needs(to);
  to->needs(from);
  in->needs(out)->needs(from);
  const auto several = [](CLI::Option* option) { option->take_all()->allow_extra_args(false); };
  app.add_option("--position", o.from.position, "of the selector")->needs(from);
  app.add_option("--to-position", o.to.position, "of the wanted one, if another")->needs(from);
  several(app.add_option("--knob", o.from.knobs, "volume=7 in both; may be repeated")->needs(from));
  several(app.add_option("--to-knob", o.to_knobs, "of the wanted one alone; may be repeated")->needs(from));
  app.add_option("--into", o.from.into, "the recorder's input: a name from the file, amp (1 MΩ), pedal, line")
      ->needs(from);
  app.add_option("--to-into", o.to.into, "what the wanted one is plugged into, if another")->needs(from);
  app.add_option("--cable", o.from.cable, "length of the cable, such as 6m")->needs(from);
  app.add_option("--to-cable", o.to.cable, "of the wanted one, if another")->needs(from);
  app.add_flag("--match-loudness", o.match, "bring the A-weighted level back to that of IN")->needs(in);
  app.add_option("--limit", o.limit, "most that any frequency is raised, dB (24)")
      ->check(CLI::Range(0., 60.))
      ->needs(from);
  app.add_option("--folder", o.folder, "of the demo; it must not exist")->excludes(from);
  return examples::run_program(app, count, arguments, [&] {
    if (o.from.file.empty()) return demo(o.folder);
    complete(o);
    render_file(o);
  });
}
