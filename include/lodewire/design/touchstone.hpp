// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <string>

#include <lodewire/design/curve_text.hpp>
#include <lodewire/design/measured_curve.hpp>

/// One-port files of network analysers: Touchstone 1.1 and 2.0 (EIA/IBIS, "Touchstone File Format Specification").
namespace lodewire {

namespace detail {

/// What the option line says: `# <unit> <parameter> <format> R <n>`, each in any order, with its default.
struct touchstone_options {
  double hz = 1e9;
  char parameter = 's';      ///< s, y, z
  std::string format = "ma"; ///< ma, db, ri
  double reference = 50;

  touchstone_options() = default;
  touchstone_options(const line_reader& in, const std::vector<text_word>& words) {
    for (std::size_t i = 1; i < words.size(); ++i) {
      const std::string w = in_lower_case(words[i].text);
      if (w == "ghz" || w == "mhz" || w == "khz" || w == "hz") {
        hz = w == "ghz" ? 1e9 : w == "mhz" ? 1e6 : w == "khz" ? 1e3 : 1;
      } else if (w == "s" || w == "y" || w == "z") {
        parameter = w[0];
      } else if (w == "g" || w == "h") {
        in.fail(words[i].column, "S, Y or Z: G and H belong to two ports");
      } else if (w == "ma" || w == "db" || w == "ri") {
        format = w;
      } else if (w == "r") {
        if (++i == words.size()) in.fail(in.end_column(), "the reference in ohms after R");
        reference = in.to_number(words[i]);
        if (!(reference > 0)) in.fail(words[i].column, "a reference of more than 0 Ω");
      } else {
        in.fail(words[i].column,
                "a unit (GHz, MHz, kHz, Hz), S, Y or Z, a format (MA, DB, RI), or R and ohms");
      }
    }
  }
};

/// The keyword of a line of version 2.0, `[Number of Ports] 1`, and the words after it.
struct touchstone_keyword {
  std::string name{}; ///< in small letters, without brackets
  std::vector<text_word> values{};

  touchstone_keyword(const line_reader& in, const std::vector<text_word>& words) {
    std::size_t i = 0;
    for (bool open = true; open; ++i) {
      if (i == words.size()) in.fail(in.end_column(), "] after the keyword");
      const std::string_view w = words[i].text;
      const std::size_t end = w.find(']');
      if (!name.empty()) name += ' ';
      name += in_lower_case(w.substr(i == 0, (end == w.npos ? w.size() : end) - (i == 0)));
      open = end == w.npos;
      if (!open && end + 1 < w.size()) // the value may follow at once
        values.push_back({w.substr(end + 1), words[i].column + end + 1});
    }
    values.insert(values.end(), words.begin() + static_cast<std::ptrdiff_t>(i), words.end());
  }
  [[nodiscard]] double number(const line_reader& in) const {
    if (values.size() != 1) in.fail(values.empty() ? in.end_column() : values[1].column, "one number");
    return in.to_number(values[0]);
  }
};

/// The state of a reader of one file.
class touchstone_reader {
public:
  touchstone_reader(std::string_view text, const std::string& name) : in_(text, name) { curve_.name = name; }

  [[nodiscard]] measured_curve read() {
    while (!ended_ && in_.next()) {
      for (std::size_t i = 0; i < in_.line().size(); ++i) {
        const char c = in_.line()[i];
        if (c == '!') break; // of comments nobody asks what is in them
        if ((c < ' ' && c != '\t') || c > '~')
          in_.fail(in_.column_of(i), "ASCII: printing characters and tabs");
      }
      const auto words = in_.words('!');
      if (words.empty()) continue;
      if (in_information_ && words[0].text[0] != '[') continue;
      if (words[0].text[0] == '[') {
        take_keyword(words);
      } else if (words[0].text[0] == '#') {
        take_options(words);
      } else {
        take_data(words);
      }
    }
    if (!has_options_) in_.fail(in_.end_column(), "an option line, such as # Hz Z RI R 50");
    if (curve_.hz.empty()) in_.fail(in_.end_column(), "a line of data: frequency and one pair");
    if (two_ && !ended_) in_.fail(in_.end_column(), "[End]");
    if (two_ && count_ > 0 && static_cast<double>(curve_.size()) != count_)
      in_.fail(in_.end_column(), "as many lines of data as [Number of Frequencies] says");
    return require_curve(curve_, 1), std::move(curve_);
  }

private:
  void take_options(const std::vector<text_word>& words) {
    if (has_options_) return; // later ones are ignored, says the specification
    auto joined = words;      // "#MHz" is as good as "# MHz"
    if (joined[0].text.size() > 1) {
      joined.insert(joined.begin(), {joined[0].text.substr(0, 1), joined[0].column});
      joined[1] = {joined[1].text.substr(1), joined[1].column + 1};
    }
    options_ = touchstone_options(in_, joined);
    has_options_ = true;
  }
  void take_keyword(const std::vector<text_word>& words) {
    const touchstone_keyword k(in_, words);
    if (k.name == "version") {
      if (two_ || has_options_ || !curve_.hz.empty())
        in_.fail(words[0].column, "[Version] before anything else, once");
      if (k.number(in_) != 2.0) in_.fail(k.values[0].column, "version 2.0");
      two_ = true;
      return;
    }
    if (!two_) in_.fail(words[0].column, "[Version] 2.0 before any other keyword");
    if (k.name == "number of ports") {
      if (k.number(in_) != 1) in_.fail(k.values[0].column, "one port: a file of more is no single impedance");
      ports_ = true;
    } else if (k.name == "number of frequencies") {
      count_ = k.number(in_);
      if (!(count_ >= 1)) in_.fail(k.values[0].column, "1 or more");
    } else if (k.name == "reference") {
      reference_ = k.number(in_);
      if (!(reference_ > 0)) in_.fail(k.values[0].column, "a reference of more than 0 Ω");
    } else if (k.name == "network data") {
      if (!ports_) in_.fail(words[0].column, "[Number of Ports] before the data");
      data_ = true;
    } else if (k.name == "begin information") {
      in_information_ = true;
    } else if (k.name == "end information") {
      in_information_ = false;
    } else if (k.name == "end") {
      ended_ = true;
    } else if (k.name != "matrix format") { // of one entry, every form is the same
      in_.fail(words[0].column, "a keyword of a one-port file");
    }
  }
  void take_data(const std::vector<text_word>& words) {
    if (!has_options_) in_.fail(words[0].column, "the option line (#) before the data");
    if (two_ && !data_) in_.fail(words[0].column, "[Network Data] before the data");
    if (words.size() != 3)
      in_.fail(words.size() < 3 ? in_.end_column() : words[3].column,
               "a frequency and one pair: a file of one port");
    const double a = in_.to_number(words[1]), b = in_.to_number(words[2]);
    if (options_.format != "ri" && std::abs(b) > 1e6) in_.fail(words[2].column, "an angle in degrees");
    if (options_.format == "db" && std::abs(a) > 2000) in_.fail(words[1].column, "-2000 to 2000 dB");
    const double size = options_.format == "db" ? std::pow(10, a / 20) : a;
    const std::complex<double> x = options_.format == "ri"
                                       ? std::complex<double>(a, b)
                                       : size * std::complex<double>(std::cos(b * std::numbers::pi / 180),
                                                                     std::sin(b * std::numbers::pi / 180));
    // Version 1 gives Z and Y over the reference; version 2 in ohms and siemens.
    const double reference = reference_ > 0 ? reference_ : options_.reference;
    const double unit = two_ ? 1 : reference;
    std::complex<double> z = x * unit;
    if (options_.parameter != 'z') {
      const std::complex<double> below = options_.parameter == 'y' ? x : 1.0 - x;
      if (std::abs(below) < 1e-12) in_.fail(words[1].column, "an impedance that is not infinite");
      z = options_.parameter == 'y' ? unit / x : reference * (1.0 + x) / below;
    }
    const double hz = in_.to_number(words[0]) * options_.hz;
    if (!(hz > 0) || !is_finite(hz)) in_.fail(words[0].column, "a finite frequency of more than 0");
    if (!curve_.hz.empty() && !(hz > curve_.hz.back())) in_.fail(words[0].column, "rising frequencies");
    if (!is_finite(z.real()) || !is_finite(z.imag()) || std::abs(z) == 0)
      in_.fail(words[1].column, "an impedance that is finite and not 0");
    curve_.hz.push_back(hz);
    curve_.value.push_back(z);
  }

  line_reader in_;
  measured_curve curve_{};
  touchstone_options options_{};
  double count_ = 0, reference_ = 0;
  bool has_options_ = false, two_ = false, ports_ = false, data_ = false, ended_ = false,
       in_information_ = false;
};

} // namespace detail

/// The impedance in ohms from the text of a one-port file, whatever it holds: S, Z or Y, in any of the three formats.
/// Throws `text_error` that names line and column: a file of two ports, a frequency out of order, an impedance that is
/// zero or infinite. Cost: linear.
[[nodiscard]] inline measured_curve read_touchstone(std::string_view text,
                                                    const std::string& name = "touchstone") {
  return detail::touchstone_reader(text, name).read();
}

} // namespace lodewire
