// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cstdint>
#include <limits>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include <lodewire/analysis/sensitivity.hpp>
#include <lodewire/analysis/study.hpp>

namespace lodewire {

/// The least and the greatest of every watched result over the corners: every part at one end of what occurs.
struct worst_case {
  template <class Q>
  struct range {
    Q lowest{}, highest{};
  };
  std::vector<range<decibel>> curve; ///< at each frequency by itself
  range<decibel> level;
  range<frequency> peak;         ///< of the corners that have a peak
  range<decibel> height;         ///< likewise
  std::uint64_t corners = 0;     ///< how many were computed
  bool every_corner = true;      ///< false: some parts were taken as monotone
  bool any_without_peak = false; ///< a corner has no peak
};

namespace detail {

/// A run over corners. Parts that share all of their deviation (correlation 1) turn together.
template <int Width>
class corner_run {
public:
  /// What a part is held at: free, or an end.
  enum class held : signed char { low = -1, free = 0, high = 1 };

  explicit corner_run(const basic_study<Width>& of) : study_{of}, room_(of.room()) {
    const auto& parts = of.parts();
    for (std::size_t p = 0; p < parts.size(); ++p) {
      std::size_t turns_with = turns_;
      for (std::size_t k = 0; k < p; ++k)
        if (!parts[p].group.empty() && parts[k].group == parts[p].group && parts[k].correlation == 1 &&
            parts[p].correlation == 1)
          turns_with = turn_of_[k];
      turn_of_.push_back(turns_with);
      turns_ += turns_with == turns_;
    }
  }
  /// How many parts or bundles of parts turn by themselves.
  [[nodiscard]] std::size_t turns() const noexcept { return turns_; }
  [[nodiscard]] const std::vector<std::size_t>& turn_of() const noexcept { return turn_of_; }

  /// Calls use(block, how many of its builds count) for all corners of the free ones. Returns how many there were.
  template <class Use>
  std::uint64_t each(const std::vector<held>& hold, const Use& use) {
    std::vector<std::size_t> place(turns_);
    std::size_t free = 0;
    for (std::size_t t = 0; t < turns_; ++t) place[t] = hold[t] == held::free ? free++ : 0;
    const std::uint64_t corners = std::uint64_t{1} << free;
    for (std::uint64_t first = 0; first < corners; first += build_block) {
      for (std::size_t p = 0; p < turn_of_.size(); ++p) {
        const std::size_t t = turn_of_[p];
        const distribution& law = study_.parts()[p].law;
        for (std::size_t b = 0; b < build_block; ++b) {
          const bool high =
              hold[t] == held::free ? ((first + b) >> place[t] & 1U) != 0 : hold[t] == held::high;
          room_->deviations(p)[b] = high ? law.highest() : law.lowest();
        }
      }
      room_->compose();
      use(*room_, static_cast<std::size_t>((std::min)(corners - first, std::uint64_t{build_block})));
    }
    return corners;
  }

private:
  const basic_study<Width>& study_;
  std::unique_ptr<study_block<Width>> room_;
  std::vector<std::size_t> turn_of_;
  std::size_t turns_ = 0;
};

/// Least and greatest so far.
struct extremes {
  double lowest = (std::numeric_limits<double>::max)(), highest = -(std::numeric_limits<double>::max)();
  void take(double x) noexcept {
    lowest = x < lowest ? x : lowest;
    highest = x > highest ? x : highest;
  }
};

/// The direction in which a result goes with each turning part: held::high where it rises at the nominal circuit and at
/// 32 builds, held::low where it falls at all of them, held::free otherwise. `slopes(source)` may give an empty list.
template <int Width, class Slopes>
[[nodiscard]] auto monotone_directions(const basic_study<Width>& of, const corner_run<Width>& corners,
                                       const Slopes& slopes) {
  using held = typename corner_run<Width>::held;
  std::vector<bool> rises(corners.turns()), falls(corners.turns());
  for (std::uint64_t i = 0; i <= 32; ++i) {
    const source s = i == 0 ? source(of.nominal()) : of.build(i - 1);
    std::vector<double> sum(corners.turns());
    const std::vector<double> by_part = slopes(s);
    if (by_part.empty()) return std::vector<held>(corners.turns(), held::free);
    for (std::size_t p = 0; p < by_part.size(); ++p) {
      const distribution& law = of.parts()[p].law;
      sum[corners.turn_of()[p]] += by_part[p] * (law.highest() - law.lowest());
    }
    for (std::size_t t = 0; t < sum.size(); ++t) {
      rises[t] = rises[t] || sum[t] > 0;
      falls[t] = falls[t] || sum[t] < 0;
    }
  }
  std::vector<held> directions;
  for (std::size_t t = 0; t < rises.size(); ++t)
    directions.push_back(rises[t] && falls[t] ? held::free : falls[t] ? held::low : held::high);
  return directions;
}

} // namespace detail

/// Exact over the corners for up to 20 parts that turn by themselves (2^20 corners: under a second). With more, each
/// result by itself: parts with which it only rises or only falls, as its exact slopes say at the nominal circuit and at
/// 32 builds, stay at that end, and the corners of the rest are computed; throws `invalid_value` where more than 20 are
/// left. An extreme inside the box, of a result that is not monotone, is not seen. Throws `invalid_value`.
template <int Width>
[[nodiscard]] worst_case find_worst_case(const basic_study<Width>& of) {
  constexpr std::size_t most = 20;
  using run_type = detail::corner_run<Width>;
  using held = typename run_type::held;
  using block = detail::study_block<Width>;
  run_type corners(of);
  const std::size_t grid = of.plan().hz.size();
  std::vector<double> squares;
  for (const double hz : of.plan().hz) squares.push_back(detail::power_response::square_of(hz));
  squares.push_back(detail::power_response::square_of(of.plan().level_at.value()));
  std::vector<detail::extremes> row(squares.size());
  detail::extremes peak, height;
  std::vector<double> levels(squares.size() * build_block);
  worst_case found;

  const auto take_rows = [&](block& b, std::size_t count, std::size_t first, std::size_t rows) {
    b.power(std::span(squares).subspan(first, rows), levels.data());
    for (std::size_t r = 0; r < rows; ++r)
      for (std::size_t i = 0; i < count; ++i) row[first + r].take(levels[r * build_block + i]);
  };
  const auto take_peaks = [&](block& b, std::size_t count, bool of_peak, bool of_height) {
    b.find_peaks();
    for (std::size_t i = 0; i < count; ++i) {
      if (!(b.peak_hz[i] > 0)) {
        found.any_without_peak = true;
        continue;
      }
      if (of_peak) peak.take(b.peak_hz[i]);
      if (of_height) height.take(b.height[i]);
    }
  };

  if (corners.turns() <= most) {
    found.corners =
        corners.each(std::vector<held>(corners.turns(), held::free), [&](block& b, std::size_t count) {
          take_rows(b, count, 0, squares.size());
          if (of.plan().with_resonance) take_peaks(b, count, true, true);
        });
  } else {
    found.every_corner = false;
    std::vector<varied_part> parts;
    for (const toleranced_part& p : of.parts()) parts.push_back(p.part);
    const auto one_result = [&](const auto& slopes, const auto& use) {
      std::vector<held> directions = detail::monotone_directions(of, corners, slopes);
      const auto left =
          static_cast<std::size_t>(std::count(directions.begin(), directions.end(), held::free));
      if (left > most)
        throw invalid_value("worst case", std::to_string(left) + " parts without one direction",
                            "up to " + std::to_string(most));
      for (int end = 0; end < 2; ++end) {
        found.corners += corners.each(directions, use);
        for (held& h : directions) h = static_cast<held>(-static_cast<int>(h));
      }
    };
    const auto& weights = of.plan().weights;
    for (std::size_t r = 0; r < squares.size(); ++r) {
      const auto f = r < grid ? frequency::from_value(of.plan().hz[r]) : of.plan().level_at;
      one_result([&](const source& s) { return find_level_sensitivity(s, parts, f, weights).slope_db; },
                 [&](block& b, std::size_t count) { take_rows(b, count, r, 1); });
    }
    if (of.plan().with_resonance) {
      const auto slopes_of = [&](const source& s) {
        return find_resonance_sensitivity(s, parts, of.plan().search, weights);
      };
      one_result([&](const source& s) { return slopes_of(s).peak; },
                 [&](block& b, std::size_t count) { take_peaks(b, count, true, false); });
      one_result([&](const source& s) { return slopes_of(s).height_db; },
                 [&](block& b, std::size_t count) { take_peaks(b, count, false, true); });
    }
  }

  for (std::size_t r = 0; r < grid; ++r)
    found.curve.push_back({power_level(row[r].lowest), power_level(row[r].highest)});
  found.level = {power_level(row[grid].lowest), power_level(row[grid].highest)};
  if (peak.highest > 0) {
    found.peak = {frequency::from_value(peak.lowest), frequency::from_value(peak.highest)};
    found.height = {power_level(height.lowest), power_level(height.highest)};
  }
  return found;
}

} // namespace lodewire
