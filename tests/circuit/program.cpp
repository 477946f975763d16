// SPDX-License-Identifier: BSL-1.0
#include <doctest/doctest.h>

#include <string>

#include <lodewire/circuit/join.hpp>
#include <lodewire/quantity/literals.hpp>

using namespace lodewire;
using namespace lodewire::literals;

namespace {

/// What the call throws, as text; empty where it throws nothing.
template <class Call>
std::string error_of(const Call& call) {
  try {
    call();
  } catch (const std::exception& e) {
    return e.what();
  }
  return {};
}

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// [1 V : 0 : 1] as a bare program.
circuit one_volt() {
  circuit c;
  emit(c, opcode::emf, {1.0});
  c.emfs.push_back("e");
  return c;
}

void mark(circuit& c, const std::string& name) {
  emit(c, opcode::terminals, {}, static_cast<std::uint8_t>(c.terminals.size()));
  c.terminals.push_back(name);
}

constexpr opcode every_opcode[] = {
    opcode::emf,         opcode::current_source, opcode::resistor,  opcode::inductor,
    opcode::capacitor,   opcode::power_law,      opcode::series_r,  opcode::series_l,
    opcode::series_c,    opcode::shunt_r,        opcode::shunt_l,   opcode::shunt_c,
    opcode::join_series, opcode::join_parallel,  opcode::reverse,   opcode::emf_filter,
    opcode::buffer,      opcode::chain,          opcode::coil_pair, opcode::terminals};

} // namespace

TEST_CASE("every opcode says how many values it reads and what it does to the stack") {
  const std::size_t values[] = {1, 1, 1, 1, 1, 2, 1, 1, 1, 1, 1, 1, 0, 0, 0, 2, 1, 15, 4, 0};
  const int effect[] = {1, 1, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, -1, -1, 0, 0, -2, 0, -3, 0};
  const std::size_t emfs[] = {1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 2, 0};
  std::size_t i = 0;
  for (const opcode op : every_opcode) {
    CAPTURE(i);
    CHECK(static_cast<std::size_t>(op) == i);
    CHECK(value_count(op) == values[i]);
    CHECK(stack_effect(op) == effect[i]);
    CHECK(emf_count(op) == emfs[i]);
    ++i;
  }
}

TEST_CASE("emit gives each instruction the slot where its values begin") {
  circuit c;
  emit(c, opcode::emf, {0.5});
  emit(c, opcode::series_r, {6e3});
  emit(c, opcode::reverse);
  emit(c, opcode::emf_filter, {1e-5, 1e-10});
  emit(c, opcode::shunt_c, {120e-12});
  emit(c, opcode::terminals, {}, 7);
  const instruction expected[] = {{opcode::emf, 0, 0},     {opcode::series_r, 0, 1},
                                  {opcode::reverse, 0, 2}, {opcode::emf_filter, 0, 2},
                                  {opcode::shunt_c, 0, 4}, {opcode::terminals, 7, 5}};
  REQUIRE(c.code.size() == 6);
  for (std::size_t i = 0; i < 6; ++i) CHECK(c.code[i] == expected[i]);
  CHECK(c.values == std::vector<double>{0.5, 6e3, 1e-5, 1e-10, 120e-12});
}

TEST_CASE("append moves slots, terminal pairs and ranges up behind those that are there") {
  circuit a = one_volt();
  emit(a, opcode::series_r, {10.0});
  mark(a, "neck");
  a.ranges.push_back({"first", {1, 1}});
  circuit b = one_volt();
  b.emfs[0] = "f";
  emit(b, opcode::chain, {1, 0, 0, 20, 0, 0, 0, 0, 0, 1, 0, 0, 1, 0, 0});
  mark(b, "middle");
  emit(b, opcode::shunt_c, {30.0});
  mark(b, "bridge");
  b.ranges.push_back({"matrix", {1, 15}});
  b.ranges.push_back({"last", {16, 1}});

  circuit joined = a;
  append(joined, b);
  REQUIRE(joined.code.size() == a.code.size() + b.code.size());
  CHECK(joined.values.size() == a.values.size() + b.values.size());
  for (std::size_t i = 0; i < b.code.size(); ++i) {
    const instruction was = b.code[i], is = joined.code[a.code.size() + i];
    CHECK(is.op == was.op);
    CHECK(is.slot == was.slot + 2);
    if (was.op != opcode::terminals) CHECK(is.mode == was.mode);
    for (std::size_t k = 0; k < value_count(was.op); ++k)
      CHECK(joined.values[is.slot + k] == b.values[was.slot + k]);
  }
  CHECK(joined.terminals == std::vector<std::string>{"neck", "middle", "bridge"});
  std::vector<int> marks;
  for (const instruction i : joined.code)
    if (i.op == opcode::terminals) marks.push_back(i.mode);
  CHECK(marks == std::vector<int>{0, 1, 2});
  CHECK(joined.emfs == std::vector<std::string>{"e", "f"});
  REQUIRE(joined.ranges.size() == 3);
  CHECK(joined.ranges[0] == named_range{"first", {1, 1}});
  CHECK(joined.ranges[1] == named_range{"matrix", {3, 15}});
  CHECK(joined.ranges[2] == named_range{"last", {18, 1}});
  CHECK(joined.values[18] == 30.0);
}

TEST_CASE("append leaves an immediate that is no terminal pair alone") {
  circuit a = one_volt();
  mark(a, "a");
  circuit b;
  for (int i = 0; i < 4; ++i) emit(b, opcode::resistor, {1.0});
  emit(b, opcode::coil_pair, {0, 0, 1, 1}, static_cast<std::uint8_t>(pair_output::first));
  append(a, b);
  CHECK(a.code.back().mode == static_cast<std::uint8_t>(pair_output::first));
  CHECK(a.code.back().slot == 5);
}

TEST_CASE("a circuit appended to nothing is itself, and appending is associative") {
  circuit a = one_volt(), b, c;
  mark(a, "p");
  emit(b, opcode::shunt_r, {2.0});
  b.ranges.push_back({"r", {0, 1}});
  emit(c, opcode::series_l, {3.0});
  circuit empty;
  append(empty, a);
  CHECK(empty == a);
  circuit left = a;
  append(left, b);
  append(left, c);
  circuit right = b;
  append(right, c);
  circuit all = a;
  append(all, right);
  CHECK(left == all);
}

TEST_CASE("limits: 65535 values, 255 terminal pairs") {
  circuit c;
  for (int i = 0; i < 4369; ++i) emit(c, opcode::chain, {1, 0, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 1, 0, 0});
  REQUIRE(c.values.size() == 65535);
  CHECK(c.code.back().slot == 65520);
  emit(c, opcode::reverse); // reads none, so it may stand at the very end
  CHECK(c.code.back().slot == 65535);
  CHECK_THROWS_AS(emit(c, opcode::series_r, {1.0}), std::length_error);
  CHECK(c.code.size() == 4370);

  circuit small;
  emit(small, opcode::resistor, {1.0});
  circuit to = c;
  CHECK_THROWS_AS(append(to, small), std::length_error);
  CHECK(to == c); // a failed append leaves nothing behind
  to = small;
  CHECK_THROWS_AS(append(to, c), std::length_error);
  CHECK(to == small);
  CHECK(contains(error_of([&] { append(to, c); }), "65535"));
  circuit nothing;
  append(nothing, c);
  CHECK(nothing == c);

  circuit marked;
  for (int i = 0; i < 255; ++i) mark(marked, std::to_string(i));
  circuit one;
  mark(one, "one more");
  CHECK_THROWS_AS(append(marked, one), std::length_error);
  CHECK(contains(error_of([&] { append(marked, one); }), "255"));
  circuit fewer;
  for (int i = 0; i < 254; ++i) mark(fewer, std::to_string(i));
  append(fewer, one);
  CHECK(fewer.code.back().mode == 254);
}

TEST_CASE("ill-formed programs are refused, each for its reason") {
  const auto refused = [](const circuit& c, const char* part) {
    const std::string text = error_of([&] { (void)source(c); });
    CAPTURE(text);
    return contains(text, "source: the program") && contains(text, part);
  };
  CHECK(refused(circuit{}, "one entry"));

  circuit two = one_volt();
  emit(two, opcode::resistor, {1.0});
  CHECK(refused(two, "one entry"));

  for (const opcode op : every_opcode) { // the stack is too short for it
    const int takes = op == opcode::coil_pair ? 4 : stack_effect(op) == 1 ? 0 : 1 - stack_effect(op);
    if (takes < 2) continue;
    CAPTURE(static_cast<int>(op));
    circuit c = one_volt();
    for (int i = 2; i < takes; ++i) emit(c, opcode::resistor, {1.0});
    c.code.push_back({op, 0, 0});
    c.values.resize(20);
    CHECK(refused(c, "reads what is not there"));
  }
  for (const opcode op : every_opcode) { // its values are not there
    if (value_count(op) == 0) continue;
    circuit c = one_volt();
    for (int i = 0; i < 3; ++i) emit(c, opcode::resistor, {1.0});
    c.code.push_back({op, 0, static_cast<std::uint16_t>(c.values.size() + 1 - value_count(op))});
    if (value_count(op) > c.values.size()) c.code.back().slot = 0;
    CHECK(refused(c, "reads what is not there"));
  }
  circuit nameless = one_volt();
  nameless.emfs.clear();
  CHECK(refused(nameless, "one name for each EMF"));
  circuit named_twice = one_volt();
  named_twice.emfs.push_back("another");
  CHECK(refused(named_twice, "one name for each EMF"));
  circuit unmarked = one_volt();
  emit(unmarked, opcode::terminals);
  CHECK(refused(unmarked, "one name for each terminal pair"));

  CHECK_THROWS_AS(one_port{one_volt()}, std::invalid_argument);
  CHECK(contains(error_of([] { (void)one_port(one_volt()); }), "one_port: the program has an EMF"));
  circuit passive;
  emit(passive, opcode::resistor, {1.0});
  CHECK_NOTHROW(one_port{passive});
  CHECK(contains(error_of([&] { (void)source(passive); }), "source: the program has no EMF"));
  CHECK_THROWS_AS(stage{passive}, std::invalid_argument); // leaves two entries
  circuit through;
  emit(through, opcode::series_r, {1.0});
  CHECK_NOTHROW(stage{through});
  CHECK_NOTHROW(stage{circuit{}}); // nothing in between
  CHECK_THROWS_AS(one_port{through}, std::invalid_argument);
  CHECK_THROWS_AS(source{through}, std::invalid_argument);
}

TEST_CASE("what no evaluation gives a meaning is refused too") {
  const auto text_of = [](const circuit& c) { return error_of([&] { (void)source(c); }); };

  circuit unknown = one_volt();
  unknown.code.push_back({static_cast<opcode>(20), 0, 0});
  CHECK(contains(text_of(unknown), "source: the program"));

  circuit output; // a coil pair has three outputs
  for (int i = 0; i < 4; ++i) emit(output, opcode::resistor, {1e3});
  emit(output, opcode::coil_pair, {0, 0, 1, 1}, 3);
  output.emfs = {"a", "b"};
  CHECK(contains(text_of(output), "source: the program"));
  output.code.back().mode = 2;
  CHECK(text_of(output).empty());

  // An EMF inside an operand that stands for an impedance would be lost, or count as its neighbour's.
  for (int place = 0; place < 4; ++place) {
    CAPTURE(place);
    circuit c;
    for (int i = 0; i < 4; ++i) {
      if (i == place)
        emit(c, opcode::emf, {1.0});
      else
        emit(c, opcode::resistor, {1e3});
      if (i == place) emit(c, opcode::series_r, {1e3});
    }
    emit(c, opcode::coil_pair, {0, 0, 1, 1});
    c.emfs = {"inside", "a", "b"};
    CHECK(contains(text_of(c), "source: the program"));
  }
  for (const bool at_input : {false, true}) {
    circuit c = one_volt();
    emit(c, opcode::series_r, {1e3});
    if (at_input) emit(c, opcode::emf, {1.0});
    emit(c, at_input ? opcode::series_r : opcode::resistor, {1e3});
    if (!at_input) emit(c, opcode::emf, {1.0});
    emit(c, at_input ? opcode::resistor : opcode::series_r, {1e3});
    emit(c, opcode::buffer, {1.0});
    c.emfs.push_back("inside");
    CHECK(contains(text_of(c), "source: the program"));
  }
  circuit filtered = one_volt();
  emit(filtered, opcode::emf_filter, {1e-5, 0}, 2);
  CHECK(contains(text_of(filtered), "source: the program"));
  filtered.code.back().mode = 1;
  CHECK(text_of(filtered).empty());
  // A stage may not eat the source as the winding of a pair.
  circuit eater;
  for (int i = 0; i < 3; ++i) emit(eater, opcode::resistor, {1e3});
  emit(eater, opcode::coil_pair, {0, 0, 1, 1});
  eater.emfs = {"a", "b"};
  CHECK_THROWS_AS(stage{eater}, std::invalid_argument);

  // Terminals are those of a source, each name stands at one place, and they are numbered as they come.
  circuit bare;
  emit(bare, opcode::resistor, {1e3});
  mark(bare, "bare");
  CHECK_THROWS_AS(one_port{bare}, std::invalid_argument);
  circuit missing = one_volt();
  missing.terminals.push_back("nowhere");
  CHECK(contains(text_of(missing), "source: the program"));
  circuit twice = one_volt();
  mark(twice, "here");
  emit(twice, opcode::terminals);
  CHECK(contains(text_of(twice), "source: the program"));
  circuit swapped = one_volt();
  mark(swapped, "first");
  mark(swapped, "second");
  std::swap(swapped.code[1].mode, swapped.code[2].mode);
  CHECK(contains(text_of(swapped), "source: the program"));

  // A range past the values would let a knob write out of bounds.
  circuit outside = one_volt();
  outside.ranges.push_back({"knob", {0, 2}});
  CHECK(contains(text_of(outside), "source: the program"));
  outside.ranges[0].range = {1, 0};
  CHECK(text_of(outside).empty());
  outside.ranges[0].range = {65535, 1};
  CHECK(contains(text_of(outside), "source: the program"));
}

TEST_CASE("a circuit is a plain value") {
  const source a = ideal_emf(1_V) | in_series(6_kOhm) | in_shunt(120_pF);
  source b = a;
  CHECK(a == b);
  CHECK(b.as_circuit() == a.as_circuit());
  b.rewrite({1, 1}, 0, 7e3);
  CHECK(!(a == b));
  b.rewrite({1, 1}, 0, 6e3);
  CHECK(a == b);
  CHECK(!(a == (ideal_emf(1_V, "other name") | in_series(6_kOhm) | in_shunt(120_pF))));
  CHECK(one_port(1_kOhm) == one_port(1000_Ohm));
  CHECK(!(one_port(1_kOhm) == one_port(1001_Ohm)));
  CHECK(in_series(1_nF) == in_series(1_nF));
  CHECK(!(in_series(1_nF) == in_shunt(1_nF)));
  source moved = std::move(b);
  CHECK(moved == a);
}

TEST_CASE("a single part becomes one instruction, a compound one a push and a join") {
  const auto ops = [](const stage& s) {
    std::vector<opcode> out;
    for (const instruction i : s.as_circuit().code) out.push_back(i.op);
    return out;
  };
  using list = std::vector<opcode>;
  CHECK(ops(in_series(1_kOhm)) == list{opcode::series_r});
  CHECK(ops(in_series(1_H)) == list{opcode::series_l});
  CHECK(ops(in_series(1_nF)) == list{opcode::series_c});
  CHECK(ops(in_shunt(1_kOhm)) == list{opcode::shunt_r});
  CHECK(ops(in_shunt(1_H)) == list{opcode::shunt_l});
  CHECK(ops(in_shunt(1_nF)) == list{opcode::shunt_c});
  CHECK(ops(in_shunt(series(1_kOhm, 1_nF))) ==
        list{opcode::resistor, opcode::series_c, opcode::join_parallel});
  CHECK(ops(in_series(parallel(1_kOhm, 1_nF))) ==
        list{opcode::resistor, opcode::shunt_c, opcode::join_series});
  CHECK(ops(in_series(short_circuit())) == list{opcode::series_r});
  CHECK(ops(in_shunt(open_circuit())) == list{opcode::shunt_r});
  CHECK(ops(in_series(power_law(1_kOhm, 0.5))) == list{opcode::power_law, opcode::join_series});
  CHECK(ops(buffer(2, 1_MOhm, 1_kOhm)) == list{opcode::resistor, opcode::resistor, opcode::buffer});
  CHECK(ops(stage{} | in_series(1_H) | stage{}) == list{opcode::series_l});
}

TEST_CASE("names are found, unknown ones are answered with those that are there") {
  const source s = series(ideal_emf(1_V, "neck") | in_series(one_port(6_kOhm).named("winding")),
                          ideal_emf(2_V, "bridge") | in_series(one_port(7_kOhm).named("load"))) |
                   in_shunt(one_port(22_nF).named("load"));
  CHECK(s.emf("neck") == 0);
  CHECK(s.emf("bridge") == 1);
  CHECK(s.range("winding") == value_range{1, 1});
  const std::string unknown = error_of([&] { (void)s.emf("middle"); });
  CHECK(unknown == "EMF is 'middle'; allowed: one of 'neck', 'bridge'");
  CHECK_THROWS_AS((void)s.emf("Neck"), invalid_value);
  CHECK_THROWS_AS((void)s.emf(""), invalid_value);
  const std::string twice = error_of([&] { (void)s.range("load"); });
  CHECK(contains(twice, "'load'"));
  CHECK(contains(twice, "twice"));
  CHECK(contains(error_of([&] { (void)s.range("x"); }), "one of 'winding', 'load', 'load'"));
  CHECK(contains(error_of([&] { (void)s.terminals("x"); }), "nothing: this circuit names none"));
  try {
    (void)s.emf("middle");
    FAIL("unknown name found");
  } catch (const invalid_value& e) {
    CHECK(e.parameter() == "EMF");
  }
}

TEST_CASE("bad values are refused by name, value and range") {
  CHECK(contains(error_of([] { (void)one_port(-5_kOhm); }), "resistance is -5 kΩ; allowed: 0 Ω or more"));
  CHECK(contains(error_of([] { (void)one_port(-2_H); }), "inductance is -2 H; allowed: 0 H or more"));
  CHECK(contains(error_of([] { (void)one_port(-22_nF); }), "capacitance is -22 nF; allowed: 0 F or more"));
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  for (const double bad : {nan, infinity, -infinity}) {
    CHECK_THROWS_AS((void)one_port(resistance::from_value(bad)), invalid_value);
    CHECK_THROWS_AS((void)one_port(inductance::from_value(bad)), invalid_value);
    CHECK_THROWS_AS((void)one_port(capacitance::from_value(bad)), invalid_value);
    CHECK_THROWS_AS((void)ideal_emf(voltage::from_value(bad)), invalid_value);
    CHECK_THROWS_AS((void)ideal_current(current::from_value(bad)), invalid_value);
    CHECK_THROWS_AS((void)buffer(bad, 1_MOhm, 0_Ohm), invalid_value);
    CHECK_THROWS_AS((void)power_law(1_kOhm, bad), invalid_value);
    CHECK_THROWS_AS((void)power_law(resistance::from_value(bad), 0.5), invalid_value);
    CHECK_THROWS_AS((void)(stage(chain_matrix{.b = {bad, 0, 0}})), invalid_value);
    CHECK_THROWS_AS((void)(stage(chain_matrix{.delta = {1, 0, bad}})), invalid_value);
  }
  CHECK_THROWS_AS((void)power_law(0_Ohm, 0.5), invalid_value);
  CHECK_THROWS_AS((void)power_law(1_kOhm, 1.001), invalid_value);
  CHECK_THROWS_AS((void)power_law(1_kOhm, -1.001), invalid_value);
  CHECK_NOTHROW((void)power_law(1_kOhm, 1));
  CHECK_NOTHROW((void)power_law(1_kOhm, -1));
  CHECK_NOTHROW((void)one_port(0_Ohm));
  CHECK_NOTHROW((void)one_port(0_H));
  CHECK_NOTHROW((void)one_port(0_F));
  CHECK_NOTHROW((void)ideal_emf(-1_V));
}

TEST_CASE("assign rewrites a named part of the same unit and nothing else") {
  source s = ideal_emf(1_V) | in_series(one_port(6_kOhm).named("r")) | in_series(one_port(2_H).named("l")) |
             in_shunt(one_port(1_nF).named("c")) | in_shunt(series(1_kOhm, 1_nF).named("pair"));
  s.assign(s.range("r"), 7_kOhm);
  s.assign(s.range("l"), 3_H);
  s.assign(s.range("c"), 2_nF);
  CHECK(s == (ideal_emf(1_V) | in_series(one_port(7_kOhm).named("r")) | in_series(one_port(3_H).named("l")) |
              in_shunt(one_port(2_nF).named("c")) | in_shunt(series(1_kOhm, 1_nF).named("pair"))));
  const source before = s;
  CHECK_THROWS_AS(s.assign(s.range("r"), 1_H), invalid_value);
  CHECK_THROWS_AS(s.assign(s.range("l"), 1_F), invalid_value);
  CHECK_THROWS_AS(s.assign(s.range("c"), 1_Ohm), invalid_value);
  CHECK_THROWS_AS(s.assign(s.range("pair"), 1_Ohm), invalid_value);
  CHECK_THROWS_AS(s.assign({0, 1}, 1_Ohm), invalid_value); // the EMF
  CHECK_THROWS_AS(s.assign(s.range("r"), -1_Ohm), invalid_value);
  CHECK_THROWS_AS(s.assign(s.range("r"), resistance::from_value(std::numeric_limits<double>::quiet_NaN())),
                  invalid_value);
  CHECK_THROWS_AS(s.assign(s.range("c"), -1_pF), invalid_value);
  CHECK(s == before);
}

TEST_CASE("lists whose length is known at run time") {
  const std::vector<one_port> parts{1_kOhm, 2_H, 3_nF};
  CHECK(series(parts) == series(1_kOhm, 2_H, 3_nF));
  CHECK(parallel(parts) == parallel(1_kOhm, 2_H, 3_nF));
  const std::vector<source> sources{ideal_emf(1_V, "a") | in_series(1_kOhm), ideal_emf(2_V, "b")};
  CHECK(series(sources) == series(sources[0], sources[1]));
  CHECK(parallel(sources) == parallel(sources[0], sources[1]));
  CHECK(contains(error_of([] { (void)series(std::vector<one_port>{}); }), "series is a list of nothing"));
  CHECK_THROWS_AS((void)parallel(std::vector<one_port>{}), invalid_value);
  CHECK_THROWS_AS((void)series(std::vector<source>{}), invalid_value);
  CHECK_THROWS_AS((void)parallel(std::vector<source>{}), invalid_value);
  CHECK(series(std::vector<one_port>{1_kOhm}) == one_port(1_kOhm));
  CHECK(series(one_port(1_kOhm)) == one_port(1_kOhm));
}
