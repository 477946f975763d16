#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
# readme.sh TREE FIRST_PREDICTION PUBLISHED_FIGURES: fails unless
#   - the C++ block of README.md is the part of examples/first_prediction.cpp between its two [readme] lines
#   - the text block of README.md is what the program FIRST_PREDICTION prints
#   - the blocks of docs/embedding.md are examples/embedding.cpp and its kept output; docs/audio.md and processor
#   - docs/validation.md holds, between its two [figures] lines, what the program PUBLISHED_FIGURES prints
#   - each equation that a header cites stands in docs/theory.md, and no page of the docs that one names is missing
set -eu
tree=$1 first=$2 figures=$3
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failures=0

# block LANGUAGE [PAGE]: the first fenced block of that language in README.md, or in another page.
block() {
  awk -v open="\`\`\`$1" '$0 == "```" && on { exit } on { print } $0 == open { on = 1 }' "$tree/${2-README.md}"
}
# between FILE LINE: what stands between the first two lines that are just LINE.
between() { awk -v mark="$2" '$0 == mark { n++; next } n == 1' "$1"; }
# same WHAT LEFT RIGHT: two files that must hold the same, and something.
same() {
  if [ ! -s "$2" ]; then
    echo "$1: nothing found to compare"
    failures=$((failures + 1))
  elif ! diff -u "$2" "$3"; then
    echo "$1: differ"
    failures=$((failures + 1))
  fi
}

block cpp > "$work/snippet"
between "$tree/examples/first_prediction.cpp" '// [readme]' > "$work/example"
same 'README.md and examples/first_prediction.cpp' "$work/snippet" "$work/example"

block text > "$work/shown"
"$first" > "$work/printed"
same 'README.md and what the example prints' "$work/shown" "$work/printed"

block cpp docs/embedding.md > "$work/page"
between "$tree/examples/embedding.cpp" '// [embedding]' > "$work/held"
same 'docs/embedding.md and examples/embedding.cpp' "$work/page" "$work/held"
block text docs/embedding.md > "$work/shown"
sed 1d "$tree/examples/embedding/demo.txt" > "$work/kept"
same 'docs/embedding.md and examples/embedding/demo.txt' "$work/shown" "$work/kept"
block cpp docs/audio.md > "$work/page"
between "$tree/examples/processor.cpp" '// [processor]' > "$work/held"
same 'docs/audio.md and examples/processor.cpp' "$work/page" "$work/held"
block text docs/audio.md > "$work/shown"
sed 1d "$tree/examples/processor/demo.txt" > "$work/kept"
same 'docs/audio.md and examples/processor/demo.txt' "$work/shown" "$work/kept"

between "$tree/docs/validation.md" '<!-- [figures] -->' > "$work/tables"
"$figures" > "$work/computed"
same 'docs/validation.md and what examples/published_figures.cpp prints' "$work/tables" "$work/computed"

# 'eq. 9', 'eq. 2 to 16', 'eq. 14 and 21': every number in them.
grep -rhoE 'eq\. [0-9]+( (to|and) [0-9]+)?' "$tree/include" | grep -oE '[0-9]+' | sort -un > "$work/cited"
grep -oE '\(eq\. [0-9]+\)' "$tree/docs/theory.md" | grep -oE '[0-9]+' | sort -un > "$work/numbered"
[ -s "$work/cited" ] || { echo 'no header cites an equation'; failures=$((failures + 1)); }
while read -r number; do
  grep -qx "$number" "$work/numbered" || { echo "docs/theory.md has no eq. $number"; failures=$((failures + 1)); }
done < "$work/cited"
for page in $(grep -rhoE 'docs/[a-z_]+\.md' "$tree/include" | sort -u); do
  [ -f "$tree/$page" ] || { echo "$page, which a header names, does not exist"; failures=$((failures + 1)); }
done

echo "$failures failures"
[ "$failures" -eq 0 ]
