// SPDX-License-Identifier: BSL-1.0
// Laws of one circuit, at points of the plane.
#include "laws_of_one.hpp"
#include "way_point.hpp"

using namespace laws;

TEST_CASE("equalities") { test_laws_of_one(at_points, equalities_of_one, 2); }
TEST_CASE("formulas") { test_laws_of_one(at_points, formulas_of_one, 2); }
TEST_CASE("in the plane") { test_laws_of_one(at_points, equalities_in_the_plane, 2); }
