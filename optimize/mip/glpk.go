package mip

/*
#cgo CFLAGS: -std=gnu11 -O2
#cgo LDFLAGS: -lglpk
#cgo darwin CFLAGS: -I/opt/homebrew/include -I/usr/local/include
#cgo darwin LDFLAGS: -L/opt/homebrew/lib -L/usr/local/lib
#include <glpk.h>
#include <stdlib.h>
#include "call.h"

static const char *tls_option(void) { return glp_config("TLS"); }
*/
import "C"

import (
	"context"
	"errors"
	"math"
	"runtime"
	"strings"
	"sync/atomic"
	"time"
	"unsafe"
)

// turn admits one solve at a time where GLPK was built without thread-local storage, in which case its environment is
// one for the whole process; nil where it is one for each thread (GLPK 5.0 manual, glp_config "TLS").
var turn = func() chan struct{} {
	if C.tls_option() != nil {
		return nil
	}
	return make(chan struct{}, 1)
}()

// runGLPK hands p to GLPK, in one call to C. The error is for memory only; whatever happens in GLPK is an outcome.
func runGLPK(ctx context.Context, p *problem, o Options, s settings) (answer, error) {
	none := answer{outcome: stopped, bound: math.Inf(-1)}
	if ctx.Err() != nil {
		return none, nil
	}
	if turn != nil {
		select {
		case turn <- struct{}{}:
			defer func() { <-turn }()
		case <-ctx.Done():
			return none, nil
		}
	}
	limit := C.int(math.MaxInt32) // no limit, to GLPK
	if deadline, ok := ctx.Deadline(); ok {
		left := time.Until(deadline).Milliseconds()
		if left <= 0 {
			return none, nil
		}
		limit = C.int(min(left, math.MaxInt32-1))
	}

	var pin runtime.Pinner
	defer pin.Unpin()
	x, dual := make([]float64, len(p.colLow)), make([]float64, len(p.rowLow))
	basis := &Basis{RowState: make([]int8, len(p.rowLow)), ColumnState: make([]int8, len(p.colLow))}
	in := &C.mip_problem{
		rows: C.int(len(p.rowLow)), cols: C.int(len(p.colLow)), terms: C.int(len(p.coefficient) - 1),
		row_low: (*C.double)(pinned(&pin, p.rowLow)), row_high: (*C.double)(pinned(&pin, p.rowHigh)),
		col_low: (*C.double)(pinned(&pin, p.colLow)), col_high: (*C.double)(pinned(&pin, p.colHigh)),
		objective: (*C.double)(pinned(&pin, p.objective)),
		integer:   (*C.uchar)(pinned(&pin, p.integer)), integers: C.int(p.integers),
		ia: (*C.int)(pinned(&pin, p.row)), ja: (*C.int)(pinned(&pin, p.col)), ar: (*C.double)(pinned(&pin, p.coefficient)),
		constant: C.double(p.constant), gap: C.double(o.RelativeGap),
		node_limit: C.int64_t(o.NodeLimit), time_limit_ms: limit,
		presolve: onOff(s.presolve), mir: onOff(o.MIRCuts && s.cuts), gomory: onOff(o.GomoryCuts && s.cuts),
		cover: onOff(o.CoverCuts && s.cuts), clique: onOff(o.CliqueCuts && s.cuts), pump: onOff(o.FeasPump && s.cuts),
		scale: onOff(s.scale), tol_int: integral, tol_obj: pruning, fault: onOff(s.fault),
	}
	if o.Basis != nil {
		in.row_state = (*C.schar)(pinned(&pin, o.Basis.RowState))
		in.col_state = (*C.schar)(pinned(&pin, o.Basis.ColumnState))
	}
	out := &C.mip_answer{
		x: (*C.double)(pinned(&pin, x)), dual: (*C.double)(pinned(&pin, dual)),
		row_state: (*C.schar)(pinned(&pin, basis.RowState)), col_state: (*C.schar)(pinned(&pin, basis.ColumnState)),
	}
	pin.Pin(in)
	pin.Pin(out)

	shared := (*C.mip_watch)(C.calloc(1, C.sizeof_mip_watch))
	if shared == nil {
		return answer{}, errors.New("out of memory")
	}
	defer C.free(unsafe.Pointer(shared))
	w := watch{shared, p}
	w.clear()
	join := w.attend(ctx, o.Progress)
	runtime.LockOSThread() // GLPK's environment belongs to the thread
	C.mip_run(in, shared, out)
	runtime.UnlockOSThread()
	join() // before shared is freed

	a := answer{
		outcome: outcome(out.outcome), code: int(out.code),
		bound: w.bound(), nodes: w.nodes(),
		words:  strings.Join(strings.Fields(C.GoString(&out.words[0])), " "),
		blocks: int(out.blocks_left), bytes: int(out.bytes_left),
	}
	if a.outcome == optimal || a.outcome == feasible {
		a.x = x
	}
	if a.outcome == optimal && p.integers == 0 {
		a.dual = dual
	}
	if out.has_basis != 0 {
		a.basis = basis
	}
	return a, nil
}

func onOff(on bool) C.int {
	if on {
		return 1
	}
	return 0
}

// pinned is the address of s for C, where it stays until pin lets go; nil for an empty s.
func pinned[T any](pin *runtime.Pinner, s []T) unsafe.Pointer {
	if len(s) == 0 {
		return nil
	}
	pin.Pin(&s[0])
	return unsafe.Pointer(&s[0])
}

// A watch is Go's side of what a running solve shares.
type watch struct {
	shared  *C.mip_watch
	problem *problem
}

func (w watch) clear() {
	atomic.StoreUint64((*uint64)(&w.shared.bound), math.Float64bits(math.Inf(-1)))
}

func (w watch) stop() { atomic.StoreInt32((*int32)(&w.shared.stop), 1) }

// bound is proven for the minimised objective; −Inf: nothing is.
func (w watch) bound() float64 {
	return math.Float64frombits(atomic.LoadUint64((*uint64)(&w.shared.bound)))
}

func (w watch) nodes() int { return int(atomic.LoadInt64((*int64)(&w.shared.nodes))) }

// progress is what the solve knows now, in terms of the model.
func (w watch) progress() Progress {
	p := Progress{Nodes: w.nodes(), Bound: w.problem.sign * (w.bound() + w.problem.constant)}
	if atomic.LoadInt32((*int32)(&w.shared.has_incumbent)) != 0 {
		p.HasIncumbent = true
		incumbent := math.Float64frombits(atomic.LoadUint64((*uint64)(&w.shared.incumbent)))
		p.Incumbent = w.problem.sign * (incumbent + w.problem.constant)
	}
	return p
}

// attend passes ctx's end to the search, and the search's progress to report, which may be nil. When join returns both
// are over.
func (w watch) attend(ctx context.Context, report func(Progress)) (join func()) {
	stopped := make(chan struct{})
	forget := context.AfterFunc(ctx, func() {
		w.stop()
		close(stopped)
	})
	over, told := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(told)
		if report == nil {
			return
		}
		tick := time.NewTicker(progressEvery)
		defer tick.Stop()
		for {
			select {
			case <-over:
				return
			case <-tick.C:
				report(w.progress())
			}
		}
	}()
	return func() {
		close(over)
		<-told
		if !forget() {
			<-stopped
		}
	}
}

// Available reports whether this build has GLPK.
const Available = true
