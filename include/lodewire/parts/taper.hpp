// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include <lodewire/parts/monotone_cubic.hpp>
#include <lodewire/parts/rotation.hpp>

namespace lodewire {

/// One entry of a measured taper: the rotation, and the fraction of the track there, both 0 to 1.
struct taper_point {
  double rotation = 0;
  double fraction = 0;
};

/// The resistance law of a potentiometer: rotation in, the fraction of the track out that lies between the
/// counter-clockwise end and the wiper. A value to copy and compare. Evaluating never throws and allocates nothing;
/// it costs at most a logarithm and two exponentials, or a binary search in a measured table.
class taper {
public:
  /// Linear.
  constexpr taper() noexcept = default;

  /// The exponential law that passes `mid_fraction` m at half travel: y = (b^x - 1)/(b - 1), b = (1/m - 1)².
  /// Linear at m = 0.5. Throws `invalid_value` outside 0.001 to 0.5.
  [[nodiscard]] static constexpr taper audio(double mid_fraction) {
    return {law::exponential, require_within("taper.mid_fraction", mid_fraction, 0.001, 0.5)};
  }

  /// The audio law seen from the clockwise end, 1 - y(1 - x): at half travel `mid_fraction` of the track lies
  /// between wiper and clockwise end. Throws `invalid_value` outside 0.001 to 0.5.
  [[nodiscard]] static constexpr taper reverse_audio(double mid_fraction) {
    // The exponential law of 1 - m is the same curve.
    return {law::exponential, 1 - require_within("taper.mid_fraction", mid_fraction, 0.001, 0.5)};
  }

  /// Two straight slopes that meet in a knee, which is how most audio tracks are printed. Throws `invalid_value`
  /// for a knee rotation outside 0.001 to 0.999 or a fraction outside 0 to 1.
  [[nodiscard]] static constexpr taper two_slopes(double knee_rotation, double knee_fraction) {
    return {law::two_slopes, require_within("taper.knee_rotation", knee_rotation, 0.001, 0.999),
            require_within("taper.knee_fraction", knee_fraction, 0.0, 1.0)};
  }

  /// One section of a blend pair: the whole track by half travel, then no change (letter M).
  [[nodiscard]] static constexpr taper blend_m() { return two_slopes(0.5, 1); }

  /// The other section: the whole track until half travel, then falling (letter N). In the centre both are full.
  [[nodiscard]] static constexpr taper blend_n() {
    taper t = blend_m();
    t.falling_ = true;
    return t;
  }

  /// S-shaped (letter W): an audio law of that mid fraction in the first quarter, straight in the middle half, a
  /// reverse audio law in the last quarter, joined without a corner. Throws `invalid_value` outside 0.001 to 0.5.
  [[nodiscard]] static constexpr taper s_shaped(double mid_fraction) {
    return {law::s_shaped, require_within("taper.mid_fraction", mid_fraction, 0.001, 0.5)};
  }

  /// A measured law, interpolated without turns (monotone_cubic.hpp). Rotations must rise from 0 to 1, fractions
  /// lie in 0 to 1 and never fall, two points or more. Throws `invalid_value` that names the entry, from 0.
  [[nodiscard]] static taper measured(std::span<const taper_point> points);

  /// The fraction of the track between counter-clockwise end and wiper, 0 to 1.
  [[nodiscard]] double operator()(rotation r) const noexcept {
    const double x = electrical(r.value());
    return std::clamp(base(falling_ ? 1 - x : x), 0.0, 1.0);
  }

  /// The rotation at which the law has this fraction, to the last digits; the inner edge of a dead zone. Throws
  /// `invalid_value` for a fraction that the track never has, or a law that is flat somewhere. Cost: some 60
  /// evaluations.
  [[nodiscard]] rotation rotation_at(double fraction) const;

  /// True where each fraction belongs to one rotation, dead zones apart: what `rotation_at` asks for.
  [[nodiscard]] constexpr bool rises_everywhere() const noexcept {
    if (law_ == law::two_slopes) return second_ > 0 && second_ < 1;
    for (std::size_t i = 1; i < points_.size(); ++i)
      if (!(points_[i].y > points_[i - 1].y)) return false;
    return true;
  }

  /// The same law on a track that begins and ends before the stops do: the electrical travel lies in the middle of
  /// the mechanical one, both in degrees, with a dead zone on either side. Throws `invalid_value`.
  [[nodiscard]] friend taper within_travel(taper t, double electrical_degrees, double mechanical_degrees) {
    require_within("mechanical_degrees", mechanical_degrees, 1.0, 36000.0);
    require_within("electrical_degrees", electrical_degrees, mechanical_degrees / 1000, mechanical_degrees);
    t.travel_ *= electrical_degrees / mechanical_degrees;
    return t;
  }

  [[nodiscard]] bool operator==(const taper&) const = default;

  /// What the law was made of, to write it down: `first` is the fraction at half travel (of a reverse audio law one
  /// less its mid fraction) or the knee's rotation, `second` the fraction at the knee, `knots` the points of a measured
  /// law, `travel` the electrical part of the mechanical travel.
  enum class law : std::uint8_t { exponential, two_slopes, s_shaped, measured };
  [[nodiscard]] constexpr law kind() const noexcept { return law_; }
  [[nodiscard]] constexpr bool is_falling() const noexcept { return falling_; }
  [[nodiscard]] constexpr double first() const noexcept { return first_; }
  [[nodiscard]] constexpr double second() const noexcept { return second_; }
  [[nodiscard]] constexpr double travel() const noexcept { return travel_; }
  [[nodiscard]] std::span<const cubic_knot> knots() const noexcept { return points_; }

private:
  constexpr taper(law l, double first, double second = 0) noexcept
      : law_{l}, first_{first}, second_{second} {}

  [[nodiscard]] constexpr double electrical(double x) const noexcept {
    // From the centre, so that half travel stays half travel exactly.
    return travel_ == 1 ? x : std::clamp((x - 0.5) / travel_ + 0.5, 0.0, 1.0);
  }

  /// The exponential law with ln b = k; k = 0 is its limit, the straight line.
  [[nodiscard]] static double exponential(double k, double x) noexcept {
    return k == 0 || x >= 1 ? x : std::expm1(k * x) / std::expm1(k);
  }

  [[nodiscard]] double base(double x) const noexcept {
    const double k = law_ == law::exponential || law_ == law::s_shaped ? 2 * std::log(1 / first_ - 1) : 0;
    switch (law_) {
    case law::two_slopes:
      return x < first_ ? second_ * (x / first_) : second_ + (1 - second_) * ((x - first_) / (1 - first_));
    case law::s_shaped: {
      // Slope at the end of the audio law; it makes the fraction at a quarter of the travel.
      const double steepest = k == 0 ? 1 : -k / std::expm1(-k);
      const double quarter = 0.5 / (steepest + 1);
      if (x < 0.25) return quarter * exponential(k, 4 * x);
      if (x > 0.75) return 1 - quarter * exponential(k, 4 * (1 - x));
      return 0.5 + (x - 0.5) * (2 - 4 * quarter);
    }
    case law::measured: return interpolate(points_, x);
    default: return exponential(k, x);
    }
  }

  law law_ = law::exponential;
  bool falling_ = false;
  double first_ = 0.5; ///< fraction at half travel, or rotation of the knee
  double second_ = 0;  ///< fraction at the knee
  double travel_ = 1;  ///< electrical over mechanical travel
  std::vector<cubic_knot> points_;
};

inline taper taper::measured(std::span<const taper_point> points) {
  if (points.size() < 2)
    throw invalid_value("taper.points", std::to_string(points.size()) + " long", "2 entries or more");
  taper t{law::measured, 0};
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto [x, y] = points[i];
    const std::string entry = "taper.points[" + std::to_string(i) + "]";
    if (i == 0 || i + 1 == points.size())
      require_within(entry + ".rotation", x, i == 0 ? 0. : 1., i == 0 ? 0. : 1.);
    if (i > 0 && (!is_finite(x) || !(x > t.points_.back().x) || !(x <= 1)))
      throw invalid_value(entry + ".rotation", plain_number(x),
                          "more than " + plain_number(t.points_.back().x) + ", up to 1");
    require_within(entry + ".fraction", y, i == 0 ? 0. : t.points_.back().y, 1.);
    t.points_.push_back({x, y, 0});
  }
  set_monotone_slopes(t.points_);
  return t;
}

inline rotation taper::rotation_at(double fraction) const {
  if (!rises_everywhere())
    throw invalid_value("taper", "flat over a part of its travel", "a law that rises everywhere");
  require_within("fraction", fraction, base(0), base(1));
  double low = 0, high = 1;
  for (int i = 0; i < 64; ++i) (base((low + high) / 2) < fraction ? low : high) = (low + high) / 2;
  if (fraction <= base(0)) high = 0;
  return rotation(travel_ == 1 ? high : (high - 0.5) * travel_ + 0.5);
}

/// Equal parts of the track for equal parts of the travel.
inline constexpr taper linear_taper{};

/// The audio law of 15 % at half travel, usual for guitar potentiometers (common practice, no source).
inline constexpr taper audio_taper = taper::audio(0.15);

/// Its mirror image: 85 % at half travel (common practice, no source).
inline constexpr taper reverse_audio_taper = taper::reverse_audio(0.15);

/// The two sections of a blend pair, both full in the centre.
inline constexpr taper blend_m_taper = taper::blend_m();
inline constexpr taper blend_n_taper = taper::blend_n();

} // namespace lodewire
