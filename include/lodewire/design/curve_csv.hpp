// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>

#include <lodewire/design/curve_text.hpp>
#include <lodewire/design/measured_curve.hpp>

/// Measured curves from comma-separated text.
namespace lodewire {

/// The headings of the columns to read. How a heading ends says the unit:
/// frequency `_hz`, `_khz`; impedance `_ohm`, `_kohm`, `_mohm` (MΩ); ratio `_db` or anything else; angle `_deg`, `_rad`.
/// Two of a kind are a real and an imaginary part. Empty: the first column of that kind that the file has.
struct csv_columns {
  std::string frequency{};
  std::string first{};  ///< magnitude, or real part
  std::string second{}; ///< angle, or imaginary part; empty with `first` given: magnitude alone
};

namespace detail {

enum class csv_unit : std::uint8_t { hz, khz, ohm, kohm, mohm, db, deg, rad, plain };

[[nodiscard]] inline csv_unit csv_unit_of(std::string_view heading) {
  const std::string h = in_lower_case(heading);
  constexpr struct {
    std::string_view ending;
    csv_unit unit;
  } endings[] = {{"khz", csv_unit::khz},   {"hz", csv_unit::hz},   {"kohm", csv_unit::kohm},
                 {"mohm", csv_unit::mohm}, {"ohm", csv_unit::ohm}, {"db", csv_unit::db},
                 {"deg", csv_unit::deg},   {"rad", csv_unit::rad}};
  for (const auto& e : endings) {
    if (h.size() < e.ending.size() || h.substr(h.size() - e.ending.size()) != e.ending) continue;
    const std::size_t before = h.size() - e.ending.size();
    if (before == 0 || !(h[before - 1] >= 'a' && h[before - 1] <= 'z')) return e.unit;
  }
  return csv_unit::plain;
}

[[nodiscard]] inline bool is_angle(csv_unit u) noexcept { return u == csv_unit::deg || u == csv_unit::rad; }
[[nodiscard]] inline bool is_frequency(csv_unit u) noexcept {
  return u == csv_unit::hz || u == csv_unit::khz;
}

/// Which columns hold what.
struct csv_layout {
  std::size_t frequency = 0, first = 0, second = 0;
  csv_unit hz = csv_unit::hz, unit = csv_unit::ohm, angle = csv_unit::deg;
  bool has_second = false;

  csv_layout(const line_reader& in, const std::vector<text_word>& headings, const csv_columns& wanted) {
    const auto find = [&](const std::string& name, auto fits, std::string_view what) {
      for (std::size_t i = 0; i < headings.size(); ++i)
        if (name.empty() ? fits(i) : in_lower_case(headings[i].text) == in_lower_case(name)) return i;
      if (!name.empty()) in.fail(1, "a heading '" + name + "' in this line");
      if (!what.empty()) in.fail(1, std::string("a heading for ").append(what));
      return headings.size();
    };
    const auto unit_at = [&](std::size_t i) { return csv_unit_of(headings[i].text); };
    frequency = find(
        wanted.frequency, [&](std::size_t i) { return is_frequency(unit_at(i)); },
        "the frequency, such as frequency_hz");
    hz = unit_at(frequency);
    if (!is_frequency(hz))
      in.fail(headings[frequency].column, "a frequency: its heading ends in _hz or _khz");
    first = find(
        wanted.first,
        [&](std::size_t i) { return i != frequency && !is_angle(unit_at(i)) && !is_frequency(unit_at(i)); },
        "a magnitude or a real part, such as z_ohm");
    unit = unit_at(first);
    if (is_angle(unit) || is_frequency(unit))
      in.fail(headings[first].column, "a magnitude or a real part: ohms, decibels or a ratio");
    const bool magnitude_alone = !wanted.first.empty() && wanted.second.empty();
    if (magnitude_alone) return;
    second = find(
        wanted.second,
        [&](std::size_t i) {
          return i > first && (is_angle(unit_at(i)) || (unit_at(i) == unit && unit != csv_unit::db));
        },
        "");
    has_second = second < headings.size();
    if (!has_second) return;
    angle = unit_at(second);
    if (!is_angle(angle) && (angle != unit || unit == csv_unit::db || second == first))
      in.fail(headings[second].column,
              "an angle (_deg, _rad), or an imaginary part in the unit of the real one");
  }
};

} // namespace detail

/// A curve from text: lines that begin with # are comments, the first other line holds the headings, parted by commas,
/// semicolons or tabs like the numbers below them. Decimals with a point. Throws `text_error` that names line and column,
/// and `invalid_value` for a curve that is none (`require_curve`). `name` is what errors call it. Cost: linear.
[[nodiscard]] inline measured_curve read_curve_csv(std::string_view text, const csv_columns& columns = {},
                                                   const std::string& name = "curve") {
  detail::line_reader in(text, name);
  const auto is_comment = [&] {
    const auto at = in.line().find_first_not_of(" \t");
    return at == std::string_view::npos || in.line()[at] == '#';
  };
  bool found = in.next();
  while (found && is_comment()) found = in.next();
  if (!found) in.fail(in.end_column(), "a line of headings, such as frequency_hz,z_ohm,z_deg");
  const char mark = in.line().find(';') != std::string_view::npos   ? ';'
                    : in.line().find(',') != std::string_view::npos ? ','
                                                                    : '\t';
  const std::vector<detail::text_word> headings = in.cut(mark);
  const detail::csv_layout at(in, headings, columns);
  using unit = detail::csv_unit;

  measured_curve c;
  c.name = name;
  const bool ohms = at.unit == unit::ohm || at.unit == unit::kohm || at.unit == unit::mohm;
  c.kind = ohms ? curve_kind::ohms : curve_kind::ratio;
  c.magnitude_only = !at.has_second;
  const double scale = at.unit == unit::kohm ? 1e3 : at.unit == unit::mohm ? 1e6 : 1;
  while (in.next()) {
    if (is_comment()) continue;
    const auto words = in.cut(mark);
    if (words.size() != headings.size())
      in.fail(words.size() < headings.size() ? in.end_column() : words[headings.size()].column,
              "as many columns as there are headings: " + std::to_string(headings.size()));
    c.hz.push_back(in.to_number(words[at.frequency]) * (at.hz == unit::khz ? 1e3 : 1));
    const double x = in.to_number(words[at.first]);
    if (at.has_second && !detail::is_angle(at.angle)) {
      c.value.emplace_back(scale * x, scale * in.to_number(words[at.second]));
      continue;
    }
    if (at.unit == unit::db && std::abs(x) > 2000) in.fail(words[at.first].column, "-2000 to 2000 dB");
    const double size = at.unit == unit::db ? std::pow(10, x / 20) : scale * x;
    if (!(size > 0)) in.fail(words[at.first].column, "a magnitude of more than 0");
    double turn = at.has_second ? in.to_number(words[at.second]) : 0;
    if (at.angle == unit::deg) turn *= std::numbers::pi / 180;
    if (std::abs(turn) > 1e4) in.fail(words[at.second].column, "an angle of fewer than 1600 turns");
    c.value.push_back(std::polar(size, turn));
  }
  require_curve(c, 1);
  return c;
}

} // namespace lodewire
