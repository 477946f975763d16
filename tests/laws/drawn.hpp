// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <string>
#include <vector>

#include "catalogue.hpp"

namespace laws {

/// A model with its values: a circuit that stands on its own (a one-port, a source), or a stage.
struct drawn {
  std::string name;
  facts known;
  circuit what;
};
struct drawn_stage {
  std::string name;
  facts known;
  stage what;
};

/// One draw of every one-port, of every source, of every stage. The same draw gives the same values on every
/// machine.
struct draw {
  std::vector<drawn> one_ports, sources;
  std::vector<drawn_stage> stages;

  explicit draw(std::uint64_t number) {
    std::uint64_t line = 0;
    for (const model& m : catalogue) {
      dice d(1000 * number + line++);
      if (const auto* make = std::get_if<one_port (*)(dice&)>(&m.make))
        one_ports.push_back({m.name, m.known, (*make)(d).as_circuit()});
      if (const auto* make = std::get_if<source (*)(dice&)>(&m.make))
        sources.push_back({m.name, m.known, (*make)(d).as_circuit()});
      if (const auto* make = std::get_if<stage (*)(dice&)>(&m.make))
        stages.push_back({m.name, m.known, (*make)(d)});
    }
  }
  /// One-ports and sources.
  [[nodiscard]] std::vector<drawn> joinable() const {
    std::vector<drawn> all = one_ports;
    all.insert(all.end(), sources.begin(), sources.end());
    return all;
  }
  /// Each source behind each stage.
  [[nodiscard]] std::vector<drawn> behind_stages() const {
    std::vector<drawn> all;
    for (const drawn& from : sources)
      for (const drawn_stage& st : stages) {
        const facts known{.passive = from.known.passive && st.known.passive,
                          .reciprocal = from.known.reciprocal && st.known.reciprocal};
        all.push_back({from.name + " | " + st.name, known, behind(from.what, st.what)});
      }
    return all;
  }
};

} // namespace laws
