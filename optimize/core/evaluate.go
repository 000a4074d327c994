package core

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"stavewright/species"
)

// A Prepared board holds what its figures need that does not depend on the layout. Preparing once pays where many
// layouts are evaluated. It stands for the board as it was when prepared, and may be used by many goroutines at once.
type Prepared struct {
	board       Board
	strips      []Strip
	volumes     []volume // by strip
	glueG       float64
	layersG     float64
	layersKnown bool
	measure     crossing
	stations    []crossing
	span        []crossing // at the points of the quadrature
	spanMM      float64
	stretches   []stretch  // of the support span
	loadedAt    []crossing // stations between the supports, and the middle of the span
	strained    bool       // a position is pre-strained
}

// A crossing is the board at one distance from the tip, but for the woods.
type crossing struct {
	x, halfWidth, thickness float64
	parts                   []part // the layers'
	pressed                 Constants
	free                    []float64 // by strip: width in place, both sides, mm; 0 where a pad is
	turned                  []turned
	turnedC                 float64 // of the pads, N/mm
	arm                     float64 // moment of a unit load, mm
	weight                  float64 // of the quadrature, mm
	moment2                 float64 // weight times the square of the moment, mm³
	shear2                  float64 // weight times the square of a unit load's shear force, mm
	slabs                   []slab
}

// turned is one strip where a pad is.
type turned struct {
	strip, pad int
	c          float64 // N/mm
}

// Prepare readies the board. A board with a fault that [Board.Check] reports is an error that names the first.
func (b *Board) Prepare() (*Prepared, error) {
	if problems := b.Check(); len(problems) > 0 {
		return nil, fmt.Errorf("board %q: %s", b.Name, problems[0].Text)
	}
	p := &Prepared{board: *b, strips: b.Strips(), glueG: b.GlueMassG(), spanMM: b.SpanMM}
	p.board.Stations = append([]Station(nil), b.Stations...)
	p.board.Positions = append([]Position(nil), b.Positions...)
	p.board.Layers = append([]Layer(nil), b.Layers...)
	p.board.Pads = append([]Pad(nil), b.Pads...)
	p.board.Woods = append([]species.Wood(nil), b.Woods...)
	p.layersG, p.layersKnown = b.LayersMassG()
	for _, s := range p.strips {
		p.volumes = append(p.volumes, b.volume(s))
	}
	p.measure = b.crossing(p.strips, b.MeasureAtMM)
	for _, s := range b.Stations {
		p.stations = append(p.stations, b.crossing(p.strips, s.FromTipMM))
	}
	p.strained = slices.ContainsFunc(b.Positions, func(q Position) bool { return q.PreStrain != 0 })
	if b.SpanMM > 0 {
		p.prepareSpan()
	}
	return p, nil
}

func (p *Prepared) prepareSpan() {
	kinks, from, middle, to := p.board.spanKinks(p.strips)
	inner := nodes(kinks) // gaussPoints to a piece
	for i, piece := range pieces(kinks) {
		s := stretch{piece: piece, points: []crossing{p.loadedCrossing(piece.from, piece)}}
		for _, n := range inner[i*gaussPoints : (i+1)*gaussPoints] {
			c := p.loadedCrossing(n.x, piece)
			c.weight = n.weight
			c.moment2 = n.weight * c.arm * c.arm
			c.shear2 = n.weight / 4
			s.points = append(s.points, c)
		}
		p.span = append(p.span, s.points[1:]...)
		s.points = append(s.points, p.loadedCrossing(piece.to, piece))
		slices.SortFunc(s.points, func(a, b crossing) int { return cmp.Compare(a.x, b.x) }) // the quadrature runs backward
		p.stretches = append(p.stretches, s)
	}
	xs := []float64{middle}
	for _, s := range p.board.Stations {
		if x := s.FromTipMM; from <= x && x <= to && math.Abs(x-middle) > nearMM {
			xs = append(xs, x)
		}
	}
	slices.Sort(xs)
	for _, x := range xs {
		p.loadedAt = append(p.loadedAt, p.loadedCrossing(x, piece{math.Inf(-1), math.Inf(1)}))
	}
}

// crossing is the cross-section at x; at the very end of a layer or pad that counts.
func (b *Board) crossing(strips []Strip, x float64) crossing {
	return b.crossingWithin(strips, x, piece{math.Inf(-1), math.Inf(1)})
}

// crossingWithin is the cross-section at x; at an end of the piece, which holds no other jump, as seen from within.
func (b *Board) crossingWithin(strips []Strip, x float64, within piece) crossing {
	side := Closed
	switch x {
	case within.from:
		side = FromTail
	case within.to:
		side = FromTip
	}
	c := crossing{x: x, halfWidth: b.HalfWidthMM(x), thickness: b.ThicknessMM(x), parts: b.parts(x, side),
		free: make([]float64, len(strips))}
	c.pressed = c.bare()
	c.pressed.add(c.parts)
	for i, s := range strips {
		width := 2 * s.present(c.halfWidth)
		pad := b.turnedFrom(s.Position, x, side)
		if pad < 0 {
			c.free[i] = width
			continue
		}
		t := turned{i, pad, width * b.Woods[b.Pads[pad].Wood].CrossGrainGPa.Value * mpaPerGPa}
		c.turned = append(c.turned, t)
		c.turnedC += t.c
	}
	return c
}

// c is C of the layout there, N/mm, from the modulus of each strip, MPa.
func (x crossing) c(moduli []float64) float64 {
	sum := x.turnedC
	for i, width := range x.free {
		sum += moduli[i] * width
	}
	return sum
}

func (x crossing) bare() Constants { return Constants{ThicknessMM: x.thickness} }

func (x crossing) section(s Section) Constants {
	if s == Pressed {
		return x.pressed
	}
	return x.bare()
}

func (x crossing) figures(c float64) SectionFigures {
	f := SectionFigures{
		FromTipMM: x.x, WidthMM: 2 * x.halfWidth, ThicknessMM: x.thickness, CNPerMM: c,
		CoreEINM2: x.bare().EI(c), PressedEINM2: x.pressed.EI(c), AxisMM: x.pressed.AxisMM(c),
	}
	f.CoreShare = c * x.pressed.Slope(c) / f.PressedEINM2
	return f
}

// Evaluate computes everything about a layout. A faulty board, a layout of the wrong length, an index that is no wood
// and a wood without density or modulus are errors. Where many layouts of one board are evaluated, [Board.Prepare] it
// first.
func (b *Board) Evaluate(l Layout) (Figures, error) {
	p, err := b.Prepare()
	if err != nil {
		return Figures{}, err
	}
	return p.Evaluate(l)
}

// Evaluate is [Board.Evaluate].
func (p *Prepared) Evaluate(l Layout) (Figures, error) {
	b := &p.board
	if err := b.fits(l, len(p.strips)); err != nil {
		return Figures{}, err
	}
	moduli := p.moduli(l)
	f := p.masses(l)
	f.Measure = p.measure.figures(p.measure.c(moduli))
	f.Stations = make([]SectionFigures, len(p.stations))
	for i, x := range p.stations {
		f.Stations[i] = x.figures(x.c(moduli))
	}
	f.Flex = p.flex(moduli)
	f.Scatter = p.scatter(l, moduli, f)
	f.MeanGravity = p.meanGravity(l)
	f.PreStress = p.preStress(l, moduli)
	return f, nil
}

// moduli are those of the strips along the grain, MPa.
func (p *Prepared) moduli(l Layout) []float64 {
	moduli := make([]float64, len(l))
	for i, wood := range l {
		moduli[i] = p.board.Woods[wood].ModulusGPa.Value * mpaPerGPa
	}
	return moduli
}

func (b *Board) fits(l Layout, strips int) error {
	if len(l) != strips {
		return fmt.Errorf("layout has %d strips, board %q has %d on a side", len(l), b.Name, strips)
	}
	for i, wood := range l {
		if wood < 0 || wood >= len(b.Woods) {
			return fmt.Errorf("strip %d from the centre line: wood %d is none of the %d of board %q", i+1, wood, len(b.Woods), b.Name)
		}
		if w := b.Woods[wood]; !usable(w.ModulusGPa) || !usable(w.DensityKgM3) {
			return fmt.Errorf("strip %d from the centre line: wood %q has no modulus or no density", i+1, w.ID)
		}
	}
	return nil
}

func (p *Prepared) masses(l Layout) Figures {
	b := &p.board
	f := Figures{GlueMassG: p.glueG, PressedMassKnown: p.layersKnown,
		WoodVolumeCM3: make([]float64, len(b.Woods)), WoodMassByG: make([]float64, len(b.Woods))}
	for i, v := range p.volumes {
		f.WoodVolumeCM3[l[i]] += v.own * cm3PerMM3
		for pad, mm3 := range v.turned {
			f.WoodVolumeCM3[b.Pads[pad].Wood] += mm3 * cm3PerMM3
		}
	}
	for wood, cm3 := range f.WoodVolumeCM3 {
		if cm3 > 0 {
			f.WoodMassByG[wood] = cm3 / cm3PerMM3 * b.Woods[wood].DensityKgM3.Value * gPerKgM3MM3
		}
		f.VolumeCM3 += cm3
		f.WoodMassG += f.WoodMassByG[wood]
	}
	f.CoreMassG = f.WoodMassG + f.GlueMassG
	f.PressedMassG = f.CoreMassG + p.layersG
	return f
}

// flex is the three-point test by the unit-load theorem: deflection per force is ∫ m²/EI dx, m the moment of a unit load
// in the middle. Shear adds ∫ v²/S dx, v the shear force of a unit load.
func (p *Prepared) flex(moduli []float64) Flex {
	if p.spanMM == 0 {
		return Flex{}
	}
	var bare, pressed, shear float64 // mm/N
	for _, x := range p.span {
		c := x.c(moduli)
		bare += x.moment2 / (x.bare().EI(c) / nm2PerNMM2)
		pressed += x.moment2 / (x.pressed.EI(c) / nm2PerNMM2)
		shear += x.shear2 * shearCompliance(x.slabs, x.pressed, c, c*woodShear)
	}
	uniform := p.spanMM * p.spanMM * p.spanMM / 48 * nm2PerNMM2
	return Flex{
		Known:      true,
		CoreNPerMM: 1 / bare, PressedNPerMM: 1 / pressed,
		CoreEINM2: uniform / bare, PressedEINM2: uniform / pressed,
		ShearPct: 100 * shear / pressed,
	}
}

// meanGravity is by position the mean specific gravity of its strips; pads, which do not hold screws along their
// length, are left out of it.
func (p *Prepared) meanGravity(l Layout) []float64 {
	sum, pieces := make([]float64, len(p.board.Positions)), make([]float64, len(p.board.Positions))
	for i, s := range p.strips {
		g := p.board.Woods[l[i]].SpecificGravity
		if !g.Known() {
			g.Value = math.NaN()
		}
		sum[s.Position] += g.Value * float64(s.Pieces)
		pieces[s.Position] += float64(s.Pieces)
	}
	for i := range sum {
		sum[i] /= pieces[i]
	}
	return sum
}
