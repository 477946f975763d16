// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <initializer_list>
#include <span>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <lodewire/circuit/run.hpp>
#include <lodewire/circuit/scale.hpp>
#include <lodewire/circuit/source.hpp>

#include "shrink.hpp"

namespace oracle {

/// Writes a program as the lines of a SPICE deck: a machine for `lodewire::run`. All in it is linear: R, L, C and
/// dependent sources. Node "out" is the hot end, the cold end is ground.
///
/// - A short is one node instead of two, an open is nothing: no small or large number stands for either. What lies
///   across a short is not joined to the rest. A part of the deck that no branch joins to ground gets one of its nodes
///   grounded: no current can flow there.
/// - EMF k is the source "vemf<k>", or "iemf<k>" for a current, 0 until it is altered; what filters it is a resistor, a
///   coil and a capacitor behind a dependent source. "iout" pushes a current into "out".
/// - A buffer is a dependent voltage source. A chain matrix is two of them with two unknowns x and y:
///   V2 = δ·x, I2 = δ·y, V1 = A·x + B·y, I1 = C·x + D·y; s·x is the current of a capacitor across a copy of x.
/// - The mutual inductance of a coil pair lies between windings that may be any one-ports: a copy of the one's current
///   flows in an inductor of |M|, whose voltage lies in the other.
///
/// Node voltages against ground lose digits where they are small differences or where a large admittance hangs on a
/// small one. So of two things in series the one without an EMF lies away from ground, a second source in series
/// comes through an ideal transformer, and a small resistor is a dependent voltage, its current an unknown.
class deck {
public:
  explicit deck(const lodewire::circuit& c) : v_{c.values.data()} {
    node(); // ground
    find_turned(c.code);
    for (here_ = 0; here_ < c.code.size(); ++here_) lodewire::run(std::span(c.code).subspan(here_, 1), *this);
    if (stack_.size() != 1) throw std::invalid_argument("deck: the program does not leave one entry");
    merge(stack_.back().cold, ground);
    out_ = stack_.back().hot;
    for (std::size_t k = 0; k < emfs_.size(); ++k) write_source(k);
    ground_islands();
    add("iout", ground, out_, " dc 0 ac 0");
  }

  /// The lines, the title first and ".end" last.
  [[nodiscard]] std::vector<std::string> lines() const {
    std::vector<std::string> text{"a circuit"};
    for (const element& e : elements_) {
      const char kind = e.name.front();
      // Both ends on one node: a part without influence. (A source with a voltage there is a conflict.)
      if (root(e.a) == root(e.b) && kind != 'v' && kind != 'i') continue;
      std::string line = e.name + " " + spelled(e.a) + " " + spelled(e.b);
      if (e.controlled) line += " " + spelled(e.c) + " " + spelled(e.d);
      text.push_back(line + e.rest);
    }
    text.insert(text.end(), {".options noopac pivrel=1", ".end"});
    return text;
  }
  /// True where the output is shorted: it is the ground node itself.
  [[nodiscard]] bool shorted() const { return root(out_) == root(ground); }
  /// The sources of the EMFs by name, and their values in the program.
  [[nodiscard]] const std::string& emf_name(std::size_t k) const { return emfs_[k].name; }
  [[nodiscard]] double emf_value(std::size_t k) const { return emfs_[k].value; }
  [[nodiscard]] std::size_t emfs() const { return emfs_.size(); }
  /// Impedances are counted in this many ohms: an admittance of a guitar's circuit is then near 1, which is what the
  /// voltages of dependent sources have as a factor.
  static constexpr double unit = 1e3;

  // -- what run() calls ------------------------------------------------------------------------------------
  void emf(std::uint16_t at) { push_source("vemf", at); }
  void current_source(std::uint16_t at) { push_source("iemf", at); }
  void resistor(std::uint16_t at) { push_part('r', at); }
  void inductor(std::uint16_t at) { push_part('l', at); }
  void capacitor(std::uint16_t at) { push_part('c', at); }
  void power_law(std::uint16_t) { throw std::invalid_argument("deck: a power law is no SPICE element"); }
  void series_r(std::uint16_t at) { push_part('r', at), join_series(); }
  void series_l(std::uint16_t at) { push_part('l', at), join_series(); }
  void series_c(std::uint16_t at) { push_part('c', at), join_series(); }
  void shunt_r(std::uint16_t at) { push_part('r', at), join_parallel(); }
  void shunt_l(std::uint16_t at) { push_part('l', at), join_parallel(); }
  void shunt_c(std::uint16_t at) { push_part('c', at), join_parallel(); }
  void join_series() {
    const entry b = pop(), a = pop();
    const bool a_emf = a.first < b.first, b_emf = b.first < emfs_.size();
    entry upper = a_emf || !b_emf ? b : a;
    const entry lower = a_emf || !b_emf ? a : b;
    if (a_emf && b_emf) upper = isolated(upper);
    if (turned_[here_]) {
      merge(lower.cold, upper.hot);
      stack_.push_back({lower.hot, upper.cold, a.first});
    } else {
      merge(lower.hot, upper.cold);
      stack_.push_back({upper.hot, lower.cold, a.first});
    }
  }
  void join_parallel() {
    const entry b = pop();
    merge(top().hot, b.hot);
    merge(top().cold, b.cold);
    if (root(top().hot) != root(top().cold)) return;
    // What lies across a short hangs by one node: an island from now on, so that the currents in it do not drown
    // those of what follows.
    top().hot = top().cold = node();
  }
  void reverse() { std::swap(top().hot, top().cold); }
  void emf_filter(std::uint16_t at, std::uint8_t mode) {
    for (std::size_t k = top().first; k < emfs_.size(); ++k)
      if (mode == 0 || k == top().first + mode - 1U) emfs_[k].filters.emplace_back(v_[at], v_[at + 1U]);
  }
  void buffer(std::uint16_t at) {
    const entry out = pop();
    join_parallel(); // its input across the source
    merge(top().cold, ground);
    const std::size_t hot = node(), cold = node();
    dependent_voltage(hot, cold, top().hot, v_[at]);
    top().hot = hot;
    top().cold = cold;
    stack_.push_back(out);
    stack_.back().first = emfs_.size();
    join_series();
  }
  void chain(std::uint16_t at) {
    entry& t = top();
    merge(t.cold, ground);
    const unknown x{node()}, y{node()};
    const terms a = quadratic(x, at), b = quadratic(y, at + 3U, 1 / unit), c = quadratic(x, at + 6U, unit),
                d = quadratic(y, at + 9U), x_delta = quadratic(x, at + 12U), y_delta = quadratic(y, at + 12U);
    const std::size_t inside = node(), below = node(), hot = node(), cold = node();
    const std::string i1 = sense(t.hot, inside);
    voltages(inside, ground, joined(a, b));
    const std::string i2 = sense(cold, below);
    voltages(hot, below, x_delta);
    balance(x.x, i1, joined(c, d));
    balance(y.x, i2, y_delta);
    t.hot = hot;
    t.cold = cold;
  }
  void coil_pair(std::uint16_t at, lodewire::pair_output output) {
    const entry shunt2 = pop(), shunt1 = pop(), winding2 = pop(), winding1 = pop();
    const std::size_t first = emfs_.size();
    const double m = v_[at];
    entry coils[2];
    std::string current[2];
    const entry* windings[2] = {&winding1, &winding2};
    const entry* shunts[2] = {&shunt1, &shunt2};
    for (std::size_t k = 0; k < 2; ++k) {
      push_source("vemf", static_cast<std::uint16_t>(at + 2U + k));
      coils[k] = pop();
      current[k] = sense(coils[k].hot, windings[k]->cold);
      coils[k].hot = windings[k]->hot;
    }
    for (std::size_t k = 0; k < 2 && m != 0; ++k) {
      const std::size_t hot = node(), across = node();
      copy_current(across, current[1 - k], m < 0 ? -1 : 1);
      add(label('l'), across, ground, " " + digits(std::abs(m) / unit));
      dependent_voltage(coils[k].hot, hot, across, 1); // less s·M times the other's current
      coils[k].hot = hot;
    }
    for (std::size_t k = 0; k < 2; ++k) {
      merge(coils[k].hot, shunts[k]->hot);
      merge(coils[k].cold, shunts[k]->cold);
    }
    const bool parallel = output == lodewire::pair_output::parallel;
    if (!parallel) coils[1] = isolated(coils[1]);
    merge(coils[1].cold, parallel ? coils[0].cold : coils[0].hot);
    if (parallel) merge(coils[0].hot, coils[1].hot);
    part('c', v_[at + 1U], coils[1].hot, coils[0].cold);
    stack_.push_back(
        {output == lodewire::pair_output::series ? coils[1].hot : coils[0].hot, coils[0].cold, first});
  }
  void terminals(std::uint8_t) {}

private:
  static constexpr std::size_t ground = 0;
  static constexpr double small = 1e3; ///< resistors up to this are by their current, Ω

  struct entry {
    std::size_t hot = 0, cold = 0, first = 0;
  };
  struct element {
    std::string name;
    std::size_t a, b;
    std::string rest;
    bool controlled = false;
    std::size_t c = 0, d = 0;
  };
  struct emf_source {
    std::string name;
    double value;
    std::size_t hot, cold;
    std::vector<std::pair<double, double>> filters;
  };
  /// A node whose voltage is an unknown of a chain matrix, and the nodes of s/σ and (s/σ)² times it.
  struct unknown {
    std::size_t x, s1 = 0, s2 = 0;
  };
  using terms = std::vector<std::pair<std::size_t, double>>; ///< node, factor

  [[nodiscard]] static std::string digits(double v) {
    char text[32];
    return {text, std::to_chars(std::begin(text), std::end(text), v).ptr};
  }

  // -- nodes -----------------------------------------------------------------------------------------------
  std::size_t node() {
    parent_.push_back(parent_.size());
    return parent_.size() - 1;
  }
  [[nodiscard]] static std::size_t root_of(const std::vector<std::size_t>& parent, std::size_t n) {
    while (parent[n] != n) n = parent[n];
    return n;
  }
  [[nodiscard]] std::size_t root(std::size_t n) const { return root_of(parent_, n); }
  void merge(std::size_t a, std::size_t b) {
    const std::size_t ra = root(a), rb = root(b);
    parent_[std::max(ra, rb)] = std::min(ra, rb); // ground stays the root of its own
  }
  [[nodiscard]] std::string spelled(std::size_t n) const {
    if (root(n) == ground) return "0";
    return root(n) == root(out_) ? "out" : "n" + std::to_string(root(n));
  }
  /// Grounds one node of every part of the deck that hangs in the air.
  void ground_islands() {
    std::vector<std::size_t> islands(parent_.size());
    for (std::size_t n = 0; n < parent_.size(); ++n) islands[n] = root(n);
    for (const element& e : elements_) {
      const std::size_t a = root_of(islands, e.a), b = root_of(islands, e.b);
      islands[std::max(a, b)] = std::min(a, b);
    }
    for (std::size_t n = 0; n < parent_.size(); ++n)
      if (root_of(islands, n) == n) merge(n, ground);
  }

  // -- elements --------------------------------------------------------------------------------------------
  [[nodiscard]] std::string label(char kind) { return kind + std::to_string(++count_); }
  void add(std::string name, std::size_t a, std::size_t b, std::string rest) {
    elements_.push_back({std::move(name), a, b, std::move(rest)});
  }
  void part(char kind, double v, std::size_t a, std::size_t b) {
    if (kind == 'r' ? lodewire::is_open(v) : kind == 'c' && v == 0) return;
    if (v == 0) return merge(a, b);
    if (kind == 'c') return add(label(kind), a, b, " " + digits(v * unit));
    if (kind == 'l' || v > small) return add(label(kind), a, b, " " + digits(v / unit));
    const std::size_t middle = node();
    const std::string current = sense(a, middle);
    add(label('h'), middle, b, " " + current + " " + digits(v / unit));
  }
  void dependent_voltage(std::size_t hot, std::size_t cold, std::size_t control, double gain) {
    elements_.push_back({label('e'), hot, cold, " " + digits(gain), true, control, ground});
  }
  void dependent_current(std::size_t from, std::size_t to, std::size_t control, double gain) {
    elements_.push_back({label('g'), from, to, " " + digits(gain), true, control, ground});
  }
  /// A source of 0 V that shows the current from a to b to others.
  [[nodiscard]] std::string sense(std::size_t a, std::size_t b) {
    std::string name = label('v');
    add(name, a, b, " 0");
    return name;
  }
  void copy_current(std::size_t into, const std::string& current, double gain) {
    add(label('f'), ground, into, " " + current + " " + digits(gain));
  }

  /// The same seen through an ideal transformer of 1:1, itself on ground.
  [[nodiscard]] entry isolated(const entry& e) {
    if (root(e.hot) == root(e.cold)) return e;
    merge(turned_[here_] ? e.hot : e.cold, ground);
    const std::size_t hot = node(), middle = node(), cold = node();
    elements_.push_back({label('e'), hot, middle, " 1", true, e.hot, e.cold});
    const std::string current = sense(cold, middle);
    add(label('f'), e.hot, e.cold, " " + current + " 1");
    return {hot, cold, e.first};
  }

  // -- chain matrices --------------------------------------------------------------------------------------
  /// The node of s/σ times a node's voltage.
  [[nodiscard]] std::size_t derivative(std::size_t of) {
    const std::size_t copy = node(), end = node(), result = node();
    dependent_voltage(copy, ground, of, 1);
    add(label('c'), copy, end, " " + digits(1 / lodewire::scale::per_second));
    const std::string current = sense(end, ground);
    add(label('h'), result, ground, " " + current + " 1");
    return result;
  }
  [[nodiscard]] terms quadratic(unknown of, std::size_t at, double factor = 1) {
    terms t;
    std::size_t x = of.x;
    const std::size_t degree = v_[at + 2U] != 0 ? 2 : v_[at + 1U] != 0 ? 1 : 0;
    for (std::size_t k = 0; k <= degree; ++k, factor *= lodewire::scale::per_second) {
      if (k > 0) x = derivative(x);
      if (v_[at + k] != 0) t.emplace_back(x, v_[at + k] * factor);
    }
    return t;
  }
  [[nodiscard]] static terms joined(terms a, const terms& b) {
    a.insert(a.end(), b.begin(), b.end());
    return a;
  }
  /// v(top) - v(bottom) = the sum of the terms.
  void voltages(std::size_t top, std::size_t bottom, const terms& sum) {
    std::size_t at = bottom;
    for (std::size_t k = 0; k < sum.size(); ++k) {
      const std::size_t next = k + 1 < sum.size() ? node() : top;
      dependent_voltage(next, at, sum[k].first, sum[k].second);
      at = next;
    }
    if (sum.empty()) merge(top, bottom);
  }
  /// The current is the sum of the terms: what balances at a node of its own.
  void balance(std::size_t at, const std::string& current, const terms& sum) {
    for (const auto& [control, factor] : sum) dependent_current(at, ground, control, factor);
    copy_current(at, current, 1);
  }

  /// For each instruction, whether the hot end of what it makes is the one that comes to lie near ground.
  void find_turned(const std::vector<lodewire::instruction>& code) {
    turned_.assign(code.size(), false);
    const auto starts = detail::operand_starts(code);
    for (std::size_t i = code.size(); i-- > 0;) {
      const lodewire::opcode op = code[i].op;
      for (std::size_t k = 0; k + 1 < starts[i].size(); ++k) {
        const bool grounded = op == lodewire::opcode::chain || (op == lodewire::opcode::buffer && k < 2);
        turned_[starts[i][k + 1] - 1] = !grounded && turned_[i] != (op == lodewire::opcode::reverse);
      }
    }
  }

  // -- the stack -------------------------------------------------------------------------------------------
  [[nodiscard]] entry& top() { return stack_.back(); }
  entry pop() {
    const entry e = stack_.back();
    stack_.pop_back();
    return e;
  }
  entry& push() {
    const std::size_t hot = node(), cold = node();
    return stack_.emplace_back(entry{hot, cold, emfs_.size()});
  }
  void push_part(char kind, std::size_t at) {
    const entry& e = push();
    part(kind, v_[at], e.hot, e.cold);
  }
  void push_source(const char* kind, std::uint16_t at) {
    const entry& e = push();
    emfs_.push_back(
        {kind + std::to_string(emfs_.size()), v_[at] * (*kind == 'i' ? unit : 1), e.hot, e.cold, {}});
  }
  /// Written last, when all that filters it is known.
  void write_source(std::size_t k) {
    const emf_source& e = emfs_[k];
    const bool current = e.name.front() == 'i';
    const char* const quiet = " dc 0 ac 0";
    if (e.filters.empty()) return add(e.name, current ? e.cold : e.hot, current ? e.hot : e.cold, quiet);
    std::size_t at = node();
    if (current) { // 1 A makes 1 V
      add(e.name, ground, at, quiet);
      add(label('r'), at, ground, " 1");
    } else {
      add(e.name, at, ground, quiet);
    }
    constexpr double farad = 1e-9; // any value will do
    for (const auto& [a1, a2] : e.filters) {
      const std::size_t copy = node(), middle = node(), end = node();
      dependent_voltage(copy, ground, at, 1);
      part('r', a1 / farad, copy, middle);
      part('l', a2 / farad, middle, end);
      part('c', farad, end, ground);
      at = end;
    }
    if (current) {
      dependent_current(e.cold, e.hot, at, 1);
    } else {
      dependent_voltage(e.hot, e.cold, at, 1);
    }
  }

  const double* v_;
  std::vector<std::size_t> parent_;
  std::vector<element> elements_;
  std::vector<emf_source> emfs_;
  std::vector<entry> stack_;
  std::vector<bool> turned_;
  std::size_t here_ = 0, out_ = 0;
  int count_ = 0;
};

} // namespace oracle
