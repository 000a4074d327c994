package optimize

import (
	"context"
	"errors"
	"sync/atomic"

	"stavewright/optimize/mip"
)

// Divided has even a small season searched branch by branch.
func (o SeasonOptions) Divided() SeasonOptions {
	o.divided = true
	return o
}

// Generated has the totals of every model generated as prices ask for them.
func (o SeasonOptions) Generated() SeasonOptions {
	o.generated = true
	return o
}

// Undiagnosed leaves out why there is no plan.
func (o SeasonOptions) Undiagnosed() SeasonOptions {
	o.undiagnosed = true
	return o
}

// ErrFault is what a failing solver says.
var ErrFault = errors.New("a fault, made for a test")

// Failing has every solve after so many fail.
func (o SeasonOptions) Failing(after int) SeasonOptions {
	f := &faulty{}
	f.left.Store(int64(after))
	o.solver = f
	o.undiagnosed = true
	return o
}

type faulty struct{ left atomic.Int64 }

func (f *faulty) Solve(ctx context.Context, m *mip.Model, o mip.Options) (mip.Result, error) {
	if f.left.Add(-1) < 0 {
		return mip.Result{}, ErrFault
	}
	return mip.Solve(ctx, m, o)
}

// IsInfeasible reports that a season was proven to have no plan.
func IsInfeasible(err error) bool {
	var s *Shortage
	return errors.As(err, &s) || errors.Is(err, errInfeasibleSeason)
}
