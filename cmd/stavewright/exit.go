package main

import (
	"errors"
	"fmt"

	"stavewright/optimize"
	"stavewright/optimize/mip"
	"stavewright/optimize/season"
	"stavewright/sourcing"
)

// The exit statuses.
const (
	statusDone       = 0 // done and proven; a season, as near to its bound as was asked
	statusFault      = 1 // a fault of the program
	statusUsage      = 2 // bad usage or input
	statusInfeasible = 3 // nothing feasible
	statusStopped    = 4 // stopped early, best found written
)

// A usageError is the user's to mend: a flag, an argument, a file.
type usageError struct{ err error }

func (e *usageError) Error() string { return e.err.Error() }
func (e *usageError) Unwrap() error { return e.err }

func usage(format string, args ...any) error { return &usageError{fmt.Errorf(format, args...)} }

// A findingsError is a faulty workbook: all its problems, one a line.
type findingsError struct{ findings sourcing.Findings }

func (e *findingsError) Error() string { return e.findings.String() }

// An outcome is an answer, shown already, that has a status of its own.
type outcome struct{ status int }

func (*outcome) Error() string { return "" }

// after is how a command ends that has shown what it had: by the fault that ended its search, if there was one, and by what went
// wrong in showing.
func after(fault, shown error) error {
	var told *outcome
	switch {
	case fault == nil:
		return shown
	case shown == nil || errors.As(shown, &told):
		return fault
	}
	return errors.Join(fault, shown)
}

// exitStatus maps every error to its status.
func exitStatus(err error) int {
	var (
		bad     *usageError
		faulty  *findingsError
		told    *outcome
		none    *optimize.InfeasibleError
		banned  *optimize.NotAllowedError
		noPrice *optimize.NoPricesError
		noRef   *optimize.NoReferenceError
		many    *optimize.NeedsEnumerationError
		failed  *optimize.SolverError
		short   *season.Shortage
		noPlan  *season.NoPlanError
		noKept  *season.NoLayoutError
	)
	switch {
	case err == nil:
		return statusDone
	case errors.As(err, &told):
		return told.status
	case errors.As(err, &failed): // whatever else went wrong besides
		return statusFault
	case errors.As(err, &bad), errors.As(err, &faulty), errors.As(err, &banned), errors.As(err, &noPrice), errors.As(err, &noRef),
		errors.As(err, &noKept), errors.As(err, &many), errors.Is(err, mip.ErrNoSolver), errors.Is(err, optimize.ErrTooManyPoints):
		return statusUsage
	case errors.As(err, &none), errors.As(err, &short):
		return statusInfeasible
	case errors.As(err, &noPlan):
		return statusStopped
	}
	return statusFault
}
