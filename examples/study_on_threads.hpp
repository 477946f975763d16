// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <atomic>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <string>
#include <thread>
#include <vector>

#include <unistd.h>

#include <lodewire/analysis/study.hpp>

namespace examples {

inline volatile std::sig_atomic_t interrupted = 0;
extern "C" inline void note_interrupt(int) { interrupted = 1; }

/// `[######----]  60 %` on a terminal, in place.
inline void draw_bar(double part) {
  constexpr std::size_t width = 40;
  const auto full = static_cast<std::size_t>(part * width);
  std::fprintf(stderr, "\r[%s%s] %3.0f %%", std::string(full, '#').c_str(),
               std::string(width - full, '-').c_str(), 100 * part);
  std::fflush(stderr);
}

/// All builds on some threads, each with a shard and a tally of its own; the tallies merge to the same on any number of
/// threads. Shows a progress bar where standard error is a terminal. An interrupt (Ctrl-C) ends it early: the tally says
/// how many builds there are.
[[nodiscard]] inline lodewire::study_tally run_on_threads(const lodewire::study& of, std::uint64_t builds,
                                                          std::size_t threads) {
  const bool show = ::isatty(STDERR_FILENO) != 0;
  std::vector<lodewire::study_tally> tallies(threads, of.tally());
  std::vector<std::atomic<std::uint64_t>> done(threads);
  std::atomic<std::size_t> running = threads;
  const auto before = std::signal(SIGINT, note_interrupt);
  std::vector<std::thread> workers;
  for (std::size_t k = 0; k < threads; ++k)
    workers.emplace_back([&, k] {
      of.run(k * builds / threads, (k + 1) * builds / threads, tallies[k], [&](std::uint64_t n) {
        done[k] = n;
        return interrupted == 0;
      });
      --running;
    });
  while (show && running > 0) {
    std::uint64_t sum = 0;
    for (const auto& n : done) sum += n;
    draw_bar(static_cast<double>(sum) / static_cast<double>(builds));
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  for (std::thread& w : workers) w.join();
  std::signal(SIGINT, before);
  if (show) std::fputs("\r\x1b[K", stderr); // the line empty again
  for (std::size_t k = 1; k < threads; ++k) tallies[0].merge(tallies[k]);
  return tallies[0];
}

} // namespace examples
