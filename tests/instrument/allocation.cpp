// SPDX-License-Identifier: BSL-1.0
// A knob that turns under a player's hand allocates nothing, in any position, nor does the curve that follows.
#include <doctest/doctest.h>

#include <utility>

#include <lodewire/analysis/grid.hpp>
#include <lodewire/instrument/live_instrument.hpp>

#include "../counted_new.hpp"
#include "nodes.hpp"

using namespace demo;

static_assert(noexcept(std::declval<live_instrument&>().turn(std::size_t{},
                                                             std::declval<const rotation&>())));
static_assert(noexcept(std::declval<live_instrument&>().response(std::size_t{})));
static_assert(noexcept(std::declval<live_instrument&>().responses(std::size_t{}, std::span<const double>{},
                                                                  std::span<std::complex<double>>{})));

TEST_CASE("turning and drawing allocate nothing; only positions with that knob are composed again") {
  const void* volatile seen = nullptr; // or a compiler may leave the allocation out
  CHECK(allocations_of([&] {
          const std::vector<double> v(3);
          seen = v.data();
        }) == 1);
  live_instrument live(two_pickups(), {});
  const std::vector<double> hz = log_grid(20_Hz, 20_kHz, 300);
  std::vector<double> re(hz.size()), im(hz.size());
  const rotation stops[] = {knob(0), knob(3), knob(10)};
  CHECK(allocations_of([&] {
          for (const rotation to : stops)
            for (std::size_t control = 0; control < 3; ++control) {
              live.turn(control, to);
              for (std::size_t p = 0; p < 3; ++p) live.response(p).evaluate(hz, re, im);
            }
        }) == 0);

  // A position without the knob keeps its response, where it is and what it says.
  const transfer_function before = live.response(2);
  const transfer_function* const place = &live.response(2);
  live.turn(0, knob(7));
  CHECK(&live.response(2) == place);
  CHECK(live.response(2) == before);
  const transfer_function neck = live.response(0);
  live.turn(0, knob(4));
  CHECK(!(live.response(0) == neck));
}

TEST_CASE("neither does a position that goes by its nodes: turned, drawn, its resonance found") {
  live_instrument live(bridged(), {});
  const std::vector<double> hz = log_grid(20_Hz, 20_kHz, 50);
  std::vector<std::complex<double>> before(hz.size()), out(hz.size());
  const rotation stops[] = {knob(0), knob(3), knob(10)};
  double peaks = 0;
  CHECK(allocations_of([&] {
          for (const rotation to : stops)
            for (std::size_t control = 0; control < 3; ++control) {
              live.turn(control, to);
              for (std::size_t p = 0; p < 3; ++p) {
                live.responses(p, hz, out);
                peaks += live.peak(p).level.value();
              }
            }
        }) == 0);
  CHECK(is_finite(peaks));
  // A knob of another position changes nothing here.
  live.responses(0, hz, before);
  live.turn(2, knob(2));
  live.responses(0, hz, out);
  CHECK(out == before);
  live.turn(0, knob(2));
  live.responses(0, hz, out);
  CHECK(out != before);
}
