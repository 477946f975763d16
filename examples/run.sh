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
       examples/run.sh NAME [ARGUMENT...]

Installs what is missing (with apt), builds the examples under build/ and runs the main ones: load_match, survey (on a
demo and on a measured guitar), measured_coil. Each ARGUMENT goes to load_match; without any it works on a built-in
case. With the name of an example first, only that one runs, in the folder where you are, and gets the rest:

  examples/run.sh survey guitar.json --position both --knob "neck volume=7" --into pedal --plot pictures

CXX names the compiler, g++ if not set. WERROR=ON turns warnings into errors.
END
    exit
    ;;
esac

build_examples() {
  echo "Examples of lodewire ($CXX): installing what is missing, building, running"
  need_packages "$compiler_package" cmake ninja-build libboost-dev libeigen3-dev libcli11-dev nlohmann-json3-dev \
    gnuplot-nox
  build_in "examples-$compiler_label" \
    -DLODEWIRE_BUILD_TESTS=OFF -DLODEWIRE_BUILD_EXAMPLES=ON -DLODEWIRE_BUILD_BENCH=OFF \
    -DCMAKE_BUILD_TYPE=Release -DLODEWIRE_WERROR="${WERROR:-OFF}"
}

case ${1-} in
  '' | -* | */*) ;;
  *)
    if [ -f "$root/examples/$1.cpp" ]; then
      build_examples >&2 # standard output is the example's own
      name=$1
      shift
      exec "$build/examples/$name" "$@"
    fi
    ;;
esac

build_examples
pictures=$build/pictures
mkdir -p "$pictures"
cd "$pictures"
echo "== load_match"
"$build/examples/load_match" "$@"
echo "== survey"
"$build/examples/survey" --plot "$pictures"
"$build/examples/survey" "$root/examples/instruments/measured_guitar.json" --plot "$pictures"
echo "== measured_coil"
"$build/examples/measured_coil"
echo "Pictures, if any, are in $pictures"
