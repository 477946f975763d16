#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
# excerpts.sh PAGE OUTPUT...: fails unless each block of text (```text) of the page stands, line for line, in one of the
# outputs.
set -eu
page=$1
shift
awk '
  FNR == 1 { file++ }
  file < ARGC - 1 { kept = kept "\n" $0; next }
  FNR == 1 { kept = kept "\n" }
  $0 == "```" && on {
    on = 0
    blocks++
    if (!index(kept, block "\n")) { print "no kept output holds this block:" block; failures++ }
    next
  }
  on { block = block "\n" $0 }
  $0 == "```text" { on = 1; block = "" }
  END {
    if (!blocks) print "no block was found"
    exit !blocks || failures > 0
  }' "$@" "$page"
