// SPDX-License-Identifier: BSL-1.0
// Laws of one circuit, for the derivatives by dual numbers.
#include "laws_of_one.hpp"
#include "way_slope.hpp"

using namespace laws;

TEST_CASE("equalities") { test_laws_of_one(by_slopes, equalities_of_one, 1); }
TEST_CASE("in the plane") { test_laws_of_one(by_slopes, equalities_in_the_plane, 1); }
