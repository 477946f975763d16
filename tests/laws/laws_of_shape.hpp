// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <lodewire/circuit/composer.hpp>
#include <lodewire/circuit/pole_zero.hpp>

#include "laws_of_two.hpp"
#include "leading_term.hpp"

/// What the polynomials of a circuit look like: degree, signs, roots, limits.
namespace laws {

/// The degree of the triple [E : N : D] as the machine composes it, nothing cancelled but a common factor s.
/// The filters of EMFs stand apart. Leading coefficients that are exactly zero (constants in a chain matrix)
/// do not count.
[[nodiscard]] inline int triple_degree(const circuit& c) {
  using system = polynomial_system<double>;
  workspace<system> room(c.code);
  machine<system, double> m(system{}, c.values.data(), room);
  run(c.code, m);
  std::size_t size = 0;
  const auto count = [&size](polynomial<double> p) {
    p.trim();
    size = std::max(size, p.size);
  };
  count(m.n());
  count(m.d());
  for (const auto& e : room.emf) count(e);
  return static_cast<int>(size) - 1;
}

[[nodiscard]] inline bool is_rational(const circuit& c) { return !has(c, opcode::power_law); }
/// Whether its degrees follow from its parts alone: chain matrices may hold any degree, and behind a buffer
/// only the buffer's output counts.
[[nodiscard]] inline bool is_of_parts(const circuit& c) {
  return is_rational(c) && !has(c, opcode::chain) && !has(c, opcode::buffer);
}

/// At generic values the degree of the triple is the number of independent reactive parts.
inline void degree_of_a_model(verdict& v, const drawn& a) {
  if (a.known.reactive != not_counted) v.holds(triple_degree(a.what) == a.known.reactive, "degree");
}

/// The counting rule: a pole of the impedance at dc (or at infinity) in each of two in series is one pole; so
/// is a zero in each of two in parallel. Else the degrees add.
inline void degree_of_two(verdict& v, const circuit& a, const circuit& b) {
  const int both = triple_degree(a) + triple_degree(b);
  const auto power = [](const circuit& c, limit_at at) { return limit_reader(c, at).impedance().power; };
  const int dc[] = {power(a, limit_at::dc), power(b, limit_at::dc)};
  const int hf[] = {power(a, limit_at::high_frequency), power(b, limit_at::high_frequency)};
  const bool capacitors_in_series = dc[0] < 0 && dc[1]<0, coils_in_series = hf[0]> 0 && hf[1] > 0;
  const bool coils_in_parallel = dc[0] > 0 && dc[1] > 0, capacitors_in_parallel = hf[0] < 0 && hf[1] < 0;
  v.holds(triple_degree(in_line(a, b)) == both - capacitors_in_series - coils_in_series, "series");
  v.holds(triple_degree(side_by_side(a, b)) == both - coils_in_parallel - capacitors_in_parallel, "parallel");
}

/// Equal sources leave matched poles and zeros. The triple has the degree of two unlike ones; a list of poles
/// has those of one alone, since in parallel H is half of what it was.
inline void twins(verdict& v, const drawn& a, const drawn& unlike) {
  // Two draws of a random tree are not the same tree.
  if (a.what.emfs.empty() || !is_of_parts(a.what) || a.known.reactive == not_counted) return;
  const circuit both = side_by_side(a.what, a.what);
  v.holds(triple_degree(both) == triple_degree(side_by_side(a.what, unlike.what)), "degree of twins");
  for (std::size_t k = 0; k < a.what.emfs.size(); ++k) {
    const auto one = factorise(transfer(source(a.what), k)), two = factorise(transfer(source(both), k));
    v.holds(two.poles.size() == one.poles.size() && two.zeros.size() == one.zeros.size(), "poles of twins");
    v.holds(std::abs(2 * two.gain - one.gain) <= 1e-12 * std::abs(one.gain), "gain of twins");
  }
}

/// Sums and products of positive parts have positive coefficients, and so has every passive impedance.
inline void positive_coefficients(verdict& v, const drawn& a) {
  if (!a.known.passive) return;
  composer compose(a.what);
  const transfer_function z = compose.impedance(a.what);
  for (const auto list : {z.numerator(), z.denominator()})
    for (const double x : list) v.holds(x >= 0, "coefficient of Z");
  for (std::size_t k = 0; k < a.what.emfs.size(); ++k) {
    const transfer_function h = compose.response(a.what, k);
    for (const double x : h.denominator()) v.holds(x >= 0, "coefficient of H");
  }
}

/// The poles of H, the poles and the zeros of Z of a passive circuit lie on the axis or left of it. A root is
/// known to its own bound; the coefficients, rounded as often as the polynomial is evaluated there, may move
/// it as far again.
inline void left_half_plane(verdict& v, const drawn& a) {
  if (!a.known.passive) return;
  composer compose(a.what);
  const auto left = [&](std::span<const double> polynomial, std::string_view what) {
    for (const polynomial_root& r : roots(polynomial)) v.holds(r.value.re <= 2 * r.uncertainty, what);
  };
  const transfer_function z = compose.impedance(a.what);
  left(z.numerator(), "zero of Z");
  left(z.denominator(), "pole of Z");
  for (std::size_t k = 0; k < a.what.emfs.size(); ++k)
    left(compose.response(a.what, k).denominator(), "pole of H");
}

/// The limits of Z and of each H, against the rules of the trade. 1e-11: some degree² roundings of sums that
/// cancel to a hundredth at most.
inline void limits(verdict& v, const drawn& a) {
  composer compose(a.what);
  for (const limit_at at : {limit_at::dc, limit_at::high_frequency}) {
    const limit_reader rule(a.what, at);
    const auto same = [&](const transfer_function& h, leading_term expected, std::string_view what) {
      const asymptote is = at == limit_at::dc ? h.dc_limit() : h.high_frequency_limit();
      v.holds(is.slope == expected.power &&
                  std::abs(is.gain - expected.gain) <= 1e-11 * std::abs(expected.gain),
              what);
    };
    const bool dc = at == limit_at::dc;
    same(compose.impedance(a.what), rule.impedance(), dc ? "Z at dc" : "Z at high frequency");
    for (std::size_t k = 0; k < a.what.emfs.size(); ++k)
      same(compose.response(a.what, k), rule.responses()[k], dc ? "H at dc" : "H at high frequency");
  }
}

struct law_of_shape {
  const char* name;
  void (*test)(verdict&, const drawn&);
};
inline constexpr law_of_shape shapes[] = {{"degree of a model", &degree_of_a_model},
                                          {"positive coefficients", &positive_coefficients},
                                          {"poles in the left half plane", &left_half_plane},
                                          {"limits", &limits}};

} // namespace laws
