// SPDX-License-Identifier: BSL-1.0
// Laws of one circuit, in blocks of frequencies.
#include "laws_of_one.hpp"
#include "way_block.hpp"

using namespace laws;

TEST_CASE("equalities") { test_laws_of_one(in_blocks, equalities_of_one, 1); }
TEST_CASE("formulas") { test_laws_of_one(in_blocks, formulas_of_one, 1); }
