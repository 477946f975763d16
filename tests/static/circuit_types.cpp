// SPDX-License-Identifier: BSL-1.0
// What composes and what does not: each refusal stands beside what is accepted, with the reason.
#include <complex>

#include <lodewire/lodewire.hpp>

using namespace lodewire;
using namespace lodewire::literals;

namespace {

template <class A, class B>
concept Pipes = requires(const A& a, const B& b) {
  a | b;
};
template <class... T>
concept InSeries = requires(const T&... t) {
  series(t...);
};
template <class T>
concept SeriesArm = requires(const T& t) {
  in_series(t);
};
template <class T>
concept Reverses = requires(const T& t) {
  reversed(t);
};

static_assert(Pipes<source, stage>);
static_assert(!Pipes<source, one_port>); // a bare one-port has no place: in series or across?
static_assert(!Pipes<source, resistance>);
static_assert(Pipes<magnetic_coil, cable>);
static_assert(!Pipes<cable, magnetic_coil>);  // signal flows from left to right
static_assert(Pipes<stage, stage>);           // a stage may be composed before a source is there
static_assert(!Pipes<one_port, stage>);       // nothing drives it
static_assert(!Pipes<source, source>);        // joined how? series(...) or parallel(...) says it
static_assert(!Pipes<source, potentiometer>); // wired how? as_divider(...) says it

static_assert(InSeries<resistance, capacitance>);
static_assert(!InSeries<>); // nothing in series is nothing
static_assert(InSeries<one_port, source>);
static_assert(!InSeries<one_port, stage>); // a stage has two ends
static_assert(!InSeries<resistance, frequency>);
static_assert(!InSeries<resistance, double>); // a number without a unit is no part

static_assert(SeriesArm<resistance> && SeriesArm<inductance> && SeriesArm<capacitance> &&
              SeriesArm<capacitor>);
static_assert(!SeriesArm<conductance> && !SeriesArm<voltage> && !SeriesArm<double> && !SeriesArm<source>);

static_assert(Reverses<source> && Reverses<magnetic_coil>);
static_assert(!Reverses<stage> && !Reverses<one_port>); // only what has a polarity can turn it

static_assert(!std::is_convertible_v<one_port, source>); // no EMF
static_assert(!std::is_convertible_v<circuit, source>);  // a raw program has to be checked: explicit
static_assert(std::is_constructible_v<source, circuit>);

// The algebra runs in a constant expression: 27 kΩ beside 500 kΩ is 25.616… kΩ.
constexpr double ohms(const one_port& z) {
  using system = complex_system<double>;
  const circuit& c = z.as_circuit();
  workspace<system> room(c.code);
  machine<system, double> m(system({0, 1e4}), c.values.data(), room);
  run(c.code, m);
  return (m.n() / m.d()).re * scale::ohm;
}
static_assert(ohms(parallel(27_kOhm, 500_kOhm)) > 25616.69829 &&
              ohms(parallel(27_kOhm, 500_kOhm)) < 25616.69830);
static_assert(ohms(series(27_kOhm, 500_kOhm)) > 526999.999 && ohms(series(27_kOhm, 500_kOhm)) < 527000.001);

// A circuit moves without throwing; so do its faces.
static_assert(std::is_nothrow_move_constructible_v<circuit> && std::is_nothrow_move_constructible_v<source> &&
              std::is_nothrow_move_assignable_v<source>);

} // namespace
