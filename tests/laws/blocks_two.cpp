// SPDX-License-Identifier: BSL-1.0
// Laws of two and three circuits, in blocks of frequencies.
#include "laws_of_two.hpp"
#include "way_block.hpp"

using namespace laws;

TEST_CASE("equalities of two") { test_laws_of_two(in_blocks, equalities_of_two, 1); }
TEST_CASE("formulas of two") { test_laws_of_two(in_blocks, formulas_of_two, 1); }
TEST_CASE("equalities of three one-ports") {
  test_laws_of_three(in_blocks, equalities_of_three, &draw::one_ports);
}
TEST_CASE("formulas of three one-ports") {
  test_laws_of_three(in_blocks, formulas_of_three, &draw::one_ports);
}
