#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
# build.sh PROGRAM: without CMake; pkg-config is to find lodewire.pc.
set -eu
cd "$(dirname "$0")"
pkg-config --exists --print-errors 'lodewire >= 0.1'
# shellcheck disable=SC2046 # a list of options
${CXX:-c++} -std=c++20 $(pkg-config --cflags lodewire) ../main.cpp -o "$1" $(pkg-config --libs lodewire)
