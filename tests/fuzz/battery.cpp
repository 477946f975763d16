// SPDX-License-Identifier: BSL-1.0
// read_battery_code and read_battery. Written as the number of cells, the letters and the size; as its designation.
#include <lodewire/parts/battery.hpp>

#include "reader.hpp"

void fuzz::one_input(std::string_view text) {
  using namespace lodewire;
  const auto code = [](std::string_view t) { return read_battery_code(t); };
  if (const auto read = read_or_refuse(text, code)) {
    expect(read->cells >= 1 && read->cells <= 99, "1 to 99 cells", text);
    expect(!read->size.empty() && read->size.size() <= 4, "one to four digits of size", text);
    std::string written = read->cells == 1 ? "" : std::to_string(read->cells);
    if (read->chemistry == battery_chemistry::alkaline) written += 'L';
    if (read->chemistry == battery_chemistry::nickel_metal_hydride) written += 'H';
    if (read->chemistry == battery_chemistry::nickel_cadmium) written += 'K';
    written += read->form == battery_code::shape::round ? 'R' : 'F';
    expect_back(written + read->size, *read, text, code);
  }
  const auto block = [](std::string_view t) { return read_battery(t); };
  if (const auto read = read_or_refuse(text, block)) expect_back(read->designation, *read, text, block);
}
