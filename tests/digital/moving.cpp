// SPDX-License-Identifier: BSL-1.0
// The circuit whose knobs move: beside the matrix exponential of the same circuit, its energy, what it leaves at half
// the sampling rate, what it refuses. LODEWIRE_SECONDS sets the length of the test in which noise turns the pots:
//   LODEWIRE_SECONDS=600 tests/run.sh plain -R digital.moving
// is ten minutes of signal at 48 kHz, a knob change at every sample.
#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include <lodewire/digital/design.hpp>
#include <lodewire/digital/moving_filter.hpp>
#include <lodewire/lodewire.hpp>

#include "../check.hpp"
#include "../circuit/random_circuit.hpp"
#include "../draws.hpp"
#include "signals.hpp"

using namespace lodewire;
using namespace lodewire::literals;

namespace {

constexpr double pi = std::numbers::pi;

const potentiometer volume{.total = 250_kOhm, .law = audio_taper, .name = "volume"};
const potentiometer tone{.total = 250_kOhm, .law = audio_taper, .name = "tone"};

template <class Filter>
void turn(Filter& filter, const source& in, const potentiometer& part, double to) {
  const potentiometer_legs legs = part.legs(rotation(to));
  filter.rewrite(in.range(part.name), 0, legs.upper.value());
  filter.rewrite(in.range(part.name), 1, legs.lower.value());
}

// Coil, volume control, cable and input: three states, written down by hand below.
constexpr double coil_r = 6e3, coil_l = 2.5, coil_c = 120e-12, lead_c = 600e-12, input_r = 1e6;
source plain_circuit(double at) {
  return magnetic_coil{.inductance = from_si<inductance>(coil_l),
                       .resistance = from_si<resistance>(coil_r),
                       .capacitance = from_si<capacitance>(coil_c)} |
         volume.as_divider(rotation(at)) | in_shunt(from_si<capacitance>(lead_c)) |
         in_shunt(from_si<resistance>(input_r));
}

/// exp(M) by scaling and squaring a Taylor series.
template <std::size_t N>
using matrix = std::array<std::array<double, N>, N>;
template <std::size_t N>
matrix<N> product(const matrix<N>& a, const matrix<N>& b) {
  matrix<N> p{};
  for (std::size_t r = 0; r < N; ++r)
    for (std::size_t k = 0; k < N; ++k)
      for (std::size_t c = 0; c < N; ++c) p[r][c] += a[r][k] * b[k][c];
  return p;
}
template <std::size_t N>
matrix<N> exponential(matrix<N> m) {
  double norm = 0;
  for (const auto& row : m)
    for (const double x : row) norm = std::fmax(norm, std::abs(x));
  int halvings = 0;
  for (; norm > 0.05; norm /= 2) ++halvings;
  for (auto& row : m)
    for (double& x : row) x = std::ldexp(x, -halvings);
  matrix<N> sum{}, term{};
  for (std::size_t k = 0; k < N; ++k) sum[k][k] = term[k][k] = 1;
  for (int k = 1; k < 16; ++k) {
    term = product(term, m);
    for (std::size_t r = 0; r < N; ++r)
      for (std::size_t c = 0; c < N; ++c) sum[r][c] += (term[r][c] /= k);
  }
  for (; halvings > 0; --halvings) sum = product(sum, sum);
  return sum;
}

/// The truth: states i, v(coil), v(lead) over one sample in which the EMF goes in a straight line.
class exact_circuit {
public:
  explicit exact_circuit(double rate) : period_{1 / rate} {}
  void set(double rotated) {
    const potentiometer_legs legs = volume.legs(rotation(rotated));
    const double up = 1 / legs.upper.value(), down = 1 / legs.lower.value() + 1 / input_r;
    // i, v1, v2, u, du/dt·T; in volts and in amperes times 1e5
    const double unit = 1e5;
    matrix<5> a{};
    a[0] = {-coil_r / coil_l, -unit / coil_l, 0, unit / coil_l, 0};
    a[1] = {1 / (coil_c * unit), -up / coil_c, up / coil_c, 0, 0};
    a[2] = {0, up / lead_c, -(up + down) / lead_c, 0, 0};
    a[3][4] = 1 / period_;
    for (auto& row : a)
      for (double& x : row) x *= period_;
    step_ = exponential(a);
  }
  double operator()(double u) {
    const std::array<double, 5> from{x_[0], x_[1], x_[2], last_, u - last_};
    for (std::size_t r = 0; r < 3; ++r) {
      x_[r] = 0;
      for (std::size_t c = 0; c < 5; ++c) x_[r] += step_[r][c] * from[c];
    }
    last_ = u;
    return x_[2];
  }

private:
  double period_, x_[3] = {}, last_ = 0;
  matrix<5> step_{};
};

/// The worst difference from the truth, as a share of the largest output; `change` turns the volume before a sample.
/// The first `settling` samples after a change are not looked at.
template <class Change>
double worst_against_truth(double rate, const Change& change, std::size_t settling = 0) {
  const source s = plain_circuit(1);
  basic_moving_filter<4, 2, 1> filter(s, from_si<frequency>(rate), {s.range("volume")});
  exact_circuit truth(rate);
  double worst = 0, largest = 0;
  const auto count = static_cast<std::size_t>(0.02 * rate);
  double at = -1;
  std::size_t changed = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const double t = static_cast<double>(i) / rate;
    if (const double now = change(t); now != at) {
      at = now;
      changed = i;
      turn(filter, s, volume, at);
      truth.set(at);
    }
    double y = std::sin(2 * pi * 440 * t) + 0.3 * std::sin(2 * pi * 2500 * t + 1) - 0.3 * std::sin(1.);
    const double wanted = truth(y);
    filter.process(std::span<double>(&y, 1));
    if (i >= changed + settling) worst = std::fmax(worst, std::abs(y - wanted));
    largest = std::fmax(largest, std::abs(wanted));
  }
  return worst / largest;
}

/// A circuit with everything in it that has a state or none: a coupled pair with eddy branches and a low-passed EMF,
/// a tone and a volume control with a bleed, a lossy lead, an amplifier, a current source's neighbour.
source rich_circuit(double at) {
  const magnetic_coil slug{.inductance = 1.65_H,
                           .resistance = 3.8_kOhm,
                           .capacitance = 90_pF,
                           .eddy = {{{0.25_H, 70_kOhm}}},
                           .emf_corner = 9_kHz,
                           .name = "slug"};
  magnetic_coil screw = slug;
  screw.inductance = 1.7_H;
  screw.name = "screw";
  screw.emf_corner = {};
  const source humbucker = humbucking_pair(slug, screw, 0.3).as_series();
  const source active = active_pickup{.limit = band_limit{.corner = 7_kHz, .quality = 0.9}};
  return parallel(humbucker | in_shunt(series(tone.as_rheostat(rotation(at), lugs::one_two), 22_nF)) |
                      volume.as_divider(rotation(at), {.bleed = series(150_kOhm, 680_pF)}),
                  active | in_series(100_kOhm)) |
         buffer(1.7, parallel(1_MOhm, 47_pF), 10_kOhm) |
         cable{.length = 6_m,
               .capacitance = 100_pF_per_m,
               .resistance = 0.1_Ohm_per_m,
               .inductance = 0.4_uH_per_m} |
         input{.resistance = 220_kOhm, .capacitance = 105_pF, .stopper = 68_kOhm};
}

} // namespace

TEST_CASE("beside the matrix exponential of the same circuit, values fixed and switched") {
  const auto half = [](double) { return 0.5; };
  const auto full = [](double) { return 1.0; }; // 2 Ω between two capacitors: 0.2 ns
  const auto switched = [](double t) { return std::fmod(t, 4e-3) < 2e-3 ? 0.8 : 0.35; };
  const auto stops = [](double t) { return std::fmod(t, 5e-3) < 2.5e-3 ? 1. : 0.; };
  // The trapezoidal rule's own error, of second order: a sixteenth at four times the rate.
  struct errors {
    const char* what;
    double at_48k, at_768k;
  };
  for (const errors& e :
       {errors{"half", worst_against_truth(48e3, half), worst_against_truth(768e3, half)},
        errors{"full", worst_against_truth(48e3, full), worst_against_truth(768e3, full)},
        errors{"switched", worst_against_truth(48e3, switched), worst_against_truth(768e3, switched)},
        // Two capacitors joined within 0.2 ns: at 768 kHz an Euler step of 10 ns takes some samples for it.
        errors{"stops", worst_against_truth(48e3, stops), worst_against_truth(768e3, stops, 20)}}) {
    CAPTURE(e.what);
    CHECK(e.at_48k < 0.1); // most of it in the ringing after a switch, whose frequency is 2 % low
    CHECK(e.at_768k < 1e-3);
  }
  CHECK(worst_against_truth(192e3, half) / worst_against_truth(768e3, half) > 12);
}

TEST_CASE("its response is that of the circuit, up to what the rate leaves") {
  for (const double at : {1., 0.6, 0.}) {
    CAPTURE(at);
    const source s = rich_circuit(at);
    moving_filter filter(s, 768_kHz, {s.range("volume"), s.range("tone")});
    const auto h = transfer(s);
    for (const double hz : {20., 300., 2000., 6000.}) {
      const frequency f = from_si<frequency>(hz);
      // Second order in f/rate from the rule, first order in a 128th of a sample from the end of it.
      CHECK(std::abs(filter.response(f) / h(f) - 1.) < 1e-5 + 1e-3 * hz / 6000);
    }
    basic_moving_filter<24, 8, 4> apart(s, 768_kHz, {s.range("volume")}, {.inputs = emf_inputs::apart});
    REQUIRE(apart.inputs() == 3);
    for (std::size_t k = 0; k < 3; ++k)
      CHECK(std::abs(apart.response(2_kHz, k) / transfer(s, k)(2_kHz) - 1.) < 1e-3);
  }
}

TEST_CASE("a knob turned there is the circuit built that way") {
  const source at_one = rich_circuit(1);
  moving_filter turned(at_one, 48_kHz, {at_one.range("volume"), at_one.range("tone")});
  for (const double at : {0., 0.3, 0.77, 1.}) {
    turn(turned, at_one, volume, at);
    turn(turned, at_one, tone, at);
    moving_filter built(rich_circuit(at), 48_kHz, std::initializer_list<value_range>{});
    for (const double hz : {5., 1000., 5000., 20000.}) {
      const frequency f = from_si<frequency>(hz);
      CHECK(std::abs(turned.response(f) - built.response(f)) < 1e-10 * std::abs(built.response(f)) + 1e-14);
    }
  }
  // Opens and shorts are values like others.
  const source s = plain_circuit(0.5);
  moving_filter filter(s, 48_kHz, {s.range("volume")});
  filter.rewrite(s.range("volume"), 0, open_value);
  CHECK(std::abs(filter.response(1_kHz)) < 1e-12);
  filter.rewrite(s.range("volume"), 0, 0);
  filter.rewrite(s.range("volume"), 1, open_value);
  const source straight =
      magnetic_coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 720_pF} | in_shunt(1_MOhm);
  moving_filter wanted(straight, 48_kHz, std::initializer_list<value_range>{});
  CHECK(std::abs(filter.response(3_kHz) / wanted.response(3_kHz) - 1.) < 1e-10);
  filter.rewrite(s.range("volume"), 1, 0);
  CHECK(std::abs(filter.response(1_kHz)) < 1e-12);
}

TEST_CASE("by impulse and by chirp it has the response that it states") {
  const source s = rich_circuit(0.8);
  moving_filter filter(s, 48_kHz, {s.range("volume")});
  std::vector<double> impulse(1U << 15U);
  impulse[0] = 1;
  filter.process(std::span<double>(impulse));
  filter.reset();
  const std::vector<double> in = digital_test::chirp(1U << 15U, 20 / 48e3, 0.45);
  std::vector<double> out = in;
  out.resize(out.size() + 8192);
  filter.process(std::span<double>(out));
  for (double hz = 60; hz < 18e3; hz *= 1.3) {
    const auto stated = filter.response(from_si<frequency>(hz));
    CHECK(std::abs(digital_test::spectrum(impulse, hz / 48e3) / stated - 1.) < 1e-6);
    CHECK(std::abs(digital_test::spectrum(out, hz / 48e3) / digital_test::spectrum(in, hz / 48e3) / stated -
                   1.) < 1e-4);
  }
}

TEST_CASE("the peak: its height, where it goes, and how to keep it there") {
  const source s = plain_circuit(1);
  const auto h = transfer(s);
  const auto peak = [](const auto& size) { return *detail::find_peak(size, 500., 20e3); };
  const frequency analogue = peak([&](double hz) { return std::abs(h(from_si<frequency>(hz))); });
  for (const double rate : {44100., 48000., 96000., 192000.}) {
    CAPTURE(rate);
    basic_moving_filter<4, 2, 1> plain(s, from_si<frequency>(rate), {s.range("volume")});
    basic_moving_filter<4, 2, 1> kept(s, from_si<frequency>(rate), {s.range("volume")},
                                      {.exact_at = analogue});
    const auto size = [](auto& filter) {
      return [&filter](double hz) { return std::abs(filter.response(from_si<frequency>(hz))); };
    };
    // The Euler step takes a 128th of the sample: that share of the way does not warp.
    const double by_tangent = rate / pi * std::atan(pi * analogue.value() / rate);
    CHECK(check::near(peak(size(plain)).value(), by_tangent, 1e-3));
    CHECK(check::near(size(plain)(peak(size(plain)).value()), std::abs(h(analogue)), 1e-3)); // 0.009 dB
    CHECK(
        check::near(peak(size(kept)).value(), analogue.value(), 1e-4)); // its skirts are bent, not its place
    CHECK(std::abs(kept.response(analogue) / h(analogue) - 1.) < 1e-3);
    CHECK(check::near(plain.response(from_si<frequency>(1e-3)).real(), h(0_Hz).real(), 1e-9));
  }
}

TEST_CASE("volume to zero in one sample leaves nothing at half the sampling rate") {
  // A plain trapezoidal rule leaves some tenths of a volt there for thousands of samples.
  for (const double end : {0., 1., 2.}) {
    CAPTURE(end);
    potentiometer part = volume;
    part.end_resistance = from_si<resistance>(end);
    const source s = magnetic_coil{.inductance = 2.5_H, .resistance = 6_kOhm, .capacitance = 120_pF} |
                     part.as_divider(rotation(1)) | in_shunt(600_pF) | in_shunt(1_MOhm);
    for (const double rate : {22050., 48000., 768000.}) {
      CAPTURE(rate);
      moving_filter filter(s, from_si<frequency>(rate), {s.range("volume")});
      std::vector<double> x(static_cast<std::size_t>(0.05 * rate));
      for (std::size_t i = 0; i < x.size(); ++i)
        x[i] = std::sin(2 * pi * 440 * static_cast<double>(i) / rate) +
               std::sin(2 * pi * 3100 * static_cast<double>(i) / rate);
      filter.process(std::span<double>(x));
      REQUIRE(std::abs(x.back()) > 0.01);
      // Straight to zero, or within 10 ms.
      for (const int samples : {1, static_cast<int>(0.01 * rate)}) {
        moving_filter going = filter;
        for (int k = 1; k <= samples; ++k) {
          turn(going, s, part, 1 - static_cast<double>(k) / samples);
          double silence = 0;
          going.process(std::span<double>(&silence, 1));
        }
        std::vector<double> after(2000);
        going.process(std::span<double>(after));
        double residue = 0, most = 0;
        for (std::size_t i = 60; i + 2 < after.size(); ++i) {
          residue = std::fmax(residue, std::abs(after[i] - 2 * after[i + 1] + after[i + 2]) / 4);
          most = std::fmax(most, std::abs(after[i]));
        }
        // What is left is the coil's own ringing through the end resistance: microvolts, and smooth.
        CHECK(residue < 1e-6);
        CHECK(most < 2e-5);
        if (end == 0) CHECK(most < 1e-9);
      }
      // And back: the coil's circuit again, without a trace of the jump that is not its own.
      turn(filter, s, part, 0);
      std::vector<double> silence(100);
      filter.process(std::span<double>(silence));
      turn(filter, s, part, 1);
      std::vector<double> back(2000);
      filter.process(std::span<double>(back));
      double alternating = 0;
      for (std::size_t i = 60; i + 4 < back.size(); ++i)
        alternating = std::fmax(
            alternating,
            std::abs(back[i] - 4 * back[i + 1] + 6 * back[i + 2] - 4 * back[i + 3] + back[i + 4]) / 16);
      if (rate > 4e4) CHECK(alternating < 5e-5); // 4 kHz, smooth: (πf/rate)^4 of a volt at most
    }
  }
}

TEST_CASE("charge is conserved where a wiper joins two capacitors") {
  // An inductance so large that its current stands still for a sample; 1 V on the coil's side, 0.5 V on the lead's.
  potentiometer part{.total = 200_MOhm, .end_resistance = 0_Ohm, .name = "volume"};
  const source s = magnetic_coil{.inductance = 1e5_H, .capacitance = 300_pF} |
                   part.as_divider(rotation(0.5)) | in_shunt(500_pF);
  moving_filter filter(s, 48_kHz, {s.range("volume")});
  std::vector<double> x(48000 * 20, 1.);
  filter.process(std::span<double>(x));
  REQUIRE(check::near(x.back(), 0.5, 1e-6));
  filter.rewrite(s.range("volume"), 0, 0);
  filter.rewrite(s.range("volume"), 1, open_value);
  double y = 1;
  filter.process(std::span<double>(&y, 1));
  // What the coil's current of 5 nA brings during the sample comes on top; that current itself gains half a percent.
  CHECK(check::near(y, (300 * 1 + 500 * 0.5) / 800 + 5e-9 / 48e3 / 800e-12, 2e-6));
}

TEST_CASE("energy: at every sample, whatever turns, out is never more than in") {
  // The steps taken one by one, with the sources' power and the load's written down, beside the filter itself.
  const source s = plain_circuit(0.5);
  const value_range at = s.range("volume");
  const std::size_t slots[] = {std::size_t{at.first}, std::size_t{at.first} + 1};
  const double period = 1 / 48e3, part[2] = {period * 127 / 256, period / 128};
  basic_moving_filter<4, 2, 1> filter(s, 48_kHz, {at});
  std::uint64_t seed = 7;
  double x[3] = {}, last = 0, supplied = 0, delivered = 0, worst_y = 0;
  for (int i = 0; i < 300; ++i) {
    const potentiometer_legs legs = volume.legs(rotation((digital_test::uniform(seed) + 1) / 2));
    filter.rewrite(at, 0, legs.upper.value());
    filter.rewrite(at, 1, legs.lower.value());
    circuit now = s.as_circuit();
    now.values[slots[0]] = legs.upper.value();
    now.values[slots[1]] = legs.lower.value();
    const detail::companion read(now, {});
    REQUIRE(read.states() == 3);
    const double u = i < 200 ? digital_test::uniform(seed) : 0;
    double y = u, v = 0;
    filter.process(std::span<double>(&y, 1));
    double before = 0, after = 0, given = 0, taken = 0;
    for (const double state : x) before += state * state / 2;
    for (int step = 0; step < 2; ++step) {
      const std::vector<double> m = read.step(part[step]);
      const double in = step == 0 ? (129 * last + 127 * u) / 256 : u,
                   length = step == 0 ? 2 * part[0] : part[1];
      double next[4] = {};
      for (std::size_t r = 0; r < 4; ++r) {
        for (std::size_t c = 0; c < 3; ++c) next[r] += m[c * 4 + r] * x[c];
        next[r] += m[12 + r] * in;
      }
      // The coil's current is the first state, √L·i, counted into its hot end; the load is the input's resistance.
      given -= length * in * next[0] / std::sqrt(coil_l);
      taken += length * next[3] * next[3] / input_r;
      for (std::size_t r = 0; r < 3; ++r) x[r] = step == 0 ? 2 * next[r] - x[r] : next[r];
      v = next[3];
    }
    for (const double state : x) after += state * state / 2;
    last = u;
    CHECK(taken + after - before <= given + 1e-15 * (std::abs(given) + before));
    supplied += given;
    delivered += taken;
    worst_y = std::fmax(worst_y, std::abs(y - v));
    CHECK(check::near(filter.stored_energy(), after, 1e-9));
  }
  CHECK(worst_y < 1e-13);
  CHECK(delivered > 1e-4 * supplied); // they are not zero
  CHECK(delivered <= supplied);
}

TEST_CASE("pots driven by noise at audio rate") {
  const auto seconds = static_cast<double>(check::from_environment("LODEWIRE_SECONDS", 3));
  const source s =
      magnetic_coil{
          .inductance = 2.2_H, .resistance = 6_kOhm, .capacitance = 120_pF, .eddy = {{{0.5_H, 20_kOhm}}}} |
      in_shunt(series(tone.as_rheostat(rotation(1), lugs::one_two), 22_nF)) | volume.as_divider(rotation(1)) |
      in_shunt(600_pF) | in_shunt(1_MOhm);
  basic_moving_filter<8, 4, 1> filter(s, 48_kHz, {s.range("volume"), s.range("tone")});
  const value_range at[2] = {s.range("volume"), s.range("tone")};
  std::uint64_t seed = 11;
  double available = 0, delivered = 0, largest = 0;
  std::size_t grew = 0;
  constexpr double period = 1 / 48e3;
  double last = 0;
  const auto count = static_cast<std::size_t>(seconds * 48e3);
  for (std::size_t i = 0; i < count; ++i) {
    // Linear pots, so that the ends are as frequent as the middle; now and then hard on a stop.
    for (const value_range& range : at) {
      const double z = digital_test::uniform(seed),
                   turned = std::fmin(1, std::fmax(0, 0.55 * (z + 1) - 0.05));
      filter.rewrite(range, 0, 2 + (1 - turned) * 249.996e3);
      filter.rewrite(range, 1, 2 + turned * 249.996e3);
    }
    const bool plays = i / 4800 % 2 == 0;
    const double u = plays ? digital_test::uniform(seed) : 0;
    const double before = filter.stored_energy();
    double y = u;
    filter.process(std::span<double>(&y, 1));
    if (u == 0 && last == 0) grew += filter.stored_energy() > before * (1 + 1e-14) ? 1U : 0U;
    // What a source of 6 kΩ can give at most: u²/4R over each of the two steps.
    available += period * (127 * std::pow((129 * last + 127 * u) / 256, 2) + u * u) / 128 / (4 * 6e3);
    delivered += period * y * y / 1e6;
    largest = std::fmax(largest, std::abs(y));
    last = u;
    if (delivered + filter.stored_energy() > available * (1 + 1e-12) + 1e-30) grew += 1000000;
  }
  CHECK(grew == 0);
  CHECK(largest > 0.1);
  CHECK(largest < 20);
}

TEST_CASE("circuits drawn at random: the response of each, and nothing grows whatever its resistors do") {
  ways::variety kinds;
  kinds.matrices = false;
  std::uint64_t state = 5;
  int circuits = 0;
  for (std::uint64_t seed = 1; seed <= 60; ++seed, ++circuits) {
    CAPTURE(seed);
    const source s = ways::circuit_maker(seed, kinds)(4 + seed % 8);
    std::vector<value_range> moving; // every third resistor
    int count = 0;
    for (const instruction i : s.as_circuit().code)
      if ((i.op == opcode::resistor || i.op == opcode::series_r || i.op == opcode::shunt_r) &&
          ++count % 3 == 0 && moving.size() < 8)
        moving.push_back({i.slot, 1});
    using filter_type = basic_moving_filter<24, 8, 8>;
    filter_type quick(s, 10_MHz, std::span<const value_range>(moving));
    evaluator exact(s.as_circuit());
    for (const double hz : {50., 700., 3000., 9000.}) {
      std::complex<double> h;
      exact.responses(s.as_circuit(), std::span(&hz, 1), {}, std::span(&h, 1));
      // (ωT)²/12 off in frequency, 3e-6 at 9 kHz, times the slope of |H| at resonances of high Q
      CHECK(std::abs(quick.response(from_si<frequency>(hz)) / h - 1.) <
            1e-6 + 1e-4 * (hz / 9e3) * (hz / 9e3));
    }
    filter_type filter(s, 48_kHz, std::span<const value_range>(moving));
    double at_rest = 0, most = 0;
    for (int i = 0; i < 1000; ++i) {
      for (const value_range& r : moving) {
        const double kind = digital_test::uniform(state);
        filter.rewrite(r, 0,
                       kind < -0.8  ? 0
                       : kind > 0.8 ? open_value
                                    : std::exp(7 + 7 * digital_test::uniform(state)));
      }
      double x = i < 400 ? digital_test::uniform(state) : 0;
      filter.process(std::span<double>(&x, 1));
      REQUIRE(is_finite(x));
      if (i == 400) at_rest = filter.stored_energy();
      most = std::fmax(most, i > 400 ? filter.stored_energy() : 0);
    }
    // What passes through a buffer is energy that it gives, and a pair's mutual share is not counted: hence not 1.
    CHECK(most <= 4 * at_rest);
  }
  CHECK(circuits == 60);
}

TEST_CASE("setting up refuses what has no states, no room or no meaning") {
  const source s = plain_circuit(1);
  const auto range = s.range("volume");
  const auto refusal = [](auto f) -> std::string {
    try {
      f();
    } catch (const std::exception& error) {
      return error.what();
    }
    return "no error";
  };
  const auto set_up = [&](const source& of) { (void)moving_filter(of, 48_kHz, {range}); };
  CHECK(refusal([&] {
          set_up(ideal_emf(1_V) | in_series(power_law(1_kOhm, 0.5)) | in_shunt(1_kOhm));
        }).starts_with("the circuit has a power law K·s^α"));
  CHECK(refusal([&] {
          set_up(ideal_emf(1_V) | stage(chain_matrix{}) | in_shunt(1_kOhm));
        }).starts_with("the circuit has a chain matrix"));
  const source named = magnetic_coil{.inductance = 1_H} | in_shunt(one_port(1_nF).named("c"));
  CHECK(refusal([&] { (void)moving_filter(named, 48_kHz, {named.range("c")}); }) ==
        "a value that moves is no resistance; allowed: ranges of resistors (potentiometers)");
  CHECK(refusal([&] { (void)moving_filter(s, 0_Hz, {range}); }).starts_with("sampling rate is 0 Hz"));
  CHECK(refusal([&] { (void)moving_filter(s, 48_kHz, {range}, {.exact_at = 30_kHz}); }) ==
        "moving_options.exact_at is 30 kHz; allowed: less than half the sampling rate, 24 kHz");
  CHECK(refusal([&] { (void)basic_moving_filter<2, 8, 1>(s, 48_kHz, {range}); }) ==
        "moving_filter: 3 states, room for 2; give it more in its template arguments");
  CHECK(refusal([&] {
          (void)basic_moving_filter<4, 1, 1>(s, 48_kHz, {range});
        }).starts_with("moving_filter: 2 resistors that move, room for 1"));
  CHECK_THROWS_AS(moving_filter(parallel(ideal_emf(1_V), ideal_emf(2_V)), 48_kHz, {}), conflicting_sources);
  moving_filter nothing;
  double x = 1;
  nothing.process(std::span<double>(&x, 1));
  CHECK(x == 0);
}
