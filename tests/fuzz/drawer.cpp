// SPDX-License-Identifier: BSL-1.0
// read_drawer: the text as a whole file, as a part of a drawer, and as a value in one.
#include <lodewire/design/drawer_json.hpp>
#include <lodewire/quantity/write_marking.hpp>

#include "document.hpp"

namespace {

void one_file(const std::string& text) {
  using namespace lodewire;
  const auto read = fuzz::document_or_refusal(text, [](const std::string& t) { return read_drawer(t); });
  if (!read) return;
  fuzz::expect(!read->parts.empty(), "a drawer is not empty", text);
  std::string written;
  for (const stock_part& p : read->parts) {
    fuzz::expect(is_finite(p.value) && p.value > 0 && p.count > 0, "a part has a value and is there", text);
    fuzz::expect(is_finite(p.tolerance) && p.tolerance >= 0 && p.tolerance < 1, "a tolerance is one", text);
    if (p.is == stock_kind::potentiometer && p.law != taper{}) return; // a law has many spellings
    written += written.empty() ? "" : ",";
    written +=
        p.is == stock_kind::capacitor ? R"({"capacitor":")" + write_quantity(capacitance::from_value(p.value))
        : p.is == stock_kind::resistor ? R"({"resistor":")" + write_quantity(resistance::from_value(p.value))
                                       : R"({"pot":")" + write_quantity(resistance::from_value(p.value));
    written += R"(","count":)" + std::to_string(p.count) + R"(,"tolerance":")" +
               write_tolerance(tolerance::symmetric(p.tolerance)) + "\"}";
  }
  for (const stock_part& p : read->parts)
    if (p.count > 1'000'000) return; // in several entries
  if (written.size() > document_limits::bytes) return;
  drawer again = read_drawer(R"({"parts":[)" + written + "]}");
  again.name = read->name;
  fuzz::expect(again == *read, "writing what was read gives the same drawer", text);
}

} // namespace

void fuzz::one_input(std::string_view text) {
  const std::string part(text);
  one_file(part);
  one_file(R"({"parts":[)" + part + "]}");
  one_file(R"({"parts":[{"resistor":)" + part + "}]}");
  one_file(R"({"parts":[{"capacitor":["1n",)" + part + R"(],"count":3}]})");
  one_file(R"({"parts":[{"pot":"250k","tolerance":)" + part + "}]}");
}
