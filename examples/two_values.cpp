// SPDX-License-Identifier: BSL-1.0
// What do two parts make together, and which part is missing to a wanted value?
//
//   two_values --capacitors 22n 47n
//   two_values --resistors 500k --wanted 190k --series e12
#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/quantity/preferred.hpp>

#include "calculator.hpp"

namespace {

using namespace calculator;

struct two_values {
  static constexpr const char* question =
      "What do two parts make together, and which part is missing to a value?";
  std::vector<std::string> resistors, capacitors, inductors;
  std::string wanted, series = "e24";

  void declare(options& o) {
    auto* const r = o.text("--resistors", resistors, "two, or one with --wanted (500k 500k)")->expected(1, 2);
    auto* const c = o.text("--capacitors", capacitors, "or of capacitors")->expected(1, 2)->excludes(r);
    o.text("--inductors", inductors, "or of inductors that share no flux")
        ->expected(1, 2)
        ->excludes(r)
        ->excludes(c);
    auto* const w = o.text("--wanted", wanted, "what they shall make: which part is missing?");
    o.word("--series", series, "with --wanted, where to look", {"e6", "e12", "e24", "e96"})->needs(w);
  }
  template <class Q>
  [[nodiscard]] answer solve(const std::vector<std::string>& texts, const std::string& option) const {
    constexpr bool adds_in_series = !std::is_same_v<Q, capacitance>;
    const auto made = [](Q a, Q b, bool sum) { return sum ? a + b : Q(1. / (1. / a + 1. / b)); };
    const Q first = read_value<Q>(texts[0], option);
    const std::string unit = bench<Q>.ending;
    if (texts.size() != (wanted.empty() ? 2 : 1))
      throw invalid_value(option, std::to_string(texts.size()) + " long", "two values, or one with --wanted");
    answer a;
    if (wanted.empty()) {
      const Q second = read_value<Q>(texts[1], option);
      const Q across = made(first, second, !adds_in_series), in_line = made(first, second, adds_in_series);
      a.figures = {{"parallel" + unit, across.value()}, {"series" + unit, in_line.value()}};
      a.say(engineering(first) + " and " + engineering(second) + " make " + engineering(across) +
            " in parallel, " + engineering(in_line) + " in series.");
      return a;
    }
    const Q goal = read_value<Q>(wanted, "--wanted");
    if (goal == first) throw invalid_value("--wanted", engineering(goal), "another value than the part has");
    const bool more = goal > first, in_series = more == adds_in_series;
    const Q missing = more ? goal - first : Q(1. / (1. / goal - 1. / first));
    const Q bought = nearest(static_cast<e_series>(std::stoi(series.substr(1))), missing);
    const Q result = made(first, bought, more);
    const double error = result / goal - 1.;
    a.figures = {{"wired", in_series ? "series" : "parallel"}, {"missing" + unit, missing.value()}};
    a.figures["preferred" + unit] = bought.value();
    a.figures["result" + unit] = result.value();
    a.say(engineering(first) + " wants " + engineering(missing) +
          (in_series ? " in series" : " in parallel") + " to make " + engineering(goal) + ".");
    a.say("Of the E" + series.substr(1) + " values " + engineering(bought) + " is nearest and makes " +
          engineering(result) + ", off by " + decibels(100 * error) + " %.");
    return a;
  }
  [[nodiscard]] answer find() const {
    if (!capacitors.empty()) return solve<capacitance>(capacitors, "--capacitors");
    if (!inductors.empty()) return solve<inductance>(inductors, "--inductors");
    if (!resistors.empty()) return solve<resistance>(resistors, "--resistors");
    if (!wanted.empty()) throw invalid_value("--wanted", wanted, "only with a part that is there");
    return solve<resistance>({"500k", "500k"}, "--resistors");
  }
};

} // namespace

int main(int count, char** arguments) { return calculator::run<two_values>(count, arguments); }
