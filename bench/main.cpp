// SPDX-License-Identifier: BSL-1.0
// Compares first, then times: all rows in one process, so that Google Benchmark can interleave ours and the peers'.
#include <cstdio>
#include <exception>

#include <benchmark/benchmark.h>

#include "agreement.hpp"

namespace {

bool all_agree() {
  bool good = true;
  for (const bench::agreement& a : bench::agreements()) {
    const double off = a.difference();
    const bool agrees = off <= a.bound;
    good = good && agrees;
    std::fprintf(stderr, "agree %-40s %8.1e  allowed %7.0e%s\n", a.name.c_str(), off, a.bound,
                 agrees ? "" : "  NO");
  }
  return good;
}

} // namespace

int main(int count, char** arguments) try {
  benchmark::Initialize(&count, arguments);
  if (benchmark::ReportUnrecognizedArguments(count, arguments)) return 2;
  if (!all_agree()) {
    std::fprintf(stderr, "What should be the same differs: nothing was timed\n");
    return 1;
  }
  benchmark::RunSpecifiedBenchmarks();
} catch (const std::exception& e) {
  std::fprintf(stderr, "%s\n", e.what());
  return 1;
}
