// SPDX-License-Identifier: BSL-1.0
// How long does the battery last?
//
//   battery_hours --battery 6F22 --current 1.5mA --hours-a-day 1
//   battery_hours --current 500uA --jack always-on
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/parts/supply.hpp>

#include "calculator.hpp"

namespace {

using namespace calculator;

struct battery_hours {
  static constexpr const char* question = "How long does the battery in the instrument last?";
  std::string type = "6LR61", jack = "ring";
  current drawn = 160_uA;
  double hours = 2;
  CLI::Option* hours_option = nullptr;

  void declare(options& o) {
    o.text("--battery", type, "6LR61, 6F22, 6HR61, 6KR61, 1604LC (6LR61)");
    o.value("--current", drawn, "that the electronics draw");
    o.word("--jack", jack, "contact that switches it", {"ring", "switching", "always-on"});
    hours_option = o.number("--hours-a-day", hours, "that a plug is in the jack", 0.01, 24);
  }
  [[nodiscard]] answer find() const {
    onboard_supply supply{.cell = read_battery(type, "--battery")};
    supply.jack = jack == "ring"        ? jack_wiring::ring_contact
                  : jack == "switching" ? jack_wiring::switching_contact
                                        : jack_wiring::always_on;
    const bool always = stays_on_unplugged(supply.jack);
    if (always && hours_option->count() > 0)
      throw invalid_value("--hours-a-day", plain_number(hours), "only with a jack that switches the battery");
    const double a_day = always ? 24 : hours;
    const life_range life = supply_life(supply, drawn).value();
    const auto span = [](double low, double high) {
      const auto shown = [](double x) { return x < 1000 ? plain_number(x, 3) : fixed_number(x, 0); };
      return shown(low) == shown(high) ? shown(low) : shown(low) + " to " + shown(high);
    };
    const double low = in_hours(life.lowest), high = in_hours(life.highest);
    answer a(true);
    a.figures = {{"hours_lowest", low},
                 {"hours_highest", high},
                 {"days_lowest", low / a_day},
                 {"days_highest", high / a_day},
                 {"voltage_drop_v", voltage_drop(supply.cell, drawn).value()}};
    a.say(supply.cell.designation + " (" + std::string(name_of(supply.cell.chemistry)) + ") at " +
          engineering(drawn) + ": " + span(low, high) + " hours until it is down from " +
          engineering(supply.cell.fresh_voltage) + " to " + engineering(supply.cell.end_voltage) + ".");
    a.say((always ? std::string("Always on, that is ") : "At " + plain_number(a_day) + " h a day that is ") +
          span(low / a_day, high / a_day) + " days." +
          (high / a_day > 730 ? " Beyond a year or two its shelf life decides." : ""));
    a.say(jack_note(supply.jack));
    a.say(battery_caution(supply.cell));
    return a;
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<battery_hours>(count, arguments); }
