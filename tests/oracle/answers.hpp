// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <complex>
#include <numbers>
#include <numeric>
#include <span>
#include <sstream>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include <lodewire/circuit/complex_system.hpp>
#include <lodewire/circuit/composer.hpp>
#include <lodewire/circuit/evaluator.hpp>

#include "../circuit/sized_system.hpp"
#include "../draws.hpp"
#include "shrink.hpp"

/// What one way of computing says about a circuit, and how far two ways lie apart.
namespace oracle {

using complex = std::complex<double>;

/// How many circuits and from which seed on: LODEWIRE_ORACLE_CIRCUITS, LODEWIRE_ORACLE_SEED. The circuit of a seed that
/// a report names is drawn again, alone, by LODEWIRE_ORACLE_CIRCUITS=1 and that seed.
struct settings {
  std::uint64_t circuits = check::from_environment("LODEWIRE_ORACLE_CIRCUITS", check::draws(2000));
  std::uint64_t seed = check::from_environment("LODEWIRE_ORACLE_SEED", 1);
};

/// At each frequency in turn the response to each EMF, their sum and the output impedance in ohms. Not finite: there is
/// no number (an open).
struct answers {
  bool conflict = false;
  bool refused = false; ///< a question that this way does not take, though there is an answer
  std::vector<complex> values;
};

/// The sums of the terms' magnitudes, in the same order. over_one: of a sum that is brought over one denominator first.
[[nodiscard]] inline std::vector<double> sizes(const lodewire::source& s, std::span<const double> hz,
                                               bool over_one = false) {
  std::vector<double> all;
  for (const double f : hz) {
    const ways::term_sizes size(s.as_circuit(), f);
    all.insert(all.end(), size.response.begin(), size.response.end());
    all.push_back(over_one ? size.sum_over_one : size.sum);
    all.push_back(size.impedance);
  }
  return all;
}

/// What the EMFs of a program are, in its order, V; a current counts by what it makes across `scale::ohm`.
[[nodiscard]] inline std::vector<double> emf_sizes(const lodewire::circuit& c) {
  std::vector<double> e;
  for (const lodewire::instruction i : c.code)
    for (std::size_t k = 0; k < lodewire::emf_count(i.op); ++k) {
      const std::size_t first = i.op == lodewire::opcode::coil_pair ? 2 : 0;
      const double v = std::abs(c.values[i.slot + first + k]);
      e.push_back(i.op == lodewire::opcode::current_source ? v * lodewire::scale::ohm : v);
    }
  return e;
}

/// The measure for a solver of nodes. Where a short or an open keeps everything from the output the tree has no terms
/// at all, while such a solver finds what is left of currents that cancel: there the EMF itself is the measure (1 Ω for
/// an impedance). `share` of the EMF is added to every response: elimination rounds by the largest voltage of all.
[[nodiscard]] inline std::vector<double> for_nodes(std::vector<double> size, const lodewire::circuit& c,
                                                   double share) {
  std::vector<double> e = emf_sizes(c);
  e.push_back(std::accumulate(e.begin(), e.end(), 0.0));
  const std::size_t each = e.size() + 1;
  for (std::size_t k = 0; k < size.size(); ++k) {
    const bool is_impedance = k % each == e.size();
    const double own = is_impedance ? 1 : e[k % each];
    size[k] = !(size[k] > 0) ? own : is_impedance ? size[k] : size[k] + share * own;
  }
  return size;
}

/// The tree in complex numbers of kind C, one point after the other.
template <class C = double>
[[nodiscard]] answers by_point(const lodewire::source& s, std::span<const double> hz) {
  using system = lodewire::complex_system<C>;
  const lodewire::circuit& c = s.as_circuit();
  lodewire::workspace<system> room(c.code);
  answers a;
  const auto narrow = [](const auto& z) {
    return complex(static_cast<double>(z.re), static_cast<double>(z.im));
  };
  for (const double f : hz) {
    const C w = 2 * std::numbers::pi_v<C> * static_cast<C>(f);
    lodewire::machine<system, double> m(system({C(0), w}), c.values.data(), room);
    lodewire::run(c.code, m);
    a.conflict = a.conflict || m.status() != lodewire::circuit_status::ok;
    typename system::number sum;
    for (std::size_t k = 0; k < m.emfs(); ++k) {
      auto h = room.emf[k];
      if (!system::is_zero(h)) h = h / m.response_denominator(k);
      a.values.push_back(narrow(h));
      sum = sum + h;
    }
    a.values.push_back(narrow(sum));
    a.values.push_back(narrow(C(lodewire::scale::ohm) * m.n() / m.d()));
  }
  return a;
}

/// Fills in by quantity what `answers` keeps by frequency: ask(k, out) with k an EMF, `emfs` for the sum, `emfs` + 1 for
/// the impedance.
template <class Ask>
[[nodiscard]] answers by_quantity(const lodewire::source& s, std::span<const double> hz, const Ask& ask) {
  const std::size_t emfs = s.emf_names().size(), each = emfs + 2;
  answers a;
  a.values.resize(each * hz.size());
  std::vector<complex> out(hz.size());
  for (std::size_t k = 0; k < each; ++k) {
    a.conflict = ask(k, std::span(out)) || a.conflict;
    for (std::size_t i = 0; i < hz.size(); ++i) a.values[i * each + k] = out[i];
  }
  return a;
}

/// The tree in complex numbers, in blocks of frequencies.
[[nodiscard]] inline answers by_block(const lodewire::source& s, std::span<const double> hz) {
  const lodewire::circuit& c = s.as_circuit();
  lodewire::evaluator evaluate(c);
  const std::size_t emfs = s.emf_names().size();
  return by_quantity(s, hz, [&](std::size_t k, std::span<complex> out) {
    const auto met = k < emfs    ? evaluate.responses_to(c, k, hz, out)
                     : k == emfs ? evaluate.responses(c, hz, {}, out)
                                 : evaluate.impedances(c, hz, out);
    return met != lodewire::circuit_status::ok;
  });
}

/// The tree's exact transfer functions: one point after the other, or by their kernel for many.
[[nodiscard]] inline answers by_transfer(const lodewire::source& s, std::span<const double> hz,
                                         bool by_kernel) {
  const lodewire::circuit& c = s.as_circuit();
  lodewire::composer compose(c);
  const std::size_t emfs = s.emf_names().size();
  return by_quantity(s, hz, [&](std::size_t k, std::span<complex> out) {
    const lodewire::transfer_function h = k < emfs    ? compose.response(c, k)
                                          : k == emfs ? compose.response(c, std::span<const double>{})
                                                      : compose.impedance(c);
    if (by_kernel) {
      h.evaluate(hz, out);
    } else {
      for (std::size_t i = 0; i < hz.size(); ++i) out[i] = h(lodewire::frequency::from_value(hz[i]));
    }
    return compose.status() != lodewire::circuit_status::ok;
  });
}

[[nodiscard]] inline bool is_finite(complex z) {
  return lodewire::is_finite(z.real()) && lodewire::is_finite(z.imag());
}

/// A distance that no rounding explains.
inline constexpr double never = 1e300;

/// |is - exact| over the sum of the terms' magnitudes; `never` where only one of the two is a number.
[[nodiscard]] inline double distance(complex is, complex exact, double size) {
  if (!is_finite(is) || !is_finite(exact)) return is_finite(is) == is_finite(exact) ? 0 : never;
  const double off = std::abs(is - exact);
  return off == 0 ? 0 : size > 0 ? off / size : never;
}

/// The largest distance of one way from the truth, and where it was met.
class worst_case {
public:
  explicit worst_case(double limit) : limit_{limit} {}

  /// Gives the largest distance in this circuit. What lies past the limit but within `own`, a bound of what the way
  /// must round in this circuit, is counted apart.
  double add(const answers& is, const answers& exact, std::span<const double> size, std::uint64_t seed,
             std::span<const double> own = {}) {
    double here = is.conflict != exact.conflict || is.values.size() != exact.values.size() ? never : 0;
    double relative = 0;
    for (std::size_t k = 0; k < size.size() && !exact.conflict && here < never; ++k) {
      const double off = distance(is.values[k], exact.values[k], size[k]);
      if (off > limit_ && off < never && !own.empty() && lodewire::is_finite(own[k]) &&
          off * size[k] <= own[k]) {
        ++excused_;
        if (off > largest_excused_) {
          largest_excused_ = off;
          excused_seed_ = seed;
        }
        nearest_ = std::max(nearest_, off * size[k] / own[k]);
      } else {
        here = std::max(here, off);
      }
      // Beside the result itself, wherever it is a number other than 0.
      if (is_finite(exact.values[k]) && std::abs(exact.values[k]) > 0)
        relative = std::max(relative, std::abs(is.values[k] - exact.values[k]) / std::abs(exact.values[k]));
    }
    if (here > error_ || relative_.empty()) {
      error_ = here;
      seed_ = seed;
    }
    relative_.push_back(relative);
    return here;
  }
  [[nodiscard]] double error() const { return error_; }
  [[nodiscard]] double limit() const { return limit_; }
  [[nodiscard]] std::uint64_t seed() const { return seed_; }
  [[nodiscard]] std::size_t circuits() const { return relative_.size(); }
  /// Each circuit's largest error beside the result itself: that of the circuit in the middle, and of the worst.
  [[nodiscard]] double median() const { return quantile(0.5); }
  [[nodiscard]] double relative() const { return quantile(1); }
  /// How many values were past the limit but within the way's own rounding, and by how much.
  [[nodiscard]] std::uint64_t excused() const { return excused_; }
  [[nodiscard]] double largest_excused() const { return largest_excused_; }
  [[nodiscard]] std::uint64_t excused_seed() const { return excused_seed_; }
  /// How near one of these came to that rounding's bound, as a part of it.
  [[nodiscard]] double nearest() const { return nearest_; }

private:
  [[nodiscard]] double quantile(double part) const {
    if (relative_.empty()) return 0;
    std::vector<double> sorted = relative_;
    std::sort(sorted.begin(), sorted.end());
    return sorted[static_cast<std::size_t>(part * static_cast<double>(sorted.size() - 1))];
  }
  double limit_, error_ = 0, largest_excused_ = 0, nearest_ = 0;
  std::uint64_t seed_ = 0, excused_ = 0, excused_seed_ = 0;
  std::vector<double> relative_;
};

[[nodiscard]] inline std::string report(std::string_view way, const worst_case& w) {
  std::ostringstream text;
  text.precision(2);
  text << way << ": worst " << w.error() << " of the terms (seed " << w.seed() << "); of the result "
       << w.median() << " in the median circuit, " << w.relative() << " in the worst; " << w.circuits()
       << " circuits";
  if (w.excused() > 0)
    text << "; " << w.excused() << " values past " << w.limit() << " but within their own rounding, at most "
         << w.largest_excused() << " (seed " << w.excused_seed() << "), at most " << w.nearest()
         << " of the bound";
  return text.str();
}

/// For a circuit in which a way missed its limit: what is left of it after everything has been taken out that the
/// failure does not need.
template <class Distance>
[[nodiscard]] std::string minimal_failure(const lodewire::source& s, double limit,
                                          const Distance& distance_of) {
  const lodewire::source least =
      shrunk(s, [&](const lodewire::source& less) { return distance_of(less) > limit; });
  std::ostringstream text;
  text << "off by " << distance_of(least) << " of the terms (limit " << limit << "):\n"
       << listing(least.as_circuit());
  return text.str();
}

} // namespace oracle
