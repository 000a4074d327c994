//go:build cgo

package mip

import (
	"context"
	"testing"
	"time"

	"go.uber.org/goleak"
)

// TestNothingIsLeft: when a solve returns, by an interrupt, a limit or a fault, none of its goroutines runs on, and GLPK has given back what it
// took. The thread of a solve is Go's and stays with it.
func TestNothingIsLeft(t *testing.T) {
	leak := goleak.IgnoreCurrent()
	m := marketSplit(4, 30) // has no end within a test
	for k := range 3 {
		ctx, cancel := context.WithCancel(context.Background())
		told := 0
		pr := &probe{}
		_, err := solve(ctx, m, Options{Progress: func(Progress) {
			if told++; told > k {
				cancel()
			}
		}}, pr)
		if err != nil || told == 0 {
			t.Errorf("interrupted: %v, told %d times", err, told)
		}
		cancel()
		for _, a := range pr.attempts {
			if a.blocks != 0 || a.bytes != 0 {
				t.Errorf("interrupted: GLPK keeps %d bytes in %d blocks", a.bytes, a.blocks)
			}
		}
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Millisecond)
	defer cancel()
	if _, err := Solve(ctx, m, Options{}); err != nil {
		t.Error(err)
	}
	if _, err := Solve(context.Background(), m, Options{NodeLimit: 5}); err != nil {
		t.Error(err)
	}
	if _, err := solve(context.Background(), m, Options{}, &probe{faults: 2}); err == nil {
		t.Error("two faults are no error")
	}
	noneLeft(t, leak)
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
