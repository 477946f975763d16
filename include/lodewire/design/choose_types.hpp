// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <lodewire/design/alternatives.hpp>
#include <lodewire/design/wish.hpp>
#include <lodewire/instrument/instrument.hpp>

/// What `choose` takes and gives.
namespace lodewire {

/// An instrument, what is wanted of it, and what may be done to it.
struct choice_problem {
  instrument of{};
  destination into{};
  wish wanted{};
  std::vector<place> places{}; ///< one thing is done at each
  drawer from{};               ///< looked at where a part's values come from it
};

/// By what alternatives are put in order. Those that keep every hard limit come first, always.
enum class rank_by : std::uint8_t {
  nominal,    ///< the cost with every part at its value
  worst_case, ///< the greatest cost at the corners of the tolerances and at the values themselves
  yield,      ///< the share of builds that keep every limit, then the nominal cost
};

struct choose_settings {
  rank_by by = rank_by::nominal;
  std::size_t most = 5; ///< how many alternatives are given, 1 or more
  /// Combinations that are evaluated at the most, some microseconds each; more are refused with their count.
  std::uint64_t most_candidates = 2'000'000;
  std::size_t grid = 25;      ///< values of a part of any value from which the search starts, 2 or more
  std::size_t samples = 1000; ///< builds for a yield, 1 or more; each part uniform within its tolerance
  std::uint64_t seed = 1;
};

/// A part that was chosen.
struct fitted_part {
  stock_kind is = stock_kind::resistor;
  double value = 0; ///< Ω or F
  double tolerance = 0;
  [[nodiscard]] bool operator==(const fitted_part&) const = default;
};

/// What is done at one place.
struct choice {
  std::size_t way = 0; ///< number in the place's list
  std::vector<fitted_part> parts{};
  std::optional<taper> law{}; ///< of another potentiometer
  [[nodiscard]] bool operator==(const choice&) const = default;
};

/// What an alternative makes of one criterion.
struct criterion_outcome {
  double figure = 0; ///< in the goal's unit (`figure_unit`)
  double misfit = 0; ///< in dB or % (`misfit_unit`)
  double cost = 0;   ///< weight·misfit
  bool kept = true;  ///< the hard limit, if there is one
  /// The figure's ends over the corners of the tolerances; absent where more than `most_corner_parts` stray.
  std::optional<double> lowest{}, highest{};
};

/// Parts with a tolerance that corners are taken of: 2^12 corners.
inline constexpr std::size_t most_corner_parts = 12;

/// One way to do all of it.
struct alternative {
  std::vector<choice> choices{}; ///< one for each place
  std::vector<criterion_outcome> criteria{};
  double cost = 0;    ///< Σ weight·misfit
  double overrun = 0; ///< Σ of what lies over the limits, by weight (by 1 a dB, 0.1 a % where that is 0)
  std::size_t new_parts = 0;
  std::optional<double> worst_cost{}, worst_overrun{}; ///< over the corners; absent as above
  std::optional<double> yield{};                       ///< 0 to 1; absent without a limit
};

/// How sure it is that nothing better was left out.
enum class choice_proof : std::uint8_t {
  enumerated, ///< every combination was looked at
  bounded,    ///< combinations were left out only where a bound shows that they are worse
  /// As above over everything discrete on the grid; parts of any value were refined from the best grid points.
  refined,
};

struct choice_result {
  /// The best, at most `most`; where no alternative keeps every limit, the nearest misses.
  std::vector<alternative> best{};
  /// Others that are as good as the first (to 1e-9) and not among `best`; 100 of them at the most.
  std::vector<alternative> ties{};
  std::size_t as_good = 0; ///< how many of `best` and `ties` are as good as the first, the first counted
  bool met = false;        ///< the first keeps every limit
  alternative before{};    ///< the instrument as it is
  choice_proof proof = choice_proof::enumerated;
  std::uint64_t candidates = 0; ///< combinations of everything with everything
  std::uint64_t evaluated = 0;  ///< responses of how many combinations were looked at
  std::uint64_t impossible = 0; ///< of those: exclude each other, or need more parts than the drawer has
};

} // namespace lodewire
