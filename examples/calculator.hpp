// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <charconv>
#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <lodewire/analysis/resonance.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/cable.hpp>
#include <lodewire/parts/input.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/literals.hpp>
#include <lodewire/quantity/read_level.hpp>
#include <lodewire/quantity/read_marking.hpp>

#include "cautions.hpp"
#include "figures.hpp"
#include "program.hpp"
#include "table.hpp"

/// What the small calculators share: options in the trade's own writing, an answer as text or as JSON, and the way from
/// a pickup to the amplifier.
namespace calculator {

using namespace lodewire;
using namespace lodewire::literals;
using examples::decibels;
using json = nlohmann::ordered_json;

inline constexpr std::size_t page_width = 80;

/// How the name of a figure ends in JSON, and what a bench has, generously, in SI units.
struct bench_values {
  const char* ending;
  double lowest, highest;
};
template <class Q>
inline constexpr bench_values bench{};
template <>
inline constexpr bench_values bench<resistance>{"_ohm", 1e-3, 1e9};
template <>
inline constexpr bench_values bench<capacitance>{"_f", 1e-14, 1e-3};
template <>
inline constexpr bench_values bench<inductance>{"_h", 1e-3, 1e3};
template <>
inline constexpr bench_values bench<frequency>{"_hz", 10, 100e3};
template <>
inline constexpr bench_values bench<length>{"_m", 0, 1e3};
template <>
inline constexpr bench_values bench<capacitance_per_length>{"_f_per_m", 1e-13, 1e-6};
template <>
inline constexpr bench_values bench<voltage>{"_v", 1e-9, 1e3};
template <>
inline constexpr bench_values bench<current>{"_a", 1e-9, 1};
template <>
inline constexpr bench_values bench<voltage_noise_density>{"_v_per_root_hz", 1e-12, 1e-3};

/// A value without a tolerance, which none of the calculators would heed; errors name the option.
template <class Q>
[[nodiscard]] Q read_value(std::string_view text, const std::string& option) {
  Q value{};
  if constexpr (std::is_same_v<Q, voltage_noise_density>) { // with or without its /√Hz
    if (text.ends_with("/√Hz")) text.remove_suffix(std::string_view("/√Hz").size());
    value = from_si<Q>(read_voltage(text, option).value());
  } else if constexpr (requires { read_marking<Q>(text, option); }) {
    const auto marked = read_marking<Q>(text, option);
    if (marked.tolerance) throw text_error(option, text, 1, "a value without a tolerance");
    value = marked.value;
  } else {
    value = read_quantity<Q>(text, option);
  }
  return require_within(option, value, from_si<Q>(bench<Q>.lowest), from_si<Q>(bench<Q>.highest));
}

/// A plain number. Throws `invalid_value`.
[[nodiscard]] inline double read_number(std::string_view text, const std::string& option, double low,
                                        double high) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size())
    throw invalid_value(option, lodewire::detail::quoted(text),
                        plain_number(low) + " to " + plain_number(high));
  return require_within(option, value, low, high);
}

/// `neck=3k9` in two, at its last equals sign. Throws `invalid_value`.
[[nodiscard]] inline std::pair<std::string, std::string> read_pair(std::string_view text,
                                                                   const std::string& option) {
  const std::size_t equals = text.rfind('=');
  if (equals == text.npos)
    throw invalid_value(option, lodewire::detail::quoted(text), "a name, =, and a value: neck=...");
  return {std::string(text.substr(0, equals)), std::string(text.substr(equals + 1))};
}

/// Help without CLI11's own remarks on types and on options that go together: the text of each says what it needs.
class short_help : public CLI::Formatter {
public:
  short_help() { column_width(20); }
  std::string make_option_opts(const CLI::Option*) const override { return ""; }
};

/// The command line. What is not given keeps the value that the variable has.
class options {
public:
  explicit options(const std::string& question)
      : app_(examples::wrapped(question, page_width, "", "") + "Values as on the parts: 4k7, 22n, 6m.") {
    app_.formatter(std::make_shared<short_help>());
    app_.add_flag("--json", json_, "one JSON object and nothing else, figures in SI units");
  }

  template <class Q>
  CLI::Option* value(const std::string& name, Q& to, const std::string& help) {
    const auto read = [&to, name](const std::string& text) { to = read_value<Q>(text, name); };
    return add(
        name, help + " (" + engineering(to) + ")", read, [&to] { return json(to.value()); }, bench<Q>.ending);
  }
  template <class Q>
  CLI::Option* value(const std::string& name, std::optional<Q>& to, const std::string& help) {
    const auto read = [&to, name](const std::string& text) { to = read_value<Q>(text, name); };
    const auto put = [&to] { return to ? json(to->value()) : json(); };
    return add(name, help, read, put, bench<Q>.ending);
  }
  CLI::Option* number(const std::string& name, double& to, const std::string& help, double low, double high) {
    const auto read = [&to, name, low, high](const std::string& text) {
      to = read_number(text, name, low, high);
    };
    return add(name, help + " (" + plain_number(to) + ")", read, [&to] { return json(to); });
  }
  CLI::Option* percent(const std::string& name, double& to, const std::string& help, double low,
                       double high) {
    const auto read = [&to, name, low, high](const std::string& text) {
      to = require_within(name, read_percentage(text, name), low, high);
    };
    return add(name, help + " (" + plain_number(100 * to) + "%)", read, [&to] { return json(to); });
  }
  /// One of some words.
  CLI::Option* word(const std::string& name, std::string& to, const std::string& help,
                    const std::vector<std::string>& allowed) {
    std::string list;
    for (const std::string& one : allowed) list += (list.empty() ? "" : ", ") + one;
    const auto read = [&to, name, allowed, list](const std::string& text) {
      if (std::find(allowed.begin(), allowed.end(), text) == allowed.end())
        throw invalid_value(name, lodewire::detail::quoted(std::string_view(text)), list);
      to = text;
    };
    return add(name, help + ": " + list + " (" + to + ")", read, [&to] { return json(to); });
  }
  /// Free text, or several of it; the program reads it.
  template <class Text>
  CLI::Option* text(const std::string& name, Text& to, const std::string& help) {
    given_.push_back([&to, name](json& j) { j[key(name)] = to; });
    return app_.add_option(name, to, help);
  }
  [[nodiscard]] CLI::Option* get(const std::string& name) { return app_.get_option(name); }

  /// `answer` when every value is read. Gives what the program ends with.
  template <class Answer>
  [[nodiscard]] int run(int count, char** arguments, Answer answer) {
    return examples::run_program(app_, count, arguments, [&] {
      for (const auto& read : readers_) read();
      answer();
    });
  }
  [[nodiscard]] bool as_json() const noexcept { return json_; }
  /// Nothing but --json was given.
  [[nodiscard]] bool is_demo() const {
    return app_.get_options([](const CLI::Option* o) { return o->count() > 0; }).size() == (json_ ? 1U : 0U);
  }
  /// Every value, as read.
  [[nodiscard]] json values() const {
    json j = json::object();
    for (const auto& put : given_) put(j);
    return j;
  }

private:
  [[nodiscard]] static std::string key(std::string name, const char* ending = "") {
    if (name == "FILE") return "file";
    name.erase(0, name.find_first_not_of('-'));
    std::replace(name.begin(), name.end(), '-', '_');
    return name + ending;
  }
  template <class Read, class Put>
  CLI::Option* add(const std::string& name, const std::string& help, Read read, Put put,
                   const char* ending = "") {
    std::string& text = texts_.emplace_back();
    CLI::Option* const option = app_.add_option(name, text, help);
    readers_.push_back([option, &text, read] {
      if (option->count() > 0) read(text);
    });
    given_.push_back([put, name, ending](json& j) { j[key(name, ending)] = put(); });
    return option;
  }

  CLI::App app_;
  bool json_ = false;
  std::deque<std::string> texts_; // they stay where they are
  std::vector<std::function<void()>> readers_;
  std::vector<std::function<void(json&)>> given_;
};

/// Broken between words, later lines indented; a number and its unit stay together.
[[nodiscard]] inline std::string page(std::string text, std::string_view first = "",
                                      std::string_view later = "") {
  constexpr std::string_view no_break = "\u00A0";
  for (const std::string prefix : {"", "p", "n", "µ", "m", "k", "M"})
    for (const std::string unit : {"Ω", "F", "H", "Hz", "V", "A", "m", "h", "dB", "%", "hours", "days"})
      for (const char end : {' ', '.', ',', ';', ':', ')'}) {
        const std::string word = " " + prefix + unit + end;
        for (std::size_t at = 0; (at = text.find(word, at)) != text.npos; ++at)
          if (at > 0 && text[at - 1] >= '0' && text[at - 1] <= '9') text.replace(at, 1, no_break);
      }
  std::string out = examples::wrapped(text, page_width, first, later);
  for (std::size_t at = 0; (at = out.find(no_break, at)) != out.npos;) out.replace(at, no_break.size(), " ");
  return out;
}

/// The cautions, broken to the width of this page.
[[nodiscard]] inline std::string cautions_page() {
  std::vector<std::string> items;
  std::string_view left = examples::cautions;
  while (!left.empty()) {
    const std::string_view line = left.substr(0, left.find('\n'));
    left.remove_prefix(std::min(line.size() + 1, left.size()));
    if (line.starts_with("    "))
      items.back().append(line.substr(3));
    else
      items.emplace_back(line);
  }
  std::string out;
  for (const std::string& item : items)
    out += item.starts_with("  - ") ? page(item.substr(4), "  - ", "    ") : item + '\n';
  return out;
}

/// A figure in a table, and the same in JSON.
struct cell {
  std::string text;
  json value;
};
template <class Unit>
[[nodiscard]] cell of(const boost::units::quantity<Unit>& q) {
  return {examples::three_figures(q), q.value()};
}
[[nodiscard]] inline cell of(const std::string& text) { return {text, text}; }
[[nodiscard]] inline cell of(double number, int decimals = 0) {
  return {fixed_number(number, decimals), number};
}
[[nodiscard]] inline cell of(decibel level, int decimals = 1) {
  const double db = level.value();
  return {decibels(db, decimals), is_finite(db) ? json(db) : json()};
}
[[nodiscard]] inline cell of(const std::optional<frequency>& f) { return f ? of(*f) : cell{"none", {}}; }
[[nodiscard]] inline cell peak_of(const resonance& r) { return r.has_peak ? of(r.peak) : cell{"none", {}}; }
[[nodiscard]] inline cell height_of(const resonance& r) { return r.has_peak ? of(r.height) : cell{"", {}}; }

/// What a calculator found.
class answer {
public:
  /// Closed with the cautions?
  explicit answer(bool at_bench = false) : at_bench_{at_bench} {}

  json figures = json::object(); ///< in SI units, named by `figure_hz` and the like

  /// A sentence or some, as a paragraph of its own, or as an entry of a list.
  void say(const std::string& text) { put(page(text), text, false); }
  void item(const std::string& text) { put(page(text, "  - ", "    "), text, true); }
  /// A table. `columns`: the heading of each and its name in JSON, as in `cable=cable_m, resonance=resonance_hz`.
  void show(const std::string& name, std::string_view columns, const std::vector<std::vector<cell>>& rows) {
    std::vector<std::string> line, keys;
    while (!columns.empty()) {
      const std::string_view column = columns.substr(0, columns.find(", "));
      columns.remove_prefix(std::min(column.size() + 2, columns.size()));
      const auto [heading, key] = read_pair(column, "columns");
      line.push_back(heading);
      keys.push_back(key);
    }
    examples::table shown(line);
    for (const std::vector<cell>& row : rows) {
      line.clear();
      json j;
      for (std::size_t i = 0; i < row.size(); ++i) {
        line.push_back(row[i].text);
        j[keys[i]] = row[i].value;
      }
      shown.add(line);
      figures[name].push_back(std::move(j));
    }
    put(shown.text(), "", false);
  }

  [[nodiscard]] std::string as_text(bool is_demo) const {
    std::string out =
        is_demo ? "Demo: a two-pickup semi-hollow guitar, values invented. Yours: --help\n\n" : "";
    out += text_;
    return at_bench_ ? out + '\n' + cautions_page() : out;
  }
  [[nodiscard]] json as_json(const options& o) const {
    json j{{"values", o.values()}, {"figures", figures}, {"answer", sentences_}};
    if (at_bench_) j["cautions"] = std::string(examples::cautions);
    return j;
  }

private:
  void put(const std::string& shown, const std::string& sentence, bool in_list) {
    text_ += (text_.empty() || (in_list && in_list_) ? "" : "\n") + shown;
    in_list_ = in_list;
    if (!sentence.empty()) sentences_.push_back(sentence);
  }
  bool at_bench_, in_list_ = false;
  std::string text_;
  std::vector<std::string> sentences_;
};

/// The whole program. `Question` has `question`, `declare(options&)`, and `find()`, which gives the answer. Ends with 2 for
/// anything wrong on the command line.
template <class Question>
[[nodiscard]] int run(int count, char** arguments) {
  Question asked;
  options o(Question::question);
  asked.declare(o);
  return o.run(count, arguments, [&] {
    const answer found = asked.find();
    examples::print(o.as_json() ? found.as_json(o).dump(2) + '\n' : found.as_text(o.is_demo()));
  });
}

/// From a pickup to the amplifier: tone control, volume control, cable, input.
struct signal_path {
  magnetic_coil coil{.inductance = 4.2_H, .resistance = 7.7_kOhm, .capacitance = 125_pF};
  potentiometer volume{.total = 500_kOhm, .law = audio_taper};
  potentiometer tone{.total = 500_kOhm, .law = audio_taper};
  capacitance tone_capacitor = 22_nF;
  cable lead{.length = 6_m, .capacitance = 100_pF_per_m};
  input into{};
  std::string law = "audio";

  void declare_coil(options& o) {
    o.value("--coil", coil.inductance, "inductance of the pickup");
    o.value("--wire", coil.resistance, "resistance of its wire");
    o.value("--winding", coil.capacitance, "capacitance of winding and lead");
  }
  void declare_rest(options& o) {
    o.value("--volume", volume.total, "volume pot");
    o.value("--tone", tone.total, "tone pot");
    o.value("--tone-capacitor", tone_capacitor, "tone capacitor");
    o.value("--cable", lead.length, "length of the cable");
    o.value("--per-metre", lead.capacitance, "its capacitance per metre");
    o.value("--input", into.resistance, "input resistance of the amplifier");
  }
  void declare(options& o) {
    declare_coil(o);
    declare_rest(o);
  }
  /// Only where the volume control is turned.
  void declare_taper(options& o) { o.word("--taper", law, "of the volume pot", {"audio", "linear"}); }
  /// The tone control, with what stands for its capacitor.
  [[nodiscard]] stage toned(rotation at, const one_port& capacitor) const {
    return in_shunt(series(tone.as_rheostat(at, lugs::one_two), capacitor));
  }
  /// All that follows a pickup, the tone at full unless it is given.
  [[nodiscard]] stage after(rotation at, const potentiometer_wiring& with = {}) const {
    potentiometer pot = volume;
    if (law == "linear") pot.law = linear_taper;
    return toned(rotation(1), tone_capacitor) | pot.as_divider(at, with) | lead | into;
  }
  [[nodiscard]] stage after(const stage& tone_control) const {
    return tone_control | volume.as_divider(rotation(1)) | lead | into;
  }
};

} // namespace calculator
