# SPDX-License-Identifier: BSL-1.0
# Sourced by the scripts of this project, POSIX sh.
# need_packages NAME...: sees to it that these Debian packages are installed. Asks dpkg first and calls apt only
# when something is missing, so a second run needs no network. Ends the script where it cannot install.
need_packages() {
  if ! command -v dpkg-query >/dev/null 2>&1; then
    echo "This is not a Debian system. Going on, but it needs what these Debian packages hold: $*"
    return 0
  fi
  missing=
  for package in "$@"; do
    dpkg-query -W -f '${db:Status-Status}\n' "$package" 2>/dev/null | grep -qx installed || missing="$missing $package"
  done
  [ -n "$missing" ] || return 0

  if [ "$(id -u)" -eq 0 ]; then
    as_root=
  elif command -v sudo >/dev/null 2>&1; then
    as_root=sudo
  else
    packages_by_hand "and neither root nor sudo is here to install them"
  fi
  echo "Installing with apt:$missing"
  # The package lists may be absent, or so old that they name files that are gone: then fetch them, and try again.
  if ! { lists_know_all && apt_install; }; then
    $as_root apt-get update -q || echo "Not all package lists could be fetched; trying with those that were"
    apt_install || packages_by_hand "and apt could not install them"
  fi
}

lists_know_all() {
  for package in $missing; do
    apt-cache policy "$package" 2>/dev/null | grep -q 'Candidate: [^(]' || return 1
  done
}

# shellcheck disable=SC2086 # a list of words
apt_install() {
  $as_root env DEBIAN_FRONTEND=noninteractive \
    apt-get install -q -y --no-install-recommends -o DPkg::Lock::Timeout=300 $missing </dev/null
}

packages_by_hand() {
  {
    echo "These packages are missing, $1:$missing"
    echo "Install them as root, then run this again:"
    echo "  apt-get update && apt-get install --no-install-recommends$missing"
  } >&2
  exit 1
}
