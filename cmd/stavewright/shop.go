package main

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/sourcing"
)

// shopSheet are the outputs that go to the shop: j as a page to print and as a workbook, named after the command that found it so
// that no command writes over another's. The book says what the layout does not: blank, moisture, how many.
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

// modelFile is a model's name fit for a file, another one for every model of the book: where names differ only in what a file's
// name leaves out, all but the first of them get the number of their model in the book.
func modelFile(job *book.Job, model string) string {
	name := shortName(model)
	taken := map[string]bool{}
	for i, m := range job.Models {
		short := shortName(m.Name)
		own := short
		if taken[own] {
			own = fmt.Sprintf("%s-%d", short, i+1)
			for taken[own] { // a model may be called so
				own += "-"
			}
		}
		taken[own] = true
		if m.Name == model {
			return own
		}
	}
	return name
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
