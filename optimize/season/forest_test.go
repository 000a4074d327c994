package season

import (
	"context"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// TestTurns: no more branches have a turn than there are; all of them come to their end, also those whose context ends while they wait.
func TestTurns(t *testing.T) {
	for _, turns := range []int{1, 3} {
		f := &forest{x: &search{}, free: turns}
		var have, most, ended atomic.Int64
		var wg sync.WaitGroup
		for i := range 12 {
			ctx, cancel := context.WithCancel(context.Background())
			defer cancel()
			late := i%4 == 3 // goes on without a turn
			if late {
				time.AfterFunc(time.Duration(i)*time.Millisecond, cancel)
			}
			wg.Go(func() {
				b := &branch{bound: rand.Float64(), turn: make(chan struct{}, 1)}
				for range 50 {
					f.wait(ctx, b)
					if !late {
						most.Store(max(most.Load(), have.Add(1)))
						time.Sleep(50 * time.Microsecond)
						have.Add(-1)
					}
					f.give(b)
				}
				ended.Add(1)
			})
		}
		wg.Wait()
		if most.Load() > int64(turns) || most.Load() < 1 || ended.Load() != 12 || f.free != turns || len(f.waiting) > 0 {
			t.Errorf("%d turns: %d had one at a time, %d ended; after it %d are free and %d wait", turns, most.Load(), ended.Load(), f.free, len(f.waiting))
		}
	}
}
