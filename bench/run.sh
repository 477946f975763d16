#!/bin/sh
# SPDX-License-Identifier: BSL-1.0
set -eu
root=$(cd "$(dirname "$(readlink -f "$0")")/.." && pwd -P)
. "$root/cmake/packages.sh"
. "$root/cmake/build.sh"

usage() {
  cat <<END
Usage: bench/run.sh [--record] [FILTER]

Installs what is missing (with apt), builds the benchmarks under build/ at -O3 -march=x86-64-v3 and at -O2, lets each
build check that ours and the peers agree, and times all rows interleaved. From the medians it prints a line

  ratio FLAGS/NAME VALUE goal GOAL

for each ratio of bench/goals.txt, then the tables, and draws the growth with the number of parts beside the builds.
Only ratios within one run mean anything. Nothing is written outside build/ unless asked:
  --record  puts the tables, with the date, the machine, the compiler and the flags, into docs/performance.md
  FILTER    times only the rows that match this regular expression
REPETITIONS is how often each row is timed, 15 if not set. CXX names the compiler, g++ if not set.
END
}

record=no filter=.
case ${1-} in
  -h | --help) usage && exit ;;
  --record) record=yes && shift ;;
esac
[ $# -le 1 ] || { usage >&2 && exit 2; }
filter=${1-$filter}
if [ $record = yes ] && [ "$filter" != . ]; then
  echo "A record holds every row: no FILTER with --record" >&2
  exit 2
fi

echo "Benchmarks of lodewire ($CXX): installing what is missing, building, comparing, timing"
need_packages "$compiler_package" cmake ninja-build libboost-dev libeigen3-dev libbenchmark-dev libngspice0-dev \
  gnuplot-nox

o3="-O3 -march=x86-64-v3"
if ! grep -qw avx2 /proc/cpuinfo 2>/dev/null; then
  o3=-O3
  echo "This processor has no AVX2: -O3 alone instead of -O3 -march=x86-64-v3"
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# time_rows LABEL FLAGS: builds, runs, and leaves lines 'row nanoseconds' in $work/LABEL.
time_rows() {
  build_in "bench-$compiler_label-$1" \
    -DLODEWIRE_BUILD_TESTS=OFF -DLODEWIRE_BUILD_EXAMPLES=OFF -DLODEWIRE_BUILD_BENCH=ON \
    -DCMAKE_BUILD_TYPE=Release -DCMAKE_CXX_FLAGS_RELEASE="$2"
  echo "Timing at $2"
  "$build/bench/bench_lodewire" --benchmark_filter="$filter" --benchmark_repetitions="${REPETITIONS:-15}" \
    --benchmark_enable_random_interleaving=true --benchmark_min_time=0.01 \
    --benchmark_report_aggregates_only=true --benchmark_out_format=json --benchmark_out="$work/$1.json" \
    >/dev/null 2>"$work/said" || { cat "$work/said" >&2 && exit 1; }
  grep '^agree' "$work/said" >"$work/agree-$1"
  # A row that is registered by its real time (threads) counts by it.
  awk -F'"' '
    /"run_name":/ { row = $4 }
    /"aggregate_name":/ { median = $4 == "median" }
    /"real_time":/ { split($0, part, /[:,]/); real = part[2] }
    /"cpu_time":/ { split($0, part, /[:,]/); cpu = part[2] }
    /"time_unit":/ && median {
      unit = $4 == "ns" ? 1 : $4 == "us" ? 1e3 : $4 == "ms" ? 1e6 : 1e9
      print row, unit * (row ~ /\/real_time$/ ? real : cpu)
    }' "$work/$1.json" >"$work/$1"
}

time_rows O3 "$o3"
time_rows O2 -O2

# ratios LABEL COLUMN: lines 'NAME VALUE GOAL met|missed|-' from the goals in that column.
ratios() {
  awk -v goal_in="$2" '
    function parts(row) { sub(/.*\//, "", row); return of[row] }
    BEGIN { of["five"] = 5; of["ten"] = 10; of["twenty"] = 20; of["forty"] = 40 }
    FNR == NR { time[$1] = $2; next }
    /^#/ || NF == 0 { next }
    {
      goal = $goal_in
      over = $2; under = $3; exponent = under == "-"
      if (exponent) { split($2, pair, "^"); over = pair[1]; under = pair[2] }
      if (!(over in time) || !(under in time)) { print $1, "missing", goal, "-"; next }
      value = time[over] / time[under]
      if (exponent) value = log(value) / log(parts(over) / parts(under))
      limit = substr(goal, 3) + 0
      verdict = goal == "-" ? "-" : (goal ~ /^>=/ ? value >= limit : value <= limit) ? "met" : "missed"
      printf "%s %.4g %s %s\n", $1, value, goal, verdict
    }' "$work/$1" "$root/bench/goals.txt"
}
for label in O3 O2; do
  ratios $label "$([ $label = O3 ] && echo 4 || echo 5)" >"$work/ratios-$label"
  if [ "$filter" != . ]; then # what was not timed is not missing
    grep -v ' missing ' "$work/ratios-$label" >"$work/kept" || true
    mv "$work/kept" "$work/ratios-$label"
  fi
  awk -v label=$label '{ print "ratio", label "/" $1, $2, "goal", $3 }' "$work/ratios-$label"
done

tables() {
  cpu=$(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -n 1)
  echo "$(date -u +%Y-%m-%d), ${cpu:-unknown processor}, $(nproc) cores, $(uname -sm); $("$CXX" --version | head -n 1);"
  echo "medians of ${REPETITIONS:-15} interleaved repetitions, CPU time. **O3** is \`$o3\`, **O2** is \`-O2\`."
  echo
  echo "| ratio | O3 | goal | | O2 | goal | |"
  echo "| --- | --- | --- | --- | --- | --- | --- |"
  awk 'FNR == NR { name[FNR] = $1; o3[$1] = $2 " | " $3 " | " $4; next }
    { print "| " $1 " | " o3[$1] " | " $2 " | " $3 " | " $4 " |" }' "$work/ratios-O3" "$work/ratios-O2" |
    sed 's/| - /|  /g; s/| -$/|  |/; s/>=/≥ /g; s/<=/≤ /g; s/missed/**missed**/g'
  echo
  echo "| row | O3, µs | O2, µs |"
  echo "| --- | --- | --- |"
  LC_ALL=C sort "$work/O3" >"$work/sorted-O3"
  LC_ALL=C sort "$work/O2" >"$work/sorted-O2"
  LC_ALL=C join "$work/sorted-O3" "$work/sorted-O2" |
    awk '{ printf "| %s | %.4g | %.4g |\n", $1, $2 / 1000, $3 / 1000 }'
  echo
  echo "Largest relative difference between ours and the peers, or between two ways of ours, at O3:"
  echo
  echo "| row | found | allowed |"
  echo "| --- | --- | --- |"
  awk '{ name = $2; for (i = 3; i <= NF - 3; i++) name = name " " $i; print "| " name " | " $(NF - 2) " | " $NF " |" }' \
    "$work/agree-O3"
}
tables >"$work/tables"
echo
cat "$work/tables"

# The growth with the number of reactive parts.
if [ "$filter" = . ]; then
  picture=$(dirname "$build")/bench-growth.svg
  for row in direct split knob_to_curve evaluate compose; do
    echo "\"$row\""
    for circuit in 'five 5' 'ten 10' 'twenty 20' 'forty 40'; do
      awk -v row="$row/${circuit% *}" -v parts="${circuit#* }" '$1 == row { print parts, $2 / 1000 }' "$work/O3"
    done
    printf '\n\n'
  done >"$work/growth"
  gnuplot <<END
set terminal svg size 800,600 background "white" font "sans,14"
set output "$picture"
set title "1024 points, by the number of reactive parts ($o3)"
set logscale xy
set xrange [4:50]
set xtics (5, 10, 20, 40)
set xlabel "reactive parts"
set ylabel "CPU time, µs"
set grid
set key outside right
linear(x) = 0.1 * x
quadratic(x) = 0.002 * x * x
plot for [i=0:4] "$work/growth" index i with linespoints title columnheader(1) noenhanced, \
  linear(x) with lines dashtype 2 linecolor "gray" title "linear", \
  quadratic(x) with lines dashtype 3 linecolor "gray" title "quadratic"
END
  echo
  echo "The growth with the number of parts is drawn in $picture"
fi

if [ $record = yes ]; then
  page=$root/docs/performance.md
  awk -v tables="$work/tables" '
    /^<!-- \[bench\/run.sh --record\] -->/ { print; print ""; while ((getline line < tables) > 0) print line; print ""; inside = 1 }
    /^<!-- \[end\] -->/ { inside = 0 }
    !inside' "$page" >"$work/page"
  cat "$work/page" >"$page"
  echo "Written into $page"
fi

missed=$(cat "$work/ratios-O3" "$work/ratios-O2" | grep -c ' missed$' || true)
met=$(cat "$work/ratios-O3" "$work/ratios-O2" | grep -c ' met$' || true)
echo "$met goals met, $missed missed"
