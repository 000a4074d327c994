package main

import (
	"strings"
	"testing"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/sourcing"
)

// No two models of a book share a file, whatever they are called, and every name fits a file system.
func TestModelFile(t *testing.T) {
	long := strings.Repeat("𐌰", 70) // four bytes each, and all letters
	names := []string{"Park 150", "park-150", "PARK/150!", "Park 150 2", "木の芯", "🛹", "<>", long, long + "a", "Ridge 157", "Park 150-2"}
	job := &book.Job{}
	for _, n := range names {
		job.Models = append(job.Models, book.Model{Name: n})
	}
	owner := map[string]string{}
	for _, n := range names {
		file := modelFile(job, n)
		if other, taken := owner[file]; taken {
			t.Errorf("%q and %q are both written to %q", other, n, file)
		}
		owner[file] = n
		if file == "" || len(file) > 200 || strings.ContainsAny(file, `/\:*?"<>|. `) {
			t.Errorf("%q gives the file name %q", n, file)
		}
	}
	for name, want := range map[string]string{"Park 150": "park-150", "park-150": "park-150-2", "Ridge 157": "ridge-157", "🛹": "model"} {
		if got := modelFile(job, name); got != want {
			t.Errorf("%q is written to %q, want %q", name, got, want)
		}
	}
}

// What the shop is told of blank, moisture and number is the book's, and the files are named after the command.
func TestShopSheetIsOfTheBook(t *testing.T) {
	job := &book.Job{Models: []book.Model{{Name: "Park 150", BlankLengthMM: 1540, BlankThicknessMM: 9, Boards: 40, NeededBy: "2027-03-15"}}}
	job.Conditions.MoisturePct, job.Shop.PlaningMM, job.Shop.ScrapPct = 8, 0.4, 5
	j := &report.ShopJob{}
	outputs := shopSheet(job, &job.Models[0], "check", j)
	if outputs[0].name != "shop-check-park-150.html" || outputs[1].name != "shop-check-park-150.xlsx" {
		t.Errorf("written to %s and %s", outputs[0].name, outputs[1].name)
	}
	if j.Blank != (sourcing.Blank{LengthMM: 1540, ThicknessMM: 9}) || j.MoisturePct != 8 || j.PlaningMM != 0.4 || j.ScrapPct != 5 || j.Boards != 40 || j.NeededBy != "2027-03-15" {
		t.Errorf("the shop's job is %+v", j)
	}
}
