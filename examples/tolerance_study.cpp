// SPDX-License-Identifier: BSL-1.0
// How much will instruments of one design differ, and which part should be bought tighter?
//
//   tolerance_study --pots 10% --lowest 2.9k --highest 3.3k
//   tolerance_study --builds 20000000 --threads 2       (Ctrl-C ends it and shows what it has)
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <thread>

#include <lodewire/analysis/variance_share.hpp>
#include <lodewire/analysis/worst_case.hpp>

#include "calculator.hpp"
#include "study_on_threads.hpp"
#include "varied_path.hpp"

namespace {

using namespace calculator;

struct tolerance_study {
  static constexpr const char* question =
      "How much will instruments of one design differ, and which part should be bought tighter?";
  signal_path path;
  double coils = 0.05, pots = 0.20, capacitors = 0.10, cables = 0.10, batch = 0.5, sigmas = 3;
  double builds = 200e3, threads = 0, seed = 1;
  std::optional<frequency> lowest, highest;

  void declare(options& o) {
    path.declare(o);
    o.percent("--coils", coils, "tolerance of the coil's figures", 0, 0.9);
    o.percent("--pots", pots, "of the pots", 0, 0.9);
    o.percent("--capacitors", capacitors, "of the tone capacitor", 0, 0.9);
    o.percent("--cables", cables, "of the cable's capacitance", 0, 0.9);
    o.number("--batch", batch, "correlation of the two pots, of one batch", 0, 1);
    o.number("--sigmas", sigmas,
             "standard deviations from the nominal value to the tolerance, where parts are cut off", 0.1, 8);
    o.value("--lowest", lowest, "the resonance shall lie here or above");
    o.value("--highest", highest, "and here or below");
    o.number("--builds", builds, "how many instruments", 1, 1e12);
    o.number("--threads", threads, "0: as many as the machine has", 0, 1024);
    o.number("--seed", seed, "of the random numbers", 0, 0x1p53);
  }

  [[nodiscard]] std::vector<toleranced_part> spread(const std::vector<examples::path_part>& parts) const {
    const auto normal = [&](double within) {
      return distribution::normal(tolerance::symmetric(within), sigmas);
    };
    const double within[] = {coils, coils, coils, pots, capacitors, pots, cables, 0.01};
    std::vector<toleranced_part> all;
    for (std::size_t p = 0; p < parts.size(); ++p) all.push_back({parts[p].part, normal(within[p])});
    for (const std::size_t pot : {3U, 5U}) {
      all[pot].group = "pots";
      all[pot].correlation = batch;
    }
    return all;
  }

  [[nodiscard]] answer find() const {
    const source whole = path.coil | path.after(rotation(1));
    const std::vector<examples::path_part> parts = examples::parts_of(path);
    const std::vector<toleranced_part> toleranced = spread(parts);
    std::vector<varied_part> varied;
    for (const examples::path_part& p : parts) varied.push_back(p.part);
    const resonance_sensitivity by = find_resonance_sensitivity(whole, varied);
    if (!by.at.has_peak) throw invalid_value("resonance", "not there", "a response with a peak");

    study_plan plan;
    plan.hz = {1e3, 2e3, 5e3, 10e3};
    plan.seed = static_cast<std::uint64_t>(seed);
    plan.limits.peak_lowest = lowest;
    plan.limits.peak_highest = highest;
    const study of_all(whole, toleranced, plan);
    const auto asked = static_cast<std::uint64_t>(builds);
    const auto workers =
        static_cast<std::size_t>(threads > 0 ? threads : std::max(1U, std::thread::hardware_concurrency()));
    const study_tally t = examples::run_on_threads(of_all, asked, workers);
    const worst_case corners = find_worst_case(of_all);

    answer a;
    a.say("Both controls full up, nominal values: " + to_text(by.at) + ".");
    a.say((t.builds < asked ? "Interrupted: " + std::to_string(t.builds) + " of " : "") +
          std::to_string(asked) +
          " builds. A column is what that share of them lies below; the ends are the worst cases over " +
          std::to_string(corners.corners) + " corners.");
    a.figures["builds"] = t.builds;
    a.figures["yield"] = t.yield();
    show_spread(a, t, corners, plan);
    show_shares(a, by, parts, toleranced, t);
    if (lowest || highest)
      a.say("Within the limits: " + fixed_number(100 * t.yield(), 1) + " % of the builds, to within " +
            fixed_number(200 * t.yield_error(), 1) + " % (two standard errors).");
    return a;
  }

  static void show_spread(answer& a, const study_tally& t, const worst_case& corners,
                          const study_plan& plan) {
    constexpr double shares[] = {0.01, 0.10, 0.50, 0.90, 0.99};
    std::vector<std::vector<cell>> rows;
    const auto row = [&](const std::string& name, const cell& least, const auto& quantile, const cell& most) {
      rows.push_back({of(name), least});
      for (const double q : shares) rows.back().push_back(quantile(q));
      rows.back().push_back(most);
    };
    row(
        "resonance", of(corners.peak.lowest), [&](double q) { return of(t.peak_quantile(q)); },
        of(corners.peak.highest));
    row(
        "height dB", of(corners.height.lowest, 2), [&](double q) { return of(t.height_quantile(q), 2); },
        of(corners.height.highest, 2));
    row(
        "100 Hz dB", of(corners.level.lowest, 2), [&](double q) { return of(t.level_quantile(q), 2); },
        of(corners.level.highest, 2));
    for (std::size_t r = 0; r < plan.hz.size(); ++r)
      row(
          engineering(frequency::from_value(plan.hz[r]), 3) + " dB", of(corners.curve[r].lowest, 2),
          [&](double q) { return of(power_level(t.curve.quantile(q, r)), 2); },
          of(corners.curve[r].highest, 2));
    a.show("spread",
           "result=result, least=least, 1 %=share_1, 10 %=share_10, half=half, 90 %=share_90, 99 %=share_99, "
           "most=most",
           rows);
  }

  static void show_shares(answer& a, const resonance_sensitivity& by,
                          const std::vector<examples::path_part>& parts,
                          const std::vector<toleranced_part>& toleranced, const study_tally& t) {
    const variance_shares of_peak = find_variance_shares(by.peak, toleranced),
                          of_height = find_variance_shares(by.height_db, toleranced);
    std::vector<std::vector<cell>> rows;
    for (std::size_t p = 0; p < parts.size(); ++p)
      rows.push_back(
          {of(std::string(parts[p].name)),
           of(parts[p].nominal),
           {"±" + plain_number(100 * toleranced[p].law.highest(), 3) + " %", toleranced[p].law.highest()},
           of(100 * of_peak.share[p]),
           of(100 * of_height.share[p])});
    a.show("shares",
           "part=part, nominal=nominal, tolerance=tolerance, of resonance %=resonance_share, of height "
           "%=height_share",
           rows);
    a.say(
        "Shares of the variance, to first order. By these slopes the resonance spreads by " +
        fixed_number(100 * of_peak.standard_deviation, 2) + " % (one standard deviation); the builds say " +
        fixed_number(100 * t.peak.moments_of([](double hz) { return std::log(hz); }).standard_deviation, 2) +
        " %.");
    const auto most = [&](const variance_shares& of_what) {
      return std::string(
          parts[static_cast<std::size_t>(std::max_element(of_what.share.begin(), of_what.share.end()) -
                                         of_what.share.begin())]
              .name);
    };
    a.say("For a steadier resonance buy this tighter first: " + most(of_peak) +
          ". For a steadier height: " + most(of_height) + ".");
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<tolerance_study>(count, arguments); }
