#!/bin/sh
# Feeds every reader of the program with damaged input, one after the other, and
# prints how often. Anything found is written to testdata/fuzz beside the reader's
# tests, and fails there from then on.
#
#	sh testdata/check/fuzz.sh 10000000x     ten million times each
#	sh testdata/check/fuzz.sh 60s           for a minute each
set -eu
cd "$(dirname "$0")/../.."
long=${1:-60s}
while read -r folder target; do
    printf '%-16s %s: ' "$target" "$folder"
    if out=$(go test "$folder" -run '^$' -fuzz "^$target\$" -fuzztime "$long" -fuzzminimizetime 1s 2>&1); then
        echo "$out" | awk '/execs:/ { last = $0 } END { sub(/^fuzz: /, "", last); sub(/ \([0-9]*\/sec\)/, "", last); print last }'
    else
        echo
        echo "$out"
        exit 1
    fi
done <<'READERS'
./board FuzzParse
./board FuzzDecode
./board FuzzReplay
./board FuzzReadReadings
./board FuzzReadTapes
./board FuzzReadGaps
./board FuzzReadColumns
./app/handover FuzzLeft
./app/desk FuzzHeldBy
./app/ui FuzzSettings
READERS
