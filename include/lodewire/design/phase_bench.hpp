// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>

#include <lodewire/parts/magnetic_coil.hpp>

/// Senses of a pickup found on the bench with a compass, a steel tool and a meter on its lowest dc range.
///
/// From first principles: the field of a pole that is north on top points up through the coil. Steel near the pole
/// raises the flux, pulled off it lets it fall. By Lenz's law the winding then drives a current that would hold the
/// flux up: counter-clockwise as seen from the strings (right-hand rule). Inside a winding that runs clockwise from its
/// start to its end that current flows from end to start, so that it leaves at the start: the start is positive, the
/// end negative. Each of south on top, counter-clockwise, swapped leads, steel brought near instead turns that sign:
///     sign of the hot end as steel is pulled off = -(winding × magnet × connection)
/// The test is common practice, no source. A slip in any one step turns the answer: confirm it with the pickups joined,
/// by ear or by meter, before anything is soldered for good.
namespace lodewire {

/// Which end of a compass needle turns to the top of the pole. The north-seeking one points to the north outdoors.
enum class needle_end : std::uint8_t { north_seeking, south_seeking };

/// The way the hot lead's voltage kicks against the ground lead's when a steel tool that lies on the poles is pulled
/// off. As it is laid on, it kicks the other way.
enum class kick : std::int8_t { positive = 1, negative = -1 };

/// Unlike poles attract: the north-seeking end turns to a south pole.
[[nodiscard]] constexpr magnet_sense magnet_from_compass(needle_end attracted) noexcept {
  return attracted == needle_end::north_seeking ? magnet_sense::south_up : magnet_sense::north_up;
}

/// How the winding runs from its start to its end, as seen from the strings. `connection`: normal where the meter's
/// ground lead is at the start.
[[nodiscard]] constexpr winding_sense
winding_from_kick(magnet_sense magnet, kick pulled_off,
                  coil_connection connection = coil_connection::normal) noexcept {
  return static_cast<winding_sense>(-static_cast<int>(pulled_off) * static_cast<int>(magnet) *
                                    static_cast<int>(connection));
}

/// What the needle does for a coil whose senses are known: the test of the above, and of a pickup's papers.
[[nodiscard]] inline kick kick_of(const magnetic_coil& coil) noexcept {
  return static_cast<kick>(-coil.string_sign());
}

/// With start and end unknown only the product counts, and that is enough: pickups whose kicks are alike are in phase
/// as measured, lead by lead; those with unlike poles too cancel hum.
[[nodiscard]] constexpr bool in_phase(kick a, kick b) noexcept { return a == b; }
[[nodiscard]] constexpr bool cancels_hum(kick a, magnet_sense of_a, kick b, magnet_sense of_b) noexcept {
  // Hum sense = connection × winding = -kick × magnet.
  return static_cast<int>(a) * static_cast<int>(of_a) != static_cast<int>(b) * static_cast<int>(of_b);
}

} // namespace lodewire
