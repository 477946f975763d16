# SPDX-License-Identifier: BSL-1.0
# Sourced by the scripts of this project, POSIX sh.
CXX=${CXX:-g++}
case $CXX in *clang*) compiler_package=clang ;; *) compiler_package=g++ ;; esac
compiler_label=$(basename "$CXX" | tr + x)

# build_in NAME OPTION...: configures this tree with the CMake options and builds it, in build/NAME of the tree; only
# the targets that $build_only lists, if it is set. Sets `build` to that folder. $root is the top of the tree.
build_in() {
  build=$root/build/$1
  # A tree of another owner: build in the user's own cache instead.
  if ! mkdir -p "$build" 2>/dev/null || [ ! -w "$build" ]; then
    build=${XDG_CACHE_HOME:-$HOME/.cache}/lodewire/$1
    mkdir -p "$build"
  fi
  shift
  # CMake refuses a build folder that came along when the tree was copied or moved.
  if [ -f "$build/CMakeCache.txt" ] && ! grep -qxF "CMAKE_HOME_DIRECTORY:INTERNAL=$root" "$build/CMakeCache.txt"; then
    rm -rf "$build"
  fi
  echo "Building in $build"
  CXX=$CXX cmake -S "$root" -B "$build" -G Ninja "$@"
  cmake --build "$build" -j "$(nproc)" ${build_only:+--target $build_only}
}
