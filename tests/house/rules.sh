#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# rules.sh TREE: the rules that the headers in TREE/include keep. Prints each breach, then the figures; fails if
# there was any breach.
#   - a folder includes only itself and folders above it in the list below; digital only circuit and quantity;
#     no folder includes the header of everything, which lies above all folders
#   - an include of ours is written <lodewire/folder/name.hpp> and exists; no cycle; no chain over 15 headers
#   - no header over 400 lines; licence in line 1; #pragma once; each #define taken back in the same file
#   - none of the standard headers that cost every user seconds
set -euo pipefail
cd "$1/include"
find lodewire -name '*.hpp' | LC_ALL=C sort | xargs awk '
  function breach(text) { print text; breaches++ }
  function folder(header,   part) { return split(header, part, "/") == 3 ? part[2] : "" }
  function lowest(from) { return from == "digital" ? rank["circuit"] : rank[from] }

  # The longest chain of includes that starts at this header.
  function chain(header,   i, n, best) {
    if (header in length_of) return length_of[header]
    if (header in under_way) { breach(header ": is part of an include cycle"); return 0 }
    under_way[header]
    best = 0
    for (i = 1; i <= includes[header]; i++) {
      n = chain(include[header, i])
      if (n > best) { best = n; next_of[header] = include[header, i] }
    }
    delete under_way[header]
    return length_of[header] = best + 1
  }

  function end_of_file(   name) {
    if (file == "") return
    lines[file] = line
    if (line > 400) breach(file ": has " line " lines, more than 400")
    if (!guarded) breach(file ": has no #pragma once")
    for (name in defined) breach(file ":" defined[name] ": #define " name " is not taken back by an #undef")
    delete defined
  }

  BEGIN {
    count = split("quantity circuit parts analysis instrument design digital", folders, " ")
    for (i = 1; i <= count; i++) rank[folders[i]] = i
    count = split("iostream regex ranges functional format", words, " ")
    for (i = 1; i <= count; i++) costly[words[i]]
  }

  FNR == 1 {
    end_of_file()
    file = FILENAME
    files++
    guarded = 0
    if ($0 != "// SPDX-License-Identifier: BSL-1.0") breach(file ":1: is not the licence line")
    if (file ~ /\/.*\// && !(folder(file) in rank)) breach(file ": lies in no folder of the list")
  }
  { line = FNR }
  /^[ \t]*#[ \t]*pragma[ \t]+once/ { guarded = 1 }
  /^[ \t]*#[ \t]*(define|undef)[ \t]/ {
    name = $0
    sub(/^[ \t]*#[ \t]*(define|undef)[ \t]+/, "", name)
    sub(/[^A-Za-z0-9_].*/, "", name)
    if ($0 ~ /^[ \t]*#[ \t]*define/) defined[name] = FNR
    else delete defined[name]
  }
  /^[ \t]*#[ \t]*include[ \t]*"/ { breach(file ":" FNR ": includes with quotes: " $0) }
  /^[ \t]*#[ \t]*include[ \t]*</ {
    what = $0; sub(/^[^<]*</, "", what); sub(/>.*/, "", what)
    if (what in costly) breach(file ":" FNR ": includes <" what ">, which is slow to compile")
    if (what !~ /^lodewire\//) next
    include[file, ++includes[file]] = what
    at[file, includes[file]] = FNR
  }

  END {
    end_of_file()
    if (files == 0) breach("there is no header")
    for (header in lines) {
      from = folder(header)
      for (i = 1; i <= includes[header]; i++) {
        what = include[header, i]
        to = folder(what)
        place = header ":" at[header, i] ": "
        if (!(what in lines)) breach(place "includes <" what ">, which does not exist")
        else if (from == "") continue
        else if (to == "") breach(place "includes <" what ">, which lies above all folders")
        else if (to != from && (rank[to] >= rank[from] || rank[to] > lowest(from)))
          breach(place from " may not include " to)
      }
    }
    for (header in lines) if (chain(header) > chain(longest)) longest = header
    delete length_of[""]
    if (chain(longest) > 15) breach(longest ": starts an include chain of " chain(longest) " headers, more than 15")

    for (header in lines) { # the median, by counting
      below = equal = 0
      for (other in lines) { if (lines[other] < lines[header]) below++; else if (lines[other] == lines[header]) equal++ }
      if (below * 2 < files && (below + equal) * 2 >= files) median = lines[header]
    }
    printf "%d headers, median %d lines, longest include chain %d:", files, median, chain(longest)
    for (header = longest; header != ""; header = next_of[header]) printf " %s", header
    printf "\n%d breaches of the rules\n", breaches
    exit breaches > 0
  }' /dev/null
