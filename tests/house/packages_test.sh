#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
# Shows what need_packages does on machines that this one is not: the programs it calls are replaced by small
# ones that write down their calls.
set -u
here=$(cd "$(dirname "$0")" && pwd)
fake=$(mktemp -d)
trap 'rm -rf "$fake"' EXIT
failures=0

program() { # NAME BODY
  printf '#!/bin/sh\n%s\n' "$2" > "$fake/bin/$1"
  chmod +x "$fake/bin/$1"
}
# machine UID KNOWN: a machine with the package 'here' but not 'absent', whose package lists know it or not.
machine() {
  rm -rf "${fake:?}/bin"
  mkdir "$fake/bin"
  : > "$fake/calls"
  for tool in grep env sh cat; do ln -s "$(command -v $tool)" "$fake/bin/$tool"; done
  program id "echo $1"
  program dpkg-query 'for package; do :; done; [ "$package" = here ] && echo installed'
  program apt-cache "[ $2 = known ] && echo '  Candidate: 1.0' || echo '  Candidate: (none)'"
  program apt-get "echo \"apt-get \$1 \$DEBIAN_FRONTEND\" >> '$fake/calls'; [ ! -e '$fake/offline' ]"
  rm -f "$fake/offline"
}
# run STATUS TEXT CALLS PACKAGE...: what need_packages must end with, print and call.
run() {
  status=$1 text=$2 calls=$3
  shift 3
  output=$(PATH=$fake/bin sh -c '. "$0"; unset DEBIAN_FRONTEND; need_packages "$@"' "$here/../../cmake/packages.sh" "$@" 2>&1)
  got=$?
  made=$(cat "$fake/calls")
  case $output in *"$text"*) said=yes ;; *) said=no ;; esac
  if [ "$got $made $said" != "$status $calls yes" ]; then
    printf 'expected %s, <%s>, <%s>\n     got %s, <%s>, <%s>\n\n' "$status" "$text" "$calls" "$got" "$output" "$made"
    failures=$((failures + 1))
  fi
}
newline='
'

machine 0 known
run 0 '' '' here
machine 0 known
run 0 'Installing with apt: absent' 'apt-get install noninteractive' here absent
machine 0 unknown
run 0 'absent' "apt-get update ${newline}apt-get install noninteractive" here absent
machine 0 known
touch "$fake/offline"
run 1 'apt-get install --no-install-recommends absent' "apt-get install noninteractive${newline}apt-get update ${newline}apt-get install noninteractive" here absent
machine 1000 known
run 1 'neither root nor sudo' '' here absent
machine 1000 known
run 0 '' '' here
machine 1000 known
program sudo "echo sudo >> '$fake/calls'; exec \"\$@\""
run 0 'absent' "sudo${newline}apt-get install noninteractive" here absent
machine 1000 known
rm "$fake/bin/dpkg-query"
run 0 'not a Debian system' '' here absent

echo "$failures failures"
[ $failures -eq 0 ]
