#!/bin/sh
# How much of each package its own tests run, in % of statements, held to the floors in DEVELOPERS.md.
set -eu
cd "$(dirname "$0")/.."
out=$(mktemp)
trap 'rm -f "$out"' EXIT
if ! go test -timeout 40m -cover ./... >"$out"; then
	cat "$out"
	exit 1
fi
# "ok  stavewright/species  0.1s  coverage: 92.7% of statements" against "| species | 92 | reason |"
awk '
	FNR == NR {
		if ($0 ~ /^## /) inside = ($0 == "## Coverage")
		if (inside && $0 ~ /^\| [a-z\/]+ \| [0-9]+ \|/) { split($0, f, /[ ]*\|[ ]*/); floor[f[2]] = f[3] }
		next
	}
	/coverage: / {
		package = $0; sub(/^[^\/]*stavewright\//, "", package); sub(/[ \t].*/, "", package)
		have = $0; sub(/.*coverage: /, "", have); sub(/%.*/, "", have)
		seen[package] = 1
		printf "%-20s %5.1f %%  (at least %s)\n", package, have, (package in floor) ? floor[package] : "?"
		if (!(package in floor)) { print "  no floor in DEVELOPERS.md"; bad = 1 }
		else if (have + 0 < floor[package]) { print "  below its floor"; bad = 1 }
	}
	END {
		for (p in floor) if (!(p in seen)) { print p ": not measured"; bad = 1 }
		exit bad
	}
' DEVELOPERS.md "$out"
