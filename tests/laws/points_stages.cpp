// SPDX-License-Identifier: BSL-1.0
// Laws of stages and loads, at points of the plane.
#include "laws_of_stages.hpp"
#include "way_point.hpp"

TEST_CASE("formulas of stages") { laws::test_laws_of_stages(laws::at_points, laws::formulas_of_stages, 1); }
TEST_CASE("distribution of a load") { laws::test_distribution(laws::at_points); }
TEST_CASE("ways through") { laws::test_ways_through(laws::at_points); }
