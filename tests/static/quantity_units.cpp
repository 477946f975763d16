// SPDX-License-Identifier: BSL-1.0
// What must not compile, and beside it what must: building this file is the test.
#include <concepts>
#include <string>
#include <string_view>

#include <lodewire/quantity/literals.hpp>
#include <lodewire/quantity/marking.hpp>
#include <lodewire/quantity/preferred_pair.hpp>

namespace {

using namespace lodewire;

template <class A, class B>
concept Addable = requires(A a, B b) {
  a + b;
};
template <class A, class B>
concept Subtractable = requires(A a, B b) {
  a - b;
};
template <class A, class B>
concept Multipliable = requires(A a, B b) {
  a* b;
};
template <class A, class B>
concept Dividable = requires(A a, B b) {
  a / b;
};
template <class A, class B>
concept Comparable = requires(A a, B b) {
  a < b;
};
template <class A, class B>
concept Equatable = requires(A a, B b) {
  a == b;
};
template <class From, class To>
concept Assignable = requires(From from, To to) {
  to = from;
};
template <class From, class To>
concept Converts = std::convertible_to<From, To>;

// A quantity takes its own unit only.
static_assert(Converts<resistance, resistance>);
static_assert(!Converts<capacitance, resistance>); // farads are no ohms
static_assert(!Converts<inductance, capacitance>); // nor henries farads
static_assert(!Converts<conductance, resistance>); // a conductance is the inverse, and has to be inverted
static_assert(!Converts<double, resistance>);      // a bare number has no unit
static_assert(!Converts<resistance, double>);      // and the number comes out by value() only
static_assert(Converts<length, length>);
static_assert(!Converts<duration, length>); // seconds are no metres
static_assert(!Assignable<double, length>); // an unnamed unit: metres or feet?
static_assert(Converts<capacitance_per_length, capacitance_per_length>);
static_assert(!Converts<capacitance, capacitance_per_length>); // the cable's length is missing
static_assert(!Converts<capacitance_per_length, capacitance>);
static_assert(!Converts<resistance_per_length, inductance_per_length>);

// Sums need like units.
static_assert(Addable<inductance, inductance>);
static_assert(!Addable<inductance, capacitance>); // henry plus farad is nothing
static_assert(!Addable<resistance, double>);      // 5 kΩ plus 3 what?
static_assert(!Addable<resistance, inductance>);  // R + jωL is the circuit's business
static_assert(Subtractable<voltage, voltage>);
static_assert(!Subtractable<voltage, current>);
static_assert(Comparable<frequency, frequency>);
static_assert(!Comparable<frequency, duration>); // a period is no frequency
static_assert(!Equatable<frequency, double>);

// Products make the unit that physics says.
template <class A, class B, class C>
concept Product_is = requires(A a, B b) {
  { a* b } -> std::convertible_to<C>;
};
static_assert(Product_is<resistance, capacitance, duration>);
static_assert(!Product_is<resistance, inductance, duration>); // L/R is the time, not L·R
static_assert(Product_is<capacitance_per_length, length, capacitance>);
static_assert(!Product_is<capacitance, length, capacitance>);
static_assert(Product_is<current, resistance, voltage>);
static_assert(!Product_is<current, conductance, voltage>);
static_assert(Product_is<double, resistance, resistance>); // scaling keeps the unit

// Levels are no numbers, and numbers no levels.
static_assert(std::constructible_from<decibel, double>); // on purpose
static_assert(!Converts<double, decibel>);               // but never by accident: ratio or level?
static_assert(!Converts<int, decibel>);
static_assert(!Converts<decibel, double>); // the number comes out by value() only
static_assert(!std::constructible_from<double, decibel>);
static_assert(!Assignable<double, decibel>);
static_assert(Addable<decibel, decibel>);
static_assert(!Addable<decibel, double>);
static_assert(Subtractable<decibel, decibel>);
static_assert(!Subtractable<double, decibel>);
static_assert(!Multipliable<decibel, decibel>); // ratios multiply, levels add
static_assert(!Dividable<decibel, decibel>);
static_assert(!Multipliable<decibel, double>); // half a level is no level of half the ratio
static_assert(Multipliable<resistance, double>);
static_assert(Comparable<decibel, decibel>);
static_assert(!Comparable<decibel, double>);
static_assert(!Equatable<decibel, double>);
static_assert(!Converts<voltage, decibel>); // a voltage is no ratio
static_assert(!std::invocable<decltype([](auto x) -> decltype(voltage_level(x)) { return voltage_level(x); }),
                              voltage>);
static_assert(
    std::invocable<decltype([](auto x) -> decltype(voltage_level(x)) { return voltage_level(x); }), double>);

// Readers and writers: for quantities that have a spelling, marking codes for parts that are marked.
template <class Q>
concept Readable = requires {
  read_quantity<Q>(std::string_view{});
};
template <class Q>
concept Read_as_marking = requires {
  read_marking<Q>(std::string_view{});
};
template <class Q>
concept Read_as_code = requires {
  read_three_digit_code<Q>(std::string_view{});
};
template <class Q>
concept Written_as_marking = requires(Q q) {
  write_marking(q);
};
template <class Q>
concept Writable = requires(Q q) {
  write_quantity(q);
};

static_assert(Readable<resistance> && Readable<capacitance_per_length> && Writable<resistance>);
static_assert(!Readable<double>);                       // a number has no unit to be read
static_assert(!Readable<impedance>);                    // a complex value has no marking
static_assert(!Readable<decltype(1.0 / length{})>);     // a unit without a name here
static_assert(!Readable<decibel> && !Writable<double>); // read_decibel; plain_number
static_assert(Read_as_marking<inductance> && Written_as_marking<inductance>);
static_assert(!Read_as_marking<frequency> && !Written_as_marking<frequency>); // nothing is marked 4k7 hertz
static_assert(Read_as_code<resistance> && Read_as_code<capacitance>);
static_assert(!Read_as_code<inductance>); // in µH for some, in nH for others

// Preferred values: any quantity; pairs: what adds in series or in parallel.
template <class Q>
concept Snaps = requires(Q q) {
  nearest(e_series::e24, q);
};
template <class Q>
concept Pairs = requires(Q q) {
  best_pair_in_series(e_series::e24, q);
  best_pair_in_parallel(e_series::e24, q);
};
template <class A, class B>
concept Ranges = requires(A a, B b) {
  all_in_range(e_series::e24, a, b);
};
static_assert(Snaps<resistance> && Snaps<capacitance_per_length>);
static_assert(!Snaps<double>);  // a preferred value of what?
static_assert(!Snaps<decibel>); // levels are not in ratios
static_assert(Pairs<resistance> && Pairs<inductance> && Pairs<capacitance>);
static_assert(!Pairs<frequency>); // two frequencies are not joined
static_assert(Ranges<resistance, resistance>);
static_assert(!Ranges<resistance, capacitance>); // from ohms to farads

// Tolerances apply to the part's own quantity.
template <class Q>
concept Toleranced = requires(Q q, tolerance t) {
  t.lowest(q);
};
static_assert(Toleranced<resistance>);
static_assert(!Toleranced<decibel>);

} // namespace
