// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <span>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/circuit/composer.hpp>
#include <lodewire/circuit/netlist_eigenvalues.hpp>
#include <lodewire/circuit/netlist_roots.hpp>
#include <lodewire/circuit/netlist_solver.hpp>
#include <lodewire/circuit/pole_zero.hpp>
#include <lodewire/quantity/notation.hpp>

namespace lodewire {

/// An exact response of a lumped netlist.
struct netlist_response {
  transfer_function function; ///< costs as much to evaluate as a tree's
  pole_zero_form roots;
  bool iterated =
      false;         ///< the eigenvalue solver gave up somewhere, and simultaneous iteration took its place
  double misfit = 0; ///< relative distance from the direct solution: the median of nine points
};

/// Thrown where the roots that were found miss a netlist's response by more than 0.1 % (at nine points, their median).
class no_exact_response : public std::runtime_error {
public:
  explicit no_exact_response(double misfit)
      : std::runtime_error("netlist: the roots that were found miss its response by " +
                           plain_number(100 * misfit) + " %; evaluate it directly") {}
};

namespace detail {

/// Π(s - root), each factor over its root where that is large, so that no coefficient overflows; and that product at s.
inline void multiply_out(std::span<const polynomial_root> roots, polynomial<double>& p) noexcept {
  using system = polynomial_system<double>;
  system::set(p, 1);
  for (const polynomial_root& r : roots) {
    const double size = squared_magnitude(r.value);
    if (r.value.im < 0) continue; // comes with its conjugate
    polynomial<double> factor;
    const double over = size > 1 ? 1 / size : 1;
    const double real[2] = {size > 1 ? 1 : -r.value.re, size > 1 ? -1 / r.value.re : 1};
    const double pair[3] = {size * over, -2 * r.value.re * over, over};
    factor = r.value.im > 0 ? polynomial<double>(std::span<const double>(pair))
                            : polynomial<double>(std::span<const double>(real));
    p = system::product(p, factor);
  }
}

[[nodiscard]] inline split_complex<double> horner(const polynomial<double>& p,
                                                  const split_complex<double>& s) noexcept {
  split_complex<double> y{};
  for (std::size_t k = p.size; k-- > 0;) y = y * s + split_complex<double>(p.c[k]);
  return y;
}

/// Takes matched pairs out of both lists: a zero that lies nearer to a pole than both are known, and than `limit` of
/// its magnitude; real ones with real ones, so that no conjugate is left alone. Returns how many.
inline std::size_t cancel_matched(std::vector<polynomial_root>& zeros, std::vector<polynomial_root>& poles,
                                  double limit) {
  constexpr double infinity = netlist_roots::infinite;
  std::size_t cancelled = 0;
  for (auto z = zeros.begin(); z != zeros.end();) {
    const auto away = [&](const polynomial_root& p) {
      return (z->value.im == 0) == (p.value.im == 0) ? magnitude(z->value - p.value) : 2 * infinity;
    };
    const auto best = std::min_element(poles.begin(), poles.end(),
                                       [&](const auto& a, const auto& b) { return away(a) < away(b); });
    if (best == poles.end() ||
        away(*best) > (std::min)(z->uncertainty + best->uncertainty, limit * magnitude(best->value))) {
      ++z;
      continue;
    }
    poles.erase(best);
    z = zeros.erase(z);
    ++cancelled;
  }
  return cancelled;
}

/// Composes exact responses from a netlist; Eigenvalues as in `qz_eigenvalues`.
template <class Eigenvalues>
class netlist_composer {
public:
  netlist_composer(const netlist& net, const Eigenvalues& eigenvalues)
      : net_{net}, solver_(net), reduced_((require_lumped(net), net), 1), plan_(reduced_, net.data()),
        pencil_(plan_), eigenvalues_{eigenvalues} {}

  /// Response to a source (`nowhere`: the impedance) between two nodes.
  [[nodiscard]] netlist_response operator()(std::size_t source, netlist_node hot, netlist_node cold) {
    const std::size_t a = row(hot), b = row(cold);
    netlist_response response;
    const auto wanted = samples(source, hot, cold);
    if (wanted.empty()) { // nothing reaches the output
      polynomial<double> nothing, one;
      polynomial_system<double>::set(one, 1);
      response.function = {nothing, one};
      return response;
    }
    netlist_pencil numerator =
        source == nowhere ? pencil_.bordered(a, b) : pencil_.bordered(plan_, source, a, b);
    netlist_pencil denominator = pencil_;
    numerator.scale_rows(); // once it is whole: a source may feed several rows
    denominator.scale_rows();
    auto zeros = roots_of(numerator, response.iterated);
    auto poles = roots_of(denominator, response.iterated);
    polynomial<double> filter;
    polynomial_system<double>::set(filter, 1);
    if (source != nowhere)
      for (const auto& f : net_.data().drives[source].filters) {
        const double c[3] = {1, f[0] * scale::per_second, f[1] * scale::per_second * scale::per_second};
        for (const polynomial_root& r : roots(c)) poles.push_back(r);
      }
    response.roots.cancelled = cancel_matched(zeros, poles, 1e-13);
    require_capacity((std::max)(zeros.size(), poles.size()));
    const fit best = fitted(zeros, poles, wanted);
    if (!(best.median <= 1e-3)) throw no_exact_response(best.median);
    response.function = best.function;
    response.misfit = best.median;
    response.roots.gain = response.function.high_frequency_limit().gain;
    response.roots.cancelled += cancel_matched(zeros, poles, 1e-5);
    for (const auto& [from, to] :
         {std::pair{&zeros, &response.roots.zeros}, std::pair{&poles, &response.roots.poles}}) {
      std::sort(from->begin(), from->end(), [](const polynomial_root& x, const polynomial_root& y) {
        return squared_magnitude(x.value) < squared_magnitude(y.value);
      });
      for (const polynomial_root& r : *from) to->push_back(to_standard(scale::per_second * r.value));
    }
    return response;
  }

private:
  struct sample {
    split_complex<double> s, h; ///< s in units of `scale::per_second`
  };

  static void require_lumped(const netlist& net) {
    for (const netlist_part& p : net.data().parts)
      if (p.kind == netlist_kind::power_law) throw not_rational();
  }
  static void require_capacity(std::size_t degree) {
    if (degree >= polynomial_capacity) throw capacity_exceeded(degree);
  }
  [[nodiscard]] std::size_t row(netlist_node node) const noexcept {
    return reduced_.row(static_cast<std::size_t>(node));
  }

  /// The response at some points; none where it is nothing but rounding at all of them.
  [[nodiscard]] std::vector<sample> samples(std::size_t source, netlist_node hot, netlist_node cold) const {
    auto room = solver_.make_workspace();
    std::vector<sample> found;
    bool heard = false;
    for (const double size : {0.125, 1.0, 8.0})
      for (const double angle : {0.2, 0.9, 1.4}) {
        const std::complex<double> s = std::polar(size, angle);
        if (!solver_.solve(s * scale::per_second, room)) continue;
        const std::complex<double> h = source == nowhere
                                           ? solver_.impedance(room, hot, cold)
                                           : solver_.transfer(room, netlist_source{source}, hot, cold);
        found.push_back({{s.real(), s.imag()}, {h.real(), h.imag()}});
        heard = heard || std::abs(h) > 1e-12 * reach(room, source, h);
      }
    if (!heard) found.clear();
    return found;
  }
  /// The function of these roots, its gain, and how far it is from the direct solution at the same points.
  struct fit {
    transfer_function function;
    double misfit = 0, median = 0; ///< of all points, and the median of them

    fit(std::span<const polynomial_root> zeros, std::span<const polynomial_root> poles,
        std::span<const sample> wanted) {
      polynomial<double> n, d;
      multiply_out(zeros, n);
      multiply_out(poles, d);
      std::vector<split_complex<double>> ratios;
      std::vector<double> gains;
      for (const auto& [s, h] : wanted) {
        ratios.push_back(h * horner(d, s) / horner(n, s));
        gains.push_back(ratios.back().re);
      }
      // The median, lest a point lie on a zero.
      const auto middle = gains.begin() + static_cast<std::ptrdiff_t>(gains.size() / 2);
      std::nth_element(gains.begin(), middle, gains.end());
      std::vector<double> off;
      for (const auto& ratio : ratios)
        off.push_back(magnitude(ratio - split_complex<double>(*middle)) / std::abs(*middle));
      std::sort(off.begin(), off.end());
      misfit = off.back();
      median = off[off.size() / 2];
      polynomial_system<double>::scale(n, *middle);
      function = {n, d};
    }
  };

  /// A root far out may be nothing but the rounding of a determinant whose degree is lower: it goes where polishing
  /// sent it beyond all that counts as finite, or where the direct solution is met more closely without it.
  [[nodiscard]] static fit fitted(std::vector<polynomial_root>& zeros, std::vector<polynomial_root>& poles,
                                  std::span<const sample> wanted) {
    constexpr double far_out = 0x1p10;
    fit best(zeros, poles, wanted);
    // Of several roots at zero rounding makes a ring about it.
    constexpr double near_zero = 0x1p-10;
    for (std::vector<polynomial_root>* list : {&zeros, &poles})
      for (double ring = netlist_roots::zero; ring < near_zero; ring *= 4) {
        std::vector<polynomial_root> at_zero = *list;
        bool any = false;
        for (polynomial_root& r : at_zero) {
          const double size = magnitude(r.value);
          if (!(size > 0 && size < ring)) continue;
          r = {{0, 0}, ring};
          any = true;
        }
        if (!any) continue;
        const fit moved = list == &zeros ? fit(at_zero, poles, wanted) : fit(zeros, at_zero, wanted);
        if (!(moved.misfit < best.misfit / 2)) continue;
        *list = std::move(at_zero);
        best = moved;
      }
    for (std::vector<polynomial_root>* list : {&zeros, &poles})
      while (!list->empty()) {
        const auto size = [](const polynomial_root& a, const polynomial_root& b) {
          return squared_magnitude(a.value) < squared_magnitude(b.value);
        };
        const point farthest = (*std::max_element(list->begin(), list->end(), size)).value;
        if (magnitude(farthest) < far_out) break;
        std::vector<polynomial_root> rest;
        for (const polynomial_root& r : *list)
          if (squared_magnitude(r.value) != squared_magnitude(farthest)) rest.push_back(r);
        const fit without = list == &zeros ? fit(rest, poles, wanted) : fit(zeros, rest, wanted);
        if (magnitude(farthest) <= netlist_roots::infinite && !(without.misfit < best.misfit / 2)) break;
        *list = std::move(rest);
        best = without;
      }
    return best;
  }

  /// The largest voltage of any node for the same excitation.
  [[nodiscard]] double reach(netlist_workspace& room, std::size_t source, std::complex<double>) const {
    double largest = 0;
    for (const auto& n : net_.nodes()) {
      const netlist_node node{n.at};
      largest = (std::max)(largest, std::abs(source == nowhere
                                                 ? solver_.impedance(room, node)
                                                 : solver_.transfer(room, netlist_source{source}, node)));
    }
    return largest;
  }

  [[nodiscard]] std::vector<polynomial_root> roots_of(const netlist_pencil& p, bool& iterated) const {
    netlist_roots finder(p);
    require_capacity(finder.total());
    if (const auto starts = eigenvalues_(p)) {
      auto found = finder.polished(*starts);
      if (found.size() == finder.total()) return found;
    }
    iterated = true;
    return finder.iterated();
  }

  const netlist& net_;
  netlist_solver solver_;
  netlist_reduction<double> reduced_;
  netlist_plan<double> plan_;
  netlist_pencil pencil_;
  const Eigenvalues& eigenvalues_;
};

} // namespace detail

/// The exact response of v(hot) - v(cold) to one source, per volt (ampere) of it, the others at rest: zeros and poles as
/// eigenvalues of pencils (eq. 29), polished, the gain from the direct solution. Throws as `netlist_solver` does, and
/// `not_rational`, `capacity_exceeded`, `no_exact_response`. Eigenvalues: who computes them; what it cannot find, simultaneous iteration
/// does. Cost: milliseconds; then as a tree's transfer function.
template <class Eigenvalues = qz_eigenvalues>
[[nodiscard]] netlist_response exact_response(const netlist& net, netlist_source source, netlist_node hot,
                                              netlist_node cold = netlist_ground,
                                              const Eigenvalues& eigenvalues = {}) {
  return detail::netlist_composer<Eigenvalues>(net, eigenvalues)(static_cast<std::size_t>(source), hot, cold);
}

/// The exact impedance in Ω that is seen between two nodes, every source at rest. Throws as above.
template <class Eigenvalues = qz_eigenvalues>
[[nodiscard]] netlist_response exact_impedance(const netlist& net, netlist_node hot,
                                               netlist_node cold = netlist_ground,
                                               const Eigenvalues& eigenvalues = {}) {
  auto z = detail::netlist_composer<Eigenvalues>(net, eigenvalues)(detail::nowhere, hot, cold);
  return z;
}

} // namespace lodewire
