package main

import (
	"bufio"
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

// A peer is another way to solve the exported model, used plainly: least mass with EI at least the last point's and one step more,
// until nothing is left, every solve to a gap of 0.
type peer struct {
	name  string
	start func(*exported) (engine, error)
}

// An engine solves m, an exported model, which differs from solve to solve in one bound: low, of EI's row. x is nil when there is no
// solution; an engine stopped by ctx may return anything.
type engine interface {
	solve(ctx context.Context, m *mip.Model, low float64) (x []float64, err error)
	close()
}

// The exported model has the classes already, which is most of the way. "plain" is GLPK on the model without them, as one would write
// it down.
var peers = []peer{{"plain", startGLPK}, {"glpk", startGLPK}, {"cbc", startCBC}, {"highs", startHiGHS}}

// errMissing says that a peer is not installed.
var errMissing = errors.New("not installed")

// An exported is what peers are given: the model with an open row of EI, and how to move the row.
type exported struct {
	p     *optimize.Program
	write func(*optimize.Program, float64) (*mip.Model, []string, error)
	model *mip.Model
	ei    int // the row of EI at the measuring station
}

func (r peer) export(p *optimize.Program) (*exported, error) {
	write := optimize.Model
	if r.name == "plain" {
		write = optimize.PlainModel
	}
	m, _, err := write(p, 0)
	if err != nil {
		return nil, err
	}
	e := &exported{p: p, write: write, model: m, ei: -1}
	name := "EI at " + strconv.FormatFloat(p.Board.MeasureAtMM, 'f', -1, 64) + " mm"
	for i, r := range m.Rows {
		if r.Name == name {
			e.ei = i
		}
	}
	if e.ei < 0 {
		return nil, fmt.Errorf("the exported model of %s has no row %q", p.Model, name)
	}
	return e, nil
}

// A run is what a loop or a search brought back.
type run struct {
	points   [][]int64 // in steps
	solves   int
	seconds  float64
	complete bool
	peakMB   float64
	method   optimize.Method
	fault    string // an answer that cannot be
}

// loop runs a peer. The time is that of its solves alone: neither of writing models nor of reading answers.
func (r peer) loop(e *exported, limit time.Duration) (run, error) {
	var out run
	s, err := r.start(e)
	if err != nil {
		return out, err
	}
	defer s.close()
	step := e.p.Resolution.EINM2
	if step == 0 {
		step = 0.01
	}
	asked := 0.0
	for {
		m, _, err := e.write(e.p, asked)
		if err != nil {
			return out, err
		}
		low := m.Rows[e.ei].Low
		if low > e.model.Rows[e.ei].High { // the window ends here
			out.complete = true
			return out, nil
		}
		ctx, cancel := context.WithTimeout(context.Background(), limit-time.Duration(out.seconds*float64(time.Second)))
		begin := time.Now()
		x, err := s.solve(ctx, m, low)
		out.seconds += time.Since(begin).Seconds()
		stopped := ctx.Err() != nil
		cancel()
		switch {
		case stopped:
			return out, nil
		case err != nil:
			return out, err
		}
		out.solves++
		if x == nil {
			out.complete = true
			return out, nil
		}
		c, err := e.point(x)
		if err != nil {
			return out, err
		}
		if len(c.Broken) > 0 || c.Point.EINM2 < asked-step/2 {
			out.fault = fmt.Sprintf("%s: with EI at least %.2f N·m² its answer has %.2f; broken: %s", r.name, asked, c.Point.EINM2, strings.Join(c.Broken, "; "))
			return out, nil
		}
		v := steps(c.Point, []optimize.Objective{optimize.Mass, optimize.EI})
		if n := len(out.points); n > 0 && out.points[n-1][0] == v[0] {
			out.points = out.points[:n-1] // as light, and stiffer
		}
		out.points = append(out.points, append(v, 0)) // of the first program
		asked = c.Point.EINM2 + step
	}
}

// point is the layout of a solution, as this program weighs it.
func (e *exported) point(x []float64) (*optimize.CheckResult, error) {
	b := e.p.Board
	groups := b.Groups()
	wood := map[string]int{}
	for i, w := range b.Woods {
		wood[w.ID] = i
	}
	for again := false; ; again = true {
		layout := make(core.Layout, len(b.Strips()))
		filled := make([]int, len(groups))
		whole := true
		for i, c := range e.model.Columns {
			id, where, ok := strings.Cut(c.Name, " of strips ")
			if !ok {
				continue
			}
			n := math.Round(x[i])
			whole = whole && math.Abs(x[i]-n) < 1e-6
			var first int
			if _, err := fmt.Sscanf(where, "%d-", &first); err != nil {
				return nil, fmt.Errorf("column %q: %w", c.Name, err)
			}
			for gi, g := range groups {
				if g.Strips[0] != first-1 {
					continue
				}
				for range int(n) {
					if filled[gi] < len(g.Strips) {
						layout[g.Strips[filled[gi]]] = wood[id]
					}
					filled[gi]++
				}
			}
		}
		for gi, g := range groups {
			whole = whole && filled[gi] == len(g.Strips)
		}
		if whole {
			return optimize.Check(e.p, layout)
		}
		if again {
			return nil, errors.New("the counts of strips are not whole")
		}
		// Group counts may be any of equal mass: with the class counts as they are, a vertex is whole.
		m := *e.model
		m.Columns = append([]mip.Column(nil), m.Columns...)
		for i, c := range m.Columns {
			if c.Integer {
				m.Columns[i].Low, m.Columns[i].High = math.Round(x[i]), math.Round(x[i])
			}
		}
		r, err := mip.Solve(context.Background(), &m, mip.Options{})
		if err != nil || r.X == nil {
			return nil, fmt.Errorf("the class counts leave no layout: %v", err)
		}
		x = r.X
	}
}

// A glpkLoop is GLPK as a person would call it: every count of strips a whole number, nothing carried from solve to solve.
type glpkLoop struct {
	e *exported
	m mip.Model
}

func startGLPK(e *exported) (engine, error) {
	if !mip.Available {
		return nil, errMissing
	}
	g := &glpkLoop{e, *e.model}
	g.m.Columns = append([]mip.Column(nil), g.m.Columns...)
	for i, c := range g.m.Columns {
		if strings.Contains(c.Name, " of strips ") {
			g.m.Columns[i].Integer = true
		}
	}
	g.m.Rows = append([]mip.Row(nil), g.m.Rows...)
	return g, nil
}

func (g *glpkLoop) close() {}

func (g *glpkLoop) solve(ctx context.Context, _ *mip.Model, low float64) ([]float64, error) {
	g.m.Rows[g.e.ei].Low = low
	r, err := mip.Solve(ctx, &g.m, mip.Options{Presolve: true})
	if err != nil || r.Status == mip.Infeasible {
		return nil, err
	}
	if r.Status == mip.Stopped || r.Status == mip.Feasible {
		<-ctx.Done() // GLPK's own clock runs a hair ahead
	}
	if r.Status != mip.Optimal && ctx.Err() == nil {
		return nil, fmt.Errorf("glpk ended with status %d", r.Status)
	}
	return r.X, nil
}

// A cbcLoop runs the command on the exported MPS.
type cbcLoop struct {
	path string
	dir  string
}

func startCBC(*exported) (engine, error) {
	path, err := exec.LookPath("cbc")
	if err != nil {
		return nil, errMissing
	}
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return nil, err
	}
	return &cbcLoop{path, dir}, nil
}

func (c *cbcLoop) close() { _ = os.RemoveAll(c.dir) }

func (c *cbcLoop) solve(ctx context.Context, m *mip.Model, _ float64) ([]float64, error) {
	var text bytes.Buffer
	if err := mip.WriteMPS(&text, m); err != nil {
		return nil, err
	}
	file, solution := filepath.Join(c.dir, "p.mps"), filepath.Join(c.dir, "p.sol")
	if err := os.WriteFile(file, text.Bytes(), 0o600); err != nil {
		return nil, err
	}
	if out, err := exec.CommandContext(ctx, c.path, file, "ratioGap", "0", "allowableGap", "0", "solve", "solution", solution).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("cbc: %w\n%s", err, out)
	}
	answer, err := os.ReadFile(solution)
	if err != nil {
		return nil, err
	}
	first, rest, _ := strings.Cut(string(answer), "\n")
	switch {
	case strings.HasPrefix(first, "Infeasible"), strings.HasPrefix(first, "Integer infeasible"):
		return nil, nil
	case !strings.HasPrefix(first, "Optimal"):
		return nil, fmt.Errorf("cbc: %s", first)
	}
	x := make([]float64, len(m.Columns))
	for line := range strings.Lines(rest) {
		f := strings.Fields(line) // number, name, value, reduced cost
		if len(f) < 3 {
			continue
		}
		i, err := strconv.Atoi(f[0])
		if err != nil {
			return nil, fmt.Errorf("cbc: %q", line)
		}
		if i >= len(x) {
			continue // the constant
		}
		if x[i], err = strconv.ParseFloat(f[2], 64); err != nil {
			return nil, fmt.Errorf("cbc: %q", line)
		}
	}
	return x, nil
}

//go:embed highs.py
var highsWorker string

// python is Debian's, for which python3-scipy is packaged; another one in PATH may not have it.
const python = "/usr/bin/python3"

// A highsLoop keeps one worker, which gets the model once.
type highsLoop struct {
	cmd *exec.Cmd
	in  io.WriteCloser
	out *bufio.Reader
}

func startHiGHS(e *exported) (engine, error) {
	cmd := exec.Command(python, "-c", highsWorker)
	in, err := cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, errMissing
	}
	h := &highsLoop{cmd, in, bufio.NewReaderSize(out, 1<<20)}
	if _, err := h.ask(worksheet(e)); err != nil {
		h.close()
		return nil, errMissing
	}
	return h, nil
}

// A bound is a number, or null where there is none.
type bound float64

func (b bound) MarshalJSON() ([]byte, error) {
	if math.IsInf(float64(b), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(b))
}

// worksheet is the model as the worker takes it, row by row.
func worksheet(e *exported) any {
	var w struct {
		Objective   []float64 `json:"objective"`
		Integer     []int     `json:"integer"`
		Low         []bound   `json:"low"`
		High        []bound   `json:"high"`
		RowLow      []bound   `json:"row_low"`
		RowHigh     []bound   `json:"row_high"`
		Start       []int     `json:"start"`
		Column      []int     `json:"column"`
		Coefficient []float64 `json:"coefficient"`
		Moved       int       `json:"moved"`
	}
	for _, c := range e.model.Columns {
		whole := 0
		if c.Integer {
			whole = 1
		}
		w.Objective, w.Integer = append(w.Objective, c.Objective), append(w.Integer, whole)
		w.Low, w.High = append(w.Low, bound(c.Low)), append(w.High, bound(c.High))
	}
	for _, r := range e.model.Rows {
		w.Start = append(w.Start, len(w.Column))
		w.RowLow, w.RowHigh = append(w.RowLow, bound(r.Low)), append(w.RowHigh, bound(r.High))
		for _, t := range r.Terms {
			w.Column, w.Coefficient = append(w.Column, t.Column), append(w.Coefficient, t.Coefficient)
		}
	}
	w.Start = append(w.Start, len(w.Column))
	w.Moved = e.ei
	return w
}

type highsAnswer struct {
	Status string
	X      []float64
}

func (h *highsLoop) ask(question any) (highsAnswer, error) {
	var a highsAnswer
	line, err := json.Marshal(question)
	if err != nil {
		return a, err
	}
	if _, err := h.in.Write(append(line, '\n')); err != nil {
		return a, err
	}
	reply, err := h.out.ReadBytes('\n')
	if err != nil {
		return a, err
	}
	return a, json.Unmarshal(reply, &a)
}

func (h *highsLoop) close() {
	_ = h.in.Close()
	_ = h.cmd.Process.Kill()
	_ = h.cmd.Wait()
}

func (h *highsLoop) solve(ctx context.Context, _ *mip.Model, low float64) ([]float64, error) {
	deadline, _ := ctx.Deadline()
	// It may look at its clock late: ctx ends the worker then.
	defer context.AfterFunc(ctx, func() { _ = h.cmd.Process.Kill() })()
	a, err := h.ask(map[string]float64{"low": low, "seconds": max(0.01, time.Until(deadline).Seconds())})
	switch {
	case err != nil:
		return nil, err
	case a.Status == "optimal":
		return a.X, nil
	case a.Status == "infeasible":
		return nil, nil
	}
	<-ctx.Done() // stopped by its own clock, a moment early
	return nil, ctx.Err()
}
