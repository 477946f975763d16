// SPDX-License-Identifier: BSL-1.0
// Circuits drawn at random, computed in every way that the library has, beside 50 digits. LODEWIRE_ORACLE_CIRCUITS and
// LODEWIRE_ORACLE_SEED say how many and which.
#include <doctest/doctest.h>

#include <chrono>
#include <cstdio>

#include "../circuit/many_digits.hpp"
#include "bench_circuit.hpp"
#include "by_netlist.hpp"

using namespace lodewire;
using namespace oracle;

namespace {

/// Of the sum of the magnitudes of the terms that make a result.
constexpr double limit = 1e-12;
constexpr std::size_t points = 6;

answers exactly(const source& s, std::span<const double> hz) {
  const circuit& c = s.as_circuit();
  const auto values = ways::truth::widened(c);
  answers a;
  for (const double f : hz) {
    const ways::truth exact(c, values, ways::jw(f));
    a.conflict = a.conflict || exact.status != circuit_status::ok;
    for (const ways::wide& h : exact.response) a.values.push_back(ways::narrow(h));
    a.values.push_back(ways::narrow(exact.sum));
    a.values.push_back(ways::narrow(exact.impedance));
  }
  return a;
}

enum { point, block, transfer_point, transfer_kernel, nodes, nodes_exactly, way_count };
constexpr const char* names[way_count] = {"(a) tree, complex numbers, point by point",
                                          "(a) tree, complex numbers, blocks",
                                          "(b) exact transfer function, by points",
                                          "(b) exact transfer function, kernel",
                                          "(c) netlist",
                                          "(c) netlist in 50 digits"};

/// One circuit in one way beside the truth. refused: how many the netlist did not take.
double add(worst_case& worst, std::uint64_t& refused, int way, const source& s, std::span<const double> hz,
           const answers& exact, const std::vector<double>& size, std::uint64_t seed) {
  switch (way) {
  case point: return worst.add(by_point(s, hz), exact, size, seed);
  case block: return worst.add(by_block(s, hz), exact, size, seed);
  case transfer_point: return worst.add(by_transfer(s, hz, false), exact, sizes(s, hz, true), seed);
  case transfer_kernel: return worst.add(by_transfer(s, hz, true), exact, sizes(s, hz, true), seed);
  default: break;
  }
  const std::vector<double> nodal_size = for_nodes(size, s.as_circuit(), 0);
  std::vector<double> rounding;
  const bool exactly_so = way == nodes_exactly;
  const answers is =
      exactly_so ? by_netlist<ways::digits>(s, hz, nullptr, 2 * boost::math::constants::pi<ways::digits>())
                 : by_netlist<double>(s, hz);
  if (is.refused && (is.conflict || !is_finite(exact.values.back()))) {
    refused += exactly_so ? 0U : 1U;
    return 0;
  }
  // Elimination rounds by more than the tree's terms where a large admittance hangs on a small one, or a source on a
  // large impedance: by how much, its own running bound says.
  if (!exactly_so) static_cast<void>(by_netlist<tracked>(s, hz, &rounding));
  return worst.add(is, exact, nodal_size, seed, rounding);
}

/// What many circuits showed.
struct findings {
  std::vector<worst_case> of_way{way_count, worst_case(limit)};
  std::uint64_t compared = 0, conflicts = 0, silent = 0, open = 0, values = 0, refused = 0, too_high = 0,
                failures = 0;
  std::vector<double> conditions; ///< terms over result, the largest of the sum of responses in each circuit
  double largest_condition = 0;
  std::uint64_t ill_seed = 0;
};

/// Compares all ways in one circuit, and shows the smallest one that fails like it.
void compare(findings& found, const source& s, std::span<const double> hz, std::uint64_t seed) {
  const answers exact = exactly(s, hz);
  const std::vector<double> size = sizes(s, hz);
  found.conflicts += exact.conflict ? 1U : 0U;
  if (!exact.conflict) {
    ++found.compared;
    found.values += size.size();
    const std::size_t each = s.emf_names().size() + 2;
    double condition = 0;
    for (std::size_t sum = each - 2; sum < size.size(); sum += each) {
      const double result = std::abs(exact.values[sum]);
      if (is_finite(exact.values[sum]) && result > 0) condition = std::max(condition, size[sum] / result);
    }
    found.silent += condition == 0 ? 1U : 0U;
    found.open += is_finite(exact.values.back()) ? 0U : 1U;
    if (condition > 0) found.conditions.push_back(condition);
    if (condition > found.largest_condition) {
      found.largest_condition = condition;
      found.ill_seed = seed;
    }
  }
  for (int way = 0; way < way_count; ++way) {
    double off = 0;
    try {
      off = add(found.of_way[static_cast<std::size_t>(way)], found.refused, way, s, hz, exact, size, seed);
    } catch (const capacity_exceeded&) { // more than a polynomial holds
      found.too_high += way == transfer_point ? 1U : 0U;
    }
    if (off <= limit || ++found.failures > 5) continue; // five are enough to read
    const std::string least = minimal_failure(s, limit, [&](const source& less) {
      worst_case one(limit);
      std::uint64_t refused = 0;
      return add(one, refused, way, less, hz, exactly(less, hz), sizes(less, hz), 0);
    });
    FAIL_CHECK(std::string(names[way])
               << ", seed " << seed << ", is " << off << " off; the least that fails is " << least);
  }
}

template <class... X>
std::string printed(const char* format, X... x) {
  char text[256];
  std::snprintf(text, sizeof text, format, x...);
  return text;
}

double median(std::vector<double> x) {
  std::sort(x.begin(), x.end());
  return x.empty() ? 0 : x[x.size() / 2];
}

} // namespace

TEST_CASE("circuits of 1 to 12 reactive parts, every way beside 50 digits") {
  const settings wanted;
  findings found;
  const auto start = std::chrono::steady_clock::now();
  std::uint64_t drawn = 0, with[5] = {}, too_large = 0;
  for (; found.compared < wanted.circuits && drawn < 2 * wanted.circuits; ++drawn) {
    bench on(wanted.seed + drawn);
    const source s = on.draw_up_to(12);
    const circuit& c = s.as_circuit();
    const std::size_t reactive = reactive_parts(c);
    too_large += reactive < 1 || reactive > 12 ? 1U : 0U;
    constexpr opcode kinds[] = {opcode::buffer, opcode::reverse, opcode::coil_pair, opcode::chain};
    for (std::size_t k = 0; k < 4; ++k)
      with[k] += std::any_of(c.code.begin(), c.code.end(), [&](instruction i) { return i.op == kinds[k]; })
                     ? 1U
                     : 0U;
    with[4] += c.emfs.size() > 1 ? 1U : 0U;
    compare(found, s, on.frequencies(points), wanted.seed + drawn);
  }
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  MESSAGE(found.compared << " circuits (seeds " << wanted.seed << " to " << wanted.seed + drawn - 1 << ", "
                         << found.conflicts << " more hold ideal sources against each other), "
                         << found.values << " values at " << points << " frequencies each, " << took.count()
                         << " s");
  MESSAGE("of these " << with[0] << " with a buffer, " << with[1] << " reversed, " << with[2]
                      << " with a coil pair, " << with[3] << " with a chain matrix, " << with[4]
                      << " with several EMFs; " << found.silent << " silent, " << found.open << " open, "
                      << found.refused << " refused by the netlist, " << found.too_high
                      << " of too high a degree for a transfer function");
  MESSAGE("sum of terms over the result: " << median(found.conditions) << " in the median circuit, "
                                           << found.largest_condition << " in the worst (seed "
                                           << found.ill_seed << ")");
  CHECK(found.compared == wanted.circuits);
  CHECK(too_large == 0);
  CHECK(found.refused + found.too_high <= wanted.circuits / 100 + 1);
  for (std::size_t w = 0; w < way_count; ++w) {
    MESSAGE(report(names[w], found.of_way[w]));
    const std::uint64_t left_out = w >= nodes ? found.refused : w >= transfer_point ? found.too_high : 0;
    CHECK(found.of_way[w].circuits() + left_out == drawn);
    CHECK(found.of_way[w].error() <= limit);
  }
}

TEST_CASE("5 to 40 reactive parts: how the error grows") {
  const settings wanted;
  const std::uint64_t circuits = std::max<std::uint64_t>(wanted.circuits / 20, 1);
  std::string table =
      "parts | condition, median | (a) terms, median, worst | (b) terms, median, worst, circuits | "
      "(c) terms, median, worst, past the limit\n";
  for (const std::size_t reactive : {5U, 10U, 15U, 20U, 25U, 30U, 35U, 40U}) {
    findings found;
    for (std::uint64_t seed = wanted.seed; seed < wanted.seed + circuits; ++seed) {
      bench on(seed);
      const source s = on.draw(reactive);
      CHECK(reactive_parts(s.as_circuit()) == reactive);
      compare(found, s, on.frequencies(points), seed);
    }
    const worst_case &a = found.of_way[block], &b = found.of_way[transfer_kernel], &c = found.of_way[nodes];
    table += printed("%zu | %.0f | %.1e, %.1e, %.1e | ", reactive, median(found.conditions), a.error(),
                     a.median(), a.relative());
    table += printed("%.1e, %.1e, %.1e, %zu | ", b.error(), b.median(), b.relative(), b.circuits());
    table += printed("%.1e, %.1e, %.1e, %zu\n", std::max(c.error(), c.largest_excused()), c.median(),
                     c.relative(), static_cast<std::size_t>(c.excused()));
    for (const worst_case& w : found.of_way) CHECK(w.error() <= limit);
  }
  MESSAGE(circuits << " circuits of each size\n" << table);
}
