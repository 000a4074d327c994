package optimize

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/goleak"

	"stavewright/optimize/mip"
)

// stopping cancels at the k-th solve, before or in the middle of it, whichever goroutine asks.
type stopping struct {
	n      *atomic.Int64
	at     int64
	cancel context.CancelFunc
	inside bool
}

func (s stopping) Solve(ctx context.Context, m *mip.Model, o mip.Options) (mip.Result, error) {
	if s.n.Add(1) == s.at {
		if s.inside {
			done := make(chan struct{})
			go func() {
				defer close(done)
				s.cancel()
			}()
			defer func() { <-done }()
		} else {
			s.cancel()
		}
	}
	return mip.Solve(ctx, m, o)
}

// TestNothingIsLeft: when a search returns, whatever ended it, nothing that it started runs on.
func TestNothingIsLeft(t *testing.T) {
	p := program()
	p.Reference = slices.Repeat([]int{1}, len(p.Board.Strips()))
	front := func(o Options) func(context.Context, solver) error {
		return func(ctx context.Context, s solver) error {
			o := o
			o.solver = s
			_, err := Front(ctx, p, o)
			return err
		}
	}
	match := func(ctx context.Context, s solver) error {
		_, err := Match(ctx, p, MatchOptions{Method: IntegerProgram, Factors: []float64{0.98, 1, 1.02}, solver: s})
		return err
	}
	for name, run := range map[string]func(context.Context, solver) error{
		"front": front(Options{stretches: 1}), "stretches": front(Options{stretches: 4}), "three objectives": front(Options{Objectives: three}), "match": match,
	} {
		for _, k := range []int64{1, 3, 8} {
			t.Run(fmt.Sprintf("%s, %d", name, k), func(t *testing.T) {
				needsIntegerPrograms(t)
				// Goroutines of other tests, which wait for their turn, are not ours.
				leak := goleak.IgnoreCurrent()
				for _, inside := range []bool{false, true} {
					ctx, cancel := context.WithCancel(context.Background())
					if err := run(ctx, stopping{new(atomic.Int64), k, cancel, inside}); err != nil {
						t.Errorf("interrupted: %v", err)
					}
					cancel()
				}
				if err := run(context.Background(), breaking{new(atomic.Int64), k}); !errors.Is(err, errBroken) {
					t.Errorf("fault: %v", err)
				}
				noneLeft(t, leak)
			})
		}
	}
	t.Run("enumeration", func(t *testing.T) {
		leak := goleak.IgnoreCurrent()
		for sets := range 4 {
			ctx, cancel := context.WithCancel(context.Background())
			seen := 0
			_, err := Front(ctx, p, Options{Method: Enumeration, Progress: func(Progress) {
				if seen++; seen > sets {
					cancel()
				}
			}})
			if err != nil {
				t.Error(err)
			}
			cancel()
		}
		ctx, cancel := context.WithTimeout(context.Background(), time.Nanosecond)
		defer cancel()
		if _, err := Match(ctx, p, MatchOptions{Method: Enumeration}); err != nil {
			t.Error(err)
		}
		noneLeft(t, leak)
	})
}

// noneLeft fails when goroutines run on. One that has told us that it is done may, on a machine under load, be there for a while yet.
func noneLeft(t *testing.T, ours goleak.Option) {
	t.Helper()
	err := goleak.Find(ours)
	for tries := 0; err != nil && tries < 60; tries++ { // each waits for half a second
		err = goleak.Find(ours)
	}
	if err != nil {
		t.Error(err)
	}
}
