// SPDX-License-Identifier: BSL-1.0
// Laws of two and three circuits, at points of the plane.
#include "laws_of_two.hpp"
#include "way_point.hpp"

using namespace laws;

namespace {

/// For the many triples of sources.
constexpr way at_some_points{"at some points of the plane", std::span(in_plane).subspan(2, 4), true,
                             &read_points};

} // namespace

TEST_CASE("equalities of two") { test_laws_of_two(at_points, equalities_of_two, 2); }
TEST_CASE("formulas of two") { test_laws_of_two(at_points, formulas_of_two, 2); }
TEST_CASE("equalities of three one-ports") {
  test_laws_of_three(at_points, equalities_of_three, &draw::one_ports);
}
TEST_CASE("equalities of three sources") {
  test_laws_of_three(at_some_points, equalities_of_three, &draw::sources);
}
TEST_CASE("formulas of three one-ports") {
  test_laws_of_three(at_points, formulas_of_three, &draw::one_ports);
}
TEST_CASE("formulas of three sources") {
  test_laws_of_three(at_some_points, formulas_of_three, &draw::sources);
}
