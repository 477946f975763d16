// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cmath>
#include <filesystem>
#include <numbers>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/design/identify_coil.hpp>
#include <lodewire/instrument/json.hpp>
#include <lodewire/quantity/marking.hpp>

#include "../figures.hpp"
#include "../plot.hpp"
#include "../table.hpp"

/// What `identify` prints and draws.
namespace identify_example {

using namespace lodewire;
using ordered_json = nlohmann::ordered_json;

[[nodiscard]] inline std::string demo_text() {
  return examples::wrapped("The demo: the neck pickup of a guitar, measured at its jack through 9980 Ω with "
                           "an oscilloscope, volume "
                           "and tone control (250 kΩ each, nominal) at full (student project AAT8, Aalborg "
                           "University, 2017, "
                           "github.com/jonasbuchholdt/AAT8).",
                           100, "", "") +
         '\n';
}

/// Four figures, as a part would be marked.
template <class Q>
[[nodiscard]] std::string rounded(Q value) {
  double x = 0;
  const std::string text = plain_number(value.value(), 4);
  std::from_chars(text.data(), text.data() + text.size(), x);
  return write_quantity(Q::from_value(x));
}

/// The coil's entry in an instrument file (docs/instrument-file.md).
[[nodiscard]] inline ordered_json pickup_entry(const magnetic_coil& c, const std::string& name) {
  ordered_json j{{"name", name},
                 {"kind", "coil"},
                 {"inductance", rounded(c.inductance)},
                 {"resistance", rounded(c.resistance)},
                 {"capacitance", rounded(c.capacitance)}};
  for (const eddy_branch& b : c.eddy)
    if (b.inductance.value() > 0)
      j["eddy"].push_back({{"inductance", rounded(b.inductance)}, {"resistance", rounded(b.resistance)}});
  if (c.parallel_loss) j["parallel_loss"] = rounded(*c.parallel_loss);
  // It is read back, so that what is printed can be pasted.
  const ordered_json whole{
      {"name", "test"}, {"pickups", {j}}, {"positions", {{{"name", "on"}, {"wiring", {{"pickup", name}}}}}}};
  (void)read_instrument(whole.dump());
  return j;
}

struct report {
  const measured_curve& curve;
  const identified_coil& found;
  const stage& known;
  std::string name;

  [[nodiscard]] std::vector<std::complex<double>> model(std::span<const double> hz) const {
    return model_curve(source(found.best().coil) | known, curve_kind::ohms, hz);
  }

  [[nodiscard]] std::string text() const {
    std::string out;
    for (const std::string& s : found.suspicions) out += examples::wrapped("Suspicious: " + s, 100, "", "  ");
    if (!out.empty()) out += '\n';
    out += "Models tried; the one with the lowest BIC is taken\n\n" + models() + "\nThe coil\n\n" + values();
    const fit_result& fit = found.best().fit;
    for (const fit_blend& b : open_blends(fit))
      out += examples::wrapped(text_of(b, fit) + ".", 100, "  - ", "    ");
    out += examples::wrapped("C holds what is not known apart: the guitar's wires, a lead, a cable.", 100,
                             "  - ", "    ");
    out += "\nMeasured and fitted\n\n" + points() + "\n" +
           examples::wrapped("Complex relative error " + fixed_number(100 * fit.misfits[0].rms, 2) +
                                 " % rms, " + fixed_number(100 * fit.misfits[0].max, 2) + " % at most.",
                             100, "", "") +
           "\nFor the instrument file, among its pickups\n\n" +
           pickup_entry(found.best().coil, name).dump(2) + '\n';
    return out;
  }

  [[nodiscard]] ordered_json json(const std::vector<std::string>& pictures) const {
    const fit_result& fit = found.best().fit;
    ordered_json j{{"pickup", pickup_entry(found.best().coil, name)}, {"suspicions", found.suspicions}};
    for (const fit_value& v : fit.values)
      j["values"].push_back({{"name", v.name}, {"value", v.value}, {"relative_error", v.error}});
    for (const coil_model& m : found.tried)
      j["models"].push_back({{"branches", m.shape.branches},
                             {"parallel_loss", m.shape.parallel_loss},
                             {"rms", m.fit.misfits[0].rms},
                             {"bic", m.fit.bic},
                             {"aicc", m.fit.aicc}});
    j["rms"] = fit.misfits[0].rms;
    j["pictures"] = pictures;
    return j;
  }

  /// Points and curve above, what is left below.
  [[nodiscard]] std::vector<std::string> draw(const std::filesystem::path& folder) const {
    const auto grid =
        log_grid(frequency::from_value(curve.hz.front()), frequency::from_value(curve.hz.back()), 400);
    const auto z = model(grid);
    std::vector<std::vector<double>> measured{curve.hz, {}, {}}, fitted{grid, {}};
    for (std::size_t i = 0; i < curve.size(); ++i) {
      measured[1].push_back(std::abs(curve.value[i]) / 1e3);
      measured[2].push_back(100 * std::abs(found.best().fit.residuals[0][i]));
    }
    for (const auto& v : z) fitted[1].push_back(std::abs(v) / 1e3);
    return examples::draw(
        {.name = "identify",
         .data = examples::gnuplot_data("measured", measured) + examples::gnuplot_data("fitted", fitted),
         .body =
             std::string(examples::audio_frequency_axis) + std::string(examples::plot_grid) + "set xrange [" +
             plain_number(0.9 * curve.hz.front()) + ":" + plain_number(1.1 * curve.hz.back()) +
             "]\nset multiplot layout 2,1\nset lmargin 9\nset key left top\nset ylabel '|Z|, kΩ'\n"
             "plot $fitted using 1:2 with lines lw 2 lc rgb '#0072B2' title 'fitted', "
             "$measured using 1:2 with points pt 7 ps 0.6 lc rgb '#333333' title 'measured'\n"
             "set ylabel 'off, %'\nplot $measured using 1:3 with impulses lw 2 lc rgb '#D55E00' notitle\n"},
        folder);
  }

private:
  [[nodiscard]] std::string models() const {
    examples::table t({"eddy branches", "loss across", "values", "rms %", "AICc", "BIC", ""});
    for (const coil_model& m : found.tried)
      t.add({std::to_string(m.shape.branches), m.shape.parallel_loss ? "yes" : "no",
             std::to_string(m.shape.count()), fixed_number(100 * m.fit.misfits[0].rms, 2),
             fixed_number(m.fit.aicc, 1), fixed_number(m.fit.bic, 1), &m == &found.best() ? "taken" : ""});
    return t.text();
  }
  [[nodiscard]] std::string values() const {
    examples::table t({"value", "found", "± %", "from", "to (95 %)"});
    for (const fit_value& v : found.best().fit.values)
      t.add({v.name, examples::three_figures(v.value, v.unit), plain_number(100 * v.error, 2),
             engineering(v.low(), v.unit), engineering(v.high(), v.unit)});
    return t.text();
  }
  [[nodiscard]] std::string points() const {
    const auto z = model(curve.hz);
    examples::table t({"Hz", "kΩ", "°", "kΩ", "°", "off %", "weight"});
    t.group("measured", 1, 2);
    t.group("fitted", 3, 4);
    t.group("residual", 5, 6);
    const auto degrees = [](std::complex<double> v) {
      return examples::decibels(std::arg(v) * 180 / std::numbers::pi); // with a real minus sign
    };
    for (std::size_t i = 0; i < curve.size(); ++i)
      t.add({fixed_number(curve.hz[i], 1), fixed_number(std::abs(curve.value[i]) / 1e3, 3),
             degrees(curve.value[i]), fixed_number(std::abs(z[i]) / 1e3, 3), degrees(z[i]),
             fixed_number(100 * std::abs(found.best().fit.residuals[0][i]), 2),
             fixed_number(found.best().fit.weights[0][i], 2)});
    return t.text();
  }
};

} // namespace identify_example
