package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/sourcing"
)

// shopSheet are the outputs that go to the shop: j as a page to print and as a workbook, named after the command or point that it is of, so
// that none writes over another's. The book says what the layout does not: blank, moisture, how many.
func shopSheet(job *book.Job, model *book.Model, command string, j *report.ShopJob) []output {
	j.Blank = sourcing.Blank{LengthMM: model.BlankLengthMM, ThicknessMM: model.BlankThicknessMM}
	j.MoisturePct, j.PlaningMM, j.ScrapPct = job.Conditions.MoisturePct, job.Shop.PlaningMM, job.Shop.ScrapPct
	j.Boards, j.NeededBy = model.Boards, model.NeededBy
	name := "shop-" + command + "-" + modelFile(job, model.Name)
	return []output{
		{name + ".html", func(w io.Writer) error { return report.ShopPage(w, j) }},
		{name + ".xlsx", func(w io.Writer) error { return report.ShopWorkbook(w, j) }},
	}
}

// modelFile is a model's name fit for a file, another one for every model of the book.
func modelFile(job *book.Job, model string) string {
	names := make([]string, len(job.Models))
	for i := range job.Models {
		names[i] = job.Models[i].Name
	}
	if i := slices.Index(names, model); i >= 0 {
		return fileNames(names)[i]
	}
	return shortName(model)
}

// fileNames are names fit for files, no two alike: where names differ only in what a file's name leaves out, all but the first of them get
// their number in the list.
func fileNames(names []string) []string {
	own := make([]string, len(names))
	taken := map[string]bool{}
	for i, name := range names {
		short := shortName(name)
		own[i] = short
		if taken[own[i]] {
			own[i] = fmt.Sprintf("%s-%d", short, i+1)
			for taken[own[i]] { // a name may be written so
				own[i] += "-"
			}
		}
		taken[own[i]] = true
	}
	return own
}

// longestName in bytes leaves room for what stands before and after it: file systems take 255.
const longestName = 150

func shortName(model string) string {
	name := fileName(model)
	for len(name) > longestName {
		_, last := utf8.DecodeLastRuneInString(name)
		name = strings.TrimRight(name[:len(name)-last], "-")
	}
	return name
}
