// SPDX-License-Identifier: BSL-1.0
#pragma once

#include "drawn.hpp"
#include "verdict.hpp"

/// What holds for every one-port and every source.
namespace laws {

/// A law over one circuit, tested in one way.
struct law_of_one {
  const char* name;
  void (*test)(verdict&, const way&, const drawn&);
};

/// A short in series and an open in parallel change nothing, and neither does a stage of nothing.
inline void neutral_elements(verdict& v, const way& by, const drawn& a) {
  const circuit shorted = short_circuit().as_circuit(), opened = open_circuit().as_circuit();
  same_circuit(v, by, in_line(a.what, shorted), a.what);
  same_circuit(v, by, in_line(shorted, a.what), a.what);
  same_circuit(v, by, side_by_side(a.what, opened), a.what);
  same_circuit(v, by, side_by_side(opened, a.what), a.what);
  if (a.what.emfs.empty()) return;
  v.holds(behind(a.what, stage{}) == a.what, "a stage of nothing");
  same_circuit(v, by, behind(a.what, in_lead(shorted)), a.what);
  same_circuit(v, by, behind(a.what, across(opened)), a.what);
}

/// A short in parallel leaves a short, an open in series an open; neither lets an EMF through.
inline void absorbing_elements(verdict& v, const way& by, const drawn& a) {
  const circuit shorted = short_circuit().as_circuit(), opened = open_circuit().as_circuit();
  for (const circuit& c : {side_by_side(a.what, shorted), side_by_side(shorted, a.what)}) {
    const reading r = by(c);
    for (const measured& z : r.impedance) v.holds(z.value == 0.0, "a short in parallel");
    for (const auto& list : r.response)
      for (const measured& e : list) v.holds(e.value == 0.0, "EMF across a short");
  }
  // An admittance of zero: a megohm in parallel is then all that is left.
  const circuit megohm = one_port(resistance::from_value(0x1p20)).as_circuit();
  for (const circuit& c : {in_line(a.what, opened), in_line(opened, a.what)}) {
    const reading r = by(side_by_side(c, megohm));
    for (const measured& z : r.impedance) v.same(z, exactly(by.derivative ? 0 : 0x1p20), "an open in series");
    for (const auto& list : r.response)
      for (const measured& e : list) v.holds(e.value == 0.0, "EMF behind an open");
  }
}

/// The dual's dual is the circuit, in its instructions and, but for the last digit, in its values.
inline void double_dual(verdict& v, const way& by, const drawn& a) {
  const auto dual = dual_of(a.what, 7e3);
  if (!dual) return;
  const circuit back = *dual_of(*dual, 7e3);
  v.holds(back.code == a.what.code, "instructions");
  same_circuit(v, by, back, a.what);
}

/// Z·Z' = R0², and what was a voltage is a current: V'·Z = V·R0.
inline void dual_product(verdict& v, const way& by, const drawn& a) {
  constexpr double r0 = 7e3;
  const auto dual = dual_of(a.what, r0);
  if (!dual) return;
  const reading is = by(a.what), was = by(*dual);
  for (std::size_t i = 0; i < by.points.size(); ++i) {
    v.same(is.impedance[i] * was.impedance[i], exactly(r0 * r0), "impedances");
    for (std::size_t k = 0; k < is.response.size(); ++k)
      v.same(was.response[k][i] * is.impedance[i], is.response[k][i] * exactly(r0), "responses");
  }
}

/// Leads swapped: the EMFs turn, the impedance stays; swapped twice: nothing happened.
inline void reversal(verdict& v, const way& by, const drawn& a) {
  if (a.what.emfs.empty()) return;
  const circuit once = turned(a.what);
  same_circuit(v, by, turned(once), a.what);
  const reading is = by(once), was = by(a.what);
  for (std::size_t i = 0; i < by.points.size(); ++i) {
    v.same(is.impedance[i], was.impedance[i], "impedance");
    for (std::size_t k = 0; k < is.response.size(); ++k)
      v.same(is.response[k][i] + was.response[k][i], exactly(0), "response");
  }
}

/// Thévenin to Norton and back: a gyrator turns one into the other, a second one turns it back.
inline void norton_and_back(verdict& v, const way& by, const drawn& a) {
  if (!a.what.emfs.empty()) same_circuit(v, by, behind(behind(a.what, gyrator(6e3)), gyrator(6e3)), a.what);
}

/// What a gyrator gives is the short-circuit current, E/Z, times r, behind the admittance times r². For a
/// one-port: a current i beside Z is a voltage i·Z behind Z, and e behind a resistance R is e/R beside it.
inline void norton(verdict& v, const way& by, const drawn& a) {
  constexpr double r = 0x1p14;
  if (a.what.emfs.empty()) {
    const circuit current = (ideal_current(current::from_value(1)) | across(a.what)).as_circuit();
    const reading norton = by(current), z = by(a.what), thevenin = by(emf_behind(a.what));
    for (std::size_t i = 0; i < by.points.size(); ++i) {
      v.same(norton.impedance[i], thevenin.impedance[i], "impedance");
      v.same(norton.response[0][i], z.impedance[i], "voltage of a current");
    }
    if (a.what.code.size() == 1 && a.what.code[0].op == opcode::resistor)
      same_circuit(v, by, current, emf_behind(a.what, a.what.values[a.what.code[0].slot]));
    return;
  }
  const reading is = by(behind(a.what, gyrator(r))), was = by(a.what);
  for (std::size_t i = 0; i < by.points.size(); ++i) {
    v.same(is.impedance[i] * was.impedance[i], exactly(r * r), "impedance");
    for (std::size_t k = 0; k < is.response.size(); ++k)
      v.same(is.response[k][i] * was.impedance[i], exactly(r) * was.response[k][i], "short-circuit current");
  }
}

/// Re Z ≥ 0 on the axis and right of it.
inline void passivity(verdict& v, const way& by, const drawn& a) {
  if (!a.known.passive) return;
  const reading r = by(a.what);
  for (std::size_t i = 0; i < by.points.size(); ++i)
    if (by.points[i].real() >= 0) v.at_most(exactly(0), real_part(r.impedance[i]), "0 <= Re Z");
}

/// What is real in time takes conjugates to conjugates.
inline void conjugate_symmetry(verdict& v, const way& by, const drawn& a) {
  std::vector<complex> below;
  for (const complex s : by.points) below.push_back(std::conj(s));
  way mirrored = by;
  mirrored.points = below;
  const reading is = by(a.what), mirror = mirrored(a.what);
  const auto conjugate = [](measured m) { return measured{std::conj(m.value), m.off}; };
  for (std::size_t i = 0; i < by.points.size(); ++i) {
    v.same(conjugate(is.impedance[i]), mirror.impedance[i], "impedance");
    for (std::size_t k = 0; k < is.response.size(); ++k)
      v.same(conjugate(is.response[k][i]), mirror.response[k][i], "response");
  }
}

/// All impedances times k: Z is k times what it was, the responses stay. All frequencies times k: what was at
/// s is at k·s.
inline void scaling(verdict& v, const way& by, const drawn& a) {
  for (const auto& [z, f] :
       {std::pair{3.7, 1.0}, {1.0, 0.23}, {1.0, 5.1}, {0.061, 2.9}, {1e13, 1.0}, {1e-13, 0.3}}) {
    const reading is = by(scaled(a.what, z, f), f), was = by(a.what);
    for (std::size_t i = 0; i < by.points.size(); ++i) {
      v.same(is.impedance[i], exactly(z) * was.impedance[i], "impedance");
      for (std::size_t k = 0; k < is.response.size(); ++k)
        v.same(is.response[k][i], was.response[k][i], "response");
    }
  }
}

/// Laws that say that two circuits are one, and so hold for derivatives too.
inline constexpr law_of_one equalities_of_one[] = {
    {"neutral elements", &neutral_elements},
    {"absorbing elements", &absorbing_elements},
    {"the dual of the dual", &double_dual},
    {"leads swapped twice", &reversal},
    {"Thévenin to Norton and back", &norton_and_back},
    {"scaling", &scaling},
};
/// For a way that takes points below the axis.
inline constexpr law_of_one equalities_in_the_plane[] = {{"conjugate symmetry", &conjugate_symmetry}};
/// Laws with a formula.
inline constexpr law_of_one formulas_of_one[] = {
    {"short-circuit current", &norton},
    {"a circuit times its dual", &dual_product},
    {"passivity", &passivity},
};

/// Each law over everything that stands on its own, and over each source behind each stage.
inline void test_laws_of_one(const way& by, std::span<const law_of_one> laws, int draws) {
  for (const law_of_one& law : laws) {
    verdict v(std::string(law.name) + ", " + by.name);
    for (int n = 0; n < draws; ++n) {
      const draw now(static_cast<std::uint64_t>(n));
      for (const auto& models : {now.joinable(), now.behind_stages()})
        for (const drawn& a : models) {
          if (!by.takes(a.what)) continue;
          v.about(a.name);
          law.test(v, by, a);
        }
    }
    v.report();
  }
}

} // namespace laws
