//go:build glpkfault

package mip

import (
	"fmt"
	"os"
	"os/signal"
	"strconv"
	"sync/atomic"
	"time"
)

// A program built with this tag fails on purpose: STAVEWRIGHT_FAULT_AFTER solves go well, and from then on every one ends in a fault
// provoked inside GLPK; with STAVEWRIGHT_FAULT=numbers it ends as when GLPK gives up on numbers; with STAVEWRIGHT_FAULT=interrupt the
// program is sent an interrupt, once. Without the variable the program is as any other.
func init() {
	after, err := strconv.ParseInt(os.Getenv("STAVEWRIGHT_FAULT_AFTER"), 10, 64)
	if err != nil {
		return
	}
	var solves atomic.Int64
	provoke = func() *probe {
		n := solves.Add(1)
		if n <= after {
			return nil
		}
		switch kind := os.Getenv("STAVEWRIGHT_FAULT"); kind {
		case "":
			return &probe{faults: 2}
		case "numbers":
			return &probe{giveUps: 2}
		case "interrupt":
			if self, err := os.FindProcess(os.Getpid()); err == nil && n == after+1 { // a second one ends the program at once
				came := make(chan os.Signal, 1)
				signal.Notify(came, os.Interrupt)
				_ = self.Signal(os.Interrupt)
				<-came
				time.Sleep(time.Second) // for the program to take it in, also on a machine under load
			}
			return nil
		default:
			panic(fmt.Sprintf("STAVEWRIGHT_FAULT is %q", kind))
		}
	}
}
