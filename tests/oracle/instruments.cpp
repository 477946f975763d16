// SPDX-License-Identifier: BSL-1.0
// Every instrument file that ships, in every position at three settings of its knobs, plugged in: the tree beside the
// netlist that it is poured into, and beside libngspice; a position by nodes beside extended precision and libngspice.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include <lodewire/instrument/json.hpp>

#include "by_netlist.hpp"
#include "nodal_deck.hpp"
#include "spice.hpp"

using namespace lodewire;

namespace {

std::vector<std::filesystem::path> instrument_files() {
  std::vector<std::filesystem::path> found;
  const std::filesystem::path tree = std::filesystem::path(LODEWIRE_TEST_DATA) / "../..";
  for (const char* folder : {"examples/instruments", "tests/data/instruments"})
    for (const auto& entry : std::filesystem::directory_iterator(tree / folder))
      if (entry.path().extension() == ".json") found.push_back(entry.path());
  return found;
}

std::string read(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

} // namespace

TEST_CASE("each instrument that ships, beside the netlist and libngspice") {
  // As in spice.cpp: of the terms, and of a hundred-thousandth of the EMF.
  constexpr double limit = 1e-9, share = 1e-5;
  const std::vector<oracle::band> bands{{20, 150}, {180, 2e3}, {2.3e3, 20e3}};
  const std::vector<double> hz = oracle::frequencies(bands);
  oracle::spice solver;
  oracle::worst_case netlist(limit), spice(limit);
  std::size_t circuits = 0, by_nodes = 0;
  for (const std::filesystem::path& path : instrument_files()) {
    CAPTURE(path.string());
    const instrument of = read_instrument(read(path));
    for (std::size_t p = 0; p < of.positions.size(); ++p)
      for (const double at : {10.0, 4.0, 0.0}) {
        CAPTURE(of.positions[p].name);
        CAPTURE(at);
        const std::vector<rotation> knobs(of.controls.size(), knob(at));
        const destination into;
        const composed_position composed = plug_in(of, p, knobs, into);
        if (composed.nodes()) {
          const nodal_circuit& nodes = *composed.nodes();
          const oracle::answers exact = oracle::by_nodes<long double>(nodes, hz);
          const std::size_t each = composed.emf_names().size() + 2;
          std::vector<double> size; // of the answer, and the share of 1 V or 1 MΩ
          for (std::size_t k = 0; k < exact.values.size(); ++k)
            size.push_back(std::abs(exact.values[k]) + share * (k % each + 1 == each ? 1e6 : 1));
          const auto seed = static_cast<std::uint64_t>(circuits++);
          ++by_nodes;
          CHECK(netlist.add(oracle::by_nodes<double>(nodes, hz), exact, size, seed) <= limit);
          CHECK(spice.add(solver.compute(oracle::nodal_deck(nodes), bands), exact, size, seed) <= limit);
          continue;
        }
        const source& s = *composed.tree();
        const oracle::answers exact = oracle::by_point<long double>(s, hz);
        REQUIRE(!exact.conflict);
        const std::vector<double> size = oracle::for_nodes(oracle::sizes(s, hz), s.as_circuit(), share);
        const auto seed = static_cast<std::uint64_t>(circuits++);
        CHECK(netlist.add(oracle::by_netlist<double>(s, hz), exact, size, seed) <= limit);
        CHECK(spice.add(solver.compute(s, bands), exact, size, seed) <= limit);
      }
  }
  MESSAGE(circuits << " circuits; worst: netlist " << netlist.error() << ", libngspice " << spice.error());
  CHECK(circuits >= 30);
  CHECK(by_nodes >= 6);
}
