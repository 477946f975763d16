// SPDX-License-Identifier: BSL-1.0
// The core of the library in one small program without a test framework, for builds that a framework does not survive:
// without RTTI, with -Ofast, under valgrind. Prints the worst differences; its status is the number of failures.
#include <bit>
#include <cmath>
#include <complex>
#include <cstdint>
#include <cstdio>
#include <initializer_list>
#include <numbers>
#include <string>
#include <vector>

#include <lodewire/lodewire.hpp>

namespace {

using namespace lodewire;
using namespace lodewire::literals;
using complex = std::complex<double>;

int failures = 0, checks = 0;

void check(bool holds, const char* what) {
  ++checks;
  if (holds) return;
  std::printf("FAILED: %s\n", what);
  ++failures;
}
/// Made at run time, from bits that no compiler knows: under -Ofast a constant NaN may be folded away.
double from_bits(std::uint64_t pattern) {
  volatile std::uint64_t unknown = pattern;
  return std::bit_cast<double>(std::uint64_t{unknown});
}

source loaded_coil() {
  return ideal_emf(1_V) | in_series(6_kOhm) | in_series(2.5_H) | in_shunt(620_pF) | in_shunt(200_kOhm);
}

source two_coils_and_controls(double number) {
  const auto bridge = magnetic_coil{.inductance = 3.1_H,
                                    .resistance = 7.4_kOhm,
                                    .capacitance = 110_pF,
                                    .parallel_loss = 1_MOhm,
                                    .name = "bridge"};
  const auto pair = coil_pair{
      .first = {.inductance = 1.6_H, .resistance = 4_kOhm, .capacitance = 90_pF, .name = "first"},
      .second = {.inductance = 1.7_H, .resistance = 4.1_kOhm, .capacitance = 95_pF, .name = "second"},
      .coupling = 0.1};
  const auto volume = potentiometer{.total = 500_kOhm, .law = audio_taper, .name = "volume"};
  const auto control = volume.as_reversed_divider(knob(number), {.bleed = parallel(680_pF, 150_kOhm)});
  const auto tone =
      series(volume.as_rheostat(knob(number), lugs::one_two), capacitor_of(dielectric::polyester, 22_nF));
  return parallel(bridge | control, pair.as_series() | control) | in_shunt(tone) |
         cable{.length = 6_m,
               .capacitance = 95_pF_per_m,
               .resistance = 0.08_Ohm_per_m,
               .inductance = 0.4_uH_per_m} |
         input{.resistance = 1_MOhm, .capacitance = 100_pF, .stopper = 68_kOhm};
}

source active_and_piezo() {
  return parallel(active_pickup{.limit = band_limit{.corner = 8_kHz}} | in_series(10_kOhm),
                  piezo{.capacitance = 500_pF} | in_series(22_kOhm)) |
         in_shunt(1_MOhm);
}

/// Computed from the formula: 1/H = (1 + R/RL) + s·(R·C + L/RL) + s²·L·C.
void closed_form() {
  const double r = 6e3, l = 2.5, c = 620e-12, load = 200e3;
  const double a0 = 1 + r / load, a1 = r * c + l / load, a2 = l * c;
  const source s = loaded_coil();
  double worst = 0;
  for (const double hz : {20., 440., 3e3, 5e3, 2e4}) {
    const complex w(0, 2 * std::numbers::pi * hz), h = 1.0 / (a0 + w * (a1 + w * a2));
    worst = std::max(worst, std::abs(response(s, from_si<frequency>(hz)) - h) / std::abs(h));
    worst = std::max(worst, std::abs(transfer(s)(from_si<frequency>(hz)) - h) / std::abs(h));
  }
  const double q = std::sqrt(a0 * a2) / a1;
  const double peak = std::sqrt(a0 / a2 * (1 - 0.5 / (q * q))) / (2 * std::numbers::pi);
  const resonance found = find_resonance(s);
  const double off = std::abs(found.peak.value() / peak - 1), q_off = std::abs(found.quality / q - 1);
  std::printf("closed form: response %.1e, resonance %.1e, its quality %.1e\n", worst, off, q_off);
  check(worst <= 1e-13, "the response of a loaded coil is its formula");
  check(found.has_peak && off <= 1e-11, "the resonance of a loaded coil is its formula");
  check(q_off <= 1e-9, "the quality of a loaded coil is its formula");
  check(to_text(found).find("kHz") != std::string::npos, "a resonance is written");
}

void every_way_agrees() {
  const auto hz = log_grid(20_Hz, 20_kHz, 75);
  double worst = 0;
  std::vector<source> all{loaded_coil(), active_and_piezo()};
  for (const double number : {0., 3., 10.}) all.push_back(two_coils_and_controls(number));
  for (const source& s : all) {
    const sweep_result direct = sweep(s, hz);
    const transfer_function h = transfer(s);
    std::vector<complex> composed(hz.size());
    h.evaluate(hz, composed);
    for (std::size_t i = 0; i < hz.size(); ++i) {
      const complex point = response(s, from_si<frequency>(hz[i]));
      const double size = std::abs(point) + 1e-3;
      worst = std::max(
          {worst, std::abs(direct.response[i] - point) / size, std::abs(composed[i] - point) / size});
    }
    check(is_finite(level(s).value()), "a level");
    check(is_finite(output_impedance(s, 1_kHz).value().real()), "an output impedance");
    check(!factorise(h).poles.empty(), "poles");
    (void)find_resonance(s);
    (void)find_impedance_resonance(s);
    (void)sweep_impedance(s, hz).phase_deg();
    (void)group_delay(h, hz);
  }
  std::printf("sweep, transfer function and single points differ by %.1e\n", worst);
  check(worst <= 1e-11, "sweep, transfer function and single points agree");
}

/// `float` as the ring of S: the same program, at most 1e-5 beside the response (and 1e-3 of the EMF).
void single_precision() {
  double worst = 0;
  for (const source& s :
       {loaded_coil(), active_and_piezo(), two_coils_and_controls(3), two_coils_and_controls(10)}) {
    const circuit& c = s.as_circuit();
    using system = complex_system<float>;
    workspace<system> room(c.code);
    const std::vector<float> narrow(c.values.begin(), c.values.end());
    for (const float omega : {500.F, 5e3F, 2e4F, 1e5F}) {
      const double hz = static_cast<double>(omega) / (2 * std::numbers::pi);
      machine<system, double> m(system({0, omega}), c.values.data(), room);
      run(c.code, m);
      check(m.status() == circuit_status::ok, "the circuit runs in single precision");
      for (std::size_t k = 0; k < m.emfs(); ++k) {
        const auto h = to_standard(room.emf[k] / m.response_denominator(k));
        const complex exact = response(s, k, from_si<frequency>(hz));
        worst = std::max(worst, std::abs(complex(h) - exact) / (std::abs(exact) + 1e-3));
      }
      // Values in single precision, too: each is off by 6e-8 of itself.
      machine<system, float> all_narrow(system({0, omega}), narrow.data(), room);
      run(c.code, all_narrow);
      const complex z(to_standard(all_narrow.n() / all_narrow.d()));
      const complex exact = output_impedance(s, from_si<frequency>(hz)).value() / scale::ohm;
      worst = std::max(worst, std::abs(z - exact) / (std::abs(exact) + 1e-3));
    }
  }
  std::printf("float and double differ by %.1e\n", worst);
  check(worst <= 1e-5, "float agrees with double");
}

template <class Call>
bool refused(Call call) {
  try {
    call();
  } catch (const invalid_value& error) {
    return std::string(error.what()).find("; allowed: ") != std::string::npos && !error.parameter().empty();
  }
  return false;
}

void what_is_no_value() {
  const double infinity = from_bits(0x7ff0'0000'0000'0000U), nan = from_bits(0x7ff8'0000'0000'0000U);
  // Signalling, with a sign, and by arithmetic. (Two zeros: -Ofast makes 1 of x/x before the library sees it.)
  const double huge = from_bits(std::bit_cast<std::uint64_t>(1e308)), zero = from_bits(0), nil = from_bits(0);
  for (const double bad : {infinity, -infinity, nan, -nan, from_bits(0x7ff0'0000'0000'0001U),
                           from_bits(0xfff8'0000'dead'beefU), huge * 10, -huge * 10, 1 / zero, zero / nil}) {
    check(!is_finite(bad), "not finite by its bits");
    check(refused([&] { (void)require_positive("x", bad); }), "require_positive");
    check(refused([&] { (void)require_not_negative("x", bad); }), "require_not_negative");
    check(refused([&] { (void)require_finite("x", bad); }), "require_finite");
    check(refused([&] { (void)require_within("x", bad, 0., 1.); }), "require_within");
    check(refused([&] { (void)require_within("x", bad, -1e308, 1e308); }), "require_within all of double");
    check(refused([&] { (void)rotation(bad); }), "a rotation");
    check(refused([&] { (void)taper::audio(bad); }), "a taper");
    check(refused([&] { (void)one_port(from_si<resistance>(bad)); }), "a resistor");
    check(refused([&] { (void)one_port(from_si<capacitance>(bad)); }), "a capacitor");
    check(refused([&] { (void)ideal_emf(from_si<voltage>(bad)); }), "an EMF");
    check(refused([&] { (void)potentiometer{.total = from_si<resistance>(bad)}.as_divider(knob(5)); }),
          "a total");
    check(refused([&] {
            (void)source(magnetic_coil{.inductance = from_si<inductance>(bad), .resistance = 6_kOhm});
          }),
          "a coil");
    check(refused([&] { (void)response(loaded_coil(), from_si<frequency>(bad)); }), "a frequency");
    check(refused([&] { (void)log_grid(20_Hz, from_si<frequency>(bad), 10); }), "a grid");
    check(refused([&] { (void)nearest(e_series::e12, from_si<resistance>(bad)); }), "a preferred value");
    check(refused([&] { (void)write_marking(from_si<resistance>(bad)); }), "a marking");
  }
  for (const double low : {-1., -1e-300, -1e300}) {
    check(refused([&] { (void)require_positive("x", low); }), "a negative value is not positive");
    check(refused([&] { (void)require_not_negative("x", low); }), "a negative value is negative");
  }
  check(refused([] { (void)require_positive("x", 0.); }), "zero is not positive");
  check(refused([] { (void)require_positive("x", -0.); }), "nor is minus zero");
  check(require_not_negative("x", -0.) == 0, "minus zero is not negative");
  check(require_positive("x", 1e-300) > 0 && require_finite("x", -1.7e308) < 0, "good values pass");
  check(is_open(infinity) && !is_open(-infinity) && !is_open(nan) && !is_open(huge), "open by its bits");
  check(is_nan(nan) && is_nan(-nan) && !is_nan(infinity) && !is_nan(zero), "NaN by its bits");
  check(plain_number(nan) == "NaN" && plain_number(infinity) == "infinity" &&
            plain_number(-infinity) == "-infinity",
        "what is no number is written so");
  // An open is a value of resistors only: it cuts off, exactly.
  check(response(ideal_emf(1_V) | in_series(open_circuit()) | in_shunt(1_MOhm), 1_kHz) == complex(0),
        "an open");
  bool conflict = false;
  try {
    (void)response(parallel(ideal_emf(1_V), ideal_emf(2_V)), 1_kHz);
  } catch (const conflicting_sources&) {
    conflict = true;
  }
  check(conflict, "unlike ideal sources in parallel are refused");
}

void text() {
  check(read_resistance("4k7") == 4.7_kOhm && read_capacitance("22 nF") == 22_nF, "values are read");
  check(write_marking(4.7_kOhm) == "4k7" && write_quantity(22_nF) == "22 nF", "values are written");
  check(read_potentiometer("A250k", marking_world::today).law == audio_taper, "a stamp is read");
  check(read_tolerance(write_tolerance(tolerance::symmetric(0.05))) == tolerance::symmetric(0.05),
        "a tolerance");
  check(read_decibel("-3 dB").value() == -3, "a level is read");
  std::size_t column = 0;
  try {
    (void)read_resistance("4,7k");
  } catch (const text_error& error) {
    column = error.column();
  }
  check(column == 2, "an error has its column");
  bool too_large = false;
  try {
    (void)read_resistance("1e309");
  } catch (const std::invalid_argument&) {
    too_large = true;
  }
  check(too_large, "no infinity from text");
  check(best_pair_in_parallel(e_series::e24, 233_kOhm).error < 0.01, "two stock values");
}

} // namespace

int main() {
  closed_form();
  every_way_agrees();
  single_precision();
  what_is_no_value();
  text();
  std::printf("%d of %d checks failed\n", failures, checks);
  return failures != 0 || checks == 0;
}
