// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <stdexcept>
#include <string>
#include <vector>

#include <ngspice/sharedspice.h>

#include "answers.hpp"
#include "deck.hpp"

namespace oracle {

/// One analysis: frequencies in equal steps. The solver orders its elimination by the first one, so a band should not
/// be wide.
struct band {
  static constexpr int points = 3;
  double first, last;
};

/// The frequencies of bands, as the solver comes to them.
[[nodiscard]] inline std::vector<double> frequencies(std::span<const band> bands) {
  std::vector<double> hz;
  for (const band& b : bands)
    for (int i = 0; i < band::points; ++i)
      hz.push_back(b.first + i * ((b.last - b.first) / (band::points - 1)));
  return hz;
}

/// The general-purpose circuit solver in this process: decks go in as lines, results come out as vectors. No file is
/// written, and none read but the library's own start-up file, if it finds one. One at a time: it has one state.
class spice {
public:
  spice() {
    const auto quit = [](int, NG_BOOL, NG_BOOL, int, void* self) {
      static_cast<spice*>(self)->said_ += "the solver wants to end\n";
      return 0;
    };
    const auto say = [](char* text, int, void* self) {
      static_cast<spice*>(self)->said_.append(text).append("\n");
      return 0;
    };
    ngSpice_Init(
        say, [](char*, int, void*) { return 0; }, quit, nullptr, nullptr,
        [](NG_BOOL, int, void*) { return 0; }, this);
  }
  spice(const spice&) = delete;
  spice& operator=(const spice&) = delete;

  /// The response to each EMF, their sum and the output impedance at the frequencies of `bands`, three in each.
  /// Throws `std::runtime_error` with what the solver said.
  [[nodiscard]] answers compute(const lodewire::source& s, std::span<const band> bands) {
    return compute(deck(s.as_circuit()), bands);
  }
  /// The same of a deck: `deck`, `nodal_deck`.
  template <class Deck>
  [[nodiscard]] answers compute(const Deck& d, std::span<const band> bands) {
    std::vector<std::string> lines = d.lines();
    std::vector<char*> raw;
    for (std::string& line : lines) raw.push_back(line.data());
    raw.push_back(nullptr);
    said_.clear();
    if (ngSpice_Circ(raw.data()) != 0) fail("the deck");

    answers a;
    const std::size_t emfs = d.emfs(), each = emfs + 2;
    a.values.assign(bands.size() * band::points * each, 0.0);
    for (std::size_t k = 0; k < each && !d.shorted(); ++k) {
      if (k > 0 && k < emfs) excite(d.emf_name(k - 1), 0);
      if (k < emfs) excite(d.emf_name(k), 1);
      for (std::size_t j = 0; j < emfs && k >= emfs; ++j)
        excite(d.emf_name(j), k == emfs ? d.emf_value(j) : 0);
      if (k == emfs + 1) excite("iout", deck::unit); // 1 A
      for (std::size_t b = 0; b < bands.size(); ++b) {
        command("ac lin " + std::to_string(band::points) + " " + digits(bands[b].first) + " " +
                digits(bands[b].last));
        const vector_info* v = ngGet_Vec_Info(out_.data());
        if (v == nullptr || v->v_compdata == nullptr || v->v_length != band::points) fail("no output");
        for (std::size_t i = 0; i < band::points; ++i)
          a.values[(b * band::points + i) * each + k] =
              (k < emfs ? d.emf_value(k) : 1) * complex(v->v_compdata[i].cx_real, v->v_compdata[i].cx_imag);
      }
      command("destroy all");
    }
    clear();
    return a;
  }
  /// What the solver said since the last deck went in.
  [[nodiscard]] const std::string& said() const { return said_; }

private:
  [[nodiscard]] static std::string digits(double v) {
    char text[32];
    return {text, std::to_chars(std::begin(text), std::end(text), v).ptr};
  }
  void excite(const std::string& name, double value) {
    command("alter @" + name + "[acmag]=" + digits(value));
  }
  void command(std::string text) {
    if (ngSpice_Command(text.data()) != 0) fail(text);
  }
  void clear() {
    std::string destroy = "destroy all", remove = "remcirc";
    ngSpice_Command(destroy.data());
    ngSpice_Command(remove.data());
  }
  [[noreturn]] void fail(const std::string& what) {
    clear();
    throw std::runtime_error(what + ":\n" + said_);
  }

  std::string said_;
  std::string frequency_ = "frequency", out_ = "out";
};

} // namespace oracle
