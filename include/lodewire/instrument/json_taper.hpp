// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <charconv>
#include <string>
#include <string_view>

#include <lodewire/parts/taper.hpp>
#include <lodewire/quantity/read_tolerance.hpp>
#include <lodewire/quantity/write_marking.hpp>

/// Tapers in words: `linear`, `audio 15 %`, `reverse audio 15 %`, `s-shaped 15 %`, `two slopes, 20 % at 50 %` (20 % of
/// the track at half travel), `blend M`, `blend N`. A measured law is a table and has no words.
namespace lodewire::detail {

/// A fraction of 0 to 1 in percent: `15 %`; reads back as the same double.
[[nodiscard]] inline std::string percent_text(double fraction) {
  return write_tolerance(tolerance::symmetric(fraction)).substr(std::string_view("±").size());
}

/// Throws `text_error`.
[[nodiscard]] inline taper read_taper_words(std::string_view text, std::string_view parameter = "taper") {
  text_cursor in{text, parameter};
  const auto percent = [&in](double low, double high, std::string_view allowed) {
    in.skip_spaces();
    const std::size_t first = in.at();
    const double fraction = take_percent(in);
    if (!(fraction >= low) || !(fraction <= high)) in.fail_at(first, allowed);
    return fraction;
  };
  const auto at_half = [&] { return percent(0.001, 0.5, "0.1 % to 50 % of the track at half travel"); };
  const auto end = [&in](taper t) {
    in.require_end();
    return t;
  };
  if (in.take("linear")) return end({});
  if (in.take("audio")) return end(taper::audio(at_half()));
  if (in.take("reverse audio")) return end(taper::reverse_audio(at_half()));
  if (in.take("s-shaped")) return end(taper::s_shaped(at_half()));
  if (in.take("blend M")) return end(taper::blend_m());
  if (in.take("blend N")) return end(taper::blend_n());
  if (in.take("two slopes")) {
    in.take(",");
    const double fraction = percent(0, 1, "0 % to 100 % of the track");
    if (!in.take("at")) in.fail("'at' and the knee's rotation: two slopes, 20 % at 50 %");
    return end(taper::two_slopes(percent(0.001, 0.999, "0.1 % to 99.9 % of the travel"), fraction));
  }
  in.fail("linear, audio 15 %, reverse audio 15 %, s-shaped 15 %, 'two slopes, 20 % at 50 %', blend M or "
          "blend N");
}

/// Mid fraction of a reverse audio law, in the fewest digits that give this law back. The taper keeps one less it.
[[nodiscard]] inline double mid_fraction_of(const taper& reverse) {
  const double exact = 1 - reverse.first();
  for (int digits = 1; digits < 17; ++digits) {
    const std::string text = plain_number(exact, digits);
    double tried = 0;
    std::from_chars(text.data(), text.data() + text.size(), tried);
    if (tried < 0.001 || tried > 0.5) continue;
    if (taper::reverse_audio(tried).first() == reverse.first()) return tried;
  }
  return exact;
}

/// In words, without its travel; empty for a measured law.
[[nodiscard]] inline std::string write_taper_words(const taper& t) {
  switch (t.kind()) {
  case taper::law::exponential:
    if (t.first() == 0.5) return "linear";
    return t.first() < 0.5 ? "audio " + percent_text(t.first())
                           : "reverse audio " + percent_text(mid_fraction_of(t));
  case taper::law::two_slopes:
    if (t.first() == 0.5 && t.second() == 1) return t.is_falling() ? "blend N" : "blend M";
    return "two slopes, " + percent_text(t.second()) + " at " + percent_text(t.first());
  case taper::law::s_shaped: return "s-shaped " + percent_text(t.first());
  case taper::law::measured: break;
  }
  return {};
}

} // namespace lodewire::detail
