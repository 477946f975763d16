// SPDX-License-Identifier: BSL-1.0
// read_instrument_file: the text as a whole file, and as a part of one.
#include <lodewire/instrument/json.hpp>

#include "reader.hpp"

namespace {

void one_file(const std::string& text) {
  using namespace lodewire;
  std::optional<instrument_file> read;
  try {
    read = read_instrument_file(text);
  } catch (const document_error& error) {
    const std::string_view what = error.what();
    fuzz::expect(!error.path().empty(), "the error has a path", text);
    fuzz::expect(what.starts_with(error.path() + " is "), "the message begins with the path", text);
    fuzz::expect(what.find("; allowed: ") != what.npos, "the message says what is allowed", text);
    for (const char c : what)
      fuzz::expect(static_cast<unsigned char>(c) >= ' ' && c != '\x7f', "no control byte in a message", text);
    return;
  }
  const std::string written = write_instrument_file(*read);
  const instrument_file again = read_instrument_file(written);
  fuzz::expect(again == *read, "writing what was read gives the same instrument", text);
  fuzz::expect(write_instrument_file(again) == written, "and the same text", text);
}

} // namespace

void fuzz::one_input(std::string_view text) {
  const std::string part(text);
  const std::string pickup = R"({"name":"p","kind":"piezo","capacitance":"1n"})",
                    at = R"("name":"on","wiring":)";
  const std::string positions = R"("positions":[{)" + at + R"({"pickup":"p"}}])";
  one_file(part);
  one_file(R"({"pickups":[)" + part + "]," + positions + "}");
  one_file(R"({"pickups":[)" + pickup + R"(],"positions":[{)" + at + part + "}]}");
  const std::string rest = R"({"pickups":[)" + pickup + "]," + positions + ",";
  one_file(rest + R"("controls":[)" + part + R"(],"output":[{"volume":"v"}]})");
  one_file(rest + R"("controls":[{"name":"v","track":"500k"}],"output":)" + part + "}");
  one_file(rest + R"("supply":)" + part + "}");
  one_file(rest + R"("plugged_into":[)" + part + "]}");
}
