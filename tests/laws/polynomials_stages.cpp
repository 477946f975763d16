// SPDX-License-Identifier: BSL-1.0
// Laws of stages and loads, by the composed polynomials.
#include "laws_of_stages.hpp"
#include "way_polynomial.hpp"

using namespace laws;

TEST_CASE("formulas of stages") { test_laws_of_stages(by_polynomials, formulas_of_stages, 1); }
TEST_CASE("distribution of a load") { test_distribution(by_polynomials); }
TEST_CASE("ways through") { test_ways_through(by_polynomials); }
