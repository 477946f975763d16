// SPDX-License-Identifier: BSL-1.0
// Laws of two and three circuits, by the composed polynomials.
#include "laws_of_two.hpp"
#include "way_polynomial.hpp"

using namespace laws;

TEST_CASE("equalities of two") { test_laws_of_two(by_polynomials, equalities_of_two, 1); }
TEST_CASE("formulas of two") { test_laws_of_two(by_polynomials, formulas_of_two, 1); }
TEST_CASE("equalities of three one-ports") {
  test_laws_of_three(by_polynomials, equalities_of_three, &draw::one_ports);
}
TEST_CASE("formulas of three one-ports") {
  test_laws_of_three(by_polynomials, formulas_of_three, &draw::one_ports);
}
