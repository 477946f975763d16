// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <complex>
#include <cstring>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <benchmark/benchmark.h>
#include <ngspice/sharedspice.h>

/// The general-purpose circuit solver in this process, with one deck that ends in an `ac` line. It has one state: making
/// a second one removes the first one's deck.
namespace bench {

class spice {
public:
  /// Takes the deck in and parses it. Its output is the node "out". Throws `std::runtime_error` with what was said.
  explicit spice(std::vector<std::string> lines) {
    static std::string said;
    static const int ready =
        ngSpice_Init([](char* text, int, void*) { return said.append(text).append("\n"), 0; },
                     [](char*, int, void*) { return 0; }, [](int, NG_BOOL, NG_BOOL, int, void*) { return 0; },
                     nullptr, nullptr, [](NG_BOOL, int, void*) { return 0; }, nullptr);
    said_ = &said;
    said.clear();
    static bool loaded = false;
    if (ready != 0) fail("start");
    if (std::exchange(loaded, true)) command("remcirc");
    std::vector<char*> raw;
    for (std::string& line : lines) raw.push_back(line.data());
    raw.push_back(nullptr);
    if (ngSpice_Circ(raw.data()) != 0) fail("the deck");
  }

  /// The analysis of the deck: this alone is timed.
  void run() { command("run"); }
  /// What it found, of `count` points.
  [[nodiscard]] std::vector<std::complex<double>> output(std::size_t count) {
    std::string name = "out";
    const vector_info* v = ngGet_Vec_Info(name.data());
    if (v == nullptr || v->v_compdata == nullptr || v->v_length != static_cast<int>(count)) fail("no output");
    std::vector<std::complex<double>> out;
    for (std::size_t i = 0; i < count; ++i)
      out.emplace_back(v->v_compdata[i].cx_real, v->v_compdata[i].cx_imag);
    return out;
  }
  /// Forgets the results, which would pile up.
  void forget() { command("destroy all"); }

  void time(benchmark::State& state) {
    for (auto _ : state) {
      run();
      state.PauseTiming();
      forget();
      state.ResumeTiming();
    }
  }

private:
  void command(const char* text) {
    std::string line = text;
    if (ngSpice_Command(line.data()) != 0) fail(text);
  }
  [[noreturn]] void fail(const char* what) const {
    throw std::runtime_error(std::string("circuit solver, ") + what + ":\n" + *said_);
  }
  const std::string* said_ = nullptr;
};

} // namespace bench
