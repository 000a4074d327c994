package sourcing

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
)

// A Shop is what the factory loses between plank and strip. All of it is the user's to set; see [DefaultShop].
type Shop struct {
	KerfMM    float64 // of the rip saw
	PlaningMM float64 // taken off each face of a strip's width after sawing
	EdgingMM  float64 // lost once per plank in making an edge straight
	EndTrimMM float64 // lost per plank in length, both ends together
	YieldPct  float64 // usable part of the strips, where the grade names none
}

// DefaultShop is a common small shop; every figure of it is common practice, not a published value: kerf 3 mm (between
// a thin gang rip saw's 2.4 and a standard blade's 3.9), planing 0.5 mm per face, edging loss 5 mm, end trim 50 mm
// (25 mm an end), yield 70 % (between the minimum clear-face yields of NHLA FAS and No. 1 Common).
func DefaultShop() Shop {
	return Shop{KerfMM: 3, PlaningMM: 0.5, EdgingMM: 5, EndTrimMM: 50, YieldPct: 70}
}

// A Blank is the glued panel that strips are cut for: a strip is as long as the blank, and as high as it is thick.
type Blank struct{ LengthMM, ThicknessMM float64 }

// YieldSteps are how many strips a plank gives, and how that was reckoned.
type YieldSteps struct {
	Through int             // strips side by side in the plank's thickness, which becomes the strip's width
	Across  int             // in its width, which becomes the blank's thickness
	Along   int             // in its length
	Pct     decimal.Decimal // usable part of them: the grade's, the shop's, or 100 for ready strips
	Strips  decimal.Decimal // Through × Across × Along × Pct, half up at the fourth decimal
	Steps   []string        // the same for a pocket calculator
}

// Yield is how many strips of a width one plank gives for a blank:
//
//	floor((T − 2a + k)/(w + k)) × floor((W − e + k)/(h + k)) × floor((L − r)/l) × yield
//
// with T, W, L the plank; a planing per face, k kerf, e edging loss, r end trim; w strip width, h blank thickness,
// l blank length. gradeYieldPct is the grade's yield; 0 takes the shop's. The yield is not floored plank by plank:
// faults are spread over a whole lot, and a lot of ten planks of 7.9 good strips gives 79, not 70.
//
// A ready strip is already cut to size: in each direction in which it is large enough it gives at least one, with no
// allowance taken, and all of it is usable. It is not turned on its side.
//
// The error says that the plank is too thin, too narrow or too short, and by how much, or which figure makes no sense.
func Yield(p Plank, ready bool, stripWidthMM float64, b Blank, s Shop, gradeYieldPct float64) (YieldSteps, error) {
	q := quantiser{}
	t, w, l := q.nm("a plank thickness", p.ThicknessMM), q.nm("a plank width", p.WidthMM), q.nm("a plank length", p.LengthMM)
	sw, bh, bl := q.nm("a strip width", stripWidthMM), q.nm("a blank thickness", b.ThicknessMM), q.nm("a blank length", b.LengthMM)
	k, a := q.nm("a kerf", s.KerfMM), q.nm("a planing allowance", s.PlaningMM)
	e, r := q.nm("an edging loss", s.EdgingMM), q.nm("an end trim", s.EndTrimMM)
	if q.err == nil && (sw == 0 || bh == 0 || bl == 0) {
		q.err = errors.New("a strip needs a width, a thickness and a length above 0")
	}
	pct, whose := s.YieldPct, "the shop's"
	switch {
	case ready:
		pct, whose = 100, "ready strips'"
	case gradeYieldPct != 0:
		pct, whose = gradeYieldPct, "the grade's"
	}
	if q.err == nil && !(pct > 0 && pct <= 100) {
		q.err = fmt.Errorf("a yield of %v %% is not above 0 and up to 100", pct)
	}
	if q.err != nil {
		return YieldSteps{}, q.err
	}

	through := cut{word: "thin", from: "thickness", have: t, lost: 2 * a, lostAs: "2 × " + plain(a) + " planing", kerf: k, piece: sw}
	across := cut{word: "narrow", from: "width", have: w, lost: e, lostAs: plain(e) + " edging", kerf: k, piece: bh}
	along := cut{word: "short", from: "length", have: l, lost: r, lostAs: plain(r) + " end trim", piece: bl}
	var y YieldSteps
	var short []string
	for _, c := range []struct {
		cut
		n *int
	}{{through, &y.Through}, {across, &y.Across}, {along, &y.Along}} {
		n, step := c.count(ready)
		if n == 0 {
			short = append(short, c.tooSmall(ready))
		}
		*c.n = int(n)
		y.Steps = append(y.Steps, step)
	}
	if short != nil {
		return YieldSteps{}, fmt.Errorf("the plank (%s) is %s", p, strings.Join(short, ", and "))
	}
	y.Pct = decimal.NewFromFloat(pct)
	sawn := decimal.NewFromInt(int64(y.Through)).Mul(decimal.NewFromInt(int64(y.Across))).Mul(decimal.NewFromInt(int64(y.Along)))
	y.Strips = sawn.Mul(y.Pct).Div(decimal.NewFromInt(100)).Round(4)
	if y.Strips.IsZero() {
		return YieldSteps{}, fmt.Errorf("a yield of %v %% leaves nothing of the plank's %s strips", pct, sawn)
	}
	y.Steps = append(y.Steps, fmt.Sprintf("strips per plank: %d × %d × %d = %s, × %s %% (%s yield) = %s",
		y.Through, y.Across, y.Along, sawn, y.Pct.Round(6), whose, y.Strips))
	return y, nil
}

// A cut is one direction of sawing, in millionths of a mm: from have, less what is lost, pieces with a kerf between.
type cut struct {
	word, from, lostAs      string
	have, lost, kerf, piece int64
}

// count is how many pieces come out, and the reckoning in words.
func (c cut) count(ready bool) (int64, string) {
	n := max(0, c.have-c.lost+c.kerf) / (c.piece + c.kerf)
	if ready && n == 0 && c.have >= c.piece {
		return 1, fmt.Sprintf("%s: %s is cut to size for %s: 1", c.from, plain(c.have), plain(c.piece))
	}
	if c.kerf == 0 {
		return n, fmt.Sprintf("%s: (%s − %s) ÷ %s, rounded down: %d", c.from, plain(c.have), c.lostAs, plain(c.piece), n)
	}
	return n, fmt.Sprintf("%s: (%s − %s + %s kerf) ÷ (%s + %s kerf), rounded down: %d",
		c.from, plain(c.have), c.lostAs, plain(c.kerf), plain(c.piece), plain(c.kerf), n)
}

// tooSmall says by how much no piece comes out. The last piece needs no kerf, so one piece needs itself and the loss.
func (c cut) tooSmall(ready bool) string {
	need := c.piece + c.lost
	if ready {
		need = c.piece
	}
	return fmt.Sprintf("%s mm too %s: one strip needs a %s of %s mm", plain(need-c.have), c.word, c.from, plain(need))
}

// plain is a length in mm without trailing zeros.
func plain(nm int64) string {
	return strconv.FormatFloat(float64(nm)/nmPerMM, 'f', -1, 64)
}

// A quantiser keeps the first error of many conversions.
type quantiser struct{ err error }

func (q *quantiser) nm(what string, mm float64) int64 {
	n, err := nm(what, mm)
	if q.err == nil {
		q.err = err
	}
	return n
}

// sameSizeMM: how near a plank's thickness and width must come to a strip's to be taken for a strip already cut.
const sameSizeMM = 0.1

// cutToSize reports whether a plank's cross-section is the strip's own: no rough lumber has that, so it is a ready strip
// whatever the sheet calls it.
func cutToSize(p Plank, stripWidthMM float64, b Blank) bool {
	return math.Abs(p.ThicknessMM-stripWidthMM) <= sameSizeMM && math.Abs(p.WidthMM-b.ThicknessMM) <= sameSizeMM
}
