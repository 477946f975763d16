// SPDX-License-Identifier: BSL-1.0
// read_curve_csv, with the columns found by themselves and with a magnitude alone. There is no writer: numbers written
// out again must be read as the same curve.
#include <lodewire/design/curve_csv.hpp>
#include <lodewire/design/curve_suspicion.hpp>

#include "reader.hpp"

void fuzz::one_input(std::string_view text) {
  using namespace lodewire;
  const auto read = [](std::string_view t, const csv_columns& columns) -> std::optional<measured_curve> {
    try {
      return read_or_refuse(t, [&](std::string_view u) { return read_curve_csv(u, columns); });
    } catch (const invalid_value&) { // out of order, twice, none
      return std::nullopt;
    }
  };
  for (const csv_columns& columns : {csv_columns{}, csv_columns{"", "z_ohm", ""}}) {
    const auto curve = read(text, columns);
    if (!curve) continue;
    expect(curve->size() > 0 && curve->value.size() == curve->size(), "a value a frequency", text);
    std::string again = curve->kind == curve_kind::ohms ? "f_hz,re_ohm,im_ohm\n" : "f_hz,re,im\n";
    for (std::size_t i = 0; i < curve->size(); ++i) {
      expect(is_finite(curve->hz[i]) && curve->hz[i] > 0, "a frequency is finite and positive", text);
      expect(i == 0 || curve->hz[i] > curve->hz[i - 1], "frequencies rise", text);
      const auto z = curve->value[i];
      expect(is_finite(z.real()) && is_finite(z.imag()), "a value is finite", text);
      again += plain_number(curve->hz[i], 17) + "," + plain_number(z.real(), 17) + "," +
               plain_number(z.imag(), 17) + "\n";
    }
    const auto twice = read(again, {});
    expect(twice && twice->hz == curve->hz && twice->value == curve->value, "what was written is read", text);
    if (curve->size() >= 3) (void)find_suspicions(*curve);
  }
}
