//go:build !cgo

package mip

import (
	"context"
	"errors"
	"testing"
)

func TestNoSolver(t *testing.T) {
	m := &Model{Columns: []Column{{High: 1, Integer: true}}}
	if _, err := Solve(context.Background(), m, Options{}); !errors.Is(err, ErrNoSolver) {
		t.Errorf("error %v, want %v", err, ErrNoSolver)
	}
	if _, err := Solve(context.Background(), &Model{Columns: []Column{{Low: 1}}}, Options{}); err == nil || errors.Is(err, ErrNoSolver) {
		t.Errorf("a broken model: %v", err)
	}
}
