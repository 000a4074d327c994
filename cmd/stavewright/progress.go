package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"stavewright/cmd/internal/report"
	"stavewright/optimize"
)

// A progress tells people on standard error how far a long run has come: a bar on a terminal, a plain line now and then elsewhere,
// nothing when told to be quiet. It ticks by itself, so that a solve of minutes is seen to be alive.
type progress struct {
	w     io.Writer // nil: quiet
	width int       // columns of the terminal; 0: there is none
	now   func() time.Time

	mu          sync.Mutex
	begun, said time.Time
	words       string
	share       float64 // of the way that is done; 0: not known
	bar         *progressbar.ProgressBar
	measured    bool // the bar has a way to go; else it only turns
	stop        chan struct{}
	stopped     sync.WaitGroup
}

const (
	barSteps   = 1000
	barColumns = 12
	aroundBar  = 10               // columns that the bar's ends, the percentage and spaces take
	plainEvery = 10 * time.Second // between lines where there is no terminal
)

// progress begins to tell of a run; done ends it.
func (a *app) progress() *progress {
	p := &progress{now: time.Now}
	if a.quiet {
		return p
	}
	p.w = a.stderr
	if f, ok := a.stderr.(*os.File); ok && term.IsTerminal(int(f.Fd())) && os.Getenv("TERM") != "dumb" {
		p.width = 80
		if w, _, err := term.GetSize(int(f.Fd())); err == nil && w > 0 {
			p.width = w
		}
	}
	p.begin()
	p.stop = make(chan struct{})
	p.stopped.Go(func() {
		tick := time.NewTicker(time.Second)
		defer tick.Stop()
		for {
			select {
			case <-p.stop:
				return
			case <-tick.C:
				p.tick()
			}
		}
	})
	return p
}

func (p *progress) begin() {
	p.begun = p.now()
	p.said = p.begun
}

// show says what is found by now and, where it is known, which share of the way is done, 0 to 1.
func (p *progress) show(words string, share float64) {
	p.mu.Lock()
	p.words, p.share = words, share
	p.mu.Unlock()
	if p.width > 0 {
		p.tick()
	}
}

// tick draws the bar anew, or writes a line if the last one is long enough ago.
func (p *progress) tick() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.w == nil {
		return
	}
	now := p.now()
	words := now.Sub(p.begun).Truncate(time.Second).String()
	if p.words != "" {
		words += ", " + p.words
	}
	if p.width == 0 {
		if now.Sub(p.said) < plainEvery {
			return
		}
		p.said = now
		if p.share > 0 {
			words += fmt.Sprintf(" (%.0f %%)", 100*p.share)
		}
		fmt.Fprintln(p.w, words)
		return
	}
	// What goes wrong here would only be about drawing.
	if measured := p.share > 0; p.bar == nil || measured != p.measured {
		if p.bar != nil {
			_ = p.bar.Clear()
		}
		steps := -1 // a wheel that turns
		if measured {
			steps = barSteps
		}
		p.measured = measured
		p.bar = progressbar.NewOptions(steps, progressbar.OptionSetWriter(p.w), progressbar.OptionSetWidth(barColumns), progressbar.OptionClearOnFinish(),
			progressbar.OptionSetPredictTime(false), progressbar.OptionSetElapsedTime(false), progressbar.OptionSpinnerType(9),
			progressbar.OptionSetSpinnerChangeInterval(0))
	}
	p.bar.Describe(report.Clipped(words, p.width-barColumns-aroundBar))
	if p.measured {
		_ = p.bar.Set(int(min(barSteps-1, barSteps*p.share))) // never full before it is done
	} else {
		_ = p.bar.Add(1)
	}
}

// done takes the bar away. What is found is for the result to say.
func (p *progress) done() {
	if p.stop != nil {
		close(p.stop)
		p.stopped.Wait()
		p.stop = nil
	}
	if p.bar != nil {
		_ = p.bar.Clear()
	}
}

// showFront tells of a search for a front: points, and the bound it works towards.
func (p *progress) showFront(at optimize.Progress) {
	points := fmt.Sprintf("%d points", at.Points)
	if at.Points == 1 {
		points = "1 point"
	}
	switch {
	case at.Sets > 0:
		p.show(fmt.Sprintf("%s, %d of %d sets of woods", points, at.SetsDone, at.Sets), at.Share)
	case at.Stretches > 1:
		p.show(fmt.Sprintf("%s, EI %.2f to %.2f N·m², %d stretches", points, at.LowNM2, at.HighNM2, at.Stretches), at.Share)
	case at.HighNM2 > 0:
		p.show(fmt.Sprintf("%s, EI %.2f of at most %.2f N·m²", points, at.EINM2, at.HighNM2), at.Share)
	default:
		p.show(fmt.Sprintf("%s, %d programs solved", points, at.Solves), 0)
	}
}

// showFactors tells of a match: profile factors gone through.
func (p *progress) showFactors(done, factors int) {
	p.show(fmt.Sprintf("%d of %d profile factors", done, factors), float64(done)/float64(max(factors, 1)))
}
