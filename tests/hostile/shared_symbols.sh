#!/usr/bin/env bash
# SPDX-License-Identifier: BSL-1.0
# shared_symbols.sh PLAIN.o WIDE.o [all]: of two objects built from the same headers, one for any x86-64 machine and one
# for a wider one. A linker keeps one copy of an inline function that both define; this counts those whose copy in
# WIDE.o holds instructions that only the wider machine has, prints how many are ours, and with 'all' their names.
# Fails if a kernel, which is written for a width, is among what both define: its name must tell the width.
set -euo pipefail
plain=$1 wide=$2 show=${3-}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
kernel='block_system<|basic_evaluator<|ratio_kernel|evaluate_ratio|axis_value<|::slopes<|interleave<'
kernel+='|study_block<|basic_study<|sampled_(value|system|power|square|slope)|power_kernel|sign_kernel|zero_kernel'
kernel+='|square_at<|horner_by_two<|add_scaled_product<'

weak() { nm "$1" | awk 'NF == 3 && $2 ~ /[WVu]/ { print $3 }' | LC_ALL=C sort -u; }
weak "$plain" > "$work/plain"
weak "$wide" > "$work/wide"
LC_ALL=C comm -12 "$work/plain" "$work/wide" > "$work/both"

# symbol, then 'wide' (256 bits or fused) or 'other' (any encoding that an older machine does not know).
objdump -dr --no-show-raw-insn "$wide" | awk '
  /^[0-9a-f]+ <.*>:$/ { name = $2; gsub(/^<|>:$/, "", name); next }
  /%ymm|vfn?m(add|sub)/ { kind[name] = "wide"; next }
  /^ +[0-9a-f]+:\t(v[a-z]|shlx|shrx|sarx|rorx|mulx|andn|bzhi|bls|lzcnt|tzcnt|pext|pdep|movbe)/ {
    if (!(name in kind)) kind[name] = "other" }
  END { for (name in kind) print name, kind[name] }' | LC_ALL=C sort > "$work/kinds"
LC_ALL=C join "$work/both" "$work/kinds" | c++filt > "$work/mixed"

for width in plain wide; do
  kernels=$(c++filt < "$work/$width" | grep -cE "$kernel" || true)
  echo "$kernels kernels in the $width object"
  [ "$kernels" -gt 0 ] || { echo "FAILED: found no kernel to look at"; exit 1; }
done
awk '{ ours = /lodewire::/; wide = $NF == "wide"; n[ours, wide]++ }
  END { printf "Both define, with instructions of the wider machine: %d of ours (%d with 256 bits or fused), %d others\n",
    n[1, 0] + n[1, 1], n[1, 1] + 0, n[0, 0] + n[0, 1] }' "$work/mixed"
[ "$show" != all ] || LC_ALL=C sort "$work/mixed"
if c++filt < "$work/both" | grep -E "$kernel"; then
  echo 'FAILED: both objects define these kernels under one name'
  exit 1
fi
