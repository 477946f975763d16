// SPDX-License-Identifier: BSL-1.0
// Circuits drawn at random beside a general-purpose circuit solver (libngspice), in this process and without files.
// LODEWIRE_ORACLE_CIRCUITS and LODEWIRE_ORACLE_SEED say how many and which.
#include <doctest/doctest.h>

#include <chrono>
#include <cstdio>

#include "bench_circuit.hpp"
#include "spice.hpp"

using namespace lodewire;
using namespace oracle;

namespace {

/// Of the sum of the magnitudes of the terms that make a result and, since elimination rounds by the largest voltage in
/// a circuit, a hundred-thousandth of the EMF: what is more than 100 dB below its EMF is held to 1e-14 of that.
constexpr double limit = 1e-9, share = 1e-5;

/// Both ends of the band and what lies between; the inner edges move from circuit to circuit.
std::vector<band> bands(std::uint64_t seed) {
  ways::dice d(seed);
  const double one = d.spread(100, 300), two = d.spread(1e3, 3e3);
  return {{20, one}, {one * 1.1, two}, {two * 1.1, 20e3}};
}

/// The solver and the tree in one circuit. The tree's numbers are long double: truth.cpp holds those of double, which
/// are coarser, to 50 digits.
struct comparison {
  answers is, exact;
  std::vector<double> size;
  bool solvable;

  comparison(spice& solver, const source& s, std::uint64_t seed) {
    const std::vector<band> over = bands(seed);
    const std::vector<double> hz = oracle::frequencies(over);
    exact = by_point<long double>(s, hz);
    size = for_nodes(sizes(s, hz), s.as_circuit(), share);
    const std::size_t each = s.emf_names().size() + 2;
    solvable = !exact.conflict;
    for (std::size_t k = 0; k < size.size(); ++k)
      solvable = solvable && (k % each + 1 == each || oracle::is_finite(exact.values[k]));
    if (!solvable) return;
    is = solver.compute(s, over);
    // The impedance of an open: what the solver says there hangs on the node that the deck grounds.
    for (std::size_t k = each - 1; k < size.size(); k += each)
      if (!oracle::is_finite(exact.values[k])) is.values[k] = exact.values[k];
  }
  double off() const {
    worst_case one(limit);
    return solvable ? one.add(is, exact, size, 0) : 0;
  }
};

/// Megabytes that this process holds; 0 where the system does not tell.
double resident() {
  long pages = 0;
  if (std::FILE* f = std::fopen("/proc/self/statm", "r")) {
    if (std::fscanf(f, "%*d %ld", &pages) != 1) pages = 0;
    std::fclose(f);
  }
  return static_cast<double>(pages) * 4096 / 1e6;
}

struct findings {
  worst_case worst{limit};
  std::uint64_t unsolvable = 0, values = 0, failures = 0;
};

void compare(findings& found, spice& solver, const source& s, std::uint64_t seed) {
  std::string failure;
  try {
    const comparison with(solver, s, seed);
    found.unsolvable += with.solvable ? 0U : 1U;
    if (!with.solvable) return;
    found.values += with.size.size();
    if (found.worst.add(with.is, with.exact, with.size, seed) <= limit) return;
  } catch (const std::runtime_error& e) {
    failure = e.what() + listing(s.as_circuit());
  }
  if (++found.failures > 5) return; // five are enough to read
  if (failure.empty())
    failure =
        minimal_failure(s, limit, [&](const source& less) { return comparison(solver, less, seed).off(); });
  FAIL_CHECK("libngspice, seed " << seed << ": " << failure);
}

spice& solver() { // one a process: the library can not be started twice
  static spice s;
  return s;
}

} // namespace

TEST_CASE("circuits of 1 to 12 reactive parts beside libngspice") {
  const settings wanted;
  findings found;
  const double before = resident();
  const auto start = std::chrono::steady_clock::now();
  std::uint64_t drawn = 0;
  for (; found.worst.circuits() + found.failures < wanted.circuits && drawn < 2 * wanted.circuits; ++drawn) {
    bench on(wanted.seed + drawn);
    compare(found, solver(), on.draw_up_to(12), wanted.seed + drawn);
  }
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  MESSAGE(found.worst.circuits() << " circuits (seeds " << wanted.seed << " to " << wanted.seed + drawn - 1
                                 << ", " << found.unsolvable << " more without an answer), " << found.values
                                 << " values, " << took.count() << " s, " << resident() - before
                                 << " MB more than before");
  MESSAGE(report("(e) libngspice", found.worst));
  CHECK(found.failures == 0);
  CHECK(found.worst.circuits() == wanted.circuits);
  CHECK(found.worst.error() <= limit);
}

TEST_CASE("5 to 40 reactive parts beside libngspice: how the error grows") {
  const settings wanted;
  const std::uint64_t circuits = std::max<std::uint64_t>(wanted.circuits / 20, 1);
  for (const std::size_t reactive : {5U, 10U, 15U, 20U, 25U, 30U, 35U, 40U}) {
    findings found;
    for (std::uint64_t seed = wanted.seed; seed < wanted.seed + circuits; ++seed) {
      bench on(seed);
      compare(found, solver(), on.draw(reactive), seed);
    }
    MESSAGE(report(std::to_string(reactive) + " parts", found.worst));
    CHECK(found.failures == 0);
    CHECK(found.worst.circuits() + found.unsolvable == circuits);
  }
}
