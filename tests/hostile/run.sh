#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
set -euo pipefail
here=$(cd "$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")" && pwd -P)
root=$(cd "$here/../.." && pwd -P)
. "$root/cmake/packages.sh"

case ${1-} in
  '') ;;
  *)
    cat <<END
Usage: tests/hostile/run.sh

Installs what is missing (with apt), then builds the headers and a small program (tests/hostile/core.cpp) in ways that
users do and we do not, with g++ and clang++, under build/hostile:
  without RTTI    all headers, and the program
  with -Ofast     the program: NaN and infinities are still refused
  with macros     every header behind macros that other headers define (tests/hostile/taken_names.hpp)
  two widths      one unit for any x86-64 machine and one for x86-64-v3, in one program, linked in both orders; and the
                  latter in a shared library
  under valgrind  the program
Fails at the first that does not hold.
END
    [[ $1 == -h || $1 == --help ]] && exit
    exit 2
    ;;
esac

echo 'Hostile builds: installing what is missing, building, running'
need_packages g++ clang binutils valgrind libboost-dev libeigen3-dev nlohmann-json3-dev

work=$root/build/hostile
if ! mkdir -p "$work" 2>/dev/null || [[ ! -w $work ]]; then work=${XDG_CACHE_HOME:-$HOME/.cache}/lodewire/hostile; fi
mkdir -p "$work"
cd "$work"
options=(-std=c++20 "-I$root/include" -isystem /usr/include/eigen3 -Wall -Wextra -Wpedantic -Wconversion
  -Wsign-conversion -Wshadow -Wdouble-promotion -Wold-style-cast -Werror)
compilers=(g++ clang++)

# together: reads commands, one a line, and runs as many at once as there are processors; fails if one does.
together() { tr '\n' '\0' | xargs -0 -P "$(nproc)" -I{} bash -c '{} || { echo "FAILED: "{}; exit 255; }'; }
# command WORD...: the words as one line of shell.
command_of() { printf '%q ' "$@"; echo; }

headers=()
while IFS= read -r header; do headers+=("$header"); done \
  < <(cd "$root/include" && find lodewire -name '*.hpp' | LC_ALL=C sort)
((${#headers[@]} > 0))

(cd "$root/include" && grep -rhoE '^#[ \t]*include <[^>]+>' lodewire | grep -v '<lodewire/' | LC_ALL=C sort -u) \
  > others.hpp

echo "== without RTTI, and with macros that other headers define: ${#headers[@]} headers"
printf '#include <%s>\n' "${headers[@]}" > headers.cpp
{
  # Behind what ours include of others, which must look after itself.
  echo '#include "others.hpp"'
  echo "#include \"$here/taken_names.hpp\""
  cat headers.cpp
} > macros.cpp
for compiler in "${compilers[@]}"; do
  command_of "$compiler" "${options[@]}" -fno-rtti -fsyntax-only headers.cpp
  command_of "$compiler" "${options[@]}" -fsyntax-only macros.cpp
done | together

echo '== the program, without RTTI and with -Ofast'
for compiler in "${compilers[@]}"; do
  command_of "$compiler" "${options[@]}" -O1 -g -fno-rtti "$here/core.cpp" -o "core-no-rtti-$compiler"
  command_of "$compiler" "${options[@]}" -Ofast "$here/core.cpp" -o "core-Ofast-$compiler"
done | together
for program in core-{no-rtti,Ofast}-{g++,clang++}; do
  echo "-- $program"
  "./$program"
done

echo '== the program under valgrind'
valgrind --quiet --error-exitcode=1 --leak-check=full --errors-for-leak-kinds=definite,possible \
  ./core-no-rtti-g++ | tail -n 1

if [[ $(uname -m) != x86_64 ]]; then
  echo '== two widths: SKIPPED, this is no x86-64 machine'
  exit
fi
echo '== two widths in one program'
for_wide=(-O2 -march=x86-64-v3)
for compiler in "${compilers[@]}"; do
  command_of "$compiler" "${options[@]}" -O2 -march=x86-64 -DRESULTS=plain_results -c "$here/widths.cpp" \
    -o "plain-$compiler.o"
  command_of "$compiler" "${options[@]}" "${for_wide[@]}" -DRESULTS=wide_results -c "$here/widths.cpp" \
    -o "wide-$compiler.o"
  command_of "$compiler" "${options[@]}" "${for_wide[@]}" -fPIC -fvisibility=hidden -fvisibility-inlines-hidden \
    '-DRESULTS=__attribute__((visibility("default"))) wide_results' -shared "$here/widths.cpp" \
    -o "libwide-$compiler.so"
  command_of "$compiler" "${options[@]}" -march=x86-64 -c "$here/widths_main.cpp" -o "main-$compiler.o"
done | together
for compiler in "${compilers[@]}"; do
  main=main-$compiler.o plain=plain-$compiler.o wide=wide-$compiler.o
  "$compiler" "$main" "$plain" "$wide" -o "plain-first-$compiler"
  "$compiler" "$main" "$wide" "$plain" -o "wide-first-$compiler"
  "$compiler" "$main" "$plain" "./libwide-$compiler.so" -Wl,-rpath,"$work" -o "wide-apart-$compiler"
  for order in plain-first wide-first wide-apart; do
    echo "-- $order, $compiler"
    "./$order-$compiler"
  done
  bash "$here/shared_symbols.sh" "$plain" "$wide"
  # The one way to keep code for the wider machine from being used by the other unit.
  if objdump -d --no-show-raw-insn "wide-apart-$compiler" | grep -E '%ymm|vfn?m(add|sub)'; then
    echo "FAILED: wide-apart-$compiler has instructions of the wider machine outside of its library"
    exit 1
  fi
done
echo 'All hostile builds hold'
