// SPDX-License-Identifier: BSL-1.0
// The main program of every test; built once, the slow part of doctest with it.
#define DOCTEST_CONFIG_IMPLEMENT_WITH_MAIN
#include <doctest/doctest.h>
