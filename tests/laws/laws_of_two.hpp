// SPDX-License-Identifier: BSL-1.0
#pragma once

#include "drawn.hpp"
#include "verdict.hpp"

/// What holds for any two, and any three, one-ports and sources in series and in parallel.
namespace laws {

/// Two that are joined, in either of two ways.
using join = circuit (*)(const circuit&, const circuit&);

/// The numbers of the EMFs when those of b come before those of a.
[[nodiscard]] inline std::vector<std::size_t> after(const circuit& a, const circuit& b) {
  std::vector<std::size_t> order;
  for (std::size_t k = 0; k < a.emfs.size(); ++k) order.push_back(b.emfs.size() + k);
  for (std::size_t k = 0; k < b.emfs.size(); ++k) order.push_back(k);
  return order;
}

/// a with b is b with a.
inline void commutative(verdict& v, const way& by, const circuit& a, const circuit& b) {
  for (const join with : {&in_line, &side_by_side}) same_circuit(v, by, with(b, a), with(a, b), after(a, b));
}

/// (a with b) with c is a with (b with c).
inline void associative(verdict& v, const way& by, const circuit& a, const circuit& b, const circuit& c) {
  for (const join with : {&in_line, &side_by_side})
    same_circuit(v, by, with(with(a, b), c), with(a, with(b, c)));
}

/// Leads swapped before two are joined, or after.
inline void reversal_of_two(verdict& v, const way& by, const circuit& a, const circuit& b) {
  if (a.emfs.empty() || b.emfs.empty()) return;
  for (const join with : {&in_line, &side_by_side})
    same_circuit(v, by, with(turned(a), turned(b)), turned(with(a, b)));
}

/// A part in the lead, or across, is a one-port joined to the source.
inline void stage_of_a_part(verdict& v, const way& by, const circuit& a, const circuit& b) {
  if (a.emfs.empty() || !b.emfs.empty()) return;
  same_circuit(v, by, behind(a, in_lead(b)), in_line(a, b));
  same_circuit(v, by, behind(a, across(b)), side_by_side(a, b));
}

/// Series and parallel are each other's duals.
inline void dual_of_two(verdict& v, const way& by, const circuit& a, const circuit& b) {
  const auto x = dual_of(a, 2e4), y = dual_of(b, 2e4);
  if (!x || !y) return;
  same_circuit(v, by, *dual_of(in_line(a, b), 2e4), side_by_side(*x, *y));
  same_circuit(v, by, *dual_of(side_by_side(a, b), 2e4), in_line(*x, *y));
}

/// Voltages and impedances in series add.
inline void kirchhoff(verdict& v, const way& by, std::span<const circuit* const> of) {
  circuit all = *of[0];
  for (const circuit* c : of.subspan(1)) all = in_line(all, *c);
  const reading is = by(all);
  for (std::size_t i = 0; i < by.points.size(); ++i) {
    measured sum;
    std::size_t at = 0;
    for (const circuit* c : of) {
      const reading part = by(*c);
      sum = sum + part.impedance[i];
      for (const auto& list : part.response) v.same(is.response[at++][i], list[i], "response");
    }
    v.same(is.impedance[i], sum, "impedance");
  }
}

/// Millman: sources in parallel have the voltage Σ(E/Z)/Σ(1/Z) behind 1/Σ(1/Z).
inline void millman(verdict& v, const way& by, std::span<const circuit* const> of) {
  circuit all = *of[0];
  for (const circuit* c : of.subspan(1)) all = side_by_side(all, *c);
  const reading is = by(all);
  std::vector<reading> parts;
  for (const circuit* c : of) parts.push_back(by(*c));
  for (std::size_t i = 0; i < by.points.size(); ++i) {
    measured admittance;
    for (const reading& part : parts) admittance = admittance + exactly(1) / part.impedance[i];
    v.same(is.impedance[i], exactly(1) / admittance, "impedance");
    std::size_t at = 0;
    for (const reading& part : parts)
      for (const auto& list : part.response)
        v.same(is.response[at++][i], list[i] / part.impedance[i] / admittance, "response");
  }
}

inline void kirchhoff_of_two(verdict& v, const way& by, const circuit& a, const circuit& b) {
  const circuit* const both[] = {&a, &b};
  kirchhoff(v, by, both);
}
inline void millman_of_two(verdict& v, const way& by, const circuit& a, const circuit& b) {
  const circuit* const both[] = {&a, &b};
  millman(v, by, both);
}
inline void millman_of_three(verdict& v, const way& by, const circuit& a, const circuit& b,
                             const circuit& c) {
  const circuit* const all[] = {&a, &b, &c};
  millman(v, by, all);
}

struct law_of_two {
  const char* name;
  void (*test)(verdict&, const way&, const circuit&, const circuit&);
};
struct law_of_three {
  const char* name;
  void (*test)(verdict&, const way&, const circuit&, const circuit&, const circuit&);
};
inline constexpr law_of_two equalities_of_two[] = {
    {"commutative", &commutative},
    {"leads of two swapped", &reversal_of_two},
    {"a part in the lead or across is joined", &stage_of_a_part},
    {"series and parallel are dual", &dual_of_two},
};
inline constexpr law_of_two formulas_of_two[] = {
    {"voltages in series", &kirchhoff_of_two},
    {"Millman", &millman_of_two},
};
inline constexpr law_of_three equalities_of_three[] = {{"associative", &associative}};
inline constexpr law_of_three formulas_of_three[] = {{"Millman, three", &millman_of_three}};

/// Each law over all pairs of one-ports and sources.
inline void test_laws_of_two(const way& by, std::span<const law_of_two> laws, int draws) {
  for (const law_of_two& law : laws) {
    verdict v(std::string(law.name) + ", " + by.name);
    for (int n = 0; n < draws; ++n) {
      // From two draws, so that a model beside itself has other values.
      const auto firsts = draw(static_cast<std::uint64_t>(2 * n)).joinable();
      const auto seconds = draw(static_cast<std::uint64_t>(2 * n + 1)).joinable();
      for (const drawn& a : firsts)
        for (const drawn& b : seconds) {
          if (!by.takes(a.what) || !by.takes(b.what)) continue;
          v.about(a.name + " with " + b.name);
          law.test(v, by, a.what, b.what);
        }
    }
    v.report();
  }
}

/// Each law over all triples: of one-ports, or of sources.
inline void test_laws_of_three(const way& by, std::span<const law_of_three> laws,
                               std::vector<drawn> draw::*of) {
  for (const law_of_three& law : laws) {
    verdict v(std::string(law.name) + ", " + by.name);
    const draw first(0), second(1), third(2);
    for (const drawn& a : first.*of)
      for (const drawn& b : second.*of)
        for (const drawn& c : third.*of) {
          if (!by.takes(a.what) || !by.takes(b.what) || !by.takes(c.what)) continue;
          v.about(a.name + ", " + b.name + ", " + c.name);
          law.test(v, by, a.what, b.what, c.what);
        }
    v.report();
  }
}

} // namespace laws
