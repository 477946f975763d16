// SPDX-License-Identifier: BSL-1.0
// Laws of one circuit, by the composed polynomials.
#include "laws_of_one.hpp"
#include "way_polynomial.hpp"

using namespace laws;

TEST_CASE("equalities") { test_laws_of_one(by_polynomials, equalities_of_one, 1); }
TEST_CASE("formulas") { test_laws_of_one(by_polynomials, formulas_of_one, 1); }
TEST_CASE("in the plane") { test_laws_of_one(by_polynomials, equalities_in_the_plane, 1); }
