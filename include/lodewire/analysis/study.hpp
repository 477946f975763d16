// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/analysis/study_block.hpp>
#include <lodewire/analysis/study_tally.hpp>
#include <lodewire/quantity/philox.hpp>

namespace lodewire {

/// A tolerance study: what a circuit does when its parts are off as parts are. Build i is a pure function of the seed and
/// i, so any thread on any machine may take any range of builds; the tallies are integers and merge to the same. A plain
/// value that many threads may share. Width: doubles in a vector register; counts at another width, or of a program
/// built with other flags, may differ where a result lies within rounding of the end of a bin.
template <int Width>
class basic_study {
public:
  /// Throws `invalid_value` for a plan or a part that is none, a part whose extremes would turn a value's sign; `not_rational`,
  /// `capacity_exceeded`, `conflicting_sources` for a circuit without a transfer function.
  basic_study(const source& s, std::vector<toleranced_part> parts, study_plan plan)
      : circuit_(s.as_circuit()), parts_(std::move(parts)), plan_(std::move(plan)), normal_(0, 8) {
    detail::require_plan(plan_);
    composer nominal(circuit_);
    static_cast<void>(nominal.response(circuit_, std::span<const double>(plan_.weights)));
    require_no_conflict(nominal.status());
    for (std::size_t p = 0; p < parts_.size(); ++p) add_part(p);
    for (const detail::moved_value& m : moved_) require_one_sign(m);
    for (const double f : plan_.hz) squares_.push_back(detail::power_response::square_of(f));
    level_square_ = detail::power_response::square_of(plan_.level_at.value());
    const auto power_of = [](double db) { return std::pow(10, db / 10); };
    for (const double db : plan_.limits.curve_lowest_db) lowest_.push_back(power_of(db));
    for (const double db : plan_.limits.curve_highest_db) highest_.push_back(power_of(db));
    const study_limits& l = plan_.limits;
    const auto range_of = [&](const auto& low, const auto& high, double none, const auto& convert) {
      return range{low ? convert(low->value()) : none, high ? convert(high->value()) : 1e300};
    };
    level_range_ = range_of(l.level_lowest, l.level_highest, 0, power_of);
    height_range_ = range_of(l.height_lowest, l.height_highest, -1, power_of);
    peak_range_ = range_of(l.peak_lowest, l.peak_highest, -1, [](double hz) { return hz; });
  }

  [[nodiscard]] const circuit& nominal() const noexcept { return circuit_; }
  [[nodiscard]] const std::vector<toleranced_part>& parts() const noexcept { return parts_; }
  [[nodiscard]] const study_plan& plan() const noexcept { return plan_; }

  /// A tally of no builds.
  [[nodiscard]] study_tally tally() const {
    study_tally t;
    t.curve = histogram(0x1p-36, 0x1p16, 7, plan_.hz.size());
    t.level = histogram(0x1p-36, 0x1p16, 10);
    t.peak = histogram(1, 0x1p24, 10);
    t.height = histogram(0x1p-16, 0x1p24, 10);
    t.quality = histogram(0.5, 0x1p12, 10);
    return t;
  }

  /// The deviations of build i, one a part.
  [[nodiscard]] std::vector<double> deviations(std::uint64_t i) const {
    std::vector<double> x(parts_.size() * build_block), one;
    std::vector<std::uint32_t> words(word_rows() * build_block);
    draw(i, words.data(), [&](std::size_t p) { return x.data() + p * build_block; });
    for (std::size_t p = 0; p < parts_.size(); ++p) one.push_back(x[p * build_block]);
    return one;
  }
  /// The circuit of build i.
  [[nodiscard]] source build(std::uint64_t i) const { return with(deviations(i)); }
  /// The circuit with these deviations, one a part.
  [[nodiscard]] source with(std::span<const double> x) const {
    circuit c = circuit_;
    for (const detail::moved_value& m : moved_) c.values[m.slot] = value_of(m, x);
    return source(std::move(c));
  }

  /// Counts builds [first, last). Allocates its room first, then nothing. Cost: five parts at 64 frequencies some 0.2 µs
  /// a build, twice that with resonances.
  [[nodiscard]] study_tally run(std::uint64_t first, std::uint64_t last) const {
    study_tally t = tally();
    run(first, last, t, [](std::uint64_t) { return true; });
    return t;
  }
  /// The same added to a tally. `progress(done)` is called every 1024 builds with the number done since `first`, and at
  /// the end; where it returns false the run stops. Returns how many builds were counted: [first, first + that).
  template <class Progress>
  std::uint64_t run(std::uint64_t first, std::uint64_t last, study_tally& into, Progress&& progress) const {
    const auto block = room();
    std::vector<std::uint32_t> words(word_rows() * build_block);
    std::vector<double> levels(rows_at_once * build_block);
    std::uint64_t done = 0;
    while (first + done < last) {
      const auto count =
          static_cast<std::size_t>((std::min)(last - first - done, std::uint64_t{build_block}));
      draw(first + done, words.data(), [&](std::size_t p) { return block->deviations(p); });
      block->compose();
      count_block(*block, count, levels.data(), into);
      done += count;
      if (done % 1024 == 0 && first + done < last && !progress(done)) return done;
    }
    progress(done);
    return done;
  }

  /// The room of one thread, for `run` and `find_worst_case`; it lasts as long as the study.
  [[nodiscard]] std::unique_ptr<detail::study_block<Width>> room() const {
    return std::make_unique<detail::study_block<Width>>(circuit_, moved_, parts_.size(), plan_);
  }

private:
  static constexpr std::size_t rows_at_once = 64;
  struct range {
    double lowest = 0, highest = 0;
    [[nodiscard]] bool holds(double x) const noexcept { return x >= lowest && x <= highest; }
  };
  static constexpr std::size_t alone = static_cast<std::size_t>(-1);

  void add_part(std::size_t p) {
    const toleranced_part& part = parts_[p];
    detail::require_part(circuit_, part.part);
    require_within("toleranced_part.correlation", part.correlation, 0., 1.);
    for (const varied_part::effect& e : part.part.on) {
      auto m = std::find_if(moved_.begin(), moved_.end(), [&](const auto& v) { return v.slot == e.slot; });
      if (m == moved_.end()) m = moved_.insert(m, {e.slot, circuit_.values[e.slot], {}});
      m->by.emplace_back(p, e);
    }
    group_of_.push_back(alone);
    if (part.group.empty() || part.correlation == 0) return;
    const auto g = std::find(groups_.begin(), groups_.end(), part.group);
    group_of_.back() = static_cast<std::size_t>(g - groups_.begin());
    if (g == groups_.end()) groups_.push_back(part.group);
  }

  /// No combination of extremes may make a value vanish or change its sign.
  void require_one_sign(const detail::moved_value& m) const {
    double reach = 0;
    for (const auto& [part, e] : m.by)
      reach += (std::max)(std::abs(e.slope * parts_[part].law.lowest()),
                          std::abs(e.slope * parts_[part].law.highest()));
    if (reach < std::abs(m.nominal)) return;
    std::string names;
    for (const auto& [part, e] : m.by) names += (names.empty() ? "'" : ", '") + parts_[part].part.name + "'";
    throw invalid_value("tolerance of " + names, "enough to make a value vanish or change its sign",
                        "less than that");
  }

  [[nodiscard]] static double value_of(const detail::moved_value& m, std::span<const double> x) noexcept {
    double v = m.nominal;
    for (const auto& [part, e] : m.by) v += e.slope * x[part];
    for (const auto& [part, e] : m.by) v *= e.power == 1 ? 1 + x[part] : std::pow(1 + x[part], e.power);
    return v;
  }

  /// Parts, then groups, rounded up to whole groups of four words.
  [[nodiscard]] std::size_t word_rows() const noexcept {
    return (parts_.size() + groups_.size() + 3) / 4 * 4;
  }

  /// Words of builds first to first + build_block - 1, then the deviations of each part.
  template <class Where>
  void draw(std::uint64_t first, std::uint32_t* words, const Where& where) const noexcept {
    for (std::size_t r = 0; r < word_rows(); r += 4)
      for (std::size_t b = 0; b < build_block; ++b) {
        const philox_counter w = philox_words(plan_.seed, first + b, static_cast<std::uint32_t>(r / 4));
        for (std::size_t k = 0; k < 4; ++k) words[(r + k) * build_block + b] = w[k];
      }
    for (std::size_t p = 0; p < parts_.size(); ++p) {
      const std::uint32_t* own = words + p * build_block;
      std::uint32_t mixed[build_block];
      if (group_of_[p] != alone) {
        const std::uint32_t* const shared = words + (parts_.size() + group_of_[p]) * build_block;
        mix(own, shared, parts_[p].correlation, mixed);
        own = mixed;
      }
      parts_[p].law.sample(own, where(p), build_block);
    }
  }
  /// Words whose normal variables have √correlation with the shared ones.
  void mix(const std::uint32_t* own, const std::uint32_t* shared, double correlation,
           std::uint32_t* mixed) const noexcept {
    if (correlation == 1) {
      std::copy_n(shared, build_block, mixed);
      return;
    }
    const double of_shared = std::sqrt(correlation), of_own = std::sqrt(1 - correlation);
    for (std::size_t b = 0; b < build_block; ++b) {
      const double z = of_shared * normal_(shared[b]) + of_own * normal_(own[b]);
      const double word = normal_fraction(z) * 0x1p32;
      mixed[b] = word < 0x1p32 - 1 ? static_cast<std::uint32_t>(word) : 0xffff'ffffU;
    }
  }

  void count_block(detail::study_block<Width>& block, std::size_t count, double* levels,
                   study_tally& into) const noexcept {
    const std::span<const double> x(squares_);
    bool missed[build_block] = {};
    for (std::size_t from = 0; from < x.size(); from += rows_at_once) {
      const std::size_t rows = (std::min)(rows_at_once, x.size() - from);
      block.power(x.subspan(from, rows), levels);
      count_rows(into.curve, from, rows, count, levels);
      if (lowest_.empty() && highest_.empty()) continue;
      for (std::size_t r = 0; r < rows; ++r) {
        const double low = lowest_.empty() ? 0 : lowest_[from + r];
        const double high = highest_.empty() ? 1e300 : highest_[from + r];
        for (std::size_t b = 0; b < build_block; ++b) {
          const double v = levels[r * build_block + b];
          missed[b] = missed[b] || v < low || v > high;
        }
      }
    }
    block.power({&level_square_, 1}, levels);
    if (plan_.with_resonance) block.find_peaks();
    for (std::size_t b = 0; b < count; ++b) {
      into.level.add(levels[b]);
      const bool level = level_range_.holds(levels[b]);
      bool peak = true, height = true;
      if (plan_.with_resonance) {
        peak = peak_range_.holds(block.peak_hz[b]);
        height = height_range_.holds(block.height[b]);
        count_peak(block.peak_hz[b], block.height[b], into);
      }
      into.missed_curve += missed[b];
      into.missed_level += !level;
      into.missed_peak += !peak;
      into.missed_height += !height;
      into.passed += !missed[b] && level && peak && height;
    }
    into.builds += count;
  }

  static void count_rows(histogram& curve, std::size_t from, std::size_t rows, std::size_t count,
                         const double* levels) noexcept {
    for (std::size_t r = 0; r < rows; ++r) {
      std::uint64_t* const counts = curve.row(from + r);
      for (std::size_t b = 0; b < count; ++b)
        ++counts[curve.index(std::bit_cast<std::uint64_t>(levels[r * build_block + b]))];
    }
  }

  static void count_peak(double hz, double ratio, study_tally& into) noexcept {
    if (!(hz > 0)) {
      ++into.without_peak;
      return;
    }
    into.peak.add(hz);
    into.height.add(ratio);
    if (ratio > 1) into.quality.add(std::sqrt((ratio + std::sqrt(ratio * (ratio - 1))) / 2)); // eq. 18
  }

  circuit circuit_;
  std::vector<toleranced_part> parts_;
  study_plan plan_;
  detail::normal_table normal_;
  std::vector<detail::moved_value> moved_;
  std::vector<std::string> groups_;
  std::vector<std::size_t> group_of_;
  std::vector<double> squares_, lowest_, highest_;
  double level_square_ = 0;
  range level_range_, height_range_, peak_range_;
};

using study = basic_study<native_lanes>;

} // namespace lodewire
