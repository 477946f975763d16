// SPDX-License-Identifier: BSL-1.0
#include "plugged_in.hpp"

#include <charconv>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <utility>

#include <lodewire/quantity/read_level.hpp>
#include <lodewire/quantity/read_marking.hpp>

namespace examples {

using namespace lodewire;

std::string text_of_file(const std::string& name) {
  if (std::filesystem::is_directory(name)) throw std::runtime_error("'" + name + "' is a folder, not a file");
  std::ifstream in(name, std::ios::binary);
  std::string text(std::istreambuf_iterator<char>(in), {});
  if (!in) throw std::runtime_error("'" + name + "' cannot be read");
  return text;
}

instrument_file instrument_from_file(const std::string& name) {
  return read_from_file(name, [](const std::string& text) { return read_instrument_file(text); });
}

std::string shipped_instrument(const std::string& name) {
  return (std::filesystem::path(__FILE__).parent_path().parent_path() / "instruments" / name).string();
}

void turn_knob(instrument& of, const std::string& text) {
  const std::size_t equals = text.rfind('=');
  if (equals == std::string::npos)
    throw invalid_value("--knob", "'" + text + "'", "a control and its number, such as volume=7");
  const std::string name = text.substr(0, equals), value = text.substr(equals + 1);
  control& turned = of.controls[find_name(of.controls, name, "--knob")];
  if (const std::size_t comma = value.find(','); comma != std::string::npos)
    throw invalid_value("--knob " + name, "'" + value + "'",
                        "a point, not a comma: " + name + "=" + value.substr(0, comma) + "." +
                            value.substr(comma + 1));
  double at = -1;
  if (!value.empty() && value.back() == '%') {
    at = read_percentage(value, "--knob " + name);
  } else {
    const char* const end = value.data() + value.size();
    if (const auto [stop, error] = std::from_chars(value.data(), end, at);
        error != std::errc{} || stop != end)
      at = -1;
    at /= 10;
  }
  if (!(at >= 0 && at <= 1))
    throw invalid_value("--knob " + name, "'" + value + "'", "0 to 10, or 0 % to 100 %");
  turned.at = rotation(at);
}

destination find_destination(std::vector<destination> known, const std::string& name) {
  for (const auto& [usual, ohms] :
       {std::pair("amp", 1e6), std::pair("pedal", 50e3), std::pair("line", 10e3)}) {
    destination d;
    d.name = usual;
    d.into.resistance = resistance::from_value(ohms);
    known.push_back(d);
  }
  if (name.empty()) return known.front();
  std::string names;
  for (const destination& d : known) {
    if (d.name == name) return d;
    names.append(names.empty() ? "'" : ", '").append(d.name).append("'");
  }
  throw invalid_value("--into", "'" + name + "'", names);
}

void set_cable(destination& into, const std::string& text) {
  if (text.empty()) return;
  if (lodewire::detail::is_bare_number(text))
    throw invalid_value("--cable", "'" + text + "': " + text + " of what?",
                        lodewire::detail::with_units<length>(text));
  into.lead.length = read_length(text, "--cable");
  require_within("--cable", into.lead.length, length{}, length::from_value(1000));
}

} // namespace examples
