// SPDX-License-Identifier: BSL-1.0
// Does the dielectric of the tone capacitor matter here?
//
//   dielectric_loss --tone-capacitor 47n --tone 250k --tolerance 5%
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/capacitor.hpp>

#include "calculator.hpp"

namespace {
using namespace calculator;

struct dielectric_loss {
  static constexpr const char* question = "Does the dielectric of the tone capacitor matter here, in dB?";
  signal_path path;
  double tolerance = 0.1;

  void declare(options& o) {
    path.declare(o);
    o.percent("--tolerance", tolerance, "of the capacitance, to compare with", 0.001, 0.5);
  }
  /// The greatest change over 20 Hz to 20 kHz; `real` gives the capacitor at a frequency.
  template <class Real>
  [[nodiscard]] decibel change(double number, const Real& real) const {
    const auto amount = [&](const one_port& c, frequency f) {
      return std::abs(response(path.coil | path.after(path.toned(knob(number), c)), f));
    };
    decibel most;
    for (const double hz : log_grid(20_Hz, 20_kHz, 121)) {
      const frequency f = frequency::from_value(hz);
      const decibel db = voltage_level(amount(real(f), f) / amount(path.tone_capacitor, f));
      if (std::abs(db.value()) > std::abs(most.value())) most = db;
    }
    return most;
  }
  [[nodiscard]] answer find() const {
    std::vector<std::vector<cell>> rows;
    const auto add = [&](const std::string& name, const cell& tan, const auto& real) {
      rows.push_back({of(name), tan});
      double most = 0;
      for (const double number : {10., 5., 0.}) {
        rows.back().push_back(of(change(number, real), 3));
        most = std::max(most, std::abs(change(number, real).value()));
      }
      return most;
    };
    const auto add_kind = [&](const std::string& name, dielectric kind) {
      const double tan = loss_tangent(kind, 1_kHz);
      return add(name, {plain_number(tan), tan},
                 [&](frequency f) { return capacitor_of(kind, path.tone_capacitor, f); });
    };
    double loss = add_kind("polypropylene", dielectric::polypropylene);
    loss = std::max(loss, add_kind("ceramic NP0", dielectric::ceramic_class_1));
    loss = std::max(loss, add_kind("polyester", dielectric::polyester));
    loss = std::max(loss, add_kind("ceramic X7R", dielectric::ceramic_class_2));
    add_kind("tantalum", dielectric::tantalum);
    const std::string percent = plain_number(100 * tolerance, 3) + " %";
    const double strayed = add(percent + " more capacitance", {"0", 0}, [&](frequency) {
      return capacitor{.capacitance = path.tone_capacitor * (1 + tolerance)};
    });
    answer a;
    a.show("changes", "capacitor=capacitor, tan δ at 1 kHz=tan, tone 10=db_10, tone 5=db_5, tone 0=db_0",
           rows);
    a.figures["matters"] = loss > strayed;
    a.say("The greatest change in dB anywhere from 20 Hz to 20 kHz, against " +
          engineering(path.tone_capacitor, 3) + " without loss.");
    a.say((loss > strayed ? std::string("Yes: ") : "No: ") + "the loss of film or ceramic makes at most " +
          decibels(loss, 3) + " dB, a capacitance that is " + percent + " off makes " + decibels(strayed, 3) +
          " dB. Loss only: what X7R does with voltage and warmth is not in it.");
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<dielectric_loss>(count, arguments); }
