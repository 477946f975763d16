#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# compare_output.sh PROGRAM EXPECTED: EXPECTED begins with a line '$ name ARGUMENT...'; runs PROGRAM with these
# arguments, in the folder of the examples, and compares what it prints with the rest. Words must be the same; a number
# may differ by one in its last printed place, or by 1e-6 of itself where more are printed; the blanks between words and
# the length of rules do not count. To renew the file, read the difference first:
# compare_output.sh PROGRAM EXPECTED --renew
set -euo pipefail
program=$1
expected=$(readlink -f "$2")
cd "$(dirname "$0")/../../examples"
command=$(head -n 1 "$expected")
if [[ $command != '$ '* ]]; then
  echo "$expected: line 1 is no '\$ name ARGUMENT...'" >&2
  exit 1
fi
eval "arguments=(${command#\$ })"
printed=$(mktemp)
trap 'rm -f "$printed"' EXIT
{ echo "$command" && "$program" "${arguments[@]:1}"; } >"$printed" || {
  echo "$command ended with $?" >&2
  exit 1
}
if [[ ${3-} == --renew ]]; then
  cp "$printed" "$expected"
  exit
fi
awk '
  # Numbers and the words between them, one list for each line.
  function split_line(text, words,   count, number) {
    gsub(/−/, "-", text)
    gsub(/[ \t]+/, " ", text)
    gsub(/(─)+/, "─", text)
    count = 0
    number = "[-+]?[0-9]+([.][0-9]+)?([eE][-+]?[0-9]+)?"
    while (match(text, number)) {
      words[++count] = substr(text, 1, RSTART - 1)
      words[++count] = substr(text, RSTART, RLENGTH)
      text = substr(text, RSTART + RLENGTH)
    }
    words[++count] = text
    return count
  }
  function absolute(x) { return x < 0 ? -x : x }
  function last_place(number,   power, point) {
    power = 0
    if (match(number, /[eE]/)) {
      power = substr(number, RSTART + 1) + 0
      number = substr(number, 1, RSTART - 1)
    }
    point = index(number, ".")
    return 10 ^ (power - (point ? length(number) - point : 0))
  }
  function near(ours, theirs,   allowed) {
    allowed = 1.001 * last_place(theirs)
    # A whole number without a point is a count, a name or a marking more often than a rounded figure.
    if (theirs !~ /[.eE]/ && ours !~ /[.eE]/ && absolute(theirs) < 10) allowed = 0
    if (allowed < 1e-6 * absolute(theirs)) allowed = 1e-6 * absolute(theirs)
    if (allowed < 1e-12) allowed = 1e-12
    return absolute(ours - theirs) <= allowed
  }
  function differs(why) {
    printf "line %d: %s\n  expected: %s\n  printed:  %s\n", FNR, why, expected[FNR], $0
    differences++
  }
  NR == FNR { expected[FNR] = $0; lines = FNR; next }
  {
    printed = FNR
    if (FNR > lines) { differs("one line too many"); next }
    ours = split_line($0, our)
    theirs = split_line(expected[FNR], their)
    if (ours != theirs) { differs("other words"); next }
    for (i = 1; i <= ours; i++) {
      if (i % 2 == 1 ? our[i] != their[i] : !near(our[i], their[i])) {
        differs("\"" our[i] "\" instead of \"" their[i] "\"")
        break
      }
    }
  }
  END {
    if (printed < lines) { print lines - printed " lines too few"; differences++ }
    exit differences > 0
  }' "$expected" "$printed"
