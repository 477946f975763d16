// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include <lodewire/circuit/netlist_part.hpp>
#include <lodewire/circuit/polynomial_system.hpp>
#include <lodewire/quantity/finite.hpp>

namespace lodewire::detail {

/// A branch of the reduced network: D·v - N·i = Σ E_k·u_k (eq. 26), polynomials in s; v from hot to cold, i from hot
/// to cold inside, u_k a source's value or the voltage at a buffer's input. One or more primitives in series and in
/// parallel; what it was put together from is remembered, so that their currents can be found again.
template <class Real>
struct netlist_edge {
  using number = polynomial<Real>;
  /// A source (its number), or a buffer (number of sources + its own).
  struct drive {
    std::size_t from = 0;
    number e;
  };
  enum class join : std::uint8_t { series, parallel };

  std::size_t hot = 0, cold = 0;
  number n, d;
  std::vector<drive> drives;
  bool coupled = false;              ///< shares flux with others: its current must stay
  Real power_k = 0, power_alpha = 0; ///< a power law: n is then K·s^α
  bool is_power = false;
  bool absent = false;          ///< open, or it leads nowhere: no current
  bool variable = false;        ///< a resistor whose value may change later: it stays alone, with its current
  std::size_t parent = nowhere; ///< the edge that this one went into
  std::size_t other = nowhere;  ///< with which other one
  join how = join::series;
  int sign = 1;                  ///< the way round it lies in there
  std::size_t current = nowhere; ///< number of its current among the unknowns, if it is one

  [[nodiscard]] bool is_top() const noexcept { return parent == nowhere && !absent; }
  [[nodiscard]] bool is_loop() const noexcept { return hot == cold; }
  /// No impedance of its own: an ideal EMF, a buffer's output.
  [[nodiscard]] bool is_ideal() const noexcept { return !is_power && polynomial_system<Real>::is_zero(n); }
};

/// Edge of one primitive, in the units of `scale`; shorts, current sources and two-ports are no edges. `drive_number`:
/// of the source or the buffer, as `netlist_edge::drive::from` counts them.
template <class Real>
[[nodiscard]] netlist_edge<Real> edge_of(const netlist_part& p, std::size_t drive_number) {
  using system = polynomial_system<Real>;
  const auto in = [&](double unit) { return static_cast<Real>(p.value) * static_cast<Real>(unit); };
  netlist_edge<Real> e;
  e.hot = p.hot;
  e.cold = p.cold;
  system::set(e.n, Real(1));
  system::set(e.d, Real(1));
  switch (p.kind) {
  case netlist_kind::resistor:
    if (is_open(p.value)) {
      e.absent = true;
    } else {
      system::set(e.n, in(1 / scale::ohm));
    }
    break;
  case netlist_kind::inductor: system::scale_s(e.n, in(1 / scale::henry)); break;
  case netlist_kind::capacitor:
    e.absent = p.value == 0;
    system::scale_s(e.d, in(1 / scale::farad));
    break;
  case netlist_kind::power_law:
    e.is_power = true;
    e.power_k = in(1 / scale::ohm);
    e.power_alpha = static_cast<Real>(p.exponent);
    break;
  case netlist_kind::emf:
  case netlist_kind::buffer: {
    system::set(e.n, Real(0));
    auto& drive = e.drives.emplace_back();
    drive.from = drive_number;
    system::set(drive.e, p.kind == netlist_kind::emf ? Real(1) : static_cast<Real>(p.value));
    break;
  }
  case netlist_kind::current_source:
  case netlist_kind::two_port: break;
  }
  return e;
}

/// Two edges in series through the node `middle` (eq. 8), or in parallel (eq. 9, middle = nowhere). The result lies as `x`
/// does. Cost: six products of polynomials.
template <class Real>
[[nodiscard]] netlist_edge<Real> joined(netlist_edge<Real>& x, netlist_edge<Real>& y, std::size_t middle) {
  using system = polynomial_system<Real>;
  netlist_edge<Real> z;
  const bool series = middle != nowhere;
  if (series && x.cold == middle) {
    z.hot = x.hot;
    z.cold = y.hot == middle ? y.cold : y.hot;
    y.sign = y.hot == middle ? 1 : -1;
  } else if (series) {
    z.cold = x.cold;
    z.hot = y.cold == middle ? y.hot : y.cold;
    y.sign = y.cold == middle ? 1 : -1;
  } else {
    z.hot = x.hot;
    z.cold = x.cold;
    y.sign = x.hot == y.hot ? 1 : -1;
  }
  x.sign = 1;
  x.how = y.how = series ? netlist_edge<Real>::join::series : netlist_edge<Real>::join::parallel;
  const auto& a = series ? x.n : x.d;
  const auto& b = series ? y.n : y.d;
  const auto& of_x = series ? y.d : y.n; // what multiplies the EMFs of x
  const auto& of_y = series ? x.d : x.n;
  auto sum = system::product(a, of_x);
  system::add_product(sum, b, of_y);
  (series ? z.n : z.d) = sum;
  (series ? z.d : z.n) = system::product(of_x, of_y);
  for (const auto& from : x.drives) z.drives.push_back({from.from, system::product(from.e, of_x)});
  for (const auto& from : y.drives) {
    z.drives.push_back({from.from, system::product(from.e, of_y)});
    system::scale(z.drives.back().e, Real(y.sign));
  }
  z.coupled = x.coupled || y.coupled;
  return z;
}

} // namespace lodewire::detail
