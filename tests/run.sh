#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
set -eu
root=$(cd "$(dirname "$(readlink -f "$0")")/.." && pwd -P)
. "$root/cmake/packages.sh"
. "$root/cmake/build.sh"

usage() {
  cat <<END
Usage: tests/run.sh [plain|sanitize|fast-math] [ARGUMENT...]

Installs what is missing (with apt), builds the tests under build/ and runs them.
  plain       with the checks of the standard library (if no mode is named)
  sanitize    with the address and undefined-behaviour sanitizers; a tenth of what is drawn at random
  fast-math   with -O3 -ffast-math
The tests of the headers and scripts themselves run in plain mode only.
Each further ARGUMENT goes to ctest, such as: -R parts
CXX names the compiler, g++ if not set. WERROR=ON turns warnings into errors. LODEWIRE_DRAWS is how many per cent of
their usual number of random problems the tests draw: 1000 for ten times as many.
END
}

mode=plain
case ${1-} in
  -h | --help) usage && exit ;;
  plain | sanitize | fast-math) mode=$1 && shift ;;
esac
sanitizers='' house=OFF
case $mode in
  plain) flags="-O1 -D_GLIBCXX_ASSERTIONS" house=ON ;;
  sanitize)
    flags="-O0 -g1" sanitizers="address;undefined"
    export LODEWIRE_DRAWS="${LODEWIRE_DRAWS:-10}"
    ;;
  fast-math) flags="-O3 -ffast-math" ;;
esac

echo "Tests of lodewire ($mode, $CXX): installing what is missing, building, running"
need_packages "$compiler_package" cmake ninja-build libboost-dev libeigen3-dev doctest-dev libngspice0-dev \
  nlohmann-json3-dev librandom123-dev python3 python3-jsonschema

build_in "tests-$compiler_label-$mode" \
  -DLODEWIRE_BUILD_TESTS=ON -DLODEWIRE_BUILD_EXAMPLES=OFF -DLODEWIRE_BUILD_BENCH=OFF \
  -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_FLAGS_DEBUG="$flags" \
  -DLODEWIRE_SANITIZE="$sanitizers" -DLODEWIRE_WERROR="${WERROR:-OFF}" -DLODEWIRE_TEST_HOUSE=$house
ctest --test-dir "$build" --output-on-failure -j "$(nproc)" "$@"
