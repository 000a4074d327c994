package optimize_test

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"stavewright/optimize"
	"stavewright/optimize/invented"
)

func TestScratchSmall(t *testing.T) {
	n := map[string]int{}
	for seed := range uint64(60) {
		s := invented.SmallSeason(seed)
		p, err := optimize.SolveSeason(context.Background(), s, optimize.SeasonOptions{})
		if err != nil {
			n[err.Error()]++
			continue
		}
		if err := errors.Join(p.Verify()); err != nil {
			t.Error(seed, err)
		}
		n[fmt.Sprint(p.Proven)]++
	}
	fmt.Println(n)
}
