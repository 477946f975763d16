// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include <lodewire/parts/rotation.hpp>
#include <lodewire/parts/taper.hpp>
#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/requirement.hpp>

/// What an instrument is to do: goals, each with a weight and perhaps a hard limit. Plain values, checked by
/// `require_wish`. A goal has a figure (what is there) and a misfit (how far that is from what is wanted, 0 or more).
namespace lodewire {

/// A knob that stands somewhere.
struct knob_setting {
  std::string control{};
  rotation at = rotation(1);
  [[nodiscard]] bool operator==(const knob_setting&) const = default;
};

/// Where a goal listens.
struct listening {
  std::string position{};            ///< empty: the first one
  std::vector<knob_setting> knobs{}; ///< the others stand where the instrument says
  std::string pickup{};              ///< this one alone, the others at rest; empty: all together
  [[nodiscard]] bool operator==(const listening&) const = default;
};

/// A response to be matched (`match_goal_like` takes it from an instrument). Misfit and figure: rms or largest
/// difference of level over the points, dB.
struct match_goal {
  listening at{};
  std::vector<double> hz{};        ///< positive and rising
  std::vector<double> wanted_db{}; ///< as long; dB re 1 V, clipped at -120 dB
  bool shape_only = false;         ///< the mean difference is left out
  bool largest = false;            ///< the largest difference, not the rms
  [[nodiscard]] bool operator==(const match_goal&) const = default;
};

/// A resonance at f. Misfit: by how much the frequency is off, in % of the lower one; its -3 dB edge stands in where
/// there is no peak. Figure: Hz.
struct peak_goal {
  listening at{};
  frequency wanted{};
  [[nodiscard]] bool operator==(const peak_goal&) const = default;
};

/// A height of the resonance over the low-frequency level. Misfit: dB. Figure: dB, 0 without a peak.
struct height_goal {
  listening at{};
  decibel wanted{};
  [[nodiscard]] bool operator==(const height_goal&) const = default;
};

/// A level that equals another one. Misfit: dB. Figure: this level less the other one, dB.
struct level_goal {
  listening at{};
  listening as{};
  decibel above{}; ///< wanted difference
  frequency f = frequency::from_value(100);
  [[nodiscard]] bool operator==(const level_goal&) const = default;
};

/// A control whose level falls like another one over the rotation (`taper_goal_like`). Misfit and figure: rms
/// difference over knob 1 to 10 of the level at 100 Hz re the highest, dB, both clipped at -40 dB.
struct taper_goal {
  listening at{};
  std::string control{};
  std::vector<double> wanted_db{}; ///< ten: knob 1, 2, ... 10
  [[nodiscard]] bool operator==(const taper_goal&) const = default;
};

/// Treble that stays at part volume. Figure: treble against low frequencies at full less the same at part volume, dB
/// (more than 0: lost). Misfit: that, in dB; a gain counts as well if `gain_counts`, else it is 0.
struct treble_goal {
  listening at{};
  std::string control{};
  std::optional<rotation> turned{}; ///< absent: where the low frequencies are 6 dB down
  frequency low = frequency::from_value(100);
  frequency treble = frequency::from_value(5000);
  bool gain_counts = true;
  [[nodiscard]] bool operator==(const treble_goal&) const = default;
};

/// A load on a pickup. Misfit: by how much it is off, in % of the lower one; with `over_travel_of` the largest over
/// the whole travel of that control. Figure: Ω, the magnitude at f.
struct load_goal {
  listening at{};
  std::string pickup{};
  resistance wanted{};
  std::string over_travel_of{}; ///< a control; empty: as it stands
  bool plugged_in = false;      ///< cable and input count
  frequency f = frequency::from_value(1000);
  [[nodiscard]] bool operator==(const load_goal&) const = default;
};

using goal = std::variant<match_goal, peak_goal, height_goal, level_goal, taper_goal, treble_goal, load_goal>;

/// The unit of a goal's misfit, and of its figure.
[[nodiscard]] inline std::string_view misfit_unit(const goal& of) noexcept {
  return std::holds_alternative<peak_goal>(of) || std::holds_alternative<load_goal>(of) ? "%" : "dB";
}
[[nodiscard]] inline std::string_view figure_unit(const goal& of) noexcept {
  return std::holds_alternative<peak_goal>(of) ? "Hz" : std::holds_alternative<load_goal>(of) ? "Ω" : "dB";
}

/// A goal with its weight.
struct criterion {
  std::string name{};
  goal wants{};
  /// Cost of one unit of misfit (1 dB, 1 %). Absent: 1 for a dB, 0.1 for a %, so that 10 % weigh as 1 dB.
  std::optional<double> weight{};
  std::optional<double> limit{}; ///< hard: a greater misfit will not do
  [[nodiscard]] double used_weight() const noexcept {
    return weight ? *weight : misfit_unit(wants) == "%" ? 0.1 : 1.0;
  }
  [[nodiscard]] bool operator==(const criterion&) const = default;
};

/// Several at once. The cost of an instrument is Σ weight·misfit.
struct wish {
  std::vector<criterion> criteria{};
  [[nodiscard]] bool operator==(const wish&) const = default;
};

namespace detail {

inline void require_goal(const std::string& path, const match_goal& g) {
  if (g.hz.empty()) throw invalid_value(path + ".hz", "an empty list", "one frequency or more");
  if (g.wanted_db.size() != g.hz.size())
    throw invalid_value(path + ".wanted_db", std::to_string(g.wanted_db.size()) + " long",
                        "as long as hz: " + std::to_string(g.hz.size()));
  for (std::size_t i = 0; i < g.hz.size(); ++i) {
    require_positive(path + ".hz", frequency::from_value(g.hz[i]));
    require_finite(path + ".wanted_db", g.wanted_db[i]);
  }
}
inline void require_goal(const std::string& path, const peak_goal& g) {
  require_positive(path + ".wanted", g.wanted);
}
inline void require_goal(const std::string& path, const height_goal& g) {
  require_finite(path + ".wanted, in dB", g.wanted.value());
}
inline void require_goal(const std::string& path, const level_goal& g) {
  require_finite(path + ".above, in dB", g.above.value());
  require_positive(path + ".f", g.f);
}
inline void require_goal(const std::string& path, const taper_goal& g) {
  if (g.wanted_db.size() != 10)
    throw invalid_value(path + ".wanted_db", std::to_string(g.wanted_db.size()) + " long", "ten levels");
  for (const double db : g.wanted_db) require_finite(path + ".wanted_db", db);
}
inline void require_goal(const std::string& path, const treble_goal& g) {
  require_positive(path + ".low", g.low);
  require_positive(path + ".treble", g.treble);
}
inline void require_goal(const std::string& path, const load_goal& g) {
  require_positive(path + ".wanted", g.wanted);
  require_positive(path + ".f", g.f);
}

} // namespace detail

/// Refuses a wish for nothing, and a number that is none. Throws `invalid_value` with the criterion's number.
inline void require_wish(const wish& w) {
  if (w.criteria.empty()) throw invalid_value("wish.criteria", "an empty list", "one criterion or more");
  bool weighs = false;
  for (std::size_t i = 0; i < w.criteria.size(); ++i) {
    const criterion& c = w.criteria[i];
    const std::string path = "wish.criteria[" + std::to_string(i) + "]";
    require_not_negative(path + ".weight", c.used_weight());
    if (c.limit) require_not_negative(path + ".limit", *c.limit);
    weighs = weighs || c.used_weight() > 0 || c.limit;
    std::visit([&](const auto& g) { detail::require_goal(path, g); }, c.wants);
  }
  if (!weighs) throw invalid_value("wish.criteria", "without a weight or a limit", "one that counts");
}

} // namespace lodewire
