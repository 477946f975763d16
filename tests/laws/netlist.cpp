// SPDX-License-Identifier: BSL-1.0
// A tree is its netlist: every model, every source behind every stage, every two in series and in parallel.
#include "laws_of_two.hpp"
#include "way_netlist.hpp"
#include "way_point.hpp"

using namespace laws;

namespace {

void tree_is_netlist(verdict& v, const circuit& c) {
  const reading net = by_netlist(c), tree = read_points(by_netlist, c, 1);
  v.holds(net.status == circuit_status::ok, "solved");
  for (std::size_t i = 0; i < by_netlist.points.size(); ++i) {
    v.same(net.impedance[i], tree.impedance[i], "impedance");
    for (std::size_t k = 0; k < tree.response.size(); ++k)
      v.same(net.response[k][i], tree.response[k][i], "response");
  }
}

} // namespace

TEST_CASE("every model, every source behind every stage") {
  verdict v("tree and netlist");
  for (std::uint64_t n = 0; n < 2; ++n) {
    const draw now(n);
    for (const auto& models : {now.joinable(), now.behind_stages()})
      for (const drawn& a : models) {
        v.about(a.name);
        tree_is_netlist(v, a.what);
      }
  }
  v.report();
}
TEST_CASE("every two") {
  verdict v("tree and netlist, two");
  const auto firsts = draw(0).joinable(), seconds = draw(1).joinable();
  for (const drawn& a : firsts)
    for (const drawn& b : seconds)
      for (const join with : {&in_line, &side_by_side}) {
        v.about(a.name + " with " + b.name);
        tree_is_netlist(v, with(a.what, b.what));
      }
  v.report();
}
