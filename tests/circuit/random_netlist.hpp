// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include <lodewire/circuit/join.hpp>
#include <lodewire/circuit/netlist.hpp>

#include "ways.hpp"

/// Random netlists of everything that a netlist takes, each node tied to ground. A seed gives another one with another
/// compiler: the order in which it evaluates arguments is its own.
namespace netlists {

using namespace lodewire;

class maker {
public:
  explicit maker(std::uint64_t seed, bool power_laws = true) : d_(seed), power_laws_{power_laws} {}

  netlist operator()() {
    for (std::size_t k = 1; k <= nodes; ++k) net_.add(named("tie"), ohm(1e3, 1e6), name(k), "ground");
    net_.pour("first", coil(), name(1), "ground"); // one source at least
    for (int k = 0; k < 7; ++k) branch();
    for (std::size_t k = 0; k + 1 < coils_.size(); k += 2)
      net_.couple(named("flux"), d_.between(-0.9, 0.9), coils_[k], coils_[k + 1]);
    return net_;
  }

private:
  static constexpr std::size_t nodes = 4;

  std::string named(const char* what) { return std::string(what) + std::to_string(count_++); }
  static std::string name(std::size_t node) { return node == 0 ? "ground" : "n" + std::to_string(node); }
  one_port ohm(double low, double high) { return resistance::from_value(d_.spread(low, high)); }
  one_port henry() { return inductance::from_value(d_.spread(0.2, 8)); }
  one_port farad() { return capacitance::from_value(d_.spread(2e-11, 2e-8)); }
  voltage volts() { return voltage::from_value(d_.between(-2, 2)); }
  current amperes() { return current::from_value(d_.between(-1e-4, 1e-4)); }

  source coil() {
    source s = ideal_emf(volts(), named("e")) | in_series(series(ohm(1e3, 2e4), henry())) | in_shunt(farad());
    return d_() < 0.5 ? s : reversed(s);
  }
  source tree() {
    const source other = d_() < 0.5
                             ? ideal_emf(volts(), named("e")) | in_series(ohm(1e3, 1e5)) | in_shunt(henry())
                             : ideal_current(amperes(), named("i")) | in_shunt(ohm(1e4, 1e6));
    const source both = d_() < 0.5 ? series(coil(), other) : parallel(coil(), other | in_series(farad()));
    if (d_() < 0.5) return both;
    return both | buffer(d_.between(-3, 3), ohm(1e4, 1e6), series(ohm(100, 1e4), farad()));
  }
  chain_matrix matrix() {
    const double t = d_.spread(1e-6, 1e-4);
    return {.a = {d_.between(-2, 2), t, 0},
            .b = {d_.spread(1e2, 1e5), d_.between(0, 1), 1e-6},
            .c = {d_.spread(1e-6, 1e-4), 1e-10, 0},
            .d = {d_.between(-2, 2), 0, t * t},
            .delta = {1, t, 0}};
  }

  /// A new branch between nodes drawn at random; what has no impedance ends at a node of its own.
  void branch() {
    const std::size_t first = d_.below(nodes + 1), second = (first + 1 + d_.below(nodes)) % (nodes + 1);
    const std::string a = name(first), b = name(second), c = name(d_.below(nodes + 1)), own = named("own"),
                      out = named("out");
    switch (d_.below(11)) {
    case 0:
    case 1:
      coils_.push_back(named("coil"));
      net_.add(coils_.back(), d_() < 0.5 ? series(ohm(1e3, 2e4), henry()) : henry(), a, b);
      break;
    case 2: net_.add(named("trap"), series(ohm(1e3, 1e5), parallel(henry(), farad())), a, b); break;
    case 3:
      net_.add(named("law"),
               power_laws_ ? power_law(resistance::from_value(d_.spread(1, 1e3)), 0.5) : ohm(1e3, 1e5), a, b);
      break;
    case 4:
    case 5: net_.pour(named("tree"), tree(), a, b); break;
    case 6: {
      const std::string emf = named("e");
      if (d_() < 0.5)
        net_.emf(emf, volts(), a, own);
      else
        net_.emf(emf, volts(), own, a);
      net_.filter(emf, d_.spread(1e-6, 1e-4), 1e-10);
      net_.add(named("behind"), ohm(1e3, 1e5), b, own);
      break;
    }
    case 10: { // two windings in series, hot on hot
      const std::string both = named("both");
      const auto winding = [&] {
        return ideal_emf(volts(), named("e")) | in_series(series(ohm(1e3, 2e4), henry()));
      };
      net_.pour(both, series(winding(), reversed(winding())), a, b);
      coils_.push_back(both + ".L1");
      coils_.push_back(both + ".L2");
      break;
    }
    case 7: {
      const std::string source = named("i");
      net_.current_source(source, amperes(), a, b);
      net_.filter(source, d_.spread(1e-6, 1e-4), 0);
      break;
    }
    case 8:
      net_.buffer(named("buffer"), d_.between(-3, 3), {a, b}, {out, c});
      net_.add(named("behind"), ohm(1e3, 1e5), out, b);
      break;
    default: // a wire at each port
      if (d_() < 0.5)
        net_.add(named("wire"), short_circuit(), a, own);
      else
        net_.add(named("wire"), short_circuit(), own, a);
      net_.add(named("beside"), farad(), c == a ? b : c, own);
      net_.two_port(named("port"), matrix(), {own, b}, {out, c});
      net_.add(named("wire"), short_circuit(), out, out + " too");
      net_.add(named("behind"), ohm(1e3, 1e5), out + " too", b);
    }
  }

  ways::dice d_;
  bool power_laws_;
  netlist net_;
  std::vector<std::string> coils_;
  std::size_t count_ = 0;
};

} // namespace netlists
