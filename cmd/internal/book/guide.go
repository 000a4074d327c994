package book

import (
	"fmt"
	"slices"
	"strings"
)

// A SheetGuide is what a person should know who fills a sheet of the job book. It is made from the table by which books are read, so
// that the two cannot differ.
type SheetGuide struct {
	Name, Intro string
	Required    bool // else the sheet may be missing
	Columns     []Note
	Settings    []Note // of the Shop sheet: what its rows may be
}

// A Note is about a column by its header, or about a setting by its name.
type Note struct {
	Name     string
	Required bool   // every row must fill it
	Words    string // what it holds, and what to know
}

// Guide is the job book sheet by sheet, in the order of the starter.
func Guide() []SheetGuide {
	var out []SheetGuide
	for _, s := range sheets {
		g := SheetGuide{Name: s.Name, Intro: s.Intro, Required: s.Required}
		for _, c := range s.Columns {
			g.Columns = append(g.Columns, Note{Name: c.Header(), Required: c.Required, Words: strings.TrimSpace(c.holds() + ". " + c.Note)})
		}
		if s.Name == "Shop" {
			for _, s := range settings {
				g.Settings = append(g.Settings, Note{Name: s.Name, Words: s.note()})
			}
			g.Settings = append(g.Settings, Note{Name: ratePrefix + "USD", Words: rateNote})
		}
		out = append(out, g)
	}
	return out
}

// Hints are what holds for every sheet, each with its heading.
func Hints() [][2]string { return slices.Clone(startHints) }

// holds says what a column's cells hold.
func (c *column) holds() string {
	switch c.Kind {
	case number:
		return "A number" + c.bounds()
	case whole:
		return "A whole number" + c.bounds()
	case money:
		return "Money" + c.bounds()
	case modulus:
		return "A number" + c.bounds() + ", or the name of a fabric"
	case yes:
		return "yes, or nothing"
	case choice:
		return "One of: " + strings.Join(c.Choices, ", ")
	case date:
		return "A date"
	case modelName:
		return "A model"
	case position:
		return "A position"
	case wood:
		return "A wood"
	case woods:
		return "Woods"
	case anything:
		return "What the setting asks for"
	}
	return "Text"
}

// bounds are a column's least and greatest figure in words. The greatest is left out where it only catches slips.
func (c *column) bounds() string {
	low := fmt.Sprintf(", %s or more", plain(c.Low))
	if c.Above {
		low = ", above " + plain(c.Low)
	}
	switch {
	case c.High >= maxLengthMM:
		return low
	case c.Above:
		return low + ", at most " + plain(c.High)
	}
	return fmt.Sprintf(", %s to %s", plain(c.Low), plain(c.High))
}
