package optimize

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

func mustMatch(t *testing.T, p *Program, o MatchOptions) *MatchResult {
	t.Helper()
	r, err := Match(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestMatchAgainstBruteForce tries every layout at every profile factor of random small models.
func TestMatchAgainstBruteForce(t *testing.T) {
	found, refused := 0, 0
	for seed := range 200 {
		r := rand.New(rand.NewPCG(uint64(seed), 555))
		p, ref := randomProgram(r)
		for countLayouts(p) > 1200 {
			p, ref = randomProgram(r)
		}
		p.Reference = ref
		o := MatchOptions{WithinPct: 1 + 6*r.Float64(), Factors: []float64{0.96, 1, 1.05}, NoSwaps: true}
		switch seed % 4 {
		case 1:
			o.Goal = Stiffer
		case 2:
			o.Goal = Cheaper
		}
		method := Enumeration
		if seed%2 == 0 && mip.Available {
			method = IntegerProgram
			p.Limits.FlexHigh, p.Limits.MaxUtilPct = Limit{}, Limit{} // which only enumeration decides
		}
		o.Method = method
		got, err := Match(context.Background(), p, o)
		var needs *NeedsEnumerationError
		if errors.As(err, &needs) && method == IntegerProgram && p.Limits.FlexLow.Set {
			refused++ // a layout within some hundred-thousandths of the limit
			continue
		}
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if !got.Proven {
			t.Fatalf("seed %d: not proven", seed)
		}

		var best []int64
		refBoard, err := p.Board.Prepare()
		if err != nil {
			t.Fatal(err)
		}
		refFig, err := refBoard.Evaluate(ref)
		if err != nil {
			t.Fatal(err)
		}
		objectives := map[Goal][]Objective{"": {Mass}, Stiffer: {EI}, Cheaper: {Cost}}[o.Goal]
		for _, factor := range o.Factors {
			q := p.Scaled(factor)
			q.Limits = p.Limits
			f, err := newForm(q)
			if err != nil {
				t.Fatal(err)
			}
			board, err := q.Board.Prepare()
			if err != nil {
				t.Fatal(err)
			}
			sf := f.newScatter()
			layouts(q, func(l core.Layout) {
				fig, err := board.Evaluate(l)
				if err != nil {
					t.Fatal(err)
				}
				if o.Goal == Stiffer {
					if math.Round(fig.CoreMassG*100) > math.Round(refFig.CoreMassG*100)+1 {
						return
					}
				} else {
					middle, half := p.Board.LengthMM()/2, p.Board.SpanMM/2
					for i, s := range fig.Stations {
						if math.Abs(s.FromTipMM-middle) > half {
							continue
						}
						want := refFig.Stations[i].EINM2(p.Board.Section)
						if math.Abs(s.EINM2(p.Board.Section)-want) > want*o.WithinPct/100 {
							return
						}
					}
				}
				n, err := f.counts(l)
				if err != nil || len(f.breaks(n, sf)) > 0 {
					return
				}
				if v := f.objectiveSteps(t, n, objectives); best == nil || v[0] < best[0] {
					best = v
				}
			})
		}
		switch {
		case best == nil && got.Best == nil:
		case best == nil || got.Best == nil:
			t.Errorf("seed %d, %s by %s: best %v, brute force %v", seed, o.Goal, method, got.Best, best)
		default:
			found++
			have := steps(*got.Best, objectives)[0]
			// Equal mass is equal in print: a step of difference.
			if d := have - best[0]; d < -1 || d > 1 || d != 0 && o.Goal != Stiffer {
				t.Errorf("seed %d, %s by %s: best %d steps, brute force %d", seed, o.Goal, method, have, best[0])
			}
		}
	}
	if refused > 8 {
		t.Errorf("%d integer programs refused", refused)
	}
	if found < 100 {
		t.Errorf("only %d models have an answer: too tame to prove anything", found)
	}
}

// TestMatchTrimmed: after trimming, an evaluation of the trimmed board from scratch gives the reference's EI at every station.
func TestMatchTrimmed(t *testing.T) {
	p := program()
	p.Reference = core.Layout{1, 1, 1, 2, 1, 1, 2, 2, 1}
	var factors []float64
	for f := 0.95; f < 1.105; f += 0.01 {
		factors = append(factors, math.Round(f*100)/100)
	}
	done := 0
	r := mustMatch(t, p, MatchOptions{Factors: factors, Progress: func(d, of int) { done = d }})
	if !r.Proven || r.Best == nil || r.Trimmed == nil {
		t.Fatalf("%+v", r)
	}
	if done != len(factors) {
		t.Errorf("progress ended at %d of %d factors", done, len(factors))
	}
	t.Logf("reference %.2f g, best %.2f g at factor %v, trimmed %.2f g", r.Reference.CoreMassG, r.Best.CoreMassG, r.Best.ProfileFactor, r.Trimmed.CoreMassG)
	if r.Best.CoreMassG >= r.Reference.CoreMassG {
		t.Errorf("the best weighs %v g, the reference %v g", r.Best.CoreMassG, r.Reference.CoreMassG)
	}
	board := *p.Board
	board.Stations = nil
	for _, s := range r.Board.Stations {
		w := 2 * p.Board.HalfWidthMM(s.FromTipMM)
		board.Stations = append(board.Stations, core.Station{FromTipMM: s.FromTipMM, WidthMM: w, ThicknessMM: s.TrimmedMM})
	}
	fig, err := board.Evaluate(r.Best.Layout)
	if err != nil {
		t.Fatal(err)
	}
	ref, err := p.Board.Evaluate(p.Reference)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range fig.Stations {
		want := ref.Stations[i].PressedEINM2
		if d := math.Abs(s.PressedEINM2-want) / want; d > 0.002 && !r.Board.Stations[i].AtLeastThickness {
			t.Errorf("at %v mm EI is %.3f N·m², the reference's %.3f", s.FromTipMM, s.PressedEINM2, want)
		}
	}
	if d := math.Abs(fig.CoreMassG - r.Trimmed.CoreMassG); d > 0.011 {
		t.Errorf("trimmed mass %v g, from scratch %v g", r.Trimmed.CoreMassG, fig.CoreMassG)
	}
	if len(r.Swaps) == 0 {
		t.Error("no swap advice")
	}
	for _, s := range r.Swaps {
		if s.Point == nil {
			if s.Why == "" {
				t.Errorf("no swap for %s, and no reason", s.Wood)
			}
			continue
		}
		for _, run := range s.Point.Runs {
			if run.Wood == s.Wood {
				t.Errorf("the swap for %s uses it", s.Wood)
			}
		}
		if s.Point.CoreMassG < r.Best.CoreMassG {
			t.Errorf("without %s the core is lighter", s.Wood)
		}
	}
}

// TestMatchEdges: no reference, a reference that breaks a limit, and a window that nothing reaches.
func TestMatchEdges(t *testing.T) {
	p := program()
	var none *NoReferenceError
	if _, err := Match(context.Background(), p, MatchOptions{}); !errors.As(err, &none) {
		t.Errorf("%v", err)
	}
	p.Reference = core.Layout{2, 2, 2, 2, 2, 2, 2, 2, 2}
	p.Limits.Counts = []CountLimit{{Position: -1, Wood: 2, High: at(1, "Counts!E2")}}
	r := mustMatch(t, p, MatchOptions{})
	if len(r.Broken) != 1 || r.Best != nil || r.Infeasible == nil || len(r.Infeasible.Clash) < 2 {
		t.Errorf("%+v", r)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	r, err := Match(ctx, p, MatchOptions{})
	if err != nil || r.Proven || r.Why != "interrupted" || r.Infeasible != nil {
		t.Errorf("%v %+v", err, r)
	}
}
