#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
# How long a user waits for the compiler: user time in seconds, best of RUNS (5), of the dependencies alone, the whole
# library unused, and a program of some forty lines. CXX and CXXFLAGS as usual (g++, -O2).
#   bench/compile_time.sh [RUNS]
set -eu
runs=${1:-5}
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

for h in algorithm array bit charconv cmath complex concepts cstdint iostream limits numbers optional span stdexcept \
  string string_view utility vector lodewire/quantity/units.hpp; do
  echo "#include <$h>"
done >"$work/dependencies.cpp"
printf '#include <iostream>\n#include <lodewire/lodewire.hpp>\n' >"$work/unused.cpp"

# User time of one compilation, from the shell's own 'times' (children, second line).
once() (
  # shellcheck disable=SC2086 # several flags
  "${CXX:-g++}" -std=c++20 ${CXXFLAGS:--O2} -I"$here/../include" -c "$1" -o "$work/out.o"
  times >"$work/times" # not into a pipe: that would be another shell, without children
  awk -F'[ms ]' 'NR == 2 { print 60 * $1 + $2 }' "$work/times"
)
best() {
  i=0
  while [ "$i" -lt "$runs" ]; do
    once "$1"
    i=$((i + 1))
  done | sort -n | head -n 1
}

dependencies=$(best "$work/dependencies.cpp")
echo "seconds dependencies $dependencies"
echo "seconds library_unused $(best "$work/unused.cpp")"
echo "seconds user_file $(best "$here/compile/user_file.cpp")"
