// SPDX-License-Identifier: BSL-1.0
// The circuit that runs sample by sample beside libngspice's transient analysis, along the solver's own time vector:
// values fixed, and a volume control that jumps.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>
#include <string>
#include <vector>

#include <ngspice/sharedspice.h>

#include <lodewire/digital/moving_filter.hpp>
#include <lodewire/lodewire.hpp>

using namespace lodewire;
using namespace lodewire::literals;

namespace {

struct trace {
  std::vector<double> time, volts;
};

/// Runs a deck through a transient analysis. Throws `std::runtime_error` with what the solver said.
trace transient(std::vector<std::string> lines) {
  static std::string said;
  static const int started = ngSpice_Init(
      [](char* text, int, void* to) {
        static_cast<std::string*>(to)->append(text).append("\n");
        return 0;
      },
      [](char*, int, void*) { return 0; }, [](int, NG_BOOL, NG_BOOL, int, void*) { return 0; }, nullptr,
      nullptr, [](NG_BOOL, int, void*) { return 0; }, &said);
  REQUIRE(started == 0);
  said.clear();
  std::vector<char*> raw;
  for (std::string& line : lines) raw.push_back(line.data());
  raw.push_back(nullptr);
  std::string run = "run", time = "time", out = "out", destroy = "destroy all", remove = "remcirc";
  if (ngSpice_Circ(raw.data()) != 0 || ngSpice_Command(run.data()) != 0) throw std::runtime_error(said);
  trace t;
  const auto copy = [](std::string& name, std::vector<double>& to) {
    const vector_info* v = ngGet_Vec_Info(name.data());
    if (v == nullptr || v->v_realdata == nullptr) throw std::runtime_error("no vector " + name + "\n" + said);
    to.assign(v->v_realdata, v->v_realdata + v->v_length);
  };
  copy(time, t.time);
  copy(out, t.volts);
  ngSpice_Command(destroy.data());
  ngSpice_Command(remove.data());
  return t;
}

constexpr double rate = 768e3, length = 6e-3, pi = std::numbers::pi;

/// Two sines that begin in a sine's way.
double played(double t) { return std::sin(2 * pi * 440 * t) + 0.5 * std::sin(2 * pi * 2500 * t); }

/// The worst difference as a share of the largest voltage; between two samples a straight line.
double worst(const trace& theirs, const std::vector<double>& ours) {
  double off = 0, largest = 0;
  for (std::size_t i = 0; i < theirs.time.size(); ++i) {
    const double at = theirs.time[i] * rate;
    const auto k = static_cast<std::size_t>(at);
    if (k + 1 >= ours.size()) break;
    const double share = at - static_cast<double>(k);
    off = std::fmax(off, std::abs(ours[k] * (1 - share) + ours[k + 1] * share - theirs.volts[i]));
    largest = std::fmax(largest, std::abs(theirs.volts[i]));
  }
  return off / largest;
}

const std::vector<std::string> coil{"pickup, volume, cable, input",
                                    "v1 e 0 sin(0 1 440)",
                                    "v2 f e sin(0 0.5 2500)",
                                    "r1 f a 6k",
                                    "l1 a b 2.2",
                                    "l2 b w 0.5",
                                    "re b w 20k",
                                    "cw w 0 120p",
                                    "rt w u 250k",
                                    "ct u 0 22n"};
const std::vector<std::string> rest{"cl out 0 600p", "ri out 0 1meg",
                                    ".options method=trap reltol=1e-6 abstol=1e-15 vntol=1e-9",
                                    ".tran 1u 6m 0 1u uic", ".end"};

source circuit_of(resistance upper, resistance lower) {
  const one_port legs[2] = {one_port(upper).named("upper"), one_port(lower).named("lower")};
  return magnetic_coil{
             .inductance = 2.2_H, .resistance = 6_kOhm, .capacitance = 120_pF, .eddy = {{{0.5_H, 20_kOhm}}}} |
         in_shunt(series(250_kOhm, 22_nF)) | in_series(legs[0]) | in_shunt(legs[1]) | in_shunt(600_pF) |
         in_shunt(1_MOhm);
}

std::vector<std::string> deck(const std::vector<std::string>& middle) {
  std::vector<std::string> lines = coil;
  lines.insert(lines.end(), middle.begin(), middle.end());
  lines.insert(lines.end(), rest.begin(), rest.end());
  return lines;
}

std::vector<double> samples() {
  std::vector<double> x(static_cast<std::size_t>(length * rate) + 2);
  for (std::size_t i = 0; i < x.size(); ++i) x[i] = played(static_cast<double>(i) / rate);
  return x;
}

} // namespace

TEST_CASE("values fixed") {
  for (const double upper : {2., 60e3, 240e3}) {
    CAPTURE(upper);
    const double lower = 250e3 - upper;
    const trace theirs =
        transient(deck({"ru w out " + std::to_string(upper), "rl out 0 " + std::to_string(lower)}));
    REQUIRE(theirs.time.size() > 1000);
    const source s = circuit_of(from_si<resistance>(upper), from_si<resistance>(lower));
    moving_filter filter(s, from_si<frequency>(rate), std::initializer_list<value_range>{});
    std::vector<double> x = samples();
    filter.process(std::span<double>(x));
    CHECK(worst(theirs, x) < 3e-4); // 1 µs steps of the solver, a straight line between our samples
  }
}

TEST_CASE("a volume that jumps from half to full and to zero") {
  // Switches beside resistors: full from 2 ms, zero from 4 ms. The solver's switch takes 10 ns.
  const trace theirs = transient(deck(
      {"ru w out 125k", "su w out c1 0 to_full", "vc1 c1 0 pulse(0 1 2m 10n 10n 2m 1)", "rl out 0 125k",
       "sl out 0 c2 0 to_zero", "vc2 c2 0 pulse(0 1 4m 10n 10n 1 2)",
       ".model to_full sw(vt=0.5 vh=0 ron=2 roff=1e12)", ".model to_zero sw(vt=0.5 vh=0 ron=2 roff=1e12)"}));
  REQUIRE(theirs.time.size() > 1000);
  const source s = circuit_of(125_kOhm, 125_kOhm);
  const value_range upper = s.range("upper"), lower = s.range("lower");
  moving_filter filter(s, from_si<frequency>(rate), {upper, lower});
  std::vector<double> x = samples();
  // A sample that ends at t has the resistances that held until then.
  const auto first = static_cast<std::size_t>(2e-3 * rate) + 1,
             second = static_cast<std::size_t>(4e-3 * rate) + 1;
  const std::span<double> all(x);
  filter.process(all.first(first));
  filter.rewrite(upper, 0, 1 / (1 / 2. + 1 / 125e3));
  filter.process(all.subspan(first, second - first));
  filter.rewrite(upper, 0, 125e3);
  filter.rewrite(lower, 0, 1 / (1 / 2. + 1 / 125e3));
  filter.process(all.subspan(second));
  // In the two samples after a jump a straight line is not what happens.
  trace apart;
  for (std::size_t i = 0; i < theirs.time.size(); ++i) {
    const double t = theirs.time[i];
    const auto since = [t](double jump) { return (t - jump) * rate; };
    const bool jumping = (since(2e-3) > -1 && since(2e-3) < 20) || (since(4e-3) > -1 && since(4e-3) < 20);
    if (jumping) continue;
    apart.time.push_back(t);
    apart.volts.push_back(theirs.volts[i]);
  }
  CHECK(worst(apart, x) < 3e-3);
}
