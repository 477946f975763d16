// SPDX-License-Identifier: BSL-1.0
// Random netlists beside all of their primitives written out: every voltage, and the current of every branch, merged or
// not.
#include <algorithm>
#include <complex>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include <lodewire/circuit/netlist_solver.hpp>

#include "../draws.hpp"
#include "nodal.hpp"
#include "random_netlist.hpp"

using namespace lodewire;
using ways::complex;

namespace {

/// Every primitive as a branch of its own, every current by elimination.
class written_out {
public:
  written_out(const netlist_data& data, complex s) : data_{data}, plain_(data.nodes - 1) {
    for (const netlist_part& p : data.parts) put(p, s);
    for (const netlist_coupling& c : data.couplings)
      plain_.mutual(branch_[c.part[0]], branch_[c.part[1]], s * c.mutual);
    x_ = plain_.unknowns();
  }
  [[nodiscard]] complex voltage(std::size_t node) const { return node == 0 ? 0 : x_[node - 1]; }

  /// Into a branch at its first node. `size`: the sum of the magnitudes of what makes it, for a wire all that meets there.
  [[nodiscard]] complex current(const netlist::named_branch& b, double& size) const {
    const netlist_part& first = data_.parts[b.first];
    const bool wire = b.count == 1 && first.kind == netlist_kind::resistor && first.value == 0;
    complex sum = 0;
    for (std::size_t k = 0; k < data_.parts.size(); ++k) {
      const bool own = k >= b.first && k < b.first + b.count;
      if (!own && !wire) continue;
      const netlist_part& p = data_.parts[k];
      const auto add = [&](std::size_t node, complex into) {
        if (node == b.hot && own) sum += into;
        if (node == b.hot || (wire && node == b.cold)) size += std::abs(into);
      };
      const bool two_port = p.kind == netlist_kind::two_port;
      const complex i =
          p.kind == netlist_kind::current_source ? source_[k] : out_of(branch_[k] + (two_port ? 1 : 0));
      add(p.hot, -i);
      add(p.cold, i);
      if (!two_port) continue;
      add(p.in_hot, -out_of(branch_[k]));
      add(p.in_cold, out_of(branch_[k]));
    }
    return sum;
  }

private:
  [[nodiscard]] complex out_of(std::size_t branch) const { return x_[data_.nodes - 1 + branch]; }
  void put(const netlist_part& p, complex s) {
    branch_.push_back(0);
    source_.push_back(0);
    complex driven = p.value;
    if (p.kind == netlist_kind::emf || p.kind == netlist_kind::current_source)
      for (const auto& f : data_.drives[p.index].filters) driven /= 1.0 + s * (f[0] + s * f[1]);
    const auto between = [&](complex z, complex e) { branch_.back() = plain_.branch(p.hot, p.cold, z, e); };
    switch (p.kind) {
    case netlist_kind::resistor: return between(p.value, 0);
    case netlist_kind::inductor: return between(s * p.value, 0);
    case netlist_kind::capacitor: return between(1.0 / (s * p.value), 0);
    case netlist_kind::power_law: return between(p.value * std::pow(s, p.exponent), 0);
    case netlist_kind::emf: return between(0, driven);
    case netlist_kind::current_source:
      source_.back() = driven;
      plain_.inject(p.hot, driven);
      return plain_.inject(p.cold, -driven);
    case netlist_kind::buffer:
      between(0, 0);
      return plain_.controlled(branch_.back(), p.in_hot, p.in_cold, p.value);
    case netlist_kind::two_port: {
      const auto& m = data_.matrices[p.index];
      const auto at = [&](std::size_t k) { return m[3 * k] + s * (m[3 * k + 1] + s * m[3 * k + 2]); };
      branch_.back() = plain_.two_port(p.in_hot, p.in_cold, p.hot, p.cold,
                                       {at(0) / at(4), at(1) / at(4), at(2) / at(4), at(3) / at(4)});
    }
    }
  }

  const netlist_data& data_;
  nodal plain_;
  std::vector<std::size_t> branch_; ///< of each primitive
  std::vector<complex> source_, x_;
};

} // namespace

TEST_CASE("every voltage and every current of random netlists") {
  double worst_voltage = 0, worst_current = 0;
  std::string where;
  std::size_t currents = 0;
  const std::size_t rounds = check::draws(400);
  for (std::uint64_t seed = 1; seed <= rounds; ++seed) {
    CAPTURE(seed);
    const netlist n = netlists::maker(seed)();
    ways::dice d(seed + 9000);
    const complex s(d.spread(10, 1e4), d.spread(1e2, 1e5));
    const netlist_solver solver(n);
    auto room = solver.make_workspace();
    REQUIRE(solver.solve(s, room));
    const written_out plain(n.data(), s);
    double largest = 0;
    for (const auto& node : n.nodes()) largest = std::max(largest, std::abs(plain.voltage(node.at)));
    for (const auto& node : n.nodes())
      worst_voltage =
          std::max(worst_voltage,
                   std::abs(solver.voltage(room, netlist_node{node.at}) - plain.voltage(node.at)) / largest);
    double greatest = 0;
    for (const auto& b : n.branches()) (void)plain.current(b, greatest);
    for (std::size_t k = 0; k < n.branches().size(); ++k) {
      double size = 0;
      const complex expected = plain.current(n.branches()[k], size);
      const double off =
          std::abs(solver.current(room, netlist_branch{k}) - expected) / (size + 1e-6 * greatest);
      if (!(off <= worst_current)) where = n.branches()[k].name + " of seed " + std::to_string(seed);
      worst_current = !(off <= worst_current) ? off : worst_current;
      ++currents;
    }
  }
  MESSAGE(currents << " currents: worst " << worst_current << " (" << where << "), voltages "
                   << worst_voltage);
  CHECK(currents > 20 * rounds);
  // Both sides round s·L and the like to double, and some of these circuits amplify that a million times: the solver in
  // long double lies as far from the other.
  CHECK(worst_voltage <= 1e-8);
  CHECK(worst_current <= 1e-7);
}

TEST_CASE("a resistor of another value, without another solver") {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    CAPTURE(seed);
    const netlist n = netlists::maker(seed)();
    std::vector<std::size_t> variable;
    for (std::size_t k = 0; k < n.data().parts.size(); ++k) {
      const netlist_part& p = n.data().parts[k];
      if (p.kind == netlist_kind::resistor && p.value > 0) variable.push_back(k);
    }
    ways::dice d(seed + 500);
    const complex s(d.spread(10, 1e4), d.spread(1e2, 1e5));
    netlist_solver solver(n, variable);
    auto room = solver.make_workspace();
    netlist_data changed = n.data();
    for (std::size_t k = 0; k < variable.size(); ++k) {
      changed.parts[variable[k]].value = d.spread(10, 1e7);
      solver.set_resistance(k, changed.parts[variable[k]].value);
    }
    REQUIRE(solver.solve(s, room));
    const written_out plain(changed, s);
    double largest = 0, worst = 0;
    for (const auto& node : n.nodes()) largest = std::max(largest, std::abs(plain.voltage(node.at)));
    for (const auto& node : n.nodes())
      worst = std::max(worst, std::abs(solver.voltage(room, netlist_node{node.at}) - plain.voltage(node.at)));
    CHECK(worst <= 1e-9 * largest);
  }
}
