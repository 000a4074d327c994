#!/bin/sh
# The main job on the demo: weight against stiffness of an invented all-round board.
set -eu
cd "$(dirname "$0")/.."
. cmd/setup.sh
need libglpk-dev gcc libc6-dev
fetch_highs || echo "Building without HiGHS: seasons are solved by GLPK alone." >&2

echo "Building stavewright ..." >&2
go build -o out/stavewright ./cmd/stavewright
out/stavewright front testdata/demo/job.xlsx --model "Allround 157" --out out/demo

cat <<END

The demo is invented: boards, suppliers and prices. Its job book is testdata/demo/job.xlsx.
Results:
  out/demo/front-allround-157.html  the page: open it in a browser
  out/demo/front-allround-157.xlsx  the results workbook
Your own job: out/stavewright new myjob
END
