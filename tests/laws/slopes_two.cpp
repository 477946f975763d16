// SPDX-License-Identifier: BSL-1.0
// Laws of two and three circuits, for the derivatives by dual numbers.
#include "laws_of_two.hpp"
#include "way_slope.hpp"

using namespace laws;

TEST_CASE("equalities of two") { test_laws_of_two(by_slopes, equalities_of_two, 1); }
TEST_CASE("equalities of three one-ports") {
  test_laws_of_three(by_slopes, equalities_of_three, &draw::one_ports);
}
