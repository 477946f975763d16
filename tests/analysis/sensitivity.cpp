// SPDX-License-Identifier: BSL-1.0
// Exact derivatives: against closed forms, and against central differences in 50 digits.
#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <vector>

#include <lodewire/analysis/sensitivity.hpp>
#include <lodewire/circuit/join.hpp>
#include <lodewire/parts/coil_pair.hpp>
#include <lodewire/parts/magnetic_coil.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"
#include "../circuit/many_digits.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;
using check::near;
using ways::digits;
using ways::wide;

namespace {

/// Every value of a circuit that is there, as a part of its own.
std::vector<varied_part> every_value(const circuit& c) {
  std::vector<varied_part> parts;
  for (std::size_t k = 0; k < c.values.size(); ++k)
    if (c.values[k] != 0 && is_finite(c.values[k]))
      parts.push_back({"value " + std::to_string(k), {{static_cast<std::uint16_t>(k)}}});
  return parts;
}

/// The same circuit in 50 digits with one part off by x.
class in_digits {
public:
  in_digits(const circuit& c, const varied_part& part, const digits& x) : c_{c}, v_(ways::truth::widened(c)) {
    for (const varied_part::effect& e : part.on) {
      REQUIRE(e.power == 1);
      v_[e.slot] *= 1 + x;
    }
  }
  [[nodiscard]] wide response(const digits& omega) const {
    return ways::truth(c_, v_, wide(digits(0), omega)).sum;
  }
  [[nodiscard]] digits power_at(const digits& omega) const { return squared_magnitude(response(omega)); }
  /// Newton on the slope of ln|H|² over ln ω.
  [[nodiscard]] digits peak(double near_omega) const {
    const digits h = digits(1e-12);
    digits omega = near_omega;
    for (int i = 0; i < 4; ++i) {
      const digits up = log(power_at(omega * exp(h))), at = log(power_at(omega)),
                   down = log(power_at(omega * exp(-h)));
      omega *= exp(-(up - down) / 2 * h / (up - 2 * at + down));
    }
    return omega;
  }

private:
  const circuit& c_;
  std::vector<digits> v_;
};

const digits step = digits(1e-10);

void against_differences(const source& s, bool with_dc) {
  const circuit& c = s.as_circuit();
  const std::vector<varied_part> parts = every_value(c);
  REQUIRE(parts.size() > 7); // more than one batch
  const frequency f = 1.7_kHz;
  const response_sensitivity h = find_response_sensitivity(s, parts, f);
  const level_sensitivity level = find_level_sensitivity(s, parts, f);
  const resonance_sensitivity r = find_resonance_sensitivity(s, parts);
  REQUIRE(r.at.has_peak);
  REQUIRE(r.peak.size() == parts.size());
  REQUIRE(h.slope.size() == parts.size());
  REQUIRE((r.at.reference.value() == 0) == with_dc);
  const digits omega = 2 * boost::math::constants::pi<digits>() * digits(f.value());
  const double top = 2 * std::numbers::pi * r.at.peak.value();
  const digits base_omega =
      with_dc ? digits(1e-15) : 2 * boost::math::constants::pi<digits>() * digits(r.at.reference.value());
  double worst_h = 0, worst_level = 0, worst_peak = 0, worst_height = 0, worst_quality = 0;
  for (std::size_t p = 0; p < parts.size(); ++p) {
    CAPTURE(p);
    const in_digits up(c, parts[p], step), down(c, parts[p], -step);
    const auto slope = [&](const digits& a, const digits& b) {
      return static_cast<double>((a - b) / (2 * step));
    };
    const wide a = up.response(omega), b = down.response(omega);
    const std::complex<double> dh(slope(a.re, b.re), slope(a.im, b.im));
    worst_h = std::max(worst_h, std::abs(h.slope[p] - dh) / std::abs(h.response));
    const double db = 10 / std::numbers::ln10 * slope(log(up.power_at(omega)), log(down.power_at(omega)));
    worst_level = std::max(worst_level, std::abs(level.slope_db[p] - db));
    const digits peak_up = up.peak(top), peak_down = down.peak(top);
    worst_peak = std::max(worst_peak, std::abs(r.peak[p] - slope(log(peak_up), log(peak_down))));
    const digits ratio_up = up.power_at(peak_up) / up.power_at(base_omega),
                 ratio_down = down.power_at(peak_down) / down.power_at(base_omega);
    const double height = 10 / std::numbers::ln10 * slope(log(ratio_up), log(ratio_down));
    worst_height = std::max(worst_height, std::abs(r.height_db[p] - height));
    const auto quality = [](const digits& x) -> digits { return sqrt((x + sqrt(x * (x - 1))) / 2); };
    worst_quality = std::max(
        worst_quality, std::abs(r.quality[p] - slope(log(quality(ratio_up)), log(quality(ratio_down)))));
  }
  MESSAGE("off from 50 digits by at most: response " << worst_h << ", level " << worst_level << " dB, peak "
                                                     << worst_peak << ", height " << worst_height
                                                     << " dB, quality " << worst_quality);
  CHECK(worst_h < 1e-13);
  CHECK(worst_level < 1e-12);
  CHECK(worst_peak < 1e-11);
  CHECK(worst_height < 1e-11);
  CHECK(worst_quality < 1e-11);
}

source guitar() {
  return magnetic_coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 120_pF} |
         in_shunt(series(250_kOhm, 22_nF)) | in_series(parallel(60_kOhm, 680_pF)) | in_shunt(190_kOhm) |
         in_shunt(600_pF) | in_shunt(1_MOhm);
}

} // namespace

TEST_CASE("coil, capacitance and load against the closed form") {
  const double r = 6e3, l = 3, c = 500e-12, load = 400e3;
  const source s = ideal_emf(1_V) | in_series(from_si<resistance>(r)) | in_series(from_si<inductance>(l)) |
                   in_shunt(from_si<capacitance>(c)) | in_shunt(from_si<resistance>(load));
  const auto make = [&](double fr, double fl, double fc, double fload) {
    return ideal_emf(1_V) | in_series(from_si<resistance>(r * fr)) | in_series(from_si<inductance>(l * fl)) |
           in_shunt(from_si<capacitance>(c * fc)) | in_shunt(from_si<resistance>(load * fload));
  };
  const std::vector<varied_part> parts{find_part("R", [&](double f) { return make(f, 1, 1, 1); }),
                                       find_part("L", [&](double f) { return make(1, f, 1, 1); }),
                                       find_part("C", [&](double f) { return make(1, 1, f, 1); }),
                                       find_part("load", [&](double f) { return make(1, 1, 1, f); })};
  const resonance_sensitivity found = find_resonance_sensitivity(s, parts);
  // ω0² = (1 + R/R_L)/(LC), Q = √(LC·(1 + R/R_L))/(RC + L/R_L) (M. Zollner, Physik der Elektrogitarre, §5.5.4);
  // the peak at f0·√(1 - 1/(2Q²)), of height Q/√(1 - 1/(4Q²)). Differentiated by hand, by ln of each part:
  const double a = r / load, q = std::sqrt(l * c * (1 + a)) / (r * c + l / load), q2 = q * q;
  const double damping = r * c + l / load;
  const std::array<double, 4> ln_w0{0.5 * a / (1 + a), -0.5, -0.5, -0.5 * a / (1 + a)};
  const std::array<double, 4> ln_q{0.5 * a / (1 + a) - r * c / damping, 0.5 - l / load / damping,
                                   0.5 - r * c / damping, -0.5 * a / (1 + a) + l / load / damping};
  CHECK(near(found.at.quality, q, 1e-12));
  for (std::size_t p = 0; p < parts.size(); ++p) {
    CAPTURE(parts[p].name);
    CHECK(near(found.peak[p], ln_w0[p] + ln_q[p] / (2 * q2 - 1), 1e-11));
    CHECK(near(found.quality[p], ln_q[p], 1e-11));
    CHECK(near(found.height_db[p],
               20 / std::numbers::ln10 * ln_q[p] * (1 - 1 / (2 * q2)) / (1 - 1 / (4 * q2)), 1e-11));
  }
}

TEST_CASE("a divider against the closed form, in a circuit with a power law too") {
  const source s = ideal_emf(1_V) | in_series(one_port(30_kOhm).named("upper")) |
                   in_shunt(one_port(10_kOhm).named("lower"));
  const std::vector<varied_part> parts{named_part(s, "upper"), named_part(s, "lower")};
  const response_sensitivity h = find_response_sensitivity(s, parts, 1_kHz);
  CHECK(near(h.response, 0.25, 1e-15));
  CHECK(near(h.slope[0], -0.1875, 1e-14)); // -R1·R2/(R1 + R2)²
  CHECK(near(h.slope[1], 0.1875, 1e-14));
  CHECK(!find_resonance_sensitivity(s, parts).at.has_peak);
  CHECK(find_resonance_sensitivity(s, parts).peak.empty());

  const source lossy = ideal_emf(1_V) | in_series(1_kOhm) | in_shunt(power_law(3_MOhm, -0.5));
  const std::vector<varied_part> k{{"K", {{2}}}, {"exponent", {{3}}}};
  const response_sensitivity by = find_response_sensitivity(lossy, k, 1_kHz);
  const std::complex<double> z = 3e6 * std::pow(check::s_at(1_kHz), -0.5), total = z + 1e3;
  CHECK(near(by.response, z / total, 1e-14));
  CHECK(near(by.slope[0], 1e3 * z / (total * total), 1e-13));
  CHECK(near(by.slope[1], 1e3 * z * -0.5 * std::log(check::s_at(1_kHz)) / (total * total), 1e-13));
}

TEST_CASE("every value of a guitar's circuit against 50 digits") { against_differences(guitar(), true); }

TEST_CASE("a response without a level at dc against 50 digits") {
  const source s = guitar() | in_series(10_nF) | in_shunt(470_kOhm);
  against_differences(s, false);
}

TEST_CASE("several EMFs, coupled coils and a buffer against 50 digits") {
  const coil_pair pair{
      .first = {.inductance = 2.1_H, .resistance = 3.9_kOhm, .capacitance = 90_pF, .name = "a"},
      .second = {.inductance = 2.3_H, .resistance = 4.2_kOhm, .capacitance = 80_pF, .name = "b"},
      .coupling = 0.2};
  const source s = parallel(pair.as_series(), guitar()) | in_shunt(220_pF) | buffer(2, 500_kOhm, 1_kOhm) |
                   in_series(1_H) | in_shunt(1_nF);
  against_differences(s, true);
}

TEST_CASE("scaling: all R and L up and all C down by one factor changes no response") {
  const source s = guitar();
  const circuit& c = s.as_circuit();
  varied_part all{"all impedances", {}};
  for (const instruction i : c.code) {
    if (value_count(i.op) != 1 || i.op == opcode::emf) continue;
    const bool c_like = i.op == opcode::capacitor || i.op == opcode::series_c || i.op == opcode::shunt_c;
    all.on.push_back({i.slot, c_like ? -1. : 1.});
  }
  const resonance_sensitivity r = find_resonance_sensitivity(s, std::vector{all});
  CHECK(std::abs(r.peak[0]) < 1e-11);
  CHECK(std::abs(r.height_db[0]) < 1e-11);
  CHECK(std::abs(find_level_sensitivity(s, std::vector{all}, 2_kHz).slope_db[0]) < 1e-12);
}

TEST_CASE("a part is found by what it changes") {
  const magnetic_coil coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 120_pF};
  const potentiometer volume{.total = 250_kOhm, .name = "volume"};
  const auto rest = [&](double total, double metres) {
    potentiometer pot = volume;
    pot.total *= total;
    return pot.as_divider(rotation(0.7)) | in_shunt(from_si<capacitance>(600e-12 * metres));
  };
  const source s = coil | rest(1, 1);
  const varied_part l = find_part("L", [&](double f) {
    magnetic_coil other = coil;
    other.inductance *= f;
    return other | rest(1, 1);
  });
  REQUIRE(l.on.size() == 1);
  CHECK(s.as_circuit().values[l.on[0].slot] == 2.5);
  CHECK(l.on[0].power == 1);
  const varied_part pot = find_part("pot", [&](double f) { return coil | rest(f, 1); });
  REQUIRE(pot.on.size() == 2); // the end resistance stays: legs follow along straight lines
  CHECK(pot.on[0].power == 0);
  CHECK(near(pot.on[0].slope + pot.on[1].slope, 250e3, 1e-9));
  CHECK(named_part(s, "volume").on.size() == 2);

  const auto pair = [](double f) {
    magnetic_coil a{.inductance = 2_H, .resistance = 4_kOhm, .capacitance = 90_pF, .name = "a"}, b = a;
    b.name = "b";
    a.inductance *= f;
    return coil_pair{.first = a, .second = b, .coupling = 0.3}.as_series();
  };
  const varied_part one = find_part("L of one coil", pair);
  REQUIRE(one.on.size() == 2); // L itself and M = k·√(L1·L2)
  CHECK(one.on[0].power + one.on[1].power == 1.5);

  CHECK(error_of([&] { static_cast<void>(find_part("nothing", [&](double) { return s; })); }) ==
        "varied_part 'nothing' is one that changes no value; allowed: one that changes some value");
  CHECK(error_of([&] {
          static_cast<void>(find_part(
              "turn", [&](double f) { return coil | in_shunt(from_si<resistance>(1e5 * (1 + f * f))); }));
        }) == "varied_part 'turn' is one that a value follows along a curve; allowed: one that every value "
              "follows by "
              "a power or along a straight line");
  CHECK(error_of([&] {
          static_cast<void>(
              find_part("switch", [&](double f) { return f > 1 ? coil | rest(1, 1) : s | in_shunt(1_nF); }));
        }) == "varied_part 'switch' is one that changes the circuit's program; allowed: one that changes its "
              "values only");
  CHECK(error_of([&] { static_cast<void>(named_part(s, "tone")); }).find("allowed: one of 'volume'") !=
        std::string::npos);
  CHECK(error_of([&] {
          static_cast<void>(find_level_sensitivity(s, std::vector<varied_part>{{"x", {{99}}}}, 1_kHz));
        }).find("varied_part 'x' slot is 99; allowed: less than ") == 0);
}
