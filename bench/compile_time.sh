#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
# How long a user waits for the compiler: user time in seconds, best of RUNS. CXX and CXXFLAGS as usual (g++, -O2).
#
#   bench/compile_time.sh [RUNS]          the dependencies alone, the whole library unused, a program of some forty
#                                         lines; best of 5 if RUNS is not given
#   bench/compile_time.sh --full [RUNS]   these; every header alone, with the size of its object, beside a file of
#                                         only what it includes of others; which headers bring Eigen; how many lines
#                                         the compiler says about two mistakes. Best of 1; takes some minutes
#
# Lines 'ratio NAME VALUE goal GOAL' as bench/run.sh. Writes nothing but to a temporary folder.
set -eu
full=no
if [ "${1-}" = --full ]; then full=yes && shift; fi
runs=${1:-$([ $full = yes ] && echo 1 || echo 5)}
here=$(cd "$(dirname "$(readlink -f "$0")")" && pwd -P)
include=$(cd "$here/../include" && pwd -P)
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
  "${CXX:-g++}" -std=c++20 ${CXXFLAGS:--O2} -I"$include" -isystem /usr/include/eigen3 -MD -MF "$work/out.d" \
    -c "$1" -o "$work/out.o" || exit 1
  times >"$work/times" # not into a pipe: that would be another shell, without children
  awk -F'[ms ]' 'NR == 2 { print 60 * $1 + $2 }' "$work/times"
)
best() {
  i=0
  while [ "$i" -lt "$runs" ]; do
    once "$1" || { echo "$1 does not compile" >&2 && kill $$; }
    i=$((i + 1))
  done | sort -n | head -n 1
}
ratio() { awk -v over="$2" -v under="$3" -v name="$1" -v goal="$4" \
  'BEGIN { printf "ratio compile/%s %.2f goal %s\n", name, over / under, goal }'; }

dependencies=$(best "$work/dependencies.cpp")
unused=$(best "$work/unused.cpp")
user=$(best "$here/compile/user_file.cpp")
echo "seconds dependencies $dependencies"
echo "seconds library_unused $unused"
echo "seconds user_file $user"
[ $full = yes ] || exit 0

# What the library's headers in a list of make's include of others, as a file of its own.
of_others() {
  tr -s ' \\' '\n\n' <"$1" | grep "^$include/" | xargs sed -n 's/^ *# *include <\([^>]*\)>.*/\1/p' |
    grep -v '^lodewire/' | LC_ALL=C sort -u | sed 's/.*/#include <&>/'
}
mkdir "$work/known" # seconds of each such file, by its checksum

: >"$work/headers"
for path in $(cd "$include" && find lodewire -name '*.hpp' | LC_ALL=C sort); do
  echo "#include <$path>" >"$work/alone.cpp"
  seconds=$(best "$work/alone.cpp")
  bytes=$(($(wc -c <"$work/out.o")))
  eigen=$(tr -s ' \\' '\n\n' <"$work/out.d" | grep -c '/Eigen/' || true)
  of_others "$work/out.d" >"$work/others.cpp"
  key=$(cksum <"$work/others.cpp" | tr ' ' -)
  [ -f "$work/known/$key" ] || best "$work/others.cpp" >"$work/known/$key"
  echo "$path $seconds $(cat "$work/known/$key") $bytes $eigen"
done >"$work/headers"

echo
echo "header: seconds alone, seconds of only what it includes of others, ratio, bytes of its object"
awk '{ printf "%-46s %5.2f %5.2f %5.2f %7d%s\n", $1, $2, $3, $2 / ($3 > 0 ? $3 : 0.01), $4, ($5 > 0 ? "  Eigen" : "") }' \
  "$work/headers"
echo
awk '
  $5 > 0 && $1 !~ /\/netlist_/ { outside++; print "Eigen where it should not be: " $1 }
  $5 == 0 && $2 >= 0.25 { n++; r = $2 / ($3 > 0 ? $3 : 0.01); if (r > worst) { worst = r; at = $1 } if (r > 1.6) over++ }
  END {
    printf "ratio compile/headers_with_Eigen_beside_the_netlist %d goal <=0\n", outside
    printf "ratio compile/worst_header %.2f goal <=1.6\n", worst
    printf "The worst is %s; of the %d that take 0.25 s or more and bring no Eigen, %d are over 1.6\n", at, n, over
  }' "$work/headers"
ratio umbrella "$(awk '$1 == "lodewire/lodewire.hpp" { print $2 }' "$work/headers")" \
  "$(awk '$1 == "lodewire/lodewire.hpp" { print $3 }' "$work/headers")" '<=1.6'
ratio unused_beside_dependencies "$unused" "$dependencies" '<=1.6'
ratio user_file_seconds "$user" 1 '<=2'

for mistake in wrong_unit missing_load; do
  file=$here/compile/$mistake.cpp
  # shellcheck disable=SC2086 # several flags
  if LC_ALL=C "${CXX:-g++}" -std=c++20 ${CXXFLAGS:--O2} -I"$include" -c "$file" -o "$work/out.o" 2>"$work/said"; then
    echo "$file compiles, and should not" >&2
    exit 1
  fi
  first=$(grep -m 1 'error:' "$work/said")
  says=no
  if printf '%s\n' "$first" | grep -qE "$(sed -n 's|^// says: ||p' "$file")"; then says=yes; fi
  echo "mistake $mistake: $(($(wc -l <"$work/said"))) lines, $(($(wc -c <"$work/said"))) bytes; the first error says what is wrong: $says"
  printf '  %.160s\n' "$(printf '%s\n' "$first" | sed 's|^[^ ]*/||')"
done
