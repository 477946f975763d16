// SPDX-License-Identifier: BSL-1.0
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <string>
#include <type_traits>
#include <vector>

#include <doctest/doctest.h>

#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/response.hpp>
#include <lodewire/parts/potentiometer.hpp>
#include <lodewire/quantity/decibel.hpp>
#include <lodewire/quantity/literals.hpp>

#include "../check.hpp"

using namespace lodewire;
using namespace lodewire::literals;
using check::error_of;

// A potentiometer alone is no circuit: its role has to be said. Turning never throws.
static_assert(std::is_aggregate_v<potentiometer>);
static_assert(!Stage<potentiometer> && !OnePort<potentiometer> && !Source<potentiometer>);
static_assert(requires(potentiometer p) { p.as_divider(knob(7)); });
static_assert(!std::is_invocable_v<decltype(&potentiometer::as_divider), potentiometer, double,
                                   potentiometer_wiring>); // a bare number is no rotation
static_assert(noexcept(std::declval<const potentiometer&>().turn(std::declval<source&>(), value_range{},
                                                                 std::declval<rotation>())));
static_assert(noexcept(std::declval<const potentiometer&>().legs(std::declval<rotation>())));

namespace {

bool close(double a, double b, double within) { return std::abs(a - b) <= within; }

double level(const source& s) { return response(s, 1_kHz).real(); }
double ohms(const source& s) { return output_impedance(s, 1_kHz).value().real(); }
double ohms(const one_port& z) { return impedance_at(z, 1_kHz).value().real(); }

potentiometer ideal(resistance total, taper law = linear_taper) {
  return {.total = total, .law = std::move(law), .end_resistance = 0_Ohm};
}

source behind(resistance r) { return ideal_emf(1_V) | in_series(r); }

/// The same with a terminal pair behind the resistor, to ask for the load there.
source marked(resistance r) {
  circuit c = behind(r).as_circuit();
  c.terminals.push_back("out");
  emit(c, opcode::terminals);
  return source(std::move(c));
}

double load_of(const source& s) { return load_seen(s, 0, 1_kHz).value().real(); }

/// Where a smooth function with one maximum in 0 to 1 has it: golden section.
template <class F>
double place_of_maximum(F f) {
  double low = 0, high = 1;
  const double golden = (std::sqrt(5.0) - 1) / 2;
  for (int i = 0; i < 60; ++i) {
    const double a = high - golden * (high - low), b = low + golden * (high - low);
    (f(a) < f(b) ? low : high) = f(a) < f(b) ? a : b;
  }
  return (low + high) / 2;
}

const double turned[] = {0, 0.01, 0.1, 0.25, 0.5, 0.7, 0.9, 0.99, 1};

} // namespace

TEST_CASE("the legs keep the total and end at the end resistance") {
  const potentiometer part{.total = 250_kOhm, .law = taper::audio(0.10)};
  // Component makers' data sheets: absolute minimum resistance 2 Ω; total resistance tolerance 20 % as standard.
  CHECK(part.end_resistance == 2_Ohm);
  CHECK(part.tolerance == 0.20);
  CHECK(part.legs(knob(0)) == potentiometer_legs{249'998_Ohm, 2_Ohm});
  CHECK(part.legs(knob(10)) == potentiometer_legs{2_Ohm, 249'998_Ohm});
  for (const double x : turned) {
    const auto legs = part.legs(rotation(x));
    CHECK(close(legs.upper.value() + legs.lower.value(), 250e3, 1e-10));
    CHECK(close(legs.lower.value(), 2 + part.law(rotation(x)) * 249'996, 1e-10));
  }
  // Data sheet of a panel potentiometer (PA11 text): at most 90 dB of attenuation at the bottom end. 25 kΩ with
  // 2 Ω: 81.94 dB, computed from the formula.
  const potentiometer small{.total = 25_kOhm};
  CHECK(close(voltage_level(level(ideal_emf(1_V) | small.as_divider(knob(0)))).value(), -81.938, 0.001));
  // Without an end resistance the stops are a short and nothing, exactly.
  CHECK(ideal(500_kOhm, audio_taper).legs(knob(0)) == potentiometer_legs{500_kOhm, 0_Ohm});
  CHECK(ideal(500_kOhm, audio_taper).legs(knob(10)) == potentiometer_legs{0_Ohm, 500_kOhm});
}

TEST_CASE("a rheostat grows clockwise on lugs 1 and 2, falls on 2 and 3") {
  const potentiometer part{.total = 500_kOhm};
  CHECK(close(ohms(part.as_rheostat(knob(0), lugs::one_two)), 2, 1e-12));
  CHECK(close(ohms(part.as_rheostat(knob(10), lugs::one_two)), 499'998, 1e-9));
  CHECK(close(ohms(part.as_rheostat(knob(0), lugs::two_three)), 499'998, 1e-9));
  CHECK(close(ohms(part.as_rheostat(knob(10), lugs::two_three)), 2, 1e-12));
  CHECK(close(ohms(part.as_rheostat(knob(7), lugs::one_two)), 2 + 0.7 * 499'996, 1e-9));
  CHECK(close(ohms(part.as_rheostat(knob(7), lugs::two_three)), 2 + 0.3 * 499'996, 1e-9));
}

TEST_CASE("a loaded linear potentiometer") {
  // V = x/(1 + x(1 - x)/β), load β times the total. Largest error, its place, V(1/2): computed from the formula,
  // five decimals; the limit 4/27/β for a light load.
  const struct {
    double beta, error, at, half;
  } rows[] = {{0.5, 0.20711, 0.70711, 0.333333}, {1, 0.12159, 0.68889, 0.400000},
              {2, 0.06673, 0.67836, 0.444444},   {5, 0.02837, 0.67150, 0.476190},
              {10, 0.01449, 0.66911, 0.487805},  {20, 0.00733, 0.66789, 0.493827},
              {100, 0.00148, 0.66691, 0.498753}};
  for (const auto& row : rows) {
    CAPTURE(row.beta);
    potentiometer part = ideal(10_kOhm);
    part.name = "volume";
    source circuit = ideal_emf(1_V) | part.as_divider(knob(0)) | in_shunt(row.beta * 10_kOhm);
    const value_range knob_range = circuit.range("volume");
    const auto output = [&](double x) {
      part.turn(circuit, knob_range, rotation(x));
      return level(circuit);
    };
    for (const double x : turned) CHECK(close(output(x), x / (1 + x * (1 - x) / row.beta), 1e-15));
    const double worst = place_of_maximum([&](double x) { return x - output(x); });
    CHECK(close(worst, row.at, 0.5001e-5));
    CHECK(close(worst - output(worst), row.error, 0.5001e-5));
    CHECK(close(output(0.5), row.half, 0.5001e-6));
    CHECK(worst - output(worst) < 4.0 / 27 / row.beta);
    if (row.beta >= 10) CHECK(close(worst - output(worst), 4.0 / 27 / row.beta, 0.025 * 4.0 / 27 / row.beta));
    // rclab.de "Potentiometerbelastung": 10 kΩ with 20 kΩ, 200 kΩ, 1 MΩ stays below 7.5 %, 0.75 %, 0.15 %.
    if (row.beta == 2) CHECK((worst - output(worst) < 0.075 && worst - output(worst) > 0.065));
    if (row.beta == 20) CHECK((worst - output(worst) < 0.0075 && worst - output(worst) > 0.0070));
    if (row.beta == 100) CHECK((worst - output(worst) < 0.0015 && worst - output(worst) > 0.0014));
  }
}

TEST_CASE("a linear potentiometer with a resistor from wiper to ground") {
  // V(1/2) = 0.5/(1 + 0.25/β), resistor β times the total: computed from the formula, five decimals.
  const struct {
    double beta, quarter, half, three_quarters, db;
  } rows[] = {{1.0 / 6, 0.11765, 0.20000, 0.35294, -13.98},  {0.15, 0.11111, 0.18750, 0.33333, -14.54},
              {1.0 / 8, 0.10000, 0.16667, 0.30000, -15.56},  {0.107143, 0.09091, 0.15000, 0.27273, -16.48},
              {1.0 / 10, 0.08696, 0.14286, 0.26087, -16.90}, {1.0 / 16, 0.06250, 0.10000, 0.18750, -20.00}};
  const auto faked = [](resistance total, resistance pad, double number) {
    const potentiometer_wiring wiring{.wiper_to_low = pad};
    return level(ideal_emf(1_V) | ideal(total).as_divider(knob(number), wiring));
  };
  for (const auto& row : rows) {
    CAPTURE(row.beta);
    CHECK(close(faked(500_kOhm, row.beta * 500_kOhm, 2.5), row.quarter, 0.5001e-5));
    CHECK(close(faked(500_kOhm, row.beta * 500_kOhm, 5), row.half, 0.5001e-5));
    CHECK(close(faked(500_kOhm, row.beta * 500_kOhm, 7.5), row.three_quarters, 0.5001e-5));
    CHECK(close(voltage_level(faked(500_kOhm, row.beta * 500_kOhm, 5)).value(), row.db, 0.0051));
  }
  // artsentertainment.cc 14683: 150 kΩ with 15 kΩ; the level is computed from the formula.
  CHECK(close(faked(150_kOhm, 15_kOhm, 5), 1.0 / 7, 1e-15));
  // QTH AMRadio list, Sept 2007: a 50 kΩ slider with 2.2 kΩ; the level is computed from the formula.
  CHECK(close(faked(50_kOhm, 2.2_kOhm, 5), 0.074830, 0.5001e-6));
  CHECK(close(voltage_level(faked(50_kOhm, 2.2_kOhm, 5)).value(), -22.52, 0.0051));
  // At the stops the resistor changes nothing.
  CHECK(faked(50_kOhm, 2.2_kOhm, 0) == 0);
  CHECK(close(faked(50_kOhm, 2.2_kOhm, 10), 1, 1e-15));
}

TEST_CASE("two equal linear potentiometers one behind the other") {
  const auto db = [](double x) {
    const stage one = ideal(100_kOhm).as_divider(rotation(x));
    const double v = level(ideal_emf(1_V) | one | one);
    CHECK(close(v, x * x / (1 + x - x * x), 1e-15));
    return voltage_level(v).value();
  };
  // diybanter.com/4043170-post42: 75 % -6.5 dB, 50 % -15 dB, 25 % -25 dB, 10 % -40 dB, in round figures; the exact
  // ones are computed from the formula.
  CHECK(close(db(0.75), -6.5, 0.05));
  CHECK(close(db(0.50), -15, 1.05));
  CHECK(close(db(0.25), -25, 0.6));
  CHECK(close(db(0.10), -40, 0.8));
  CHECK(close(db(0.75), -6.490, 0.00051));
  CHECK(close(db(0.50), -13.979, 0.00051));
  CHECK(close(db(0.25), -25.575, 0.00051));
  CHECK(close(db(0.10), -40.749, 0.00051));
}

TEST_CASE("what the wiper's output resistance is") {
  // electronics.stackexchange 231522: with a stiff source it is highest at half travel, a quarter of the total.
  const potentiometer part = ideal(100_kOhm);
  const auto output = [&](resistance source_resistance, double x) {
    return ohms(behind(source_resistance) | part.as_divider(rotation(x)));
  };
  CHECK(close(output(0_Ohm, 0.5), 25e3, 1e-8));
  CHECK(close(place_of_maximum([&](double x) { return output(0_Ohm, x); }), 0.5, 1e-6));
  // (Rs + (1 - x)·Rp) ∥ x·Rp, computed from the formula.
  for (const double rs : {0.0, 10e3, 1e6})
    for (const double x : turned) {
      const double up = rs + (1 - x) * 100e3, down = x * 100e3;
      const double expected = up + down > 0 ? up * down / (up + down) : 0;
      CHECK(close(output(rs * 1_Ohm, x), expected, 1e-8));
    }
  // 10 kΩ source, 500 kΩ, half of the track; 27 kΩ across the track, or from wiper to ground: computed from the
  // formulas (10 ∥ 27 + 250) ∥ 250 and (10 + 250) ∥ 250 ∥ 27.
  const potentiometer volume = ideal(500_kOhm);
  const potentiometer_wiring across{.across_track = 27_kOhm}, to_ground{.wiper_to_low = 27_kOhm};
  CHECK(close(ohms(behind(10_kOhm) | volume.as_divider(knob(5), across)), 127e3, 0.5e3));
  CHECK(close(ohms(behind(10_kOhm) | volume.as_divider(knob(5), across)), 126'798.082, 0.001));
  CHECK(close(ohms(behind(10_kOhm) | volume.as_divider(knob(5), to_ground)), 22e3, 0.5e3));
  CHECK(close(ohms(behind(10_kOhm) | volume.as_divider(knob(5), to_ground)), 22'280.056, 0.001));
  // The load: the same at every rotation with the resistor across the track, not from wiper to ground.
  for (const double x : turned) {
    const double r = 500e3, pad = 27e3, low = x * r;
    CHECK(
        close(load_of(marked(10_kOhm) | volume.as_divider(rotation(x), across)), r * pad / (r + pad), 1e-8));
    CHECK(close(load_of(marked(10_kOhm) | volume.as_divider(rotation(x), to_ground)),
                r - low + low * pad / (low + pad), 1e-8));
  }
}

TEST_CASE("what a volume control at full takes from the source") {
  const auto full = [](resistance source_resistance, resistance total) {
    return behind(source_resistance) | ideal(total).as_divider(knob(10));
  };
  // R1/(R1 + Zsource), output resistance R1 ∥ Zsource (issuhub.com, Audio Engineering ch. 7 §7.18); figures computed.
  CHECK(close(level(full(6_kOhm, 250_kOhm)), 0.9765625, 1e-15));
  CHECK(close(voltage_level(level(full(6_kOhm, 250_kOhm))).value(), -0.206, 0.00051));
  CHECK(close(ohms(full(6_kOhm, 250_kOhm)), 5859.375, 1e-10));
  // An active source of 10 kΩ with 25 kΩ (common practice, from memory) and with 250 kΩ: computed from the formula.
  CHECK(close(level(full(10_kOhm, 25_kOhm)), 0.714286, 0.5001e-6));
  CHECK(close(voltage_level(level(full(10_kOhm, 25_kOhm))).value(), -2.923, 0.00051));
  CHECK(close(level(full(10_kOhm, 250_kOhm)), 0.961538, 0.5001e-6));
  CHECK(close(voltage_level(level(full(10_kOhm, 250_kOhm))).value(), -0.341, 0.00051));
  CHECK(close(ohms(full(10_kOhm, 25_kOhm)), 7142.857, 0.00051));
}

TEST_CASE("a resistor from wiper to top, equal to the load, keeps the middle") {
  // electronics.stackexchange 231522: no error at half travel, an S-shaped residue elsewhere.
  const potentiometer_wiring wiring{.bleed = 20_kOhm};
  const auto error = [&](double x) {
    return x - level(ideal_emf(1_V) | ideal(10_kOhm).as_divider(rotation(x), wiring) | in_shunt(20_kOhm));
  };
  CHECK(close(error(0.5), 0, 1e-15));
  for (const double x : {0.1, 0.25, 0.4}) {
    CHECK(close(error(x), -error(1 - x), 1e-15));
    CHECK(std::abs(error(x)) > 0.005);
    CHECK(error(x) < 0); // too loud below the middle, too soft above
  }
}

TEST_CASE("a treble bleed passes the treble around the upper leg") {
  const double r = 500e3, rs = 8e3, c = 1e-9, rb = 150e3;
  const potentiometer volume{.total = 500_kOhm, .law = audio_taper, .end_resistance = 0_Ohm};
  const std::complex<double> zc = 1.0 / std::complex<double>(0, 2 * std::numbers::pi * 1e3 * c);
  for (const double x : turned) {
    CAPTURE(x);
    const double y = audio_taper(rotation(x)), up = (1 - y) * r, low = y * r;
    const auto check = [&](const one_port& bleed, std::complex<double> zb) {
      const potentiometer_wiring wiring{.bleed = bleed};
      const auto upper = up * zb / (up + zb);
      const auto got = response(behind(rs * 1_Ohm) | volume.as_divider(rotation(x), wiring), 1_kHz);
      CHECK(std::abs(got - low / (rs + upper + low)) < 1e-14);
    };
    check(1_nF, zc);
    check(series(1_nF, 150_kOhm), zc + rb);
    check(parallel(1_nF, 150_kOhm), zc * rb / (zc + rb));
  }
}

TEST_CASE("a reversed divider loads the source, and two of them do not mute each other") {
  const double r = 250e3, rs = 6e3;
  for (const double x : turned) {
    const source s = behind(6_kOhm) | ideal(250_kOhm).as_reversed_divider(rotation(x));
    const double low = x * r, seen = rs * low / (rs + low);
    CHECK(close(level(s), low / (rs + low), 1e-15));
    CHECK(close(ohms(s), (1 - x) * r + seen, 1e-8));
    // All three extra parts in place, closed form.
    const potentiometer_wiring wiring{.bleed = 100_kOhm, .across_track = 1_MOhm, .wiper_to_low = 50_kOhm};
    const source all = behind(6_kOhm) | ideal(250_kOhm).as_reversed_divider(rotation(x), wiring);
    const double down = low * 50e3 / (low + 50e3), up = (1 - x) * r * 100e3 / ((1 - x) * r + 100e3);
    const double out = up + rs * down / (rs + down);
    CHECK(close(level(all), down / (rs + down) * 1e6 / (1e6 + out), 1e-15));
    CHECK(close(ohms(all), out * 1e6 / (1e6 + out), 1e-8));
  }
  const potentiometer part = ideal(250_kOhm);
  const source quiet = ideal_emf(0_V, "a") | in_series(6_kOhm),
               loud = ideal_emf(1_V, "b") | in_series(6_kOhm);
  const auto joined = [&](auto role) {
    return level(parallel(quiet | (part.*role)(knob(0), {}), loud | (part.*role)(knob(10), {})));
  };
  CHECK(joined(&potentiometer::as_divider) == 0);
  // 250 kΩ of its own track and the 250 kΩ upper leg of the other: 125/(125 + 6), computed from the formula.
  CHECK(close(joined(&potentiometer::as_reversed_divider), 125.0 / 131, 1e-15));
}

TEST_CASE("a resistor that pads a rheostat belongs across the lugs in use") {
  const double r = 500e3, pad = 27e3, wanted = r * pad / (r + pad);
  const potentiometer load = ideal(500_kOhm);
  const auto good = [&](double x) {
    return ohms(load.as_rheostat(rotation(x), lugs::one_two, {.wiper_to_low = 27_kOhm}));
  };
  const auto bad = [&](double x) {
    return ohms(load.as_rheostat(rotation(x), lugs::one_two, {.across_track = 27_kOhm}));
  };
  const auto bad_other_way = [&](double x) {
    return ohms(load.as_rheostat(rotation(x), lugs::two_three, {.across_track = 27_kOhm}));
  };
  double before = -1;
  for (const double x : turned) {
    CAPTURE(x);
    const double low = x * r, up = (1 - x) * r;
    CHECK(close(good(x), low * pad / (low + pad), 1e-8));
    CHECK((good(x) > before && good(x) <= wanted + 1e-8));
    before = good(x);
    CHECK(close(bad(x), low * (up + pad) / (r + pad), 1e-8));
    CHECK(close(bad_other_way(x), up * (low + pad) / (r + pad), 1e-8));
  }
  // Across the outer lugs it is right at the stop and five times too much in between: (R + P)/4 at the worst,
  // computed from the formula.
  CHECK(close(bad(1), wanted, 1e-8));
  const double worst = place_of_maximum(bad);
  CHECK(close(worst, (r + pad) / (2 * r), 1e-6));
  CHECK(close(bad(worst), (r + pad) / 4, 1e-6));
  CHECK(bad(worst) > 5 * wanted);
  // On lugs 2 and 3 the part across them is the bleed, and a part on the other leg joins in only over the track.
  CHECK(close(ohms(load.as_rheostat(knob(0), lugs::two_three, {.bleed = 27_kOhm})), wanted, 1e-8));
  CHECK(close(ohms(load.as_rheostat(knob(5), lugs::two_three, {.wiper_to_low = 27_kOhm})), 250e3, 1e-8));
  const double other = 250e3 * 27e3 / 277e3 + 10e3;
  CHECK(close(
      ohms(load.as_rheostat(knob(5), lugs::two_three, {.across_track = 10_kOhm, .wiper_to_low = 27_kOhm})),
      250e3 * other / (250e3 + other), 1e-8));
}

TEST_CASE("a 'no-load' part at full is not there") {
  const potentiometer part{.total = 250_kOhm, .law = audio_taper, .cut_at_full = true};
  const source full = behind(6_kOhm) | part.as_divider(knob(10));
  CHECK(close(level(full), 1, 1e-15));
  CHECK(close(ohms(full), 6000, 1e-10));
  const source reversed_full = behind(6_kOhm) | part.as_reversed_divider(knob(10));
  CHECK(close(level(reversed_full), 1, 1e-15));
  CHECK(close(ohms(reversed_full), 6000, 1e-10));
  // A tone control on lugs 1 and 2 with its capacitor: out of the circuit at full, a load just below.
  const auto toned = [&](double number) {
    return response(behind(6_kOhm) | in_shunt(series(part.as_rheostat(knob(number), lugs::one_two), 22_nF)),
                    1_kHz);
  };
  CHECK(std::abs(toned(10) - 1.0) < 1e-15);
  CHECK(std::abs(toned(9.99) - 1.0) > 0.02);
  CHECK(ohms(part.as_rheostat(knob(10), lugs::two_three)) == 0);
  CHECK(part.legs(knob(10)).lower.value() == open_value);
  // Below full nothing is different.
  const potentiometer plain{.total = 250_kOhm, .law = audio_taper};
  CHECK(part.legs(knob(9.99)) == plain.legs(knob(9.99)));
}

TEST_CASE("turning in a composed circuit gives what composing there gives") {
  for (const bool cut : {false, true}) {
    const potentiometer part{
        .total = 500_kOhm, .law = within_travel(audio_taper, 270, 300), .cut_at_full = cut, .name = "knob"};
    const std::vector<potentiometer_wiring> wirings{
        {},
        {.bleed = 1_nF},
        {.bleed = series(1_nF, 150_kOhm)},
        {.across_track = 100_kOhm},
        {.bleed = parallel(1_nF, 150_kOhm), .across_track = series(1_H, 100_kOhm), .wiper_to_low = 27_kOhm}};
    for (const auto& wiring : wirings) {
      const auto composed = [&](rotation at, int role) {
        const source coil = behind(6_kOhm) | in_series(3_H) | in_shunt(120_pF);
        const stage cable = in_shunt(600_pF);
        if (role == 0) return coil | part.as_divider(at, wiring) | cable;
        if (role == 1) return coil | part.as_reversed_divider(at, wiring) | cable;
        const one_port tone = part.as_rheostat(at, role == 2 ? lugs::one_two : lugs::two_three, wiring);
        return coil | in_shunt(series(tone, 22_nF)) | cable;
      };
      for (const int role : {0, 1, 2, 3}) {
        CAPTURE(role);
        source turning = composed(knob(3), role);
        const value_range where = turning.range("knob");
        CHECK(where.count == 2);
        for (const double x : turned) {
          part.turn(turning, where, rotation(x));
          const source expected = composed(rotation(x), role);
          CHECK(turning == expected);
          CHECK(response(turning, 2_kHz) == response(expected, 2_kHz));
          CHECK(is_finite(std::abs(response(turning, 2_kHz))));
        }
      }
    }
  }
}

TEST_CASE("two parts with a name, and one without") {
  const potentiometer volume{.total = 250_kOhm, .name = "volume"}, tone{.total = 500_kOhm, .name = "tone"};
  const potentiometer unnamed{.total = 1_MOhm};
  source s = behind(6_kOhm) | in_shunt(series(tone.as_rheostat(knob(10), lugs::one_two), 22_nF)) |
             volume.as_divider(knob(10)) | unnamed.as_divider(knob(10));
  CHECK(s.as_circuit().ranges.size() == 2);
  const auto before = s.as_circuit().values;
  volume.turn(s, s.range("volume"), knob(5));
  int changed = 0;
  for (std::size_t i = 0; i < before.size(); ++i) changed += before[i] != s.as_circuit().values[i];
  CHECK(changed == 2);
  CHECK(error_of([&] { (void)s.range("blend"); }) ==
        "named part is 'blend'; allowed: one of 'tone', 'volume'");
}

TEST_CASE("a part that cannot be is refused by its member") {
  const auto composed = [](const potentiometer& part) {
    const std::string error = error_of([&] { (void)part.as_divider(knob(5)); });
    CHECK(error_of([&] { (void)part.as_reversed_divider(knob(5)); }) == error);
    CHECK(error_of([&] { (void)part.as_rheostat(knob(5), lugs::one_two); }) == error);
    return error;
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(composed({.total = 250_kOhm}) == "no error");
  CHECK(composed({}) == "potentiometer.total is 0 Ω; allowed: more than 0 Ω");
  CHECK(composed({.total = -250_kOhm}) == "potentiometer.total is -250 kΩ; allowed: more than 0 Ω");
  CHECK(composed({.total = resistance::from_value(nan)}).starts_with("potentiometer.total is NaN"));
  CHECK(
      composed({.total = resistance::from_value(open_value)}).starts_with("potentiometer.total is infinity"));
  CHECK(composed({.total = 500_Ohm, .end_resistance = 300_Ohm}) ==
        "potentiometer.end_resistance is 300 Ω; allowed: 0 Ω to 250 Ω");
  CHECK(composed({.total = 500_Ohm, .end_resistance = 250_Ohm}) == "no error");
  CHECK(composed({.total = 3_Ohm}) == "potentiometer.end_resistance is 2 Ω; allowed: 0 Ω to 1.5 Ω");
  CHECK(composed({.total = 250_kOhm, .end_resistance = -2_Ohm}) ==
        "potentiometer.end_resistance is -2 Ω; allowed: 0 Ω to 125 kΩ");
  CHECK(composed({.total = 250_kOhm, .tolerance = 20}) ==
        "potentiometer.tolerance is 20; allowed: 0 or more, less than 1");
  CHECK(composed({.total = 250_kOhm, .tolerance = nan}) ==
        "potentiometer.tolerance is NaN; allowed: 0 or more, less than 1");
  CHECK(error_of([] { (void)potentiometer{.total = 1_kOhm}.as_divider(knob(12)); }) ==
        "knob is 12; allowed: 0 to 10");
}
