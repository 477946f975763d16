#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
set -eu
root=$(cd "$(dirname "$(readlink -f "$0")")/.." && pwd -P)
CXX=g++ # gcov belongs to it
. "$root/cmake/packages.sh"
. "$root/cmake/build.sh"

usage() {
  cat <<END
Usage: tests/coverage.sh [ARGUMENT...]

How much of include/ do the tests run? Builds all tests of tests/CMakeLists.txt without optimisation, with g++
--coverage, in a build folder of its own, runs them, and prints line and branch coverage by file and in total: gcovr's
figures, branches that only an exception thrown on the way takes left out. The tests of the headers and scripts
themselves compute nothing and are left out.
Each ARGUMENT goes to ctest, such as: -R parts
The page with every line is printed last. On demand only: some minutes.
END
}
case ${1-} in -h | --help) usage && exit ;; esac

need_packages "$compiler_package" gcovr cmake ninja-build libboost-dev libeigen3-dev doctest-dev libngspice0-dev

build_in coverage \
  -DLODEWIRE_BUILD_TESTS=ON -DLODEWIRE_BUILD_EXAMPLES=OFF -DLODEWIRE_BUILD_BENCH=OFF \
  -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_FLAGS_DEBUG="-O0 -g1 --coverage -fprofile-abs-path" \
  -DLODEWIRE_TEST_HOUSE=OFF
find "$build" -name '*.gcda' -delete
status=0
ctest --test-dir "$build" --output-on-failure -j "$(nproc)" "$@" || status=$?

page=$build/coverage/index.html
mkdir -p "$(dirname "$page")"
report() {
  gcovr --root "$root" --filter "$root/include/" --exclude-throw-branches "$@" "$build"
}
report --json "$build/coverage.json"
again() {
  gcovr --root "$root" --add-tracefile "$build/coverage.json" "$@"
}
echo "Lines:"
again
echo "Branches:"
again --branches
echo "Headers that no test runs a line of (those that only declare or include have none):"
again --csv | cut -d, -f1 | sort >"$build/listed"
(cd "$root" && find include -name '*.hpp' | sort) | comm -23 - "$build/listed"
again --html-details "$page" --print-summary
echo "Every line: $page"
exit "$status"
