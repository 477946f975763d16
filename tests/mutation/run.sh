#!/bin/bash
# SPDX-License-Identifier: BSL-1.0
set -euo pipefail
here=$(cd "$(dirname "$(readlink -f "$0")")" && pwd -P)
root=$(cd "$here/../.." && pwd -P)
. "$root/cmake/packages.sh"
. "$root/cmake/build.sh"

usage() {
  cat <<END
Usage: tests/mutation/run.sh [WORD...]

Would the tests notice a wrong formula? Applies each change of tests/mutation/changes.txt, one at a time, to a copy
of include/, builds the tests that the change names against the copy and runs them:
  KILLED             a test failed, as it should
  UNNOTICED          none did; the change is printed
  EQUIVALENT         none did, and the list says why none can
  DOES NOT COMPILE   the change says nothing; mend the list
Ends with a summary, and in failure if a change goes unnoticed, does not compile, or is called equivalent and gets
noticed. A text that is not in its file exactly once ends it at once: the list follows the sources.
With WORDs only the changes that hold one of them in their file, tests or text. The sources stay as they are.
CXX names the compiler, g++ if not set (clang++ is the faster one). On demand only: some ten minutes and more.
END
}
case ${1-} in -h | --help) usage && exit ;; esac

need_packages "$compiler_package" libboost-dev libeigen3-dev doctest-dev

work=$(mktemp -d "${TMPDIR:-/tmp}/lodewire-mutation.XXXXXX")
trap 'rm -rf "$work"' EXIT
cp -r "$root/include" "$work/"
flags=(-std=c++20 -O0 -w -D_GLIBCXX_ASSERTIONS -DDOCTEST_CONFIG_SUPER_FAST_ASSERTS
  "-DLODEWIRE_TEST_DATA=\"$root/tests/data\"" -isystem /usr/include/eigen3)
"$CXX" "${flags[@]}" -c "$root/tests/main.cpp" -o "$work/main.o"
# All that the headers and tests include of others' is read once.
{
  echo '#include <doctest/doctest.h>'
  grep -rhoE '^#include <(boost/.+|[a-z_]+)>' "$work/include" | sort -u
} >"$work/others.hpp"
"$CXX" "${flags[@]}" -x c++-header "$work/others.hpp" -o "$work/others.hpp.gch"
flags+=(-include "$work/others.hpp")

# build TEST: the program of that test against the copy.
build() {
  "$CXX" "${flags[@]}" -I"$work/include" "$root/tests/$1.cpp" "$work/main.o" -o "$work/test" 2>"$work/errors"
}
# passes: runs the program that was built; one that never ends, or eats all memory, has failed. What the shell says of
# a crash is not shown.
passes() {
  { (ulimit -v 8000000 && exec timeout 60 "$work/test" -aa=1) >"$work/output" 2>&1; } 2>/dev/null
}
stop() {
  echo "$*" >&2
  exit 1
}

# Unchanged headers: a test that fails by itself would notice everything.
declare -A sound=()
require_sound() {
  for test in "$@"; do
    [ -z "${sound[$test]-}" ] || continue
    build "$test" || { cat "$work/errors" && stop "tests/$test.cpp does not compile as it stands"; }
    passes || { tail -n 20 "$work/output" && stop "tests/$test.cpp fails as it stands"; }
    sound[$test]=yes
  done
}


# split FILE TEXT: `whole` is the file of the copy, `before` and `after` what stands round the text, which must be
# there exactly once.
split() {
  [ -f "$work/include/lodewire/$1" ] || stop "changes.txt: there is no include/lodewire/$1"
  whole=$(<"$work/include/lodewire/$1")
  before=${whole%%"$2"*} after=${whole#*"$2"}
  [ "$after" != "$whole" ] || stop "changes.txt: not in $1: $2"
  [ "${after#*"$2"}" = "$after" ] || stop "changes.txt: more than once in $1: $2"
}

# try FILE TESTS FROM TO REASON
try() {
  local file=$work/include/lodewire/$1 from=$3 to=$4 reason=$5 each verdict=UNNOTICED
  read -ra each <<<"$2"
  require_sound "${each[@]}"
  split "$1" "$from"
  printf '%s\n' "$before$to$after" >"$file"
  for test in "${each[@]}"; do
    if ! build "$test"; then
      verdict='DOES NOT COMPILE'
      # A static_assert that fails has noticed.
      ! grep -qE 'static assertion failed|static_assert failed' "$work/errors" || verdict=KILLED
      break
    elif ! passes; then
      verdict=KILLED && break
    fi
  done
  printf '%s\n' "$whole" >"$file"

  [ "$verdict" != UNNOTICED ] || [ -z "$reason" ] || verdict=EQUIVALENT
  count[$verdict]=$((${count[$verdict]-0} + 1))
  printf '%-16s  %s (%s): %s -> %s\n' "$verdict" "$1" "$test" "$(shown "$from")" "$(shown "$to")"
  case $verdict in
    EQUIVALENT) echo "                  $reason" ;;
    KILLED)
      [ -n "$reason" ] || return 0
      count[wrong]=$((${count[wrong]-0} + 1))
      echo "                  but is called equivalent: $reason"
      ;;
    'DOES NOT COMPILE') head -n 3 "$work/errors" ;;
  esac
}
shown() {
  [ -n "$1" ] || { echo 'nothing' && return; }
  printf '%s' "$1" | tr -s '\n ' ' '
}

# Reads the list, and checks it before anything is built.
files=() tests=() froms=() tos=() reasons=()
file='' names='' seen=''
head='^\[([^]]+)\] *(.*[^ ]) *$'
while IFS= read -r line || [ -n "$line" ]; do
  last=$((${#froms[@]} - 1))
  case $line in
    '#'* | '') seen='' ;;
    '['*)
      [[ $line =~ $head ]] || stop "changes.txt: no test: $line"
      file=${BASH_REMATCH[1]} names=${BASH_REMATCH[2]} seen=''
      ;;
    '-'*)
      if [ "$seen" = from ]; then
        froms[last]+=$'\n'${line:2}
      else
        files+=("$file") tests+=("$names") froms+=("${line:2}") tos+=('') reasons+=('') seen=from
      fi
      ;;
    '+'*)
      [ -n "$seen" ] || stop "changes.txt: replaces nothing: $line"
      [ "$seen" = to ] && tos[last]+=$'\n'${line:2} || tos[last]=${line:2}
      seen=to
      ;;
    '='*) reasons[last]=${line:2} seen='' ;;
    *) stop "changes.txt: neither -, + nor =: $line" ;;
  esac
done <"$here/changes.txt"
for k in "${!froms[@]}"; do
  [ -n "${froms[k]}" ] || stop "changes.txt: a change of ${files[k]} without a text"
  split "${files[k]}" "${froms[k]}"
done

chosen() {
  [ ${#words[@]} -gt 0 ] || return 0
  for word in "${words[@]}"; do
    case $1 in *"$word"*) return 0 ;; esac
  done
  return 1
}
words=("$@")
declare -A count=()
applied=0
for k in "${!froms[@]}"; do
  chosen "${files[k]} ${tests[k]} ${froms[k]}" || continue
  try "${files[k]}" "${tests[k]}" "${froms[k]}" "${tos[k]}" "${reasons[k]}"
  applied=$((applied + 1))
done

[ "$applied" -gt 0 ] || stop "no change was applied"
echo
echo "$applied changes: ${count[KILLED]-0} killed, ${count[EQUIVALENT]-0} equivalent," \
  "${count[UNNOTICED]-0} unnoticed, ${count[DOES NOT COMPILE]-0} that do not compile"
[ -z "${count[wrong]-}" ] || echo "${count[wrong]} called equivalent that get noticed"
[ -z "${count[UNNOTICED]-}${count[DOES NOT COMPILE]-}${count[wrong]-}" ]
