// SPDX-License-Identifier: BSL-1.0
// read_touchstone. There is no writer: numbers written out again, in version 1 over 1 Ω and in version 2, must be read as
// the same curve.
#include <lodewire/design/touchstone.hpp>

#include "reader.hpp"

void fuzz::one_input(std::string_view text) {
  using namespace lodewire;
  const auto curve = read_or_refuse(text, [](std::string_view t) { return read_touchstone(t); });
  if (!curve) return;
  expect(curve->size() > 0 && curve->value.size() == curve->size(), "a value a frequency", text);
  std::string data;
  for (std::size_t i = 0; i < curve->size(); ++i) {
    expect(is_finite(curve->hz[i]) && curve->hz[i] > 0, "a frequency is finite and positive", text);
    expect(i == 0 || curve->hz[i] > curve->hz[i - 1], "frequencies rise", text);
    const auto z = curve->value[i];
    expect(is_finite(z.real()) && is_finite(z.imag()), "a value is finite", text);
    data += plain_number(curve->hz[i], 17) + " " + plain_number(z.real(), 17) + " " +
            plain_number(z.imag(), 17) + "\n";
  }
  for (const std::string& again : {"# Hz Z RI R 1\n" + data, "[Version] 2.0\n# Hz Z RI\n[Number of Ports] 1\n"
                                                             "[Network Data]\n" +
                                                                 data + "[End]\n"}) {
    const auto twice = read_or_refuse(again, [](std::string_view t) { return read_touchstone(t); });
    expect(twice && twice->hz == curve->hz && twice->value == curve->value, "what was written is read", text);
  }
}
