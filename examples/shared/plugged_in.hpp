// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <exception>
#include <stdexcept>
#include <string>
#include <vector>

#include <lodewire/instrument/json.hpp>

/// An instrument from a file, its knobs, and what it is plugged into.
namespace examples {

/// Throws `std::runtime_error` for a folder and for what cannot be read.
[[nodiscard]] std::string text_of_file(const std::string& name);

/// What `read` makes of the text; errors in it begin with the name of the file.
template <class Read>
[[nodiscard]] auto read_from_file(const std::string& name, Read read) {
  const std::string text = text_of_file(name);
  try {
    return read(text);
  } catch (const std::exception& error) {
    throw std::runtime_error(name + ": " + error.what());
  }
}
[[nodiscard]] lodewire::instrument_file instrument_from_file(const std::string& name);

/// An instrument file that lies beside the examples.
[[nodiscard]] std::string shipped_instrument(const std::string& name);

/// The number of the entry called `name`; else the names there are, and which one is meant.
template <class T>
[[nodiscard]] std::size_t find_name(const std::vector<T>& list, const std::string& name,
                                    const std::string& option) {
  std::vector<std::string> known;
  for (const T& entry : list) known.push_back(entry.name);
  const auto found = std::find(known.begin(), known.end(), name);
  if (found != known.end()) return static_cast<std::size_t>(found - known.begin());
  const std::string meant = lodewire::detail::usual_word(name, known);
  throw lodewire::invalid_value(option, "'" + name + "'",
                                lodewire::detail::names_in(list) +
                                    (meant.empty() ? "" : "; did you mean '" + meant + "'?"));
}

/// `neck volume=7`, `tone=70%`: the name is everything before the last equals sign. Throws `invalid_value`.
void turn_knob(lodewire::instrument& of, const std::string& text);

/// The destination of that name: of the file's own, of amp (1 MΩ), pedal (50 kΩ) and line (10 kΩ), each behind 3 m of
/// cable of 100 pF/m (common practice, no source). Without a name the file's first one, or the amplifier.
[[nodiscard]] lodewire::destination find_destination(std::vector<lodewire::destination> known,
                                                     const std::string& name);

/// The length of its cable, such as 6m; an empty text leaves it. Throws `invalid_value`.
void set_cable(lodewire::destination& into, const std::string& length);

} // namespace examples
