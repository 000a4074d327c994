package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"strings"
)

//go:embed shop.html
var shopHTML string

// shopTemplate shares the marks of woods and the look with the other pages; it holds no script.
var shopTemplate = template.Must(template.Must(pageTemplate.Clone()).New("shop").Parse(
	strings.ReplaceAll(shopHTML, "HASH-OF-STYLE", contentHash(pageCSS))))

// ShopPage writes the shop sheet of a layout as one HTML page to print: the blank, the strips to cut, the order of the glue-up
// with its mirror, the profile to mill. The error is w's, or that of a job whose layout does not fit its board.
func ShopPage(w io.Writer, j *ShopJob) error {
	s, err := newShopSheet(j)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := shopTemplate.Execute(&out, s); err != nil {
		return err
	}
	_, err = w.Write(out.Bytes())
	return err
}

// What the template reads besides the sheet itself.

func (s *shopSheet) Style() template.CSS  { return template.CSS(pageCSS) }
func (s *shopSheet) Which() string        { return capital(s.Of) }
func (s *shopSheet) Cautions() []string   { return Cautions }
func (s *shopSheet) LengthText() string   { return plainMM(s.Blank.LengthMM) }
func (s *shopSheet) WidthText() string    { return plainMM(s.WidthMM) }
func (s *shopSheet) ThickText() string    { return plainMM(s.Blank.ThicknessMM) }
func (s *shopSheet) MoistureText() string { return trimmed(s.MoisturePct) }
func (s *shopSheet) GlueText() string     { return Fixed(s.GlueG, 0) }
func (s *shopSheet) CoresText() string    { return count(s.Cores, "core") }
func (s *shopSheet) AllStrips() int       { return s.Strips * s.Cores }
func (s *shopSheet) MM(v float64) string  { return plainMM(v) }

func (s *shopSheet) Width(v float64) string { return Fixed(v, 1) }
func (s *shopSheet) Thick(v float64) string {
	return strings.Replace(Fixed(v, s.decimals), "-", "−", 1)
}
func (s *shopSheet) Numbers(first, last int) string { return numbers(first, last) }

// Signed is v, so many times as large, with its sign.
func (s *shopSheet) Signed(v float64, times int) string {
	return figure{value: v * float64(times), decimals: 2, known: true}.against(figure{known: true})
}

// Priced reports whether the lumber of any strip has a price.
func (s *shopSheet) Priced() bool {
	for _, c := range s.Cuts {
		if len(c.From) > 0 {
			return true
		}
	}
	return false
}

// Fit is as a page's: it shrinks the print to two sheets, the blank and its strips on the first, glue-up and profile on the second.
func (s *shopSheet) Fit() string {
	first := 270 + 20*float64(len(s.Minds)) + 22*float64(len(s.Cuts)) + 4*float64(len(s.Woods))
	second := 90 + max(130+22*float64(len(s.Runs))+18*float64(len(s.Pads)), 80+12*float64(len(s.Mill)))
	const room = 680 // of a sheet of US Letter, points
	if percent := 100 * math.Sqrt(room/max(first, second)); percent < 100 {
		return fmt.Sprintf("fit%d", max(50, 5*int(percent/5)))
	}
	return ""
}

// A shopDrawing is the blank from its end.
type shopDrawing struct {
	W, H, NumbersY, MarksY, Centre px
	Pieces                         []shopRect
	Marks                          []tick
}

type shopRect struct {
	rect
	Slot             int
	Letter, Number   string
	MiddleX, LetterY px
}

// Drawing is the blank from its end, its strips numbered as far as there is room.
func (s *shopSheet) Drawing() *shopDrawing {
	const margin, top, high px = 14, 8, 58
	d := &shopDrawing{W: sectionWidth, NumbersY: top + high + 16, MarksY: top + high + 24, H: top + high + 54}
	scale := (d.W - 2*margin) / px(s.WidthMM)
	d.Centre = d.W / 2
	narrowest := math.Inf(1)
	for _, p := range s.Pieces {
		narrowest = min(narrowest, p.Right-p.LeftMM)
	}
	const number = 20 // wide
	every := max(1, int(math.Ceil(number/(float64(scale)*narrowest))))
	for i, p := range s.Pieces {
		r := shopRect{rect: rect{margin + scale*px(p.LeftMM), top, scale * px(p.Right-p.LeftMM), high}, Slot: p.Slot, Letter: p.Letter}
		r.MiddleX = r.X + r.W/2
		const lines = 3 // letters of narrow strips stand on lines of their own
		r.LetterY = top + high/2
		if r.W < 15 {
			r.LetterY = top + high*px(1+2*(i%lines))/(2*lines)
		}
		if i == 0 || i+1 == s.Strips || i%every == 0 && i+every < s.Strips {
			r.Number = fmt.Sprint(i + 1)
		}
		d.Pieces = append(d.Pieces, r)
	}
	d.Marks = axis{0, s.WidthMM, margin, d.W - margin}.ticks(13)
	return d
}
