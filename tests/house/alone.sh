#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# alone.sh CXX INCLUDE_DIR FLAG...: compiles each header as the first and only thing in a file, included twice. What a
# header includes anyway, directly or not, may come precompiled: of the headers below, the one with most in it. Prints
# how many headers there were; fails with the compiler's words.
set -euo pipefail
cxx=$1 include_dir=$2
shift 2
flags=(-std=c++20 "-I$include_dir" "$@")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
bases=(quantity/units quantity/requirement circuit/program circuit/source circuit/composer analysis/resonance analysis/study instrument/instrument
  instrument/json_node instrument/compose_position design/finding design/trial)

cd "$include_dir"
find lodewire -name '*.hpp' | LC_ALL=C sort > "$work/headers"
xargs grep -HoE '^#include <lodewire/[^>]+>' < "$work/headers" | sed 's/:#include </ /; s/>$//' > "$work/includes"
# HEADER BASE: the last base of the list that the header includes, or none.
awk -v bases="${bases[*]}" '
  function reaches(header, base,   list, n, k) {
    if ((header, base) in known) return known[header, base]
    known[header, base] = 0
    n = split(of[header], list, " ")
    for (k = 1; k <= n; k++)
      if (list[k] == base || reaches(list[k], base)) known[header, base] = 1
    return known[header, base]
  }
  FNR == NR { of[$1] = of[$1] " " $2; next }
  {
    n = split(bases, base, " ")
    best = "none"
    for (k = 1; k <= n; k++)
      if (reaches($1, "lodewire/" base[k] ".hpp")) best = base[k]
    print $1, best
  }' "$work/includes" "$work/headers" > "$work/plan"

mkdir "$work/none"
touch "$work/none/first.hpp"
for base in "${bases[@]}"; do
  mkdir -p "$work/$base"
  echo "#include <lodewire/$base.hpp>" > "$work/$base/first.hpp"
  printf '%q ' "$cxx" "${flags[@]}" -x c++-header "$work/$base/first.hpp" -o "$work/$base/first.hpp.gch"
  echo
done | xargs -P "$(nproc)" -I{} bash -c '{}'
while read -r header base; do
  printf '#include <%s>\n#include <%s>\n' "$header" "$header" > "$work/${header//\//_}.cpp"
  printf '%q ' "$cxx" "${flags[@]}" -fsyntax-only -include "$work/$base/first.hpp" "$work/${header//\//_}.cpp"
  echo
done < "$work/plan" | xargs -P "$(nproc)" -I{} bash -c '{} || { echo FAILED: {}; exit 255; }'
awk '{ n[$2]++ } END { for (base in n) { all += n[base]; if (base == "none") none = n[base] }
  printf "%d headers compile alone, %d of them with nothing precompiled\n", all, none }' "$work/plan"
