#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# consumers.sh BUILD_DIR: builds and runs a small program that uses the library in each of the three ways there are:
# find_package and pkg-config from an installed tree, add_subdirectory from the sources; all of it in BUILD_DIR.
# The installed tree is moved before it is used, so it must find its parts from where it lies.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
root=$(cd "$here/../.." && pwd)
mkdir -p "$1"
build=$(cd "$1" && pwd)
rm -rf "$build"/{library,first,prefix,find_package,add_subdirectory,consumer}

cmake -S "$root" -B "$build/library" -G Ninja -DCMAKE_INSTALL_PREFIX="$build/first" \
  -DLODEWIRE_BUILD_TESTS=OFF -DLODEWIRE_BUILD_EXAMPLES=OFF -DLODEWIRE_BUILD_BENCH=OFF
cmake --install "$build/library" > "$build/installed.txt"
mv "$build/first" "$build/prefix"
# All headers, and no path of this tree in what was installed.
sums() { (cd "$1" && find . -type f -exec cksum {} + | sort); }
diff <(sums "$root/include") <(sums "$build/prefix/include")
if grep -rlF -e "$root" -e "$build/first" "$build/prefix"; then
  echo 'These installed files hold a path of the machine that built them.'
  exit 1
fi

echo '== find_package'
cmake -S "$here/consumers/find_package" -B "$build/find_package" -G Ninja -DCMAKE_PREFIX_PATH="$build/prefix"
cmake --build "$build/find_package"
"$build/find_package/consumer"

echo '== add_subdirectory'
cmake -S "$here/consumers/add_subdirectory" -B "$build/add_subdirectory" -G Ninja -DLODEWIRE="$root"
cmake --build "$build/add_subdirectory"
"$build/add_subdirectory/consumer"

# What reaches a compiler through our target and all that it links: no define.
if grep -n 'DEFINES = ' "$build"/{find_package,add_subdirectory}/build.ninja; then
  echo 'These defines reach a consumer.'
  exit 1
fi

echo '== pkg-config'
PKG_CONFIG_PATH=$build/prefix/share/pkgconfig "$here/consumers/pkg_config/build.sh" "$build/consumer"
"$build/consumer"
