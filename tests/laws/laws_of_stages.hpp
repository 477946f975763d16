// SPDX-License-Identifier: BSL-1.0
#pragma once

#include "drawn.hpp"
#include "verdict.hpp"

/// What holds for any stage, whatever drives it and whatever loads it.
namespace laws {

/// One after the other is the same however it is grouped: not only the circuit, the program too.
inline void grouping(verdict& v, const way&, const circuit& from, const stage& p, const stage& q) {
  v.holds(behind(behind(from, p), q) == behind(from, p | q), "(s | p) | q is s | (p | q)");
}

/// A load may be spread over stages: two across are one of their parallel, in either order; two in the lead
/// one of their series.
inline void distribution_over_stages(verdict& v, const way& by, const circuit& from, const circuit& a,
                                     const circuit& b) {
  same_circuit(v, by, behind(behind(from, across(a)), across(b)), behind(from, across(side_by_side(a, b))));
  same_circuit(v, by, behind(behind(from, across(b)), across(a)), behind(from, across(side_by_side(a, b))));
  same_circuit(v, by, behind(behind(from, in_lead(a)), in_lead(b)), behind(from, in_lead(in_line(a, b))));
  same_circuit(v, by, behind(behind(from, in_lead(b)), in_lead(a)), behind(from, in_lead(in_line(a, b))));
}

/// And over sources: a load on each of two that are in parallel is one load of both on the node, a part in
/// the lead of each of two that are in series is one part behind both.
inline void distribution_over_sources(verdict& v, const way& by, const circuit& from, const circuit& a,
                                      const circuit& b) {
  const circuit other = emf_behind(one_port(resistance::from_value(8.2e3)).as_circuit(), 0.7);
  same_circuit(v, by, side_by_side(behind(from, across(a)), behind(other, across(b))),
               behind(side_by_side(from, other), across(side_by_side(a, b))));
  same_circuit(v, by, in_line(behind(from, in_lead(a)), behind(other, in_lead(b))),
               behind(in_line(from, other), in_lead(in_line(a, b))));
}

/// Leads swapped before a stage or behind it.
inline void reversal_through_a_stage(verdict& v, const way& by, const circuit& from, const stage& st) {
  same_circuit(v, by, behind(turned(from), st), turned(behind(from, st)));
}

/// A stage and a source's impedance: 1/H and Z/H grow in proportion to what is in series with the source (A +
/// C·Z and B + D·Z of the chain matrix), so two parts in series add what each adds alone.
inline void proportion_to_the_source(verdict& v, const way& by, const stage& st, const circuit& a,
                                     const circuit& b) {
  // Some resistance is always there: an ideal EMF through a gyrator is an ideal current.
  const circuit emf = emf_behind(one_port(resistance::from_value(5.3e3)).as_circuit());
  const reading none = by(behind(emf, st)), first = by(behind(in_line(emf, a), st)),
                second = by(behind(in_line(emf, b), st)), both = by(behind(in_line(emf, in_line(a, b)), st));
  for (std::size_t i = 0; i < by.points.size(); ++i) {
    const auto inverse = [i](const reading& r) { return exactly(1) / r.response[0][i]; };
    const auto impedance = [&](const reading& r) { return r.impedance[i] * inverse(r); };
    v.same(inverse(both) + inverse(none), inverse(first) + inverse(second), "1/H");
    v.same(impedance(both) + impedance(none), impedance(first) + impedance(second), "Z/H");
  }
}

/// And the load behind it: 1/H grows in proportion to the admittance across the output.
inline void proportion_to_the_load(verdict& v, const way& by, const stage& st, const circuit& a,
                                   const circuit& b) {
  const circuit driven = behind(emf_behind(one_port(resistance::from_value(6.1e3)).as_circuit()), st);
  const reading none = by(driven), first = by(behind(driven, across(a))),
                second = by(behind(driven, across(b))), both = by(behind(driven, across(side_by_side(a, b))));
  for (std::size_t i = 0; i < by.points.size(); ++i) {
    const auto inverse = [i](const reading& r) { return exactly(1) / r.response[0][i]; };
    v.same(inverse(both) + inverse(none), inverse(first) + inverse(second), "1/H");
  }
}

/// A reciprocal stage passes as much one way as the other: det = A·D - B·C = δ². Between two impedances a and
/// b of the source its output impedance then differs by Z_a - Z_b = (a - b)·H_a·H_b, since H = δ/(A + C·a), Z
/// = (B + D·a)/(A + C·a).
inline void reciprocity(verdict& v, const way& by, const stage& st, const circuit& a, const circuit& b) {
  const reading za = by(a), zb = by(b), first = by(behind(emf_behind(a), st)),
                second = by(behind(emf_behind(b), st));
  for (std::size_t i = 0; i < by.points.size(); ++i)
    v.same(first.impedance[i] - second.impedance[i],
           (za.impedance[i] - zb.impedance[i]) * first.response[0][i] * second.response[0][i]);
}

/// A passive stage gives no more power than it can take: |H|²/Re Z of its output is at most that of the
/// source, on the axis. And what it makes of a passive source's impedance is passive, there and right of it,
/// whatever lies across.
inline void passive_stage(verdict& v, const way& by, const stage& st, const circuit& a, const circuit& b) {
  const reading z = by(a), driven = by(behind(emf_behind(a), st)),
                loaded = by(behind(behind(emf_behind(a), st), across(b)));
  for (std::size_t i = 0; i < by.points.size(); ++i) {
    if (by.points[i].real() < 0) continue;
    v.at_most(exactly(0), real_part(driven.impedance[i]), "0 <= Re Z");
    v.at_most(exactly(0), real_part(loaded.impedance[i]), "0 <= Re Z");
    if (by.points[i].real() == 0)
      for (const reading& r : {driven, loaded})
        v.at_most(power_of(r.response[0][i]) * real_part(z.impedance[i]), real_part(r.impedance[i]), "power");
  }
}

struct law_of_a_stage {
  const char* name;
  void (*test)(verdict&, const way&, const stage&, const circuit&, const circuit&);
  bool facts::*only = nullptr; ///< for stages of which this is known
};
inline constexpr law_of_a_stage formulas_of_stages[] = {
    {"in proportion to the source's impedance", &proportion_to_the_source},
    {"in proportion to the load's admittance", &proportion_to_the_load},
    {"reciprocity", &reciprocity, &facts::reciprocal},
    {"passive stages", &passive_stage, &facts::passive},
};

/// Each law over each stage with all pairs of one-ports.
inline void test_laws_of_stages(const way& by, std::span<const law_of_a_stage> laws, int draws) {
  for (const law_of_a_stage& law : laws) {
    verdict v(std::string(law.name) + ", " + by.name);
    for (int n = 0; n < draws; ++n) {
      const draw first(static_cast<std::uint64_t>(2 * n)), second(static_cast<std::uint64_t>(2 * n + 1));
      for (const drawn_stage& st : first.stages) {
        if ((law.only != nullptr && !(st.known.*law.only)) || !by.takes(st.what.as_circuit())) continue;
        for (const drawn& a : first.one_ports)
          for (const drawn& b : second.one_ports) {
            if (!by.takes(a.what) || !by.takes(b.what)) continue;
            v.about(st.name + " with " + a.name + ", " + b.name);
            law.test(v, by, st.what, a.what, b.what);
          }
      }
    }
    v.report();
  }
}

/// The laws of loads over each source with all pairs of one-ports.
inline void test_distribution(const way& by) {
  verdict stages(std::string("a load over stages, ") + by.name),
      sources(std::string("a load over sources, ") + by.name);
  const draw first(0), second(1);
  for (const drawn& from : first.sources)
    for (std::size_t i = 0; i < first.one_ports.size(); ++i)
      for (std::size_t k = i; k < second.one_ports.size(); ++k) { // the laws do not care which comes first
        const drawn &a = first.one_ports[i], &b = second.one_ports[k];
        if (!by.takes(from.what) || !by.takes(a.what) || !by.takes(b.what)) continue;
        for (verdict* v : {&stages, &sources}) v->about(from.name + " with " + a.name + ", " + b.name);
        distribution_over_stages(stages, by, from.what, a.what, b.what);
        distribution_over_sources(sources, by, from.what, a.what, b.what);
      }
  stages.report();
  sources.report();
}

/// The laws of what follows over each source with all stages, and pairs of them.
inline void test_ways_through(const way& by) {
  verdict leads(std::string("leads swapped before a stage, ") + by.name), groups("grouping of stages");
  const draw first(0), second(1);
  for (const drawn& from : first.sources)
    for (const drawn_stage& p : first.stages) {
      if (!by.takes(from.what) || !by.takes(p.what.as_circuit())) continue;
      leads.about(from.name + " | " + p.name);
      reversal_through_a_stage(leads, by, from.what, p.what);
      for (const drawn_stage& q : second.stages) {
        groups.about(from.name + " | " + p.name + " | " + q.name);
        grouping(groups, by, from.what, p.what, q.what);
      }
    }
  leads.report();
  groups.report();
}

} // namespace laws
