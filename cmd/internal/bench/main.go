package main

import (
	"context"
	"fmt"
	"time"

	"stavewright/optimize"
)

func main() {
	for _, s := range sizes {
		for seed := uint64(1); seed <= 3; seed++ {
			p := generate(s, seed)
			for _, m := range []optimize.Method{optimize.Enumeration, optimize.IntegerProgram} {
				if s.name == "X" && m == optimize.Enumeration {
					continue
				}
				for _, objs := range [][]optimize.Objective{nil, {optimize.Mass, optimize.EI, optimize.Cost}} {
					if len(objs) > 0 && (m == optimize.IntegerProgram || s.name == "X") {
						continue
					}
					ctx, cancel := context.WithTimeout(context.Background(), 60*time.Second)
					t := time.Now()
					r, err := optimize.Front(ctx, p, optimize.Options{Method: m, Objectives: objs})
					cancel()
					if err != nil {
						fmt.Println(err)
						continue
					}
					fmt.Println(s.name, seed, m, len(objs), len(r.Points), r.Complete, r.Solves, time.Since(t).Round(time.Millisecond))
				}
			}
		}
	}
}
