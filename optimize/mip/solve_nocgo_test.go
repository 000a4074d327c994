//go:build !cgo

package mip

import (
	"context"
	"errors"
	"testing"
)

func TestNoSolver(t *testing.T) {
	m := &Model{Columns: []Column{{High: 1, Integer: true}}}
	if _, err := Solve(context.Background(), m, Options{Engine: GLPK}); !errors.Is(err, ErrNoSolver) {
		t.Errorf("GLPK: error %v, want %v", err, ErrNoSolver)
	}
	if r, err := Solve(context.Background(), m, Options{}); HasHiGHS() && (err != nil || r.Status != Optimal) || !HasHiGHS() && !errors.Is(err, ErrNoSolver) {
		t.Errorf("HiGHS %v: %v, %v", HasHiGHS(), r.Status, err)
	}
	if _, err := Solve(context.Background(), &Model{Columns: []Column{{Low: 1}}}, Options{}); err == nil || errors.Is(err, ErrNoSolver) {
		t.Errorf("a broken model: %v", err)
	}
}
