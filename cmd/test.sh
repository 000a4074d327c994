#!/bin/sh
# Every test. Arguments go to go test: sh cmd/test.sh -run Front ./optimize
set -eu
cd "$(dirname "$0")/.."
. cmd/setup.sh
# GLPK to build; the other solvers, LibreOffice and a browser to hold results against.
need libglpk-dev gcc libc6-dev glpk-utils coinor-cbc libreoffice-calc chromium
fetch_highs

# With this set, a test that needs one of those fails without it, where it would else be skipped.
STAVEWRIGHT_REQUIRE_SOLVERS=1
export STAVEWRIGHT_REQUIRE_SOLVERS
if [ $# -eq 0 ]; then
	set -- ./...
fi
# The limit is for tests that hang: a package takes a few minutes, on a machine under load several times that.
exec go test -timeout 40m "$@"
