#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
# refusals.sh PROGRAM: audio files that are none or are damaged are refused with a reason, nothing is written and nothing
# overwritten; NaN samples become silence and are counted.
set -eu
program=$1
guitar=$(cd "$(dirname "$0")/../instruments" && pwd)/measured_guitar.json
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"
failures=0

le() { # le BYTES NUMBER: little endian
  n=$2
  for _ in $(seq "$1"); do
    printf "\\$(printf %03o $((n % 256)))"
    n=$((n / 256))
  done
}
header() { # header FORMAT CHANNELS BITS BYTES_OF_DATA
  printf RIFF && le 4 $((36 + $4)) && printf 'WAVEfmt ' && le 4 16 && le 2 "$1" && le 2 "$2" && le 4 48000
  le 4 $((48000 * $2 * $3 / 8)) && le 2 $(($2 * $3 / 8)) && le 2 "$3" && printf data && le 4 "$4"
}
render() { "$program" "$1" "$2" --from "$guitar" --to "$guitar" --position neck --to-knob tone=3; }
refused() { # refused WHAT IN TEXT
  code=0
  said=$(render "$2" out.wav 2>&1) || code=$?
  case $said in
    *"$3"*) ;;
    *) code=text ;;
  esac
  if [ "$code" != 2 ] || [ -e out.wav ] || [ -e out.wav.part ]; then
    echo "$1: ended with $code, said: $said"
    failures=$((failures + 1))
    rm -f out.wav out.wav.part
  fi
}

: >empty.wav
echo 'this is text' >text.wav
{ header 1 1 16 0; } >none.wav
{ header 1 1 16 20000 && head -c 5000 /dev/zero; } >cut.wav
{ header 1 16 16 3200 && head -c 3200 /dev/zero; } >many.wav
{ header 1 1 16 2000 && head -c 2000 /dev/zero; } >silence.wav
{ header 3 1 32 400 && for _ in $(seq 50); do printf '\000\000\300\177\000\000\200\076'; done; } >numbers.wav
refused 'a file that is missing' nowhere.wav 'does not exist'
refused 'a folder' . 'is a folder'
refused 'an empty file' empty.wav 'is empty'
refused 'text' text.wav 'is no audio file'
refused 'a header alone' none.wav 'no samples'
refused 'a file cut short' cut.wav 'is cut short'
refused 'sixteen channels' many.wav 'has 16 channels'

echo kept >out.wav
if render silence.wav out.wav >said 2>&1 || ! grep -q 'is not overwritten' said || [ "$(cat out.wav)" != kept ]; then
  echo "an output that exists: $(cat said)"
  failures=$((failures + 1))
fi
rm out.wav
if ! render numbers.wav out.wav >said 2>&1 || ! grep -q '^50 samples were no numbers' said || [ ! -s out.wav ]; then
  echo "NaN samples: $(cat said)"
  failures=$((failures + 1))
fi
exit $((failures > 0))
