#!/usr/bin/env bash
# Fuzzes one target: .ci/fuzz.sh PACKAGE TARGET. FUZZTIME (60s) says how long, FUZZPARALLEL (1) with how many workers.
#
# A worker that is still busy when the time is up makes go test fail with "context deadline exceeded", though nothing was found. Only that is let
# pass: an input that fails is written to testdata/fuzz and named in the output, and a crash or hang of a worker is named as well.
set -uo pipefail
package=$1 target=$2
out=$(go test -run '^$' -fuzz "^$target\$" -fuzztime "${FUZZTIME:-60s}" -fuzzminimizetime 5s -parallel "${FUZZPARALLEL:-1}" "$package" 2>&1)
status=$?
if [ $status -ne 0 ] && grep -q 'context deadline exceeded' <<<"$out" && ! grep -Eq 'Failing input written|panic|terminated unexpectedly|\.go:[0-9]+: ' <<<"$out"; then
	out+=$'\n'"(stopped by its deadline, nothing found)"
	status=0
fi
if [ $status -ne 0 ]; then
	printf '%s\n' "$out" | tail -n 60
	echo "FAIL $package $target"
else
	printf '%s\n' "$out" | tail -n 2 | sed "s|^|$target: |"
fi
exit $status
