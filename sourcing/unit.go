package sourcing

import (
	"errors"
	"fmt"
	"math"
	"math/big"
)

// Exact by definition: an inch is 25.4 mm, a foot 12 in. A board foot is 144 in³, that is
// 144 × 25.4³ mm³ = 2 359 737.216 mm³ = 0.002359737216 m³.
const (
	mmPerInch = 25.4
	mmPerFoot = 12 * mmPerInch
	nmPerInch = 25_400_000
	nmPerFoot = 12 * nmPerInch
)

// nmPerMM: lengths are compared and multiplied as whole millionths of a mm, so that 1/64 in (0.396875 mm) is exact
// and no rounding of binary fractions decides how many strips a plank gives.
const nmPerMM = 1_000_000

// maxMM bounds every length the package reckons with; nothing made of wood comes near.
const maxMM = 1e6

// nm is a length in millionths of a mm. The error says that it is no length at all.
func nm(what string, mm float64) (int64, error) {
	if math.IsNaN(mm) || mm < 0 || mm > maxMM {
		return 0, fmt.Errorf("%s of %v mm is not a length", what, mm)
	}
	return int64(math.Round(mm * nmPerMM)), nil
}

// in is how many of a unit one plank is, exactly. Board feet count the nominal thickness, where there is one, and never
// less than 1 in, however thin the plank (NHLA board measure; the minimum is common practice). They are not rounded
// to whole feet of surface as a tally of single boards would be.
func (p Plank) in(u Unit, nominalMM float64) (*big.Rat, error) {
	t, errT := nm("a thickness", p.ThicknessMM)
	w, errW := nm("a width", p.WidthMM)
	l, errL := nm("a length", p.LengthMM)
	nominal, errN := nm("a nominal thickness", nominalMM)
	if err := errors.Join(errT, errW, errL, errN); err != nil {
		return nil, err
	}
	if nominal == 0 {
		nominal = t
	}
	nominal = max(nominal, nmPerInch)
	var of []int64 // the sizes that multiply to the quantity
	var per []int64
	switch u {
	case PerM3:
		of, per = []int64{t, w, l}, []int64{1e9, 1e9, 1e9}
	case PerBoardFoot:
		of, per = []int64{nominal, w, l}, []int64{nmPerInch, nmPerInch, 144 * nmPerInch}
	case PerMBF:
		of, per = []int64{nominal, w, l}, []int64{nmPerInch, nmPerInch, 144_000 * nmPerInch}
	case PerSquareMetre:
		of, per = []int64{w, l}, []int64{1e9, 1e9}
	case PerMetre:
		of, per = []int64{l}, []int64{1e9}
	case PerFoot:
		of, per = []int64{l}, []int64{nmPerFoot}
	case PerPiece:
		return big.NewRat(1, 1), nil
	default:
		return nil, fmt.Errorf("a price per %q cannot be reckoned with", u)
	}
	n := big.NewRat(1, 1)
	for i := range of {
		n.Mul(n, big.NewRat(of[i], per[i]))
	}
	if n.Sign() == 0 {
		return nil, fmt.Errorf("a price per %s needs the plank's full size, and %s is not one", u, p)
	}
	return n, nil
}

// String is the size as thickness × width × length in mm.
func (p Plank) String() string {
	return fmt.Sprintf("%v × %v × %v mm", p.ThicknessMM, p.WidthMM, p.LengthMM)
}
