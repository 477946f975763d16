// SPDX-License-Identifier: BSL-1.0
// One program of two units that were built for different machines: both give the same results, within rounding.
// Includes nothing of the library, and runs nothing of it before it knows the machine.
#include <cmath>
#include <cstddef>
#include <cstdio>

extern "C" std::size_t plain_results(double* out, std::size_t room);
extern "C" std::size_t wide_results(double* out, std::size_t room);

int main() {
  if (!__builtin_cpu_supports("avx2") || !__builtin_cpu_supports("fma") || !__builtin_cpu_supports("bmi2")) {
    std::puts("SKIPPED: this machine has no AVX2, FMA or BMI2, which one of the units was built for");
    return 0;
  }
  static double plain[4096], wide[4096];
  const std::size_t count = plain_results(plain, 4096);
  if (count < 800 || count == 4096 || wide_results(wide, 4096) != count) {
    std::puts("FAILED: the two units do not give the same number of results");
    return 1;
  }
  double worst = 0; // beside 1 or the value: volts for an EMF of 1 V, 100 kΩ, kHz, dB
  bool finite = true;
  for (std::size_t i = 2; i < count; ++i) {
    const double off = std::fabs(plain[i] - wide[i]) / (1 + std::fabs(plain[i]));
    finite = finite && off < 1e300;
    worst = std::fmax(worst, off);
  }
  std::printf("%zu results, %g and %g lanes, worst difference %.1e\n", count, plain[0], wide[0], worst);
  const bool holds = finite && worst <= 1e-12 && plain[0] == 2 && wide[0] == 4;
  if (!holds)
    std::puts("FAILED: not within rounding of each other, or not of the widths that were asked for");
  return holds ? 0 : 1;
}
