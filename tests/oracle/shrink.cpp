// SPDX-License-Identifier: BSL-1.0
// What shows a failure: that a shrunk circuit still fails, that nothing can be taken from it, that it can be read.
#include <doctest/doctest.h>

#include "answers.hpp"
#include "bench_circuit.hpp"

using namespace lodewire;
using namespace oracle;

namespace {

std::size_t count_of(const source& s, opcode op) {
  return static_cast<std::size_t>(std::count_if(s.as_circuit().code.begin(), s.as_circuit().code.end(),
                                                [op](instruction i) { return i.op == op; }));
}

} // namespace

TEST_CASE("only what the failure needs is left") {
  std::size_t tried = 0;
  for (std::uint64_t seed = 1; seed <= 400; ++seed) {
    bench on(seed);
    const source s = on.draw_up_to(12);
    if (count_of(s, opcode::reverse) == 0) continue;
    ++tried;
    const source least = shrunk(s, [](const source& less) { return count_of(less, opcode::reverse) > 0; });
    CAPTURE(listing(least.as_circuit()));
    CHECK(least.as_circuit().code.size() == 2); // and a source
    CHECK(least.as_circuit().values == std::vector<double>{0});
  }
  CHECK(tried > 50);
}

TEST_CASE("a failure in numbers: still there, and gone with anything else taken out") {
  // Fails where the response at 1 kHz lies over twice the EMF: a resonance or an amplifier.
  const double hz[] = {1000};
  const auto fails = [&](const source& s) {
    const answers a = by_point(s, hz);
    const double sum = std::abs(a.values[a.values.size() - 2]);
    const std::vector<double> e = emf_sizes(s.as_circuit());
    return !a.conflict && sum > 2 * std::accumulate(e.begin(), e.end(), 0.0);
  };
  std::size_t tried = 0;
  for (std::uint64_t seed = 1; seed <= 1000; ++seed) {
    bench on(seed);
    const source s = on.draw_up_to(12);
    if (!fails(s)) continue;
    ++tried;
    const source least = shrunk(s, fails);
    CAPTURE(listing(least.as_circuit()));
    CHECK(fails(least));
    CHECK(least.as_circuit().code.size() <= 8);
    for (const circuit& less : oracle::detail::smaller(least.as_circuit())) {
      bool still = false;
      try {
        still = fails(source(less));
      } catch (const std::exception&) { // no source any more
      }
      CHECK_FALSE(still);
    }
  }
  CHECK(tried > 10);
}

TEST_CASE("a coil pair that is beside the point becomes a coil") {
  circuit c;
  for (const double r : {1e3, 2e3}) emit(c, opcode::resistor, {r});
  for (const double f : {1e-10, 2e-10}) emit(c, opcode::capacitor, {f});
  emit(c, opcode::coil_pair, {0.1, 0, 1, 1});
  emit(c, opcode::series_r, {12345});
  c.emfs = {"one", "two"};
  const source least = shrunk(source(c), [](const source& s) { return count_of(s, opcode::series_r) > 0; });
  CHECK(listing(least.as_circuit()) == "  emf 1\n  series_r 0\n");
}

TEST_CASE("a listing has every digit, and operands stand indented") {
  circuit c;
  emit(c, opcode::emf, {0.1});
  emit(c, opcode::resistor, {open_value});
  emit(c, opcode::series_c, {1.2345678901234568e-10});
  emit(c, opcode::join_parallel);
  emit(c, opcode::emf_filter, {1e-6, 0}, 1);
  c.emfs = {"a"};
  CHECK(listing(c) == "  emf 0.1\n    resistor open\n    series_c 1.2345678901234568e-10\n  join_parallel\n"
                      "  emf_filter of EMF 1 1e-06 0\n");
}

TEST_CASE("the same seed, the same circuit; the next one, another") {
  CHECK(bench(7).draw_up_to(12) == bench(7).draw_up_to(12));
  CHECK(listing(bench(7).draw_up_to(12).as_circuit()) != listing(bench(8).draw_up_to(12).as_circuit()));
}
