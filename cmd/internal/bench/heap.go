package main

import (
	"runtime/debug"
	"runtime/metrics"
	"time"
)

// watchHeap begins to look at the heap, every other millisecond; what it returns ends that and gives the greatest size seen, MB. What
// GLPK takes is not in it.
func watchHeap() (peak func() float64) {
	debug.FreeOSMemory()
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	stop, done := make(chan struct{}), make(chan uint64)
	go func() {
		var most uint64
		tick := time.NewTicker(2 * time.Millisecond)
		defer tick.Stop()
		for {
			metrics.Read(sample)
			most = max(most, sample[0].Value.Uint64())
			select {
			case <-stop:
				done <- most
				return
			case <-tick.C:
			}
		}
	}()
	return func() float64 {
		close(stop)
		return float64(<-done) / 1e6
	}
}
