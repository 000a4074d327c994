package report

import (
	"io"
	"stavewright/optimize"
)

func MixesPage(w io.Writer, r *optimize.MixesResult) error { return nil }
