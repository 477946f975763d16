#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# macros.sh COMPILER FILE OPTION...: preprocesses FILE, which includes every header, and fails if a macro that was
# defined in a header of the library is still visible at the end.
set -euo pipefail
compiler=$1
file=$2
shift 2
"$compiler" -std=c++20 -E -dD "$@" "$file" | awk '
  /^# [0-9]+ "/ { where = $0; sub(/^# [0-9]+ /, "", where); ours = where ~ /include\/lodewire\//; seen += ours; next }
  /^#define / { name = $2; sub(/\(.*/, "", name); if (ours) live[name] = where; else delete live[name] }
  /^#undef / { delete live[$2] }
  END {
    if (!seen) { print "no header of the library in the input"; exit 1 }
    for (name in live) { print live[name] ": leaves the macro " name " visible"; bad = 1 }
    exit bad
  }'
