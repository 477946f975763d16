#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
set -eu
root=$(cd "$(dirname "$(readlink -f "$0")")/.." && pwd -P)
. "$root/cmake/packages.sh"
. "$root/cmake/build.sh"

case ${1-} in
  -h | --help)
    cat <<END
Usage: examples/run.sh [ARGUMENT...]

Installs what is missing (with apt), builds the examples under build/ and runs the main one, load_match, and then
measured_coil. Each ARGUMENT goes to load_match; without any it works on a built-in case.
CXX names the compiler, g++ if not set. WERROR=ON turns warnings into errors.
END
    exit
    ;;
esac

echo "Examples of lodewire ($CXX): installing what is missing, building, running"
need_packages "$compiler_package" cmake ninja-build libboost-dev libeigen3-dev libcli11-dev nlohmann-json3-dev gnuplot-nox

build_in "examples-$compiler_label" \
  -DLODEWIRE_BUILD_TESTS=OFF -DLODEWIRE_BUILD_EXAMPLES=ON -DLODEWIRE_BUILD_BENCH=OFF \
  -DCMAKE_BUILD_TYPE=Release -DLODEWIRE_WERROR="${WERROR:-OFF}"

pictures=$build/pictures
mkdir -p "$pictures"
cd "$pictures"
echo "== load_match"
"$build/examples/load_match" "$@"
echo "== measured_coil"
"$build/examples/measured_coil"
echo "Pictures, if any, are in $pictures"
