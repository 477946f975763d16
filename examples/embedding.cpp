// SPDX-License-Identifier: BSL-1.0
// How a program holds an instrument: read once, turned by a user interface, curves out.
// [embedding]
#include <cmath>
#include <iostream>
#include <string>
#include <vector>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/instrument/json.hpp>
#include <lodewire/instrument/live_instrument.hpp>

/// What a plot widget and a row of knobs need, and nothing of lodewire in its interface but numbers and names.
class instrument_model {
public:
  explicit instrument_model(const std::string& json)
      : built_(lodewire::read_instrument(json)), live_(built_, lodewire::destination{}),
        hz_(lodewire::log_grid(lodewire::frequency::from_value(50), lodewire::frequency::from_value(20e3),
                               300)),
        re_(hz_.size()), im_(hz_.size()), db_(hz_.size()) {}

  std::size_t positions() const { return built_.positions.size(); }
  const std::string& position_name(std::size_t p) const { return built_.positions[p].name; }
  const std::string& knob_name(std::size_t k) const { return built_.controls[k].name; }
  std::size_t knobs() const { return built_.controls.size(); }

  /// From the knob's callback, 0 to 10: rewrites two numbers in each position where it is wired.
  void turn(std::size_t knob, double number) { live_.turn(knob, lodewire::knob(number)); }

  const std::vector<double>& hertz() const { return hz_; }
  /// From the paint callback: allocates nothing; composes only if a knob of that position has moved.
  const std::vector<double>& decibels(std::size_t position) {
    live_.response(position).evaluate(hz_, re_, im_);
    for (std::size_t i = 0; i < hz_.size(); ++i) db_[i] = 10 * std::log10(re_[i] * re_[i] + im_[i] * im_[i]);
    return db_;
  }

private:
  lodewire::instrument built_;
  lodewire::live_instrument live_;
  std::vector<double> hz_, re_, im_, db_;
};

int main() {
  instrument_model guitar(R"({
    "name": "one pickup, one knob",
    "pickups": [{"name": "bridge", "kind": "coil", "inductance": "3.1H", "resistance": "7.4k", "capacitance": "110p"}],
    "controls": [{"name": "volume", "track": "250k", "taper": "audio 15 %"}],
    "positions": [{"name": "on", "wiring": {"pickup": "bridge", "then": [{"volume": "volume"}]}}]
  })");
  for (const double number : {10.0, 7.0}) {
    guitar.turn(0, number);
    const auto& db = guitar.decibels(0);
    std::cout << guitar.position_name(0) << ", " << guitar.knob_name(0) << " at " << number << ": "
              << std::round(10 * db.front()) / 10 << " dB at 50 Hz, " << std::round(10 * db[210]) / 10
              << " dB at " << std::round(guitar.hertz()[210]) << " Hz\n";
  }
}
// [embedding]
