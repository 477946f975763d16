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

Installs what is missing (with apt), builds the main examples under build/ and runs them: load_match, survey (on a demo
and on a measured guitar), measured_coil. Each ARGUMENT goes to load_match; without any it works on a built-in case.
With the name of an example first, only that one is built and run, in the folder where you are, and gets the rest:

  examples/run.sh survey guitar.json --position both --knob "neck volume=7" --into pedal --plot pictures

CXX names the compiler, g++ if not set. WERROR=ON turns warnings into errors.
END
    exit
    ;;
esac

# build_examples NAME...
build_examples() {
  build_only=$(printf 'example_%s ' "$@")
  echo "Examples of lodewire ($CXX): installing what is missing, building, running"
  need_packages "$compiler_package" cmake ninja-build libboost-dev libeigen3-dev libcli11-dev nlohmann-json3-dev \
    libsndfile1-dev gnuplot-nox
  build_in "examples-$compiler_label" \
    -DLODEWIRE_BUILD_TESTS=OFF -DLODEWIRE_BUILD_EXAMPLES=ON -DLODEWIRE_BUILD_BENCH=OFF \
    -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_FLAGS_DEBUG=-O0 -DLODEWIRE_WERROR="${WERROR:-OFF}"
}

# no_example NAME: says which examples there are and which one is nearest, and ends.
no_example() {
  for source in "$root"/examples/*.cpp; do basename "$source" .cpp; done | awk -v asked="$1" '
    function least(a, b) { return a < b ? a : b }
    function edits(a, b,   i, j, row, next_row) {
      for (j = 0; j <= length(b); j++) row[j] = j
      for (i = 1; i <= length(a); i++) {
        next_row[0] = i
        for (j = 1; j <= length(b); j++)
          next_row[j] = least(least(row[j], next_row[j - 1]) + 1, row[j - 1] + (substr(a, i, 1) != substr(b, j, 1)))
        for (j = 0; j <= length(b); j++) row[j] = next_row[j]
      }
      return row[length(b)]
    }
    BEGIN { fewest = int(length(asked) * 2 / 5) + 1 }
    {
      list = list "\n  " $0
      needed = edits(tolower(asked), $0)
      if (needed < fewest) { fewest = needed; nearest = $0 }
    }
    END {
      print "no example \047" asked "\047" (nearest == "" ? "." : "; did you mean " nearest "?") " There are:" list
    }' >&2
  exit 2
}

case ${1-} in
  '' | -* | */*) ;;
  *)
    if [ -f "$root/examples/$1.cpp" ]; then
      build_examples "$1" >&2 # standard output is the example's own
      name=$1
      shift
      exec "$build/examples/$name" "$@"
    fi
    no_example "$1"
    ;;
esac

build_examples load_match survey measured_coil
pictures=$build/pictures
mkdir -p "$pictures"
cd "$pictures"
echo "== load_match"
case " $*" in
  *' --plot'*) "$build/examples/load_match" "$@" ;;
  *) "$build/examples/load_match" --plot "$pictures" "$@" ;;
esac
echo "== survey"
"$build/examples/survey" --plot "$pictures"
"$build/examples/survey" "$root/examples/instruments/measured_guitar.json" --plot "$pictures"
echo "== measured_coil"
"$build/examples/measured_coil"
echo "Pictures, if any, are in $pictures"
