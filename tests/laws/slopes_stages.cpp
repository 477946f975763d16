// SPDX-License-Identifier: BSL-1.0
// Laws of stages and loads, for the derivatives by dual numbers.
#include "laws_of_stages.hpp"
#include "way_slope.hpp"

using namespace laws;

TEST_CASE("distribution of a load") { test_distribution(by_slopes); }
TEST_CASE("ways through") { test_ways_through(by_slopes); }
