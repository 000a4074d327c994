package optimize_test

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"testing"
	"time"

	"stavewright/optimize"
	"stavewright/optimize/invented"
)

func TestScratchList(t *testing.T) {
	optimize.ScratchList(invented.Season(10, 1))
}

func TestScratchJoint(t *testing.T) {
	s := invented.Season(scratchN, scratchSeed)
	ctx, cancel := context.WithTimeout(context.Background(), 60*time.Second)
	defer cancel()
	for _, m := range []optimize.SeasonMode{optimize.SeasonKeep, optimize.SeasonFirst, optimize.SeasonJoint} {
		t0 := time.Now()
		p, err := optimize.SolveSeason(ctx, s, optimize.SeasonOptions{Mode: m})
		if err != nil {
			t.Error(err)
		}
		if p != nil {
			fmt.Println(m, p.Cost, p.Bound, p.Proven, p.GapPct(), p.Why, time.Since(t0), p.Verify())
		}
	}
}

var scratchN, scratchSeed = func() (int, uint64) {
	n, _ := strconv.Atoi(os.Getenv("SN"))
	k, _ := strconv.Atoi(os.Getenv("SS"))
	return n, uint64(k)
}()
