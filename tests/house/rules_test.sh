#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# rules_test.sh COMPILER: shows that rules.sh and macros.sh find what they look for, on small trees made for it.
set -euo pipefail
compiler=$1
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
tree="$(mktemp -d)/a tree" # with a blank in its path
mkdir "$tree"
trap 'rm -rf "${tree%/*}"' EXIT
failures=0

# A header with the given body lines; a fresh tree holds one header in most folders, and keeps every rule.
header() {
  local file=$tree/include/lodewire/$1
  shift
  mkdir -p "$(dirname "$file")"
  printf '%s\n' '// SPDX-License-Identifier: BSL-1.0' '#pragma once' "$@" > "$file"
}
fresh() {
  rm -rf "${tree:?}/include"
  header quantity/unit.hpp '#define LODEWIRE_X 1' 'inline int x = LODEWIRE_X;' '#undef LODEWIRE_X'
  header circuit/program.hpp '#include <vector>' '#include <lodewire/quantity/unit.hpp>'
  header parts/coil.hpp '#include <lodewire/circuit/program.hpp>'
  header digital/filter.hpp '#include <lodewire/circuit/program.hpp>' '#include <lodewire/quantity/unit.hpp>'
  header lodewire.hpp '#include <lodewire/digital/filter.hpp>' '#include <lodewire/parts/coil.hpp>'
}
# expect TEXT: rules.sh must fail with this text. With an empty text it must pass.
expect() {
  local output status=0
  output=$(bash "$here/rules.sh" "$tree") || status=$?
  if [[ -z $1 && $status -ne 0 ]] || [[ -n $1 && ($status -eq 0 || $output != *"$1"*) ]]; then
    printf 'expected <%s>, got status %d and:\n%s\n\n' "$1" "$status" "$output"
    failures=$((failures + 1))
  fi
}

fresh
expect ''
header circuit/program.hpp '#include <lodewire/parts/coil.hpp>'
expect 'program.hpp:3: circuit may not include parts'
expect 'is part of an include cycle'
fresh
header digital/filter.hpp '#  include <lodewire/parts/coil.hpp>'
expect 'filter.hpp:3: digital may not include parts'
fresh
header parts/coil.hpp '#include <lodewire/lodewire.hpp>'
expect 'coil.hpp:3: includes <lodewire/lodewire.hpp>, which lies above all folders'
fresh
header parts/coil.hpp '#include "program.hpp"'
expect 'coil.hpp:3: includes with quotes'
fresh
header parts/coil.hpp '#include <lodewire/circuit/absent.hpp>'
expect 'which does not exist'
fresh
header sundry/other.hpp
expect 'other.hpp: lies in no folder of the list'
fresh
header parts/coil.hpp 'int x;' '# define LODEWIRE_Y(a) a'
expect 'coil.hpp:4: #define LODEWIRE_Y is not taken back'
fresh
header parts/coil.hpp '#include <iostream>'
expect 'coil.hpp:3: includes <iostream>'
fresh
header parts/coil.hpp "$(yes '//' | head -n 399)"
expect 'coil.hpp: has 401 lines'
fresh
printf '%s\n' '#pragma once' > "$tree/include/lodewire/parts/coil.hpp"
expect 'coil.hpp:1: is not the licence line'
fresh
printf '%s\n' '// SPDX-License-Identifier: BSL-1.0' > "$tree/include/lodewire/parts/coil.hpp"
expect 'coil.hpp: has no #pragma once'
fresh
for i in {1..12}; do header "circuit/link$i.hpp" "#include <lodewire/circuit/link$((i + 1)).hpp>"; done
header circuit/link13.hpp '#include <lodewire/circuit/program.hpp>' # 13 links, then program and unit: 15
expect ''
header circuit/link0.hpp '#include <lodewire/circuit/link1.hpp>'
expect 'starts an include chain of 16 headers'

macros() { bash "$here/macros.sh" "$compiler" "$tree/all.cpp" "-I$tree/include"; }
fresh
printf '#include <lodewire/lodewire.hpp>\n' > "$tree/all.cpp"
macros || failures=$((failures + 1))
header parts/coil.hpp '#define LODEWIRE_Z(a) (a)'
if output=$(macros); then
  echo 'macros.sh did not find LODEWIRE_Z'
  failures=$((failures + 1))
elif [[ $output != *'leaves the macro LODEWIRE_Z visible'* ]]; then
  printf 'macros.sh said: %s\n' "$output"
  failures=$((failures + 1))
fi

echo "$failures failures"
exit $((failures > 0))
