#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
set -eu
here=$(cd "$(dirname "$(readlink -f "$0")")" && pwd -P)
root=$(cd "$here/../.." && pwd -P)
. "$root/cmake/packages.sh"

usage() {
  cat <<END
Usage: tests/fuzz/run.sh [SECONDS [HARNESS...]]

Installs what is missing (with apt), builds the fuzzing harnesses (tests/fuzz/*.cpp, all or the named ones) with
clang, libFuzzer and the address and undefined-behaviour sanitizers under build/fuzz, and runs them, as many at once as
there are processors. SECONDS (60) is for all of them together. Each starts from tests/fuzz/corpus/<harness> and from
what earlier runs kept in build/fuzz; nothing is written into the corpus. Fails on a crash, a hang (5 s for one text), a
report of a sanitizer, an exception that no reader documents, or a value that does not come back from its own text.
Prints how many texts were read. The text at fault is left in build/fuzz; run the harness on that file to see it again.
A new reader needs one more file here, and a corpus if it can have one.
END
}
case ${1-} in -h | --help) usage && exit ;; esac
seconds=${1:-60}
case $seconds in '' | *[!0-9]*) usage >&2 && exit 2 ;; esac
[ $# -eq 0 ] || shift
if [ $# -eq 0 ]; then
  for source in "$here"/*.cpp; do set -- "$@" "$(basename "$source" .cpp)"; done
fi
for name; do
  [ -f "$here/$name.cpp" ] || { echo "There is no harness $name" >&2 && exit 2; }
done

echo "Fuzzing the readers of text: $*"
need_packages clang libclang-rt-dev libboost-dev libeigen3-dev nlohmann-json3-dev

build=$root/build/fuzz
mkdir -p "$build" 2>/dev/null && [ -w "$build" ] || build=${XDG_CACHE_HOME:-$HOME/.cache}/lodewire/fuzz
mkdir -p "$build"
jobs=$(nproc)
[ "$jobs" -le $# ] || jobs=$#
each=$((seconds * jobs / $#))
[ "$each" -ge 1 ] || each=1
export here root build each

# Both get a name and do one harness; xargs runs several at once, and fails when one of them does.
cat >"$build/build_one.sh" <<'END'
cd "$build"
clang++ -std=c++20 -O1 -g1 -D_GLIBCXX_ASSERTIONS -Wall -Wextra -Wpedantic -Wconversion -Wsign-conversion -Wshadow \
  -Wdouble-promotion -Wold-style-cast -Werror -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all \
  -I"$root/include" -isystem /usr/include/eigen3 "$here/$1.cpp" -o "$1"
END
cat >"$build/run_one.sh" <<'END'
cd "$build"
mkdir -p "kept/$1"
set -- "$1" "kept/$1"
[ ! -d "$here/corpus/$1" ] || set -- "$@" "$here/corpus/$1"
name=$1
shift
if ! "./$name" -max_total_time="$each" -max_len=256 -timeout=5 -rss_limit_mb=1024 -dict="$here/values.dict" \
  -artifact_prefix="$name." -print_final_stats=1 "$@" >"$name.log" 2>&1; then
  echo "== $name failed:"
  tail -n 60 "$name.log"
  exit 1
fi
awk -v name="$name" '/^stat::number_of_executed_units/ { n = $2 } END { print n, "texts without a finding:", name }' \
  "$name.log" | tee "$name.count"
END

rm -f "$build"/*.count
printf '%s\n' "$@" | xargs -P "$jobs" -n 1 sh -eu "$build/build_one.sh"
printf '%s\n' "$@" | xargs -P "$jobs" -n 1 sh -eu "$build/run_one.sh"
cat "$build"/*.count | awk -v each="$each" '{ n += $1 } END {
  printf "%d executions by %d harnesses, %d s each, without a finding\n", n, NR, each
  exit n == 0 }'
